"""Checks of the job in plan, as far as positions are known without reducing the survey."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from statistics import median
from typing import TypeAlias

from drainwright.errors import Problem
from drainwright.job.limits import LOT
from drainwright.job.model import Job
from drainwright.job.names import Names, parts_of
from drainwright.job.survey import Perimeter
from drainwright.job.values import Place
from drainwright.quantities import write

Plan: TypeAlias = tuple[float, float]  # east, north [m]

NEAR = 0.15  # how far beside the outline the end of a wall may lie and still be on it [m]
LEAST_AREA = 0.01  # of anything with an outline [m²]
ON_BOUNDARY = 1.0  # a house may stand on the boundary, which is seldom known better [m]
SAME = 0.005  # places nearer than this are one [m]


def check_plan(job: Job, names: Names) -> Iterator[Problem]:
    """Points that nothing fixes, a walk that does not come back, outlines that cross, walls off the outline."""
    yield from _fixed(job)
    walk = job.survey.perimeter
    if walk and walk.legs[-1].to != walk.start:
        yield Problem(
            where=f"survey.perimeter.legs[{len(walk.legs) - 1}].to", found=f"{walk.legs[-1].to!r}, the end of the walk",
            expected=f"{walk.start!r}, where it began",
        )  # fmt: skip
    known = positions(job)
    yield from _spread(job, known)
    yield from _outline(job.house.outline, "house.outline", known)
    if 0 < len(job.property.boundary) < 3:
        found = "1 place" if len(job.property.boundary) == 1 else "2 places"
        yield Problem(where="property.boundary", found=found, expected="three places or more, or none")
    amiss = list(_outline(job.property.boundary, "property.boundary", known))
    yield from amiss or _parted(job, known)
    for index, yard in enumerate(job.yards):
        yield from _outline(yard.outline, f"yards[{index}].outline", known)
    for index, thing in enumerate(job.property.protected):
        yield from _outline(thing.at, f"property.protected[{index}].at", known)
    yield from _walls(job, names, known)


def _spread(job: Job, known: Mapping[str, Plan]) -> Iterator[Problem]:
    """A place so far off that all do not fit in the square that a house lot can fill: a slip of the pen."""
    numbers = {point.name: n for n, point in enumerate(job.survey.points)}
    places = [
        (f"survey.points[{numbers[name]}]" if name in numbers else "survey.perimeter", at) for name, at in known.items()
    ]
    for where, part in parts_of(job):
        if isinstance(part, Place) and part.east is not None and part.north is not None:
            places.append((where, (part.east, part.north)))
    for number, group in enumerate(job.survey.shot_sets):
        if not group.known:  # those that hang on known places are laid by the survey
            places += [
                (f"survey.shot_sets[{number}].shots[{n}]", (east, north))
                for n, (east, north, _) in enumerate(group.shots)
            ]
    if not places:
        return
    easts, norths = [at[0] for _, at in places], [at[1] for _, at in places]
    if max(max(easts) - min(easts), max(norths) - min(norths)) > LOT:
        middle = (median(easts), median(norths))
        where, at = max(places, key=lambda place: math.dist(place[1], middle))
        unit = "ft" if job.units == "US" else "m"
        away, side = (write(length, "length", job.units, unit, 0) for length in (math.dist(at, middle), LOT))
        yield Problem(
            where=where, found=f"a place {away} from the middle of the others",
            expected=f"a lot within a square of {side}", hint="measure from a corner of the house; check the units",
        )  # fmt: skip


def _fixed(job: Job) -> Iterator[Problem]:
    """Points tied to each other in a circle, or twice to one point."""
    points = job.survey.points
    leans = {point.name: [tie.from_ for tie in point.ties] or list(point.along or ()) for point in points}
    for index, point in enumerate(points):
        names = leans[point.name]
        if names and len(set(names)) < 2:
            part = "ties" if point.ties else "along"
            yield Problem(where=f"survey.points[{index}].{part}", found=f"only {names[0]!r}", expected="two points")
    waiting = set(leans) - set(_order(leans))
    for index, point in enumerate(points):
        if point.name in waiting and point.name not in leans[point.name]:
            circle = ", ".join(name for name in leans[point.name] if name in waiting)
            yield Problem(
                where=f"survey.points[{index}]", found=f"{point.name!r}, which leans in a circle on {circle}",
                expected="points fixed from points already known",
            )  # fmt: skip


def _order(leans: Mapping[str, Sequence[str]]) -> list[str]:
    """Names so that each comes after those it leans on; names in a circle, or behind one, are left out."""
    open_needs = {name: {need for need in needs if need in leans} for name, needs in leans.items()}
    leaning: dict[str, list[str]] = {}
    for name, needs in open_needs.items():
        for need in needs:
            leaning.setdefault(need, []).append(name)
    order = [name for name, needs in open_needs.items() if not needs]
    for name in order:  # grows as it is walked
        for other in leaning.get(name, ()):
            open_needs[other].discard(name)
            if not open_needs[other]:
                order.append(other)
    return order


def positions(job: Job) -> dict[str, Plan]:
    """Points whose place follows from coordinates, the walk as taped, or offsets from such points [m]."""
    known: dict[str, Plan] = {}
    for point in job.survey.points:
        if point.east is not None and point.north is not None:
            known[point.name] = (point.east, point.north)
    walk = job.survey.perimeter
    if walk:
        known |= _walked(walk, known)
    offset = {point.name: point for point in job.survey.points if point.along is not None}
    for name in _order({name: point.along or () for name, point in offset.items()}):
        point = offset[name]
        first, second = (known.get(end) for end in point.along or ())
        if first is None or second is None or math.dist(first, second) <= SAME:
            continue
        length = math.dist(first, second)
        east, north = (second[0] - first[0]) / length, (second[1] - first[1]) / length
        along, left = point.distance or 0.0, point.offset or 0.0
        known[name] = (first[0] + along * east - left * north, first[1] + along * north + left * east)
    return known


def _walked(walk: Perimeter, known: Mapping[str, Plan]) -> dict[str, Plan]:
    at = _place(walk.at, known)
    if at is None or any(leg.turn is None for leg in walk.legs[:-1]):
        return {}
    found = {walk.start: at}
    bearing = walk.bearing
    for leg in walk.legs[:-1]:
        at = (at[0] + leg.length * math.sin(bearing), at[1] + leg.length * math.cos(bearing))
        found[leg.to] = at
        bearing += leg.turn or 0.0
    return found


def _place(place: Place, known: Mapping[str, Plan]) -> Plan | None:
    if place.name is not None:
        return known.get(place.name)
    return (place.east or 0.0, place.north or 0.0)


def _outline(outline: Sequence[Place], where: str, known: Mapping[str, Plan]) -> Iterator[Problem]:
    """A corner given twice, two sides that cross, or no area within them."""
    seen: dict[object, int] = {}
    for index, place in enumerate(outline):
        key = place.name or (place.east, place.north)
        if key in seen:
            hint = "the outline closes by itself" if index == len(outline) - 1 and seen[key] == 0 else ""
            again = f"{_word(place)} again"
            yield Problem(where=f"{where}[{index}]", found=again, expected="each corner once", hint=hint)
            return
        seen[key] = index
    corners = [_place(place, known) for place in outline]
    sides = [
        (index, start, end)
        for index, (start, end) in enumerate(zip(corners, [*corners[1:], *corners[:1]], strict=True))
        if start is not None and end is not None
    ]
    for number, (first, a, b) in enumerate(sides):
        for second, c, d in sides[number + 1 :]:
            if (first + 1) % len(outline) == second or (second + 1) % len(outline) == first:
                continue
            if segments_cross(a, b, c, d):
                one, other = (
                    f"{_word(outline[side])}-{_word(outline[(side + 1) % len(outline)])}" for side in (first, second)
                )
                yield Problem(
                    where=f"{where}[{second}]", found=f"side {other}, which crosses side {one}",
                    expected="corners in order round the outline", hint="check their order, and the signs of turns",
                )  # fmt: skip
                return
    places = [corner for corner in corners if corner is not None]
    if len(places) == len(corners) > 2 and abs(_area(places)) < LEAST_AREA:
        yield Problem(where=where, found="corners that enclose next to nothing", expected="corners round an area")


def _area(corners: Sequence[Plan]) -> float:
    """Area within corners in order, plus where they go anticlockwise [m²]."""
    start = corners[0]
    away = [(east - start[0], north - start[1]) for east, north in corners]
    return 0.5 * sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(away, [*away[1:], away[0]], strict=True))


def _parted(job: Job, known: Mapping[str, Plan]) -> Iterator[Problem]:
    """A house of which no corner lies on the lot."""
    house = [_place(place, known) for place in job.house.outline]
    lot = [at for place in job.property.boundary if (at := _place(place, known)) is not None]
    if len(lot) < max(3, len(job.property.boundary)):
        return
    sides = list(zip(lot, [*lot[1:], lot[0]], strict=True))
    for at in house:
        if at is None or _within(at, sides) or min(_off(a, b, at) for a, b in sides) <= ON_BOUNDARY:
            return
    yield Problem(
        where="property.boundary", found="a boundary with no corner of the house inside it",
        expected="the lot that the house stands on", hint="check where it is measured from, and its units",
    )  # fmt: skip


def _within(at: Plan, sides: Sequence[tuple[Plan, Plan]]) -> bool:
    inside = False
    for (east, north), (far_east, far_north) in sides:
        if (north > at[1]) != (far_north > at[1]):
            inside ^= at[0] < east + (at[1] - north) * (far_east - east) / (far_north - north)
    return inside


def segments_cross(a: Plan, b: Plan, c: Plan, d: Plan) -> bool:
    """Whether two closed segments have a point in common."""

    def side(p: Plan, q: Plan, r: Plan) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    def within(p: Plan, q: Plan, r: Plan) -> bool:
        return min(p[0], q[0]) <= r[0] <= max(p[0], q[0]) and min(p[1], q[1]) <= r[1] <= max(p[1], q[1])

    from_c, from_d, from_a, from_b = side(a, b, c), side(a, b, d), side(c, d, a), side(c, d, b)
    if from_c * from_d < 0.0 and from_a * from_b < 0.0:
        return True
    return any(
        turn == 0.0 and within(p, q, r)
        for turn, p, q, r in ((from_c, a, b, c), (from_d, a, b, d), (from_a, c, d, a), (from_b, c, d, b))
    )


def _word(place: Place) -> str:
    return place.name or f"({place.east:.2f} m, {place.north:.2f} m)"


def _walls(job: Job, names: Names, known: Mapping[str, Plan]) -> Iterator[Problem]:
    """Walls on the corners of another; walls whose two ends do not lie on one side of the house."""
    outline = job.house.outline
    pairs = list(zip(outline, [*outline[1:], outline[0]], strict=True))
    sides = [(start.name, end.name) for start, end in pairs]
    places = [(_place(start, known), _place(end, known)) for start, end in pairs]
    seen: dict[frozenset[str], str] = {}
    for index, wall in enumerate(job.house.walls):
        where = f"house.walls[{index}]"
        first = seen.setdefault(frozenset((wall.from_, wall.to)), wall.name)
        if first != wall.name and wall.from_ != wall.to:
            yield Problem(
                where=where,
                found=f"the wall {wall.name!r} from {wall.from_} to {wall.to}, on the corners of {first!r}",
                expected="each stretch of wall once", hint="which side of the house is each?",
            )  # fmt: skip
            continue
        if wall.from_ == wall.to:
            yield Problem(where=f"{where}.to", found=f"{wall.to!r} at both ends", expected="two corners")
            continue
        if wall.from_ not in names.points or wall.to not in names.points:
            continue  # already reported
        if (wall.from_, wall.to) in sides or (wall.to, wall.from_) in sides:
            continue
        ends = (known.get(wall.from_), known.get(wall.to))
        if ends[0] is not None and ends[1] is not None and all(a is not None and b is not None for a, b in places):
            on = any(all(_off(a, b, end) <= NEAR for end in ends if end) for a, b in places if a and b)
        else:  # an end fixed by ties: only its name can tell
            on = not (wall.from_ in {a for a, _ in sides} and wall.to in {a for a, _ in sides})
        if not on:
            yield Problem(
                where=where, found=f"a wall from {wall.from_} to {wall.to}, which is no side of the outline",
                expected="a wall along one side of the house", hint=f"sides: {_sides(sides)}",
            )  # fmt: skip


def _sides(sides: Sequence[tuple[str | None, str | None]]) -> str:
    named = [f"{a}-{b}" for a, b in sides if a and b]
    return ", ".join(named[:12]) if named else "the outline has no named corners"


def _off(a: Plan, b: Plan, at: Plan) -> float:
    """Distance of a place from a segment [m]."""
    east, north = b[0] - a[0], b[1] - a[1]
    square = east**2 + north**2
    part = ((at[0] - a[0]) * east + (at[1] - a[1]) * north) / square if square else 0.0
    part = min(1.0, max(0.0, part))
    return math.dist(at, (a[0] + part * east, a[1] + part * north))


__all__ = ["Plan", "check_plan", "positions", "segments_cross"]
