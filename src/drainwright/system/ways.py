"""Ways in plan: beside walls at an offset, and the shortest way round the house."""

from __future__ import annotations

import heapq
import itertools
import math
from collections.abc import Sequence
from typing import TYPE_CHECKING, Protocol

from drainwright.field.model import Plan, SiteWall

if TYPE_CHECKING:
    from shapely import Polygon

CLEARANCE = 0.3048  # of a proposed way from the house [m]
MITRE = 4.0  # longest spike of a mitred corner, over the offset [-]
STATION = 1.0  # spacing of stations along a run, at most [m]
MOST_VERTICES = 200  # of one route


def distance(a: Plan, b: Plan) -> float:
    """Distance in plan [m]."""
    return math.hypot(b[0] - a[0], b[1] - a[1])


def route_length(route: Sequence[Plan]) -> float:
    """Length along a route in plan [m]."""
    return sum(distance(a, b) for a, b in itertools.pairwise(route))


def tidy_route(route: Sequence[Plan]) -> tuple[Plan, ...]:
    """The route without repeated places and without vertices on a straight line."""
    kept: list[Plan] = []
    for point in route:
        if kept and distance(kept[-1], point) < 1e-6:
            continue
        while len(kept) >= 2 and _straight(kept[-2], kept[-1], point):
            kept.pop()
        kept.append(point)
    return tuple(kept)


def _straight(a: Plan, b: Plan, c: Plan) -> bool:
    ahead = (b[0] - a[0]) * (c[0] - b[0]) + (b[1] - a[1]) * (c[1] - b[1])
    side = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
    return ahead > 0 and abs(side) < 1e-9 * max(1.0, distance(a, b) * distance(b, c))


def stations_along(route: Sequence[Plan]) -> tuple[tuple[float, Plan], ...]:
    """Places along a route, at its vertices and no more than ``STATION`` apart, with their distance [m]."""
    found: list[tuple[float, Plan]] = [(0.0, route[0])]
    start = 0.0
    for a, b in itertools.pairwise(route):
        leg = distance(a, b)
        parts = max(1, math.ceil(leg / STATION - 1e-9))
        for part in range(1, parts + 1):
            share = part / parts
            found.append((start + share * leg, (a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]))))
        start += leg
    return tuple(found)


def bends(route: Sequence[Plan]) -> tuple[float, ...]:
    """Change of direction at each inner vertex of a route, zero or more [rad]."""
    angles = []
    for a, b, c in zip(route, route[1:], route[2:], strict=False):
        turn = math.atan2(c[1] - b[1], c[0] - b[0]) - math.atan2(b[1] - a[1], b[0] - a[0])
        angles.append(abs(math.remainder(turn, 2.0 * math.pi)))
    return tuple(angles)


def beside_walls(walls: Sequence[SiteWall], offset: float) -> tuple[Plan, ...]:
    """The line at an offset outward from walls in order, from the first wall's free end to the last wall's end.

    Walls that share a corner meet in a mitre, at outer corners beyond the corner and at inner corners short of it.
    """
    ends = _in_order(walls)
    lines = [
        (
            (start[0] + offset * wall.outward[0], start[1] + offset * wall.outward[1]),
            (end[0] + offset * wall.outward[0], end[1] + offset * wall.outward[1]),
        )
        for wall, (start, end) in zip(walls, ends, strict=True)
    ]
    route = [lines[0][0]]
    for (first, second), (end, start) in zip(
        itertools.pairwise(lines), ((a[1], b[0]) for a, b in itertools.pairwise(ends)), strict=True
    ):
        corner = _meeting(first, second) if distance(end, start) < 0.01 else None
        if corner is not None and distance(corner, end) <= MITRE * max(offset, 1e-6):
            route.append(corner)
        else:
            route += [first[1], second[0]]
    route.append(lines[-1][1])
    return tidy_route(route)


def _in_order(walls: Sequence[SiteWall]) -> list[tuple[Plan, Plan]]:
    """Start and end of each wall, turned so that each ends nearest to the next."""
    pairs = [(wall.start, wall.end) for wall in walls]
    if len(pairs) > 1:
        a, b = pairs[0]
        nearest = [min(distance(end, other) for other in pairs[1]) for end in (a, b)]
        if nearest[0] < nearest[1]:
            pairs[0] = (b, a)
        for index in range(1, len(pairs)):
            start, end = pairs[index]
            before = pairs[index - 1][1]
            if distance(before, end) < distance(before, start):
                pairs[index] = (end, start)
    return pairs


