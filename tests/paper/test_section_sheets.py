"""Trench sections and drilling sheets: what is drawn is as large as the model says, at the scale on the sheet."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from xml.etree import ElementTree

import pytest
import shapely

from drainwright.build.model import Hole
from drainwright.design import Design
from drainwright.paper.drawings import drawings
from drainwright.paper.drilling_sheet import Wall, least_between
from drainwright.paper.measure import text_box
from drainwright.paper.sheet import Sheet
from drainwright.paper.svg import to_svg
from drainwright.paper.trench_section import build_ups
from drainwright.system.catalogue import find_pipe
from drainwright.system.lift.uplift import BASIN_WALL
from tests.paper.sample import designed

EXAMPLES = ("block-wall-house", "metric-basement", "sloping-lot", "soak-lot", "two-basins", "wrong-choices")
NEW = ("trench", "holes", "assembly")
SVG = "{http://www.w3.org/2000/svg}"


def ratio(text: str) -> float:
    """Of a scale in words: 24 of ``1/2 in = 1 ft (1:24)``."""
    found = re.search(r"1:([\d./]+)", text)
    assert found is not None
    return float(found.group(1))


def named(design: Design, start: str) -> list[Sheet]:
    return [sheet for name, sheet in drawings(design).items() if re.fullmatch(rf"{start}(-\d+)?", name)]


def circles(sheet: Sheet, layer: str) -> list[tuple[float, float, float]]:
    """Centres and radii on the paper, read back from the SVG. [mm]"""
    groups = [group for group in ElementTree.fromstring(to_svg(sheet)).iter(f"{SVG}g") if group.get("class") == layer]
    return [
        (float(mark.attrib["cx"]), float(mark.attrib["cy"]), float(mark.attrib["r"]))
        for group in groups
        for mark in group.iter(f"{SVG}circle")
    ]


def rings(sheet: Sheet, layer: str, tag: str = "polygon") -> list[Sequence[tuple[float, float]]]:
    groups = [group for group in ElementTree.fromstring(to_svg(sheet)).iter(f"{SVG}g") if group.get("class") == layer]
    return [
        [(float(x), float(y)) for x, y in (pair.split(",") for pair in mark.attrib["points"].split())]
        for group in groups
        for mark in group.iter(f"{SVG}{tag}")
    ]


def spans(ring: Sequence[tuple[float, float]]) -> tuple[float, float]:
    x, y = zip(*ring, strict=True)
    return max(x) - min(x), max(y) - min(y)


@pytest.mark.parametrize("example", EXAMPLES)
def test_texts_are_apart_and_on_the_paper(example: str) -> None:
    seen = 0
    for start in NEW:
        for sheet in named(designed(example), start):
            seen += 1
            boxes = [shapely.Polygon(text_box(mark)) for mark in sheet.texts]
            assert all(shapely.box(0, 0, sheet.width, sheet.height).covers(box) for box in boxes), sheet.name
            pairs = shapely.STRtree(boxes).query(boxes, predicate="intersects").T
            covered = [
                (sheet.texts[a].text, sheet.texts[b].text)
                for a, b in pairs
                if a < b and boxes[a].intersection(boxes[b]).area > 1e-6
            ]
            assert not covered, sheet.name
    assert seen


@pytest.mark.parametrize("example", EXAMPLES)
def test_trenches_are_drawn_to_scale(example: str) -> None:
    """Trench, stone and pipe of each build-up, measured on the paper, within a hundredth of the design's own."""
    design = designed(example)
    ups = build_ups(design)
    assert {run.name for up in ups for run in up.runs} == {
        trench.name for trench in design.build.dig.trenches if trench.kind == "run"
    }
    sheets = named(design, "trench")
    assert len(sheets) == math.ceil(len(ups) / 2)
    for number, sheet in enumerate(sheets):
        scale = 1000.0 / ratio(sheet.scale)
        pair = ups[2 * number : 2 * number + 2]
        across = sorted(2 * r for _, _, r in circles(sheet, "pipe"))
        assert across == pytest.approx(sorted(up.run.pipe.outside * scale for up in pair), rel=0.01)
        trenches = [spans(ring) for ring in rings(sheet, "trench-line", "polyline")]
        sizes = [(up.width * scale, up.station.cut * scale) for up in pair]
        assert trenches == [pytest.approx(size, rel=0.01) for size in sizes]
        stone = list(dict.fromkeys(spans(ring) for ring in rings(sheet, "stone") if len(ring) == 4))
        wanted = [
            (up.run.stone_width * scale, (up.run.stone_under + up.run.pipe.outside + up.run.stone_over) * scale)
            for up in pair
            if up.run.stone_width > 0 and up.stone_top < up.station.ground
        ]
        assert stone == [pytest.approx(size, rel=0.01) for size in wanted]


