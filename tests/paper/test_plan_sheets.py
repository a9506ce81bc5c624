"""Every plan sheet of every example: texts apart, tapes that say what the model says, nothing left out silently."""

from __future__ import annotations

import math
from functools import cache

import pytest
import shapely

from drainwright.design import Design
from drainwright.paper.frame import Draft
from drainwright.paper.label import Label, place_labels
from drainwright.paper.measure import text_box
from drainwright.paper.overview import overview_drafts
from drainwright.paper.plan import COARSE, plan_marks, setting
from drainwright.paper.plan_key import keyed
from drainwright.paper.setting_out import row_names, taped_places
from drainwright.paper.sheet import Circle, Polyline, TextMark
from drainwright.paper.wording import Wording

from .test_drawings_every import EXAMPLES, design_of


@cache
def plan_sheets(example: str) -> tuple[Draft, ...]:
    return tuple(overview_drafts(design_of(example)))


def texts(draft: Draft) -> list[TextMark]:
    return [mark for mark in draft.marks if isinstance(mark, TextMark)]


def crossed(first: list[shapely.Geometry], second: list[shapely.Geometry], least: float) -> list[tuple[int, int]]:
    pairs = shapely.STRtree(second).query(first, predicate="intersects").T
    return [(int(a), int(b)) for a, b in pairs if first[a].intersection(second[b]).area > least]


@pytest.mark.parametrize("example", EXAMPLES)
def test_texts_stand_apart_and_within_the_frame(example: str) -> None:
    for draft in plan_sheets(example):
        boxes = [shapely.Polygon(text_box(mark)) for mark in texts(draft)]
        frame = shapely.box(*draft.paper.inner).buffer(0.01)
        assert [mark.text for mark, box in zip(texts(draft), boxes, strict=True) if not frame.covers(box)] == []
        found = [(texts(draft)[a].text, texts(draft)[b].text) for a, b in crossed(boxes, boxes, 1e-6) if a < b]
        assert found == [], draft.name


@pytest.mark.parametrize("example", EXAMPLES)
def test_no_text_covers_the_symbol_of_a_place(example: str) -> None:
    for draft in plan_sheets(example):
        if "tables" in draft.name:
            continue
        words = [mark for mark in texts(draft) if mark.layer != "text soft" or not mark.text.isdigit()]
        boxes: list[shapely.Geometry] = [shapely.Polygon(text_box(mark)) for mark in words]
        rings: list[shapely.Geometry] = [
            shapely.Point(mark.centre).buffer(mark.radius)
            for mark in draft.marks
            if isinstance(mark, Circle) and mark.layer in ("node", "basin")
        ]
        if rings:
            assert [words[a].text for a, _ in crossed(boxes, rings, 0.05)] == [], draft.name


def taped(example: str) -> tuple[Design, list[Polyline], list[TextMark], list[str], float]:
    design = design_of(example)
    chosen = setting(design)
    drawn = plan_marks(design, chosen.view, chosen.window)
    lines = [mark for mark in drawn.marks if isinstance(mark, Polyline) and mark.layer == "dimension"]
    figures = [mark for mark in drawn.marks if isinstance(mark, TextMark)]
    return design, lines, figures, [text for _, label in drawn.labels for text in label.lines], chosen.scale.ratio


@pytest.mark.parametrize("example", [name for name in EXAMPLES if name != "long-house"])
def test_each_inlet_basin_and_bend_is_taped_on_the_plan_or_tied_to_its_row(example: str) -> None:
    """A dimension is as long on paper as its figure says; a place without one has its row's number at it."""
    design, lines, figures, labels, ratio = taped(example)
    word = Wording(design.job.units)
    lengths = [math.dist(*mark.points[:2]) * ratio / 1000 for mark in lines]
    said = [mark.text for mark in figures]
    places = taped_places(design)
    rows = row_names(places)
    drawn = 0
    for place in places:
        node = design.system.nodes.get(place.name)
        if not (" bend " in place.name if node is None else node.kind in ("inlet", "basin")):
            continue
        if any(label.split()[-1] == rows[place.name] for label in labels):
            continue
        drawn += 1
        wanted = [abs(place.along), *([place.out] if place.out > 0.003 else [])]
        for length in wanted:
            assert any(found == pytest.approx(length, abs=1e-6) for found in lengths), place.name
            assert word.length(length) in said, place.name
    assert drawn >= 1


