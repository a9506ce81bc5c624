"""Where the spoil of a dig lies: beside it where there is room, else on a heap to which it is wheeled and back."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from drainwright.build.earth import dug
from drainwright.build.model import DigPlan, Trench
from drainwright.build.room import fences_of
from drainwright.field.model import Plan, Site
from drainwright.field.places import plan_of

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from drainwright.build.trench import Cut

STEP = 0.5  # between places along a dig at which the room is looked for [m]
FAR = 10.0  # room beside a run is not looked for further [m]
REPOSE = 1.5  # a heap's sides, across over up: common practice, no source [-]
WALL_HEAP = 1.0  # room that a heap takes beside a wall's dig; common practice, no source [m]
#: Spoil that must lie farther from the edge than this is wheeled to its heap and back: common practice, no source.
REACH = 2.5  # [m]
THERE = 10.0  # way to a heap on the same side of the house: common practice, no source [m]


def heap_width(section: float) -> float:
    """Width of a long heap with so much soil in each metre of it.

    Parameters
    ----------
    section : float
        Loose soil per length, zero or more. [m²]

    Returns
    -------
    float
        Of a triangle whose sides lie at 1.5 across to 1 up. [m]

    Examples
    --------
    >>> round(heap_width(0.24), 6)  # 1.2 m wide and 0.4 m high
    1.2
    """
    return math.sqrt(4.0 * REPOSE * section)


def heap_beside(trench: Trench, swell: float) -> float:
    """Width that the heap of a trench takes beside it. [m]"""
    return WALL_HEAP if trench.kind == "wall" else heap_width(trench.depth_mean * trench.width * (1.0 + swell))


def with_heaps(trenches: Sequence[Trench], digs: Sequence[Cut], site: Site) -> tuple[Trench, ...]:
    """The trenches with the room beside them, the part without room for a heap, and the way to where it lies instead.

    Parameters
    ----------
    trenches : Sequence of Trench
        With the spoil's set-back in force.
    digs : Sequence of Cut
        From ``trench.cuts``.
    site : Site
        Boundary, house, stockpile.

    Returns
    -------
    tuple of Trench
        In the same order. Spoil that must stay farther than a throw from the edge goes to a heap on the same side;
        what has no room beside its trench goes to the job's stockpile, straight, or as far as the barrows go where the
        job names none. Holes of basins and inlets, and soakaways, are taken to have room.
    """
    swell = dug(site.job.ground).swell
    by_name = {cut.name: cut for cut in digs}
    done = []
    for trench in trenches:
        cut = by_name[trench.name]
        rooms = _rooms(cut, site)
        short = [room < trench.spoil_setback + heap_beside(trench, swell) for room in rooms]
        none = sum(short) / len(short) if short else 0.0
        far = trench.spoil_setback > REACH
        way = _way(cut, site) if none > 0.0 else THERE if far else 0.0
        done.append(replace(trench, spoil_room=min(rooms, default=None), no_room=1.0 if far else none, heap_way=way))
    return tuple(done)


def wheeled_aside(dig: DigPlan, trenches: Iterable[Trench] | None = None) -> float:
    """Loose soil that goes back, but may not lie within a throw of its trench. [m³]"""
    return math.fsum(volume for _, volume in _aside(dig, dig.trenches if trenches is None else trenches))


def aside_way(dig: DigPlan) -> float:
    """Mean way to the heaps of what is wheeled aside, by volume; 0 where nothing is. [m]"""
    aside = _aside(dig, dig.trenches)
    whole = math.fsum(volume for _, volume in aside)
    return math.fsum(item.heap_way * volume for item, volume in aside) / whole if whole > 0 else 0.0


def _aside(dig: DigPlan, trenches: Iterable[Trench]) -> list[tuple[Trench, float]]:
    if dig.bank_volume <= 0:
        return []
    each = dig.backfill_volume / dig.bank_volume
    return [(item, each * item.bank_volume * item.no_room) for item in trenches if item.no_room > 0]


def _rooms(cut: Cut, site: Site) -> list[float]:
    """Room beside a dig, square out from its edge to the boundary, a fence or the house, place by place along it. [m]

    Of a run on the side that has more there, and no more than 10 m; of a wall's dig away from the wall. Empty where no
    boundary is known, and of other digs.
    """
    from shapely import LinearRing, LineString, union_all

    wall = next((item for item in site.walls if cut.kind == "wall" and item.name == cut.name), None)
    if len(site.boundary) < 3 or (wall is None and (cut.run is None or cut.run.walls)):
        return []
    edges = [LinearRing(ring) for ring in (site.boundary, site.outline) if len(ring) >= 3]
    rings = union_all([*edges, *fences_of(site)])
    if wall is not None:
        line, out = LineString([wall.start, wall.end]), np.array(wall.outward)
        count = max(1, math.ceil(line.length / STEP))
        places = [np.array(line.interpolate((n + 0.5) / count, normalized=True).coords[0]) for n in range(count)]
        far, own = _size(site), LinearRing(site.outline) if len(site.outline) >= 3 else LineString()
        bounds = union_all([LinearRing(site.boundary), *fences_of(site)])  # a dig may reach over them
        return [
            min(_free(at, out, far, cut.width, bounds), _free(at + out * cut.width, out, far, 0.0, own))
            for at in places
        ]
    axis, rooms = cut.axis, []
    for station in np.arange(min(STEP, axis.length) / 2, axis.length, STEP):
        here = np.array(axis.interpolate(station).coords[0])
        ahead = np.array(axis.interpolate(min(station + 0.01, axis.length)).coords[0])
        way = (ahead - here) / max(float(np.hypot(*(ahead - here))), 1e-12)
        sides = (np.array([way[1], -way[0]]), np.array([-way[1], way[0]]))
        rooms.append(max(_free(here, out, FAR, cut.width / 2, rings) for out in sides))
    return rooms


def _free(at: np.ndarray, out: np.ndarray, far: float, within: float, rings: BaseGeometry) -> float:
    """From a place, less what of the dig lies there, to what is met on the way out; so far at most. [m]"""
    from shapely import LineString, Point

    met = LineString([at, at + out * (far + within)]).intersection(rings)
    return far if met.is_empty else max(0.0, Point(at).distance(met) - within)


def _size(site: Site) -> float:
    """No room on the lot is greater. [m]"""
    east, north = zip(*site.boundary, strict=True)
    return math.hypot(max(east) - min(east), max(north) - min(north))


def _way(cut: Cut, site: Site) -> float:
    """From a dig to where spoil is kept that has no room beside it. [m]"""
    from shapely import Point

    access = site.job.property.access
    if access.stockpile is None:
        return access.barrow_distance
    pile: Plan = plan_of(access.stockpile, site.points, "property.access.stockpile")
    return max(THERE, float(Point(pile).distance(cut.area.centroid)))


__all__ = ["REACH", "WALL_HEAP", "aside_way", "heap_beside", "heap_width", "wheeled_aside", "with_heaps"]
