"""The wall and its drain, cut through: coating, stone, fabric, pipe, and how wide and deep to dig."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from drainwright.design import Design
from drainwright.field.model import SiteWall
from drainwright.paper.frame import Draft, View, detail_scale, papers
from drainwright.paper.label import Label, Obstacle, place_labels
from drainwright.paper.lines_inside import LineInside, lines_inside
from drainwright.paper.looks import utility_layer
from drainwright.paper.measure import Quad, rectangle, text_box
from drainwright.paper.plan_marks import basis_words, floor_top
from drainwright.paper.sheet import Circle, Mark, Point, Polygon, Polyline, ScaledPart, TextMark
from drainwright.paper.symbols import concrete, dimension, earth, line, stone, water_mark
from drainwright.paper.wall_notes import Cut, wall_notes
from drainwright.paper.wording import Wording
from drainwright.system.trade import pipe_words

PANEL = 84.0  # [mm]
THICK = 0.2032  # drawn thickness of the wall; it is not measured [m]
COURSE = 0.2032  # height of a block and its joint [m]
BRICK = COURSE / 3.0  # of a brick and its joint: three courses are as high as one of block [m]
INSIDE = 0.55  # shown inside the wall [m]
ABOVE = 0.42  # wall shown above the ground [m]
KEEP_OFF = (  # layers that labels avoid
    "coating", "pipe", "concrete", "dimension", "fabric", "ground", "trench line", "water table",
)  # fmt: skip
WATER_AT = 0.1  # sign of the water table, in from the edge [m]
BESIDE = 0.9  # a drain this near a wall line lies beside it [m]


def _cut(design: Design, wall: SiteWall) -> Cut | None:
    """The section in the middle of a wall; None where there is neither drain nor coating."""
    import shapely

    middle = shapely.Point((wall.start[0] + wall.end[0]) / 2, (wall.start[1] + wall.end[1]) / 2)
    trenches = {trench.name: trench for trench in design.build.dig.trenches}
    run = next((r for r in design.system.runs if wall.name in r.walls and len(r.stations) > 1), None)
    opened = trenches.get(wall.name) if wall.wall.open_and_coat else None
    ground = design.site.surface.level(middle.x + 0.3 * wall.outward[0], middle.y + 0.3 * wall.outward[1])
    if run is None:
        if not wall.wall.open_and_coat:
            return None
        return Cut(wall=wall, run=None, trench=opened, out=0.0, ground=ground, invert=wall.footing_bottom, station=0.0)
    route = shapely.LineString(run.route)
    station = float(route.project(middle))
    s = [item.distance for item in run.stations]
    return Cut(
        wall=wall,
        run=run,
        trench=opened or trenches.get(run.name),
        out=min(float(route.distance(middle)), BESIDE),
        ground=float(np.interp(station, s, [item.ground for item in run.stations])),
        invert=float(np.interp(station, s, [item.invert for item in run.stations])),
        station=station,
    )


def wall_draft(design: Design) -> Draft | None:
    """Section through the deepest wall that is drained or coated, and a table of all of them.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    Draft or None
        None where no wall is drained or coated.
    """
    cuts = [cut for cut in (_cut(design, wall) for wall in design.site.walls) if cut is not None]
    if not cuts:
        return None
    beside = {item.wall.name: lines_inside(design, item.wall) for item in cuts}
    cut = max(
        cuts,
        key=lambda item: (
            any(line.utility.dangerous for line in beside[item.wall.name]), item.run is not None,
            item.wall.wall.open_and_coat, item.wall.depth,
        ),
    )  # fmt: skip
    inside = beside[cut.wall.name]
    units = design.job.units
    paper = papers(units)[0]
    left, bottom, right, top = paper.inner
    dig = cut.bottom
    low = min(cut.wall.footing_bottom, dig) - 0.28
    high = max(cut.ground + ABOVE, design.site.floor + 0.3)
    outside = max(cut.out + 0.75, (cut.trench.width if cut.trench else 0.6) + 0.45, *(one.out + 0.2 for one in inside))
    wide = INSIDE + THICK + outside
    room = (right - left - PANEL - 12.0, top - bottom - 16.0)
    scale = detail_scale(units, wide, high - low, room)
    x = left + 4.0 + (room[0] - scale.on_paper(wide)) / 2 + scale.on_paper(INSIDE + THICK)
    view = View(
        across=scale, up=scale, origin=(0.0, low), at=(x, (bottom + top - scale.on_paper(high - low)) / 2 + 5.0)
    )
    marks = _earth(design, cut, view, low, outside)
    marks += _house(design, cut, view, high)
    marks += _drain(cut, view)
    marks += _coating(cut, view)
    marks += [
        Circle(
            layer=f"dot {utility_layer(one.utility.kind)}",
            centre=view((one.out, one.centre)),
            radius=_radius(one, view),
        )
        for one in inside
    ]
    sizes = _sizes(design, cut, view, outside)
    placement = place_labels(
        [*_labels(design, cut, view, outside), *_line_labels(design, inside, view)],
        frame=(left + 0.5, bottom + 0.5, left + room[0] + 8.0, top),
        blocked=[*_boxes(marks), *_boxes(sizes), *_solids(marks), *_water_box(design, cut, view, outside)],
        lines=[
            Obstacle(points=(*mark.points, mark.points[0]) if isinstance(mark, Polygon) else mark.points, weight=1.0)
            for mark in [*marks, *sizes]
            if isinstance(mark, (Polyline, Polygon)) and mark.layer in KEEP_OFF
        ],
    )  # fmt: skip
    marks += [*sizes, *placement.marks(), *wall_notes(design, cuts, cut, right - PANEL, top, PANEL)]
    return Draft(
        name="wall", title=f"Wall section: {cut.wall.name} wall", scale=scale.words, paper=paper, marks=tuple(marks),
        scaled=(ScaledPart(title=f"Wall section: {cut.wall.name} wall", ratio=scale.ratio),),
        description=f"Section through the {cut.wall.name} wall with footing, coating, drain, stone and trench.",
    )  # fmt: skip


def _radius(one: LineInside, view: View) -> float:
    """Of a line's mark: its size, but not too small to see. [mm]"""
    return max(view.up.on_paper(one.utility.diameter / 2), 1.2)