def _meeting(first: tuple[Plan, Plan], second: tuple[Plan, Plan]) -> Plan | None:
    """Where two lines meet when drawn out; where they are parallel, the end of the first."""
    (ax, ay), (bx, by) = first
    (cx, cy), (dx, dy) = second
    cross = (bx - ax) * (dy - cy) - (by - ay) * (dx - cx)
    if abs(cross) < 1e-9:
        return first[1] if distance(first[1], second[0]) < 1e-3 else None
    share = ((cx - ax) * (dy - cy) - (cy - ay) * (dx - cx)) / cross
    return ax + share * (bx - ax), ay + share * (by - ay)


class Finder(Protocol):
    """Finds ways over the yard. A ``RoundHouse`` is one, a ``yard_map.YardMap`` another."""

    def clear(self, a: Plan, b: Plan) -> bool: ...  # noqa: D102
    def off(self, place: Plan) -> float: ...  # noqa: D102
    def way(self, start: Plan, end: Plan) -> tuple[Plan, ...]: ...  # noqa: D102


class RoundHouse:
    """Shortest ways between places without passing under the house.

    A visibility graph over the corners of the outline set out by ``CLEARANCE``, searched by Dijkstra's method. A
    place nearer to the house is first led straight out. No way meets ``keep_out``; its ``corners`` lie just outside.
    """

    def __init__(self, outline: Sequence[Plan]) -> None:
        from shapely import Polygon, prepare

        house = Polygon(outline)
        self._around: Polygon = house.buffer(CLEARANCE, join_style="mitre", mitre_limit=MITRE)
        self.keep_out: Polygon = house.buffer(CLEARANCE - 0.01, join_style="mitre", mitre_limit=MITRE)
        prepare(self.keep_out)
        self.corners: list[Plan] = [(float(x), float(y)) for x, y in list(self._around.exterior.coords)[:-1]]
        self._sides = {
            (i, j): distance(a, b)
            for (i, a), (j, b) in itertools.combinations(enumerate(self.corners), 2)
            if self.clear(a, b)
        }

    def clear(self, a: Plan, b: Plan) -> bool:
        """Whether the straight way from one place to another keeps ``CLEARANCE`` from the house."""
        from shapely import LineString

        return distance(a, b) < 1e-9 or not self.keep_out.intersects(LineString([a, b]))

    def off(self, place: Plan) -> float:
        """Distance of a place from the house, over and above ``CLEARANCE``; zero within it [m]."""
        from shapely import Point

        return float(self._around.distance(Point(place)))

    def out(self, place: Plan) -> Plan:
        """The place itself, or where it is led to that lies nearer to the house than ``CLEARANCE``."""
        from shapely import Point
        from shapely.ops import nearest_points

        point = Point(place)
        if not self.keep_out.intersects(point):
            return place
        found = nearest_points(self._around.exterior, point)[0]
        return float(found.x), float(found.y)

    def way(self, start: Plan, end: Plan) -> tuple[Plan, ...]:
        """The shortest route from one place to another.

        Parameters
        ----------
        start, end : Plan
            Places in plan. [m]

        Returns
        -------
        tuple of Plan
            The route with its corners; both ends included.
        """
        first, last = self.out(start), self.out(end)
        if self.clear(first, last):
            return tidy_route((start, first, last, end))
        places = [*self.corners, first, last]
        links: dict[int, list[tuple[int, float]]] = {index: [] for index in range(len(places))}
        for (i, j), length in self._sides.items():
            links[i].append((j, length))
            links[j].append((i, length))
        count = len(self.corners)
        for index, corner in enumerate(self.corners):
            for far in (count, count + 1):
                if self.clear(corner, places[far]):
                    length = distance(corner, places[far])
                    links[index].append((far, length))
                    links[far].append((index, length))
        found = _dijkstra(links, count, count + 1)
        middle = [places[index] for index in found] if found else [first, last]
        return tidy_route((start, *middle, end))


def _dijkstra(links: dict[int, list[tuple[int, float]]], start: int, end: int) -> list[int]:
    """The shortest path through a graph, or an empty list where there is none."""
    best = {start: 0.0}
    before: dict[int, int] = {}
    heap = [(0.0, start)]
    while heap:
        length, here = heapq.heappop(heap)
        if here == end:
            path = [end]
            while path[-1] != start:
                path.append(before[path[-1]])
            return path[::-1]
        if length > best[here]:
            continue
        for there, step in links[here]:
            if length + step < best.get(there, math.inf):
                best[there] = length + step
                before[there] = here
                heapq.heappush(heap, (length + step, there))
    return []


__all__ = [
    "CLEARANCE", "MOST_VERTICES", "Finder", "RoundHouse", "bends", "beside_walls", "distance", "route_length",
    "stations_along", "tidy_route",
]  # fmt: skip
