"""A drain's trench beyond walls that are opened in lengths: dug, guarded and filled with the first of them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from drainwright.build.labour import along_lengths
from drainwright.build.panels import bared_lengths
from drainwright.design import Design

from ..conftest import designed


def lot() -> Design:
    """FD1 lies along two opened walls and two that are not; its last stretch goes on to the basin."""
    return designed("metric-basement/job")


def test_what_lies_beyond_is_dug_in_the_first_pass() -> None:
    """By the trench's own metres: even lengths of the walls that stay shut over all of it, and no half of the rest."""
    design = lot()
    dig = design.build.dig
    lengths = bared_lengths(design.site, design.system, dig.wall_panel)
    (run,) = (one for one in design.system.runs if one.walls)
    (trench,) = (one for one in dig.trenches if one.name == run.name)
    opened = {one.name for one in dig.trenches if one.kind == "wall"}
    even = sum(one.end - one.start for one in lengths if not one.odd and one.wall not in opened)
    assert 0 < even < trench.length / 2
    share = sum(one.end - one.start for one in lengths if not one.odd) / sum(one.end - one.start for one in lengths)
    assert along_lengths(design.system, dig, lengths)[run.name] * share == pytest.approx(even / trench.length)
    tasks = {task.key: task.hours for task in design.build.plan.tasks}
    assert tasks["trench-even"] < tasks["trench"]


def test_beyond_opened_walls_alone_none_of_it_waits_for_the_second_pass() -> None:
    design = lot()
    dig = design.build.dig
    lengths = bared_lengths(design.site, design.system, dig.wall_panel)
    (run,) = (one for one in design.system.runs if one.walls)
    (wall, *_) = (one for one in dig.trenches if one.kind == "wall")
    every = replace(dig, trenches=(*dig.trenches, *(replace(wall, name=name) for name in run.walls)))
    assert along_lengths(design.system, every, lengths) == {run.name: 0.0}


def test_its_shields_stand_on_the_days_on_which_it_is_open() -> None:
    """It was counted on the days of the second pass too, and half of its soil with them."""
    design = lot()
    assert design.build.shields is not None
    (beyond,) = (one for one in design.build.shields.places if one.where == "FD1")
    plan = design.build.plan
    ends = {task.key: task.end for task in plan.tasks}
    starts = {task.key: task.start for task in plan.tasks}
    first = int(starts["trench"] / plan.day_length + 1e-6) + 1
    last = -int(-ends["backfill"] // plan.day_length)
    assert first <= min(beyond.days) <= max(beyond.days) <= last
