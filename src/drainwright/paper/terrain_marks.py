"""What the sheet of a job's ground shows in its window, and the labels it asks for."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

from drainwright.design import Design
from drainwright.field.ground_grid import CARRIED
from drainwright.field.terrain_model import DrainedArea, LowSpot, RunOn, Terrain, WallSlope
from drainwright.paper.frame import View, words
from drainwright.paper.ground_marks import area_words, contour_labels, contour_marks, water_marks
from drainwright.paper.ground_tints import shape_of, tints_of
from drainwright.paper.label import Frame
from drainwright.paper.measure import text_width
from drainwright.paper.plan_marks import Drawn, clip, clip_area, floor_top, inside, longest, middle
from drainwright.paper.sheet import Circle, Mark, Point, Polygon, Polyline, Weight
from drainwright.paper.symbols import arrow, box, discharge_symbol, hatch, inlet_symbol, line
from drainwright.paper.wording import Wording

LEVEL = 0.003  # a fall of less over the whole reach reads as level [m]
RULINGS: Mapping[str, tuple[float, ...]] = {  # what rules a tint, from the right [rad]
    "drains 1": (), "drains 2": (0.0,), "drains 3": (math.pi / 2,), "drains 4": (0.0, math.pi / 2),
    "unknown": (math.pi / 4,),
}  # fmt: skip
RULING = 1.8  # between its lines [mm]
FALL = 4.2  # length of an arrow of the ground's fall [mm]
SLOPE = 7.0  # length of the arrow at a wall [mm]
ENTRY = 9.0  # between arrows of water coming in [mm]
SMOOTH = 0.8  # of a cell: the steps of areas told apart by cells are cut off by so much [-]
LEAST_NAMED = 0.04  # of the lot: smaller ground that runs off is not named in the drawing [-]
LETTERS = 2.4  # of the house's name [mm]
MOST_NAMED = 12  # low spots named in the drawing
FIRST, SECOND, THIRD, FOURTH, LAST = range(5)  # order in which labels are placed


def terrain_marks(design: Design, terrain: Terrain, view: View, window: Frame) -> Drawn:
    """The ground in a window on paper.

    Parameters
    ----------
    design : Design
        The designed job.
    terrain : Terrain
        Its lie of the land.
    view : View
        From the ground to the paper.
    window : tuple of float
        Left, bottom, right, top. [mm]

    Returns
    -------
    Drawn
        Marks from the lowest up, the labels with their ranks, and symbols that labels keep off.
    """
    drawn = Drawn()
    _areas(design, terrain, view, window, drawn)
    for number, spot in enumerate(terrain.low_spots, start=1):
        drawn.marks += _water(spot, view, window)
        if number <= MOST_NAMED:
            _name_spot(design, spot, number, view, drawn)
    _contours(design, terrain, view, window, drawn)
    _boundary(design, view, window, drawn)
    _house(design, view, drawn)
    _falls(terrain, view, window, drawn)
    for side in dict.fromkeys(entry.side for entry in terrain.run_on):
        _run_on(design, [entry for entry in terrain.run_on if entry.side == side], view, window, drawn)
    for slope in terrain.wall_slopes:
        _wall(design, slope, view, drawn)
    _inlets(design, terrain, view, window, drawn)
    _next_shots(terrain, view, drawn)
    return drawn


def _areas(design: Design, terrain: Terrain, view: View, window: Frame, drawn: Drawn) -> None:
    """The ground of each inlet tinted, and over it what no shot tells."""
    import shapely

    house = shapely.Polygon(design.site.outline).buffer(0)
    for area, layer in zip(terrain.drained, tints_of(terrain), strict=True):
        if layer:
            ground = shapely.difference(shape_of(area.rings), house).simplify(SMOOTH * terrain.cell)
            for mark in _filled(layer, ground, view, window):
                drawn.marks += tinted(layer, mark.points)
            for piece in getattr(ground, "geoms", [ground]):
                for ring in (piece.exterior, *piece.interiors):
                    path = [view((float(x), float(y))) for x, y in ring.coords]
                    drawn.marks += [Polyline(layer="drains edge", points=part) for part in clip(path, window)]
    if len(design.site.boundary) >= 3:
        known = shapely.convex_hull(shapely.MultiPoint(design.site.surface.plan))
        near = shapely.union(shapely.buffer(known, CARRIED, join_style="mitre"), house)
        bare = shapely.difference(shapely.Polygon(design.site.boundary).buffer(0), near)
        for mark in _filled("unknown", bare, view, window):
            drawn.marks += tinted("unknown", mark.points)
    for area in terrain.drained:
        if area.kind in ("boundary", "beyond the shots") and area.area > LEAST_NAMED * terrain.lot_area:
            _name_area(design, terrain, area, view, drawn)


def tinted(layer: str, ring: tuple[Point, ...]) -> list[Mark]:
    """Ground in its tint with its ruling: the tints alone are one grey in print."""
    rulings = [hatch("drains hatch", ring, RULING, angle) for angle in RULINGS[layer]]
    return [Polygon(layer=layer, points=ring), *(mark for ruling in rulings for mark in ruling)]


def _filled(layer: str, shape: Any, view: View, window: Frame) -> list[Polygon]:
    """An area as pieces without holes."""
    marks: list[Polygon] = []
    for piece in _without_holes(shape):
        outline = [view((float(x), float(y))) for x, y in list(piece.exterior.coords)[:-1]]
        marks += [Polygon(layer=layer, points=ring) for ring in clip_area(outline, window)]
    return marks


def _without_holes(shape: Any) -> list[Any]:
    """Cut an area through its holes, so that none is left."""
    import shapely

    found = []
    waiting = [piece for piece in getattr(shape, "geoms", [shape]) if piece.geom_type == "Polygon"]
    while waiting:
        piece = waiting.pop(0)
        if piece.is_empty or not piece.interiors:
            found += [] if piece.is_empty else [piece]
            continue
        left, bottom, right, top = piece.bounds
        west, _, east, _ = piece.interiors[0].bounds
        for low, high in ((left - 1.0, (west + east) / 2), ((west + east) / 2, right + 1.0)):
            half = piece.intersection(shapely.box(low, bottom - 1.0, high, top + 1.0))
            waiting += [part for part in getattr(half, "geoms", [half]) if part.geom_type == "Polygon"]
    return found


def _name_area(design: Design, terrain: Terrain, area: DrainedArea, view: View, drawn: Drawn) -> None:
    import shapely

    circle = shapely.maximum_inscribed_circle(shape_of(area.rings), tolerance=0.3)
    at = tuple(float(value) for value in circle.coords[0])
    known = area.kind == "boundary" or design.site.surface.supported(at[0], at[1])
    amount = area_words(area.area if known else terrain.bare, design.job.units)
    said = (
        f"runs off over the {area.to}" if area.kind == "boundary"
        else "leads beyond the shots" if known else "not measured"
    )  # fmt: skip
    drawn.label(FOURTH, said, amount, at=view((at[0], at[1])), layer="text soft", size=2.0, clear=0.0, droppable=True)


def _water(spot: LowSpot, view: View, window: Frame) -> list[Mark]:
    """Full water; one that is not sure is hatched and has no fill."""
    if spot.sure:
        return water_marks(spot, view)
    marks: list[Mark] = []
    for ring in spot.rings:
        for piece in clip_area([view(at) for at in ring], window):
            marks += [
                Polygon(layer="low spot unsure", points=piece),
                *hatch("low spot hatch", piece, 2.2, -math.pi / 4),
            ]
    return marks


def _name_spot(design: Design, spot: LowSpot, number: int, view: View, drawn: Drawn) -> None:
    word = Wording(design.job.units)
    drawn.label(
        SECOND, f"low {number}{'' if spot.sure else '  unsure'}",
        f"{word.small(spot.depth)} deep, {area_words(spot.area, design.job.units)}",
        at=view(spot.at), layer="text water", size=2.1, strong=True, clear=2.2 if spot.inlet else 0.6,
    )  # fmt: skip


def _contours(design: Design, terrain: Terrain, view: View, window: Frame, drawn: Drawn) -> None:
    lines = [
        (contour, piece)
        for contour in terrain.contours
        for path in contour.lines
        for piece in clip([view(at) for at in path], window)
    ]
    drawn.marks += contour_marks(lines)
    drawn.labels += [(LAST, label) for label in contour_labels(lines, terrain.interval, design.job.units)]


def _boundary(design: Design, view: View, window: Frame, drawn: Drawn) -> None:
    corners = design.site.boundary
    if len(corners) < 2:
        return
    pieces = clip([view(corner) for corner in (*corners, corners[0])], window)
    drawn.marks += [Polyline(layer="boundary", points=piece) for piece in pieces]
    if pieces:
        path = longest(pieces)
        drawn.label(LAST, "boundary", at=middle(path), path=path, layer="text soft", size=2.0, clear=0.3,
                    droppable=True)  # fmt: skip


def _house(design: Design, view: View, drawn: Drawn) -> None:
    import shapely

    outline = tuple(view(corner) for corner in design.site.outline)
    drawn.marks += [Polygon(layer="house", points=outline), *hatch("house hatch", outline, 3.4)]
    centre = shapely.maximum_inscribed_circle(shapely.Polygon(outline).buffer(0)).coords[0]
    level = Wording(design.job.units).level(design.site.floor)
    x, y = float(centre[0]), float(centre[1])
    rows: tuple[tuple[float, str, Weight], ...] = (
        (0.6, "House", "semibold"), (-2.6, f"{floor_top(design)} {level}", "regular"),
    )  # fmt: skip
    for rise, text, weight in rows:
        wide = text_width(text, LETTERS, weight) / 2 + 0.6
        drawn.marks += [
            box("mask", x - wide, y + rise - 0.9, x + wide, y + rise + 2.3),
            words("text", (x, y + rise), text, LETTERS, "middle", weight),
        ]


def _falls(terrain: Terrain, view: View, window: Frame, drawn: Drawn) -> None:
    for one in terrain.arrows:
        east, north = view(one.at)
        tip = (east + FALL * one.towards[0], north + FALL * one.towards[1])
        if inside((east, north), window, 1.0) and inside(tip, window, 1.0):
            drawn.marks += arrow("fall", (east, north), tip, "fall", 1.2)


def _run_on(design: Design, entries: Sequence[RunOn], view: View, window: Frame, drawn: Drawn) -> None:
    """Arrows over the stretches of one side, and at the longest of them how much ground is behind them all."""
    for entry in entries:
        _run_on_arrows(design, entry, view, window, drawn)
    longest = max(entries, key=lambda entry: entry.length)
    area = sum(entry.area for entry in entries)
    behind = (
        f"at least {area_words(area, design.job.units)} behind it" if area >= 1.0
        else "ground behind it not measured"
    )  # fmt: skip
    start, end = view(longest.start), view(longest.end)
    at = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    spills = all(entry.only_spills for entry in entries)
    said = "comes in only if it spills outside" if spills else "water comes in here"
    drawn.label(THIRD, said, behind, at=at, layer="text warning", size=2.0, strong=True, clear=3.2)


def _run_on_arrows(design: Design, entry: RunOn, view: View, window: Frame, drawn: Drawn) -> None:
    start, end = view(entry.start), view(entry.end)
    length = math.dist(start, end)
    if length < 1e-6:
        return
    along = ((end[0] - start[0]) / length, (end[1] - start[1]) / length)
    inward = (-along[1], along[0])
    lot = design.site.boundary
    if len(lot) >= 3 and not _within(lot, entry, inward):
        inward = (along[1], -along[0])
    count = max(1, round(length / ENTRY))
    for number in range(count):
        share = (number + 0.5) * length / count
        at = (start[0] + share * along[0], start[1] + share * along[1])
        tail = (at[0] - 3.0 * inward[0], at[1] - 3.0 * inward[1])
        tip = (at[0] + 3.0 * inward[0], at[1] + 3.0 * inward[1])
        if inside(tail, window, 0.5) and inside(tip, window, 0.5):
            drawn.marks += arrow("run-on", tail, tip, "run-on head", 2.2)


def _within(lot: Sequence[Point], entry: RunOn, inward: Point) -> bool:
    """Whether a step that way from the middle of the stretch ends on the lot."""
    import shapely

    at = ((entry.start[0] + entry.end[0]) / 2 + 0.3 * inward[0], (entry.start[1] + entry.end[1]) / 2 + 0.3 * inward[1])
    return bool(shapely.contains_xy(shapely.Polygon(lot).buffer(0), *at))


def worst_slope(slope: WallSlope) -> tuple[float, float, float] | None:
    """Station, run and fall at the place where the ground falls away least; None where nobody measured it. [m]"""
    known = [item for item in zip(slope.station, slope.run, slope.fall, strict=True) if item[1] > 0.0]
    return min(known, key=lambda item: item[2] / item[1]) if known else None


def slope_words(word: Wording, run: float, fall: float) -> str:
    """``falls 3 in in 10 ft``, ``towards the house: 1 1/4 in in 10 ft``, ``level for 10 ft``."""
    reach = word.length(run)
    if abs(fall) < LEVEL:
        return f"level for {reach}"
    size = word.small(abs(fall))
    return f"falls {size} in {reach}" if fall > 0 else f"falls {size} to the house in {reach}"


def _wall(design: Design, slope: WallSlope, view: View, drawn: Drawn) -> None:
    """An arrow the way the ground falls, at the worst place of the wall, with its figure."""
    wall = next((item for item in design.site.walls if item.name == slope.wall), None)
    worst = worst_slope(slope)
    if wall is None or worst is None or wall.length <= 0.0:
        return
    station, run, fall = worst
    share = min(1.0, station / wall.length)
    foot = view(
        (wall.start[0] + share * (wall.end[0] - wall.start[0]), wall.start[1] + share * (wall.end[1] - wall.start[1]))
    )
    near = (foot[0] + 0.8 * wall.outward[0], foot[1] + 0.8 * wall.outward[1])
    far = (foot[0] + SLOPE * wall.outward[0], foot[1] + SLOPE * wall.outward[1])
    wrong = fall <= -LEVEL
    layer = "slope towards" if wrong else "slope away"
    if abs(fall) < LEVEL:
        drawn.marks.append(line(layer, near, far))
    else:
        drawn.marks += (
            arrow(layer, far, near, f"{layer} head", 1.8) if wrong else arrow(layer, near, far, f"{layer} head", 1.8)
        )
    text = slope_words(Wording(design.job.units), run, fall)
    drawn.label(
        SECOND, text, at=((near[0] + far[0]) / 2, (near[1] + far[1]) / 2), layer="text warning" if wrong else "text",
        size=2.1, strong=True, clear=0.8,
    )  # fmt: skip


def _inlets(design: Design, terrain: Terrain, view: View, window: Frame, drawn: Drawn) -> None:
    areas = {area.to: area for area in terrain.drained if area.kind == "inlet"}
    for node in design.system.nodes.values():
        at = view(node.at)
        if not inside(at, window, 1.5):
            continue
        if node.kind == "inlet":
            drawn.symbol(at, 1.5, inlet_symbol(at, 1.3))
            area = areas.get(node.name)
            text = "no ground by the shots" if area is None else area_words(area.area, design.job.units)
            drawn.label(FIRST, f"{node.name} takes", text, at=at, size=2.2, strong=True, clear=1.6)
        elif node.kind == "discharge":
            drawn.symbol(at, 1.8, discharge_symbol(at))
            drawn.label(FOURTH, node.name, at=at, size=2.1, strong=True, clear=1.9)


def _next_shots(terrain: Terrain, view: View, drawn: Drawn) -> None:
    for number, shot in enumerate(terrain.next_shots, start=1):
        at = view(shot.at)
        marks: list[Mark] = [
            Circle(layer="next shot", centre=at, radius=1.3),
            line("next shot", (at[0] - 2.0, at[1]), (at[0] + 2.0, at[1])),
            line("next shot", (at[0], at[1] - 2.0), (at[0], at[1] + 2.0)),
        ]
        drawn.symbol(at, 2.0, marks)
        drawn.label(FIRST, f"{number}", at=at, layer="text next shot", size=2.6, strong=True, clear=1.4)


__all__ = ["slope_words", "terrain_marks", "tinted", "worst_slope"]
