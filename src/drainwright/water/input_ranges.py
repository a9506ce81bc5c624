"""Between what each input of the inflows lies, nine times of ten: as the job says, or else by how it is known."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

from drainwright.field.model import Site
from drainwright.field.words import least_sure
from drainwright.job.site import RoofArea, YardArea
from drainwright.job.values import Basis, Fact, Level
from drainwright.water.model import Contribution, Inflows
from drainwright.water.runoff import SANDY
from drainwright.water.soil_tests import soil_from_tests
from drainwright.water.yards import yard_ground

NINE_OF_TEN = 1.6448536269514722  # standard errors from the middle to either end of the range

Factors = Mapping[Basis, float]

# Where the job gives no range. Factors: the truth lies between value / factor and value x factor. All are common
# practice without a source, but for what is said beside them.
# fmt: off
CONDUCTIVITY: Factors = {Basis.MEASURED: 3.0, Basis.MAPPED: 5.0, Basis.STATED: 5.0, Basis.ASSUMED: 10.0}
LAYER: Factors = {Basis.MEASURED: 1.2, Basis.MAPPED: 1.5, Basis.STATED: 1.5, Basis.ASSUMED: 2.0}
WATER_TABLE: Factors = {Basis.MEASURED: 0.10, Basis.MAPPED: 0.30, Basis.STATED: 0.20, Basis.ASSUMED: 0.30}  # [m]
FOOTING: Factors = {Basis.MEASURED: 0.03, Basis.MAPPED: 0.10, Basis.STATED: 0.10, Basis.ASSUMED: 0.15}  # [m]
AREA: Factors = {Basis.MEASURED: 1.03, Basis.MAPPED: 1.05, Basis.STATED: 1.10, Basis.ASSUMED: 1.20}
COEFFICIENT: Factors = {Basis.MEASURED: 1.10, Basis.MAPPED: 1.20, Basis.STATED: 1.25, Basis.ASSUMED: 1.40}
REACH = 1.5
RECHARGE = 2.0
# 5- to 100-year depths of one NOAA Atlas 14 table with its 90 % bounds, mean of 5 min to 2 h: 0.84 and 1.19 (seen);
# stated and assumed tables wider, common practice.
RAIN: Mapping[Basis, tuple[float, float]] = {
    Basis.MEASURED: (0.84, 1.19), Basis.MAPPED: (0.84, 1.19), Basis.STATED: (0.80, 1.25), Basis.ASSUMED: (0.70, 1.40),
}
# Upper over lower end of the handbook range of each surface (ASCE Manual 37, HDS-2; from memory, as in ``runoff``).
_HARD = {"paving": 0.95 / 0.70, "concrete": 0.95 / 0.70, "asphalt": 0.95 / 0.70, "gravel": 2.0, "pervious paving": 2.25}
_BARE = 3.0
_GREEN = {"sandy": (2.0, 1.5, 0.20 / 0.15), "heavy": (0.17 / 0.13, 0.22 / 0.18, 1.4)}  # to 2 %, to 7 %, steeper
# fmt: on
_BY_BASIS = "by how it is known; common practice, no source"


@dataclass(frozen=True, slots=True, kw_only=True)
class Spread:
    """The range of one input, before it is sampled."""

    name: str
    low: float
    middle: float
    high: float
    kind: str
    basis: Basis
    why: str
    level: bool = False  # a level shifts; all else is multiplied


def area_spread(site: Site, source: RoofArea | YardArea, part: Contribution) -> Spread:
    """Area of a roof or yard."""
    name = f"area of {source.name}"
    if source.area is not None:
        return fact_spread(name, source.area, part.area, AREA, "area")
    if isinstance(source, YardArea) and source.from_ground:
        basis = yard_ground(site, source).basis
        return by_factor(name, part.area, AREA[basis], "area", basis, _BY_BASIS)
    points = [site.points[at.name].basis for at in source.outline if at.name is not None and at.name in site.points]
    basis = least_sure(*(points or [Basis.STATED]))
    return by_factor(name, part.area, AREA[basis], "area", basis, _BY_BASIS)


def coefficient_spread(site: Site, yard: YardArea, part: Contribution) -> Spread:
    """Runoff coefficient of a yard."""
    name = f"runoff coefficient of {yard.name}"
    if yard.runoff_coefficient is not None:
        return fact_spread(name, yard.runoff_coefficient, part.coefficient, COEFFICIENT, "fraction", 1.0)
    soil = "sandy" if site.job.ground.texture.value in SANDY else "heavy"
    slope = yard_ground(site, yard).slope
    wide = (
        _HARD[yard.surface] if yard.surface in _HARD
        else _BARE if yard.surface == "bare soil"
        else _GREEN[soil][0 if slope <= 0.02 else 1 if slope <= 0.07 else 2]
    )  # fmt: skip
    why = "as wide as the handbook's range for the surface, about the design's value, which is its upper end"
    return by_factor(name, part.coefficient, math.sqrt(wide), "fraction", Basis.ASSUMED, why, 1.0)


def conductivity_spread(site: Site, inflows: Inflows) -> Spread:
    """Soil conductivity: the job's range, the spread of several hole tests, or by how it is known."""
    ground, name, value, basis = (
        site.job.ground, "soil conductivity", inflows.conductivity, inflows.conductivity_basis,
    )  # fmt: skip
    if ground.conductivity is not None and not (ground.conductivity.low is None and ground.conductivity.high is None):
        return fact_spread(name, ground.conductivity, value, CONDUCTIVITY, "speed")
    tests = soil_from_tests(ground.hole_tests, site.job.units) if ground.conductivity is None else None
    if tests is not None and len(tests.results) > 1:
        several = max(2.0, tests.spread ** (NINE_OF_TEN / math.sqrt(len(tests.results))))
        return by_factor(name, value, several, "speed", basis, "the spread of the hole tests, at least a factor of 2")
    why = {
        Basis.MEASURED: "one test or one place: a factor of 3 each way between holes of one lot; common practice",
        Basis.ASSUMED: "from the texture: ten times more and ten times less, as Carsel and Parrish's spread",
    }.get(basis, "not measured here: a factor of 5 each way; common practice")
    return by_factor(name, value, CONDUCTIVITY[basis], "speed", basis, why)


