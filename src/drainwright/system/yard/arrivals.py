"""Proposed lines come to the basin from sides of their own, so that its wall holds between their holes."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from typing import TypeAlias

from drainwright.field.model import Plan
from drainwright.system.network import Network
from drainwright.system.ways import Finder, bends, distance, tidy_route

Route: TypeAlias = tuple[Plan, ...]

APART = math.radians(45.0)  # between lines at the basin's wall, at least; common practice, no source [rad]
TURN = math.radians(15.0)  # step of the search for a free side [rad]
MOST_TURNS = 9  # to either side: sharper than 135° no line is led round [-]
APPROACH = 0.9  # of the last bend from the basin's middle [m]
NEARLY = math.radians(30.0)  # a line that keeps this is not led round by sharp elbows [rad]
SHARPEST = math.radians(91.0)  # turn of one elbow [rad]
PASSING = 0.6  # of a line that goes round the basin from its middle, at least [m]


def _bearing(at: Plan, toward: Plan) -> float:
    return math.atan2(toward[1] - at[1], toward[0] - at[0])


def _between(one: float, other: float) -> float:
    return abs(math.remainder(one - other, 2.0 * math.pi))


def _passes(start: Plan, end: Plan, at: Plan) -> float:
    """Distance at which a stretch passes a place [m]."""
    east, north = end[0] - start[0], end[1] - start[1]
    share = ((at[0] - start[0]) * east + (at[1] - start[1]) * north) / max(east**2 + north**2, 1e-12)
    share = min(1.0, max(0.0, share))
    return distance(at, (start[0] + share * east, start[1] + share * north))


def arriving(network: Network, house: Finder, lead: Callable[[Plan], Route], basin: str) -> Route:
    """The route of a line that ends at the basin, with a last bend where it would come too close to another.

    Parameters
    ----------
    network : Network
        With the lines that touch the basin already.
    house : Finder
        To keep the bend off the house.
    lead : callable
        The line's route to a place. [m]
    basin : str
        The basin.

    Returns
    -------
    tuple of Plan
        The route as it would lie where it keeps ``APART`` or no side is free; else with the least turn that does, the
        bend no nearer to the house than the basin or the straight way and no elbow sharper than a square one, if that
        can be.
    """
    at = network.spots[basin].at
    taken = [_bearing(at, line.route[-2]) for line in network.lines if line.lower == basin]
    taken += [_bearing(at, line.route[1]) for line in network.lines if line.upper == basin]
    plain = lead(at)
    if len(plain) < 2:
        return plain
    straight = _bearing(at, plain[-2])
    gap = min((_between(straight, other) for other in taken), default=math.pi)
    if gap >= APART - 1e-9:
        return plain
    near = min(house.off(at), house.off(_at_bearing(at, straight)))
    found: list[tuple[bool, bool, int, float, Route]] = []
    for step in range(1, MOST_TURNS + 1):
        for turn in (step * TURN, -step * TURN):
            bend = _at_bearing(at, straight + turn)
            if any(_between(straight + turn, other) < APART - 1e-9 for other in taken) or not house.clear(bend, at):
                continue
            route = lead(bend)
            if min(_passes(a, b, at) for a, b in itertools.pairwise(route)) < PASSING:
                continue
            route = tidy_route((*route, at))
            found.append((house.off(bend) < near - 1e-6, max(bends(route)) > SHARPEST, step, turn, route))
    best = min(found, default=None)
    return plain if best is None or (best[1] and gap >= NEARLY) else best[-1]


def _at_bearing(at: Plan, bearing: float) -> Plan:
    return at[0] + APPROACH * math.cos(bearing), at[1] + APPROACH * math.sin(bearing)


__all__ = ["APART", "arriving"]
