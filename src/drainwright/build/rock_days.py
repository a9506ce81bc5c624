"""The days with the rock that the offer allows for: broken where it moves the end most."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from drainwright.build.book import Book
from drainwright.build.crew_days import CLOSE
from drainwright.build.crew_model import RockDays
from drainwright.build.days_doubt import days_doubt
from drainwright.build.model import UnitPrice
from drainwright.build.parts import YARD
from drainwright.build.passes import EVEN
from drainwright.build.schedule import Work, arrange
from drainwright.build.working_days import working_days
from drainwright.job.firm import Crew

DIGS = ("open", "trench", f"trench{YARD}", f"open{EVEN}", f"trench{EVEN}")


def rock_days(works: Sequence[Work], prices: Sequence[UnitPrice], crew: Crew, book: Book) -> RockDays | None:
    """The plan with all rock that the price has as an allowance.

    Parameters
    ----------
    works : Sequence of Work
        The plan's, with their doubts.
    prices : Sequence of UnitPrice
        Of unforeseen work, with what the price includes of each.
    crew : Crew
        People, day, start, week, share of days lost.
    book : Book
        Wage and burden.

    Returns
    -------
    RockDays or None
        None where no rock is allowed for, or nothing is dug.

    Notes
    -----
    Its hours are those of its unit price, haul and tip in them, and lengthen one work of digging: nobody knows which,
    so the one after which the end comes last. The crew shares them as it shares the digging. List scheduling may end
    sooner with more to do; a plan with rock is never told as shorter than the plan.
    """
    hours = sum(one.included * one.extra.hours for one in prices if one.extra.what == "rock")
    digs = [work.key for work in works if work.key in DIGS]
    if hours <= 0 or not digs:
        return None
    calendar = working_days(crew)

    def last(done: Sequence[Work]) -> float:
        return max(item.end for item in arrange(done, crew.size, crew.hours_per_day, calendar))

    longer = [
        tuple(replace(work, hours=work.hours + hours) if work.key == key else work for work in works) for key in digs
    ]
    ends = [last(done) for done in longer]
    worst = longer[ends.index(max(ends))]
    doubt, plain = days_doubt(worst, crew, book), days_doubt(works, crew, book)
    assert doubt is not None  # there are works
    assert plain is not None
    return RockDays(
        hours=hours,
        days=max(1, math.ceil(max(*ends, last(works)) / crew.hours_per_day - CLOSE)),
        days_likely=max(doubt.days_likely, plain.days_likely),
        days_bad=max(doubt.days_bad, plain.days_bad),
    )


__all__ = ["rock_days"]
