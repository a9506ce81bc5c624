"""The sheet of schemes: everything on it, nothing off it, nothing over anything else, the same twice."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import pytest
from scheme_lots import NAMES, compared, job, of_seed
from shapely import Polygon, STRtree

from drainwright.paper.documents.schemes_paper import schemes_files
from drainwright.paper.frame import Draft, finish
from drainwright.paper.measure import text_box, text_width
from drainwright.paper.schemes_rows import Row, table_rows
from drainwright.paper.schemes_sheet import schemes_drafts
from drainwright.schemes import Comparison, schemes


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


def test_what_reads_the_same_is_not_put_before_the_other() -> None:
    """Only one that comes out best before all others, as it reads, is set bold."""
    found = compared("metric-basement/job")
    one, *others = found.schemes

    def rows(*figures: Comparison) -> dict[str, Row]:
        made = tuple(replace(one, comparison=item) for item in figures)
        return {row.name: row for row in table_rows(replace(found, schemes=made))}

    same = replace(one.comparison, hand_dig=5.06, crossings=4)
    near = rows(same, replace(same, hand_dig=5.0, crossings=5))["Dug by hand at lines"]
    assert near.best == (False, True)  # 5.1 m against 5.0 m
    equal = rows(same, replace(same, hand_dig=5.14))["Dug by hand at lines"]
    assert equal.best == (False, False)
    foot = replace(found, job=compared("sloping-lot/job").job)
    made = tuple(replace(one, comparison=replace(same, hand_dig=part)) for part in (4.6, 4.45))  # 15 ft each
    row = next(row for row in table_rows(replace(foot, schemes=made)) if row.name == "Dug by hand at lines")
    assert row.best == (False, False)
    two = rows(replace(same, pumps=0), replace(same, pumps=0), replace(same, pumps=1))
    assert two["Pumps; power in a year"].best == (False, False, False)  # two share it
    assert others


def test_the_deepest_dig_is_named_beside_the_depth_of_the_trenches() -> None:
    found = compared("metric-basement/job")
    rows = {row.name: row for row in table_rows(found)}
    assert "Trenches deeper than 1.5 m" in rows
    for scheme, cell in zip(found.schemes, rows["Deepest dig"].cells, strict=True):
        trench = max(scheme.design.build.dig.trenches, key=lambda item: item.depth_greatest)
        assert trench.name in cell
    assert all("basin SUMP" in cell for cell in rows["Deepest dig"].cells)


def test_one_scheme_alone_gets_a_plan_of_a_sane_width_without_names_of_junctions() -> None:
    found = of_seed(16)
    (only,) = found.schemes
    (draft,) = schemes_drafts(found)
    assert draft.paper.height > draft.paper.width
    frame = next(mark for mark in draft.marks if getattr(mark, "layer", "") == "rule open")
    east = [at[0] for at in getattr(frame, "points", ())]
    assert max(east) - min(east) <= 130.0 + 1e-6
    rules = [mark for mark in draft.marks if getattr(mark, "layer", "") == "rule faint"]
    assert all(max(at[0] for at in getattr(mark, "points", ())) <= max(east) + 1e-6 for mark in rules)
    texts = {mark.text for mark in draft.marks if hasattr(mark, "text")}
    assert "No way to drain this lot works yet" in texts
    junctions = {node.name for node in only.design.system.nodes.values() if node.kind == "junction"}
    assert junctions
    assert not junctions & texts


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
