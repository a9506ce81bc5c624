"""Blocks of a drawing's panel that find no room beside it stand on a sheet of their own."""

from __future__ import annotations

from dataclasses import replace
from math import dist

from drainwright.paper.drilling_sheet import drilling_drafts
from drainwright.paper.frame import Column, Draft, further_tables, notes, paragraph, table
from drainwright.paper.outlet_detail import outlet_drafts
from drainwright.paper.section import basin_drafts
from drainwright.paper.sheet import Circle, Polygon, TextMark
from drainwright.paper.tags import tags_beside

from ..conftest import designed

POINTS_PER_MM = 72.0 / 25.4


def words(drafts: list[Draft]) -> list[str]:
    return [mark.text for draft in drafts for mark in draft.marks if isinstance(mark, TextMark)]


def test_a_table_of_many_holes_is_not_dropped() -> None:
    """It was left out in silence where it ended below the sheet."""
    design = designed("block-wall-house/job")
    holes = tuple(replace(hole, run=f"{hole.run}x{turn}") for turn in range(9) for hole in design.build.takeoff.holes)
    takeoff = replace(design.build.takeoff, holes=holes)
    drafts = drilling_drafts(replace(design, build=replace(design.build, takeoff=takeoff)))
    names = [draft.name for draft in drafts]
    assert names[:2] == ["holes", "holes-tables-1"]
    assert drafts[1].title == f"{drafts[0].title}: tables"
    told = " ".join(words(drafts[1:]))
    for hole in holes:
        if hole.node == design.system.by_house[0].name:
            assert hole.run in told
    assert [draft.name for draft in drilling_drafts(design)] == ["holes"]


def test_the_words_of_an_outlet_go_on_another_sheet() -> None:
    design = designed("long-house/job")
    falls = tuple(replace(fall, apron_given=12.0, apron_width=4.0) for fall in design.system.outfalls)
    drafts = outlet_drafts(replace(design, system=replace(design.system, outfalls=falls)))
    usual = outlet_drafts(design)
    assert {draft.name for draft in usual} <= {draft.name for draft in drafts}
    for draft in usual:
        assert "Notes" in words([one for one in drafts if one.name.startswith(draft.name)])


def test_a_block_taller_than_any_sheet_is_drawn_all_the_same() -> None:
    rows = [(f"row {number}",) for number in range(400)]
    tall = table("Long", (Column("what", 1.0),), rows)
    drafts = further_tables([tall, table("Short", (Column("what", 1.0),), [("last",)])], "US", "plan", "Plan")
    told = words(drafts)
    assert {text for (text,) in rows} <= set(told)
    assert "last" in told


def test_the_numbers_of_a_basin_cover_nothing() -> None:
    """The check valve's number lay over the second pump's valve, the relief hole's over its pipe."""
    for job in ("block-wall-house/job", "two-basins/job", "metric-basement/job"):
        for draft in basin_drafts(designed(job)):
            rings = [mark for mark in draft.marks if isinstance(mark, Circle) and mark.layer == "node"]
            valves = [mark for mark in draft.marks if isinstance(mark, Polygon) and mark.layer in ("fitting", "pipe")]
            assert len(rings) == 3, job
            assert valves
            for ring in rings:
                for thing in valves:
                    east, north = ([point[axis] for point in thing.points] for axis in (0, 1))
                    x, y = ring.centre
                    near = min(max(x, min(east)), max(east)), min(max(y, min(north)), max(north))
                    assert dist(near, ring.centre) > ring.radius, (job, draft.name, ring)


def test_no_type_of_a_panel_is_smaller_than_seven_points() -> None:
    """Tables and notes stood in 5.7 to 6.2 points."""
    columns = (Column("what", 1.0), Column("size", 0.5, "end"))
    blocks = [table("Holes", columns, [("a", "1")], size=1.9), paragraph("Measure twice.", 2.0), notes(["Once more."])]
    for block in blocks:
        marks, _ = block(0.0, 0.0, 80.0)
        assert min(mark.size for mark in marks if isinstance(mark, TextMark)) * POINTS_PER_MM >= 7.0
    tags = tags_beside([(1.0, "ground", "level 99.48 ft", "text"), (1.5, "invert", "4 in", "text")], 0.0, 9.0, 0.0, 9.0)
    assert min(mark.size for mark in tags if isinstance(mark, TextMark)) * POINTS_PER_MM >= 7.0


def test_a_cell_of_a_table_is_wrapped_not_cut() -> None:
    """A kind like "flexible coupling with cla…" was cut in the fittings of an outlet."""
    told = "needs a deeper basin than common ones; pump, line and basin cost about 30 % more"
    marks, bottom = table("Pumps", (Column("why", 1.0),), [(told,)])(0.0, 0.0, 40.0)
    short, higher = table("Pumps", (Column("why", 1.0),), [("why not",)])(0.0, 0.0, 40.0)
    texts = [mark.text for mark in marks if isinstance(mark, TextMark)]
    assert " ".join(texts[2:]) == told
    assert bottom < higher
    assert len(short) < len(marks)
