"""The ground of a job as a sheet: low spots, who drains where, the fall at each wall, and where shots are missing."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from drainwright.design import Design
from drainwright.field.terrain_model import Terrain
from drainwright.paper.frame import Draft, Scale, View, papers, words
from drainwright.paper.ground_marks import ground_scale, interval_words
from drainwright.paper.label import Frame, Obstacle, Placement, place_labels
from drainwright.paper.measure import READ, Quad, rectangle, text_box
from drainwright.paper.panelled import Panelled
from drainwright.paper.plan import scale_of_plan
from drainwright.paper.plan_marks import Drawn
from drainwright.paper.plan_page import ENDS, SIDES, PagePlan
from drainwright.paper.plan_panel import draw_legend
from drainwright.paper.sheet import Mark, Point, Polygon, Polyline, Sheet, TextMark
from drainwright.paper.symbols import box, north_arrow
from drainwright.paper.terrain_marks import terrain_marks
from drainwright.paper.terrain_panel import legend_items, terrain_blocks

PANEL = {"letter": 88.0, "A4": 94.0, "tabloid": 116.0, "A3": 116.0}  # width of the panel [mm]
KEY = 30.0  # height of the key below the drawing on a page [mm]
NARROW = 106.0  # the legend is at least as wide, in three columns [mm]
ROOM = 7.0  # for labels round the lot [mm]
FINE_ENOUGH = 200.0  # the small paper will do where its scale is at least 1 to this
WEIGHTS = {
    "boundary": 1.2, "house": 1.5, "contour index": 0.7, "contour": 0.3, "fall": 2.0, "low spot": 0.6,
    "low spot unsure": 0.6, "run-on": 3.0, "slope away": 1.5, "slope towards": 2.0,
}  # fmt: skip


def terrain_sheet(design: Design) -> Panelled | None:
    """The ground and where its water goes.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    Panelled or None
        The sheet ``ground``, its panel still to be drawn; None where the lie of the land is not known.
    """
    terrain = design.site.terrain
    if terrain is None:
        return None
    units = design.job.units
    low, high = _extent(design, terrain)
    wide, tall = (max(b - a, 1.0) for a, b in zip(low, high, strict=True))
    for paper in papers(units):
        left, bottom, right, top = paper.inner
        window: Frame = (left, bottom, right - PANEL[paper.name] - 5.0, top)
        room = (window[2] - window[0] - 2 * ROOM, window[3] - window[1] - 2 * ROOM)
        scale = ground_scale(units, wide, tall, room)
        if scale.ratio <= FINE_ENOUGH:
            break
    origin = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
    middle = ((window[0] + window[2]) / 2, (window[1] + window[3]) / 2)
    view = View(across=scale, up=scale, origin=origin, at=middle)
    drawn = terrain_marks(design, terrain, view, window)
    placement = _placed(drawn, window)
    start = window[2] + 5.0
    key = _key(design, scale, start, right, top)
    inlets = sum(area.kind == "inlet" for area in terrain.drained)
    draft = Draft(
        name="ground", title="Ground and surface water", scale=scale.words, paper=paper,
        marks=(*drawn.marks, *placement.marks(), box("rule open", *window), *key),
        description=f"Plan of the lot with contours every {interval_words(terrain.interval, units)}, "
        f"{len(terrain.low_spots)} low spots, the ground that drains to {inlets} inlets, and the next shots to take.",
    )  # fmt: skip
    return Panelled(
        draft=draft, blocks=tuple(terrain_blocks(design, terrain, placement.unplaced)), corner=(start, top - 20.0),
        width=right - start, bottom=bottom,
    )  # fmt: skip


def terrain_page(design: Design) -> PagePlan | None:
    """Lay the ground out for a page of the place's letter paper, its key below it, in letters that print readable.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    PagePlan or None
        Upright or flat, whichever shows the lot larger; None where the lie of the land is not known.
    """
    terrain = design.site.terrain
    if terrain is None:
        return None
    low, high = _extent(design, terrain)
    spans = [max(b - a, 1.0) for a, b in zip(low, high, strict=True)]
    paper = papers(design.job.units)[0]
    items = legend_items(terrain)
    below = max(KEY, 2.0 - draw_legend(items, 0.0, 0.0, NARROW, READ)[1])  # a long legend makes its own room
    choices = []
    for upright in (False, True):
        wide, tall = (paper.height, paper.width) if upright else (paper.width, paper.height)
        room = (wide - SIDES, tall - ENDS - below)
        ratio = max(1000.0 * span / (side - 2 * ROOM) for span, side in zip(spans, room, strict=True))
        choices.append((max(ratio, 10.0), upright, room))
    ratio, upright, room = min(choices)
    scale = Scale(ratio, "fitted to the page")
    window: Frame = (0.0, below, room[0], below + room[1])
    origin = ((low[0] + high[0]) / 2, (low[1] + high[1]) / 2)
    view = View(across=scale, up=scale, origin=origin, at=(room[0] / 2, below + room[1] / 2))
    drawn = terrain_marks(design, terrain, view, window)
    placement = _placed(drawn, window)
    key, _ = draw_legend(items, 70.0, below - 1.5, room[0] - 71.0, READ)
    key += [
        *north_arrow((8.0, below - 10.0), 10.0, design.job.property.north),
        *scale_of_plan(design, scale, (17.0, below - 11.0), 36.0),
    ]
    sheet = Sheet(
        name="ground-page", title="Ground and surface water", scale=scale.words, width=room[0], height=below + room[1],
        marks=(*drawn.marks, *placement.marks(), box("rule open", *window), *key),
        description="Plan of the lot with its contours, low spots, drained ground and the next shots to take.",
    )  # fmt: skip
    return PagePlan(sheet=sheet, upright=upright, unplaced=placement.unplaced)


def _extent(design: Design, terrain: Terrain) -> tuple[Point, Point]:
    """South-west and north-east corner of what is shown: the lot, the house, and the shots asked for. [m]"""
    site = design.site
    places = [*site.boundary, *site.outline, *(shot.at for shot in terrain.next_shots)]
    if not site.boundary:
        places += [at for contour in terrain.contours for path in contour.lines for at in path]
    east, north = zip(*places, strict=True)
    return (min(east), min(north)), (max(east), max(north))


def _placed(drawn: Drawn, window: Frame) -> Placement:
    lines = []
    for mark in drawn.marks:
        weight = WEIGHTS.get(mark.layer, 0.0)
        if weight and isinstance(mark, Polyline) and len(mark.points) > 1:
            lines.append(Obstacle(points=mark.points, weight=weight))
        elif weight and isinstance(mark, Polygon):
            lines.append(Obstacle(points=(*mark.points, mark.points[0]), weight=weight))
    around = [
        rectangle(mark.centre, -mark.radius - 0.2, mark.radius + 0.2, -mark.radius - 0.2, mark.radius + 0.2)
        for mark in drawn.symbols
    ]
    texts = [text_box(mark) for mark in drawn.marks if isinstance(mark, TextMark)]
    return place_labels(
        [label for _, label in sorted(drawn.labels, key=lambda item: item[0])],
        frame=(window[0] + 0.5, window[1] + 0.5, window[2] - 0.5, window[3] - 0.5),
        blocked=[*around, *_of_the_house(drawn.marks), *texts],
        lines=lines,
    )


def _of_the_house(marks: Sequence[Mark]) -> list[Quad]:
    """The house as triangles: no label of the ground lies on it."""
    import shapely

    outlines = [mark.points for mark in marks if isinstance(mark, Polygon) and mark.layer == "house"]
    found: list[Quad] = []
    piece: Any
    for outline in outlines:
        shape = shapely.Polygon(outline).buffer(0)
        for piece in shapely.constrained_delaunay_triangles(shape).geoms:
            a, b, c = ((float(x), float(y)) for x, y in list(piece.exterior.coords)[:3])
            found.append((a, b, c, c))
    return found


def _key(design: Design, scale: Scale, left: float, right: float, top: float) -> list[Mark]:
    """North arrow and scale bar at the head of the panel."""
    return [
        *north_arrow((left + 8.0, top - 10.0), 11.0, design.job.property.north),
        words("text", (left + 22.0, top - 3.4), scale.words, 2.6, weight="semibold"),
        *scale_of_plan(design, scale, (left + 22.0, top - 12.5), right - left - 34.0),
    ]


__all__ = ["terrain_page", "terrain_sheet"]
