"""The example jobs, designed for real and drawn."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
import shapely

from drainwright.paper.curve_chart import line_curve
from drainwright.paper.drawings import drawings
from drainwright.paper.measure import text_box
from drainwright.paper.sheet import Polygon, Polyline, Sheet
from drainwright.paper.svg import to_svg
from drainwright.system.model import SizedRun
from tests.paper.sample import designed


@pytest.mark.parametrize("example", ["block-wall-house", "metric-basement", "sloping-lot", "wrong-choices"])
def test_texts_of_real_designs_are_apart_and_on_the_paper(example: str) -> None:
    for sheet in drawings(designed(example)).values():
        boxes = [shapely.Polygon(text_box(mark)) for mark in sheet.texts]
        paper = shapely.box(0, 0, sheet.width, sheet.height)
        assert all(paper.covers(box) for box in boxes), sheet.name
        pairs = shapely.STRtree(boxes).query(boxes, predicate="intersects").T
        covered = [
            (sheet.texts[a].text, sheet.texts[b].text)
            for a, b in pairs
            if a < b and boxes[a].intersection(boxes[b]).area > 1e-6
        ]
        assert not covered, sheet.name
        assert to_svg(sheet).startswith("<svg ")


def test_hatched_stretches_are_as_long_as_the_dig_plan_says() -> None:
    """The build side reckons each length to be dug by hand: no less may be hatched."""
    routes = {run.name: run.route for run in designed("block-wall-house").system.runs}
    checked = 0
    for crossing in designed("block-wall-house").build.dig.crossings:
        if crossing.run not in routes:
            continue
        checked += 1
        assert crossing.stretch is not None
        start, end = crossing.stretch
        length = sum(math.dist(a, b) for a, b in pairwise(routes[crossing.run]))
        room = min(crossing.hand_dig / 2, crossing.station) + min(crossing.hand_dig / 2, length - crossing.station)
        assert 0.0 <= start <= end <= length + 1e-9
        assert end - start >= (room if crossing.crossing else crossing.hand_dig) - 1e-6
    assert checked


def test_the_drawn_line_curve_runs_through_the_designs_operating_point() -> None:
    station = designed("block-wall-house").system.station
    if station is None or not station.reaches:
        pytest.skip("the example has no pump that lifts")
    run = designed("block-wall-house").system.run(station.discharge_run)
    curve = line_curve(station, run, (station.on + station.off) / 2)
    assert curve.head(station.operating_flow) == pytest.approx(station.operating_head, rel=1e-6)
    assert station.pump.curve.head(station.operating_flow) == pytest.approx(station.operating_head, rel=1e-6)


def texts_of(sheet: Sheet) -> str:
    return " ".join(mark.text for mark in sheet.texts)


def test_the_basins_section_shows_its_collar_to_size() -> None:
    """A ring 15 in wide and 8 in high at 3/8 in = 1 ft: each side 11.906 x 6.35 mm on paper."""
    design = designed("block-wall-house")
    assert design.system.station is not None
    inch = 0.0254
    station = replace(design.system.station, collar=500.0, collar_width=15 * inch, collar_height=8 * inch)
    sheet = drawings(replace(design, system=replace(design.system, stations=(station,))))["basin"]
    assert "3/8 in = 1 ft" in texts_of(sheet)
    rings = [mark.points for mark in sheet.marks if isinstance(mark, Polygon) and mark.layer == "concrete"]
    assert len(rings) == 2
    for ring in rings:
        x, y = zip(*ring, strict=True)
        assert (max(x) - min(x), max(y) - min(y)) == pytest.approx((15 * 25.4 / 32, 8 * 25.4 / 32), abs=1e-6)
    assert "concrete collar 15 in wide × 8 in high" in texts_of(sheet)
    assert "Concrete collar round the foot, from the underside up: 15 in wide × 8 in high" in texts_of(sheet)
    bare = replace(design.system.station, collar=0.0, collar_width=0.0, collar_height=0.0)
    sheet = drawings(replace(design, system=replace(design.system, stations=(bare,))))["basin"]
    assert not [mark for mark in sheet.marks if mark.layer == "concrete"]
    assert "collar" not in texts_of(sheet)


def test_a_collar_of_given_mass_is_said_to_be_drawn_only() -> None:
    design = designed("block-wall-house")
    assert design.system.station is not None
    station = replace(design.system.station, collar=300.0, collar_width=0.0, collar_height=0.0)
    sheet = drawings(replace(design, system=replace(design.system, stations=(station,))))["basin"]
    assert "no soil over it is counted" in texts_of(sheet)
    assert "6 in wide" in texts_of(sheet)


def test_the_wall_section_draws_the_stone_as_wide_as_it_is_ordered() -> None:
    """2 ft of stone in a dig that is 2 ft clear of the footing fill it from side to side."""
    marks = drawings(designed("block-wall-house"))["wall"].marks

    def across(layer: str) -> tuple[float, float]:
        found = [x for mark in marks if isinstance(mark, Polyline) and mark.layer == layer for x, _ in mark.points]
        return min(found), max(found)

    assert across("fabric") == pytest.approx(across("trench line"))


def test_the_wall_section_shows_the_stone_under_a_high_drain() -> None:
    """Ground to the footing's top is the dig; a drain raised by 4 in has its gap filled, and the drawing says so."""
    design = designed("block-wall-house")
    plain = drawings(design)["wall"]
    assert "below it" not in texts_of(plain)

    def raised(run: SizedRun) -> SizedRun:
        stations = tuple(replace(item, invert=item.invert + 0.1016, cut=item.cut - 0.1016) for item in run.stations)
        return replace(run, stations=stations) if run.name == "FD1" else run

    system = replace(design.system, runs=tuple(raised(run) for run in design.system.runs))
    sheet = drawings(replace(design, system=system))["wall"]
    assert "the same stone" in texts_of(sheet)

    def stones(drawn: Sheet) -> int:
        return len([mark for mark in drawn.marks if mark.layer == "stone"])

    assert stones(sheet) == stones(plain) + 1
