"""Works that may not wait past the day on which the hired shields of their place go back."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from drainwright.build.crew_model import CrewPlan
from drainwright.build.guarded import GuardedPlace
from drainwright.build.hire import days_of, stay_in
from drainwright.build.schedule import Placed


def within_hire(plan: CrewPlan, places: Sequence[GuardedPlace], placed: Sequence[Placed], pit_hours: float) -> CrewPlan:
    """The plan, each work in a guarded place with no more time to wait than its shields are there.

    Parameters
    ----------
    plan : CrewPlan
        The days.
    places : Sequence of GuardedPlace
        Whose shields are hired.
    placed : Sequence of Placed
        From ``schedule.arrange``, of the same plan.
    pit_hours : float
        Person-hours of the basins' holes. [h]

    Returns
    -------
    CrewPlan
        Nothing is moved; only the latest starts come earlier.
    """
    last: dict[str, float] = {}
    for item in places:
        spells = stay_in(item, 1, placed, pit_hours).spells
        close = max((max(days_of(spell, plan.day_length)) for spell in spells), default=0) * plan.day_length
        for key, *_ in spells:
            last[key] = min(last.get(key, close), close)
    tasks = tuple(
        replace(task, latest=max(task.start, min(task.latest, task.start + last[task.key] - task.end)))
        if task.key in last
        else task
        for task in plan.tasks
    )
    return replace(plan, tasks=tasks)


__all__ = ["within_hire"]
