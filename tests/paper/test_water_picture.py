"""Where the customer's water goes: every way once, shares that make a whole, bars and depths in proportion."""

from __future__ import annotations

import json
import re

import pytest
import shapely

from drainwright.design import design
from drainwright.job.model import Job
from drainwright.job.writing import to_json
from drainwright.paper.frame import LEAF, on_leaf
from drainwright.paper.measure import text_box
from drainwright.paper.sheet import Polygon, TextMark
from drainwright.paper.svg import to_svg
from drainwright.paper.water_picture import water_draft
from drainwright.paper.water_ways import pumped_to, totals, water_ways
from drainwright.water.model import Cause
from tests.paper.sample import designed

EXAMPLES = ("block-wall-house", "metric-basement", "sloping-lot", "soak-lot", "two-basins", "wrong-choices")


@pytest.mark.parametrize("example", EXAMPLES)
def test_ways_take_all_the_water_once(example: str) -> None:
    design = designed(example)
    ways = water_ways(design)
    came = sum(item.flow for item in design.inflows.contributions)
    assert sum(way.flow for way in ways) == pytest.approx(came)
    assert sum(totals(ways).values()) == pytest.approx(came)
    assert len({way.kind for way in ways}) == len(ways)


def test_each_way_is_told_apart() -> None:
    """Told from the jobs themselves: a downspout with a line of its own, a house by gravity, a soakaway."""
    house = {way.kind: way for way in water_ways(designed("block-wall-house"))}
    own = sum(item.flow for item in designed("block-wall-house").inflows.contributions if item.entry == "DS2")
    assert set(house) == {"pumped", "own line"}
    assert house["own line"].name == "DS2"
    assert house["own line"].causes == {Cause.ROOF: pytest.approx(own)}
    assert [(way.kind, way.name) for way in water_ways(designed("sloping-lot"))] == [("by gravity", "OUT")]
    assert [(way.kind, way.name) for way in water_ways(designed("soak-lot"))] == [("soaks away", "SOAK")]


@pytest.mark.parametrize("example", EXAMPLES)
def test_bars_are_as_long_as_their_shares(example: str) -> None:
    sheet = on_leaf(water_draft(designed(example), LEAF))
    assert to_svg(sheet).startswith("<svg ")
    boxes = [mark for mark in sheet.marks if isinstance(mark, Polygon) and len(mark.points) == 4]
    wholes = [mark for mark in boxes if mark.layer == "bar dry"]
    whole = wholes[0].points[1][0] - wholes[0].points[0][0]
    figures = [text for text in (mark.text for mark in sheet.texts) if re.search(r", (under )?\d+ %$", text)]
    assert len(figures) == len(wholes) >= 2
    feet = {mark.points[0]: mark for mark in boxes if mark.layer == "bar dark"}
    for figure, bar in zip(figures, wholes, strict=True):
        told = figure.split(", ")[-1].rstrip("%")
        share = 0.0 if told.startswith("under") else float(told) / 100
        filled = feet.get(bar.points[0])
        drawn = 0.0 if filled is None else (filled.points[1][0] - filled.points[0][0]) / whole
        assert drawn == pytest.approx(share, abs=0.006), figure


def test_depths_are_in_proportion() -> None:
    """Basin floor, footing and floor of the house, from the ground down: one metre is as long for each."""
    design = designed("metric-basement")
    sheet = on_leaf(water_draft(design, LEAF))
    station = design.system.by_house[0]
    shell = next(mark for mark in sheet.marks if mark.layer == "shell" and _tall(mark) > 15.0)
    slabs = [mark for mark in sheet.marks if isinstance(mark, Polygon) and mark.layer == "concrete"]
    footing = min(min(y for _, y in mark.points) for mark in slabs)
    assert isinstance(shell, Polygon)
    basin = min(y for _, y in shell.points)
    slab = max(slabs, key=lambda mark: max(x for x, _ in mark.points) - min(x for x, _ in mark.points))
    floor = max(y for _, y in slab.points)
    lowest = min(wall.footing_bottom for wall in design.site.walls)
    per_metre = (floor - basin) / (design.site.floor - station.floor)
    assert per_metre > 5.0
    assert (floor - footing) / (design.site.floor - lowest) == pytest.approx(per_metre, rel=0.01)


def _tall(mark: object) -> float:
    if not isinstance(mark, Polygon):
        return 0.0
    return max(y for _, y in mark.points) - min(y for _, y in mark.points)


@pytest.mark.parametrize("example", ["block-wall-house", "long-house", "soak-lot", "two-basins"])
def test_no_word_lies_over_the_house_or_hides_the_grate_s_box(example: str) -> None:
    """ "yard drain, round the house" ran into the wall, and the next label hid the foot of the box under the grate."""
    draft = water_draft(designed(example), LEAF)
    [word] = [mark for mark in draft.marks if isinstance(mark, TextMark) and mark.text.startswith("yard drain")]
    walls = [mark for mark in draft.marks if isinstance(mark, Polygon) and mark.layer == "concrete"]
    boxes = [mark for mark in draft.marks if isinstance(mark, Polygon) and mark.layer in ("shell", "mask")]
    right = max(corner[0] for corner in text_box(word))
    assert right < min(point[0] for wall in walls for point in wall.points)
    grate = min(boxes, key=lambda mark: mark.points[0][0])
    assert grate.layer == "shell"
    masks = [mark for mark in boxes if mark.layer == "mask"]
    assert all(shapely.Polygon(mark.points).intersection(shapely.Polygon(grate.points)).area < 1e-9 for mark in masks)


def test_what_is_pumped_is_told_apart_from_what_soaks_away() -> None:
    """A leader that ends in a dry well: the picture led pumped water to the well, and the leader to the basin."""
    job = json.loads(to_json(designed("block-wall-house").job))
    well = {"name": "DW", "at": "70 ft, 50 ft", "kind": "dry well", "invert": "97.0 ft", "soak": {}}
    job["works"]["discharge"].append(well)
    leader = next(run for run in job["works"]["runs"] if run["duty"] == "leader")
    leader |= {"to": "DW", "via": []}
    mixed = design(Job.model_validate(job))
    assert {way.kind for way in water_ways(mixed)} >= {"pumped", "soaks away"}
    assert pumped_to(mixed) == ("OUT",)
    assert set(mixed.system.ways_out) == {"DW", "OUT"}
    told = [mark.text for mark in on_leaf(water_draft(mixed, LEAF)).texts]
    assert any(text.startswith("to the pump, then to OUT (") for text in told)
    assert "at OUT" in told
    assert "to DW" in told
    assert "to DW" not in [mark.text for mark in on_leaf(water_draft(designed("block-wall-house"), LEAF)).texts]
