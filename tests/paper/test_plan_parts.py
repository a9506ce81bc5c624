"""A large plan in parts: nothing lost between the sheets, each crossing told on both, all at the scale that is said."""

from __future__ import annotations

import math
import re
from functools import cache
from itertools import pairwise

import pytest
import shapely

from drainwright.design import Design
from drainwright.paper.frame import Draft
from drainwright.paper.measure import text_box
from drainwright.paper.plan import plan_sheet
from drainwright.paper.plan_parts import COARSE, Grid, grid_of, part_drafts, window_of
from drainwright.paper.sheet import Polygon, Polyline, TextMark
from drainwright.paper.wording import Wording

from .sample import designed


@cache
def long_house() -> tuple[Design, Grid, list[Draft]]:
    design = designed("long-house")
    grid = grid_of(design)
    assert grid is not None
    return design, grid, [draft for draft in part_drafts(design) if draft.name.count("-") == 2]


def texts(draft: Draft) -> list[TextMark]:
    return [mark for mark in draft.marks if isinstance(mark, TextMark)]


def test_a_plan_that_one_sheet_shows_well_has_no_parts() -> None:
    assert grid_of(designed("sloping-lot")) is None
    assert part_drafts(designed("sloping-lot")) == []


def test_parts_are_on_small_paper_at_a_scale_that_can_be_read() -> None:
    _, grid, drafts = long_house()
    assert len(drafts) == grid.count > 1
    assert {draft.paper.name for draft in drafts} == {"letter"}
    assert grid.scale.ratio == COARSE
    left, bottom, right, top = drafts[0].paper.inner
    for number in range(1, grid.count + 1):
        window, _ = window_of(grid, number)
        assert left <= window[0] < window[2] <= right
        assert bottom <= window[1] < window[3] <= top


def test_parts_cover_the_works_once() -> None:
    design, grid, _ = long_house()
    grounds = [shapely.box(*grid.ground(number)) for number in range(1, grid.count + 1)]
    whole = shapely.union_all(grounds)
    assert sum(ground.area for ground in grounds) == pytest.approx(whole.area, rel=1e-9)
    for node in design.system.nodes.values():
        covering = [number for number, ground in enumerate(grounds, 1) if ground.covers(shapely.Point(node.at))]
        assert covering == [grid.sheet_of(node.at)], node.name


def test_every_run_is_drawn_whole_over_the_parts() -> None:
    """The lengths of all pieces on all sheets, at 1 to 120, add up to the runs of each duty."""
    design, grid, drafts = long_house()
    for duty in {run.duty for run in design.system.runs}:
        drawn = sum(
            math.dist(a, b)
            for draft in drafts
            for mark in draft.marks
            if isinstance(mark, Polyline) and mark.layer == duty
            for a, b in pairwise(mark.points)
        )
        true = sum(math.dist(a, b) for run in design.system.runs if run.duty == duty for a, b in pairwise(run.route))
        assert drawn * grid.scale.ratio / 1000 == pytest.approx(true, rel=1e-9), duty


def test_what_crosses_a_match_line_is_told_on_both_sides() -> None:
    design, grid, drafts = long_house()
    told = [{mark.text for mark in texts(draft)} for draft in drafts]
    crossings = 0
    for run in design.system.runs:
        route = shapely.LineString(run.route)
        on = [n for n in range(1, grid.count + 1) if route.intersection(shapely.box(*grid.ground(n))).length > 0]
        for number in on if len(on) == 2 else ():
            (other,) = set(on) - {number}
            words = f"{run.name}: see part {other}"
            assert any(words in text for text in told[number - 1]), (words, number)
            crossings += 1
    assert crossings >= 8
    for number, said in enumerate(told, 1):
        assert any(text.startswith("match line: see part ") for text in said), number


def test_every_place_and_run_is_named_on_a_part() -> None:
    design, grid, drafts = long_house()
    told = [" ".join(mark.text for mark in texts(draft)).split() for draft in drafts]
    for node in design.system.nodes.values():
        number = grid.sheet_of(node.at)
        assert number is not None
        assert node.name in told[number - 1], node.name
    for run in design.system.runs:
        assert any(run.name in words for words in told), run.name


def test_texts_of_the_parts_stand_apart() -> None:
    _, _, drafts = long_house()
    for draft in drafts:
        boxes = [shapely.Polygon(text_box(mark)) for mark in texts(draft)]
        frame = shapely.box(*draft.paper.inner).buffer(0.01)
        assert all(frame.covers(box) for box in boxes), draft.name
        pairs = shapely.STRtree(boxes).query(boxes, predicate="intersects").T
        found = [(a, b) for a, b in pairs if a < b and boxes[a].intersection(boxes[b]).area > 1e-6]
        assert not [(texts(draft)[a].text, texts(draft)[b].text) for a, b in found], draft.name


def test_a_part_points_to_the_tree_beyond_its_edge_whose_roots_it_digs() -> None:
    """Two oaks stand outside all parts: each part that their roots reach says whose and how far."""
    design, grid, parts = long_house()
    drafts = {draft.name: [mark.text for mark in texts(draft)] for draft in parts}
    dug = {loss.tree for loss in design.build.dig.tree_roots}
    beyond = [tree for tree in design.site.trees if tree.tree.name in dug and grid.sheet_of(tree.at) is None]
    assert {tree.tree.name for tree in beyond} == {"west oak", "drive oak"}
    for tree in beyond:
        pointing = [told for told in drafts.values() if any(one.startswith(f"{tree.tree.name}, ") for one in told)]
        assert pointing
        assert all(any(re.fullmatch(r"trunk about \d+ ft beyond this edge", one) for one in told) for told in pointing)
    assert (
        "trunk about 12 ft beyond this edge" in drafts["plan-part-3"]
    )  # 26 ft west of A, the sheet ends 14 1/3 ft west


def test_no_word_lies_across_a_match_line() -> None:
    """The name of an oak beyond the edge was struck through by it."""
    _, _, drafts = long_house()
    for draft in drafts:
        edges = [mark for mark in draft.marks if isinstance(mark, Polyline) and mark.layer == "match line"]
        assert edges
        for mark in texts(draft):
            box = shapely.Polygon(text_box(mark))
            assert not any(box.crosses(shapely.LineString(edge.points)) for edge in edges), (draft.name, mark.text)


@pytest.mark.parametrize("example", ["long-house", "block-wall-house", "soak-lot", "metric-basement"])
def test_no_wall_strikes_through_its_length(example: str) -> None:
    """The lengths of the walls at the top of a plan touched the wall's own line."""
    design = designed(example)
    grid = grid_of(design)
    drafts = [plan_sheet(design).drawn()[0]] if grid is None else list(part_drafts(design))
    lengths = {Wording(design.job.units).length(math.dist(wall.start, wall.end)) for wall in design.site.walls}
    seen = 0
    for draft in drafts:
        walls = [mark for mark in draft.marks if isinstance(mark, Polygon) and mark.layer == "house"]
        for mark in texts(draft):
            if mark.text in lengths and mark.layer == "text" and mark.anchor == "middle":
                seen += 1
                box = shapely.Polygon(text_box(mark))
                apart = min(box.distance(shapely.LinearRing(wall.points)) for wall in walls)
                assert apart > 0.4, (draft.name, mark.text)  # half of a coated wall's line, and some air [mm]
    assert seen
