"""The plan of the days: works arranged over the crew's calendar, with their slack and the critical chain."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from drainwright.build.crew_model import CrewPlan, DayHands, Task
from drainwright.build.critical import critical_chain, earliest_starts, latest_starts
from drainwright.build.schedule import Placed, Work, arrange, holds, horizon, released
from drainwright.build.trials import three_points
from drainwright.build.working_days import WorkingDays

HOUR = 3600.0  # [s]
CLOSE = 1e-6  # of a day [-]


def crew_plan(works: Sequence[Work], people: int, day_length: float, calendar: WorkingDays | None = None) -> CrewPlan:
    """The works with their days.

    Parameters
    ----------
    works : Sequence of Work
        In the order of the papers.
    people : int
        Size of the crew.
    day_length : float
        Working hours a day.
    calendar : WorkingDays, optional
        The days that are worked; left out, one after the other.

    Returns
    -------
    CrewPlan
        Each task on the day on which it starts, with its people day by day.
    """
    return planned(arrange(works, people, day_length, calendar), people, day_length, calendar)


def planned(placed: Sequence[Placed], people: int, day_length: float, calendar: WorkingDays | None = None) -> CrewPlan:
    """The plan of works that are arranged already."""
    works = [item.work for item in placed]
    keys = {work.key for work in works}
    last = max((item.end for item in placed), default=0.0)
    early = earliest_starts(works, people, day_length, calendar)
    late = latest_starts(works, people, day_length, last, calendar)
    offsets = (calendar or WorkingDays()).offsets(horizon(works, day_length))
    days = max(1, math.ceil(last / day_length - CLOSE))
    return CrewPlan(
        tasks=tuple(
            Task(
                key=item.work.key,
                title=item.work.title,
                hours=item.work.hours,
                day=math.floor(item.start / day_length + CLOSE) + 1,
                quantity=item.work.quantity,
                after=tuple(dict.fromkeys(name for name in item.work.after if name in keys)),
                wait=item.work.wait * HOUR,
                held=tuple(work.key for work in works if item.work.key in work.after and holds(item.work, work.key)),
                start=item.start,
                end=item.end,
                cured=released(replace(item.work, held=()), "", item.end, day_length, offsets),
                spells=tuple((spell.start, spell.end, spell.people) for spell in item.spells),
                by_day=_by_day(item, day_length),
                earliest=early[item.work.key],
                latest=max(item.start, late[item.work.key]),
                hold=item.work.hold,
                watch=item.work.watch,
                low=three_points(item.work).low,
                high=three_points(item.work).high,
            )
            for item in placed
        ),
        hours=math.fsum(work.hours for work in works),
        days=days,
        crew=people,
        day_length=day_length,
        dates=() if calendar is None else calendar.dates(days),
        moved=None if calendar is None else calendar.moved,
        peak=peak(placed),
        chain=tuple(critical_chain(placed, day_length, calendar)),
    )


def _by_day(item: Placed, day_length: float) -> tuple[DayHands, ...]:
    """Spells cut at the ends of days."""
    found: dict[int, tuple[int, float]] = {}
    for spell in item.spells:
        first = math.floor(spell.start / day_length + CLOSE)
        after = max(first + 1, math.ceil(spell.end / day_length - CLOSE))
        for day in range(first, after):
            length = min(spell.end, (day + 1) * day_length) - max(spell.start, day * day_length)
            people, hours = found.get(day + 1, (0, 0.0))
            found[day + 1] = max(people, spell.people), hours + length * spell.people
    return tuple(
        DayHands(day=day, people=people, hours=hours) for day, (people, hours) in found.items() if hours > CLOSE
    )


def peak(placed: Sequence[Placed]) -> int:
    """Most people at work at once."""
    moments = sorted({spell.start for item in placed for spell in item.spells})
    return max(
        (
            sum(spell.people for item in placed for spell in item.spells if spell.start <= moment < spell.end - CLOSE)
            for moment in moments
        ),
        default=0,
    )


__all__ = ["CLOSE", "crew_plan", "peak", "planned"]
