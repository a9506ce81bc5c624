"""Pumps and check valves as a basin's section draws them."""

from __future__ import annotations

import math
from collections.abc import Sequence

from drainwright.paper.frame import View, words
from drainwright.paper.label import Frame
from drainwright.paper.measure import CAP
from drainwright.paper.sheet import Circle, Mark, Point, Polygon
from drainwright.paper.symbols import box, line
from drainwright.system.model import LiftStation

RING = 1.5  # radius of a note's number [mm]
FEET = 0.025  # a pump stands so far over the floor [m]


def body_size(station: LiftStation) -> float:
    """Half of what a pump is drawn wide. [m]"""
    return min(0.28 * station.inside_diameter, 0.13)


def second_at(station: LiftStation) -> float:
    """Where across the basin the second pump stands, its riser over it. [m]"""
    return min(0.3 * station.inside_diameter, station.inside_diameter / 2 - 0.8 * body_size(station) - 0.03)


def pump_body(view: View, at: float, floor: float, body: float, tall: float) -> list[Mark]:
    """A pump on its feet."""
    base = floor + FEET
    feet = [(-body * 0.8, floor), (body * 0.8, floor), (body * 0.7, base), (-body * 0.7, base)]
    right = [(0.8, 0.0), (0.8, 0.4), (0.55, 0.55), (0.55, 0.92), (0.4, 1.0)]  # half of the body, over its size
    hull = [(x * body, base + y * tall) for x, y in (*right, *((-x, y) for x, y in reversed(right)))]
    return [Polygon(layer="pump", points=tuple(view((x + at, y)) for x, y in ring)) for ring in (feet, hull)]


def check_valve(view: View, x: float, height: float, size: float) -> list[Mark]:
    """The check valve: a short body with an arrow for the way it lets water go."""
    wide, tall = 0.8 * size, 0.055
    ring = tuple(view((x + dx, height + dy)) for dx, dy in ((-wide, -tall), (wide, -tall), (wide, tall), (-wide, tall)))
    a, b = view((x - 0.55 * wide, height - 0.5 * tall)), view((x + 0.55 * wide, height + 0.7 * tall))
    arrow = ((a[0], a[1]), (b[0], a[1]), ((a[0] + b[0]) / 2, b[1]))
    return [
        Polygon(layer="fitting", points=ring),
        Polygon(layer="solid", points=arrow),
        line("axis", (a[0], b[1]), (b[0], b[1])),
    ]


def balloon(at: Point, off: Point, number: str) -> list[Mark]:
    """A note's number in a ring, tied to its thing."""
    centre = (at[0] + off[0], at[1] + off[1])
    length = math.hypot(*off)
    edge = (centre[0] - off[0] / length * RING, centre[1] - off[1] / length * RING)
    return [
        line("leader line", at, edge),
        Circle(layer="node", centre=centre, radius=RING),
        words("text", (centre[0], centre[1] - CAP), number, 2.0, "middle", "semibold"),
    ]


def covered(at: Point, off: Point, reach: float, taken: Sequence[Frame]) -> float:
    """Area of some frames that a square lies over, ``off`` a place and ``reach`` to each side. [mm²]"""
    x, y = at[0] + off[0], at[1] + off[1]
    return round(
        sum(
            max(0.0, min(x + reach, right) - max(x - reach, left)) * max(0.0, min(y + reach, top) - max(y - reach, low))
            for left, low, right, top in taken
        ),
        6,
    )


def float_switch(at: Point) -> list[Mark]:
    """A float on its cord and bracket."""
    x, y = at
    return [
        box("bar dark", x + 4.0, y, x + 5.2, y + 9.0),
        line("curve", (x + 4.0, y + 7.5), (x, y + 6.0), (x - 3.0, y + 3.4)),
        Circle(layer="fitting", centre=(x - 4.4, y + 2.6), radius=2.4),
    ]


def alarm_box(at: Point) -> list[Mark]:
    """An alarm's box."""
    x, y = at
    return [
        box("fitting", x - 5.0, y, x + 5.0, y + 9.0), Circle(layer="operating", centre=(x - 2.2, y + 6.2), radius=1.3),
        *(line("axis", (x + 0.8, y + dy), (x + 3.6, y + dy)) for dy in (5.4, 6.4, 7.4)),
    ]  # fmt: skip


def cord_seal(at: Point) -> list[Mark]:
    """A cord in its seal."""
    x, y = at
    return [
        box("bar dark", x - 2.6, y, x + 2.6, y + 1.6), box("bar dark", x - 1.6, y + 1.6, x + 1.6, y + 4.0),
        line("curve", (x, y - 2.0), (x, y + 7.0)),
    ]  # fmt: skip


def lid_apart(at: Point) -> list[Mark]:
    """A lid over its gasket, with two bolts."""
    x, y = at
    return [
        box("bar dark", x - 17.0, y, x + 17.0, y + 1.0), box("shell", x - 18.0, y + 2.6, x + 18.0, y + 4.8),
        *(box("pump", x + dx - 0.7, y + 5.8, x + dx + 0.7, y + 7.8) for dx in (-15.0, 15.0)),
    ]  # fmt: skip


__all__ = [
    "FEET", "RING", "alarm_box", "balloon", "body_size", "check_valve", "cord_seal", "covered", "float_switch",
    "lid_apart", "pump_body", "second_at",
]  # fmt: skip
