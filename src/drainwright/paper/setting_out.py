"""Setting out: each place as a crew tapes it, along a wall line from a corner and square out from it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from drainwright.design import Design
from drainwright.field.model import Plan
from drainwright.system.outlets.soak_model import Soakaway

BEND = math.radians(8.0)  # least turn of a run that is set out [rad]
SAME = 0.15  # nearer than this to a node, a bend is the node's own [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class TapedPlace:
    """A place from the nearest wall line."""

    name: str
    at: Plan
    start: str  # corner from which to measure along
    corner: Plan  # where that is
    end: str  # corner towards which to measure
    foot: Plan  # on the wall line or its continuation, square to the place
    along: float  # from ``start``; negative before it [m]
    length: float  # of the wall line [m]
    out: float  # square from the line, away from the house positive [m]
    check: float  # straight from ``start`` [m]


@dataclass(frozen=True, slots=True)
class _Side:
    start: str
    end: str
    at: Plan
    to: Plan


def taped_places(design: Design) -> tuple[TapedPlace, ...]:
    """Nodes of the network, then the bends of its runs and the ends of soakaways, each from its nearest wall line."""
    sides = _sides(design)
    nodes = design.system.nodes.values()
    places: list[tuple[str, Plan]] = [(node.name, node.at) for node in nodes]
    taken = [node.at for node in nodes]
    for run in design.system.runs:
        number = 0
        for before, at, after in zip(run.route, run.route[1:], run.route[2:], strict=False):
            if _turn(before, at, after) < BEND or any(math.dist(at, other) < SAME for other in taken):
                continue
            number += 1
            taken.append(at)
            places.append((f"{run.name} bend {number}", at))
    places += _soak_places(design)
    return tuple(_tape(name, at, sides) for name, at in places)


def row_names(places: Sequence[TapedPlace]) -> dict[str, str]:
    """The number of each place's row in the table of setting out."""
    return {place.name: f"T{number}" for number, place in enumerate(places, start=1)}


def tape_of(design: Design, name: str, at: Plan) -> TapedPlace:
    """One place as a crew tapes it, from its nearest wall line."""
    return _tape(name, at, _sides(design))


def _soak_places(design: Design) -> list[tuple[str, Plan]]:
    """The far end of each infiltration trench, and the middle of each dry well after the first."""
    places: list[tuple[str, Plan]] = []
    for soak in design.system.soaks:
        if soak.kind == "infiltration trench":
            places.append((f"{soak.name} far end", max(trench_ends(soak), key=lambda end: math.dist(end, soak.at))))
        else:
            rings = enumerate(soak.outlines[1:], 2)
            places += [(f"{soak.name} well {number}", centre(ring)) for number, ring in rings]
    return places


def trench_ends(soak: Soakaway) -> tuple[Plan, Plan]:
    """The middles of the two short sides of an infiltration trench."""
    one, two, three, four = soak.outlines[-1]
    return centre((one, four)), centre((two, three))


def centre(ring: Sequence[Plan]) -> Plan:
    """The mean of places: the middle of a well's outline."""
    return (sum(x for x, _ in ring) / len(ring), sum(y for _, y in ring) / len(ring))


def _sides(design: Design) -> list[_Side]:
    names = {
        (round(point.east, 6), round(point.north, 6)): point.name
        for point in reversed(tuple(design.site.points.values()))
        if math.isfinite(point.east) and math.isfinite(point.north)
    }
    corners = [*design.site.outline, design.site.outline[0]]
    labels = [
        names.get((round(x, 6), round(y, 6)), f"corner {number}") for number, (x, y) in enumerate(corners[:-1], 1)
    ]
    labels.append(labels[0])
    return [_Side(start=a, end=b, at=p, to=q) for (a, p), (b, q) in pairwise(zip(labels, corners, strict=True))]


def _turn(before: Plan, at: Plan, after: Plan) -> float:
    first = math.atan2(at[1] - before[1], at[0] - before[0])
    second = math.atan2(after[1] - at[1], after[0] - at[0])
    return abs((second - first + math.pi) % (2 * math.pi) - math.pi)


def _tape(name: str, at: Plan, sides: Sequence[_Side]) -> TapedPlace:
    choices = []
    for side in sides:
        length = math.dist(side.at, side.to)
        unit = ((side.to[0] - side.at[0]) / length, (side.to[1] - side.at[1]) / length)
        off = (at[0] - side.at[0], at[1] - side.at[1])
        along = off[0] * unit[0] + off[1] * unit[1]
        out = off[0] * unit[1] - off[1] * unit[0]  # right of an anticlockwise outline is outside
        beyond = max(0.0, -along, along - length)
        rank = (round(math.hypot(out, beyond), 6), along < -1e-9, out < -1e-9)
        choices.append((rank, side, along, out, length))
    _, side, along, out, length = min(choices, key=lambda choice: choice[0])
    share = along / length
    foot = (side.at[0] + share * (side.to[0] - side.at[0]), side.at[1] + share * (side.to[1] - side.at[1]))
    return TapedPlace(
        name=name, at=at, start=side.start, corner=side.at, end=side.end, foot=foot, along=along, length=length,
        out=out, check=math.hypot(along, out),
    )  # fmt: skip


__all__ = ["TapedPlace", "centre", "row_names", "tape_of", "taped_places", "trench_ends"]
