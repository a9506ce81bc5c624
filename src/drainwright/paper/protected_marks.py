"""What is to be spared, on the plan: fences as lines with their posts and letter, other things by their outline."""

from __future__ import annotations

import math
from itertools import pairwise

from drainwright.design import Design
from drainwright.field.places import plan_of
from drainwright.job.site import Protected
from drainwright.paper.frame import View
from drainwright.paper.label import Frame
from drainwright.paper.plan_marks import FOURTH, Drawn, clip, inside, longest, middle
from drainwright.paper.sheet import Circle, Mark, Point, Polyline
from drainwright.paper.symbols import line

APART = 7.0  # from cross to cross of a fence's line [mm]
ARM = 0.8  # half of a cross [mm]
SPOT = 1.4  # radius of a thing that the job gives by one place [mm]


def protected_marks(design: Design, view: View, window: Frame, drawn: Drawn) -> None:
    """Fences, wells, tanks, banks and whatever else the job says to spare, as far as they lie in the window."""
    for thing in design.job.property.protected:
        ring = [view(plan_of(at, design.site.points, f"property.protected.{thing.name}")) for at in thing.at]
        name = thing.name if thing.kind in thing.name else f"{thing.name} ({thing.kind})"
        if len(ring) == 1:
            if inside(ring[0], window, SPOT):
                drawn.symbol(ring[0], SPOT, [Circle(layer="spared", centre=ring[0], radius=SPOT)])
                drawn.label(FOURTH, name, at=ring[0], clear=SPOT, size=2.0)
            continue
        closed = thing.kind not in ("fence", "overhead line") and len(ring) > 2
        pieces = clip([*ring, ring[0]] if closed else ring, window)
        if not pieces:
            continue
        drawn.marks += [mark for piece in pieces for mark in spared_line(thing, piece)]
        path = longest(pieces)
        drawn.label(FOURTH, name, at=middle(path), path=path, size=2.0, clear=0.5)


def spared_line(thing: Protected, piece: tuple[Point, ...]) -> list[Mark]:
    """A piece of a thing's line: a fence's with crosses, for its posts."""
    return fence_line(piece) if thing.kind == "fence" else [Polyline(layer="spared", points=piece)]


def fence_line(piece: tuple[Point, ...]) -> list[Mark]:
    """A fence: a line with a cross every few millimetres; where its posts stand nobody measured."""
    marks: list[Mark] = [Polyline(layer="fence", points=piece)]
    left = APART / 2
    for (x, y), (u, v) in pairwise(piece):
        long = math.dist((x, y), (u, v))
        while left < long:
            east, north = x + (u - x) * left / long, y + (v - y) * left / long
            marks += [line("fence", (east - ARM, north - slant), (east + ARM, north + slant)) for slant in (ARM, -ARM)]
            left += APART
        left -= long
    return marks


__all__ = ["fence_line", "protected_marks"]
