"""Earliest and latest starts, and the chain of works that sets the last hour."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal

from drainwright.build.crew_model import ChainLink
from drainwright.build.schedule import Placed, Work, holds, horizon, released
from drainwright.build.working_days import Offsets, WorkingDays, clock_hours, last_working_hours

CLOSE = 1e-6  # moments nearer than this are one [h]


def earliest_starts(
    works: Sequence[Work], people: int, day_length: float, calendar: WorkingDays | None = None
) -> dict[str, float]:
    """The first working hour of each work, were there people for everything at once.

    Parameters
    ----------
    works : Sequence of Work
        As for ``arrange``, which refuses rings.
    people : int
        Each work has as many of these as it takes, whatever else goes on.
    day_length : float
        Working hours a day. [h]
    calendar : WorkingDays, optional
        The days that are worked.

    Returns
    -------
    dict of str to float
        By key. [h]
    """
    offsets = (calendar or WorkingDays()).offsets(horizon(works, day_length))
    by_key = {work.key: work for work in works}
    found: dict[str, float] = {}
    for key in in_order(works):
        work = by_key[key]
        ends = {name: found[name] + shortest(by_key[name], people) for name in work.after if name in by_key}
        moments = [released(by_key[name], key, end, day_length, offsets) for name, end in ends.items()]
        found[key] = max(moments, default=0.0)
    return found


def latest_starts(
    works: Sequence[Work], people: int, day_length: float, last: float, calendar: WorkingDays | None = None
) -> dict[str, float]:
    """The last working hour at which each work may start so that all is done by ``last``, people given.

    Parameters
    ----------
    works, people, day_length, calendar
        As for ``earliest_starts``.
    last : float
        Working hour by which all is to be done. [h]

    Returns
    -------
    dict of str to float
        By key; below zero where ``last`` cannot be kept. [h]
    """
    offsets = (calendar or WorkingDays()).offsets(horizon(works, day_length) + int(last / day_length) + 1)
    by_key = {work.key: work for work in works}
    found: dict[str, float] = {}
    for key in reversed(in_order(works)):
        work = by_key[key]
        ends = [
            _before(work, other.key, found[other.key], day_length, offsets) for other in works if key in other.after
        ]
        found[key] = min(ends, default=last) - shortest(work, people)
    return found


def _before(work: Work, follower: str, start: float, day_length: float, offsets: Offsets) -> float:
    """The last end of a work that lets a follower start then. [h]"""
    if not holds(work, follower) or start < 0.0:
        return start
    return min(start, last_working_hours(clock_hours(start, day_length, offsets) - work.wait, day_length, offsets))


def shortest(work: Work, people: int) -> float:
    """Hours of a work with as many as it takes. [h]"""
    return work.hours / min(work.most, people)


def in_order(works: Sequence[Work]) -> list[str]:
    """Keys so that each comes after all that it follows."""
    keys = {work.key for work in works}
    before = {work.key: {name for name in work.after if name in keys} for work in works}
    found: list[str] = []
    while before:
        ready = [key for key, names in before.items() if not names]
        if not ready:
            return [*found, *before]
        for key in ready:
            del before[key]
        for names in before.values():
            names.difference_update(ready)
        found += ready
    return found


def critical_chain(placed: Sequence[Placed], day_length: float, calendar: WorkingDays | None = None) -> list[ChainLink]:
    """From the last work back to the first: what each waited for until it started.

    Parameters
    ----------
    placed : Sequence of Placed
        From ``arrange``.
    day_length : float
        Working hours a day. [h]
    calendar : WorkingDays, optional
        As it was arranged by.

    Returns
    -------
    list of ChainLink
        In the order of time. A work waited for the end or the cure of one before it, or for people who were busy with
        another: then that other comes before it in the chain.
    """
    if not placed:
        return []
    offsets = (calendar or WorkingDays()).offsets(horizon([item.work for item in placed], day_length))
    by_key = {item.work.key: item for item in placed if not item.work.aside}
    now = max((item for item in placed if not item.work.aside), key=lambda item: item.end, default=placed[0])
    links: list[ChainLink] = []
    seen: set[str] = set()
    while now.work.key not in seen:
        seen.add(now.work.key)
        kind, on = _cause(now, by_key, day_length, offsets)
        links.append(
            ChainLink(
                key=now.work.key, title=now.work.title, start=now.start, end=now.end,
                waited_for=kind, on=on,
            )
        )  # fmt: skip
        if not on:
            break
        now = by_key[on]
    return links[::-1]


_Kind = Literal["start", "order", "cure", "people"]


def _cause(item: Placed, by_key: Mapping[str, Placed], day_length: float, offsets: Offsets) -> tuple[_Kind, str]:
    """Why a work did not start earlier, and the work that it waited for."""
    if item.start <= CLOSE:
        return "start", ""
    key = item.work.key
    before = [by_key[name] for name in item.work.after if name in by_key]
    free = {one.work.key: released(one.work, key, one.end, day_length, offsets) for one in before}
    last = max(free, key=lambda name: (free[name], by_key[name].end), default="")
    if last and free[last] >= item.start - CLOSE:
        return ("cure" if holds(by_key[last].work, key) else "order"), last
    ended = [one for one in by_key.values() if abs(one.end - item.start) <= CLOSE and one.work.key != key]
    if ended:  # people were busy; of several that ended then, the one that took most
        return "people", max(ended, key=lambda one: (one.work.hours, one.work.key)).work.key
    running = [
        one
        for one in by_key.values()
        if one.work.key != key and any(abs(s.end - item.start) <= CLOSE for s in one.spells)
    ] or [  # whoever came free went along with these
        one
        for one in by_key.values()
        if one.work.key != key and any(s.start < item.start - CLOSE and item.start <= s.end for s in one.spells)
    ]
    if running:
        return "people", max(running, key=lambda one: (one.work.hours, one.work.key)).work.key
    return "start", ""


__all__ = ["critical_chain", "earliest_starts", "in_order", "latest_starts", "shortest"]
