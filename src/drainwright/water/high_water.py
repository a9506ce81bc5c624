"""How high the water table stands in a wet season, from a well's record: the published readings of such a record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError

READING_DAYS = (14, 28)  # of each month
NEAR_DAYS = 3  # a reading so near to such a day stands in for it
LEAST_READINGS = 16  # of the 24 in a year: with fewer the year is left out
ALL_READINGS = 20  # above this the three highest of the year count, below it the two highest
ENOUGH_YEARS = 8  # of the Dutch definition
HIGH_SHARE = 0.90


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonalHigh:
    """High water in a record, by three definitions. Levels in the unit and datum of the record."""

    mean_highest: float | None  # Dutch GHG: mean over the years of the three highest fortnightly readings of each
    mean_yearly_highest: float | None  # mean of each year's highest reading of all
    nine_tenths: float  # not passed in nine tenths of all readings
    highest: float  # ever read
    years: tuple[int, ...]  # that count, by the year in which they begin
    enough: bool  # whether the years suffice for the Dutch definition: 8


def seasonal_high(
    times: Sequence[object] | NDArray[np.datetime64], levels: Sequence[float] | NDArray[np.float64], starts: int = 4
) -> SeasonalHigh:
    """Read the seasonal high water out of a well's record.

    Parameters
    ----------
    times : sequence, shape (n,)
        Dates, as ``datetime.date``, ISO text or ``datetime64``, in any order.
    levels : sequence, shape (n,)
        Levels over a datum; NaN where none was read. [m, or any length]
    starts : int
        Month in which the year begins: 4 (April) by the Dutch definition, so that a winter stays whole.

    Returns
    -------
    SeasonalHigh
        The first two are None where no year has 16 fortnightly readings.

    Raises
    ------
    InputError
        If times and levels differ in number, or nothing was read.

    Notes
    -----
    The mean highest water table (GHG): of the readings on the 14th and the 28th the three highest of each year, over
    eight years or more. Of a year with 16 to 20 of its 24 readings the two highest count. A reading within three days
    stands in for a missing one.

    References
    ----------
    The definition as the library pastas states it in ``stats/dutch.py`` (seen).

    Examples
    --------
    >>> days = np.arange("2010-04-01", "2011-04-01", dtype="datetime64[D]")
    >>> found = seasonal_high(days, np.where(days < np.datetime64("2010-07-01"), 2.0, 1.0))
    >>> found.mean_highest, found.mean_yearly_highest, found.enough
    (2.0, 2.0, False)
    """
    days = np.asarray(times, dtype="datetime64[D]")
    heights = np.asarray(levels, dtype=np.float64)
    if days.shape != heights.shape or days.ndim != 1:
        raise InputError("levels: expected one for each of the times")
    if not 1 <= starts <= 12:
        raise InputError(f"starts = {starts!r}: expected a month, 1 to 12")
    read = np.isfinite(heights) & ~np.isnat(days)
    if not np.any(read):
        raise InputError("levels: expected a record with readings")
    order = np.argsort(days[read], kind="stable")
    days, heights = days[read][order], heights[read][order]
    wanted = _reading_days(days[0], days[-1])
    taken = _nearest(days, heights, wanted)
    year_of_wanted, year_of_day = _year(wanted, starts), _year(days, starts)
    years, means, tops = [], [], []
    for year in np.unique(year_of_wanted):
        readings = taken[(year_of_wanted == year) & np.isfinite(taken)]
        if readings.size < LEAST_READINGS:
            continue
        count = 3 if readings.size > ALL_READINGS else 2
        years.append(int(year))
        means.append(float(np.mean(np.sort(readings)[-count:])))
        tops.append(float(np.max(heights[year_of_day == year])))
    return SeasonalHigh(
        mean_highest=float(np.mean(means)) if means else None,
        mean_yearly_highest=float(np.mean(tops)) if tops else None,
        nine_tenths=float(np.quantile(heights, HIGH_SHARE)),
        highest=float(np.max(heights)),
        years=tuple(years),
        enough=len(years) >= ENOUGH_YEARS,
    )


def _reading_days(first: np.datetime64, last: np.datetime64) -> NDArray[np.datetime64]:
    months = np.arange(first.astype("datetime64[M]"), last.astype("datetime64[M]") + 1)
    days = np.sort(np.concatenate([months.astype("datetime64[D]") + (day - 1) for day in READING_DAYS]))
    return days[(days >= first) & (days <= last)]


def _nearest(
    days: NDArray[np.datetime64], heights: NDArray[np.float64], wanted: NDArray[np.datetime64]
) -> NDArray[np.float64]:
    """The reading nearest to each wanted day; NaN where none lies within a few days."""
    after = np.clip(np.searchsorted(days, wanted), 1, max(days.size - 1, 1))
    later = np.minimum(after, days.size - 1)
    earlier = after - 1
    from_later = np.abs((days[later] - wanted).astype(np.int64))
    from_earlier = np.abs((days[earlier] - wanted).astype(np.int64))
    best = np.where(from_earlier < from_later, earlier, later)
    return np.where(np.minimum(from_earlier, from_later) <= NEAR_DAYS, heights[best], np.nan)


def _year(days: NDArray[np.datetime64], starts: int) -> NDArray[np.int64]:
    shifted = days.astype("datetime64[M]") - (starts - 1)
    return np.asarray(shifted.astype("datetime64[Y]").astype(np.int64) + 1970)


__all__ = ["SeasonalHigh", "seasonal_high"]