@pytest.mark.parametrize("example", ["block-wall-house", "metric-basement", "two-basins", "wrong-choices"])
def test_holes_are_drawn_where_the_takeoff_has_them(example: str) -> None:
    """Each hole's height, size and way round from 12 o'clock, measured on the unrolled wall."""
    design = designed(example)
    stations = [s for s in design.system.by_house if any(h.node == s.name for h in design.build.takeoff.holes)]
    sheets = named(design, "holes")
    assert len(sheets) == len(stations) > 0
    for station, sheet in zip(stations, sheets, strict=True):
        scale = 1000.0 / ratio(sheet.scale)
        holes = [hole for hole in design.build.takeoff.holes if hole.node == station.name]
        outside = station.inside_diameter + 2 * BASIN_WALL
        (wall,) = [ring for ring in rings(sheet, "shell") if len(ring) == 4]
        wide, tall = spans(wall)
        assert tall == pytest.approx(station.depth * scale, rel=0.01)
        assert wide == pytest.approx(math.pi * outside * scale, rel=0.01)
        floor, left = max(y for _, y in wall), min(x for x, _ in wall)
        drawn = circles(sheet, "fitting")
        assert len(drawn) == len(holes)
        for hole, (x, y, r) in zip(holes, drawn, strict=True):
            assert 2 * r == pytest.approx(hole.diameter * scale, rel=0.01)
            assert floor - y == pytest.approx(hole.height * scale, rel=0.01)
            assert r < x - left < wide - r, "no hole is cut through where the wall is opened"
        twelve = (drawn[0][0] - left) / wide * 12 + holes[0].clock  # hours at the left edge
        for hole, (x, _, _) in zip(holes, drawn, strict=True):
            gone = ((x - left) / wide * 12 + hole.clock - twelve) % 12
            assert min(gone, 12 - gone) == pytest.approx(0.0, abs=0.01), "hours fall to the right, seen from outside"
        pipes = sorted(2 * r for _, _, r in circles(sheet, "pipe"))
        assert pipes == pytest.approx(sorted(find_pipe(hole.pipe).outside * scale for hole in holes), rel=0.01)


def test_the_least_wall_between_two_holes() -> None:
    """On a wall 3 m round, an hour is 250 mm: holes of 100 mm at 12:00 and 1:00 leave 150 mm, over a step too."""
    station = designed("block-wall-house").system.by_house[0]
    wall = Wall(station=station, start=6.0)
    hour = wall.round / 12

    def hole(run: str, clock: float, height: float) -> Hole:
        return Hole(node="SUMP", run=run, diameter=0.1, height=height, clock=clock, pipe="d3034 4 in")

    assert least_between(wall, [hole("A", 12.0, 1.0)]) is None
    gap, pair = least_between(wall, [hole("A", 12.0, 1.0), hole("B", 1.0, 1.0)]) or (0.0, "")
    assert gap == pytest.approx(hour - 0.1)
    assert pair == "A and B"
    gap, _ = least_between(wall, [hole("A", 11.5, 1.0), hole("B", 0.5, 1.0)]) or (0.0, "")
    assert gap == pytest.approx(hour - 0.1), "round past 12"
    gap, _ = least_between(wall, [hole("A", 3.0, 1.0), hole("B", 3.0, 1.05)]) or (0.0, "")
    assert gap == pytest.approx(-0.05)