@pytest.mark.parametrize("example", EXAMPLES)
def test_contours_of_the_plan_keep_out_of_the_house_and_near_the_works(example: str) -> None:
    design = design_of(example)
    chosen = setting(design)
    drawn = plan_marks(design, chosen.view, chosen.window)
    lines = [
        shapely.LineString(mark.points) for mark in drawn.marks
        if isinstance(mark, Polyline) and mark.layer in ("contour", "contour index")
    ]  # fmt: skip
    assert lines
    house = shapely.Polygon([chosen.view(corner) for corner in design.site.outline])
    assert max(line.intersection(house).length for line in lines) < 1e-6
    works = [shapely.LineString([chosen.view(at) for at in run.route]) for run in design.system.runs]
    works += [shapely.Point(chosen.view(node.at)) for node in design.system.nodes.values()]
    near = shapely.union_all(works).buffer(chosen.scale.on_paper(4.0) + 0.1)
    assert all(near.covers(line) for line in lines)


def test_a_plan_drawn_in_parts_has_its_tapes_on_the_parts() -> None:
    design = design_of("long-house")
    assert setting(design).scale.ratio > COARSE
    whole, *others = plan_sheets("long-house")
    assert not any(isinstance(mark, Polyline) and mark.layer.startswith("contour") for mark in whole.marks[:200])
    said = {text.split()[-1] for draft in others for mark in texts(draft) if (text := mark.text)}
    rows = row_names(taped_places(design))
    assert {rows["CB1"], rows["CB3"]} <= said


def test_further_tables_stand_beside_the_ground_where_all_of_them_fit() -> None:
    """Thirteen rows of setting out stood alone on a sheet of their own, beside a ground whose panel was half empty."""
    plan, ground = (draft for draft in plan_sheets("block-wall-house") if draft.name in ("plan", "ground"))
    assert not any("tables" in draft.name for draft in plan_sheets("block-wall-house"))
    assert "Setting out" in [mark.text for mark in texts(ground)]
    assert f"Further tables of this plan: see the sheet {ground.title}." in [mark.text for mark in texts(plan)]
    for draft in plan_sheets("long-house"):  # whose tables are far too many
        assert not any(mark.text.startswith("Further tables") for mark in texts(draft))
    held = {draft.name: [mark.text for mark in texts(draft)] for draft in plan_sheets("long-house")}
    assert "Setting out" in held["plan-tables-1"]
    assert "Setting out" not in held["ground"]


def test_what_finds_no_room_has_a_number_in_the_drawing_and_stands_in_the_key() -> None:
    frame = (0.0, 0.0, 30.0, 12.0)
    tall = Label(lines=("a name that is much too long for such a frame",), at=(15.0, 6.0), droppable=True)
    again = Label(lines=("W",), at=(15.0, 2.0), droppable=True, inline=True, path=((5.0, 2.0), (5.1, 2.0)))
    first = place_labels([tall, again], frame=frame)
    assert tall in first.dropped
    placement, rows = keyed(first, frame=frame, blocked=[], lines=[])
    assert rows == (("K1", "a name that is much too long for such a frame"),)
    assert [item.label.lines for item in placement.placed if item.label.lines[0].startswith("K")] == [("K1",)]
    full = [((0.0, 0.0), (30.0, 0.0), (30.0, 12.0), (0.0, 12.0))]
    placement, rows = keyed(first, frame=frame, blocked=full, lines=[])  # type: ignore[arg-type]
    assert rows == ()
    assert placement.unplaced == (tall,)


def test_the_long_house_lists_all_that_its_plan_leaves_out() -> None:
    words = [mark.text for draft in plan_sheets("long-house") for mark in texts(draft)]
    assert not any("left out" in text for text in words)
    numbers = sorted({text for text in words if text[0] == "K" and text[1:].isdigit()})
    assert numbers
    assert all(words.count(number) >= 2 for number in numbers)  # at its place, and in a key
