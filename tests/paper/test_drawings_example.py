"""The example jobs, designed for real and drawn."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
import shapely

from drainwright.paper.by_hand import hand_dug
from drainwright.paper.curve_chart import line_curve
from drainwright.paper.drawings import drawings
from drainwright.paper.measure import text_box
from drainwright.paper.svg import to_svg
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
        start, end = hand_dug(designed("block-wall-house"), crossing, routes[crossing.run])
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
