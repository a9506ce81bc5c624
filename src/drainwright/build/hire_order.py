"""Whom the crew's hands go to first, where that saves days of hire and costs no day of work."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import NamedTuple

from drainwright.build.schedule import Placed, Spell, Work

ROUNDS = 3  # through all works, each tried before and behind the others; common practice of local search, no source
RANKS = (1, -1, 0)
CLOSE = 1e-6  # of a day [-]


class Hired(NamedTuple):
    """What is hired by a plan: compared by cost, then by hours, which lead to the days that can be saved."""

    cost: Decimal
    hours: float  # for which places stand open, each by its sets [h]


def ranked(
    works: Sequence[Work],
    arranged: Callable[[Sequence[Work]], Sequence[Placed]],
    hired: Callable[[Sequence[Placed]], Hired],
    day_length: float,
) -> Mapping[str, int]:
    """Works that have their people before or behind what the longest chain would choose, so that hire costs least.

    Parameters
    ----------
    works : Sequence of Work
        In the order of the papers.
    arranged : function of Sequence of Work to Sequence of Placed
        ``schedule.arrange`` with a crew and its calendar.
    hired : function of Sequence of Placed to Hired
        What the hire of a plan costs, and for how long it is needed.
    day_length : float
        Working hours a day. [h]

    Returns
    -------
    mapping of str to int
        ``Work.rank`` by key, where it is not 0. The plan never takes more working days than without ranks, and its hire
        never costs more: ranks are kept only where hire is cheaper with them. Each work is tried by itself, and again
        after others are ranked: the least of all orders is sought, not proven.
    """
    known: dict[tuple[tuple[float, float, tuple[Spell, ...]], ...], Hired] = {}  # many orders come to the same plan

    def hire_of(plan: Sequence[Placed]) -> Hired:
        when = tuple((item.start, item.end, item.spells) for item in plan)
        if when not in known:
            known[when] = hired(plan)
        return known[when]

    best = list(works)
    plan = arranged(best)
    most, first = _days(plan, day_length), hire_of(plan)
    least = first
    for _ in range(ROUNDS if first.cost > 0 else 0):
        before = least
        for index in range(len(best)):
            for rank in RANKS:
                if rank == best[index].rank:
                    continue
                tried = [*best[:index], replace(best[index], rank=rank), *best[index + 1 :]]
                plan = arranged(tried)
                if _days(plan, day_length) <= most and (found := hire_of(plan)) < least:
                    best, least = tried, found
        if least == before:
            break
    return {work.key: work.rank for work in best if work.rank} if least.cost < first.cost else {}


def _days(placed: Sequence[Placed], day_length: float) -> int:
    return math.ceil(max((item.end for item in placed), default=0.0) / day_length - CLOSE)


__all__ = ["Hired", "ranked"]
