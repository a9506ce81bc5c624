"""The dig area in words, for the locate request and the white marks: from the corners of the house, by tape."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from drainwright.build.model import Trench
from drainwright.build.shaping import TOPSOIL
from drainwright.design import Design
from drainwright.field.model import Plan
from drainwright.field.shaping import ShapedStrip
from drainwright.paper.setting_out import TapedPlace, centre, tape_of, trench_ends
from drainwright.paper.wording import Wording
from drainwright.system.model import SizedRun
from drainwright.system.outlets.soak_model import Soakaway

COMPASS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")
NEAR = 0.05  # a place so near to a corner or a wall is at it [m]
INCH = 0.0254
SAME = 0.3  # places of a run nearer than this to the one before are not told [m]
MARGIN = 0.6096  # white is painted so far outside the dig: common practice, no source [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class DigWords:
    """One dig, described so that a locator finds it without the plan."""

    name: str
    text: str


def _tape(say: Wording, value: float) -> str:
    """A length to the whole inch or centimetre: white marks are no finer."""
    step = INCH if say.us else 0.01
    return say.length(round(value / step) * step)


def compass(design: Design, way: Plan) -> str:
    """The compass word of a direction in plan, true north heeded."""
    turn = math.atan2(way[0], way[1]) - design.job.property.north
    return COMPASS[round(turn / (math.pi / 4)) % 8]


def corner_words(design: Design, name: str) -> str:
    """A corner of the house by its compass side: ``south-west corner (A)``."""
    xs, ys = zip(*design.site.outline, strict=True)
    at = {item.name: (item.east, item.north) for item in design.site.points.values()}.get(name)
    if at is None and name.startswith("corner "):
        at = design.site.outline[int(name.removeprefix("corner ")) - 1]
    if at is None:
        return f"corner {name}"
    way = (_share(at[0], xs), _share(at[1], ys))
    return f"{compass(design, way)} corner ({name})"


def _share(value: float, values: Sequence[float]) -> float:
    """How far from the middle to the ends, -1 to 1: a long house has four corners as a square one has."""
    low, high = min(values), max(values)
    return (2 * value - low - high) / (high - low)


def taped_words(design: Design, place: TapedPlace, *, again: bool = False) -> str:
    """A place by tape: along a wall line from a corner, then square out.

    Parameters
    ----------
    design : Design
        The designed job.
    place : TapedPlace
        The place.
    again : bool
        Whether its wall line was named just before: its corners then go by their names alone.

    Returns
    -------
    str
        ``8 ft from the south-east corner (B) along the wall line towards C, then 3 ft out``; again, ``8 ft from B
        towards C, then 3 ft out``.
    """
    say = Wording(design.job.units)
    start = corner_words(design, place.start)
    out = "" if abs(place.out) < NEAR else f", then {_tape(say, abs(place.out))} {'out' if place.out > 0 else 'in'}"
    if abs(place.along) < NEAR:
        return f"the {start}{out}"
    if again:
        if place.along < 0:
            return f"{_tape(say, -place.along)} back from {place.start}, in line with {place.end}{out}"
        past = f" (past {place.end})" if place.along > place.length else ""
        return f"{_tape(say, place.along)} from {place.start} towards {place.end}{past}{out}"
    if place.along < 0:
        line = f"{_tape(say, -place.along)} back from the {start}, in line with the wall to {place.end}"
    else:
        beyond = f" (past {place.end})" if place.along > place.length else ""
        line = f"{_tape(say, place.along)} from the {start} along the wall line towards {place.end}{beyond}"
    return f"{line}{out}"


def dig_words(design: Design) -> tuple[DigWords, ...]:
    """Every dig in words.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    tuple of DigWords
        In the order of the digs: an opened wall by its corners and how far out, a run from place to place, a hole by
        its middle; then the strips of shaped ground.
    """
    found = []
    runs = {run.name: run for run in design.system.runs}
    walls = {wall.name: wall for wall in design.site.walls}
    holes = {station.name: station.at for station in design.system.stations}
    for trench in design.build.dig.trenches:
        if trench.name in walls and trench.kind == "wall":
            text = _along_wall(design, trench)
        elif trench.name in runs and trench.kind == "run":
            run = runs[trench.name]
            text = f"from {'; to '.join(_ways(design, run))}. A strip {_size(design, trench, run.length)}."
        elif trench.kind == "inlet":
            at = design.system.nodes[trench.name].at
            text = f"a pit round {taped_words(design, tape_of(design, trench.name, at))}. {_hole(design, trench)}"
        elif trench.name in holes:
            middle = taped_words(design, tape_of(design, trench.name, holes[trench.name]))
            text = f"a hole round {middle}. {_hole(design, trench)}"
        else:
            soak = next((s for s in design.system.soaks if f"{trench.name} ".startswith(f"{s.name} ")), None)
            if soak is None:
                continue
            text = _soak(design, trench, soak)
        found.append(DigWords(name=trench.name, text=text[:1].upper() + text[1:]))
    found += [_shaped(design, strip) for strip in design.site.shaped]
    return tuple(found)


def _ways(design: Design, run: SizedRun) -> list[str]:
    """The places of a run, one after the other; a wall line is named in full where it is first told."""
    places = [tape_of(design, run.name, at) for at in _told(run.route)]
    lines = [(place.start, place.end) for place in places]
    return [taped_words(design, place, again=lines[n] in lines[:n]) for n, place in enumerate(places)]


def _shaped(design: Design, strip: ShapedStrip) -> DigWords:
    """A shaped strip: topsoil is stripped over all of it, its banks too, and ground cut where it stands too high."""
    say = Wording(design.job.units)
    name = strip.wall.name
    side = compass(design, strip.wall.outward)
    ends = (strip.sections[0].foot, strip.sections[-1].foot)
    first, last = (taped_words(design, tape_of(design, name, foot)) for foot in ends)
    wide = max(one.run + (one.bank or 0.0) for one in strip.sections)
    cut = max(max(one.ground_wall - one.wall_level, one.ground_edge - one.edge_level) for one in strip.sections)
    text = (
        f"Shaped ground along the {name} wall ({side} side), from {first} to {last}, and "
        f"{_tape(say, wide)} out from the wall: topsoil is stripped, {say.dug(TOPSOIL + max(cut, 0.0))} deep at most."
    )
    return DigWords(name=name, text=text)


def _along_wall(design: Design, trench: Trench) -> str:
    wall = next(item for item in design.site.walls if item.name == trench.name)
    say = Wording(design.job.units)
    side = compass(design, wall.outward)
    first, last = wall.wall.from_, wall.wall.to
    return (
        f"along the whole {trench.name} wall ({side} side), from the {corner_words(design, first)} to the "
        f"{corner_words(design, last)}, {_tape(say, wall.length)}, and {_tape(say, trench.width)} out from the wall, "
        f"{say.dug(trench.depth_greatest)} deep at most."
    )


def _soak(design: Design, trench: Trench, soak: Soakaway) -> str:
    """A trench from end to end along its middle line; a well round its own middle."""
    if soak.kind == "infiltration trench":
        ends = trench_ends(soak)
        first, last = (taped_words(design, tape_of(design, trench.name, end)) for end in ends)
        return f"from {first}; to {last}. A strip {_size(design, trench, math.dist(*ends))}."
    number = 1 if soak.count == 1 else int(trench.name.rpartition(" ")[2])
    middle = taped_words(design, tape_of(design, trench.name, centre(soak.outlines[number - 1])))
    return f"a pit round {middle}. {_hole(design, trench)}"


def _told(route: Sequence[Plan]) -> list[Plan]:
    """The places of a run without those that lie next to another; its ends always."""
    kept = [route[0]]
    for at in route[1:-1]:
        if min(math.dist(at, kept[-1]), math.dist(at, route[-1])) >= SAME:
            kept.append(at)
    return [*kept, route[-1]]


def _size(design: Design, trench: Trench, length: float) -> str:
    say = Wording(design.job.units)
    wide, deep = say.small(trench.width), say.dug(trench.depth_greatest)
    return f"{_tape(say, length)} long, {wide} wide, {deep} deep at most"


def _hole(design: Design, trench: Trench) -> str:
    say = Wording(design.job.units)
    how = "across" if trench.round or trench.kind != "basin" else "square, its sides along the nearest wall"
    return f"{_tape(say, trench.width)} {how}, {say.dug(trench.depth_greatest)} deep."


__all__ = ["MARGIN", "DigWords", "compass", "corner_words", "dig_words", "taped_words"]
