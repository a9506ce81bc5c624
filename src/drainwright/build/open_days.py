"""Over which days of the plan trenches stand open, and so how many nights."""

from __future__ import annotations

from drainwright.build.crew_model import CrewPlan
from drainwright.build.parts import task_key

CLOSE = 1e-6  # of a day [-]


def open_days(plan: CrewPlan) -> tuple[int, int] | None:
    """From the day of the first dig to that of the last fill, counted from 1; None where nothing is dug.

    Parameters
    ----------
    plan : CrewPlan
        The days. The plan digs all before it fills: a crew that digs and lays run by run leaves less open.

    Returns
    -------
    tuple of int, or None
        First and last day; trenches stand open over the nights between.
    """
    opened = [task.day for task in plan.tasks if task_key(task.key) in ("open", "trench")]
    if not opened:
        return None
    closed = [task.end for task in plan.tasks if task_key(task.key) == "backfill"]
    last = int(max(closed, default=plan.days * plan.day_length) / plan.day_length - CLOSE) + 1
    return min(opened), min(last, plan.days)


__all__ = ["open_days"]
