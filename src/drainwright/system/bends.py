"""Where a line turns, in plan and in its profile, and the elbows that make the turn."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import accumulate, pairwise
from typing import Literal

from drainwright.field.model import Plan

Elbow = Literal["elbow-22", "elbow-45", "elbow-90"]
Way = Literal["", "up", "down"]

SHORTEST = 0.3  # no piece between two joints is shorter: it could not be pushed home (common practice, no source) [m]
TURN = 22.5  # degrees: fittings are sold in multiples of it
FAR = 1.0  # a bend set further off than this is another way, not the same one [m]
MOST_TURN = 180.0  # degrees: no bend turns back
IN_JOINTS = 5.0  # degrees that the joints of a turn and the stick after it take up; common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Bend:
    """A turn of a pumped line that takes elbows."""

    distance: float  # in plan, from the line's upper end [m]
    along: float  # along the pipe, from the same end [m]
    at: Plan
    angle: float  # between the pipe before it and the pipe after it, in space [degrees]
    way: Way  # up or down; empty where it turns sideways

    @property
    def elbows(self) -> tuple[Elbow, ...]:
        """The fittings that make it."""
        return elbows(self.angle, pressure=True)


def straightened(route: Sequence[Plan]) -> list[Plan]:
    """A route without the kinks that are too short to fit a fitting at both ends."""
    kept = [route[0]]
    for place_ in route[1:-1]:
        if math.dist(kept[-1], place_) >= SHORTEST and math.dist(place_, route[-1]) >= SHORTEST:
            kept.append(place_)
    return [*kept, route[-1]]


def deflection(first: tuple[Plan, Plan], second: tuple[Plan, Plan]) -> float:
    """Turn from one straight leg to the next, 0 straight on to 180 back [degrees]."""
    one, two = (math.atan2(end[1] - start[1], end[0] - start[0]) for start, end in (first, second))
    return abs(math.degrees(math.remainder(two - one, math.tau)))


def turns(route: Sequence[Plan]) -> list[float]:
    """Deflection at each inner place of a route, 0 straight on to 180 back [degrees]."""
    places = zip(route[:-2], route[1:-1], route[2:], strict=True)
    return [deflection((before, here), (here, after)) for before, here, after in places]


def made_route(route: Sequence[Plan], clear: Callable[[Plan, Plan], bool]) -> tuple[Plan, ...]:
    """A gravity line's route with its bends where elbows as made point at the next place.

    Each bend that elbows and joints do not make is set along the way it comes, by no more than a metre, to where the
    nearest turn that elbows make, or else the next nearest, leads to the next place. The ends stay.

    Parameters
    ----------
    route : sequence of (float, float)
        [m]
    clear : callable
        Whether a straight leg may lie between two places.

    Returns
    -------
    tuple of (float, float)
        The route itself where every bend is made, or where none can be mended. [m]

    Examples
    --------
    >>> made_route([(0.0, 0.0), (4.0, 0.0), (6.0, 1.5)], lambda a, b: True)
    ((0.0, 0.0), (4.5, 0.0), (6.0, 1.5))
    """
    places, moved = straightened(route), False
    for index in range(1, len(places) - 1):
        before, here, after = places[index - 1 : index + 2]
        if elbows_make(deflection((before, here), (here, after))):
            continue
        found = next((at for at in _spots(before, here, after) if clear(before, at) and clear(at, after)), None)
        if found is not None:
            places[index], moved = found, True
    return tuple(places) if moved else tuple(route)


def elbows_make(turn: float) -> bool:
    """Whether elbows as made and the joints of a gravity line make a turn. [degrees]"""
    steps = round(turn / TURN)
    return steps == 0 or abs(TURN * steps - turn) <= IN_JOINTS


def _spots(before: Plan, here: Plan, after: Plan) -> Iterator[Plan]:
    """Places of a bend on the way it comes from which elbows point at the next place, the nearest turn first."""
    turn, leg = deflection((before, here), (here, after)), math.dist(before, here)
    ahead = (here[0] - before[0]) / leg, (here[1] - before[1]) / leg
    along = (after[0] - here[0]) * ahead[0] + (after[1] - here[1]) * ahead[1]
    aside = abs((after[0] - here[0]) * ahead[1] - (after[1] - here[1]) * ahead[0])
    below = math.floor(turn / TURN)
    for steps in sorted((below, below + 1), key=lambda steps: abs(TURN * steps - turn)):
        if not 0 < TURN * steps < MOST_TURN:
            continue
        shift = along - aside / math.tan(math.radians(TURN * steps))
        at = here[0] + shift * ahead[0], here[1] + shift * ahead[1]
        if abs(shift) <= FAR and leg + shift >= SHORTEST and math.dist(at, after) >= SHORTEST:
            yield at


def elbows(angle: float, *, pressure: bool) -> tuple[Elbow, ...]:
    """Fittings that make a turn: to the nearest 22-1/2°, the rest in the joints.

    A gravity line turns a right angle with two 45s, which a cleaning tool passes; a pressure line with one 90.

    Examples
    --------
    >>> elbows(88.0, pressure=False), elbows(67.0, pressure=True), elbows(9.0, pressure=False)
    (('elbow-45', 'elbow-45'), ('elbow-45', 'elbow-22'), ())
    """
    left = round(angle / TURN)
    found: list[Elbow] = []
    sizes: tuple[tuple[int, Elbow], ...] = ((2, "elbow-45"), (1, "elbow-22"))
    for steps, kind in ((4, "elbow-90"), *sizes) if pressure else sizes:
        while left >= steps:
            found.append(kind)
            left -= steps
    return tuple(found)


def pipe_lengths(distances: Sequence[float], inverts: Sequence[float]) -> tuple[float, ...]:
    """Length along the pipe from its first station to each, the climb counted [m].

    Examples
    --------
    >>> pipe_lengths((0.0, 4.0, 7.0), (1.0, 4.0, 8.0))
    (0.0, 5.0, 10.0)
    """
    legs = (math.hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(zip(distances, inverts, strict=True)))
    return tuple(accumulate(legs, initial=0.0))


def line_bends(
    distances: Sequence[float],
    places: Sequence[Plan],
    inverts: Sequence[float],
    *,
    level_start: bool,
    level_end: bool,
) -> tuple[Bend, ...]:
    """The turns of a pumped line that take elbows, sideways and in its profile together.

    Parameters
    ----------
    distances : sequence of float
        Of its stations, in plan. [m]
    places : sequence of (float, float)
        Of the same. [m]
    inverts : sequence of float
        Of the same. [m]
    level_start, level_end : bool
        Whether it leaves or comes in level: through a basin's wall, a kerb, into a catch basin or an emitter's elbow.

    Returns
    -------
    tuple of Bend
        From the upper end. What is less than half an elbow of 22-1/2° is bent in the pipe and its joints.
    """
    alongs = pipe_lengths(distances, inverts)
    kept = [0]
    for index in range(1, len(distances) - 1):
        if min(distances[index] - distances[kept[-1]], distances[-1] - distances[index]) >= SHORTEST:
            kept.append(index)
    kept.append(len(distances) - 1)
    legs = [_leg(places[a], places[b], inverts[b] - inverts[a]) for a, b in pairwise(kept)]
    if level_start:
        legs, kept = [_level(legs[0]), *legs], [0, *kept]
    if level_end:
        legs, kept = [*legs, _level(legs[-1])], [*kept, len(distances) - 1]
    found = []
    for index, (before, after) in zip(kept[1:-1], pairwise(legs), strict=True):
        angle = _between(before, after)
        if not elbows(angle, pressure=True):
            continue
        aside = _between(_level(before), _level(after))
        way: Way = "" if elbows(aside, pressure=True) else "up" if _steep(after) > _steep(before) else "down"
        found.append(Bend(distance=distances[index], along=alongs[index], at=places[index], angle=angle, way=way))
    return tuple(found)


_Leg = tuple[float, float, float]


def _leg(start: Plan, end: Plan, rise: float) -> _Leg:
    return end[0] - start[0], end[1] - start[1], rise


def _level(leg: _Leg) -> _Leg:
    return leg[0], leg[1], 0.0


def _steep(leg: _Leg) -> float:
    return math.atan2(leg[2], math.hypot(leg[0], leg[1]))


def _between(one: _Leg, two: _Leg) -> float:
    """Angle between two directions [degrees]."""
    cross = (one[1] * two[2] - one[2] * two[1], one[2] * two[0] - one[0] * two[2], one[0] * two[1] - one[1] * two[0])
    return math.degrees(math.atan2(math.hypot(*cross), sum(a * b for a, b in zip(one, two, strict=True))))


def inner_bends(bends: Sequence[Bend], length: float) -> tuple[Bend, ...]:
    """Those that part a pumped line into straight lengths: none at its ends, where the pipe comes in level."""
    return tuple(bend for bend in bends if SHORTEST / 2 < bend.along < length - SHORTEST / 2)


def grade_breaks(distances: Sequence[float], inverts: Sequence[float], off: float) -> tuple[int, ...]:
    """Stations between the ends at which a string must be held, so that the pipe lies nowhere further off it.

    Parameters
    ----------
    distances, inverts : sequence of float
        Of the stations. [m]
    off : float
        Most that a station may lie off the string between two others, above zero. [m]

    Returns
    -------
    tuple of int
        Their places in the row of stations: of each stretch first the one that lies furthest off.

    Examples
    --------
    >>> grade_breaks((0.0, 5.0, 10.0, 11.0), (1.0, 1.0, 1.0, 2.0), 0.02)
    (2,)
    """
    found: list[int] = []
    todo = [(0, len(distances) - 1)]
    while todo:
        first, last = todo.pop()
        run = distances[last] - distances[first]
        most, place = off, 0
        for index in range(first + 1, last):
            share = (distances[index] - distances[first]) / run
            miss = abs(inverts[index] - inverts[first] - share * (inverts[last] - inverts[first]))
            if miss > most:
                most, place = miss, index
        if place:
            found.append(place)
            todo += [(first, place), (place, last)]
    return tuple(sorted(found))


__all__ = [
    "IN_JOINTS", "SHORTEST", "TURN", "Bend", "Elbow", "Way", "deflection", "elbows", "elbows_make", "grade_breaks",
    "inner_bends", "line_bends", "made_route", "pipe_lengths", "straightened", "turns",
]  # fmt: skip
