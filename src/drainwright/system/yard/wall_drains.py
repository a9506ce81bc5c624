"""Footing drains beside neighbouring walls: at which corner they end, and in how many parts they fall to there."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from drainwright.field.model import Plan, SiteWall
from drainwright.system.ways import beside_walls, distance, route_length, tidy_route

PROPOSED_OFFSET = 0.3048  # of a proposed footing drain from its wall, 1 ft [m]
LEAD = 0.9  # so far two drains that meet are led square out from their wall [m]
JUNCTION = 1.0  # where two parts meet, with its fitting, in metres of pipe: common practice, no source [m]
STONE_UNDER = 0.0508  # a drain over its trench's bottom: IRC R405.1, 2 in [m]
TOO_LONG = 3.0  # of each metre of a part for which there is too little fall [-]
FALL_WORTH = 0.5  # of a metre of the longer part, against a metre of pipe on: its end lies deeper [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class WallDrain:
    """The drains of a chain of walls, all falling to one corner.

    They end beside the last wall: beyond it their trench may go no deeper than beside it, and solid pipe goes on.
    """

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
    def beside(self) -> tuple[tuple[Plan, ...], ...]:
        """The routes of the parts as far as where they meet, the second one round the corner [m]."""
        first, *others = self.routes
        return (first, *(tidy_route((*other, *self.round_corner, self.at)) for other in others))

    @property
    def whole(self) -> tuple[tuple[Plan, ...], ...]:
        """The routes of the parts as far as where the way on begins [m]."""
        return tuple(tidy_route((*route, *self.lead)) for route in self.beside)

    @property
    def on_from(self) -> Plan:
        """Where the way on begins [m]."""
        return self.lead[-1] if self.lead else self.at

    @property
    def longest(self) -> float:
        """Length of the longer part [m]."""
        return max(route_length(route) for route in self.whole)

    def worth(self, on: float, room: float) -> float:
        """What the drains cost that depends on their corner: the way on, and the fall along the longer part [m].

        A part longer than ``room`` has less fall than the least grade, between what it keeps dry and the footing.
        """
        ways = on + JUNCTION * (len(self.parts) - 1)
        return ways + FALL_WORTH * self.longest + TOO_LONG * max(self.longest - room, 0.0)


def endings(chain: Sequence[SiteWall]) -> tuple[WallDrain, ...]:
    """All ways to drain neighbouring walls to one corner: in one part, or in two that fall both ways to it.

    Only a corner that stands out can be the end of two parts. Where the chain closes round the house it may begin at
    any corner.
    """
    found = [
        drain
        for walls in _turned(chain)
        for corner in range(len(walls) + 1)
        if (drain := _ending_at(walls, corner)) is not None
    ]
    return tuple(found)


def wall_drains(
    chain: Sequence[SiteWall], on: Callable[[Plan], float], room: float = math.inf, *, within: bool = False
) -> WallDrain:
    """The drains of a chain that fall to the corner from which the way on is best.

    Parameters
    ----------
    chain : sequence of SiteWall
        Neighbouring walls in order.
    on : callable
        Cost of the way on from a place, in metres of pipe. [m]
    room : float
        Longest part for which there is the least grade. [m]
    within : bool
        Only corners from which no part is longer than that, where there is one: the way on may cost what it will.

    Returns
    -------
    WallDrain
        One part, or two that fall both ways from the far corner and go on as one pipe.
    """
    found = [
        (round(drain.worth(on(drain.on_from), room), 6), len(drain.parts), number, drain)
        for number, drain in enumerate(endings(chain))
        if not within or drain.longest <= room
    ]
    if not found:
        return wall_drains(chain, on, room)
    return min(found, key=lambda item: item[:3])[-1]


def room_between(walls: Sequence[SiteWall], ceiling: float, grade: float) -> float:
    """Longest drain beside walls that keeps a grade between the level it may start at and its lowest footing [m]."""
    return max(ceiling - min(wall.footing_bottom for wall in walls) - STONE_UNDER, 0.0) / max(grade, 1e-6)


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


__all__ = ["PROPOSED_OFFSET", "WallDrain", "endings", "room_between", "wall_drains"]
