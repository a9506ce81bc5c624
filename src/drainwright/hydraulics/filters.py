"""Soil against stone: what keeps the soil back, what lets the water through.

Sizes are grain diameters: d85 is the size that 85 % of the mass is finer than; small letters for the soil, large ones
for the stone round it. Retention and drainage pull in opposite directions, so each criterion has a bound of its own.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

import numpy as np

from drainwright.errors import Floats, InputError, require
from drainwright.hydraulics.arrays import require_fraction, tidy
from drainwright.worksheet import Card, catalogued

Category = Literal[1, 2, 3, 4]

MILLIMETRE = 0.001  # [m]
NO_4 = 4.75e-3  # opening of the No. 4 sieve [m]
NO_200 = 0.075e-3  # of the No. 200 sieve: what passes it counts as fines [m]
FINEST_FILTER = 0.1e-3  # no filter's D15 below this, NEH 633 ch. 26 [m]


def base_category(fines: float) -> Category:
    """Category of the soil to be held back, NEH 633 ch. 26.

    Parameters
    ----------
    fines : float
        Share finer than the No. 200 sieve, of what passes the No. 4. [-]

    Returns
    -------
    int
        1 above 85 %, 2 from 40 to 85 %, 3 from 15 to 39 %, 4 below 15 %.

    Raises
    ------
    InputError
        If ``fines`` is not a fraction.

    Examples
    --------
    >>> base_category(0.62), base_category(0.05)
    (2, 4)
    """
    require_fraction(fines=fines)
    if fines > 0.85:
        return 1
    if fines >= 0.40:
        return 2
    return 3 if fines >= 0.15 else 4


@catalogued(
    Card(
        title="Largest D15 of a filter for a soil",
        symbol="D15F",
        expression="9 d85 (category 1), 0.7 mm (2), between 0.7 mm and 4 d85 by the fines (3), 4 d85 (4)",
        units={"d85": "m", "fines": "-", "dispersive": "-", "result": "m"},
        source="neh_633_26",
        expression_kind="procedure",
    )
)
def filter_d15_most(d85: float, fines: float, dispersive: bool = False) -> float:
    """Largest D15 of a filter that still keeps the soil back, NEH 633 ch. 26.

    Parameters
    ----------
    d85 : float
        Of the soil, regraded on the No. 4 sieve. [m]
    fines : float
        Share finer than the No. 200 sieve, of what passes the No. 4. [-]
    dispersive : bool
        The clay goes into suspension by itself: stricter in categories 1 and 2.

    Returns
    -------
    float
        Limit of the filter's D15. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Notes
    -----
    Category 1: 9 d85, 6.5 d85 where dispersive, but not less than 0.2 mm. Category 2: 0.7 mm, 0.5 mm where
    dispersive (from memory). Category 3: between them by the fines A: (40 - A)/(40 - 15) (4 d85 - 0.7) + 0.7 mm, with
    0.7 mm where 4 d85 is less. Category 4: 4 d85.

    Examples
    --------
    >>> round(filter_d15_most(1.5e-3, 0.05) * 1000, 2)
    6.0
    """
    require("above zero", np.greater, d85=d85)
    kind = base_category(fines)
    middle = 0.7 * MILLIMETRE
    if kind == 1:
        return max((6.5 if dispersive else 9.0) * d85, 0.2 * MILLIMETRE)
    if kind == 2:
        return 0.5 * MILLIMETRE if dispersive else middle
    if kind == 4:
        return 4.0 * d85
    share = (40.0 - 100.0 * fines) / 25.0
    return middle + share * max(4.0 * d85 - middle, 0.0)


@catalogued(
    Card(
        title="Least D15 of stone that drains a soil",
        symbol="D15F",
        expression="max(times * d15, 0.0001)",
        units={"d15": "m", "times": "-", "result": "m"},
        source="neh_633_26",
        trial={"d15": (1e-6, 1e-3), "times": (4.0, 5.0)},
    )
)
def filter_d15_least(d15: Floats, times: Floats = 5.0) -> Floats:
    """Least D15 of a filter that is clearly more pervious than the soil: 4 to 5 d15, but not less than 0.1 mm.

    Parameters
    ----------
    d15 : Floats
        Of the soil, before regrading. [m]
    times : Floats
        4 at least, 5 by most handbooks: the stone is then some 25 times as pervious. [-]

    Returns
    -------
    Floats
        Limit of the filter's D15. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(filter_d15_least(0.17e-3) * 1000, 2)
    0.85
    """
    require("above zero", np.greater, d15=d15, times=times)
    return tidy(np.maximum(np.asarray(times) * d15, FINEST_FILTER))


@catalogued(
    Card(
        title="Largest D15 of a filter by Terzaghi's ratios",
        symbol="D15F",
        expression="min(5 * d85, like * d15)",
        units={"d15": "m", "d85": "m", "like": "-", "result": "m"},
        source="terzaghi_filter",
    )
)
def terzaghi_d15_most(d15: Floats, d85: Floats, like: Floats = 20.0) -> Floats:
    """Largest D15 of a filter by Terzaghi's ratios: five times the soil's d85, and so many times its d15.

    Parameters
    ----------
    d15, d85 : Floats
        Of the soil. [m]
    like : Floats
        Most of D15 over d15: 20 for drains (from memory), 40 for rock. [-]

    Returns
    -------
    Floats
        Limit of the filter's D15. [m]

    Raises
    ------
    InputError
        If a value cannot be used.

    Examples
    --------
    >>> round(terzaghi_d15_most(0.17e-3, 1.5e-3, 40.0) * 1000, 1)
    6.8
    """
    require("above zero", np.greater, d15=d15, d85=d85, like=like)
    return tidy(np.minimum(5.0 * np.asarray(d85), np.asarray(like) * d15))


@dataclass(frozen=True, slots=True, kw_only=True)
class FilterBand:
    """Terzaghi's band: between which sizes a filter keeps a soil and drains it."""

    d15_least: float  # to drain [m]
    d15_most: float  # to hold back [m]
    d50_most: float  # the two curves lie about parallel [m]

    def holds(self, d15: float, d50: float) -> bool:
        """Whether a filter of these sizes lies within the band."""
        return self.d15_least <= d15 <= self.d15_most and d50 <= self.d50_most


