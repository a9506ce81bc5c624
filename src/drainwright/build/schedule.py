"""The days: work in its order, with waits for cure, by a crew that shares itself among what can be done."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from drainwright.build.model import CrewPlan, Task
from drainwright.errors import InputError, require

HOUR = 3600.0  # [s]
INSTANT = 1e-9  # [h]


@dataclass(frozen=True, slots=True, kw_only=True)
class Work:
    """One piece of work before it has its day."""

    key: str
    title: str
    hours: float  # person-hours
    quantity: str
    after: tuple[str, ...] = ()
    most: int = 99  # people who can work at it at once
    wait: float = 0.0  # before the work named in ``held`` may start [h]
    held: tuple[str, ...] = ()  # empty: the wait holds everything that comes after


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """Work with its working hours, counted from the start of the first day."""

    work: Work
    start: float  # [h]
    end: float  # [h]


def clock_hours(working: float, day_length: float) -> float:
    """Hours on the clock since the first morning, nights counted, for working hours."""
    day = math.floor(working / day_length + INSTANT)
    return 24.0 * day + (working - day * day_length)


def working_hours(clock: float, day_length: float) -> float:
    """The first working moment at or after a moment on the clock."""
    day = math.floor(clock / 24.0 + INSTANT)
    return day * day_length + min(clock - 24.0 * day, day_length)


def arrange(works: Sequence[Work], people: int, day_length: float) -> tuple[Placed, ...]:
    """List scheduling: whoever is free takes the work with the longest chain behind it.

    Parameters
    ----------
    works : Sequence of Work
        Each with what must be done before; names that are not in the list are left out.
    people : int
        Size of the crew, one or more.
    day_length : float
        Working hours a day, above zero and at most 24.

    Returns
    -------
    tuple of Placed
        In the order of ``works``. Equal lists give equal days.

    Raises
    ------
    InputError
        If a value is out of range, two works share a key, or works wait for each other in a ring.

    Notes
    -----
    Waits run through the night: a coat put on at ten may be followed at ten the next day. The order of choice is
    the critical path's: the longest remaining chain of shortest possible durations and waits, then the list.
    """
    require("above zero", np.greater, people=people, day_length=day_length, spare=24.001 - day_length)
    by_key = {work.key: work for work in works}
    if len(by_key) != len(works):
        raise InputError(f"works = {len(works)}: expected each key once")
    order = list(by_key)
    before = {work.key: [name for name in work.after if name in by_key] for work in works}
    tails = _tails(by_key, before, people)
    left = {work.key: work.hours for work in works}
    start: dict[str, float] = {}
    end: dict[str, float] = {}
    now = 0.0
    while len(end) < len(works):
        ready, wakes = [], []
        for key in order:
            if key in end or any(name not in end for name in before[key]):
                continue
            free = max((_released(by_key[name], key, end[name], day_length) for name in before[key]), default=0.0)
            if free <= now + INSTANT:
                ready.append(key)
            else:
                wakes.append(free)
        ready.sort(key=lambda key: (-tails[key], order.index(key)))
        hands, spare = {}, people
        for key in ready:
            if spare == 0 and left[key] > INSTANT:
                continue
            hands[key] = min(by_key[key].most, spare)
            spare -= hands[key] if left[key] > INSTANT else 0
            start.setdefault(key, now)
        done = [key for key in hands if left[key] <= INSTANT]
        if not done:
            events = [left[key] / hands[key] for key in hands] + [wake - now for wake in wakes]
            if not events:
                raise InputError(f"after = {sorted(set(order) - set(end))}: expected no works that wait in a ring")
            step = min(events)
            for key, count in hands.items():
                left[key] = max(0.0, left[key] - step * count)
            now += step
            done = [key for key in hands if left[key] <= INSTANT]
        for key in done:
            end[key] = now
    return tuple(Placed(work=work, start=start[work.key], end=end[work.key]) for work in works)


def _released(work: Work, follower: str, end: float, day_length: float) -> float:
    """When a follower may start after a work, its cure counted [h]."""
    if work.wait <= 0 or (work.held and follower not in work.held):
        return end
    return working_hours(clock_hours(end, day_length) + work.wait, day_length)


def _tails(by_key: dict[str, Work], before: dict[str, list[str]], people: int) -> dict[str, float]:
    """Longest chain from the start of each work to the end of all, in hours."""
    tails: dict[str, float] = {}
    waiting = dict(by_key)
    while waiting:
        last = [key for key in waiting if not any(key in before[other] for other in waiting)]
        if not last:
            raise InputError(f"after = {sorted(waiting)}: expected no works that wait in a ring")
        for key in last:
            work = waiting.pop(key)
            behind = max((tails[other] for other in tails if key in before[other]), default=0.0)
            tails[key] = work.hours / min(work.most, people) + work.wait + behind
    return tails


def crew_plan(works: Sequence[Work], people: int, day_length: float) -> CrewPlan:
    """The works with their days.

    Parameters
    ----------
    works : Sequence of Work
        In the order of the papers.
    people : int
        Size of the crew.
    day_length : float
        Working hours a day.

    Returns
    -------
    CrewPlan
        Each task on the day on which it starts.
    """
    placed = arrange(works, people, day_length)
    last = max((item.end for item in placed), default=0.0)
    return CrewPlan(
        tasks=tuple(
            Task(
                key=item.work.key,
                title=item.work.title,
                hours=item.work.hours,
                day=math.floor(item.start / day_length + 1e-6) + 1,
                quantity=item.work.quantity,
                after=tuple(name for name in item.work.after if any(work.key == name for work in works)),
                wait=item.work.wait * HOUR,
            )
            for item in placed
        ),
        hours=math.fsum(work.hours for work in works),
        days=max(1, math.ceil(last / day_length - 1e-6)),
        crew=people,
    )


def days_open(works: Sequence[Work], people: int, day_length: float, opened: str, closed: Sequence[str]) -> int:
    """Working days from the start of one work to the end of others, both days counted.

    Parameters
    ----------
    works : Sequence of Work
        As for ``arrange``.
    people : int
        Size of the crew.
    day_length : float
        Working hours a day.
    opened : str
        The work that opens.
    closed : Sequence of str
        The works that close, the latest of those in the list; where none is, the end of all.

    Returns
    -------
    int
        One or more.
    """
    placed = {item.work.key: item for item in arrange(works, people, day_length)}
    start = placed[opened].start if opened in placed else 0.0
    ends = [placed[key].end for key in closed if key in placed] or [item.end for item in placed.values()]
    return max(1, math.ceil(max(ends, default=0.0) / day_length - 1e-6) - math.floor(start / day_length + 1e-6))


__all__ = ["Placed", "Work", "arrange", "clock_hours", "crew_plan", "days_open", "working_hours"]
