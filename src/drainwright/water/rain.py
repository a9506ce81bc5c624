"""Rain of the place: a table of depths by duration and return period, and what lies between its rows."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError, require
from drainwright.job.place import Rain, RainRow
from drainwright.job.values import Basis
from drainwright.worksheet import Card, catalogued

SECONDS_A_YEAR = 31557600.0  # Julian year, as the job document reads "10 yr" [s]
_ROUNDING = 0.01  # printed depths carry two or three figures: a rise of intensity within this is rounding [-]
_NEAR = 1e-9  # relative distance at which a value counts as standing in the table


@catalogued(
    Card(
        title="Between two values of a table, straight on logarithmic paper",
        symbol="y",
        expression="low_value * (high_value / low_value) ** (log(at / low) / log(high / low))",
        units={"at": "s", "low": "s", "high": "s", "low_value": "m", "high_value": "m", "result": "m"},
        source="noaa_atlas14",
        trial={"at": (300.0, 600.0), "low": (100.0, 300.0), "high": (600.0, 900.0)},
    )
)
def log_interpolated(at: float, low: float, high: float, low_value: float, high_value: float) -> float:
    """Depth between two columns or rows of a rain table, straight in log of depth against log of time.

    Parameters
    ----------
    at, low, high : float
        Time that is asked for, and those of the two neighbours. [s]
    low_value, high_value : float
        Depths of the neighbours. [m]

    Returns
    -------
    float
        Depth. [m]

    Raises
    ------
    InputError
        If a value is not above zero, or ``low`` and ``high`` are the same.

    Notes
    -----
    Depth is close to a power of duration between neighbouring rows, and of return period between neighbouring
    columns. The atlas draws its curves on such paper; the rule of interpolation is common practice.
    """
    require("above zero", np.greater, at=at, low=low, high=high, low_value=low_value, high_value=high_value)
    if low == high:
        raise InputError(f"high = {high!r}: expected another value than low")
    return float(low_value * (high_value / low_value) ** (math.log(at / low) / math.log(high / low)))


@catalogued(
    Card(
        title="Mean intensity of rain",
        symbol="i",
        expression="depth / duration",
        units={"depth": "m", "duration": "s", "result": "m/s"},
        source="noaa_atlas14",
        trial={"duration": (60.0, 86400.0)},
    )
)
def mean_intensity(depth: float, duration: float) -> float:
    """Mean intensity of a depth that falls in a duration. [m/s]

    Parameters
    ----------
    depth : float
        Zero or more. [m]
    duration : float
        Above zero. [s]

    Raises
    ------
    InputError
        If a value cannot be used.
    """
    require("zero or more", np.greater_equal, depth=depth)
    require("above zero", np.greater, duration=duration)
    return depth / duration


@dataclass(frozen=True, slots=True, kw_only=True)
class RainTable:
    """Depth of rain by duration (rows) and return period (columns).

    Raises
    ------
    InputError
        If the table is empty or ragged, times do not rise, a depth is not above zero or falls where it must
        not, or a longer rain is more intense than a shorter one.
    """

    durations: tuple[float, ...]  # rising [s]
    return_periods: tuple[float, ...]  # rising [s]
    depths: tuple[tuple[float, ...], ...]  # a row for each duration, a column for each return period [m]
    source: str
    basis: Basis
    low: tuple[tuple[float, ...], ...] = ()  # lower bounds of a 90 % interval, like ``depths``; empty: not given [m]
    high: tuple[tuple[float, ...], ...] = ()  # upper bounds [m]
    spread: float | None = None  # share that the job says a depth may lie above or below the table [-]

    def __post_init__(self) -> None:
        if not self.durations or not self.return_periods:
            raise InputError("rain table: expected a duration and a return period, at least one of each")
        _rising("durations", self.durations)
        _rising("return_periods", self.return_periods)
        if len(self.depths) != len(self.durations) or {len(row) for row in self.depths} != {len(self.return_periods)}:
            raise InputError(
                f"depths: expected {len(self.durations)} rows of {len(self.return_periods)} values, one for each"
                " duration and return period"
            )
        depths = np.array(self.depths)
        if not np.all(np.isfinite(depths) & (depths > 0.0)):
            raise InputError("depths: expected finite numbers above zero throughout")
        for row, column in np.argwhere(np.diff(depths, axis=1) < 0.0):
            raise InputError(
                f"depths: {self._at(row, column + 1)} is less than {self._at(row, column)}: a rarer rain is no smaller"
            )
        for row, column in np.argwhere(np.diff(depths, axis=0) < 0.0):
            raise InputError(
                f"depths: {self._at(row + 1, column)} is less than {self._at(row, column)}: a longer rain is no smaller"
            )
        intensities = depths / np.array(self.durations)[:, None]
        for row, column in np.argwhere(intensities[1:] > intensities[:-1] * (1.0 + _ROUNDING)):
            raise InputError(
                f"depths: {self._at(row + 1, column)} is more intense than {self._at(row, column)}:"
                " no longer rain can be"
            )

        for name, bounds, sign in (("low", self.low, 1.0), ("high", self.high, -1.0)):
            if bounds and np.shape(bounds) != depths.shape:
                raise InputError(f"{name}: expected none, or as many rows and values as depths")
            if bounds and not np.all(
                (np.array(bounds) > 0.0) & (sign * np.array(bounds) <= sign * depths * (1.0 + sign * _NEAR))
            ):
                raise InputError(f"{name}: expected 0 < low <= depth <= high throughout")

    def _at(self, row: int, column: int) -> str:
        period = self.return_periods[column] / SECONDS_A_YEAR
        return f"{self.depths[row][column] * 1000:.4g} mm in {self.durations[row] / 60:g} min, {period:g} yr,"

    @property
    def shortest(self) -> float:
        """Shortest duration that may be asked for: half of the table's shortest row [s]."""
        return 0.5 * self.durations[0] if len(self.durations) > 1 else self.durations[0]

    def covers(self, duration: float, return_period: float) -> bool:
        """Whether ``depth`` would answer."""
        return self.shortest * (1 - _NEAR) <= duration <= self.durations[-1] * (1 + _NEAR) and self.return_periods[
            0
        ] * (1 - _NEAR) <= return_period <= self.return_periods[-1] * (1 + _NEAR)

    def depth(self, duration: float, return_period: float) -> float:
        """Depth of the rain of a duration and a return period, interpolated on logarithmic paper.

        Parameters
        ----------
        duration : float
            From half of the shortest row (the line through the two shortest rows is drawn on so far, and no
            farther) to the longest row. [s]
        return_period : float
            Within the columns; there is no drawing on beyond them. [s]

        Returns
        -------
        float
            Depth. [m]

        Raises
        ------
        InputError
            If the table does not reach so far.
        """
        self._require_cover(duration, return_period)
        return self._interpolated(self.depths, duration, return_period)

    def depths_of(self, durations: NDArray[np.float64], return_period: float) -> NDArray[np.float64]:
        """As ``depth``, of many durations at once. [m]

        Raises
        ------
        InputError
            If the table does not reach so far.
        """
        for end in (float(np.min(durations)), float(np.max(durations))):
            self._require_cover(end, return_period)
        columns = _neighbours(self.return_periods, return_period)
        found = [self._column(durations, column) for column in columns]
        if len(columns) == 1:
            return found[0]
        low, high = (self.return_periods[column] for column in columns)
        share = math.log(return_period / low) / math.log(high / low)
        return np.asarray(found[0] * (found[1] / found[0]) ** share)

    def _column(self, durations: NDArray[np.float64], column: int) -> NDArray[np.float64]:
        """Depths of one return period of the table, straight on logarithmic paper, drawn on beyond its rows. [m]"""
        depths = np.array([row[column] for row in self.depths])
        if len(depths) == 1:
            return np.full(durations.shape, depths[0])
        times = np.array(self.durations)
        upper = np.clip(np.searchsorted(times, durations), 1, len(times) - 1)
        low, high = times[upper - 1], times[upper]
        share = np.log(durations / low) / np.log(high / low)
        return np.asarray(depths[upper - 1] * (depths[upper] / depths[upper - 1]) ** share)

    def bounds(self, duration: float, return_period: float) -> tuple[float, float] | None:
        """Between which depths the rain of a duration and a return period lies, nine times of ten.

        From the table's own 90 % bounds, interpolated as the depths are; else by the job's ``spread``.

        Returns
        -------
        tuple or None
            Lower and upper depth [m]; None where the table gives neither.

        Raises
        ------
        InputError
            If the table does not reach so far.
        """
        self._require_cover(duration, return_period)
        if self.low and self.high:
            low, high = (self._interpolated(rows, duration, return_period) for rows in (self.low, self.high))
            return low, high
        if self.spread is not None:
            depth = self._interpolated(self.depths, duration, return_period)
            return depth * (1.0 - self.spread), depth * (1.0 + self.spread)
        return None

    def _require_cover(self, duration: float, return_period: float) -> None:
        if not self.covers(duration, return_period):
            raise InputError(
                f"duration = {duration / 60:.4g} min, return_period = {return_period / SECONDS_A_YEAR:.4g} yr: expected"
                f" {self.shortest / 60:.4g} to {self.durations[-1] / 60:.4g} min and"
                f" {self.return_periods[0] / SECONDS_A_YEAR:.4g} to {self.return_periods[-1] / SECONDS_A_YEAR:.4g} yr,"
                " which the rain table covers"
            )

    def _interpolated(self, values: tuple[tuple[float, ...], ...], duration: float, return_period: float) -> float:
        columns = _neighbours(self.return_periods, return_period)
        rows = _neighbours(self.durations, duration)
        found = [
            _between(duration, [self.durations[row] for row in rows], [values[row][column] for row in rows])
            for column in columns
        ]
        return _between(return_period, [self.return_periods[column] for column in columns], found)

    def intensity(self, duration: float, return_period: float) -> float:
        """Mean intensity of the rain of a duration and a return period. [m/s]

        Raises
        ------
        InputError
            As ``depth``.
        """
        return mean_intensity(self.depth(duration, return_period), duration)


