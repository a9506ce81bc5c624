"""The plan: the lot to scale, with what is there, what is to be built, and how to set it out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypedDict

from drainwright.design import Design
from drainwright.paper.fitting_marks import fitting_marks
from drainwright.paper.frame import Draft, Paper, Scale, View, papers, plan_scale, words
from drainwright.paper.joined_marks import joined_marks, near_joint
from drainwright.paper.label import Frame, Label, Obstacle, Placement, place_labels
from drainwright.paper.looks import DUTY_LOOKS, UTILITY, utility_layer
from drainwright.paper.measure import Quad, rectangle, text_box
from drainwright.paper.panelled import Panelled
from drainwright.paper.plan_ground import plan_contours, yards
from drainwright.paper.plan_key import keyed
from drainwright.paper.plan_marks import (
    SECOND,
    Drawn,
    buried_lines,
    crossing_marks,
    digging,
    ground_and_house,
    node_marks,
    picture_below,
    run_lines,
    stock_pile,
    survey_marks,
)
from drainwright.paper.plan_panel import panel_blocks
from drainwright.paper.protected_marks import protected_marks
from drainwright.paper.shaping_marks import shaping_marks
from drainwright.paper.sheet import Circle, Mark, Point, Polygon, Polyline, TextMark
from drainwright.paper.soak_marks import ways_out_marks
from drainwright.paper.symbols import box, north_arrow, scale_bar
from drainwright.paper.tape_marks import tape_marks
from drainwright.paper.tree_marks import dug_trees, tree_marks
from drainwright.paper.wording import Wording

PANEL = {"letter": 86.0, "A4": 92.0, "tabloid": 116.0, "A3": 116.0}  # width of the panel [mm]
ROOM_FOR_LABELS = 10.0  # round the works [mm]
FINE_ENOUGH = 75.0  # a small sheet will do where its scale is at least 1 to this
COARSE = 120.0  # a plan on one sheet that is drawn smaller than 1 to this is drawn in parts too
WEIGHTS = {  # cost of a label on a line, per millimetre covered
    **dict.fromkeys(DUTY_LOOKS, 3.0),
    **{utility_layer(kind): 1.2 for kind in UTILITY},
    "fence": 1.2, "spared": 0.8,
    "boundary": 1.2, "house": 1.5, "wall coated": 2.0, "trench": 0.5, "root zone": 0.3, "tree": 3.0, "yard": 0.15,
    "dimension": 2.0, "hand dig": 0.8, "hand dig hatch": 0.5, "stock pile": 0.6, "flow": 3.0, "survey": 1.0,
    "contour": 0.15, "contour index": 0.25, "trench line": 1.5, "shaped": 0.3, "shaped fall": 1.0,
}  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """The paper, scale and window of the plan."""

    paper: Paper
    scale: Scale
    view: View
    window: Frame  # on paper [mm]

    @property
    def panel_left(self) -> float:
        """Left edge of the panel. [mm]"""
        return self.window[2] + 5.0


def _extent(points: Sequence[Point]) -> Frame:
    return (
        min(x for x, _ in points), min(y for _, y in points), max(x for x, _ in points), max(y for _, y in points),
    )  # fmt: skip


def _must_show(design: Design) -> list[Point]:
    site, system = design.site, design.system
    points = [*site.outline, *(node.at for node in system.nodes.values())]
    points += [place for run in system.runs for place in run.route]
    points += [crossing.at for crossing in design.build.dig.crossings]
    points += [station.at for station in system.stations]
    points += [place for soak in system.soaks for ring in soak.outlines for place in ring]
    points += [place for line in site.joined for place in near_joint(line)]
    return points


def _dug(design: Design) -> list[Point]:
    """Trunks of the trees that lose roots."""
    dug = dug_trees(design)
    return [tree.at for tree in design.site.trees if tree.tree.name in dug]


def _may_show(design: Design) -> list[Point]:
    site = design.site
    points = [*site.boundary, *(tree.at for tree in site.trees), *(p for line in site.utilities for p in line.route)]
    points += [place for line in site.joined for place in line.route]
    points += [(p.east, p.north) for p in site.points.values() if math.isfinite(p.east) and math.isfinite(p.north)]
    return points


def _centre(low: float, high: float, wide_low: float, wide_high: float, room: float) -> float:
    """Middle of the window on one axis: all of the lot where it fits, else as much of it as the works leave."""
    if wide_high - wide_low <= room:
        return (wide_low + wide_high) / 2
    slack = max(0.0, (room - (high - low)) / 2)
    middle = (low + high) / 2
    return middle + max(-slack, min(slack, (wide_low + wide_high) / 2 - middle))


def extents(design: Design, *, trunks: bool = True) -> tuple[Frame, Frame]:
    """What a plan must show, with the trunks of trees whose roots are dug, and what it shows if there is room. [m]"""
    must = [*_must_show(design), *(_dug(design) if trunks else ())]
    return _extent(must), _extent([*must, *_may_show(design)])


def centred(must: Frame, may: Frame, room: tuple[float, float]) -> Point:
    """The middle of a window of that size that shows what it must, and as much as it can of the rest. [m]"""
    return (
        _centre(must[0], must[2], may[0], may[2], room[0]), _centre(must[1], must[3], may[1], may[3], room[1])
    )  # fmt: skip


def setting(design: Design) -> Setting:
    """Choose paper, scale and window: the small paper where the scale stays fine, else the large one."""
    must, may = extents(design)
    small, large = papers(design.job.units)
    for paper in (small, large):
        left, bottom, right, top = paper.inner
        window = (left, bottom, right - PANEL[paper.name] - 5.0, top)
        room = (window[2] - window[0] - 2 * ROOM_FOR_LABELS, window[3] - window[1] - 2 * ROOM_FOR_LABELS)
        scale = plan_scale(design.job.units, must[2] - must[0], must[3] - must[1], room)
        if scale.ratio <= FINE_ENOUGH:
            break
    metres = [(side + ROOM_FOR_LABELS) * scale.ratio / 1000 for side in room]
    origin = centred(must, may, (metres[0], metres[1]))
    middle = ((window[0] + window[2]) / 2, (window[1] + window[3]) / 2)
    view = View(across=scale, up=scale, origin=origin, at=middle)
    return Setting(paper=paper, scale=scale, view=view, window=window)


def obstacles(marks: Sequence[Mark]) -> list[Obstacle]:
    """Lines that labels should keep off."""
    found = []
    for mark in marks:
        weight = WEIGHTS.get(mark.layer, 0.0)
        if weight and isinstance(mark, Polyline) and len(mark.points) > 1:
            found.append(Obstacle(points=mark.points, weight=weight))
        elif weight and isinstance(mark, Polygon):
            found.append(Obstacle(points=(*mark.points, mark.points[0]), weight=weight))
    return found


def _text_boxes(marks: Sequence[Mark]) -> list[Quad]:
    return [text_box(mark) for mark in marks if isinstance(mark, TextMark)]


def _around(mark: Circle, grow: float = 0.2) -> Quad:
    reach = mark.radius + grow
    return rectangle(mark.centre, -reach, reach, -reach, reach)


def scale_of_plan(design: Design, scale: Scale, at: Point, room: float) -> list[Mark]:
    """A bar of feet or metres in at most that room. [mm]"""
    word = Wording(design.job.units)
    steps = (1, 2, 5, 10, 20, 40, 50, 100, 200, 500)
    step = max((n for n in steps if scale.on_paper(word.from_distance(n)) * 4 <= room), default=1)
    lengths = [scale.on_paper(word.from_distance(n * step)) for n in range(5)]
    texts = [f"{n * step}" for n in range(4)] + [f"{4 * step} {word.level_unit}"]
    return scale_bar(at, lengths, texts)


def _key(design: Design, setting: Setting) -> tuple[list[Mark], float]:
    """North arrow and scale bar at the head of the panel."""
    right, top = setting.paper.inner[2], setting.paper.inner[3]
    left = setting.panel_left
    north = design.job.property.north
    marks = north_arrow((left + 8.0, top - 10.0), 11.0, north)
    marks += [
        words("text", (left + 22.0, top - 3.4), setting.scale.words, 2.6, weight="semibold"),
        words("text soft", (left + 22.0, top - 17.0), "Trust the written figures, not a ruler.", 1.9),
    ]
    return marks + scale_of_plan(design, setting.scale, (left + 22.0, top - 12.5), right - left - 34.0), top - 21.0


def plan_sheet(design: Design) -> Panelled:
    """Draw the plan.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    Panelled
        The sheet ``plan``, its panel still to be drawn.
    """
    chosen = setting(design)
    drawn = plan_marks(design, chosen.view, chosen.window, for_crew=chosen.scale.ratio <= COARSE)
    left, bottom, right, top = chosen.window
    placement, numbers = named_or_numbered(drawn, chosen.window)
    key, start = _key(design, chosen)
    draft = Draft(
        name="plan", title="Plan", scale=chosen.scale.words, paper=chosen.paper,
        marks=(*drawn.marks, *placement.marks(), box("rule open", left, bottom, right, top), *key),
        description=_describe(design),
    )  # fmt: skip
    return Panelled(
        draft=draft, blocks=tuple(panel_blocks(design, placement.unplaced, numbers)),
        corner=(chosen.panel_left, start), width=chosen.paper.inner[2] - chosen.panel_left, bottom=bottom,
    )  # fmt: skip


def plan_marks(design: Design, view: View, window: Frame, *, for_crew: bool = True) -> Drawn:
    """All that a plan shows in a window on paper, and the labels it asks for; for the crew with contours and tapes."""
    drawn = Drawn()
    picture_below(design, view, window, drawn)
    yards(design, view, window, drawn)
    if for_crew:
        plan_contours(design, view, window, drawn)
    tree_marks(design, view, window, drawn)
    stock_pile(design, view, window, drawn)
    ground_and_house(design, view, window, drawn)
    protected_marks(design, view, window, drawn)
    shaping_marks(design, view, drawn)
    digging(design, view, drawn)
    ways_out_marks(design, view, drawn, SECOND)
    buried_lines(design, view, window, drawn)
    crossing_marks(design, view, drawn)
    joined_marks(design, view, window, drawn)
    run_lines(design, view, drawn)
    survey_marks(design, view, window, drawn)
    rows = tape_marks(design, view, window, drawn) if for_crew else {}
    node_marks(design, view, drawn, rows)
    fitting_marks(design, view, drawn)
    return drawn


def kept_marks(design: Design, view: View, window: Frame) -> Drawn:
    """What of a plan is still true when the works are done: for the house's own papers, each cleanout by its number."""
    drawn = Drawn()
    picture_below(design, view, window, drawn)
    yards(design, view, window, drawn)
    tree_marks(design, view, window, drawn)
    ground_and_house(design, view, window, drawn)
    ways_out_marks(design, view, drawn, SECOND)
    buried_lines(design, view, window, drawn)
    joined_marks(design, view, window, drawn)
    run_lines(design, view, drawn)
    node_marks(design, view, drawn, {})
    fitting_marks(design, view, drawn, numbered=True)
    return drawn


