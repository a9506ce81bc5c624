"""Soakaways and aprons on the plan."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from drainwright.design import Design
from drainwright.paper.frame import View
from drainwright.paper.sheet import Point, Polygon
from drainwright.paper.symbols import stone
from drainwright.paper.wording import Wording
from drainwright.system.outlets.outfall_model import Outfall

if TYPE_CHECKING:
    from drainwright.paper.plan_marks import Drawn


def ways_out_marks(design: Design, view: View, drawn: Drawn, rank: int) -> None:
    """Outlines of the soakaways filled with stone, each with its size, and the aprons at the ends of pipes."""
    word = Wording(design.job.units)
    for soak in design.system.soaks:
        for outline in soak.outlines:
            ring = tuple(view(place) for place in outline)
            drawn.marks.append(Polygon(layer="stone", points=ring))
            drawn.marks += stone(ring, 2.4)
            drawn.marks.append(Polygon(layer="trench line", points=ring))
        size = f"{word.length(soak.length)} × {word.small(soak.width)}" if soak.count == 1 else f"{soak.count} wells"
        if soak.kind == "dry well" and soak.count == 1:
            size = f"{word.small(soak.width)} across"
        far = soak.outlines[-1]
        middle = (sum(x for x, _ in far) / len(far), sum(y for _, y in far) / len(far))
        drawn.label(
            rank, f"{soak.kind} {size}", f"stone {word.level_number(soak.bottom)} to {word.level_number(soak.top)}",
            at=view(middle), clear=1.0 + view.across.on_paper(soak.width / 2),
        )  # fmt: skip
    for fall in design.system.outfalls:
        if fall.apron_built > 0.0:
            ring = tuple(view(place) for place in apron_outline(design, fall))
            drawn.marks.append(Polygon(layer="stone", points=ring))
            drawn.marks += stone(ring, 1.8)
            drawn.marks.append(Polygon(layer="trench line", points=ring))


def apron_outline(design: Design, fall: Outfall) -> tuple[Point, ...]:
    """The apron in plan: it goes on as its pipe comes, and widens. [m]"""
    route = design.system.run(fall.run).route
    (x0, y0), (x1, y1) = route[-2], route[-1]
    length = math.hypot(x1 - x0, y1 - y0)
    way = ((x1 - x0) / length, (y1 - y0) / length)
    aside = (-way[1], way[0])
    near, far = 1.5 * fall.diameter, fall.apron_width / 2.0

    def at(along: float, off: float) -> Point:
        return (x1 + along * way[0] + off * aside[0], y1 + along * way[1] + off * aside[1])

    return (at(0.0, -near), at(fall.apron_built, -far), at(fall.apron_built, far), at(0.0, near))


__all__ = ["apron_outline", "ways_out_marks"]
