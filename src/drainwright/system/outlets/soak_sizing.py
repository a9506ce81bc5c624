"""The size of a soakaway: what the job gives is kept, what it leaves out is found."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from drainwright.field.words import Units
from drainwright.system.outlets.soak_routing import SoakBody, half_time, worst

SoakKind = Literal["dry well", "infiltration trench"]
FOOT = 0.3048  # [m]
# Common practice, no source: what a small crew digs and backfills.
USUAL_DEPTH = 3.0 * FOOT  # of stone below the pipe, where nothing stands against it [m]
LEAST_DEPTH = 1.0 * FOOT  # below which there is little storage [m]
DEEPEST_DIG = 1.5  # under the 5 ft from which a trench must be made safe [m]
LONGEST = 100.0 * FOOT  # of a trench [m]
NARROW = (2.0 * FOOT, 3.0 * FOOT, 4.0 * FOOT)  # widths of a trench, tried in turn [m]
WELLS = (3.0 * FOOT, 4.0 * FOOT, 5.0 * FOOT, 6.0 * FOOT)  # diameters, tried in turn [m]
MOST_WELLS = 6
APART = 10.0 * FOOT  # clear between two wells [m]
GOOD_LENGTH = 50.0 * FOOT  # of a trench, before the next width is tried [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class SoakSize:
    """Size of a soakaway in plan and depth."""

    kind: SoakKind
    length: float  # of a trench; of a well its diameter [m]
    width: float  # of a trench; of a well its diameter [m]
    depth: float  # [m]
    count: int = 1

    @property
    def area(self) -> float:
        """In plan, all together [m²]."""
        one = math.pi / 4.0 * self.width**2 if self.kind == "dry well" else self.length * self.width
        return self.count * one

    @property
    def perimeter(self) -> float:
        """Of the sides in plan, all together [m]."""
        one = math.pi * self.width if self.kind == "dry well" else 2.0 * (self.length + self.width)
        return self.count * one

    def body(self, voids: float, rate: float, silted: bool = False) -> SoakBody:
        """The soakaway as the water sees it; ``silted``: its bottom takes nothing in."""
        return SoakBody(
            area=self.area, floor=0.0 if silted else self.area, perimeter=self.perimeter, depth=self.depth,
            voids=voids, rate=rate,
        )  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class SoakNeed:
    """What a soakaway must do."""

    storms: tuple[tuple[float, float], ...]  # duration [s] and even inflow [m³/s], without the base flow
    base: float  # [m³/s]
    voids: float  # [-]
    rate: float  # [m/s]
    half_empty: float  # longest time until it is half empty [s]

    def kept_by(self, size: SoakSize) -> bool:
        """Whether a size keeps every storm in and is half empty in time."""
        body = size.body(self.voids, self.rate)
        number, routed = worst(body, self.storms, self.base)
        fullest = routed[number].fullest
        return fullest <= body.depth + 1e-9 and half_time(body, fullest, self.base) <= self.half_empty


def sized(
    need: SoakNeed, kind: SoakKind, depth: float, length: float | None, width: float | None, units: Units
) -> tuple[SoakSize, bool]:
    """The smallest soakaway that does what is asked, with what is given kept.

    Parameters
    ----------
    need : SoakNeed
        What it must do.
    kind : str
        Dry well or trench.
    depth : float
        Of the stone. [m]
    length, width : float, optional
        As the job gives them; a well's width is its diameter. [m]
    units : {"US", "SI"}
        A trench's length is rounded up to a foot or to half a metre.

    Returns
    -------
    tuple
        The size, and whether it does what is asked; where none does, the largest that was tried.
    """
    if kind == "dry well":
        sizes = [
            SoakSize(kind=kind, length=across, width=across, depth=depth, count=count)
            for count in range(1, MOST_WELLS + 1)
            for across in ((width,) if width is not None else WELLS)
        ]
        sizes.sort(key=lambda size: (size.count, size.width))
        found = next((size for size in sizes if need.kept_by(size)), None)
        return (sizes[-1], False) if found is None else (found, True)
    widths: Sequence[float] = (width,) if width is not None else NARROW
    if length is not None:
        given = [SoakSize(kind=kind, length=length, width=each, depth=depth) for each in widths]
        found = next((size for size in given if need.kept_by(size)), None)
        return (given[-1], False) if found is None else (found, True)
    fitting = [size for each in widths if (size := _shortest(need, each, depth, units)) is not None]
    if not fitting:
        return SoakSize(kind=kind, length=LONGEST, width=widths[-1], depth=depth), False
    good = [size for size in fitting if size.length <= GOOD_LENGTH + 1e-9]
    return (good[0] if good else min(fitting, key=lambda size: size.length)), True


def _shortest(need: SoakNeed, width: float, depth: float, units: Units) -> SoakSize | None:
    """The shortest trench of a width that does what is asked; a longer one never fills higher."""

    def size(length: float) -> SoakSize:
        return SoakSize(kind="infiltration trench", length=length, width=width, depth=depth)

    step = FOOT if units == "US" else 0.5
    low, high = 0, math.floor(LONGEST / step + 1e-9)  # in steps
    if not need.kept_by(size(high * step)):
        return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if need.kept_by(size(middle * step)) else (middle, high)
    return size(high * step)


def good_depth(invert: float, ground: float, high_water: float | None, above_water: float) -> float:
    """Depth of stone for a soakaway that the job leaves open: usual, but shallow enough for soil, crew and water.

    Parameters
    ----------
    invert, ground : float
        Levels of the pipe and the ground. [m]
    high_water : float, optional
        Level of the seasonal high ground water. [m]
    above_water : float
        That its bottom must keep over it. [m]

    Returns
    -------
    float
        At least ``LEAST_DEPTH``, though that may break a limit: the checks say so. [m]
    """
    most = min(USUAL_DEPTH, invert - (ground - DEEPEST_DIG))
    if high_water is not None:
        most = min(most, invert - high_water - above_water)
    return max(math.floor(most / 0.0254 + 1e-6) * 0.0254, LEAST_DEPTH)


__all__ = ["APART", "DEEPEST_DIG", "LEAST_DEPTH", "SoakKind", "SoakNeed", "SoakSize", "good_depth", "sized"]
