"""Yearly maxima: plotting positions, the law that fits them, and return periods with their band."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from drainwright.errors import InputError
from drainwright.water.extreme_laws import (
    FittedLaw,
    Floats,
    gev_by_l_moments,
    gumbel_by_l_moments,
    l_moments,
    periods,
    quantiles,
)

FEWEST = 10  # years from which a law is fitted: common practice, no source
ALIKE = 1e-9  # of the maxima's size: a spread so small is none
PILE = 1.0 / 3.0  # of the years with one and the same maximum: more is no law's doing, assumed
Z_LIMIT = 1.96  # of the test of shape zero, two-sided 5 %
DRAWS = 2000  # of the bootstrap
TAIL = 0.05  # chance that is left out at each end of a band
EVER = 1e4  # a return period beyond this is told as none [years]
POSITIONS = {"Gringorten": 0.44, "Cunnane": 0.4, "Weibull": 0.0}  # a of (i - a) / (n + 1 - 2 a)


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


def plotting_positions(count: int, kind: str = "Gringorten") -> Floats:
    """Chance of not being passed in a year, of the smallest maximum to the largest: (i - a) / (n + 1 - 2 a).

    Gringorten's (1963) are the usual for Gumbel and its kin: they put the largest maximum where Gumbel's law has it on
    average. Cunnane's (1978) are a compromise for any law; Weibull's are unbiased in the chance, and tell too short a
    period of the largest (all from memory).

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


def fit_maxima(values: Sequence[float], grain: float = 0.0) -> FittedLaw | None:
    """The law of yearly maxima: Gumbel's, unless the sample's shape is other than zero.

    The test is that of J. R. M. Hosking, J. R. Wallis and E. F. Wood, Technometrics 27(3), 1985, 251-261:
    Z = k sqrt(n / 0.5633) beyond 1.96 either way (seen in the documentation of a public statistics package).

    Parameters
    ----------
    values : sequence of float
        Yearly maxima.
    grain : float
        Differences up to this are none: a float, a rim or a dry year gives the same maximum again and again.

    Returns
    -------
    FittedLaw or None
        None: fewer than ten years; a third of them or more with the same maximum; or maxima beyond the upper end of
        the law that would fit them.

    Raises
    ------
    InputError
        If a value is not finite.
    """
    return _law_or_reason(np.asarray(values, np.float64), grain)[0]


def _law_or_reason(sample: Floats, grain: float) -> tuple[FittedLaw | None, str]:
    """The law and how it was chosen, or none and why."""
    if not np.all(np.isfinite(sample)):
        raise InputError(f"values = {sample.tolist()!r}: expected finite numbers")
    count = sample.size
    if count < FEWEST:
        return None, f"{count} {'year is' if count == 1 else 'years are'} too few for a law, {FEWEST} are the least"
    ordered = np.sort(sample)
    same = max(grain, ALIKE * max(1.0, float(np.max(np.abs(sample)))))
    most = int(np.max(np.searchsorted(ordered, ordered + same, side="right") - np.arange(count)))
    if most == count:
        return None, f"all {count} years have the same maximum: there is no spread to fit a law to"
    if most >= PILE * count:
        return None, f"{most} of {count} years have the same maximum: no law of extremes fits where something holds it"
    first, second, skew = (np.atleast_1d(item) for item in l_moments(sample))
    location, scale, shape = (float(item[0]) for item in gev_by_l_moments(first, second, skew))
    z = shape * math.sqrt(count / 0.5633)
    if abs(z) <= Z_LIMIT:
        location, scale = (float(item[0]) for item in gumbel_by_l_moments(first, second))
        why = f"the shape does not differ from zero (Z = {z:.2f})"
        return FittedLaw(name="Gumbel", location=location, scale=scale, shape=0.0, why=why), why
    if shape > 0.0 and location + scale / shape <= ordered[-1]:
        return None, "the largest maximum lies beyond the upper end of the law that would fit the others"
    why = f"the shape differs from zero (Z = {z:.2f})"
    return FittedLaw(name="generalised extreme value", location=location, scale=scale, shape=shape, why=why), why


def _redrawn(law: FittedLaw, count: int, seed: int) -> tuple[Floats, Floats, Floats]:
    """The law fitted again to samples drawn from it (parametric bootstrap)."""
    uniform = np.random.Generator(np.random.PCG64(seed)).random((DRAWS, count))
    drawn = quantiles(law.location, law.scale, law.shape, np.clip(uniform, 1e-15, 1.0 - 1e-15))
    first, second, skew = l_moments(drawn)
    if law.name == "Gumbel":
        return *gumbel_by_l_moments(first, second), np.zeros(DRAWS)
    return gev_by_l_moments(first, second, skew)


