"""Hostile text in every text of a job: it stands in the papers as it was written, and does nothing else."""

from __future__ import annotations

import io
from collections.abc import Callable, Iterator
from functools import cache
from itertools import count
from typing import Any
from xml.etree import ElementTree

import openpyxl
import pytest
from pydantic import BaseModel
from pypdf import PdfReader

from drainwright.design import Design, design
from drainwright.job.model import Job
from drainwright.job.reading import read_job
from drainwright.paper.calendar import reminders
from drainwright.paper.documents.blocks import BREAK, line, lines
from drainwright.paper.documents.writing import papers_of
from drainwright.paper.dxf import to_dxf
from drainwright.paper.order import order_workbook

from ..conftest import EXAMPLES
from .papers import pdf_of, sheets_of, text_of, tight

NASTY = (
    "#evil #panic(1) #include \"/etc/passwd\"",
    "$x^2$ $ sum_(k=1)^n $",
    "= heading",
    "*bold* _it_ `raw` ~ -- --- ... 'q' \"q\" <label> @ref \\u{41} // c /* c */",
    "<svg onload='x'><script>alert(1)</script></svg> &amp; ]]>",
    "=HYPERLINK(\"http://x.example\",\"y\")",
    "+1+1",
    "-2+3",
    "@SUM(A1:A9)",
    "\t=1+1",
    "{=1+1}",
    "\u202eright to left\u202c שלום עולם مرحبا",
    "👷🏽 ☔ 🏠 \U0001f9f1",
    "nul\x00 bell\x07 escape\x1b end",
    "line one\r\nline two\u2028line three",
    "W" * 200,
    "%s {0} {name} %%",
    "\ufffe\ud7ff\uffff \u0300\u0301\u0302",
)  # fmt: skip
LONG = ("lorem ipsum " * 420)[:5000]
LONGEST = "w" * 5000
WORKING = {"pipe", "size", "discharge_size", "file", "result", "logo", "job_page"}  # no free text


def _is_text(record: type[BaseModel], name: str) -> bool:
    field = record.model_fields[name]
    if field.annotation is not str or name in WORKING:
        return False
    return all(getattr(note, "pattern", None) is None for note in field.metadata)


def _limit(record: type[BaseModel], name: str) -> int:
    return 5000 if "5000" in repr(record.model_fields[name].metadata) else 200


def filled(value: Any, give: Callable[[int], str]) -> Any:
    """The same records with every free text replaced."""
    if isinstance(value, BaseModel):
        update: dict[str, Any] = {}
        for name in type(value).model_fields:
            old = getattr(value, name)
            update[name] = give(_limit(type(value), name)) if _is_text(type(value), name) else filled(old, give)
        return value.model_copy(update=update)
    if isinstance(value, tuple):
        return tuple(filled(item, give) for item in value)
    return value


@cache
def plain_job() -> Job:
    return read_job(EXAMPLES / "block-wall-house" / "job.yaml")


def _nasty() -> Callable[[int], str]:
    numbers: Iterator[int] = count()
    return lambda limit: LONG if limit == 5000 and next(numbers) % 2 else NASTY[next(numbers) % len(NASTY)]


@pytest.fixture(scope="module")
def hostile() -> Design:
    job: Job = filled(plain_job(), _nasty())
    firm = job.firm.model_copy(update={"warranty": LONGEST, "terms": "\n".join(NASTY), "name": NASTY[3]})
    symptoms = tuple(
        job.symptoms[0].model_copy(update={"what": text, "where": text, "note": text}) for text in NASTY
    )  # fmt: skip
    return design(job.model_copy(update={"title": NASTY[0], "firm": firm, "symptoms": symptoms, "notes": LONG}))


@pytest.fixture(scope="module")
def empty() -> Design:
    job: Job = filled(plain_job(), lambda limit: "")
    return design(job.model_copy(update={"title": " ", "symptoms": (), "date": None}))


def test_every_free_text_was_replaced(hostile: Design) -> None:
    """The filler reaches the texts; a job with untouched words would prove nothing."""
    words = hostile.job.model_dump_json(exclude={"demonstration"})
    for old in ("M. Tamarind", "Example Drainage Company", "bolt on the pole", "gutter", "town code 9.7", "meter box"):
        assert old not in words


