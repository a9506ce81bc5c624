"""Over which days of the plan trenches stand open, and so how many nights."""

from __future__ import annotations

from collections.abc import Callable

from drainwright.build.crew_model import CrewPlan
from drainwright.build.parts import YARD, dig_key, task_key

CLOSE = 1e-6  # of a day [-]


def open_days(plan: CrewPlan) -> tuple[int, int] | None:
    """From the day of the first dig to that of the last fill, counted from 1; None where nothing is dug.

    Parameters
    ----------
    plan : CrewPlan
        The days. The plan digs all of the yard before it fills there: a crew that digs and lays run by run leaves less
        open.

    Returns
    -------
    tuple of int, or None
        First and last day; trenches stand open over the nights between.
    """
    return _span(plan, lambda key: task_key(key) in ("open", "trench"), lambda key: task_key(key) == "backfill")


def walls_open(plan: CrewPlan) -> tuple[int, int] | None:
    """From the day on which the first wall is opened to that on which the last is backfilled; None without any."""
    apart = any(task.key == f"backfill{YARD}" for task in plan.tasks)

    def closes(key: str) -> bool:
        return (dig_key if apart else task_key)(key) == "backfill"

    return _span(plan, lambda key: dig_key(key) == "open", closes)


def nights_between(plan: CrewPlan, span: tuple[int, int]) -> int:
    """Nights from one working day of the plan to another; those of days off are counted where its days have dates."""
    first, last = span
    return (plan.dates[last - 1] - plan.dates[first - 1]).days if len(plan.dates) >= last else last - first


def _span(plan: CrewPlan, opens: Callable[[str], bool], closes: Callable[[str], bool]) -> tuple[int, int] | None:
    opened = [task.day for task in plan.tasks if opens(task.key)]
    if not opened:
        return None
    closed = [task.end for task in plan.tasks if closes(task.key)]
    last = int(max(closed, default=plan.days * plan.day_length) / plan.day_length - CLOSE) + 1
    return min(opened), min(last, plan.days)


__all__ = ["nights_between", "open_days", "walls_open"]