def named(drawn: Drawn, window: Frame, taken: Sequence[Quad] = ()) -> Placement:
    """Places for a plan's labels, off its texts and symbols and what else is taken."""
    return place_labels(_in_order(drawn.labels), **_board(drawn, window, taken))


def named_or_numbered(
    drawn: Drawn, window: Frame, taken: Sequence[Quad] = ()
) -> tuple[Placement, tuple[tuple[str, str], ...]]:
    """The same, and numbers for the labels that had to be given up, with what they stand for."""
    board = _board(drawn, window, taken)
    return keyed(place_labels(_in_order(drawn.labels), **board), **board)


class _Board(TypedDict):
    frame: Frame
    blocked: list[Quad]
    lines: list[Obstacle]


def _board(drawn: Drawn, window: Frame, taken: Sequence[Quad]) -> _Board:
    left, bottom, right, top = window
    return {
        "frame": (left + 0.5, bottom + 0.5, right - 0.5, top - 0.5),
        "blocked": [*_text_boxes(drawn.marks), *(_around(mark) for mark in drawn.symbols), *taken],
        "lines": obstacles(drawn.marks),
    }


def _in_order(labels: Sequence[tuple[int, Label]]) -> list[Label]:
    return [label for _, label in sorted(labels, key=lambda item: item[0])]


def _describe(design: Design) -> str:
    runs = ", ".join(f"{run.name} ({run.duty})" for run in design.system.runs)
    return f"Plan of the lot with the house, buried lines and trees, and the works: {runs or 'no runs'}."


__all__ = [
    "COARSE",
    "centred",
    "extents",
    "kept_marks",
    "named",
    "named_or_numbered",
    "obstacles",
    "plan_marks",
    "plan_sheet",
    "scale_of_plan",
    "setting",
]
