"""The pump's flow and the water that comes back, out of level readings in a basin that is filled and pumped down.

A basin of constant area ``A`` has three sorts of stretches: at rest with the discharge line shut (water comes in at
``q_in``), pumping (it leaves at ``f Q(h)``, ``Q`` the expected flow at that level), and after a stop with the line open
(water also comes back through the check valve at ``q_back``, until the line holds no more). In all of them

    A dh/dt = q_in - [pumping] f Q(h) + [open line] q_back

and the levels that were read are those of this equation with an error of the tape and of the watch. ``f``, ``q_in``,
``q_back`` and the first level of each stretch are found by weighted least squares. Where the readings scatter more than
they should, and the scatter is that of one reading alone, that one is left out and named.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError, require
from drainwright.hydraulics.arrays import Array

if TYPE_CHECKING:
    from scipy.optimize import OptimizeResult

Stretch: TypeAlias = Literal["shut", "pumping", "open"]

SURE = 0.95  # of the bands: the truth lies in so many of them, as the errors are taken [-]
STEPS = 8  # of Runge and Kutta's between two readings while it pumps [-]
DARK = 1e-9  # a direction in which the readings move less than so, of where they move most, shows nothing [-]
SCATTER = 0.99  # readings that scatter more than so many sets would are told, and widen the bands [-]
SLIP = 0.01  # the most chance, of all readings together, that a sound one lies as far off as one that is left out [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Readings:
    """Levels of one stretch."""

    stretch: Stretch
    times: tuple[float, ...]  # from any start, rising [s]
    levels: tuple[float, ...]  # [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """A flow out of the readings, or that they cannot tell it."""

    flow: float  # [m³/s]
    band: float  # half of the band that holds the truth in ``SURE`` of cases; infinite where nothing bears on it [m³/s]

    @property
    def low(self) -> float:
        """[m³/s]."""
        return self.flow - self.band

    @property
    def high(self) -> float:
        """[m³/s]."""
        return self.flow + self.band

    def tells(self, within: float) -> bool:
        """Whether the band is no wider than ``within`` either way. [m³/s]"""
        return self.band <= within


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """A reading that was left out."""

    stretch: int  # numbers from zero
    reading: int
    off: float  # how far it lies above what the others tell [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawdown:
    """What a test of a basin shows."""

    pumped: Found  # the pump's flow at ``level``
    level: float  # midway between the highest and the lowest level that was read while it pumped [m]
    expected: float  # at that level [m³/s]
    inflow: Found
    back: Found
    misfit: (
        float  # root mean square of the readings' residuals over their errors; about 1 where the errors are right [-]
    )
    rough: bool  # they scatter more than their errors allow, and the bands were widened by it
    slip: Slip | None  # one reading that does not go with the others, and was left out
    readings: int  # that there were
    unknowns: int


def drawdown(
    stretches: Sequence[Readings],
    *,
    area: float,
    expected: Callable[[Array], Array],
    returns: float = np.inf,
    level_error: float = 0.0016,
    time_error: float = 0.5,
) -> Drawdown:
    """Reduce a fill or drain-down test.

    Parameters
    ----------
    stretches : sequence of Readings
        In any order; one of them pumping, each with two readings or more.
    area : float
        Of the water's surface: the basin less pump and riser, above zero. [m²]
    expected : callable
        The pump's expected flow at levels. [m to m³/s]
    returns : float
        Water that the line can give back after a stop; where that has come, no more does. [m³]
    level_error : float
        Standard error of one reading of the tape; the usual one is a sixteenth of an inch. [m]
    time_error : float
        Standard error of one reading of the watch. [s]

    Returns
    -------
    Drawdown
        With bands; a flow on which no reading bears has an infinite one.

    Raises
    ------
    InputError
        If a figure cannot be used, times do not rise, nothing was read while it pumped, or the readings are fewer than
        the unknowns.
    """
    require("above zero", np.greater, area=area, level_error=level_error)
    require("zero or more", np.greater_equal, time_error=time_error)
    if not returns >= 0.0:
        raise InputError(f"returns = {returns!r}: expected zero or more")
    _looked_at(stretches)
    from scipy.optimize import least_squares
    from scipy.stats import chi2, t

    kinds = [one.stretch for one in stretches]
    pumping = np.concatenate([np.full(len(one.times), one.stretch == "pumping") for one in stretches])
    read = np.concatenate([np.array(one.levels) for one in stretches])
    count = len(read)
    own = [name for name, kind in (("inflow", None), ("factor", "pumping"), ("back", "open")) if kind in (None, *kinds)]
    unknowns = len(own) + len(stretches)
    if count < unknowns:
        raise InputError(f"readings: found {count}; expected {unknowns} or more of {len(stretches)} stretches")

    def midway(kept: NDArray[np.bool_]) -> tuple[float, float]:
        """The level midway while it pumped, and the flow that is expected there."""
        level = (float(read[kept & pumping].min()) + float(read[kept & pumping].max())) / 2
        flow = float(expected(np.array([level]))[0])
        if not flow > 0.0:
            raise InputError(f"expected: found {flow} at level {level:.3f}; expected a flow above zero where it pumped")
        return level, flow

    kept = np.ones(count, bool)
    _, usual = midway(kept)

    def levels(unknown: Array) -> Array:
        share = dict(zip(own, unknown, strict=False))
        steady, back = share["inflow"] * usual / area, share.get("back", 0.0) * usual / area
        told = []
        for one, start in zip(stretches, unknown[len(own) :], strict=True):
            since = np.array(one.times) - one.times[0]
            if one.stretch == "pumping":
                told.append(_pumped(since, start, lambda at: steady - share["factor"] * expected(at) / area))
            else:
                more = np.minimum(back * since, returns / area) if one.stretch == "open" else 0.0
                told.append(start + steady * since + more)
        return np.concatenate(told)

    def fitted(begun: Array, about: Array) -> OptimizeResult:
        """The unknowns by the readings that are kept; the errors go by how fast the level moves, at first ``about``."""

        def residuals(unknown: Array, errors: Array) -> Array:
            return np.asarray(((levels(unknown) - read) / errors)[kept])

        for _ in range(3):
            errors = np.hypot(level_error, _slopes(stretches, about) * time_error)
            fit = least_squares(residuals, begun, method="lm", x_scale="jac", args=(errors,))
            begun, about = fit.x, levels(fit.x)
        return fit

    quick = _quickest(stretches) * area / usual  # where the line runs empty, a leak that begins at zero is never found
    begin = {"factor": 1.0, "inflow": 0.0, "back": quick if np.isfinite(returns) else 0.0}
    fit = fitted(np.array([*(begin[name] for name in own), *(one.levels[0] for one in stretches)]), read)
    free, slip = count - unknowns, None

    def scattered() -> bool:
        return free > 0 and float(fit.fun @ fit.fun) > float(chi2.ppf(SCATTER, free))

    if scattered() and (odd := _odd(fit.fun, np.asarray(fit.jac), free)) is not None:
        kept[odd] = False
        fit, free = fitted(fit.x, levels(fit.x)), free - 1
        ends = np.cumsum([len(one.times) for one in stretches])
        stretch = int(np.searchsorted(ends, odd, side="right"))
        reading = odd - int(ends[stretch]) + len(stretches[stretch].times)
        slip = Slip(stretch=stretch, reading=reading, off=float(read[odd] - levels(fit.x)[odd]))
    rough = scattered()
    spread = _spread(np.asarray(fit.jac))
    squares = float(fit.fun @ fit.fun)
    widened = np.sqrt(squares / free) if rough else 1.0
    times = float(t.ppf((1 + SURE) / 2, free)) if rough else float(t.ppf((1 + SURE) / 2, np.inf))
    level, there = midway(kept)
    scales = {"factor": there}
    found = {
        name: Found(
            flow=float(fit.x[at]) * scales.get(name, usual),
            band=float(times * widened * spread[at]) * scales.get(name, usual),
        )
        for at, name in enumerate(own)
    }
    none = Found(flow=0.0, band=np.inf)
    return Drawdown(
        pumped=found["factor"], level=level, expected=there, inflow=found["inflow"], back=found.get("back", none),
        misfit=float(np.sqrt(squares / max(free, 1))), rough=rough, slip=slip, readings=count, unknowns=unknowns,
    )  # fmt: skip


def _odd(residuals: Array, slopes: Array, free: int) -> int | None:
    """The one reading that lies further off than chance has it, by the fit of all others; None where there is none.

    Parameters
    ----------
    residuals : ndarray
        Over their errors, shape (n,).
    slopes : ndarray
        Their Jacobian, shape (n, unknowns).
    free : int
        Readings beyond the unknowns.

    Notes
    -----
    Externally studentized residuals with Bonferroni's bound (Cook and Weisberg, Residuals and Influence in Regression,
    1982, section 2.2; from memory). Where two pass, either may be the wrong one, and none is named.
    """
    from scipy.stats import t

    ways, sizes, _ = np.linalg.svd(slopes, full_matrices=False)
    rest = 1.0 - np.sum(ways[:, sizes > DARK * sizes[0]] ** 2, axis=1)  # of a reading, what the others leave to it
    if free < 2:
        return None
    seen = rest > 1e-6
    rest = np.where(seen, rest, 1.0)
    others = (residuals @ residuals - residuals**2 / rest) / (free - 1)
    far = np.abs(residuals) / np.sqrt(np.maximum(others, np.finfo(float).tiny) * rest)
    passed = np.flatnonzero(seen & (2.0 * t.sf(far, free - 1) * len(residuals) < SLIP))
    return int(passed[0]) if len(passed) == 1 else None


def _looked_at(stretches: Sequence[Readings]) -> None:
    for number, one in enumerate(stretches, start=1):
        times, levels = np.array(one.times), np.array(one.levels)
        if len(times) < 2 or len(times) != len(levels):
            raise InputError(f"stretch {number}: found {len(times)} times and {len(levels)} levels; expected 2 or more")
        if not np.all(np.isfinite(times)) or not np.all(np.isfinite(levels)):
            raise InputError(f"stretch {number}: found a time or level that is no number")
        if not np.all(np.diff(times) > 0):
            raise InputError(f"stretch {number}: found times that do not rise; expected each later than the one before")
    if all(one.stretch != "pumping" for one in stretches):
        raise InputError("stretches: found none while it pumped; expected one or more")


def _pumped(since: Array, start: float, rate: Callable[[Array], Array]) -> Array:
    """Levels at times since the first, which is zero, with a rate that hangs on the level. [m]"""
    at, found = np.array([start]), [start]
    for step in np.diff(since) / STEPS:
        for _ in range(STEPS):
            one = rate(at)
            two = rate(at + step / 2 * one)
            three = rate(at + step / 2 * two)
            at = at + step / 6 * (one + 2 * two + 2 * three + rate(at + step * three))
        found.append(float(at[0]))
    return np.array(found)


def _quickest(stretches: Sequence[Readings]) -> float:
    """The quickest rise between two neighbouring readings with the line open; 0 where there is none. [m/s]"""
    rises = [float(np.max(np.diff(one.levels) / np.diff(one.times))) for one in stretches if one.stretch == "open"]
    return max([0.0, *rises])


def _slopes(stretches: Sequence[Readings], levels: Array) -> Array:
    """How fast the level moves at each reading. [m/s]"""
    found, first = [], 0
    for one in stretches:
        here = levels[first : first + len(one.times)]
        found.append(np.gradient(here, np.array(one.times)))
        first += len(one.times)
    return np.concatenate(found)


def _spread(jacobian: Array) -> Array:
    """Standard deviations of the unknowns, for residuals of error one; infinite where nothing bears on one."""
    scale = np.linalg.norm(jacobian, axis=0)
    seen = scale > 0.0
    _, sizes, ways = np.linalg.svd(jacobian / np.where(seen, scale, 1.0), full_matrices=False)
    dark = sizes <= DARK * sizes[0]
    found = np.sqrt(np.sum((ways[~dark] / sizes[~dark, None]) ** 2, axis=0)) / np.where(seen, scale, 1.0)
    blind = ~seen | np.any(np.abs(ways[dark]) > np.sqrt(DARK), axis=0)
    return np.where(blind, np.inf, found)


__all__ = ["SURE", "Drawdown", "Found", "Readings", "Slip", "Stretch", "drawdown"]