def terzaghi_band(d15: float, d50: float, d85: float, *, uniform: float = 25.0, like: float = 20.0) -> FilterBand:
    """Terzaghi's filter band round a soil: 5 d15 <= D15 <= 5 d85, and the curves about parallel.

    Parameters
    ----------
    d15, d50, d85 : float
        Of the soil. [m]
    uniform : float
        Most of D50 over d50: 25 for drains, 40 for rock. [-]
    like : float
        Most of D15 over d15: 20 for drains (from memory), 40 for rock. [-]

    Raises
    ------
    InputError
        If the sizes are not above zero and in order.

    Examples
    --------
    >>> round(terzaghi_band(0.17e-3, 0.5e-3, 1.5e-3, uniform=40.0, like=40.0).d15_most * 1000, 1)
    6.8
    """
    if not 0.0 < d15 <= d50 <= d85:
        raise InputError(f"d15, d50, d85 = {d15!r}, {d50!r}, {d85!r}: expected sizes above zero, in order")
    return FilterBand(d15_least=5.0 * d15, d15_most=float(terzaghi_d15_most(d15, d85, like)), d50_most=uniform * d50)


def size_at(passing: float, sizes: Sequence[float], shares: Sequence[float]) -> float:
    """Size that a share of the mass is finer than, on straight lines between points, the size on a logarithmic scale.

    Parameters
    ----------
    passing : float
        Share wanted. [-]
    sizes, shares : sequence of float
        Points of the grading curve, finest first. [m], [-]

    Returns
    -------
    float
        Size; beyond the points the end stretch goes on. [m]

    Raises
    ------
    InputError
        If there are fewer than two points, or they do not rise.

    Examples
    --------
    >>> round(size_at(0.15, (4.75e-3, 12.5e-3), (0.0, 0.25)) * 1000, 2)
    8.49
    """
    if len(sizes) < 2 or len(sizes) != len(shares):
        raise InputError(f"sizes = {sizes!r}: expected two points or more, and as many shares")
    if any(b <= a for a, b in pairwise(sizes)) or sizes[0] <= 0.0:
        raise InputError(f"sizes = {sizes!r}: expected sizes above zero that rise")
    if any(b <= a for a, b in pairwise(shares)):
        raise InputError(f"shares = {shares!r}: expected shares that rise")
    index = next((i for i, share in enumerate(shares[1:-1]) if passing <= share), len(shares) - 2)
    low, high = math.log(sizes[index]), math.log(sizes[index + 1])
    part = (passing - shares[index]) / (shares[index + 1] - shares[index])
    return math.exp(low + part * (high - low))


def share_at(size: float, sizes: Sequence[float], shares: Sequence[float]) -> float:
    """Share of the mass that is finer than a size: ``size_at`` the other way round, kept from 0 to 1. [-]"""
    inside = np.interp(math.log(size), np.log(sizes), shares)
    if size < sizes[0] or size > sizes[-1]:
        end = slice(0, 2) if size < sizes[0] else slice(-2, None)
        (x0, x1), (y0, y1) = np.log(sizes[end]), shares[end]
        inside = y0 + (y1 - y0) * (math.log(size) - x0) / (x1 - x0)
    return float(min(max(inside, 0.0), 1.0))


def regraded_size(passing: float, sizes: Sequence[float], shares: Sequence[float]) -> float:
    """Size at a share of that part of a soil which passes the No. 4 sieve: gravel in it holds nothing back.

    The whole soil's size where all of it passes. Parameters as in ``size_at``. [m]

    Examples
    --------
    >>> round(regraded_size(0.85, (0.075e-3, 4.75e-3, 50e-3), (0.1, 0.5, 1.0)) * 1000, 2)
    2.18
    """
    kept = share_at(NO_4, sizes, shares)
    return size_at(passing * (kept if kept > 0.0 else 1.0), sizes, shares)


def opening_ratio_least(shape: Literal["hole", "slot"]) -> float:
    """Least of the stone's D85 over a hole's diameter (1.0) or a slot's width (1.2), UFC 3-270-04. [-]"""
    return 1.2 if shape == "slot" else 1.0


__all__ = [
    "NO_4",
    "NO_200",
    "Category",
    "FilterBand",
    "base_category",
    "filter_d15_least",
    "filter_d15_most",
    "opening_ratio_least",
    "regraded_size",
    "share_at",
    "size_at",
    "terzaghi_band",
    "terzaghi_d15_most",
]  # fmt: skip
