"""How a figure drifts from visit to visit, and when it comes down to a limit: a straight line and Fieller's band."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from drainwright.errors import InputError, require
from drainwright.hydraulics.arrays import Array

SURE = 0.95  # of the bands [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Drift:
    """A straight line through what was read at the visits."""

    slope: float  # of the figure a second
    slope_band: float  # half of it
    last: float  # by the line, at the last visit
    last_band: float
    earliest: float  # time at which the band first touches the limit; infinite: never [s]
    likely: float  # at which the line does; infinite where it does not fall [s]
    latest: float  # at which all of the band lies below; infinite: cannot be told [s]
    rough: bool  # the readings scatter more than their errors, and the bands were widened by it

    @property
    def falls(self) -> bool:
        """Whether it falls for certain, as the band goes."""
        return self.slope + self.slope_band < 0.0


def drift(times: Sequence[float], values: Sequence[float], errors: Sequence[float], limit: float) -> Drift:
    """Fit a straight line by weighted least squares, and find when it comes down to a limit.

    Parameters
    ----------
    times : sequence of float
        Rising. [s]
    values, errors : sequence of float
        What was read, and its standard error, above zero.
    limit : float
        In the unit of the values.

    Returns
    -------
    Drift
        Times at or after the last visit. The band of the crossing is Fieller's: all times at which the line's own band
        holds the limit.

    Raises
    ------
    InputError
        If there are fewer than three readings, or times do not rise.
    """
    t, y, e = (np.asarray(one, float) for one in (times, values, errors))
    if len(t) < 3 or not len(t) == len(y) == len(e):
        raise InputError(f"times: found {len(t)} readings; expected three or more")
    if not np.all(np.diff(t) > 0.0):
        raise InputError("times: found readings that do not rise; expected each later than the one before")
    require("above zero", np.greater, errors=e)
    from scipy.stats import chi2, norm
    from scipy.stats import t as student

    middle, scale = float(t.mean()), float(np.ptp(t))
    along = (t - middle) / scale
    matrix = np.stack([np.ones_like(along), along], axis=1) / e[:, None]
    spread = np.linalg.inv(matrix.T @ matrix)
    found = spread @ (matrix.T @ (y / e))
    squares, free = float(np.sum((matrix @ found - y / e) ** 2)), len(t) - 2
    rough = squares > chi2.ppf(0.99, free)
    times_error = float(norm.ppf((1 + SURE) / 2))
    if rough:
        spread = spread * squares / free
        times_error = float(student.ppf((1 + SURE) / 2, free))
    last = float(along[-1])

    def line(at: float) -> tuple[float, float]:
        row = np.array([1.0, at])
        return float(row @ found), times_error * float(np.sqrt(row @ spread @ row))

    here, here_band = line(last)
    slope, slope_band = float(found[1]), times_error * float(np.sqrt(spread[1, 1]))
    likely = np.inf
    if here <= limit:
        likely = last
    elif slope < 0.0:
        likely = (limit - float(found[0])) / slope
    touched = _roots(found, spread, times_error, limit)
    earliest = last if here - here_band <= limit else min((one for one in touched if one > last), default=np.inf)
    latest = last if here + here_band <= limit else np.inf
    if latest == np.inf and slope + slope_band < 0.0:
        latest = max((one for one in touched if one > last), default=np.inf)

    def clock(at: float) -> float:
        return middle + scale * at

    return Drift(
        slope=slope / scale, slope_band=slope_band / scale, last=here, last_band=here_band, earliest=clock(earliest),
        likely=clock(likely), latest=clock(latest), rough=bool(rough),
    )  # fmt: skip


def _roots(found: Array, spread: Array, times: float, limit: float) -> list[float]:
    """Where (line - limit)² = times² x variance of the line: Fieller's quadratic."""
    a, b = float(found[0]) - limit, float(found[1])
    square = times**2
    two = b**2 - square * float(spread[1, 1])
    one = 2.0 * (a * b - square * float(spread[0, 1]))
    none = a**2 - square * float(spread[0, 0])
    roots = np.roots([two, one, none])
    return [float(root.real) for root in roots if abs(root.imag) < 1e-9 * max(1.0, abs(root.real))]


__all__ = ["SURE", "Drift", "drift"]
