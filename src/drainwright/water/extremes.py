"""Yearly maxima: plotting positions, laws of extremes by L-moments, and return periods with their band."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError
from drainwright.worksheet import Card, catalogued

Floats = NDArray[np.float64]
EULER = 0.5772156649015329
FEWEST = 10  # years from which a law is fitted: common practice, no source
ALIKE = 1e-9  # of the maxima's size: a spread so small is none
Z_LIMIT = 1.96  # of the test of shape zero, two-sided 5 %
DRAWS = 2000  # of the bootstrap
EVER = 1e4  # a return period beyond this is told as none [years]
POSITIONS = {"Gringorten": 0.44, "Cunnane": 0.4, "Weibull": 0.0}  # a of (i - a) / (n + 1 - 2 a)


@dataclass(frozen=True, slots=True, kw_only=True)
class FittedLaw:
    """A law of yearly maxima, fitted by L-moments."""

    name: Literal["Gumbel", "generalised extreme value"]
    location: float
    scale: float
    shape: float  # Hosking's k: above zero the law has an upper end, below it a heavy tail; zero: Gumbel [-]
    why: str  # how it was chosen

    def level(self, years: float) -> float:
        """What is reached in one of so many years; above one."""
        return float(_quantile(self.location, self.scale, self.shape, np.array([1.0 - 1.0 / years]))[0])

    def period(self, level: float) -> float:
        """In one of how many years a level is reached; infinite beyond an upper end. [years]"""
        return float(_period(np.array([self.location]), np.array([self.scale]), np.array([self.shape]), level)[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class ReturnPeriod:
    """How often a level is reached, by the yearly maxima of some years. [years]"""

    plotted: tuple[float, ...]  # return period of each maximum by its rank, in the order given
    reached: int  # years in which it was
    by_rank: float | None  # years over those in which it was reached; None: never
    law: FittedLaw | None  # None: too few years, or maxima that no such law fits
    by_law: float | None
    low: float | None  # nine of ten: it lies above this
    high: float | None  # and below this; None: no upper end can be told
    beyond: bool  # never reached: the law goes beyond the data, ``low`` is a bound free of any law
    why: str


def _quantile(location: float | Floats, scale: float | Floats, shape: float | Floats, chance: Floats) -> Floats:
    reduced = -np.log(-np.log(chance))
    k = np.asarray(shape, np.float64)
    small = np.abs(k) < 1e-6
    safe = np.where(small, 1.0, k)
    return np.asarray(location + scale * np.where(small, reduced, (1.0 - np.exp(-safe * reduced)) / safe))


def _period(location: Floats, scale: Floats, shape: Floats, level: float) -> Floats:
    standard = (level - location) / scale
    small = np.abs(shape) < 1e-6
    safe = np.where(small, 1.0, shape)
    with np.errstate(divide="ignore", over="ignore", invalid="ignore"):
        inside = 1.0 - safe * standard
        reduced = np.where(small, standard, np.where(inside > 0.0, -np.log(np.maximum(inside, 1e-300)) / safe, np.nan))
        under = -np.expm1(-np.exp(-reduced))  # chance in a year to reach it
    ended = np.where(shape > 0.0, 0.0, 1.0)  # beyond an upper end never, below a lower end always
    chance = np.where(np.isnan(reduced), ended, under)
    with np.errstate(divide="ignore", over="ignore"):
        return np.asarray(1.0 / chance)


def plotting_positions(count: int, kind: str = "Gringorten") -> Floats:
    """Chance of not being passed in a year, of the smallest maximum to the largest: (i - a) / (n + 1 - 2 a).

    Gringorten's (1963) are the usual for Gumbel and its kin, Cunnane's (1978) a compromise for any law, Weibull's are
    unbiased in the chance and too cautious in the period (all from memory).

    Raises
    ------
    InputError
        If the kind is not known or the count is not above zero.

    Examples
    --------
    >>> plotting_positions(3, "Weibull").tolist()
    [0.25, 0.5, 0.75]
    """
    if kind not in POSITIONS:
        raise InputError(f"kind = {kind!r}: expected one of {', '.join(POSITIONS)}")
    if count < 1:
        raise InputError(f"count = {count!r}: expected one or more")
    a = POSITIONS[kind]
    return np.asarray((np.arange(1.0, count + 1.0) - a) / (count + 1.0 - 2.0 * a))


def l_moments(values: Floats) -> tuple[Floats, Floats, Floats]:
    """First two L-moments and the L-skewness of samples in the last axis, by unbiased probability-weighted moments.

    J. R. M. Hosking, J. R. Stat. Soc. B 52(1), 1990, 105-124 (from memory).
    """
    ordered = np.sort(values, axis=-1)
    count = ordered.shape[-1]
    rank = np.arange(count, dtype=np.float64)
    b0 = ordered.mean(axis=-1)
    b1 = (ordered * rank).mean(axis=-1) / (count - 1.0)
    b2 = (ordered * rank * (rank - 1.0)).mean(axis=-1) / ((count - 1.0) * (count - 2.0))
    second, third = 2.0 * b1 - b0, 6.0 * b2 - 6.0 * b1 + b0
    with np.errstate(divide="ignore", invalid="ignore"):
        return b0, second, np.where(second > 0.0, third / second, 0.0)


def _skewness(k: Floats) -> Floats:
    """L-skewness of the generalised extreme value law with shape k: 2 (1 - 3^-k) / (1 - 2^-k) - 3."""
    small = np.abs(k) < 1e-8
    safe = np.where(small, 1.0, k)
    return np.asarray(
        np.where(small, 0.16992500144, 2.0 * np.expm1(-safe * math.log(3.0)) / np.expm1(-safe * math.log(2.0)) - 3.0)
    )


def _gev(first: Floats, second: Floats, skew: Floats) -> tuple[Floats, Floats, Floats]:
    """Location, scale and shape by L-moments; the shape solved by halving, between -0.99 and 4."""
    from scipy.special import gamma

    low, high = np.full_like(first, -0.99), np.full_like(first, 4.0)
    for _ in range(60):
        middle = 0.5 * (low + high)
        more = _skewness(middle) > skew  # the skewness falls as k rises
        low, high = np.where(more, middle, low), np.where(more, high, middle)
    k = 0.5 * (low + high)
    k = np.where(np.abs(k) < 1e-7, 1e-7, k)
    scale = second * k / (-np.expm1(-k * math.log(2.0)) * gamma(1.0 + k))
    return first + scale * (gamma(1.0 + k) - 1.0) / k, scale, k


@catalogued(
    Card(
        title="Gumbel's law by L-moments",
        symbol="x_T",
        expression="mean - second / log(2) * (0.5772156649 + log(log(years / (years - 1))))",
        units={"mean": "m", "second": "m", "years": "-", "result": "m"},
        source="gumbel",
        trial={"years": (1.5, 500.0)},
    )
)
def gumbel_level(mean: float, second: float, years: float) -> float:
    """What is reached in one of so many years by Gumbel's law with these L-moments.

    Parameters
    ----------
    mean, second : float
        First two L-moments of the yearly maxima. [m]
    years : float
        Return period, above one. [-]

    Returns
    -------
    float
        [m]

    Raises
    ------
    InputError
        If the period is not above one year.
    """
    if not years > 1.0:
        raise InputError(f"years = {years!r}: expected more than one")
    return mean - second / math.log(2.0) * (EULER + math.log(math.log(years / (years - 1.0))))


def fit_maxima(values: Sequence[float]) -> FittedLaw | None:
    """The law of yearly maxima: Gumbel's, unless the sample's shape is other than zero.

    The test is that of J. R. M. Hosking, J. R. Wallis and E. F. Wood, Technometrics 27(3), 1985, 251-261 (from
    memory): Z = k sqrt(n / 0.5633) beyond 1.96 either way.

    Returns
    -------
    FittedLaw or None
        None: fewer than ten years, or maxima that do not differ.

    Raises
    ------
    InputError
        If a value is not finite.
    """
    sample = np.asarray(values, np.float64)
    if not np.all(np.isfinite(sample)):
        raise InputError(f"values = {list(values)!r}: expected finite numbers")
    if sample.size < FEWEST:
        return None
    first, second, skew = l_moments(sample)
    if second <= ALIKE * max(1.0, float(np.max(np.abs(sample)))):
        return None
    location, scale, shape = (
        float(value[0]) for value in _gev(*(np.atleast_1d(item) for item in (first, second, skew)))
    )
    z = shape * math.sqrt(sample.size / 0.5633)
    if abs(z) <= Z_LIMIT:
        gumbel = float(second) / math.log(2.0)
        why = f"the shape does not differ from zero (Z = {z:.2f})"
        return FittedLaw(name="Gumbel", location=float(first) - EULER * gumbel, scale=gumbel, shape=0.0, why=why)
    why = f"the shape differs from zero (Z = {z:.2f})"
    return FittedLaw(name="generalised extreme value", location=location, scale=scale, shape=shape, why=why)


def _redrawn(law: FittedLaw, count: int, seed: int) -> tuple[Floats, Floats, Floats]:
    """The law fitted again to samples drawn from it (parametric bootstrap)."""
    uniform = np.random.Generator(np.random.PCG64(seed)).random((DRAWS, count))
    drawn = _quantile(law.location, law.scale, law.shape, np.clip(uniform, 1e-15, 1.0 - 1e-15))
    first, second, skew = l_moments(drawn)
    if law.name == "Gumbel":
        scale = second / math.log(2.0)
        return first - EULER * scale, scale, np.zeros(DRAWS)
    return _gev(first, second, skew)


def band(law: FittedLaw, count: int, years: Sequence[float], seed: int = 1) -> tuple[Floats, Floats]:
    """Between what levels the one of each return period lies, nine times of ten, by a law fitted to so many years."""
    location, scale, shape = (item[:, None] for item in _redrawn(law, count, seed))
    levels = _quantile(location, scale, shape, 1.0 - 1.0 / np.asarray(years, np.float64))
    low, high = np.quantile(levels, [0.05, 0.95], axis=0)
    return np.asarray(low), np.asarray(high)


def never_reached(count: int) -> float:
    """Return period above which a level lies that was not reached in so many years, on the side of caution.

    T >= 1 / (1 - 0.05^(1/n)): were it shorter, so many years without it would be rarer than one in twenty. [years]
    """
    return 1.0 / -math.expm1(math.log(0.05) / count)


def return_of(values: Sequence[float], threshold: float, seed: int = 1) -> ReturnPeriod:
    """How often a threshold is reached.

    Parameters
    ----------
    values : sequence of float
        Yearly maxima, one or more, in the order of the years.
    threshold : float
        In the same unit.
    seed : int
        Of the bootstrap; the same seed gives the same band.

    Returns
    -------
    ReturnPeriod

    Raises
    ------
    InputError
        If there is no value, or one is not finite.
    """
    sample = np.asarray(values, np.float64)
    if sample.size < 1:
        raise InputError("values: found none; expected one maximum a year")
    law = fit_maxima(values)
    periods = 1.0 / (1.0 - plotting_positions(sample.size))
    plotted = np.empty(sample.size)
    plotted[np.argsort(sample, kind="stable")] = periods
    reached = int(np.sum(sample >= threshold))
    low: float | None = None
    high: float | None = None
    by_law = None
    if law is not None:
        by_law = law.period(threshold)
        again = _period(*_redrawn(law, sample.size, seed), threshold)
        low, high = (float(item) for item in np.quantile(again, [0.05, 0.95], method="inverted_cdf"))
        if not math.isfinite(high) or reached == 0:
            high = None
    if reached == 0:
        bound = never_reached(sample.size)
        low = bound if low is None else min(low, bound)
        why = f"not reached in {sample.size} years: rarer than about one in {bound:.0f}, more these years cannot tell"
    elif law is None:
        why = "too few years, or maxima too much alike, for a law"
    else:
        why = f"{law.name}: {law.why}"
    return ReturnPeriod(
        plotted=tuple(plotted.tolist()),
        reached=reached,
        by_rank=sample.size / reached if reached else None,
        law=law,
        by_law=None if by_law is None or by_law > EVER else by_law,
        low=low,
        high=high,
        beyond=reached == 0,
        why=why,
    )


__all__ = [
    "FittedLaw", "ReturnPeriod", "band", "fit_maxima", "gumbel_level", "l_moments", "never_reached",
    "plotting_positions", "return_of",
]  # fmt: skip
