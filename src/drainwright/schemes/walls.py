"""Footing drains beside neighbouring walls: where they end, and in how many parts they fall to there."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from drainwright.field.model import Plan, SiteWall
from drainwright.system.propose import PROPOSED_OFFSET
from drainwright.system.ways import beside_walls, distance, route_length, tidy_route
from drainwright.system.yard_map import YardMap

LEAD = 0.9  # so far two drains that meet are led square out from their wall [m]
FALL_WORTH = 0.5  # of a metre of the longer part, against a metre of pipe on: its end lies deeper [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class WallDrain:
    """The drains of a chain of walls, all falling to one corner."""

    walls: tuple[SiteWall, ...]
    parts: tuple[tuple[SiteWall, ...], ...]  # each in the order of its water
    routes: tuple[tuple[Plan, ...], ...]  # beside the walls [m]
    at: Plan  # beside the end of the last wall, where the parts meet [m]
    round_corner: tuple[Plan, ...]  # of the second part, on its way round the corner to there [m]
    lead: tuple[Plan, ...]  # square out from there, where two parts meet head on: no water runs against water [m]

    @property
    def name(self) -> str:
        """The walls' names."""
        return "+".join(wall.name for wall in self.walls)

    @property
    def whole(self) -> tuple[tuple[Plan, ...], ...]:
        """The routes of the parts as far as where the way on begins [m]."""
        first, *others = self.routes
        on = (self.at, *self.lead)
        return tuple(
            tidy_route((*route, *on)) for route in (first, *((*other, *self.round_corner) for other in others))
        )

    @property
    def on_from(self) -> Plan:
        """Where the way on begins [m]."""
        return self.lead[-1] if self.lead else self.at

    @property
    def longest(self) -> float:
        """Length of the longer part [m]."""
        return max(route_length(route) for route in self.whole)


def wall_drains(chain: Sequence[SiteWall], to: Plan, yard: YardMap) -> WallDrain:
    """The drains of a chain that fall to the corner from which the way on is shortest.

    Parameters
    ----------
    chain : sequence of SiteWall
        Neighbouring walls in order.
    to : Plan
        Where the water goes on to. [m]
    yard : YardMap
        What the way on costs, in metres of pipe in open lawn.

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
            on = yard.cost(yard.way(drain.on_from, to)) if distance(drain.on_from, to) > 1e-6 else 0.0
            found.append((round(on + FALL_WORTH * drain.longest, 6), corner, drain.name, drain))
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
    bend: tuple[Plan, ...] = ()
    lead: tuple[Plan, ...] = ()
    if len(parts) == 2:
        ahead = _direction(routes[0])
        if ahead[0] * parts[1][-1].outward[0] + ahead[1] * parts[1][-1].outward[1] < 0.5:
            return None  # a corner that stands in, or hardly a corner
        whole = beside_walls((*parts[0][-1:], *parts[1][-1:]), PROPOSED_OFFSET)
        bend = whole[1:-1]
    at = routes[0][-1]
    if len(parts) == 2:
        out = parts[0][-1].outward
        lead = ((at[0] + LEAD * out[0], at[1] + LEAD * out[1]),)
    return WallDrain(walls=walls, parts=parts, routes=routes, at=at, round_corner=bend, lead=lead)


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
