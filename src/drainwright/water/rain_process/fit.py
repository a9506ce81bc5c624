"""A rain process from a table of rare rain, a yearly depth and a number of storms."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np

from drainwright.errors import InputError
from drainwright.quantities import System, percent, write
from drainwright.water.rain import RainTable
from drainwright.water.rain_process.draws import Array
from drainwright.water.rain_process.model import YEAR, FittedProcess, Misfit, StormKind
from drainwright.water.rain_process.rare import FixedDraws, of_period, reached, storm_greatest, yearly_greatest
from drainwright.worksheet import quiet

DURATIONS = (300.0, 600.0, 900.0, 1800.0, 3600.0, 7200.0, 10800.0, 21600.0, 43200.0, 86400.0)  # [s]
PERIODS = (2.0, 5.0, 10.0, 25.0, 50.0, 100.0)  # years between events [-]
TOLD = 0.10  # misfit from which a note says so: house rule [-]
# Where nothing better is known, from public records at hand. Rain of a year over the 24 hours reached every two years
# was 12.7 in Boston, 13.2 in the south-east of the US, 12.8 in Zeeland (four years), 11.8 in Miami (days by the clock).
# A wet spell brought 10.0 mm in Boston, 9.8 mm in the south-east, 4.6 mm in Zeeland. Dry places differ more.
YEARLY_OVER_DAY = 13.0  # rain of a year over the 24 hours that are reached every two years [-]
STORM_DEPTH = 0.010  # mean rain of a storm [m]
_EXACT = 0.022  # misfit (in logarithm) that weighs as much as a parameter one spread away from its guess [-]
_STORMS = (2000, 9000)  # storms of each kind in the first fit and in the last
_CHECK_YEARS = 1500
_ROUND_YEARS = 1000  # made between rounds of the fit
_SEED = 1
# Guesses, spreads (in logarithm) and bounds, by kind of storm. House choice: a table alone does not hold all of them
# down, so each leans on its guess. Rate and share are left out for common storms, which take what is left.
# In order: mean length of a cell [s], shape of pace less one, storm end, more cells a storm, tail, storms a year, share
# of the yearly depth.
_COMMON = (
    (1800.0, 0.7, 300.0, 14400.0),
    (4.0, 0.8, 0.5, 40.0),
    (0.08, 0.7, 0.01, 0.6),
    (10.0, 0.7, 0.3, 30.0),
    (0.9, 0.25, 0.4, 2.0),
)
_BURSTS = (
    (900.0, 0.7, 120.0, 7200.0),
    (4.0, 0.8, 0.5, 40.0),
    (0.25, 0.8, 0.02, 0.8),
    (3.0, 0.8, 0.2, 30.0),
    (1.0, 0.25, 0.4, 2.0),
    (8.0, 0.8, 0.5, 40.0),
    (0.15, 0.7, 0.01, 0.4),
)
_LONG = (
    (2700.0, 0.7, 300.0, 14400.0),
    (4.0, 0.8, 0.5, 40.0),
    (0.08, 0.8, 0.01, 0.6),
    (12.0, 0.8, 0.3, 40.0),
    (0.9, 0.25, 0.4, 2.0),
    (1.5, 0.9, 0.05, 10.0),
    (0.08, 0.8, 0.005, 0.4),
)
_STARTS = (0, 5, 12)  # where each kind begins among the parameters


def fit_process(
    table: RainTable, yearly_depth: float | None = None, storms_a_year: float | None = None, *,
    annual_maxima: bool = False, units: System = "SI",
) -> FittedProcess:  # fmt: skip
    """Fit three kinds of storm (common rain, bursts, long heavy rain), laid over each other, to a table of rare rain.

    Parameters
    ----------
    table : RainTable
        Depths by duration and return period; used from 5 min to 24 h and from 2 to 100 years, as far as it reaches.
    yearly_depth : float, optional
        Mean rain of a year; left out, it is assumed from the table's 24 hours. [m]
    storms_a_year : float, optional
        Number of storms; left out, it is assumed from the yearly depth. [-]
    annual_maxima : bool
        Whether the table's return periods are those of yearly maxima. A NOAA Atlas 14 table is of partial duration
        series unless it says otherwise, and its periods are mean times between events.
    units : {"US", "SI"}
        Of the depths in what was assumed.

    Returns
    -------
    FittedProcess
        The same each time. ``misfit`` compares the table with years made by other draws than those of the fit.

    Raises
    ------
    InputError
        If the table has fewer than three of the durations or two of the periods, or a value cannot be used.

    Notes
    -----
    The yearly depth is met exactly. The rest is least squares on the logarithm of depths, over the greatest rain of
    thousands of storms of fixed draws, each taken at any second, weighed by the storms' rates. Storms of one kind lie
    apart in the fit; a last round allows for those that overlap, by years made whole.
    """
    durations, periods, wanted = _wanted(table, annual_maxima)
    depth, storms, assumed = _stated(table, yearly_depth, storms_a_year, units)
    with quiet():
        fit = _Fit(durations, periods, depth, storms)
        place = fit.solve(fit.guess, np.log(wanted), _STORMS[0], 16)
        for seed, rounds in ((1, 3), (2, 2)):  # what overlap adds, and what the fixed draws lack, as whole years show
            lift = np.mean(
                np.log(fit.made(place, seed, _ROUND_YEARS)) - np.log(fit.alone(place, _STORMS[1])),
                axis=1,
                keepdims=True,
            )
            place = fit.solve(place, np.log(wanted) - np.clip(lift, -0.3, 0.3), _STORMS[1], rounds)
        made = fit.made(place, 3, _CHECK_YEARS)
    misfit = tuple(
        Misfit(duration=float(d), return_period=float(p) * YEAR, wanted=float(wanted[i, j]), made=float(made[i, j]))
        for i, d in enumerate(durations)
        for j, p in enumerate(periods)
    )
    return FittedProcess(
        kinds=fit.kinds(place), misfit=misfit, assumed=assumed, notes=_notes(misfit), source=table.source
    )


def _wanted(table: RainTable, annual_maxima: bool) -> tuple[Array, Array, Array]:
    """Durations [s], mean years between events [-] and depths [m] that the process is to meet."""
    durations = [d for d in DURATIONS if table.covers(d, table.return_periods[0]) and d >= table.durations[0]]
    periods = [p for p in PERIODS if table.covers(table.durations[0], p * YEAR)]
    if len(durations) < 3 or len(periods) < 2:
        raise InputError(
            f"rain table: found {len(durations)} of the durations from 5 min to 24 h and {len(periods)} of the periods"
            " from 2 to 100 years; expected three durations and two periods or more"
        )
    depths = np.array([[table.depth(d, p * YEAR) for p in periods] for d in durations])
    between = [-1.0 / math.log1p(-1.0 / p) if annual_maxima else p for p in periods]
    return np.array(durations), np.array(between), depths


def _stated(
    table: RainTable, yearly_depth: float | None, storms_a_year: float | None, units: System = "SI"
) -> tuple[float, float, tuple[str, ...]]:
    """Yearly depth [m], storms a year [-], and what of them was assumed."""
    for name, value in (("yearly_depth", yearly_depth), ("storms_a_year", storms_a_year)):
        if value is not None and not (math.isfinite(value) and value > 0.0):
            raise InputError(f"{name} = {value!r}: expected a finite number above zero")
    assumed = []
    if yearly_depth is None:
        last = min(86400.0, table.durations[-1])
        day = table.depth(last, max(2.0 * YEAR, table.return_periods[0])) * (86400.0 / last) ** 0.2
        yearly_depth = YEARLY_OVER_DAY * day
        assumed.append(
            f"Rain of a year assumed as {_written(yearly_depth, units, 0)}:"
            f" {YEARLY_OVER_DAY:g} times the 24 hours that come every two years. A stated figure is better."
        )
    if storms_a_year is None:
        storms_a_year = min(max(yearly_depth / STORM_DEPTH, 15.0), 250.0)
        assumed.append(
            f"{storms_a_year:.0f} storms a year assumed, for a mean of"
            f" {_written(STORM_DEPTH, units, 2 if units == 'US' else 0)} a storm, at least 15 and at most 250."
        )
    if storms_a_year < 3.0:
        raise InputError(f"storms_a_year = {storms_a_year!r}: expected three or more")
    assumed.append("The same the whole year round: a table of rare rain tells no seasons.")
    return yearly_depth, storms_a_year, tuple(assumed)


def _written(depth: float, units: System, digits: int) -> str:
    return write(depth, "length", units, "in" if units == "US" else "mm", digits)


def _notes(misfit: tuple[Misfit, ...]) -> tuple[str, ...]:
    far = [each for each in misfit if abs(each.share) > TOLD]
    if not far:
        return ()
    worst = max(far, key=lambda each: abs(each.share))
    return (
        f"Made rain misses the table by more than {percent(TOLD)} at {len(far)} of {len(misfit)} depths; most at"
        f" {_span(worst.duration)}, {worst.return_period / YEAR:.3g} years: {percent(worst.share, signed=True)}."
        f" Some of it is the chance of {_CHECK_YEARS:,} made years.",
    )


def _span(seconds: float) -> str:
    return f"{seconds / 3600:g} h" if seconds >= 3600 else f"{seconds / 60:g} min"


class _Fit:
    """Least squares over the logarithms of the parameters."""

    def __init__(self, durations: Array, periods: Array, depth: float, storms: float) -> None:
        self.durations, self.periods, self.depth, self.storms = durations, periods, depth, storms
        self.exact = _EXACT * (periods / periods[0]) ** 0.08  # rare rain hangs on few of the storms drawn
        self.draws = tuple(FixedDraws.of(_STORMS[1], _SEED, number) for number in range(len(_STARTS)))
        rows = np.array((*_COMMON, *_BURSTS, *_LONG))
        few = min(1.0, storms / 60.0)  # where it rains seldom, all kinds are seldom
        for start in _STARTS[1:]:
            rows[start + 5, [0, 2, 3]] *= few
        self.guess, self.spread = np.log(rows[:, 0]), rows[:, 1]
        self.low, self.high = np.log(rows[:, 2]), np.log(rows[:, 3])
        self.kept: dict[tuple[int, int, bytes], Array] = {}

    def kinds(self, place: Array) -> tuple[StormKind, ...]:
        """The common kind, and the rare ones."""
        values = np.exp(place)
        rare = [self._kind(values[at : at + 5], values[at + 5], values[at + 6] * self.depth) for at in _STARTS[1:]]
        rates, shares = ([float(values[at + column]) for at in _STARTS[1:]] for column in (5, 6))
        common = self._kind(values[:5], self.storms - sum(rates), (1.0 - sum(shares)) * self.depth)
        return (common, *rare)

    @staticmethod
    def _kind(values: Array, storms: float, depth: float) -> StormKind:
        length, shape, end, more, tail = (float(value) for value in values)
        return StormKind(
            rate=float(storms) / YEAR, pace_shape=1.0 + shape, pace_time=length * shape, cells=more * end,
            storm_end=end, cell_depth=float(depth / storms) / (1.0 + more), tail=tail,
        )  # fmt: skip

    def alone(self, place: Array, storms: int) -> Array:
        """Rain of each duration and period if storms lie apart. [m]"""
        kinds = self.kinds(place)
        found = []
        for number, kind in enumerate(kinds):
            key = (number, storms, place[_STARTS[number] : _STARTS[number] + 5].tobytes())
            if key not in self.kept:
                if len(self.kept) > 24:
                    self.kept.clear()
                unit = StormKind(
                    rate=1.0, pace_shape=kind.pace_shape, pace_time=kind.pace_time, cells=kind.cells,
                    storm_end=kind.storm_end, cell_depth=1.0, tail=kind.tail,
                )  # fmt: skip
                self.kept[key] = storm_greatest(unit, self.draws[number].first(storms), self.durations)
            found.append(self.kept[key] * kind.cell_depth)
        return reached(found, [kind.rate for kind in kinds], self.periods * YEAR)

    def made(self, place: Array, seed: int, years: int) -> Array:
        """The same of years made whole, by draws of their own. [m]"""
        return of_period(yearly_greatest(self.kinds(place), years, seed, self.durations), self.periods)

    def solve(self, start: Array, wanted: Array, storms: int, rounds: int) -> Array:
        """Where the squares are least, from a start."""
        from scipy.optimize import least_squares

        def miss(place: Array) -> Array:
            off = ((np.log(self.alone(place, storms)) - wanted) / self.exact).ravel()
            return np.concatenate([off, (place - self.guess) / self.spread])

        low, high = self.low, self.high
        inside = np.clip(start, low + 1e-3 * (high - low), high - 1e-3 * (high - low))
        found = least_squares(
            miss, inside, jac=_slopes(miss, low, high), bounds=(low, high), x_scale=self.spread,
            max_nfev=rounds, ftol=1e-3, xtol=1e-3,
        )  # fmt: skip
        place: Array = found.x
        return place


def _slopes(miss: Callable[[Array], Array], low: Array, high: Array) -> Callable[[Array], Array]:
    """Slopes by steps wide enough that single draws which jump do not count."""

    def slopes(place: Array) -> Array:
        here = miss(place)
        columns = []
        for index in range(len(place)):
            step = 0.06 if place[index] + 0.06 <= high[index] else -0.06
            beside = place.copy()
            beside[index] += step
            columns.append((miss(beside) - here) / step)
        return np.stack(columns, axis=1)

    return slopes


__all__ = ["DURATIONS", "PERIODS", "fit_process"]
