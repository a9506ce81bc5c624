"""What a rain record shows: the largest rain of each duration in each year, set beside a table."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError
from drainwright.exchange.rain_record import YEAR, RainRecord
from drainwright.job.rain_file import DepthTable
from drainwright.worksheet import Card, catalogued

DURATIONS = (
    300.0,
    900.0,
    1800.0,
    3600.0,
    2 * 3600.0,
    6 * 3600.0,
    12 * 3600.0,
    86400.0,
    2 * 86400.0,
    7 * 86400.0,
)  # [s]
LEAST_READ = 0.8  # share of a year that must have been read for it to count: common practice, no source [-]
FEWEST_YEARS = 10  # from which a fit of rare rain is offered: common practice, no source
# Greatest rain of a duration over the greatest of whole steps that make it up, by the number of steps: WMO, Manual on
# Estimation of Probable Maximum Precipitation, and NOAA Atlas 14 use the like; values from memory.
STEP_FACTORS = (1.13, 1.04, 1.03, 1.02, 1.01, 1.01)


@dataclass(frozen=True, slots=True, kw_only=True)
class YearlyMaxima:
    """Largest rain of one duration, year by year."""

    duration: float  # [s]
    years: tuple[int, ...]  # those that were read well enough
    depths: tuple[float, ...]  # as the steps of the record show it [m]
    ends: tuple[np.datetime64, ...]  # stamp at the end of each
    largest: float  # of the whole record, years that do not count too [m]
    largest_at: np.datetime64  # stamp at its end
    step_factor: float  # by which the true maximum is larger, on average, since steps are fixed by the clock [-]

    @property
    def median(self) -> float | None:
        """Median of the yearly maxima, a two-year rain of the yearly series; None where no year counts [m]."""
        return float(median(self.depths)) if self.depths else None


@catalogued(
    Card(
        title="Rain of a return period from yearly maxima, Gumbel by moments",
        symbol="P_T",
        expression="mean - deviation * sqrt(6) / pi * (0.5772156649 + log(log(years / (years - 1))))",
        units={"mean": "m", "deviation": "m", "years": "-", "result": "m"},
        source="gumbel",
        trial={"years": (1.5, 500.0)},
    )
)
def gumbel_depth(mean: float, deviation: float, years: float) -> float:
    """Depth that is reached in one of so many years, by Gumbel's distribution fitted by moments.

    Parameters
    ----------
    mean, deviation : float
        Mean and standard deviation of the yearly maxima. [m]
    years : float
        Return period, above one year. [-]

    Returns
    -------
    float
        Depth. [m]

    Raises
    ------
    InputError
        If the return period is not above one year.
    """
    if not years > 1.0:
        raise InputError(f"years = {years!r}: expected a return period above one year")
    return float(mean - deviation * np.sqrt(6.0) / np.pi * (0.5772156649 + np.log(np.log(years / (years - 1.0)))))


def window_sums(record: RainRecord, duration: float) -> NDArray[np.float64]:
    """Rain of the time that ends at each stamp; missing steps count as dry.

    Parameters
    ----------
    record : RainRecord
        At any step, regular or not.
    duration : float
        A whole number of steps, one or more. [s]

    Returns
    -------
    NDArray
        Shape of ``record.times``. [m]

    Raises
    ------
    InputError
        If the duration is not a whole number of the record's steps.
    """
    steps = duration / record.step
    if steps < 1.0 - 1e-9 or abs(steps - round(steps)) > 1e-6:
        raise InputError(
            f"duration = {duration / 60:g} min: expected a whole number of the record's steps of"
            f" {record.step / 60:g} min"
        )
    total = np.concatenate([[0.0], np.cumsum(np.nan_to_num(record.depths))])
    since = record.times - np.timedelta64(round(duration), "s")
    first = np.searchsorted(record.times, since, side="right")
    sums: NDArray[np.float64] = np.maximum(total[1:] - total[first], 0.0)
    return sums


def yearly_maxima(record: RainRecord, duration: float) -> YearlyMaxima:
    """Largest rain of a duration in each calendar year that was read well enough.

    Parameters
    ----------
    record : RainRecord
        The record.
    duration : float
        A whole number of its steps. [s]

    Returns
    -------
    YearlyMaxima
        Empty where no year counts.

    Raises
    ------
    InputError
        As ``window_sums``.
    """
    sums = window_sums(record, duration)
    calendar = record.times.astype("datetime64[Y]").astype(int) + 1970
    years, depths, ends = [], [], []
    for year in np.unique(calendar).tolist():
        rows = np.flatnonzero(calendar == year)
        if _read_share(record, rows) < LEAST_READ:
            continue
        best = int(rows[np.argmax(sums[rows])])
        years.append(int(year))
        depths.append(float(sums[best]))
        ends.append(record.times[best])
    steps = round(duration / record.step)
    factor = STEP_FACTORS[steps - 1] if steps <= len(STEP_FACTORS) else 1.0
    return YearlyMaxima(
        duration=duration, years=tuple(years), depths=tuple(depths), ends=tuple(ends),
        largest=float(sums.max()), largest_at=record.times[int(np.argmax(sums))], step_factor=factor,
    )  # fmt: skip


def _read_share(record: RainRecord, rows: NDArray[np.intp]) -> float:
    """Share of a year that was read; where only wet steps are listed, from the first of them to the last."""
    if record.wet_only:
        stretch = record.times[rows[-1]] - record.times[rows[0]]
        return float(stretch / np.timedelta64(1, "s")) / YEAR
    return float(np.sum(~np.isnan(record.depths[rows]))) * record.step / YEAR


def maxima_of(record: RainRecord) -> tuple[YearlyMaxima, ...]:
    """Yearly maxima for those durations that are whole numbers of the record's steps."""
    whole = [
        duration for duration in DURATIONS
        if duration >= record.step * (1 - 1e-9) and abs(duration / record.step - round(duration / record.step)) < 1e-6
    ]  # fmt: skip
    return tuple(yearly_maxima(record, duration) for duration in whole)