def rain_table(rain: Rain) -> RainTable:
    """The table of a job, with its rows and columns in order.

    Parameters
    ----------
    rain : Rain
        Of the job, its file (if it names one) already read into ``table``.

    Raises
    ------
    InputError
        If there is no table, or it is impossible.
    """
    if not rain.table:
        raise InputError(f"rain.file = {rain.file!r}: expected a file that was read into the job before this stage")
    columns = sorted(range(len(rain.return_periods)), key=lambda column: rain.return_periods[column])
    rows = sorted(rain.table, key=lambda row: row.duration)
    return RainTable(
        durations=tuple(float(row.duration) for row in rows),
        return_periods=tuple(float(rain.return_periods[column]) for column in columns),
        depths=tuple(tuple(float(row.depths[column]) for column in columns) for row in rows),
        source=rain.source,
        basis=rain.basis,
        low=_bound(rows, columns, "low"),
        high=_bound(rows, columns, "high"),
        spread=rain.spread,
    )


def _bound(
    rows: Sequence[RainRow], columns: Sequence[int], name: Literal["low", "high"]
) -> tuple[tuple[float, ...], ...]:
    """The bounds of all rows; none unless every row gives them."""
    bounds = [getattr(row, name) for row in rows]
    if not all(bounds):
        return ()
    return tuple(tuple(float(bound[column]) for column in columns) for bound in bounds)


def _rising(name: str, values: tuple[float, ...]) -> None:
    steps = np.diff(np.array([0.0, *values]))
    if not np.all(np.isfinite(steps) & (steps > 0.0)):
        raise InputError(f"{name} = {values!r}: expected finite numbers above zero, each above the last")


def _neighbours(grid: tuple[float, ...], at: float) -> list[int]:
    """The entry of the grid that the value stands on, or the two that it stands between (or beyond)."""
    for index, value in enumerate(grid):
        if abs(value - at) <= _NEAR * value:
            return [index]
    upper = min(max(int(np.searchsorted(grid, at)), 1), len(grid) - 1)
    return [upper - 1, upper]


def _between(at: float, grid: list[float], values: list[float]) -> float:
    if len(grid) == 1:
        return values[0]
    return log_interpolated(at, grid[0], grid[1], values[0], values[1])


__all__ = ["SECONDS_A_YEAR", "RainTable", "log_interpolated", "mean_intensity", "rain_table"]
