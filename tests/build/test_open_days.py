"""Over which days trenches stand open, and what the crew is told of the nights between."""

from __future__ import annotations

from dataclasses import replace

import pytest

from drainwright.build.model import CrewPlan
from drainwright.build.open_days import open_days
from drainwright.paper.documents.hazards import nights
from tests.conftest import designed


def plan() -> CrewPlan:
    return designed("block-wall-house/job").build.plan


def test_open_from_the_first_dig_to_the_last_fill() -> None:
    """By the tasks' own hours: nothing but filling, seeding and tests ends after the last day told."""
    made = plan()
    span = open_days(made)
    assert span is not None
    digs = [task.start for task in made.tasks if task.key in ("open", "trench")]
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
    left = tuple(task for task in made.tasks if task.key not in ("open", "trench"))
    assert open_days(replace(made, tasks=left)) is None


@pytest.mark.parametrize(("name", "long"), [("long-house", True), ("soak-lot", False)])
def test_the_crew_is_told_of_the_nights(name: str, long: bool) -> None:
    design = designed(f"{name}/job")
    span = open_days(design.build.plan)
    assert span is not None
    said = nights(design)
    assert any(f"Open over {span[1] - span[0]} night" in item for item in said)
    assert any("run by run" in item for item in said) == long == (span[1] - span[0] > 7)
