"""Labels, and the places that each may take: round its symbol, along its line, on its stretches."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache
from typing import NamedTuple

from drainwright.paper.measure import ASCENT, DESCENT, LEADING, READ, text_width
from drainwright.paper.sheet import Anchor, Point, Weight

RINGS = (0.8, 2.0, 5.0, 8.5, 12.5, 17.0, 22.0, 28.0, 36.0, 46.0, 58.0)  # gap from symbol to label [mm]
LEADER_FROM = 2.5  # a leader line is drawn for larger gaps [mm]


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """Some lines of text that belong to a place, or to a line."""

    lines: tuple[str, ...]
    at: Point  # the place [mm]
    layer: str = "text"
    size: float = 2.3  # of the type; none is smaller than can be read [mm]
    strong: bool = False  # the first line in semibold
    clear: float = 0.8  # radius of the symbol there [mm]
    path: tuple[Point, ...] = ()  # a line to lie along, if any [mm]
    stretches: tuple[tuple[Point, Point], ...] = ()  # or straight stretches to lie on, the best first [mm]
    droppable: bool = False
    leader: bool = True  # may be set further off, with a leader line
    inline: bool = False  # on its line, not beside it
    known: bool = False  # the legend says as much: nothing is lost where it is dropped

    def __post_init__(self) -> None:
        object.__setattr__(self, "size", max(self.size, READ))

    def weight(self, row: int) -> Weight:
        """The weight of a line."""
        return "semibold" if self.strong and row == 0 else "regular"

    @property
    def width(self) -> float:
        """Of the widest line. [mm]"""
        return max(text_width(line, self.size, self.weight(row)) for row, line in enumerate(self.lines))

    @property
    def height(self) -> float:
        """Of all lines. [mm]"""
        return self.size * (ASCENT + DESCENT + LEADING * (len(self.lines) - 1))


class Place(NamedTuple):
    """One candidate place of a label."""

    centre: Point  # [mm]
    rotation: float  # [rad]
    anchor: Anchor
    gap: float  # from the symbol [mm]
    cost: float  # of the place itself


@cache
def _directions(turns: int) -> tuple[tuple[float, float, float, float, Anchor], ...]:
    """Cosine, sine, shares of half the width and half the height, anchor: the way round a place.

    East first, then the sides, in the order in which people look for a name. A diagonal place needs less reach than a
    straight one for the same gap.
    """
    found = []
    for turn in range(turns):
        angle = (turn + 1) // 2 * (1 if turn % 2 else -1) * 2 * math.pi / turns
        cos, sin = math.cos(angle), math.sin(angle)
        stretch = 1 / max(abs(cos), abs(sin))
        anchor: Anchor = "start" if cos > 0.5 else "end" if cos < -0.5 else "middle"
        wide, tall = max(-1.0, min(1.0, cos * stretch * 1.42)), max(-1.0, min(1.0, sin * stretch))
        found.append((cos, sin, wide, tall, anchor))
    return tuple(found)


def _round_about(label: Label, at: Point, rings: Sequence[float], extra: float = 0.0) -> list[Place]:
    places = []
    width, height = label.width, label.height
    for ring, gap in enumerate(rings):
        turns = 8 if ring == 0 else 16
        reach = label.clear + gap
        further = extra + 0.4 * gap + (2.0 if gap > LEADER_FROM else 0.0)
        for turn, (cos, sin, wide, tall, anchor) in enumerate(_directions(turns)):
            centre = (at[0] + cos * reach + wide * width / 2, at[1] + sin * reach + tall * height / 2)
            places.append(Place(centre, 0.0, anchor, gap, further + 0.15 * turn * 8 / turns))
    return places


def _along(label: Label) -> list[Place]:
    places = []
    lengths = [math.dist(a, b) for a, b in zip(label.path, label.path[1:], strict=False)]
    for (start, end), length in zip(zip(label.path, label.path[1:], strict=False), lengths, strict=True):
        if length < 1e-6:
            continue
        angle = math.atan2(end[1] - start[1], end[0] - start[0])
        if not -math.pi / 2 + 1e-6 < angle <= math.pi / 2 + 1e-6:
            angle -= math.copysign(math.pi, angle)
        normal = (-math.sin(angle), math.cos(angle))
        short = max(0.0, label.width + 4 - length)
        sides = (0.0,) if label.inline else (1.0, -1.0)
        for rank, share in enumerate((0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.12, 0.88)):
            for side in sides:
                for step, gap in enumerate((0.7, 1.6) if side else (0.0,)):
                    off = side * (label.clear + gap + label.height / 2)
                    places.append(
                        Place(
                            centre=(
                                start[0] + share * (end[0] - start[0]) + off * normal[0],
                                start[1] + share * (end[1] - start[1]) + off * normal[1],
                            ),
                            rotation=angle,
                            anchor="middle",
                            gap=0.0,
                            cost=0.35 * rank + (0.3 if side < 0 else 0.0) + 0.4 * step + 0.8 * short,
                        )
                    )
    return places


def _on_stretches(label: Label) -> list[Place]:
    """The middle of each stretch."""
    places = []
    for rank, ((x1, y1), (x2, y2)) in enumerate(label.stretches):
        angle = math.atan2(y2 - y1, x2 - x1)
        if not -math.pi / 2 + 1e-6 < angle <= math.pi / 2 + 1e-6:
            angle -= math.copysign(math.pi, angle)
        centre = ((x1 + x2) / 2, (y1 + y2) / 2)
        places.append(Place(centre=centre, rotation=angle, anchor="middle", gap=0.0, cost=0.2 * rank))
    return places


def candidates(label: Label) -> list[Place]:
    """All places of a label, the nearest first."""
    rings = RINGS if label.leader else RINGS[:2]
    if label.stretches:
        return _on_stretches(label)
    if not label.path:
        return _round_about(label, label.at, rings)
    places = _along(label)
    if label.leader:
        places += _round_about(label, label.at, rings[2:], extra=4.0)
    return places


__all__ = ["LEADER_FROM", "Label", "Place", "candidates"]