def _line_labels(design: Design, inside: Sequence[LineInside], view: View) -> list[Label]:
    """What each buried line in the dig is, where it lies, and whether it is live."""
    word = Wording(design.job.units)
    return [
        Label(
            lines=one.words(word), at=view((one.out, one.centre)), size=2.3, strong=True,
            layer="text warning" if one.utility.dangerous else "text", clear=_radius(one, view) + 0.3,
        )
        for one in inside
    ]  # fmt: skip


def _boxes(marks: list[Mark]) -> list[Quad]:
    return [text_box(mark) for mark in marks if isinstance(mark, TextMark)]


def _solids(marks: list[Mark]) -> list[Quad]:
    """What no label may cover: masonry, stone, pipe, board."""
    solids: list[Quad] = []
    for mark in marks:
        if isinstance(mark, Circle) and (mark.layer == "pipe" or mark.layer.startswith("dot ")):
            reach = mark.radius
            solids.append(rectangle(mark.centre, -reach, reach, -reach, reach))
        elif isinstance(mark, Polygon) and mark.layer in ("concrete", "stone", "board") and len(mark.points) == 4:
            first, second, third, fourth = mark.points
            solids.append((first, second, third, fourth))
    return solids


def _block(view: View, layer: str, x0: float, y0: float, x1: float, y1: float) -> Polygon:
    a, b = view((x0, y0)), view((x1, y1))
    return Polygon(layer=layer, points=(a, (b[0], a[1]), b, (a[0], b[1])))


def _stone_sides(cut: Cut) -> tuple[float, float]:
    """From where to where the stone reaches, out from the wall's face. [m]"""
    run = cut.run
    width = max(run.stone_width, run.pipe.outside) if run is not None else 0.0
    inner = max(cut.out - width / 2, cut.wall.wall.footing_projection.value)
    return inner, inner + width


