"""Shaped ground on the plan: hatched strips with arrows down the fall, and levels before and after."""

from __future__ import annotations

import math
from collections.abc import Iterator

from drainwright.design import Design
from drainwright.field.shaping import ShapedSection, ShapedStrip
from drainwright.paper.frame import View
from drainwright.paper.plan_marks import THIRD, Drawn
from drainwright.paper.sheet import Point, Polygon, Polyline
from drainwright.paper.symbols import arrow, hatch
from drainwright.paper.wording import Wording

HATCH = 2.4  # between its lines [mm]


def stakes(strip: ShapedStrip) -> tuple[ShapedSection, ...]:
    """The sections whose levels are told and set out: both ends, the middle, and the least room at a vent."""
    last = len(strip.sections) - 1
    room = {n: item.highest - item.wall_level for n, item in enumerate(strip.sections) if item.highest is not None}
    tight = [min(room, key=lambda number: room[number])] if room else []
    return tuple(strip.sections[number] for number in sorted({0, last // 2, last, *tight}))


def shaping_marks(design: Design, view: View, drawn: Drawn) -> None:
    """Strips of shaped ground: hatch, edge, fall arrows, and at each stake today's level and the finished one."""
    word = Wording(design.job.units)
    for strip in design.site.shaped:
        ring = tuple(view(place) for place in strip.outline)
        drawn.marks += hatch("shaped hatch", ring, HATCH, math.pi / 6)
        drawn.marks.append(Polygon(layer="shaped", points=ring))
        drawn.marks.append(Polyline(layer="shaped edge", points=tuple(view(place) for place in strip.edges())))
        for foot, tip in _arrows(strip):
            drawn.marks += arrow("shaped fall", view(foot), view(tip), head="shaped head", length=1.6)
        edges = tuple(strip.edges())
        for item, number in ((item, strip.sections.index(item)) for item in stakes(strip)):
            for at, before, after in (
                (item.foot, item.ground_wall, item.wall_level), (edges[number], item.ground_edge, item.edge_level)
            ):  # fmt: skip
                text = f"{word.level_number(before)} to {word.level_number(after)}"
                drawn.label(THIRD, text, at=view(at), size=1.9, layer="text shaped", droppable=True)


def _arrows(strip: ShapedStrip) -> Iterator[tuple[Point, Point]]:
    out = strip.wall.outward
    for item in stakes(strip):
        foot, tip = (
            (item.foot[0] + share * item.run * out[0], item.foot[1] + share * item.run * out[1])
            for share in (0.25, 0.75)
        )
        yield foot, tip


__all__ = ["shaping_marks", "stakes"]
