"""Gravity overflows: the level at which each begins to run, and what it carries before water harms anything."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from drainwright.field.model import Site
from drainwright.hydraulics.openflow import full_flow
from drainwright.system.surface.surface_line import Reach, WaterLine, water_line
from drainwright.worksheet import quiet

MOST = 8.0  # times its full flow: more than that no overflow carries under the heads of a house lot [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Overflow:
    """A second way out of a place, at the level of its invert there."""

    run: str
    place: str
    to: str
    starts: float  # water there runs off above this level [m]
    allowed: float  # water there may rise so far: the floor's underside, or short of the rim [m]
    at_floor: bool  # the floor's underside is that level; else the rim
    capacity: float  # with water there at that level; 0 where it begins above it [m³/s]
    inflow: float  # all that comes to the place at the design rain [m³/s]
    level: float  # at which water stands there while it carries all of that [m]

    @property
    def holds(self) -> bool:
        """Whether it takes the whole design inflow while nothing else does."""
        return self.capacity >= self.inflow > 0.0 or (self.inflow <= 0.0 and self.starts < self.allowed)


def overflows(
    site: Site,
    reaches: Sequence[Reach],
    water: Mapping[str, WaterLine],
    rims: Mapping[str, float],
    drains: Collection[str],
) -> tuple[Overflow, ...]:
    """What the overflows of a network can do.

    Parameters
    ----------
    site : Site
        For the floor, and the freeboard wanted under a rim.
    reaches : sequence of Reach
        All gravity lines.
    water : mapping
        Their water lines; an overflow's is drawn with all the inflow of its place.
    rims : mapping
        Levels at which water comes out of the places. [m]
    drains : collection of str
        The lines that lie beside the house as footing drains.

    Returns
    -------
    tuple of Overflow
        In the order of the lines.
    """
    house = site.job.house
    under = site.floor - (0.0 if house.floor_kind == "crawl space" else house.floor_thickness)
    wet = drained_places(reaches, drains)
    found = []
    for reach in reaches:
        if not reach.overflow:
            continue
        rim = rims[reach.upper] - site.job.criteria.grate_freeboard
        at_floor = reach.upper in wet and under < rim
        allowed = under if at_floor else rim
        line = water[reach.name]
        found.append(
            Overflow(
                run=reach.name,
                place=reach.upper,
                to=reach.lower,
                starts=reach.invert_upper,
                allowed=allowed,
                at_floor=at_floor,
                capacity=_capacity(reach, line.tail, allowed),
                inflow=reach.flow,
                level=line.node_level,
            )
        )
    return tuple(found)


def drained_places(reaches: Sequence[Reach], drains: Collection[str]) -> frozenset[str]:
    """Places whose water stands as high as that in a drain beside the house: along it, and where it comes to."""
    below = {reach.upper: reach.lower for reach in reaches if not reach.overflow}
    found: set[str] = set()
    for reach in reaches:
        if reach.name in drains:
            here: str | None = reach.upper
            while here is not None and here not in found:
                found.add(here)
                here = below.get(here)
    return frozenset(found)


def _capacity(reach: Reach, tail: float, allowed: float) -> float:
    """Flow at which the water at the upper end stands at the allowed level [m³/s]."""
    from scipy.optimize import brentq

    if allowed <= max(reach.invert_upper, tail):
        return 0.0

    def over(flow: float) -> float:
        return water_line(replace(reach, flow=flow, gain=0.0, stone=None), tail).node_level - allowed

    with quiet():
        grade = max(reach.grade, 1e-4)
        most = MOST * float(full_flow(reach.pipe.inside, grade, reach.pipe.manning))
        least = 1e-6 * most
        if over(least) >= 0.0:
            return 0.0
        if over(most) <= 0.0:
            return most
        return float(brentq(over, least, most, xtol=1e-9, rtol=1e-6))


__all__ = ["Overflow", "drained_places", "overflows"]