def _earth(design: Design, cut: Cut, view: View, low: float, outside: float) -> list[Mark]:
    site = design.site
    inner = site.floor - (design.job.house.floor_thickness if design.job.house.floor_kind != "crawl space" else 0.0)
    corners = (
        (-INSIDE - THICK, low), (outside, low), (outside, cut.ground), (0.0, cut.ground), (0.0, cut.wall.footing_top),
        (-THICK, cut.wall.footing_top), (-THICK, inner), (-INSIDE - THICK, inner),
    )  # fmt: skip
    marks: list[Mark] = [Polygon(layer="soil", points=tuple(view(place) for place in corners))]
    width = cut.trench.width if cut.trench is not None else _stone_sides(cut)[1]
    edge = width if cut.wall.wall.open_and_coat else cut.out + width / 2
    edge = max(edge, _stone_sides(cut)[1])
    marks.append(_block(view, "backfill", 0.0, cut.wall.footing_top, edge, cut.ground))
    near = cut.wall.wall.footing_projection.value
    if cut.bottom < cut.wall.footing_top:
        marks.append(_block(view, "backfill", near, cut.bottom, edge, cut.wall.footing_top))
    trench = [(near, cut.bottom), (edge, cut.bottom), (edge, cut.ground)]
    marks.append(Polyline(layer="trench line", points=tuple(view(place) for place in trench)))
    marks += earth((view((0.0, cut.ground)), view((outside, cut.ground))), 1.8, 6.5)
    level = site.water_table
    if level is not None and low < level < cut.ground:
        marks.append(line("water table", view((0.0, level)), view((outside, level))))
        marks += water_mark(view((outside - WATER_AT, level)), 2.2)
    return marks


def _water_box(design: Design, cut: Cut, view: View, outside: float) -> list[Quad]:
    """Round the water table's sign, which no label may cover."""
    level = design.site.water_table
    if level is None or level >= cut.ground:
        return []
    return [rectangle(view((outside - WATER_AT, level)), -2.0, 2.0, -1.8, 2.6)]


def _house(design: Design, cut: Cut, view: View, high: float) -> list[Mark]:
    house, wall = design.job.house, cut.wall
    project = wall.wall.footing_projection.value
    marks: list[Mark] = []
    ring = _block(view, "concrete", -THICK - project, wall.footing_bottom, project, wall.footing_top)
    marks += concrete(ring.points)
    if house.floor_kind != "crawl space":
        slab = _block(
            view,
            "concrete",
            -INSIDE - THICK,
            design.site.floor - house.floor_thickness,
            -THICK - 0.012,
            design.site.floor,
        )
        marks += concrete(slab.points)
    else:
        marks += earth((view((-INSIDE - THICK, design.site.floor)), view((-THICK, design.site.floor))), 1.6, 6.0)
    body = _block(view, "concrete", -THICK, wall.footing_top, 0.0, high)
    if wall.wall.material == "poured concrete":
        marks += concrete(body.points)
    else:
        marks.append(body)
        if wall.wall.material == "brick":
            for joint in range(1, math.ceil((high - wall.footing_top) / BRICK)):
                level = wall.footing_top + joint * BRICK
                marks.append(line("block joint", view((-THICK, level)), view((0.0, level))))
        if wall.wall.material == "block":
            level = wall.footing_top + COURSE
            while level < high:
                marks.append(line("block joint", view((-THICK, level)), view((0.0, level))))
                level += COURSE
            level = wall.footing_top
            while level < high:
                marks.append(
                    _block(view, "hollow", -THICK + 0.035, level + 0.02, -0.035, min(level + COURSE - 0.02, high))
                )
                level += COURSE
    a, b = view((-THICK - 0.05, high)), view((0.05, high))
    middle = (a[0] + b[0]) / 2
    marks.append(
        line(
            "axis",
            a,
            (middle - 1.2, a[1]),
            (middle - 0.4, a[1] + 1.4),
            (middle + 0.4, a[1] - 1.4),
            (middle + 1.2, a[1]),
            b,
        )
    )
    return marks


def _drain(cut: Cut, view: View) -> list[Mark]:
    run = cut.run
    if run is None:
        return []
    pipe = run.pipe
    centre = view((cut.out, cut.invert + pipe.inside / 2))
    marks: list[Mark] = []
    if run.stone_width > 0:
        x0, x1 = _stone_sides(cut)
        bottom, top = cut.bed, cut.invert + pipe.outside - pipe.wall + run.stone_over
        ring = _block(view, "stone", x0, bottom, x1, top)
        marks += stone(ring.points, 2.3)
        if cut.gap > 0:
            marks += stone(_block(view, "stone", x0, cut.bottom, x1, bottom).points, 2.3)
        if run.fabric:
            marks.append(Polyline(layer="fabric", points=(*ring.points, ring.points[0])))
    if pipe.envelope > 0:
        marks.append(Circle(layer="stone", centre=centre, radius=view.up.on_paper(pipe.envelope / 2)))
    marks.append(Circle(layer="pipe", centre=centre, radius=view.up.on_paper(pipe.outside / 2)))
    marks.append(Circle(layer="pipe void", centre=centre, radius=view.up.on_paper(pipe.inside / 2)))
    return marks


