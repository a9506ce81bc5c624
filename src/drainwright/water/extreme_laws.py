"""Laws of yearly maxima: Gumbel's and the generalised extreme value law, by L-moments."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError
from drainwright.worksheet import Card, catalogued

Floats = NDArray[np.float64]
EULER = 0.5772156649015329


@catalogued(
    Card(
        title="Level of a return period by Gumbel's law",
        symbol="x_T",
        expression="location - scale * log(log(years / (years - 1)))",
        units={"location": "m", "scale": "m", "years": "-", "result": "m"},
        source="gumbel",
        trial={"years": (1.5, 500.0)},
    )
)
def gumbel_level(location: float, scale: float, years: float) -> float:
    """What is reached in one of so many years by Gumbel's law.

    Parameters
    ----------
    location, scale : float
        Of the law. [m]
    years : float
        Return period, above one. [-]

    Returns
    -------
    float
        Level, or whatever else the law is of. [m]

    Raises
    ------
    InputError
        If the period is not above one year.
    """
    _above_one(years)
    return float(location - scale * math.log(-math.log1p(-1.0 / years)))


@catalogued(
    Card(
        title="Level of a return period by the generalised extreme value law",
        symbol="x_T",
        expression="location + scale / shape * (1 - log(years / (years - 1)) ** shape)",
        units={"location": "m", "scale": "m", "shape": "-", "years": "-", "result": "m"},
        source="hosking_1985",
        trial={"years": (1.5, 500.0), "shape": (0.05, 0.5)},
    )
)
def extreme_level(location: float, scale: float, shape: float, years: float) -> float:
    """What is reached in one of so many years by the generalised extreme value law.

    Parameters
    ----------
    location, scale : float
        Of the law. [m]
    shape : float
        Hosking's k, not zero: above it the law has an upper end, below it a heavy tail. [-]
    years : float
        Return period, above one. [-]

    Returns
    -------
    float
        Level, or whatever else the law is of. [m]

    Raises
    ------
    InputError
        If the period is not above one year, or the shape is zero.
    """
    _above_one(years)
    if shape == 0.0:
        raise InputError("shape = 0: expected another; without a shape the law is Gumbel's")
    return float(location - scale / shape * math.expm1(shape * math.log(-math.log1p(-1.0 / years))))


def _above_one(years: float) -> None:
    if not years > 1.0:
        raise InputError(f"years = {years!r}: expected more than one")


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
        if self.shape == 0.0:
            return gumbel_level(self.location, self.scale, years)
        return extreme_level(self.location, self.scale, self.shape, years)

    def period(self, level: float) -> float:
        """In one of how many years a level is reached; infinite beyond an upper end. [years]"""
        return float(periods(np.array([self.location]), np.array([self.scale]), np.array([self.shape]), level)[0])


def quantiles(location: float | Floats, scale: float | Floats, shape: float | Floats, chance: Floats) -> Floats:
    """Level that is not passed in a year with this chance, for many laws at once."""
    reduced = -np.log(-np.log(chance))
    k = np.asarray(shape, np.float64)
    small = np.abs(k) < 1e-6
    safe = np.where(small, 1.0, k)
    return np.asarray(location + scale * np.where(small, reduced, (1.0 - np.exp(-safe * reduced)) / safe))


def periods(location: Floats, scale: Floats, shape: Floats, level: float) -> Floats:
    """In one of how many years a level is reached, for many laws at once; infinite beyond an upper end. [years]"""
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


def l_moments(values: Floats) -> tuple[Floats, Floats, Floats]:
    """First two L-moments and the L-skewness of samples in the last axis, by unbiased probability-weighted moments.

    J. R. M. Hosking, J. R. Stat. Soc. B 52(1), 1990, 105-124 (from memory). Three values or more.
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


def gumbel_by_l_moments(first: Floats, second: Floats) -> tuple[Floats, Floats]:
    """Location and scale of Gumbel's law with these L-moments."""
    scale = second / math.log(2.0)
    return first - EULER * scale, scale


def gev_by_l_moments(first: Floats, second: Floats, skew: Floats) -> tuple[Floats, Floats, Floats]:
    """Location, scale and shape of the generalised extreme value law with these L-moments.

    The shape is solved exactly, by halving between -0.99 and 4 (J. R. M. Hosking, J. R. Stat. Soc. B 52(1), 1990; the
    relations seen in the documentation of a public L-moment package).
    """
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


__all__ = [
    "EULER", "FittedLaw", "Floats", "extreme_level", "gev_by_l_moments", "gumbel_by_l_moments", "gumbel_level",
    "l_moments", "periods", "quantiles",
]  # fmt: skip
