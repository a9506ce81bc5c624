"""An air gap below the ground stands in a box that is ordered, dug, set and drawn."""

from __future__ import annotations

import pytest

from drainwright.design import Design
from drainwright.paper.documents.say import Say
from drainwright.paper.drawings import drawings
from drainwright.system.lift.uplift import BASIN_WALL
from drainwright.system.yard.basin_hole import HOLE_BED, HOLE_ROOM

INCH = 0.0254


def test_the_box_round_a_buried_air_gap_is_ordered_dug_set_and_drawn(metric: Design) -> None:
    """The sheet asked for an open box with a grate; it was on no list, in no dig and in no hour."""
    (end,) = metric.system.ends
    assert end.buried
    assert end.box == pytest.approx(12 * INCH)  # over the receiver's mouth of 81 mm and room for a hand and a tape
    floor = end.invert - end.gap - 0.1
    lines = {item.key: item for item in metric.build.takeoff.lines if "OUT" in item.where}
    assert lines["catch-basin.12in"].net == 1.0
    height = (end.ground - floor) / INCH
    assert ("catch-basin-riser.12in" in lines) == (height > 14.0)
    (pit,) = [item for item in metric.build.dig.trenches if item.name == end.name]
    assert pit.width == pytest.approx(12 * INCH + 2 * BASIN_WALL + 2 * HOLE_ROOM)
    assert pit.depth_greatest == pytest.approx(end.ground - floor + BASIN_WALL + HOLE_BED)
    assert pit.bank_volume > 0.0
    (task,) = [item for item in metric.build.plan.tasks if item.key == "inlets"]
    assert "the outlet's box" in task.title
    assert any(check.key == "receiver's pipe" and check.met is None for check in metric.checks)
    sheets = [sheet for name, sheet in drawings(metric).items() if name.startswith("outlet")]
    words = " ".join(mark.text for sheet in sheets for mark in sheet.texts)
    assert Say("SI").level(end.box_floor) in words
