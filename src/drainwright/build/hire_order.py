"""The order of works: fewest nights that a wall stands open, then least money, the trench pump's days in both."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace
from decimal import Decimal
from typing import NamedTuple

from drainwright.build.parts import dig_key
from drainwright.build.passes import EVEN
from drainwright.build.schedule import Placed, Work, days_from_to
from drainwright.build.working_days import Offsets

ROUNDS = 3  # through all works, each tried before and behind the others; common practice of local search, no source
RANKS = (1, -1, 0)
WORTH = 1  # working day that a wall closed a night sooner is worth: a judgement, no source [d]


class Worth(NamedTuple):
    """What an order is compared by, the first before the second, the second before the third."""

    nights: int  # on which a wall stands open, days off counted
    cost: Decimal  # of all hire and all paid hours
    hours: float  # for which places stand open, each by its sets: leads to the days that can be saved [h]


class Tried(NamedTuple):
    """An order of works, tried."""

    days: int  # working days
    worth: Worth


def best_order(
    works: Sequence[Work], tried: Callable[[Sequence[Work]], Tried], closing: Collection[str] = ()
) -> Mapping[str, int]:
    """Works that have their people before or behind what the longest chain would choose.

    Parameters
    ----------
    works : Sequence of Work
        In the order of the papers; those that have a rank keep it.
    tried : function of Sequence of Work to Tried
        The plan that the works make, with all that hangs on it: the trench pump's hours and hire, shields, machines.
    closing : collection of str, optional
        Keys of the works that open walls and close them again, from ``at_the_walls``: the search begins with all of
        them before the others where that is worth more.

    Returns
    -------
    mapping of str to int
        ``Work.rank`` by key, where it is not 0: of the orders tried the one of most worth. It takes no more working
        days than the longest chain's, or one more where a wall then stands open for fewer nights. Each work is tried by
        itself, and again after others are ranked: the best of all orders is sought, not proven.
    """
    first = tried(works)

    def kept(found: Tried) -> bool:
        more = found.days - first.days
        return more <= 0 or (more <= WORTH and found.worth.nights < first.worth.nights)

    best, begun = list(works), first
    if closing:
        walls_first = [replace(one, rank=max(1, one.rank)) if one.key in closing else one for one in works]
        found = tried(walls_first)
        if kept(found) and found.worth < first.worth:
            best, begun = walls_first, found
    given, least = best, begun.worth
    free = [index for index, work in enumerate(works) if not work.rank]
    known = {tuple(one.rank for one in best): least}
    for _ in range(ROUNDS):
        before = least
        for index in free:
            for rank in RANKS:
                other = [*best[:index], replace(best[index], rank=rank), *best[index + 1 :]]
                ranks = tuple(one.rank for one in other)
                if ranks in known:
                    continue
                found = tried(other)
                known[ranks] = found.worth
                if kept(found) and found.worth < least:
                    best, least = other, found.worth
        if least == before:
            break
    # an order that only saves hours, and neither a night nor money, is not worth turning the list for
    return {work.key: work.rank for work in (best if least[:2] < begun.worth[:2] else given) if work.rank}


def nights_open(placed: Sequence[Placed], day_length: float, offsets: Offsets) -> int:
    """Nights on which any wall stands open.

    Parameters
    ----------
    placed : Sequence of Placed
        From ``schedule.arrange``.
    day_length : float
        Working hours a day. [h]
    offsets : array of shape (n,)
        Calendar days from the first working day to each: nights of days off are counted. [day]

    Returns
    -------
    int
        From the day on which a wall is opened to that on which it is backfilled; of walls that are bared in lengths,
        each pass by itself, for between them none stands open.
    """
    nights: set[int] = set()
    for even in (False, True):
        mine = [one for one in placed if one.work.key.endswith(EVEN) == even]
        opens = [one.work.key for one in mine if dig_key(one.work.key) == "open"]
        closes = [one.work.key for one in mine if dig_key(one.work.key) == "backfill"]
        if opens:
            first, last = days_from_to(placed, day_length, opens, closes)
            nights |= set(range(int(offsets[first - 1]), int(offsets[last - 1])))
    return len(nights)


__all__ = ["Tried", "Worth", "best_order", "nights_open"]
