"""The sheet of schemes: everything on it, nothing off it, nothing over anything else, the same twice."""

from __future__ import annotations

from functools import cache

import pytest
from scheme_lots import NAMES, compared, job
from shapely import Polygon, STRtree

from drainwright.paper.documents.schemes_paper import schemes_files
from drainwright.paper.frame import Draft, finish
from drainwright.paper.measure import text_box, text_width
from drainwright.paper.schemes_rows import table_rows
from drainwright.paper.schemes_sheet import schemes_drafts
from drainwright.schemes import schemes


@cache
def sheet_of(name: str) -> Draft:
    """The sheet of an example; once in a run."""
    (draft,) = schemes_drafts(compared(name))
    return draft


@pytest.mark.parametrize("name", NAMES)
def test_the_sheet_holds_all_texts_and_none_lies_on_another(name: str) -> None:
    found = compared(name)
    draft = sheet_of(name)
    sheet = finish(draft, found.job, 1, 1)
    left, bottom, right, top = draft.paper.inner
    boxes = []
    for mark in draft.marks:
        if not hasattr(mark, "text"):
            continue
        box = Polygon(text_box(mark))
        west, south, east, north = box.bounds
        assert west >= left - 0.01, mark.text
        assert east <= right + 0.01, mark.text
        assert south >= bottom - 0.6, mark.text
        assert north <= top + 0.6, mark.text
        boxes.append((mark.text, box.buffer(-0.25)))
    shapes = [box for _, box in boxes]
    for one, other in STRtree(shapes).query(shapes, predicate="intersects").T:
        assert one == other, f"{boxes[one][0]!r} lies on {boxes[other][0]!r}"
    texts = " ".join(mark.text for mark in sheet.texts)
    for scheme in found.schemes:
        assert scheme.title in texts
    for item in found.missing:
        assert item.title in texts


@pytest.mark.parametrize("name", NAMES)
def test_letters_can_be_read(name: str) -> None:
    draft = sheet_of(name)
    sizes = [mark.size for mark in draft.marks if hasattr(mark, "text")]
    assert min(sizes) >= 1.9
    assert text_width("x", min(sizes)) > 0


def test_rows_have_a_cell_for_each_scheme_and_mark_the_best() -> None:
    found = compared("sloping-lot/job")
    rows = {row.name: row for row in table_rows(found)}
    assert all(len(row.cells) == len(found.schemes) for row in rows.values())
    price = rows["Price with tax"]
    prices = [scheme.comparison.price for scheme in found.schemes]
    assert price.best == tuple(item == min(prices) for item in prices)
    keys = [scheme.key for scheme in found.schemes]
    assert rows["Pump dead"].cells[keys.index("gravity")] == "cannot happen"


def test_equal_sets_give_equal_bytes() -> None:
    first, second = (schemes_files(compared("metric-basement/job")) for _ in range(2))
    assert first == second
    assert set(first) == {"schemes.pdf", "schemes.svg"}
    assert first["schemes.pdf"].startswith(b"%PDF")


def test_a_job_without_any_scheme_still_gets_its_reasons() -> None:
    found = schemes(job(kind="sanitary sewer", permission="allowed, measured"))
    (draft,) = schemes_drafts(found)
    texts = " ".join(mark.text for mark in draft.marks if hasattr(mark, "text"))
    assert "No ways to drain this lot" in texts
    assert "is forbidden" in texts
    assert b"forbidden" in schemes_files(found)["schemes.svg"]
