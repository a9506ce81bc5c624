"""What lies in the way of a pipe in the yard, and what it adds to the cost of laying one there.

All weights are in metres of the same pipe laid in open lawn: common practice, no source. They say what a crew would
rather go round and by how much; they are no prices.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, TypeAlias

from drainwright.field.model import Plan, Site
from drainwright.field.places import resolve_place

if TYPE_CHECKING:
    from shapely import LineString
    from shapely.geometry.base import BaseGeometry

ZoneKind: TypeAlias = Literal[
    "utility", "roots", "trunk", "surface", "wall", "boundary", "outside", "protected", "set-back"
]

#: Added to each metre by what has to be lifted, broken and made good again [m/m].
SURFACES: Mapping[str, float] = {
    "lawn": 0.0, "bare soil": 0.0, "planting": 0.8, "gravel": 0.5, "paving": 2.5, "pervious paving": 3.0,
    "asphalt": 3.5, "concrete": 4.0,
}  # fmt: skip
HAND_DIG = 4.0  # in a buried line's tolerance zone: every metre is dug by hand [m/m]
ROOTS = 3.0  # among the roots of a tree that stays [m/m]
NEAR_TRUNK = 8.0  # within half of the roots' radius, besides: roots that hold the tree up [m/m]
BARRIER = 60.0  # through a trunk, a pool, a tank, a well: only where there is no other way at all [m/m]
BESIDE_WALL = 0.3  # a trench right at the wall [m/m]
WALL_STRIP = 0.75  # width of that strip from the house [m]
NEAR_BOUNDARY = 0.8  # within the place's set-back from the boundary [m/m]
OUTSIDE = 4.0  # on ground of others [m/m]
PROTECTED = 3.0  # within the set-back of a protected thing [m/m]
PROTECTED_INSIDE = 20.0  # in a wetland, a septic field or a steep bank itself [m/m]
TRUNK_ROOM = 0.5  # of a pipe from the bark of a tree [m]
POST = 0.1  # half of the strip that a fence's posts stand in [m]
SMALL = 0.6  # radius of a protected thing that the job gives by one place [m]
#: What digging keeps away from protected things where the job does not say [m]: common practice, no source.
SETBACKS: Mapping[str, float] = {
    "well": 3.048, "septic field": 3.048, "septic tank": 1.524, "steep bank": 3.048, "wetland": 7.62, "pool": 1.524,
    "footing": 0.6096, "retaining wall": 1.524, "overhead line": 0.0,
    "fence": 0.6096,
}  # fmt: skip
TO_BOUNDARY = 1.5  # an end of a buried line nearer to the boundary is where the marks end, not the line [m]
CARRIED_ON = 10.0  # such a line, beyond its marks [m]
BARRED = ("well", "septic tank", "pool", "footing")


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """Ground on which a metre of pipe costs more."""

    kind: ZoneKind
    name: str
    shape: BaseGeometry
    extra: float  # added to each metre [m/m]
    line: LineString | None = None  # of a buried line, along its middle
    reach: float = 0.0  # of a utility's zone from its middle, or of a set-back [m]


def _utilities(site: Site) -> list[Zone]:
    from shapely import LineString

    found = []
    for item in site.utilities:
        line = LineString(_carried_on(item.route, site.boundary))
        reach = site.job.rules.tolerance_zone.value + item.utility.diameter / 2.0
        shape = line.buffer(reach, cap_style="flat")
        found.append(
            Zone(kind="utility", name=item.utility.name, shape=shape, extra=HAND_DIG, line=line, reach=reach)
        )  # fmt: skip
    return found


def _carried_on(route: Sequence[Plan], boundary: Sequence[Plan]) -> list[Plan]:
    """A buried line that was marked as far as the boundary goes on beyond it, straight: there is no way round its end.

    Ends that lie out of the lot, or no farther than ``TO_BOUNDARY`` from its edge, are carried on.
    """
    from shapely import Point, Polygon

    places = list(route)
    if len(boundary) < 3:
        return places
    inner = Polygon(boundary).buffer(-TO_BOUNDARY)
    for _ in range(2):  # one end, and the other
        places.reverse()
        before, end = places[-2], places[-1]
        leg = math.dist(before, end)
        if leg > 0.0 and not inner.contains(Point(end)):
            share = CARRIED_ON / leg
            places.append((end[0] + share * (end[0] - before[0]), end[1] + share * (end[1] - before[1])))
    return places


def _trees(site: Site) -> list[Zone]:
    from shapely import Point

    found = []
    for item in site.trees:
        if not item.tree.keep:
            continue
        at, name = Point(item.at), item.tree.name
        found.append(
            Zone(kind="roots", name=name, shape=at.buffer(item.root_radius), extra=ROOTS, reach=item.root_radius)
        )
        found.append(Zone(kind="roots", name=name, shape=at.buffer(item.root_radius / 2.0), extra=NEAR_TRUNK))
        trunk = item.tree.trunk_diameter / 2.0 + TRUNK_ROOM
        found.append(Zone(kind="trunk", name=name, shape=at.buffer(trunk), extra=BARRIER, reach=trunk))
    return found


def _surfaces(site: Site) -> list[Zone]:
    from shapely import Polygon

    found = []
    for index, yard in enumerate(site.job.yards):
        extra = SURFACES[yard.surface]
        if not yard.outline or extra <= 0.0:
            continue
        where = f"yards[{index}].outline"
        shape = Polygon([resolve_place(site, place, where) for place in yard.outline]).buffer(0.0)
        if not shape.is_empty:
            found.append(Zone(kind="surface", name=yard.surface, shape=shape, extra=extra))
    return found


def _protected(site: Site) -> list[Zone]:
    from shapely import Point, Polygon

    found = []
    for index, item in enumerate(site.job.property.protected):
        if item.kind == "overhead line":
            continue
        places = [resolve_place(site, place, f"property.protected[{index}].at") for place in item.at]
        shape: BaseGeometry = Polygon(places).buffer(0.0) if len(places) > 2 else Point(places[0]).buffer(SMALL)
        if len(places) == 2 or (item.kind == "fence" and len(places) > 1):
            from shapely import LineString

            shape = LineString(places).buffer(POST if item.kind == "fence" else SMALL)
        reach = SETBACKS[item.kind] if item.setback is None else item.setback.value
        inside = BARRIER if item.kind in BARRED else PROTECTED_INSIDE
        found.append(Zone(kind="protected", name=item.name, shape=shape, extra=inside))
        if reach > 0.0:
            found.append(Zone(kind="set-back", name=item.name, shape=shape.buffer(reach), extra=PROTECTED, reach=reach))
    return found


def _lot(site: Site, extent: tuple[float, float, float, float]) -> list[Zone]:
    from shapely import Polygon, box

    if len(site.boundary) < 3:
        return []
    lot = Polygon(site.boundary).buffer(0.0)
    reach = site.job.rules.boundary_setback.value
    found = [Zone(kind="outside", name="the boundary", shape=box(*extent).difference(lot), extra=OUTSIDE)]
    if reach > 0.0:
        strip = lot.difference(lot.buffer(-reach))
        found.append(Zone(kind="boundary", name="the boundary", shape=strip, extra=NEAR_BOUNDARY, reach=reach))
    return found


def zones_of(site: Site, extent: tuple[float, float, float, float]) -> tuple[Zone, ...]:
    """All that a site knows to lie in the way of a pipe.

    Parameters
    ----------
    site : Site
        The reduced site, with its job.
    extent : tuple of float
        West, south, east and north edge of the map. [m]

    Returns
    -------
    tuple of Zone
        Zones may lie over each other; their weights then add up.
    """
    from shapely import Polygon

    wall = Polygon(site.outline).buffer(WALL_STRIP, join_style="mitre", mitre_limit=2.0)
    return (
        *_utilities(site), *_trees(site), *_surfaces(site), *_protected(site), *_lot(site, extent),
        Zone(kind="wall", name="the house", shape=wall, extra=BESIDE_WALL),
    )  # fmt: skip


def named_places(site: Site) -> list[Plan]:
    """Every place of the works, the house and the lot between which a pipe may have to lie [m]."""
    from drainwright.job.works import Basin

    job, works = site.job, site.job.works
    found = [*site.outline, *site.boundary]
    found += [resolve_place(site, item.at, f"downspouts[{i}].at") for i, item in enumerate(job.downspouts)]
    found += [resolve_place(site, item.at, f"works.inlets[{i}].at") for i, item in enumerate(works.inlets)]
    found += [resolve_place(site, item.at, f"works.discharge[{i}].at") for i, item in enumerate(works.discharge)]
    basins: Sequence[Basin] = works.more_basins
    if isinstance(works.basin, Basin):
        basins = (works.basin, *basins)
    found += [resolve_place(site, item.at, "works.basin.at") for item in basins]
    if works.basin_place is not None:
        found.append(resolve_place(site, works.basin_place, "works.basin_place"))
    return found


__all__ = ["BARRED", "BARRIER", "HAND_DIG", "OUTSIDE", "SETBACKS", "SURFACES", "Zone", "named_places", "zones_of"]