def _coating(cut: Cut, view: View) -> list[Mark]:
    wall = cut.wall.wall
    coating = wall.coating
    if not wall.open_and_coat or coating.kind == "none":
        return []
    top = cut.ground + coating.top_above_grade
    project = wall.footing_projection.value
    foot = cut.wall.footing_top
    marks: list[Mark] = [
        line("coating", view((0.0, top)), view((0.0, foot)), view((project, foot)), view((project, foot - 0.04)))
    ]
    if coating.board:
        marks.append(_block(view, "board", 0.008, foot + 0.01, 0.028, cut.ground - 0.03))
    return marks


def _sizes(design: Design, cut: Cut, view: View, outside: float) -> list[Mark]:
    word = Wording(design.job.units)
    dig = cut.bottom
    edge = view((outside, 0.0))[0]
    marks = dimension(
        (edge, view((0.0, dig))[1]),
        (edge, view((0.0, cut.ground))[1]),
        f"dig here {word.small(cut.ground - dig)}",
        -4.0,
    )
    width = cut.trench.width if cut.trench is not None else None
    y = view((0.0, min(dig, cut.wall.footing_bottom)))[1]
    if width is not None:
        start = 0.0 if cut.wall.wall.open_and_coat else cut.out - width / 2
        marks += dimension(
            (view((start, 0.0))[0], y), (view((start + width, 0.0))[0], y), f"trench {word.small(width)}", -13.0
        )
    if cut.run is not None:
        marks += dimension(
            (view((0.0, 0.0))[0], y), (view((cut.out, 0.0))[0], y), f"centre {word.small(cut.out)}", -6.5
        )
    return marks


def _labels(design: Design, cut: Cut, view: View, outside: float) -> list[Label]:
    word, wall, run = Wording(design.job.units), cut.wall.wall, cut.run
    found: list[Label] = []

    def add(at: Point, *texts: str, layer: str = "text", clear: float = 0.4) -> None:
        found.append(Label(lines=texts, at=view(at), size=2.3, strong=True, layer=layer, clear=clear))

    coating = wall.coating
    if wall.open_and_coat and coating.kind != "none":
        more = [f"{coating.coats} coats" if coating.coats != 1 else "1 coat"]
        more += ["parging first"] if coating.parge else []
        more += ["board over it"] if coating.board else []
        add(
            (0.0, (cut.ground + cut.wall.footing_top) / 2 + 0.12),
            coating.kind,
            ", ".join(more),
            f"from the footing to {word.small(coating.top_above_grade)} above grade",
        )
    basis = basis_words(wall.footing_bottom.basis)
    add(
        (-THICK, cut.wall.footing_bottom + 0.05),
        "footing",
        f"bottom {word.level(cut.wall.footing_bottom)}{basis}",
        f"{word.small(wall.footing_thickness.value)} thick{basis_words(wall.footing_thickness.basis)}",
    )
    if run is not None:
        add(
            (cut.out, cut.invert + run.pipe.inside / 2),
            f"{run.name}  {pipe_words(run.pipe, word.units)}",
            f"invert {word.level(cut.invert)} at station {word.length(cut.station)}",
            layer="text water",
            clear=view.up.on_paper(run.pipe.outside / 2),
        )
        if run.stone_width > 0:
            fabric = "clean stone in fabric" if run.fabric else "clean stone, no fabric"
            x1 = _stone_sides(cut)[1]
            add(
                (x1, cut.invert + run.pipe.outside + run.stone_over * 0.6),
                fabric,
                f"{word.small(run.stone_width)} wide, {word.small(run.stone_under)} under,",
                f"{word.small(run.stone_over)} over the pipe",
                *([f"the same stone {word.small(cut.gap)} below it"] if cut.gap > 0 else []),
                clear=0.9,
            )
    level = design.site.water_table
    if level is not None:
        fact = design.job.ground.water_table
        mark = basis_words(fact.basis) if fact is not None else ""
        add((outside - 0.16, level), "high water table", f"{word.level(level)}{mark}", layer="text water")
    add(
        (-THICK - INSIDE * 0.6, design.site.floor),
        floor_top(design),
        f"{word.level(design.site.floor)}{basis_words(design.site.floor_basis)}",
    )
    add((outside * 0.75, cut.ground), "ground", word.level(cut.ground))
    add(
        (-THICK / 2, cut.ground + ABOVE * 0.6),
        f"{wall.material} wall",
        f"drawn {word.small(THICK)} thick, not measured",
    )
    return found


__all__ = ["wall_draft"]
