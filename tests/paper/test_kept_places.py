"""The house's own plan and the places by which what was built is found again."""

from __future__ import annotations

import math

from drainwright.paper.documents.blocks import Table
from drainwright.paper.documents.handover import handover
from drainwright.paper.documents.kept_places import kept_places
from drainwright.paper.fitting_marks import numbered_cleanouts
from drainwright.paper.plan_page import kept_plan
from drainwright.paper.setting_out import tape_of
from drainwright.paper.sheet import TextMark
from tests.conftest import designed

from .papers import sheets_of


def words(name: str) -> str:
    marks = kept_plan(designed(f"{name}/job")).sheet.marks
    return " ".join(mark.text for mark in marks if isinstance(mark, TextMark))


def test_the_plan_shows_what_is_built_and_nothing_of_the_building() -> None:
    told = words("block-wall-house")
    assert all(f"cleanout {number}" in told for number in range(1, 7))
    assert "SUMP" in told
    assert "water service" in told
    for gone in ("stock pile", "barrow way", "X1", "dig by hand"):
        assert gone not in told


def test_every_cleanout_has_its_place_by_tape() -> None:
    """Of the block-wall house cleanout 2 stands at corner A, 10 in past it and 10 in out from the west wall."""
    design = designed("block-wall-house/job")
    built = numbered_cleanouts(design)
    assert [name for name, _ in built] == [f"cleanout {number}" for number in range(1, len(built) + 1)]
    assert len(built) == 6
    (table,) = (block for block in kept_places(design) if isinstance(block, Table))
    rows = {str(getattr(row[0], "text", row[0])): [str(cell) for cell in row[1:]] for row in table.rows}
    assert {name for name, _ in built} < set(rows)
    assert {"SUMP", "CB1", "CB2", "OUT"} < set(rows)
    assert rows["cleanout 2"][:4] == [
        "of FD1",
        "F to A",
        "36 ft 10 3/4 in from F (10 in past A)",
        "10 in out from the house",
    ]
    for name, place in built:
        taped = tape_of(design, name, place.at)
        assert abs(math.hypot(taped.along, taped.out) - math.dist(taped.corner, place.at)) < 1e-9


def test_the_handover_has_both() -> None:
    design = designed("block-wall-house/job")
    told = str(handover(design, sheets_of(design)))
    assert "Where to find it again" in told
    assert "plan-kept.svg" in told
    assert "plan-page.svg" not in told
