"""Ways over the yard: the least-cost route of a pipe between two places, over a map of what lies in its way.

Cells give the weights. A search over them finds on which side to go round things; the route is then pulled straight
between a few of its places, each bend costing a fitting, and the bends are moved to where they cost least. The cost of
a route is the integral of the weights along its true line, and its bends.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from drainwright.field.model import Plan, Site
from drainwright.field.words import Units
from drainwright.system.ways import RoundHouse, bends, distance, route_length, tidy_route
from drainwright.system.yard.cells import Array, Numbers, lay_cells, steps_between
from drainwright.system.yard.words import words_of
from drainwright.system.yard.zones import BARRIER, Zone, named_places, zones_of

if TYPE_CHECKING:
    from scipy.sparse import csr_matrix

Route = tuple[Plan, ...]

BEND = 1.0  # a bend, with its fitting, in metres of pipe in open lawn: common practice, no source [m]
SLIGHT = math.radians(3.0)  # a turn that pipe takes without a fitting [rad]
MARGIN = 3.0  # of the map beyond the places of the job [m]
LATTICE = 0.75  # spacing at which the ground's level is read [m]
STEEP = 0.15  # from this slope on a trench is harder to dig [-]
STEEPER = 4.0  # added to each metre by a slope of 1 more than that [m/m]
STEEPEST = 2.0  # added at most [m/m]
UNMEASURED = 1.0  # added to each metre beyond the shots, where nobody knows the ground's level [m/m]
BARRED = 1e6  # of a leg that comes too near to the house: more than any way [m]
STAND_INS = 48  # places of a way that may become its bends
MOVES = (2.0, 1.0, 0.5, 0.25)  # steps by which bends are moved, in cells
SWEEPS = 2
_TURNS = np.stack([np.cos(np.arange(8) * math.pi / 4), np.sin(np.arange(8) * math.pi / 4)], axis=-1)


class YardMap:
    """What it costs to lay a pipe anywhere in the yard, and the ways of least cost.

    Parameters
    ----------
    outline : sequence of Plan
        Of the house. [m]
    zones : sequence of Zone
        What lies in the way.
    extent : tuple of float
        West, south, east and north edge. [m]
    ground : callable, optional
        Level of the ground at places, and whether they are measured. Left out: level ground, all measured.
    units : {"US", "SI"}
        In which ``why`` speaks.
    grade : float
        Least grade of a gravity pipe, for ``lost``. [-]
    most : int, optional
        Cells at most.
    """

    def __init__(
        self,
        outline: Sequence[Plan],
        zones: Sequence[Zone],
        extent: tuple[float, float, float, float],
        ground: Callable[[Array, Array], tuple[Array, Array]] | None = None,
        *,
        units: Units = "SI",
        grade: float = 0.01,
        most: int | None = None,
    ) -> None:
        self.house = RoundHouse(outline)
        self.zones = tuple(zones)
        self.units: Units = units
        self.grade = grade
        self._made_of = (outline, zones, extent, ground)
        around = self.house.keep_out
        self.cells = lay_cells(extent, zones, around) if most is None else lay_cells(extent, zones, around, most)
        self.levels = self._with_ground(ground)
        self._barriers = [zone.shape for zone in zones if zone.kind == "trunk" or zone.extra >= BARRIER]
        self._graph: csr_matrix | None = None
        self._fields: dict[int, tuple[Array, Numbers]] = {}
        self._ways: dict[tuple[Plan, Plan], Route] = {}

    def _with_ground(self, ground: Callable[[Array, Array], tuple[Array, Array]] | None) -> Array:
        """Level of the ground at each cell; steep and unmeasured ground is made dearer [m]."""
        cells = self.cells
        if ground is None:
            return np.zeros(cells.shape)
        from scipy.ndimage import map_coordinates

        step = max(LATTICE, cells.side)
        counts = [math.ceil(count * cells.side / step) + 2 for count in cells.shape]
        east, north = np.meshgrid(
            cells.west + np.arange(counts[0]) * step, cells.south + np.arange(counts[1]) * step, indexing="ij"
        )
        level, measured = ground(east.ravel(), north.ravel())
        level, measured = level.reshape(east.shape), measured.reshape(east.shape)
        slope = np.hypot(*np.gradient(level, step))
        extra = np.clip(STEEPER * (slope - STEEP), 0.0, STEEPEST) + UNMEASURED * (1.0 - measured)
        places = np.meshgrid(*((np.arange(count) + 0.5) * cells.side / step for count in cells.shape), indexing="ij")
        cells.weight[...] += map_coordinates(extra, places, order=1, mode="nearest")
        return np.asarray(map_coordinates(level, places, order=1, mode="nearest"))

    def clear(self, a: Plan, b: Plan) -> bool:
        """Whether the straight way keeps its distance from the house, and passes through no trunk, pool or tank."""
        from shapely import LineString

        if not self.house.clear(a, b):
            return False
        line = LineString([a, b])
        return not any(shape.intersects(line) for shape in self._barriers)

    def off(self, place: Plan) -> float:
        """Distance of a place from the house, over and above ``ways.CLEARANCE``; zero within it [m]."""
        return self.house.off(place)

    def length(self, route: Sequence[Plan]) -> float:
        """Length of a route in plan [m]."""
        return route_length(route)

    def laying(self, route: Sequence[Plan]) -> float:
        """Integral of the weights along a route, without its bends, in metres of pipe in open lawn [m]."""
        return self.cells.along(route)

    def cost(self, route: Sequence[Plan]) -> float:
        """Cost of a route, in metres of pipe in open lawn: the weights along it, and its bends [m]."""
        return self.cells.along(route) + BEND * sum(turn > SLIGHT for turn in bends(route))

    def lost(self, route: Sequence[Plan]) -> float:
        """Depth that a gravity pipe at the least grade loses against the ground on its way down a route [m].

        Ground that rises, or falls less than the grade, puts the pipe deeper; ground that falls more gives
        nothing back.
        """
        step = self.cells.side / 2.0
        total = 0.0
        for a, b in pairwise(route):
            leg = distance(a, b)
            share = np.linspace(0.0, 1.0, max(2, math.ceil(leg / step) + 1))
            level = self.levels_at(a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))
            total += float(np.clip(np.diff(level) + self.grade * leg / (len(share) - 1), 0.0, None).sum())
        return total

    def levels_at(self, east: Array, north: Array) -> Array:
        """Level of the ground at places, straight between the middles of the cells [m]."""
        from scipy.ndimage import map_coordinates

        cells = self.cells
        places = [(east - cells.west) / cells.side - 0.5, (north - cells.south) / cells.side - 0.5]
        return np.asarray(map_coordinates(self.levels, places, order=1, mode="nearest"))

    def coarser(self, most: int) -> YardMap:
        """The same map of fewer cells."""
        outline, zones, extent, ground = self._made_of
        return YardMap(outline, zones, extent, ground, units=self.units, grade=self.grade, most=most)

    def with_more(self, zones: Sequence[Zone]) -> YardMap:
        """The same map with more in the way."""
        outline, own, extent, ground = self._made_of
        return YardMap(outline, (*own, *zones), extent, ground, units=self.units, grade=self.grade)

    def why(self, route: Sequence[Plan]) -> tuple[str, ...]:
        """What a route crosses, goes along or goes round, in plain words."""
        return words_of(route, self.zones, self.house, self.units)

    def graph(self) -> csr_matrix:
        """Steps between the middles of the cells, both ways, with their costs [m]."""
        if self._graph is None:
            from scipy.sparse import csr_matrix

            a, b, cost = steps_between(self.cells, self.house.keep_out)
            many = self.cells.weight.size
            both = (np.concatenate([cost, cost]), (np.concatenate([a, b]), np.concatenate([b, a])))
            self._graph = csr_matrix(both, shape=(many, many))
        return self._graph

    def _field(self, cell: int) -> tuple[Array, Numbers]:
        """Cost from a cell to every other, and the cell before each."""
        if cell not in self._fields:
            from scipy.sparse.csgraph import dijkstra

            cost, before = dijkstra(self.graph(), indices=np.array([cell]), return_predecessors=True)
            self._fields[cell] = (cost[0], before[0].astype(np.int64))
        return self._fields[cell]

    def costs_from(self, place: Plan) -> Array:
        """Cost of the way over the cells from a place to each cell, in their flat order; without the bends [m]."""
        return self._field(self.cells.open_cell(self.house.out(place)))[0]

    def cost_between(self, start: Plan, end: Plan) -> float:
        """Cost of the way over the cells between two places, without the bends [m]."""
        return float(self.costs_from(end)[self.cells.open_cell(self.house.out(start))])

    def way(self, start: Plan, end: Plan) -> Route:
        """The route of least cost from one place to another.

        Parameters
        ----------
        start, end : Plan
            Places in plan. One that lies nearer to the house than ``ways.CLEARANCE`` is first led straight out. [m]

        Returns
        -------
        tuple of Plan
            The route with its bends; both ends included. The way back is the same.

        Notes
        -----
        Never dearer than the shortest way round the house. Where the cells show no way (a court narrower than a
        cell), it is that.
        """
        if (start, end) not in self._ways:
            first, last = min((start, end), (end, start))
            found = self._way(first, last)
            self._ways[first, last], self._ways[last, first] = found, found[::-1]
        return self._ways[start, end]

    def _way(self, start: Plan, end: Plan) -> Route:
        short = self.house.way(start, end)
        first, last = self.house.out(start), self.house.out(end)
        cells = self.cells
        here, there = cells.open_cell(first), cells.open_cell(last)
        cost, before = self._field(here)
        if here == there or not np.isfinite(cost[there]):
            return short
        route = tidy_route((start, *self.straightened(self.trace(before, there), first, last), end))
        return min(route, short, key=lambda found: (not self.passable(found), round(self.cost(found), 9)))

    def trace(self, before: Numbers, end: int) -> list[int]:
        """The cells up to one, by the cell before each."""
        path = [end]
        while before[path[-1]] >= 0:
            path.append(int(before[path[-1]]))
        return path[::-1]

    def straightened(self, path: Sequence[int], first: Plan, last: Plan, fall: float = 0.0) -> Route:
        """A path over cells pulled straight between two places: few bends, each where it costs least.

        ``fall`` is the cost of a metre of depth that is lost against the ground. [m/m]
        """
        turns = [i for i in range(1, len(path) - 1) if path[i] - path[i - 1] != path[i + 1] - path[i]]
        even = np.linspace(0, len(path) - 1, STAND_INS // 2).round().astype(int)[1:-1]
        if len(turns) > STAND_INS // 2:
            turns = [turns[int(i)] for i in np.linspace(0, len(turns) - 1, STAND_INS // 2).round()]
        for chosen in (sorted({0, *turns, *(int(i) for i in even), len(path) - 1}), range(len(path))):
            east, north = self.cells.centre([path[i] for i in chosen])
            places = self._pulled(np.array([first, *zip(east, north, strict=True), last], dtype=float), fall)
            if not self._shut(places[:-1], places[1:]).any():
                break  # else a corner of the house lies between those chosen
        places = self._pulled(self._moved(places, fall), fall)
        return tuple((float(x), float(y)) for x, y in places)

    def passable(self, route: Sequence[Plan]) -> bool:
        """Whether no leg of a route comes too near to the house, but for those that start or end there."""
        legs = [(a, b) for a, b in pairwise(route) if self.house.out(a) == a and self.house.out(b) == b]
        starts, ends = (np.array([leg[i] for leg in legs], dtype=float).reshape(-1, 2) for i in (0, 1))
        return not self._shut(starts, ends).any()

    def _shut(self, starts: Array, ends: Array) -> NDArray[np.bool_]:
        """Whether each straight leg comes too near to the house."""
        from shapely import intersects, linestrings

        return np.asarray(intersects(self.house.keep_out, linestrings(np.stack([starts, ends], axis=1))))

    def _pulled(self, places: Array, fall: float) -> Array:
        """Of places along a way those between which straight legs cost least."""
        many = len(places)
        if many <= 2:
            return places
        a, b = np.triu_indices(many, 1)
        cost = np.full((many, many), np.inf)
        cost[a, b] = self.leg_costs(places[a], places[b], fall)
        best, come = np.full(many, np.inf), np.zeros(many, dtype=int)
        best[0] = -BEND
        for here in range(1, many):
            options = best[:here] + cost[:here, here] + BEND
            come[here] = int(np.argmin(options))
            best[here] = options[come[here]]
        kept = [many - 1]
        while kept[-1] != 0:
            kept.append(int(come[kept[-1]]))
        return places[kept[::-1]]

    def leg_costs(self, starts: Array, ends: Array, fall: float = 0.0) -> Array:
        """Costs of straight legs; one that comes too near to the house is as good as barred [m]."""
        cost = self.cells.legs(starts, ends)
        if fall > 0.0:
            cost = cost + fall * self._legs_lost(starts, ends)
        return np.where(self._shut(starts, ends), BARRED + cost, cost)

    def _legs_lost(self, starts: Array, ends: Array) -> Array:
        """Depth lost along straight legs, by a level every metre or so [m]."""
        length = np.hypot(*(ends - starts).T)
        share = np.linspace(0.0, 1.0, int(np.clip(np.ceil(length.max(initial=0.0)), 1, 40)) + 1)
        east = starts[:, :1] + share * (ends[:, :1] - starts[:, :1])
        north = starts[:, 1:] + share * (ends[:, 1:] - starts[:, 1:])
        level = self.levels_at(east, north)
        even = self.grade * length / (len(share) - 1)
        return np.asarray(np.clip(np.diff(level, axis=1) + even[:, None], 0.0, None).sum(axis=1))

    def _moved(self, places: Array, fall: float) -> Array:
        """The bends of a way moved a little, one or two neighbours at a time, to where they cost least."""
        places = places.copy()
        corners = np.array(self.house.corners)
        for move in MOVES:
            for _ in range(SWEEPS):
                still = True
                for i in range(1, len(places) - 1):
                    near = corners[np.hypot(*(corners - places[i]).T) < 2.5 * self.cells.side] - places[i]
                    shifts = np.concatenate([np.zeros((1, 2)), move * self.cells.side * _TURNS, near])
                    still = not self._shifted(places, slice(i, i + 1), shifts, fall) and still
                    if i + 2 < len(places):
                        shifts = shifts[: 1 + len(_TURNS)]
                        still = not self._shifted(places, slice(i, i + 2), shifts, fall) and still
                if still:
                    break
        return places

    def _shifted(self, places: Array, some: slice, shifts: Array, fall: float) -> bool:
        """Shift neighbouring bends in place by the best of some shifts, the first of them none; whether any helps."""
        tried = np.repeat(places[None, some.start - 1 : some.stop + 1], len(shifts), 0)
        tried[:, 1:-1] += shifts[:, None, :]
        legs = tried.shape[1] - 1
        each = self.leg_costs(tried[:, :-1].reshape(-1, 2), tried[:, 1:].reshape(-1, 2), fall)
        cost = each.reshape(-1, legs).sum(axis=1)
        best = int(np.argmin(cost))
        if cost[best] >= cost[0] - 1e-6:
            return False
        places[some] += shifts[best]
        return True


def yard_map(site: Site, most: int | None = None) -> YardMap:
    """The map of a site's yard.

    Parameters
    ----------
    site : Site
        The reduced site, with its job.
    most : int, optional
        Cells at most.

    Returns
    -------
    YardMap
        Over the lot and every place of the works, and a little beyond.
    """
    places = np.array(named_places(site))
    west, south = (places.min(axis=0) - MARGIN).tolist()
    east, north = (places.max(axis=0) + MARGIN).tolist()
    extent = (west, south, east, north)

    def ground(x: Array, y: Array) -> tuple[Array, Array]:
        return site.surface.level(x, y), site.surface.supported(x, y).astype(float)

    return YardMap(
        site.outline,
        zones_of(site, extent),
        extent,
        ground,
        units=site.job.units,
        grade=site.job.criteria.minimum_grade,
        most=most,
    )


__all__ = ["BEND", "SLIGHT", "Route", "YardMap", "yard_map"]
