"""What a route through the yard crosses, goes along and goes round, in plain words."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from drainwright.field.model import Plan
from drainwright.field.words import Units
from drainwright.quantities import write
from drainwright.system.ways import RoundHouse
from drainwright.system.yard.zones import Zone

if TYPE_CHECKING:
    from shapely import LineString

SQUARE = math.radians(60.0)  # a crossing at this angle or more counts as square [rad]
HARDLY = 0.05  # shorter pieces are not spoken of [m]
OFTEN = ("", "once", "twice", "three times", "four times")


def _length(value: float, units: Units) -> str:
    return write(value, "length", units, "ft" if units == "US" else "m", 1)


def _the(name: str) -> str:
    return name if name.lower().startswith(("the ", "a ", "an ")) else f"the {name}"


def _angles(line: LineString, other: LineString) -> list[float]:
    """Angle between two lines at each place where they cross, 0 to a right angle [rad]."""
    from shapely import get_parts

    found = []
    for point in get_parts(line.intersection(other)):
        if point.geom_type != "Point":
            found.append(0.0)
            continue
        bearings = []
        for way in (line, other):
            here = way.project(point)
            a, b = way.interpolate(max(here - 1e-4, 0.0)), way.interpolate(min(here + 1e-4, way.length))
            bearings.append(math.atan2(b.y - a.y, b.x - a.x))
        turn = abs(math.remainder(bearings[0] - bearings[1], math.pi))
        found.append(turn)
    return found


def _utility(line: LineString, zone: Zone, units: Units) -> list[str]:
    name, other = _the(zone.name), zone.line
    inside = line.intersection(zone.shape).length
    if other is None or inside < HARDLY:
        return []
    angles = _angles(line, other)
    words = []
    if angles:
        many = OFTEN[len(angles)] if len(angles) < len(OFTEN) else f"{len(angles)} times"
        how = "square" if min(angles) >= SQUARE else "at a slant"
        words.append(f"crosses {name} {many}, {how}")
    square = 2.0 * zone.reach / math.sin(SQUARE) * len(angles)
    if inside - square > 0.5:
        words.append(f"runs {_length(inside - square, units)} along {name} inside its tolerance zone: dug by hand")
    elif not angles:
        words.append(f"touches the tolerance zone of {name} for {_length(inside, units)}: dug by hand")
    return words


def words_of(route: Sequence[Plan], zones: Sequence[Zone], house: RoundHouse, units: Units) -> tuple[str, ...]:
    """What a route meets, in the order of the zones.

    Parameters
    ----------
    route : sequence of Plan
        Its places. [m]
    zones : sequence of Zone
        What lies in the yard.
    house : RoundHouse
        To say whether the straight way would have met the house.
    units : {"US", "SI"}
        Of lengths.

    Returns
    -------
    tuple of str
        Each a predicate whose subject is the route: "crosses the gas line once, square".
    """
    from shapely import LineString

    if len(route) < 2:
        return ()
    line, straight = LineString(route), LineString([route[0], route[-1]])
    words: list[str] = []
    if len(route) > 2 and not house.clear(house.out(route[0]), house.out(route[-1])):
        words.append("goes round the house")
    surfaces: dict[str, float] = {}
    for zone in zones:
        inside, name = line.intersection(zone.shape).length, _the(zone.name)
        avoided = inside < HARDLY and len(route) > 2 and straight.intersection(zone.shape).length >= HARDLY
        if zone.kind == "utility":
            words += _utility(line, zone, units)
            if avoided:
                words.append(f"keeps off {name}")
        elif zone.kind == "surface":
            surfaces[zone.name] = surfaces.get(zone.name, 0.0) + inside
            if avoided:
                words.append(f"goes round {zone.name}")
        elif zone.kind == "roots" and zone.reach > 0.0:
            if inside >= HARDLY:
                words.append(f"passes {_length(inside, units)} through the roots of {name}")
            elif avoided:
                words.append(f"goes round the roots of {name}")
        elif zone.kind == "trunk" and inside >= HARDLY:
            words.append(f"comes too near to the trunk of {name}")
        elif zone.kind == "protected" and inside >= HARDLY:
            words.append(f"goes {_length(inside, units)} through {name}")
        elif zone.kind == "set-back":
            if inside >= HARDLY:
                words.append(f"comes within {_length(zone.reach, units)} of {name}")
            elif avoided:
                words.append(f"keeps {_length(zone.reach, units)} from {name}")
        elif zone.kind == "outside" and inside >= HARDLY:
            words.append(f"lies {_length(inside, units)} outside the boundary: ask whose ground it is")
        elif zone.kind == "boundary":
            if inside >= HARDLY:
                near = _length(zone.reach, units)
                words.append(f"lies for {_length(inside, units)} nearer than {near} to the boundary")
            elif avoided:
                words.append(f"keeps {_length(zone.reach, units)} from the boundary")
    words += [f"crosses {_length(inside, units)} of {name}" for name, inside in surfaces.items() if inside >= HARDLY]
    return tuple(dict.fromkeys(words))


__all__ = ["words_of"]
