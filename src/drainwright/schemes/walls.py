"""Footing drains beside neighbouring walls: where they end, and in how many parts they fall to there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from drainwright.field.model import Plan, SiteWall
from drainwright.system.propose import PROPOSED_OFFSET
from drainwright.system.ways import beside_walls, distance, route_length
from drainwright.system.yard_map import YardMap

FALL_WORTH = 0.5  # of a metre of the longer part, against a metre of pipe on: its end lies deeper [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class WallDrain:
    """The drains of a chain of walls, all falling to one corner."""

    walls: tuple[SiteWall, ...]
    parts: tuple[tuple[SiteWall, ...], ...]  # each in the order of its water
    routes: tuple[tuple[Plan, ...], ...]  # beside the walls [m]
    at: Plan  # off the corner, where the parts can meet [m]

    @property
    def name(self) -> str:
        """The walls' names."""
        return "+".join(wall.name for wall in self.walls)

    @property
    def longest(self) -> float:
        """Length of the longer part [m]."""
        return max(route_length((*route, self.at)) for route in self.routes)


def wall_drains(chain: Sequence[SiteWall], to: Plan, yard: YardMap, *, joined: bool) -> WallDrain:
    """The drains of a chain that fall to the corner from which the way on is shortest.

    Parameters
    ----------
    chain : sequence of SiteWall
        Neighbouring walls in order.
    to : Plan
        Where the water goes on to. [m]
    yard : YardMap
        What the way on costs, in metres of pipe in open lawn.
    joined : bool
        Whether two parts go on as one pipe; else each has its own way.

    Returns
    -------
    WallDrain
        One part, or two that fall both ways from the far corner. Only a corner that stands out can be their end.
    """
    found = []
    for walls in _turned(chain):
        for corner in range(len(walls) + 1):
            drain = _ending_at(walls, corner)
            if drain is None:
                continue
            on = beside = 0.0
            if distance(drain.at, to) > 1e-6:
                way = yard.way(drain.at, to)
                on = yard.cost(way)
                beside = 0.0 if joined else (len(drain.parts) - 1) * route_length(way)  # in the same trench
            found.append((round(on + beside + FALL_WORTH * drain.longest, 6), corner, drain.name, drain))
    return min(found, key=lambda item: item[:3])[-1]


def _turned(chain: Sequence[SiteWall]) -> list[tuple[SiteWall, ...]]:
    """The chain; where it closes round the house, begun at each of its corners."""
    walls = tuple(chain)
    closed = len(walls) > 2 and any(
        distance(a, b) < 0.01 for a in (walls[0].start, walls[0].end) for b in (walls[-1].start, walls[-1].end)
    )
    return [walls[index:] + walls[:index] for index in range(len(walls))] if closed else [walls]


def _ending_at(walls: tuple[SiteWall, ...], corner: int) -> WallDrain | None:
    before, after = walls[:corner], tuple(reversed(walls[corner:]))
    parts = tuple(part for part in (before, after) if part)
    end = _shared(walls, corner)
    routes = tuple(_ending(part, end) for part in parts)
    if len(parts) == 2:
        ahead = _direction(routes[0])
        if ahead[0] * parts[1][-1].outward[0] + ahead[1] * parts[1][-1].outward[1] < 0.5:
            return None  # a corner that stands in, or hardly a corner
        whole = beside_walls((*parts[0][-1:], *parts[1][-1:]), PROPOSED_OFFSET)
        at = whole[1] if len(whole) == 3 else routes[0][-1]
    else:
        at = routes[0][-1]
    return WallDrain(walls=walls, parts=parts, routes=routes, at=at)


def _shared(walls: tuple[SiteWall, ...], corner: int) -> Plan:
    """The corner of the house at which the walls before it end and those after it begin."""
    ends = beside_walls(walls, 0.0) if len(walls) > 1 else (walls[0].start, walls[0].end)
    if corner == 0:
        return ends[0]
    if corner == len(walls):
        return ends[-1]
    one, other = walls[corner - 1], walls[corner]
    pairs = [(a, b) for a in (one.start, one.end) for b in (other.start, other.end)]
    return min(pairs, key=lambda pair: distance(*pair))[0]


def _ending(part: tuple[SiteWall, ...], end: Plan) -> tuple[Plan, ...]:
    """The line beside a part that ends at that corner."""
    route = beside_walls(part, PROPOSED_OFFSET)
    return route if distance(route[-1], end) <= distance(route[0], end) else route[::-1]


def _direction(route: Sequence[Plan]) -> Plan:
    (a, b), (c, d) = route[-2], route[-1]
    length = distance((a, b), (c, d))
    return ((c - a) / length, (d - b) / length)


__all__ = ["WallDrain", "wall_drains"]