def fitted_depth(maxima: YearlyMaxima, years: float) -> float | None:
    """Rain of a return period by Gumbel's distribution, with the step factor; None of fewer than ten years. [m]"""
    if len(maxima.years) < FEWEST_YEARS:
        return None
    depths = np.array(maxima.depths)
    return maxima.step_factor * gumbel_depth(float(depths.mean()), float(depths.std(ddof=1)), years)


@dataclass(frozen=True, slots=True, kw_only=True)
class MaximaRow:
    """One duration of a record, beside a table."""

    duration: float  # [s]
    years: int
    median: float | None  # of the years that count, with the step factor [m]
    largest: float  # as read [m]
    largest_at: str  # stamp at its end
    ten_year: float | None  # by Gumbel, with the step factor; None of fewer than ten years [m]
    table_two_year: float | None  # [m]
    table_ten_year: float | None  # [m]


def beside_table(maxima: Sequence[YearlyMaxima], table: DepthTable | None) -> tuple[MaximaRow, ...]:
    """Rows of a record's maxima, each beside the depths of a table.

    Parameters
    ----------
    maxima : sequence of YearlyMaxima
        Of one record.
    table : DepthTable, optional
        A NOAA Atlas 14 point table.

    Returns
    -------
    tuple of MaximaRow
        One a duration.
    """
    depths: dict[tuple[float, float], float] = {}
    if table is not None:
        for duration, row in table.rows:
            for period, depth in zip(table.return_periods, row, strict=True):
                depths[duration, round(period / YEAR)] = depth
    return tuple(
        MaximaRow(
            duration=each.duration,
            years=len(each.years),
            median=None if each.median is None else each.step_factor * each.median,
            largest=each.largest,
            largest_at=str(each.largest_at.astype("datetime64[m]")).replace("T", " "),
            ten_year=fitted_depth(each, 10.0),
            table_two_year=depths.get((each.duration, 2)),
            table_ten_year=depths.get((each.duration, 10)),
        )
        for each in maxima
    )


__all__ = [
    "DURATIONS", "FEWEST_YEARS", "LEAST_READ", "STEP_FACTORS", "MaximaRow", "YearlyMaxima", "beside_table",
    "fitted_depth", "gumbel_depth",
    "maxima_of", "window_sums", "yearly_maxima",
]  # fmt: skip
