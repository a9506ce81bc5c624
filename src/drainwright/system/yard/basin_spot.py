"""Where a basin goes that the job leaves to be designed: clear of footings and buried lines, and easy to reach."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from drainwright.field.model import Plan, Site, SiteWall
from drainwright.field.places import resolve_place
from drainwright.job.works import Basin
from drainwright.system.gravity import drain_ceiling
from drainwright.system.lift.uplift import BASIN_WALL
from drainwright.system.ways import beside_walls
from drainwright.system.yard.basin_hole import HOLE_BED, HOLE_ROOM, Hole, gap_to, hole_wide, ways_at
from drainwright.system.yard.wall_drains import PROPOSED_OFFSET, endings, room_between
from drainwright.system.yard.yard_map import YardMap
from drainwright.system.yard.zones import BARRIER

if TYPE_CHECKING:
    from drainwright.system.yard.cells import Array

SUNK = 0.75  # a basin's floor below the lowest drained footing, before it is designed [m]
SUNK_GROUND = 1.2  # below the ground at the lowest inlet, where no wall is drained [m]
INSIDE = 0.6096  # across a basin before it is designed, 24 in [m]
SPARE = 0.05  # kept from a footing's wedge over and above [m]
APART = 0.3  # of the hole from inlets, downspouts and ways out [m]
LINE_SHARE = 0.6  # cost of a discharge line against a gravity pipe: common practice, no source [-]
SPACING = 0.5  # of the places that are tried [m]
HOLE_WORTH = 4.0  # a hole in dear ground costs as so many metres of trench there: common practice, no source [m]


def first_hole(site: Site, walls: Sequence[SiteWall]) -> Hole:
    """A hole before the basin is designed, for the lowest of the walls that drain to it."""
    if walls:
        low = min(wall.footing_bottom for wall in walls) - SUNK
        high = max(max(wall.ground_start, wall.ground_end) for wall in walls)
    else:
        levels = [site.surface.level(*at) for at in _entries(site)]
        low, high = min(levels) - SUNK_GROUND, max(levels)
    bottom = low - BASIN_WALL - HOLE_BED
    across = INSIDE + 2.0 * BASIN_WALL + 2.0 * HOLE_ROOM
    return Hole(**hole_wide(site, across, high - bottom), bottom=bottom)


def in_wedge(site: Site, at: Plan, hole: Hole) -> bool:
    """Whether a hole enters the ground that carries a footing."""
    east, north = np.array([at[0]]), np.array([at[1]])
    away = _room(site, east, north, hole, ways_at(site, east, north))
    return bool(away[0] < 0.0)


def _room(site: Site, east: Array, north: Array, hole: Hole, ways: tuple[Array, Array]) -> Array:
    """How far a hole at each place keeps from the wedges of all footings; below zero where it is in one [m]."""
    room = np.full(np.shape(east), np.inf)
    for wall in site.walls:
        below = wall.footing_bottom - hole.bottom
        if below > 0.0:
            offset = gap_to(east, north, hole, ways, wall.footing_ring)
            room = np.minimum(room, offset - below * site.job.criteria.bearing_slope)
    return room


def basin_place(
    site: Site,
    chains: Sequence[Sequence[SiteWall]],
    yard: Callable[[], YardMap] | None = None,
    hole: Hole | None = None,
    off: Sequence[tuple[Sequence[Plan], float]] = (),
) -> Plan:
    """Where a basin goes that the job leaves to be designed.

    Parameters
    ----------
    site : Site
        The reduced site.
    chains : sequence of sequences of SiteWall
        Neighbouring walls whose drains are proposed.
    yard : callable, optional
        The map of the yard, made when it is first needed.
    hole : Hole, optional
        The hole that it needs. Left out: a first guess, for the lowest drained footing.
    off : sequence
        Routes from which the hole keeps a distance, if it can anywhere. [m]

    Returns
    -------
    Plan
        The job's own place for it, where there is one. Else where drains and discharge line cost least together, the
        hole outside the bearing wedge of every footing and off every buried line's tolerance zone, in the lot, and off
        roots and paving as far as that is worth the way. What cannot be kept is given up from the last: the
        findings then say so. [m]
    """
    works = site.job.works
    if isinstance(works.basin, Basin):
        return resolve_place(site, works.basin.at, "works.basin.at")
    if works.basin_place is not None:
        return resolve_place(site, works.basin_place, "works.basin_place")
    if yard is None:
        from drainwright.system.yard.yard_map import yard_map

        found = yard_map(site)
    else:
        found = yard()
    named = {name for run in works.runs for name in run.beside}
    walls = [wall for chain in chains for wall in chain] or [wall for wall in site.walls if wall.name in named]
    return _best(site, chains, found, first_hole(site, walls) if hole is None else hole, off)


def _entries(site: Site) -> list[Plan]:
    """Inlets; without any the way out [m]."""
    works = site.job.works
    found = [resolve_place(site, item.at, f"works.inlets[{i}].at") for i, item in enumerate(works.inlets)]
    return found or [resolve_place(site, works.discharge[0].at, "works.discharge[0].at")]


def _best(
    site: Site,
    chains: Sequence[Sequence[SiteWall]],
    yard: YardMap,
    hole: Hole,
    off: Sequence[tuple[Sequence[Plan], float]],
) -> Plan:
    from scipy.ndimage import maximum_filter

    cells = yard.cells
    step = max(1, round(SPACING / cells.side))
    tried = np.arange(cells.weight.size).reshape(cells.shape)[::step, ::step].ravel()
    east, north = cells.centre(tried)
    across = 2 * math.ceil(hole.half / cells.side) + 1
    about = maximum_filter(cells.weight, size=across).ravel()[tried]
    cost = HOLE_WORTH * about + LINE_SHARE * _near(yard, _ways_out(site))[tried]
    for part in _to_gather(site, chains, yard):
        cost = cost + part[tried]
    cost = np.where(np.isfinite(cost) & ~cells.closed.ravel()[tried], cost, np.inf)
    ways = ways_at(site, east, north)
    kept = _wanted(site, east, north, hole, ways, about)
    for route, least in off:
        kept[0] = kept[0] & (gap_to(east, north, hole, ways, route) >= least)
    for count in range(len(kept), -1, -1):
        allowed = np.logical_and.reduce([np.isfinite(cost), *kept[:count]])
        if allowed.any():
            best = int(np.argmin(np.where(allowed, np.round(cost, 6), np.inf)))
            return float(east[best]), float(north[best])
    return _entries(site)[0]


def _ways_out(site: Site) -> list[Plan]:
    points = enumerate(site.job.works.discharge)
    return [resolve_place(site, point.at, f"works.discharge[{index}].at") for index, point in points]


def _near(yard: YardMap, places: Sequence[Plan]) -> Array:
    """Cost from each cell to the cheapest of some places [m]."""
    found: Array = np.min([yard.costs_from(place) for place in places], axis=0)
    return found


def _to_gather(site: Site, chains: Sequence[Sequence[SiteWall]], yard: YardMap) -> list[Array]:
    """Cost at each cell of bringing each drain there; of each inlet, where there is no drain [m]."""
    found: list[Array] = []
    for chain in chains:
        room = room_between(chain, drain_ceiling(site), site.job.criteria.minimum_grade)
        worth = [yard.costs_from(drain.on_from) + drain.worth(0.0, room) for drain in endings(chain)]
        found.append(np.min(worth, axis=0))
    walls = {wall.name: wall for wall in site.walls}
    for run in site.job.works.runs:
        beside = [walls[name] for name in run.beside if name in walls]
        if beside and not chains:
            route = beside_walls(beside, PROPOSED_OFFSET)
            found.append(_near(yard, (route[0], route[-1])))
    return found or [yard.costs_from(place) for place in _entries(site)]


def _wanted(
    site: Site, east: Array, north: Array, hole: Hole, ways: tuple[Array, Array], about: Array
) -> list[NDArray[np.bool_]]:
    """What a place should keep, the most needful first."""
    from shapely import Polygon, contains_xy

    lines = np.ones(east.shape, dtype=bool)
    for item in site.utilities:
        reach = site.job.rules.tolerance_zone.value + item.utility.diameter / 2.0
        lines &= gap_to(east, north, hole, ways, item.route) >= reach
    lot = np.ones(east.shape, dtype=bool)
    if len(site.boundary) > 2:
        ring = (*site.boundary, site.boundary[0])
        lot = contains_xy(Polygon(site.boundary).buffer(0.0), east, north)
        lot &= gap_to(east, north, hole, ways, ring) > 0.0
    free = np.ones(east.shape, dtype=bool)
    for place in (*_ways_out(site), *_entries(site)):
        free &= gap_to(east, north, hole, ways, (place, place)) >= APART
    return [_room(site, east, north, hole, ways) >= SPARE, lines, lot, (about < BARRIER), free]


__all__ = ["basin_place", "first_hole", "in_wedge"]