def test_every_paper_is_set_from_hostile_and_from_empty_text(hostile: Design, empty: Design) -> None:
    for made in (hostile, empty):
        for name in papers_of(made, sheets_of(made)):
            assert len(PdfReader(io.BytesIO(pdf_of(made, name.removesuffix(".pdf")))).pages) > 0, name


@pytest.mark.parametrize("text", [text for text in NASTY if text.isascii() and text.isprintable()])
def test_hostile_text_stands_as_written(hostile: Design, text: str) -> None:
    assert tight(text) in tight(text_of(hostile, "proposal"))


def test_markup_makes_no_heading_and_no_file(hostile: Design) -> None:
    reader = PdfReader(io.BytesIO(pdf_of(hostile, "proposal")))
    assert "root:" not in text_of(hostile, "proposal")
    outline = [str(getattr(item, "title", "")) for item in _flat_outline(reader.outline)]
    assert outline
    assert "heading" not in outline


def _flat_outline(items: Any) -> Iterator[Any]:
    for item in items:
        if isinstance(item, list):
            yield from _flat_outline(item)
        else:
            yield item


def test_a_word_of_5000_letters_stays_on_the_paper(hostile: Design) -> None:
    assert tight(text_of(hostile, "proposal")).count("w") >= 5000


def test_writing_from_the_right_is_not_lost(hostile: Design) -> None:
    text = text_of(hostile, "proposal")
    assert set("שלום") <= set(text)
    assert "\u202e" not in text


def test_long_words_may_break_and_short_ones_do_not() -> None:
    assert line("a" * 20) == "a" * 20
    assert line("a" * 50).replace(BREAK, "") == "a" * 50
    assert max(map(len, line("a" * 50).split(BREAK))) < 20
    assert line(" a\x00\t b\u202e ") == "a b"
    assert lines("one\n\n two \r\nthree") == ("one", "two", "three")


def test_no_cell_of_the_order_is_a_formula_of_the_job(hostile: Design) -> None:
    book = openpyxl.load_workbook(io.BytesIO(order_workbook(hostile)))
    formulas = []
    for sheet in book.worksheets:
        for row in sheet.iter_rows():
            formulas += [str(cell.value) for cell in row if cell.data_type == "f"]
            assert all(cell.hyperlink is None for cell in row)
    assert formulas
    assert [text for text in formulas if not text.startswith(("=ROUND(E", "=SUM(H", "=H"))] == []


def test_text_that_looks_like_a_formula_is_text() -> None:
    odd = plain_job().model_copy(update={"title": "=1+1", "number": "@SUM(A1)"})
    book = openpyxl.load_workbook(io.BytesIO(order_workbook(design(odd))))
    assert book.properties.title == "Order: =1+1"
    cell = book["Order"]["A2"]
    assert cell.data_type == "s"
    assert str(cell.value).startswith("@SUM(A1)")


def test_calendar_and_drawings_hold(hostile: Design, empty: Design) -> None:
    for made in (hostile, empty):
        for row in reminders(made).split(b"\r\n"):
            assert len(row) <= 75
            assert row.split(b":")[0].split(b";")[0] in KNOWN or row[:1] in (b" ", b"")
        assert to_dxf(made)
        for name, (_, svg) in sheets_of(made).items():
            for element in ElementTree.fromstring(svg).iter():
                assert element.tag.rsplit("}")[-1] in SHAPES, (name, element.tag)
                for key, value in element.attrib.items():
                    assert not key.lower().startswith("on"), (name, key)
                    inside = value.startswith(("#", "data:image/svg+xml;base64,", "data:image/png;base64,"))
                    assert "href" not in key or inside, (name, value)


KNOWN = {
    b"BEGIN", b"END", b"VERSION", b"PRODID", b"CALSCALE", b"UID", b"DTSTAMP", b"DTSTART", b"DTEND", b"SUMMARY",
    b"DESCRIPTION", b"LOCATION", b"TRANSP", b"",
}  # fmt: skip
SHAPES = {
    "svg", "title", "desc", "defs", "style", "pattern", "clipPath", "g", "path", "rect", "line", "polyline", "polygon",
    "circle", "text", "tspan", "use", "image",
}  # fmt: skip
