"""What lies under everything else on the plan: yards, and light contours of the ground near the works."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

from drainwright.design import Design
from drainwright.paper.frame import View
from drainwright.paper.ground_marks import contour_labels, contour_marks
from drainwright.paper.label import Frame
from drainwright.paper.plan_marks import LAST, Drawn, clip_area
from drainwright.paper.sheet import Point, Polygon

NEAR = 4.0  # ground so far from the works matters to them [m]
BESIDE = 0.3  # a contour nearer to a wall reads as the wall [m]
SHORTEST = 6.0  # pieces of a contour that are shorter say nothing [mm]


def yards(design: Design, view: View, window: Frame, drawn: Drawn) -> None:
    """The yards' outlines with their names."""
    from drainwright.field.places import plan_of

    site = design.site
    for yard in design.job.yards:
        if yard.outline:
            corners = [view(plan_of(place, site.points)) for place in yard.outline]
            for piece in clip_area(corners, window):
                drawn.marks.append(Polygon(layer="yard", points=piece))
                centre = (sum(x for x, _ in piece) / len(piece), sum(y for _, y in piece) / len(piece))
                drawn.label(
                    LAST,
                    yard.name,
                    at=centre,
                    layer="text soft",
                    size=2.0,
                    clear=0.0,
                    droppable=True,
                )


def plan_contours(design: Design, view: View, window: Frame, drawn: Drawn) -> None:
    """Contours round trenches, inlets and basins, outside the house; none where no ground was shot."""
    import shapely

    terrain = design.site.terrain
    if terrain is None:
        return
    works = [shapely.LineString(run.route) for run in design.system.runs if len(run.route) > 1]
    spots = [shapely.Point(node.at) for node in design.system.nodes.values()]
    if not works and not spots:
        return
    near = shapely.union_all([*works, *spots]).buffer(NEAR, quad_segs=4)
    house = shapely.Polygon(design.site.outline).buffer(BESIDE)
    corners = [_back(view, corner) for corner in ((window[0], window[1]), (window[2], window[3]))]
    ground = near.difference(house).intersection(shapely.box(*corners[0], *corners[1]))
    lines = [
        (contour, piece)
        for contour in terrain.contours
        for path in contour.lines
        for piece in _pieces(shapely.LineString(path).intersection(ground), view)
    ]
    drawn.marks += contour_marks(lines)
    drawn.labels += [(LAST, label) for label in contour_labels(lines, terrain.interval, design.job.units)]


def _back(view: View, place: Point) -> Point:
    """From the paper to the ground. [m]"""
    return (
        view.origin[0] + (place[0] - view.at[0]) * view.across.ratio / 1000,
        view.origin[1] + (place[1] - view.at[1]) * view.up.ratio / 1000,
    )


def _pieces(cut: Any, view: View) -> list[tuple[Point, ...]]:
    import shapely

    lines = [piece for piece in getattr(cut, "geoms", [cut]) if piece.geom_type == "LineString" and not piece.is_empty]
    joined = shapely.line_merge(shapely.MultiLineString(lines)) if len(lines) > 1 else cut
    pieces = [
        tuple(view((float(x), float(y))) for x, y in piece.coords)
        for piece in (getattr(joined, "geoms", [joined]) if lines else [])
    ]
    return [
        piece for piece in pieces
        if sum(math.dist(a, b) for a, b in pairwise(piece)) >= SHORTEST
    ]  # fmt: skip


__all__ = ["plan_contours", "yards"]
