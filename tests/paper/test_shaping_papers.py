"""Shaped ground on the papers: the plan's marks, the crew's levels, the proposal's words, the drawing's layers."""

from __future__ import annotations

from drainwright.paper.documents.shaping_paper import shaping_levels, shaping_scope
from drainwright.paper.drawings import drawings
from drainwright.paper.dxf import to_dxf
from drainwright.paper.shaping_marks import stakes
from drainwright.paper.sheet import Polygon, TextMark

from ..conftest import designed

MENDED = "wrong-choices/mended"


def test_the_plan_shows_strips_and_levels_before_and_after() -> None:
    plan = drawings(designed(MENDED))["plan"]
    rings = [mark for mark in plan.marks if isinstance(mark, Polygon) and mark.layer == "shaped"]
    assert len(rings) == 2 + 1  # with the legend's sample
    heads = [mark for mark in plan.marks if isinstance(mark, Polygon) and mark.layer == "shaped head"]
    assert len(heads) == sum(len(stakes(strip)) for strip in designed(MENDED).site.shaped)
    told = {mark.text for mark in plan.marks if isinstance(mark, TextMark) and mark.layer == "text shaped"}
    assert "99.80 to 99.94" in told
    plain = drawings(designed("soak-lot/job"))["plan"]
    assert not any(mark.layer.startswith("shaped") for mark in plain.marks)


def test_the_crew_sets_levels_where_the_room_is_least() -> None:
    """The vent at 100.25 ft lets the ground stand at 100.08 ft; siding at 100.70 ft at 100.20 ft."""
    _, table, notes, _ = shaping_levels(designed(MENDED))
    assert [row[0] for row in table.rows] == ["west"] * 3 + ["north"] * 4
    assert {row[4] for row in table.rows} == {"100.20 ft (wood siding)", "100.08 ft (vent)"}
    assert any("sandy loam lets water down" in item for item in notes.items)


def test_the_proposal_names_it_and_only_where_it_is_built() -> None:
    _, table, _ = shaping_scope(designed(MENDED))
    assert [(row[0], row[5]) for row in table.rows] == [("west", "topsoil and seed"), ("north", "sod laid back")]
    assert shaping_scope(designed("soak-lot/job")) == shaping_levels(designed("soak-lot/job")) == ()


def test_the_drawing_has_a_layer_for_it() -> None:
    text = to_dxf(designed(MENDED))
    assert "SHAPED-GROUND" in text
    assert "SHAPED-LEVEL" in text
