"""The hole of a basin: round where it is shallow, square with the nearest wall where its sides want panels."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING, TypedDict

import numpy as np
from numpy.typing import NDArray

from drainwright.field.model import Plan, Site
from drainwright.system.lift.uplift import BASIN_WALL
from drainwright.system.model import LiftStation

if TYPE_CHECKING:
    from shapely import Polygon

    from drainwright.system.yard.cells import Array

HOLE_ROOM = 0.2286  # to work in, all round a basin, 9 in [m]
HOLE_BED = 0.1016  # stone under a basin, 4 in [m]
PANELS_FROM = 1.524  # depth from which sides are sloped, shored or shielded, 5 ft: 29 CFR 1926.652(a)(1) [m]
SLACK = 1e-9


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """The hole that a basin needs."""

    across: float  # diameter, or side where it is square [m]
    bottom: float  # level [m]
    square: bool

    @property
    def half(self) -> float:
        """From its middle to the side [m]."""
        return self.across / 2.0

    @property
    def area(self) -> float:
        """In plan [m²]."""
        return self.across**2 if self.square else math.pi / 4.0 * self.across**2


def wants_panels(site: Site, depth: float) -> bool:
    """Whether a hole is so deep that shields or shores, which are straight, may stand in it; in no stable rock."""
    return site.job.ground.osha_type.value != "stable rock" and depth >= PANELS_FROM - SLACK


class Wide(TypedDict):
    """How wide a hole is, and whether it is square."""

    across: float
    square: bool


def hole_wide(site: Site, room: float, depth: float) -> Wide:
    """A hole with so much room in it: where panels stand in it, it is square and wider by them."""
    square = wants_panels(site, depth)
    return {"across": room + (site.job.criteria.shield_panels if square else 0.0), "square": square}


def hole_across(station: LiftStation) -> float:
    """Room in a basin's hole: to work all round, and for its concrete collar [m]."""
    return station.inside_diameter + 2.0 * BASIN_WALL + 2.0 * max(HOLE_ROOM, station.collar_width)


def hole_of(site: Site, station: LiftStation) -> Hole:
    """The hole of a basin as designed, with its collar."""
    bottom = station.floor - BASIN_WALL - HOLE_BED
    return Hole(**hole_wide(site, hole_across(station), station.ground - bottom), bottom=bottom)


def hole_area(site: Site, at: Plan, hole: Hole) -> Polygon:
    """The hole in plan, its sides along the nearest wall where it is square."""
    from shapely import Point, Polygon

    if not hole.square:
        return Point(at).buffer(hole.half, quad_segs=32)
    ways = ways_at(site, np.array([at[0]]), np.array([at[1]]))
    return Polygon([(float(x[0]), float(y[0])) for x, y in _corners(np.array([at[0]]), np.array([at[1]]), hole, ways)])


def ways_at(site: Site, east: Array, north: Array) -> tuple[Array, Array]:
    """Unit vector along the wall that is nearest to each place; due east where no wall and no house is known [-]."""
    ring = site.outline
    sides = [(wall.start, wall.end) for wall in site.walls] or list(zip(ring, (*ring[1:], *ring[:1]), strict=True))
    along_east, along_north = np.ones(np.shape(east)), np.zeros(np.shape(east))
    least = np.full(np.shape(east), np.inf)
    for first, last in sides:
        length = math.dist(first, last)
        if length < SLACK:
            continue
        away = off_line(east, north, (first, last))
        nearer = away < least - SLACK
        least = np.where(nearer, away, least)
        along_east = np.where(nearer, (last[0] - first[0]) / length, along_east)
        along_north = np.where(nearer, (last[1] - first[1]) / length, along_north)
    return along_east, along_north


def gap_to(east: Array, north: Array, hole: Hole, ways: tuple[Array, Array], route: Sequence[Plan]) -> Array:
    """Gap in plan between a hole at each place and a line of straight pieces.

    Parameters
    ----------
    east, north : array of shape (n,)
        Middles of the hole. [m]
    hole : Hole
        The hole.
    ways : tuple of two arrays of shape (n,)
        From ``ways_at``. [-]
    route : sequence of Plan
        Two places or more. [m]

    Returns
    -------
    array of shape (n,)
        Zero where the line comes into the hole. [m]
    """
    from_middle = off_line(east, north, route)
    if not hole.square:
        return np.maximum(from_middle - hole.half, 0.0)
    gaps = [off_line(x, y, route) for x, y in _corners(east, north, hole, ways)]
    for x, y in route:
        along = (x - east) * ways[0] + (y - north) * ways[1]
        aside = (y - north) * ways[0] - (x - east) * ways[1]
        gaps.append(np.hypot(*(np.maximum(np.abs(part) - hole.half, 0.0) for part in (along, aside))))
    apart = np.minimum.reduce(gaps)
    return np.where((from_middle <= hole.half) | _cut(east, north, hole, ways, route), 0.0, apart)


def off_line(east: Array, north: Array, route: Sequence[Plan]) -> Array:
    """Distance of each place from a line of straight pieces [m]."""
    found = np.full(np.shape(east), np.inf)
    for (a, b), (c, d) in pairwise(route):
        along = ((east - a) * (c - a) + (north - b) * (d - b)) / max((c - a) ** 2 + (d - b) ** 2, 1e-12)
        along = np.clip(along, 0.0, 1.0)
        found = np.minimum(found, np.hypot(east - a - along * (c - a), north - b - along * (d - b)))
    return found


def _corners(east: Array, north: Array, hole: Hole, ways: tuple[Array, Array]) -> list[tuple[Array, Array]]:
    """The corners of a square hole at each place, round it [m]."""
    u, v = (part * hole.half for part in ways)
    return [(east + i * u - j * v, north + i * v + j * u) for i, j in ((-1, -1), (1, -1), (1, 1), (-1, 1))]


def _cut(east: Array, north: Array, hole: Hole, ways: tuple[Array, Array], route: Sequence[Plan]) -> NDArray[np.bool_]:
    """Whether a straight piece cuts off a corner of a square hole, both its ends outside."""
    corners = _corners(east, north, hole, ways)
    found = np.zeros(np.shape(east), dtype=np.bool_)
    for (a, b), (c, d) in pairwise(route):
        for (x, y), (z, w) in pairwise([*corners, corners[0]]):
            one = (c - a) * (y - b) - (d - b) * (x - a)
            other = (c - a) * (w - b) - (d - b) * (z - a)
            first = (z - x) * (b - y) - (w - y) * (a - x)
            last = (z - x) * (d - y) - (w - y) * (c - x)
            found |= (one * other < 0.0) & (first * last < 0.0)
    return found


__all__ = [
    "HOLE_BED", "HOLE_ROOM", "PANELS_FROM", "Hole", "gap_to", "hole_across", "hole_area", "hole_of", "hole_wide",
    "off_line", "wants_panels", "ways_at",
]  # fmt: skip
