"""Days on which the crew has less than half of its work, and what the rest waits for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from drainwright.build.crew_model import CrewPlan, Task

SHORT = 0.5  # of the crew's hours: a day with less is explained; common practice, no source [-]
CLOSE = 1e-6  # of an hour [-]
#: The rest waits for a cure, for a visit on its agreed day, or for the end of what goes on alone.
Why = Literal["cure", "visit", "alone"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShortDay:
    """Why so little, or nothing, is worked at on a day."""

    day: int  # working day, from 1
    why: Why
    title: str  # of the work that cures, or goes on, or of the visit


def short_days(plan: CrewPlan) -> tuple[ShortDay, ...]:
    """Every day but the last with less than half of the crew's hours, and what most of its idle hours wait for.

    Parameters
    ----------
    plan : CrewPlan
        The days.

    Returns
    -------
    tuple of ShortDay
        In the order of the days; the last day is short because the work ends.
    """
    found = []
    for day in range(1, plan.days):
        if sum(hands.hours for _, hands in plan.on_day(day)) >= SHORT * plan.crew * plan.day_length:
            continue
        waits: dict[tuple[Why, str], float] = {}
        for idle, why, title in _idle(plan, (day - 1) * plan.day_length, day * plan.day_length):
            waits[why, title] = waits.get((why, title), 0.0) + idle
        if waits:
            (why, title), _ = max(waits.items(), key=lambda item: item[1])
            found.append(ShortDay(day=day, why=why, title=title))
    return tuple(found)


def _idle(plan: CrewPlan, start: float, end: float) -> Iterator[tuple[float, Why, str]]:
    """Idle person-hours of each while of a day, with what holds the work that is still to begin. [h]"""
    moments = {start, end, *(task.cured for task in plan.tasks), *(task.visit_from for task in plan.tasks)}
    moments |= {moment for task in plan.tasks for spell in task.spells for moment in spell[:2]}
    for at, until in pairwise(sorted(moment for moment in moments if start <= moment <= end)):
        here = [
            (task, hands) for task in plan.tasks for begin, last, hands in task.spells if begin <= at < last - CLOSE
        ]
        idle = (plan.crew - sum(hands for _, hands in here)) * (until - at)
        if idle <= CLOSE:
            continue
        curing = _curing(plan, at)
        if curing is not None:
            yield idle, "cure", curing.title
        elif (visited := _visited(plan, at)) is not None:
            yield idle, "visit", visited.visit
        elif here:
            task = max((task for task, _ in here), key=lambda task: task.end)
            yield idle, "alone", task.title


def _visited(plan: CrewPlan, at: float) -> Task | None:
    """What waits longest at a moment for a visit on its agreed day, and for no work any more."""
    tasks = {task.key: task for task in plan.tasks}
    held = [
        task
        for task in plan.tasks
        if task.visit and task.visit_from > at + CLOSE and all(tasks[key].end <= at + CLOSE for key in task.after)
    ]
    return max(held, key=lambda one: one.visit_from, default=None)


def _curing(plan: CrewPlan, at: float) -> Task | None:
    """What cures last at a moment, of all that holds work which waits for nothing else."""
    tasks = {task.key: task for task in plan.tasks}
    held: list[Task] = []
    for task in plan.tasks:
        before = [tasks[key] for key in task.after]
        if task.start > at + CLOSE and all(one.end <= at + CLOSE for one in before):
            held += [one for one in before if task.key in one.held and one.cured > at + CLOSE]
    return max(held, key=lambda one: one.cured, default=None)


__all__ = ["ShortDay", "short_days"]