def band(law: FittedLaw, count: int, years: Sequence[float], seed: int = 1) -> tuple[Floats, Floats]:
    """Between what levels the one of each return period lies, nine times of ten, by a law fitted to so many years.

    The law's kind is taken as known. Where Gumbel's was chosen because few years do not tell a shape, and there is one,
    the band of rare levels is too narrow.
    """
    location, scale, shape = (item[:, None] for item in _redrawn(law, count, seed))
    levels = quantiles(location, scale, shape, 1.0 - 1.0 / np.asarray(years, np.float64))
    low, high = np.quantile(levels, [TAIL, 1.0 - TAIL], axis=0)
    return np.asarray(low), np.asarray(high)


def never_reached(count: int) -> float:
    """Return period above which a level lies that was not reached in so many years, on the side of caution.

    T >= 1 / (1 - 0.05^(1/n)): were it shorter, so many years without it would be rarer than one in twenty. [years]
    """
    return 1.0 / -math.expm1(math.log(TAIL) / count)


def counted_band(reached: int, count: int) -> tuple[float, float | None]:
    """Between what return periods a level lies that was reached in so many of the years, free of any law.

    The exact band of a chance that was met so many times (C. J. Clopper and E. S. Pearson, Biometrika 26, 1934, from
    memory); reached in none it is ``never_reached`` and has no upper end. [years]

    Raises
    ------
    InputError
        If the level was reached in more years than there are.
    """
    from scipy.special import betaincinv

    if not 0 <= reached <= count or count < 1:
        raise InputError(f"reached = {reached!r}: expected 0 to the number of years, {count!r}")
    if reached == 0:
        return never_reached(count), None
    often = 1.0 if reached == count else float(betaincinv(reached + 1.0, count - reached, 1.0 - TAIL))
    return 1.0 / often, 1.0 / float(betaincinv(reached, count - reached + 1.0, TAIL))


def return_of(values: Sequence[float], threshold: float, seed: int = 1, grain: float = 0.0) -> ReturnPeriod:
    """How often a threshold is reached.

    Parameters
    ----------
    values : sequence of float
        Yearly maxima, one or more, in the order of the years.
    threshold : float
        In the same unit.
    seed : int
        Of the bootstrap; the same seed gives the same band.
    grain : float
        Differences of maxima up to this are none. In the same unit.

    Returns
    -------
    ReturnPeriod
        The band is the law's; without a law that of the count of years alone. Never reached, its lower end is the
        shorter of both, and it has no upper end.

    Raises
    ------
    InputError
        If there is no value, or one is not finite.
    """
    sample = np.asarray(values, np.float64)
    count = sample.size
    if count < 1:
        raise InputError("values: found none; expected one maximum a year")
    law, reason = _law_or_reason(sample, grain)
    plotted = np.empty(count)
    plotted[np.argsort(sample, kind="stable")] = 1.0 / (1.0 - plotting_positions(count))
    reached = int(np.sum(sample >= threshold))
    low, high = counted_band(reached, count)
    by_law = None
    if law is not None:
        by_law = law.period(threshold)
        again = periods(*_redrawn(law, count, seed), threshold)
        least, most = (float(item) for item in np.quantile(again, [TAIL, 1.0 - TAIL], method="inverted_cdf"))
        low = least if reached and math.isfinite(least) else min(low, least)
        high = most if reached and math.isfinite(most) else None
    seen = f"{count} {'year' if count == 1 else 'years'}"
    why = f"Reached in {reached} of {seen}."
    if reached == 0:
        why = f"Not reached in {seen}: rarer than about once in {low:.0f} years; more cannot be told from so few years."
    why += f" No law is fitted: {reason}." if law is None else f" Law fitted: {law.name}, since {reason}."
    return ReturnPeriod(
        plotted=tuple(plotted.tolist()),
        reached=reached,
        by_rank=count / reached if reached else None,
        law=law,
        by_law=None if by_law is None or by_law > EVER else by_law,
        low=low,
        high=high,
        beyond=reached == 0,
        why=why,
    )


__all__ = [
    "FittedLaw", "ReturnPeriod", "band", "counted_band", "fit_maxima", "l_moments", "never_reached",
    "plotting_positions", "return_of",
]  # fmt: skip
