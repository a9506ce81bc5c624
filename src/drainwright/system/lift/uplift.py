"""Uplift of the empty basin, and the concrete collar that holds it down."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from drainwright.hydraulics.buoyancy import WATER_UNIT_WEIGHT, ring_volume, uplift_force
from drainwright.hydraulics.wetwell import basin_volume
from drainwright.system.catalogue import INCH
from drainwright.system.lift.choice import Levels, Setting
from drainwright.worksheet import quiet

BASIN_WALL = 0.0064  # thickness of a plastic basin's wall and floor, common practice [m]
SOIL_UNIT_WEIGHT = 18_000.0  # saturated, where the job gives none: assumed [N/m³]
CONCRETE_DENSITY = 2400.0  # [kg/m³]
GRAVITY = 9.80665  # [m/s²]
COLLAR_WIDTHS = tuple(size * INCH for size in (6.0, 9.0, 12.0, 15.0))  # out from the basin [m]
COLLAR_LEAST = 4.0 * INCH  # height [m]
COLLAR_STEP = 1.0 * INCH  # of the height [m]
COLLAR_BELOW = 6.0 * INCH  # its top below the lowest inlet, at least: room to lay the pipe [m]
UPLIFT_CONVENTION = (
    "weight of the empty basin, of a concrete collar less the water that the collar displaces, and of the soil"
    " straight over a flange or collar (buoyant below the water table, whole above it; stone backfill counts as"
    " soil), over the weight of the water that the empty basin displaces"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Collar:
    """Concrete round the basin's foot."""

    mass: float = 0.0  # [kg]
    width: float = 0.0  # out from the basin's outside; 0 where there is none, or only its mass is given [m]
    height: float = 0.0  # [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Uplift:
    """What lifts the empty basin and what holds it."""

    water: float  # level of ground water that is taken [m]
    lift: float  # [N]
    resisting: float  # by ``UPLIFT_CONVENTION`` [N]
    collar: Collar
    short: bool  # a collar was wanted, and none within the limits reaches the safety


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ground:
    """Basin and ground round it."""

    outside: float  # diameter [m]
    foot: float  # underside of the basin [m]
    ground: float  # [m]
    water: float  # [m]
    unit: float  # weight of the soil [N/m³]
    flange: float  # width [m]

    def soil(self, inner: float, outer: float, low: float) -> float:
        """Weight of a ring of soil from a level up to the ground, less the water that it displaces [N]."""
        volume = float(ring_volume(inner, outer, max(self.ground - low, 0.0)))
        return volume * self.unit - self.displaced(inner, outer, low, self.ground)

    def displaced(self, inner: float, outer: float, low: float, high: float) -> float:
        """Weight of the water that a ring displaces [N]."""
        wet = max(min(self.water, high) - low, 0.0)
        return float(uplift_force(float(ring_volume(inner, outer, wet)))) if wet > 0.0 else 0.0

    def held(self, width: float, height: float) -> tuple[float, float]:
        """Mass of a collar [kg], and what it and the soil over collar and flange hold down [N]."""
        edge, rim = self.outside + 2.0 * width, self.outside + 2.0 * max(width, self.flange)
        mass, force = 0.0, 0.0
        if width > 0.0:
            top = self.foot + height
            mass = float(ring_volume(self.outside, edge, height)) * CONCRETE_DENSITY
            force = mass * GRAVITY - self.displaced(self.outside, edge, self.foot, top)
            force += self.soil(self.outside, edge, top)
        if rim > edge:  # the flange reaches out beyond the collar
            force += self.soil(edge, rim, self.foot + BASIN_WALL)
        return mass, force


def uplift(setting: Setting, levels: Levels) -> Uplift:
    """Uplift of the empty basin, what resists it, and the collar: given by the job, or of least concrete.

    Parameters
    ----------
    setting : Setting
        Basin, ground and water round it, and the wanted safety.
    levels : Levels
        Floor and diameter.

    Returns
    -------
    Uplift
        Its formulas go on the worksheet. A collar that the job gives by its mass bears no soil.
    """
    basin = setting.basin
    water = setting.ground if setting.water_table is None else min(setting.water_table, setting.ground)
    place = _Ground(
        outside=levels.diameter + 2.0 * BASIN_WALL,
        foot=levels.floor - BASIN_WALL,
        ground=setting.ground,
        water=water,
        unit=SOIL_UNIT_WEIGHT if setting.soil_unit_weight is None else setting.soil_unit_weight,
        flange=basin.flange_width,
    )
    height = max(min(water, setting.rim) - place.foot, 0.0)
    lift = float(uplift_force(float(basin_volume(place.outside, height)))) if height > 0.0 else 0.0
    empty = basin.empty_weight * GRAVITY
    if basin.concrete_collar is not None:
        _, soil = place.held(0.0, 0.0)
        in_water = 1.0 - (WATER_UNIT_WEIGHT / GRAVITY / CONCRETE_DENSITY if place.foot < water else 0.0)
        given = Collar(mass=basin.concrete_collar)
        resisting = empty + soil + given.mass * in_water * GRAVITY
        return Uplift(water=water, lift=lift, resisting=resisting, collar=given, short=False)
    wanted = setting.criteria.uplift_safety * lift - empty
    with quiet():
        width, tall = _least(place, wanted, setting.lowest_inlet - levels.floor - COLLAR_BELOW)
    mass, held = place.held(width, tall)
    return Uplift(
        water=water,
        lift=lift,
        resisting=empty + held,
        collar=Collar(mass=mass, width=width, height=tall),
        short=held < wanted,
    )


def _sizes(highest: float) -> Iterator[tuple[float, float]]:
    """Widths and heights of collars; none where even the lowest is too high [m]."""
    steps = math.floor((highest - COLLAR_LEAST) / COLLAR_STEP + 1e-9)
    for width in COLLAR_WIDTHS:
        for step in range(steps + 1):
            yield width, COLLAR_LEAST + step * COLLAR_STEP


def _least(place: _Ground, wanted: float, highest: float) -> tuple[float, float]:
    """Width and height of the collar of least concrete that holds what is wanted; else of the one that holds most."""
    sizes = [(0.0, 0.0), *_sizes(highest)]
    found = {size: place.held(*size) for size in sizes}
    enough = [size for size in sizes if found[size][1] >= wanted]
    if enough:
        return min(enough, key=lambda size: (found[size][0], size))
    return max(sizes, key=lambda size: found[size][1])


__all__ = [
    "BASIN_WALL", "COLLAR_BELOW", "COLLAR_LEAST", "COLLAR_STEP", "COLLAR_WIDTHS", "CONCRETE_DENSITY",
    "UPLIFT_CONVENTION", "Collar", "Uplift", "uplift",
]  # fmt: skip
