"""Low spots: ground from which water cannot run away by itself, exact on the triangles.

Water stands to the level at which it would run out over the rim of the surveyed ground. The house is no ground: its
walls hold water back.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError
from drainwright.field.contours import SAME, closed_rings, crossings, lines_of, parting
from drainwright.field.earthwork import plan_areas, share_above, standing_water, water_at
from drainwright.field.mesh import Mesh, mesh_of
from drainwright.field.model import Plan, SiteWall
from drainwright.field.nested import Pool, inner_pools
from drainwright.field.spill import Spill, spill_levels
from drainwright.field.surface import Surface
from drainwright.field.terrain_model import LowSpot, Ring, StageCurve
from drainwright.worksheet import place, quiet

if TYPE_CHECKING:
    from scipy.spatial import KDTree
    from shapely import Polygon

Array = NDArray[np.float64]
Numbers = NDArray[np.intp]

CURVE_LEVELS = 21  # of a stage curve, bottom and spill level included
NEAR = 5.0  # a shot this near to the water's edge supports it; common practice, no source [m]
AT_WALL = 0.05  # water that comes this near to a wall touches it; common practice, no source [m]
STEP = 1.0  # between places at which the water's edge is asked for support [m]
SIDES = ("east", "north-east", "north", "north-west", "west", "south-west", "south", "south-east")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ground:
    """What every low spot is cut from."""

    surface: Surface
    mesh: Mesh
    spill: Spill
    around: tuple[Numbers, Numbers]  # triangles by corner: where each corner's begin, and their numbers

    def triangles_at(self, corners: Numbers) -> Numbers:
        """Triangles with one of these corners, each once."""
        starts, numbers = self.around
        found = [numbers[starts[corner] : starts[corner + 1]] for corner in corners.tolist()]
        return np.unique(np.concatenate(found))


def _ground(surface: Surface) -> _Ground:
    mesh = mesh_of(surface)
    outlets = np.unique(mesh.sides[mesh.at_rim])
    corners = mesh.triangles.ravel()
    order = np.argsort(corners, kind="stable")
    starts = np.concatenate([[0], np.cumsum(np.bincount(corners, minlength=len(surface.plan)))])
    return _Ground(
        surface=surface,
        mesh=mesh,
        spill=spill_levels(surface.levels, mesh.sides, outlets),
        around=(starts, order // 3),
    )


def _whole_pools(ground: _Ground, least_depth: float, least_area: float) -> Iterator[Pool]:
    """Low spots that no other encloses, each with the corners that stand under its water."""
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import connected_components

    levels, mesh, spill = ground.surface.levels, ground.mesh, ground.spill
    count = len(levels)
    wet = np.isfinite(spill.level) & (spill.level > levels)
    joined = mesh.sides[wet[mesh.sides].all(axis=1)]
    net = csr_array((np.ones(len(joined)), (joined[:, 0], joined[:, 1])), shape=(count, count))
    _, label = connected_components(net, directed=False)
    label = np.where(wet, label, count)
    depth = np.zeros(count + 1)
    np.maximum.at(depth, label[wet], (spill.level - levels)[wet])
    # a triangle's wet corners are neighbours, so it belongs to one low spot at most
    owner = label[mesh.triangles].min(axis=1)
    owned = owner < count
    corners = mesh.triangles[owned]
    water = np.where(wet, spill.level, -np.inf)[corners].max(axis=1)
    shares = share_above(np.sort(water[:, None] - levels[corners], axis=1))
    area = np.bincount(owner[owned], shares * plan_areas(ground.surface.plan, corners), minlength=count + 1)
    order = np.argsort(label, kind="stable")
    starts = np.searchsorted(label[order], np.arange(count + 1))
    for number in np.flatnonzero((depth >= least_depth) & (area >= least_area)):
        members = order[starts[number] : starts[number + 1]]
        bottom = members[np.argmin(levels[members])]
        yield Pool(corners=members, water=float(spill.level[members[0]]), spill_at=_spill_corner(ground, int(bottom)))


def _spill_corner(ground: _Ground, bottom: int) -> int:
    """The first corner at the spill level on the way out."""
    water = ground.spill.level[bottom]
    corner = bottom
    while ground.surface.levels[corner] < water:
        corner = int(ground.spill.towards[corner])
    return corner


def _edge_of_water(ground: _Ground, pool: Pool, triangles: Numbers) -> list[Ring]:
    """Closed lines round a pool, water on the left: its edge on the ground, and the walls it stands against."""
    mesh, levels = ground.mesh, ground.surface.levels
    start, end = parting(mesh, levels, pool.water, triangles)
    sides = mesh.of_triangle[triangles]
    corners = mesh.triangles[triangles]
    at_wall = mesh.at_wall[sides]
    first, last = corners[at_wall], np.roll(corners, -1, axis=1)[at_wall]
    wall = sides[at_wall]
    cut = crossings(mesh, levels, pool.water, wall) if len(wall) else wall
    low_first, low_last = levels[first] < pool.water - SAME, levels[last] < pool.water - SAME
    wet = low_first | low_last
    first, last = np.where(low_first, first, cut)[wet], np.where(low_last, last, cut)[wet]
    lines = lines_of(
        mesh, ground.surface.plan, levels, pool.water, np.concatenate([start, first]), np.concatenate([end, last])
    )
    return closed_rings(lines)


def _signed_area(ring: Ring) -> float:
    at = np.array(ring) - ring[0]
    return 0.5 * float(np.sum(at[:, 0] * np.roll(at[:, 1], -1) - np.roll(at[:, 0], -1) * at[:, 1]))


def _polygon(rings: Sequence[Ring]) -> Polygon:
    import shapely

    shell, *holes = rings
    whole = shapely.Polygon(shell, holes)
    return whole if whole.is_valid else shapely.Polygon(shell)


def _doubts(ground: _Ground, pool: Pool, edge: Polygon, shots: KDTree, outlets: set[int]) -> str:
    """Why the shots do not tell this low spot from a slip or a gap between them; empty where they do."""
    import shapely

    names = [ground.surface.names[corner] for corner in pool.corners.tolist() if ground.surface.names[corner]]
    if len(names) < 2:
        only = f", {names[0]}," if names else ""
        return f"Only one shot{only} lies lower than its edge: a slip of the rod would look the same."
    if pool.spill_at in outlets:
        return "It spills at the edge of the surveyed ground; how high the ground stands beyond is not known."
    rim = shapely.get_coordinates(shapely.segmentize(edge.exterior, STEP))
    far = np.asarray(shots.query(rim)[0])
    worst = int(np.argmax(far))
    if far[worst] > NEAR:
        centre = edge.centroid
        turn = math.atan2(rim[worst, 1] - centre.y, rim[worst, 0] - centre.x)
        side = SIDES[round(turn / (math.tau / 8)) % 8]
        return f"No shot stands near its edge on the {side} side, where water might run out between the shots."
    return ""


def _low_spot(ground: _Ground, pool: Pool, name: str, doubts: str, rings: Sequence[Ring], edge: Polygon,
              walls: Sequence[SiteWall], inlets: Mapping[str, Plan]) -> LowSpot:  # fmt: skip
    import shapely

    surface = ground.surface
    corners = ground.mesh.triangles[ground.triangles_at(pool.corners)]
    bottom = _bottom(ground, pool)
    lowest = float(surface.levels[bottom])
    with place(f"terrain.low_spots.{name}"):
        area, volume = standing_water(surface.plan, surface.levels, corners, pool.water)
    stage = np.linspace(lowest, pool.water, CURVE_LEVELS)
    with quiet():
        areas, volumes = water_at(surface.plan, surface.levels, corners, stage)
    standing = sorted(
        (math.dist(at, surface.plan[bottom]), inlet) for inlet, at in inlets.items() if edge.covers(shapely.Point(at))
    )
    return LowSpot(
        name=name,
        at=_plan(surface, bottom),
        bottom=lowest,
        spill_level=pool.water,
        spill_at=_plan(surface, pool.spill_at),
        area=area,
        volume=volume,
        rings=tuple(rings),
        curve=StageCurve(level=tuple(stage.tolist()), area=tuple(areas.tolist()), volume=tuple(volumes.tolist())),
        walls=tuple(wall.name for wall in walls if _touches(edge, _plan(surface, pool.spill_at), wall)),
        inlet=standing[0][1] if standing else None,
        sure=not doubts,
        why_unsure=doubts,
    )


def _touches(edge: Polygon, spill_at: Plan, wall: SiteWall) -> bool:
    """Whether the full water, or what spills of it, comes to a wall; a single corner of it is enough."""
    import shapely

    line = shapely.LineString([wall.start, wall.end])
    return min(line.distance(edge), line.distance(shapely.Point(spill_at))) <= AT_WALL


def _bottom(ground: _Ground, pool: Pool) -> int:
    corners = np.sort(pool.corners)
    return int(corners[np.argmin(ground.surface.levels[corners])])


def _plan(surface: Surface, corner: int) -> Plan:
    return (float(surface.plan[corner, 0]), float(surface.plan[corner, 1]))


def low_spots(
    surface: Surface,
    walls: Sequence[SiteWall] = (),
    inlets: Mapping[str, Plan] | None = None,
    least_depth: float = 0.006,
    least_area: float = 0.5,
) -> tuple[LowSpot, ...]:
    """Ground from which water cannot run away by itself.

    Parameters
    ----------
    surface : Surface
        The ground. Water leaves it at its rim; the house holds water back.
    walls : sequence of SiteWall
        Wall lines, of which those are named to which the full water or its spill place comes within 5 cm.
    inlets : mapping of str to Plan, optional
        Inlets by name, with their places. [m]
    least_depth : float
        Low spots less deep than this are left out. [m]
    least_area : float
        Low spots whose full water covers less than this are left out. [m²]

    Returns
    -------
    tuple of LowSpot
        Deepest first. Within a large low spot, those of its parts that are deep and wide enough by themselves on
        both sides of a sill stand in the list too, each filled to its sill: their water is part of the large one's.

    Raises
    ------
    InputError
        If a limit is negative.

    Notes
    -----
    Exact on the triangles: the spill level is that of the lowest way out along their sides, areas and volumes are
    those of the parted triangles. The stage curve fills all parts of a low spot to one level.

    A low spot is not sure where only one shot is lower than its edge, where it spills at the edge of the surveyed
    ground, or where its edge runs farther than 5 m from the nearest shot.
    """
    if not (least_depth >= 0.0 and least_area >= 0.0):
        raise InputError(f"least_depth, least_area = {least_depth!r}, {least_area!r}: expected zero or more")
    from scipy.spatial import KDTree

    least_depth = max(least_depth, 10.0 * SAME)  # less is the rounding of the levels
    ground = _ground(surface)
    pools: list[Pool] = []
    for whole in _whole_pools(ground, least_depth, least_area):
        pools += [whole, *_inner(ground, whole, least_depth, least_area)]
    if not pools:
        return ()
    pools.sort(key=lambda pool: (surface.levels[_bottom(ground, pool)] - pool.water, -len(pool.corners), pool.spill_at))
    named = np.array([bool(name) for name in surface.names])
    shots = KDTree(surface.plan[named])
    outlets = set(np.unique(ground.mesh.sides[ground.mesh.at_rim]).tolist())
    names = _names(ground, pools)
    found = []
    for pool, name in zip(pools, names, strict=True):
        rings = _edge_of_water(ground, pool, ground.triangles_at(pool.corners))
        rings.sort(key=lambda ring: -abs(_signed_area(ring)))
        edge = _polygon(rings)
        doubts = _doubts(ground, pool, edge, shots, outlets)
        found.append(_low_spot(ground, pool, name, doubts, rings, edge, walls, inlets or {}))
    return tuple(found)


def _inner(ground: _Ground, whole: Pool, least_depth: float, least_area: float) -> list[Pool]:
    def wide(corners: Numbers, water: float) -> bool:
        triangles = ground.mesh.triangles[ground.triangles_at(corners)]
        shares = share_above(np.sort(water - ground.surface.levels[triangles], axis=1))
        area = float(shares @ plan_areas(ground.surface.plan, triangles))
        return area >= least_area

    return inner_pools(ground.surface.levels, ground.spill.towards, whole, least_depth, wide)


def _names(ground: _Ground, pools: Sequence[Pool]) -> list[str]:
    """The shot at the bottom of each; a part of a larger one with the same bottom is its lower part."""
    names: list[str] = []
    times: dict[str, int] = {}
    for number, pool in enumerate(pools, start=1):
        name = ground.surface.names[_bottom(ground, pool)] or f"low spot {number}"
        again = times[name] = times.get(name, -1) + 1
        names.append(f"{name} lower part{f' {again}' if again > 1 else ''}" if again else name)
    return names


def outermost(spots: Sequence[LowSpot]) -> tuple[LowSpot, ...]:
    """Low spots that are no part of a larger one in the list: those whose water adds up.

    Parameters
    ----------
    spots : sequence of LowSpot
        As ``low_spots`` gives them.

    Returns
    -------
    tuple of LowSpot
        In their order.
    """
    import shapely

    edges = [_polygon(spot.rings) for spot in spots]
    return tuple(
        spot
        for spot in spots
        if not any(
            spot.spill_level < other.spill_level and edge.covers(shapely.Point(spot.at))
            for other, edge in zip(spots, edges, strict=True)
        )
    )


__all__ = ["low_spots", "outermost"]
