"""Papers of a design, set once a run and read back as text."""

from __future__ import annotations

import io
import re
from functools import cache

from pypdf import PdfReader

from drainwright.design import Design
from drainwright.paper.documents.shell import Sheets
from drainwright.paper.documents.typeset import to_pdf
from drainwright.paper.documents.writing import papers_of
from drainwright.paper.drawings import drawings
from drainwright.paper.svg import to_svg

_kept: dict[int, tuple[Design, Sheets]] = {}


def sheets_of(design: Design) -> Sheets:
    """The drawings, drawn once."""
    if id(design) not in _kept:
        _kept[id(design)] = (design, {name: (sheet, to_svg(sheet)) for name, sheet in drawings(design).items()})
    return _kept[id(design)][1]


_pdfs: dict[tuple[int, str, bool], bytes] = {}


def pdf_of(design: Design, name: str, *, drawn: bool = True) -> bytes:
    """A PDF, set once; without its drawings where only words are read, since they are slow to read."""
    key = (id(design), name, drawn)
    if key not in _pdfs:
        sheets = sheets_of(design)
        _pdfs[key] = to_pdf(papers_of(design, sheets if drawn else {})[f"{name}.pdf"](), design.job.date)
    return _pdfs[key]


@cache
def _pages(pdf: bytes) -> tuple[str, ...]:
    return tuple(flat(page.extract_text()) for page in PdfReader(io.BytesIO(pdf)).pages)


def pages_of(design: Design, name: str) -> tuple[str, ...]:
    """The text of each page without drawings, with single spaces."""
    return _pages(pdf_of(design, name, drawn=False))


def first_page_of(design: Design, name: str) -> str:
    """The text of the first page alone, which is quick."""
    return flat(PdfReader(io.BytesIO(pdf_of(design, name, drawn=False))).pages[0].extract_text())


def text_of(design: Design, name: str) -> str:
    """All text of a paper."""
    return " ".join(pages_of(design, name))


def flat(text: str) -> str:
    """Text without line ends and places where a word may break."""
    return re.sub(r"\s+", " ", text.replace("\u200b", ""))


def tight(text: str) -> str:
    """Text without any space, for what a line end may cut."""
    return re.sub(r"\s+", "", text.replace("\u200b", ""))
