"""Whom the crew's hands go to first: opened walls, and where that saves days of hire; no day of work is lost by it."""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import NamedTuple

from drainwright.build.schedule import Placed, Spell, Work

ROUNDS = 3  # through all works, each tried before and behind the others; common practice of local search, no source
RANKS = (1, -1, 0)
WORTH = 1  # working day that opened walls closed sooner are worth: a judgement, no source [d]
CLOSE = 1e-6  # of a day [-]


class Hired(NamedTuple):
    """What is hired by a plan: compared by cost, then by hours, which lead to the days that can be saved."""

    cost: Decimal
    hours: float  # for which places stand open, each by its sets [h]


def walls_first(
    works: Sequence[Work],
    arranged: Callable[[Sequence[Work]], Sequence[Placed]],
    hired: Callable[[Sequence[Placed]], Hired],
    day_length: float,
    closing: Collection[str],
) -> Mapping[str, int]:
    """The works that open walls and close them again before all others, so that they stand open for fewer nights.

    Parameters
    ----------
    works, arranged, hired, day_length
        As for ``ranked``.
    closing : collection of str
        Keys of those works, from ``at_the_walls``.

    Returns
    -------
    mapping of str to int
        ``Work.rank`` of each of them; empty where hire would cost more, or the plan would take more than a working day
        longer, or one longer without closing the walls a day sooner.
    """
    plan, sooner = arranged(works), arranged([replace(one, rank=1) if one.key in closing else one for one in works])
    more = _days(sooner, day_length) - _days(plan, day_length)
    gained = _shut(plan, day_length, closing) - _shut(sooner, day_length, closing)
    if not closing or more > min(gained, WORTH) or hired(sooner).cost > hired(plan).cost:
        return {}
    return dict.fromkeys(sorted(closing), 1)


def ranked(
    works: Sequence[Work],
    arranged: Callable[[Sequence[Work]], Sequence[Placed]],
    hired: Callable[[Sequence[Placed]], Hired],
    day_length: float,
    closing: Collection[str] = (),
) -> Mapping[str, int]:
    """Works that have their people before or behind what the longest chain would choose, so that hire costs least.

    Parameters
    ----------
    works : Sequence of Work
        In the order of the papers, with the ranks that they have already.
    arranged : function of Sequence of Work to Sequence of Placed
        ``schedule.arrange`` with a crew and its calendar.
    hired : function of Sequence of Placed to Hired
        What the hire of a plan costs, and for how long it is needed.
    day_length : float
        Working hours a day. [h]
    closing : collection of str, optional
        Keys of the works that open walls and close them again, which end on no later day.

    Returns
    -------
    mapping of str to int
        ``Work.rank`` by key, where it is not 0. The plan never takes more working days than with the given ranks, and
        its hire never costs more: others are kept only where hire is cheaper with them. Each work is tried by itself,
        and again after others are ranked: the least of all orders is sought, not proven.
    """
    known: dict[tuple[tuple[float, float, tuple[Spell, ...]], ...], Hired] = {}  # many orders come to the same plan

    def hire_of(plan: Sequence[Placed]) -> Hired:
        when = tuple((item.start, item.end, item.spells) for item in plan)
        if when not in known:
            known[when] = hired(plan)
        return known[when]

    best = list(works)
    plan = arranged(best)
    most, first, shut = _days(plan, day_length), hire_of(plan), _shut(plan, day_length, closing)
    least = first
    for _ in range(ROUNDS if first.cost > 0 else 0):
        before = least
        for index in range(len(best)):
            for rank in RANKS:
                if rank == best[index].rank:
                    continue
                tried = [*best[:index], replace(best[index], rank=rank), *best[index + 1 :]]
                plan = arranged(tried)
                kept = _days(plan, day_length) <= most and _shut(plan, day_length, closing) <= shut
                if kept and (found := hire_of(plan)) < least:
                    best, least = tried, found
        if least == before:
            break
    return {work.key: work.rank for work in (best if least.cost < first.cost else works) if work.rank}


def _shut(placed: Sequence[Placed], day_length: float, closing: Collection[str]) -> int:
    """The working day on which the last of the works at the walls ends."""
    return _days([item for item in placed if item.work.key in closing], day_length)


def _days(placed: Sequence[Placed], day_length: float) -> int:
    return math.ceil(max((item.end for item in placed), default=0.0) / day_length - CLOSE)


__all__ = ["Hired", "ranked", "walls_first"]