def layer_spread(site: Site, thick: float) -> Spread:
    """Depth of water-bearing soil below the drain, ``thick`` in the middle."""
    name, fact = "depth of water-bearing soil below the drain", site.job.ground.barrier
    if site.barrier is None or fact is None:
        return by_factor(name, thick, LAYER[Basis.ASSUMED], "length", Basis.ASSUMED, _BY_BASIS)
    down, up = _offsets(fact)
    default = LAYER[fact.basis]
    low = max(thick - up, 0.1 * thick) if up is not None else thick / default
    high = thick + down if down is not None else thick * default
    why = "the job's own range" if up is not None or down is not None else _BY_BASIS
    return Spread(name=name, low=low, middle=thick, high=high, kind="length", basis=fact.basis, why=why)


def by_factor(
    name: str, value: float, factor: float, kind: str, basis: Basis, why: str, most: float = math.inf
) -> Spread:
    """So many times more and less, at most ``most``."""
    high = max(min(value * factor, most), value)
    return Spread(name=name, low=value / factor, middle=value, high=high, kind=kind, basis=basis, why=why)


def fact_spread(
    name: str, fact: Fact[float], value: float, factors: Factors, kind: str, most: float = math.inf
) -> Spread:
    """By the fact's own low and high where it has them, else by its basis; about ``value``, which rests on it."""
    default = by_factor(name, value, factors[fact.basis], kind, fact.basis, _BY_BASIS, most)
    if fact.low is None and fact.high is None:
        return default
    scale = value / fact.value if fact.value else 1.0
    low = fact.low * scale if fact.low is not None else default.low
    high = fact.high * scale if fact.high is not None else default.high
    low = max(low, 1e-3 * value)  # a range down to nothing has no logarithm
    return replace(default, low=low, high=max(min(high, most), value), why="the job's own range")


def _offsets(fact: Fact[Level]) -> tuple[float | None, float | None]:
    """How far the fact's own low and high lie below and above its value; None where it has none. [m]"""
    low, value, high = fact.low, fact.value, fact.high
    down = value.offset - low.offset if low is not None and low.reference == value.reference else None
    up = high.offset - value.offset if high is not None and high.reference == value.reference else None
    return down, up


def level_spread(name: str, fact: Fact[Level] | None, value: float, sizes: Factors) -> Spread:
    """A level, by the fact's own low and high where it has them, else by its basis."""
    basis = fact.basis if fact is not None else Basis.ASSUMED
    down, up = _offsets(fact) if fact is not None else (None, None)
    why = "the job's own range" if down is not None or up is not None else _BY_BASIS
    return Spread(
        name=name, low=value - (down if down is not None else sizes[basis]), middle=value,
        high=value + (up if up is not None else sizes[basis]), kind="length", basis=basis, why=why,
        level=True,
    )  # fmt: skip


__all__ = [
    "FOOTING", "NINE_OF_TEN", "RAIN", "REACH", "RECHARGE", "WATER_TABLE", "Spread", "area_spread", "by_factor",
    "coefficient_spread", "conductivity_spread", "fact_spread", "layer_spread", "level_spread",
]  # fmt: skip
