"""How long the work may take: the plan tried with other hours and with days lost to weather."""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from drainwright.build.book import Book
from drainwright.build.crew_model import DaysDoubt
from drainwright.build.price import cents
from drainwright.build.schedule import Work
from drainwright.build.trials import COUNT, SEED, drawn_hours, drivers, ends
from drainwright.build.working_days import WorkingDays, working_days
from drainwright.job.firm import Crew
from drainwright.job.values import Basis

#: Share of working days lost to weather, where the job tells none: common practice, no source.
LOST = 0.15
LIKELY, BAD = 0.5, 0.8
SLACK_DAYS = 20  # working days more than the slowest trial needs, for lost ones


def days_doubt(works: Sequence[Work], crew: Crew, book: Book, unworked: float = 0.0) -> DaysDoubt | None:
    """Days and hours that half, and eight of ten, of many trials keep.

    Parameters
    ----------
    works : Sequence of Work
        With their doubts.
    crew : Crew
        People, day, start, week, share of days lost.
    book : Book
        Wage and burden.
    unworked : float
        Person-hours that are paid on each working day beside the work, as a mean of the plan. [h]

    Returns
    -------
    DaysDoubt or None
        None where there is no work. Each working day is lost to weather by its month's share, whatever the day before
        was: real weather comes in spells, so that bad luck may be worse than this.
    """
    if not works:
        return None
    hours = drawn_hours(works)
    calendar = working_days(crew)
    waits = math.fsum(work.wait for work in works) / 24.0
    need = int(float(hours.sum(axis=1).max()) / crew.hours_per_day + waits) + len(works) + 2
    offsets, order = _weather(need, calendar, crew)
    last = ends(works, hours, crew.size, crew.hours_per_day, offsets).max(axis=1)
    days = np.maximum(1, np.ceil(last / crew.hours_per_day - 1e-6)).astype(np.int64)
    rows = np.arange(len(days))
    booked = order[rows, days - 1] + 1
    sums = hours.sum(axis=1)
    hour = cents(book.wage * (1 + book.burden))
    dates = [_quantile(offsets[rows, days - 1], share) for share in (LIKELY, BAD)]
    first = calendar.dates(1)
    final = [first[0] + datetime.timedelta(days=count) if first else None for count in dates]
    half, bad = (float(np.quantile(sums, share)) for share in (LIKELY, BAD))
    paid_half, paid_bad = (float(np.quantile(sums + unworked * days, share)) for share in (LIKELY, BAD))
    return DaysDoubt(
        trials=len(days),
        days_likely=_quantile(days, LIKELY),
        days_bad=_quantile(days, BAD),
        days_mean=float(days.mean()),
        hours_mean=float(sums.mean()),
        hours_likely=half,
        hours_bad=bad,
        labour_likely=cents(Decimal(repr(round(paid_half, 4))) * hour),
        labour_bad=cents(Decimal(repr(round(paid_bad, 4))) * hour),
        booked_likely=_quantile(booked, LIKELY),
        booked_bad=_quantile(booked, BAD),
        end_likely=final[0],
        end_bad=final[1],
        weather_basis=Basis.STATED if crew.lost_days else Basis.ASSUMED,
        drivers=tuple(drivers(works, hours).items()),
    )


def _quantile(values: NDArray[np.int64], share: float) -> int:
    """The least whole value that this share of all trials keeps."""
    return int(np.quantile(values, share, method="inverted_cdf"))


def _weather(need: int, calendar: WorkingDays, crew: Crew) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Days from the first to each day that is really worked, and its number among the working days.

    Both of shape (trials, ``need``). The first day stands: the start is agreed for a dry one.
    """
    shares = crew.lost_days or (LOST,) * 12
    many = int(need / (1.0 - max(shares)) * 1.5) + SLACK_DAYS
    base = calendar.offsets(many)
    dates = calendar.dates(many)
    chance = np.array([shares[date.month - 1] for date in dates] if dates else [sum(shares) / 12] * many)
    drawn = np.random.default_rng((SEED, 1)).random((COUNT, many)) < chance
    drawn[:, 0] = False
    order = np.argsort(drawn, axis=1, kind="stable")[:, :need]
    return base[order], order


__all__ = ["BAD", "LIKELY", "LOST", "days_doubt"]
