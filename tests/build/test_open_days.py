"""Over which days trenches stand open, and what the crew is told of the nights between."""

from __future__ import annotations

from dataclasses import replace

import pytest

from drainwright.build.model import CrewPlan
from drainwright.build.open_days import nights_between, open_days, walls_open
from drainwright.build.parts import task_key
from drainwright.paper.documents.hazards import nights
from tests.conftest import designed


def plan() -> CrewPlan:
    return designed("block-wall-house/job").build.plan


def test_open_from_the_first_dig_to_the_last_fill() -> None:
    """By the tasks' own hours: nothing but filling, seeding and tests ends after the last day told."""
    made = plan()
    span = open_days(made)
    assert span is not None
    digs = [task.start for task in made.tasks if task_key(task.key) in ("open", "trench")]
    fills = [task.end for task in made.tasks if task.key.startswith("backfill")]
    assert (span[0] - 1) * made.day_length <= min(digs) < span[0] * made.day_length
    assert (span[1] - 1) * made.day_length < max(fills) <= span[1] * made.day_length + 1e-6


def test_a_fill_that_ends_with_its_day_leaves_no_night_after_it() -> None:
    made = plan()
    length = made.day_length
    moved = tuple(
        replace(task, end=3 * length) if task.key.startswith("backfill") else task for task in made.tasks
    )  # fmt: skip
    assert open_days(replace(made, tasks=moved)) == (1, 3)


def test_where_nothing_is_dug_nothing_stands_open() -> None:
    made = plan()
    left = tuple(task for task in made.tasks if task_key(task.key) not in ("open", "trench"))
    assert open_days(replace(made, tasks=left)) is None


@pytest.mark.parametrize(("name", "long"), [("long-house", True), ("soak-lot", False)])
def test_the_crew_is_told_of_the_nights(name: str, long: bool) -> None:
    design = designed(f"{name}/job")
    span = open_days(design.build.plan)
    assert span is not None
    said = nights(design)
    many = nights_between(design.build.plan, span)
    assert any(f"Open over {many} night" in item for item in said)
    assert any("run by run" in item for item in said) == long == (many > 7)


def test_nights_of_days_off_count() -> None:
    """Monday 13 to Tuesday 21 April are eight nights, on seven working days."""
    design = designed("block-wall-house/job")
    assert open_days(design.build.plan) == (1, 7)
    assert nights_between(design.build.plan, (1, 7)) == 8
    assert nights(design)[0].startswith("Open over 8 nights (days 1 to 7, walls to 6).")
    assert any("Days off lie among them" in item for item in nights(design))
    undated = replace(design, build=replace(design.build, plan=replace(design.build.plan, dates=())))
    assert nights(undated)[0].startswith("Open over 6 nights and those of days off (days 1 to 7, walls to 6).")


def test_walls_are_closed_before_the_yard_is_dug() -> None:
    """Eleven days of digging in the yard by hand: the opened walls do not wait for them, and the plan grows by less
    than a day."""
    design = designed("long-house/job")
    tasks = {task.key: task for task in design.build.plan.tasks}
    length = design.build.plan.day_length
    shut = walls_open(design.build.plan)
    assert shut == (1, int(tasks["backfill"].end / length) + 1)
    assert shut[1] <= 8
    assert tasks["trench-yard"].end > tasks["backfill"].end
    assert any(f", walls to {shut[1]})" in item for item in nights(design))


def test_without_opened_walls_none_stands_open() -> None:
    assert walls_open(designed("soak-lot/job").build.plan) is None
