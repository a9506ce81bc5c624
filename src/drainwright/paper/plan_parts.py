"""A large plan in parts: letter or A4 sheets at a scale that can be read in the trench, with match lines and a key map.

The lot is cut by straight match lines that keep clear of inlets, junctions and other places, so that each of them
stands on one sheet alone. What crosses a match line says on which sheet it goes on.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace

from drainwright.design import Design
from drainwright.paper.frame import (
    Block,
    Draft,
    Paper,
    Scale,
    View,
    further_tables,
    heading,
    papers,
    plan_scale,
    stack,
    words,
)
from drainwright.paper.frame import paragraph as wrapped
from drainwright.paper.label import Frame, Label
from drainwright.paper.measure import READ, Quad, rectangle, text_box
from drainwright.paper.plan import (
    COARSE,
    extents,
    named_or_numbered,
    plan_marks,
    scale_of_plan,
    setting,
)
from drainwright.paper.plan_key import key_blocks
from drainwright.paper.plan_marks import Drawn, clip, clip_area, inside, longest, middle
from drainwright.paper.sheet import Arc, Circle, Mark, Picture, Point, Polygon, Polyline, TextMark
from drainwright.paper.symbols import box, line, north_arrow

PANEL = 40.0  # width of the panel with the key map [mm]
ROOM = 9.0  # for labels beyond the works [mm]
EDGE = 5.0  # for the words beyond a match line [mm]
CLEAR = 7.0  # wanted between a match line and a place [mm]
GROW = 0.7  # share of the room left over that shows more of the lot; the rest lets match lines move
STROKE = 0.4  # that no word touches beside a match line [mm]
TRIES = 60  # positions that are tried for a match line


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Where the match lines run."""

    scale: Scale
    paper: Paper
    easts: tuple[float, ...]  # edges from west to east, the outer ones included [m]
    norths: tuple[float, ...]  # edges from north to south [m]

    @property
    def count(self) -> int:
        """Number of sheets."""
        return (len(self.easts) - 1) * (len(self.norths) - 1)

    def number_at(self, column: int, row: int) -> int | None:
        """The sheet in a column from the west and a row from the north; None beyond the grid."""
        if 0 <= column < len(self.easts) - 1 and 0 <= row < len(self.norths) - 1:
            return row * (len(self.easts) - 1) + column + 1
        return None

    def place(self, number: int) -> tuple[int, int]:
        """Column and row of a sheet."""
        row, column = divmod(number - 1, len(self.easts) - 1)
        return column, row

    def sheet_of(self, at: Point) -> int | None:
        """The sheet on which a place lies. [m]"""
        south = tuple(-north for north in self.norths)
        return self.number_at(bisect_right(self.easts, at[0]) - 1, bisect_right(south, -at[1]) - 1)

    def ground(self, number: int) -> Frame:
        """The ground that a sheet shows. [m]"""
        column, row = self.place(number)
        return (self.easts[column], self.norths[row + 1], self.easts[column + 1], self.norths[row])


def _window_room(paper: Paper) -> tuple[float, float]:
    left, bottom, right, top = paper.inner
    return right - PANEL - 4.0 - left, top - bottom


def grid_of(design: Design) -> Grid | None:
    """The cuts of a plan that is too large for one sheet; None where one sheet shows it well enough."""
    if setting(design).scale.ratio <= COARSE:
        return None
    units = design.job.units
    paper = papers(units)[0]
    room = _window_room(paper)
    scale = plan_scale(units, COARSE / 1000.0, COARSE / 1000.0, (1.0, 1.0))
    must, may = extents(design, trunks=False)  # a part points to a trunk beyond its edge
    margin = ROOM * scale.ratio / 1000
    places = [node.at for node in design.system.nodes.values()]
    edges = []
    for axis in (0, 1):
        low, high = must[axis] - margin, must[axis + 2] + margin
        most = (room[axis] - 2 * EDGE) * scale.ratio / 1000
        spare = GROW * (math.ceil((high - low) / most - 1e-9) * most - (high - low))
        low, high = min(low, max(low - spare / 2, may[axis])), max(high, min(high + spare / 2, may[axis + 2]))
        edges.append(_edges(low, high, most, [place[axis] for place in places], CLEAR * scale.ratio / 1000))
    return Grid(scale=scale, paper=paper, easts=edges[0], norths=tuple(reversed(edges[1])))


def _edges(low: float, high: float, most: float, places: Sequence[float], clear: float) -> tuple[float, ...]:
    """Equal parts of at most ``most``, each cut moved to where it keeps clear of the places."""
    count = max(1, math.ceil((high - low) / most - 1e-9))
    slack = (most - (high - low) / count) / 2  # each cut may move so far and no part grows too large
    cuts = []
    for number in range(1, count):
        even = low + number * (high - low) / count
        tries = [even + slack * step / TRIES for step in sorted(range(-TRIES, TRIES + 1), key=abs)]
        cuts.append(max(tries, key=lambda at: min([clear, *(abs(at - place) for place in places)])))
    return (low, *cuts, high)


def part_drafts(design: Design) -> list[Draft]:
    """The sheets of a plan in parts: ``plan-part-1`` and so on; none where the plan is not that large.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    list of Draft
        West to east, then north to south, and a sheet of tables behind a part whose names found no room.
    """
    grid = grid_of(design)
    if grid is None:
        return []
    return [draft for number in range(1, grid.count + 1) for draft in _part(design, grid, number)]


def window_of(grid: Grid, number: int) -> tuple[Frame, View]:
    """The window of a part on its paper [mm], and how the ground lies in it."""
    ground = grid.ground(number)
    left, bottom, _, _ = grid.paper.inner
    room = _window_room(grid.paper)
    width, height = (grid.scale.on_paper(ground[axis + 2] - ground[axis]) for axis in (0, 1))
    corner = (left + (room[0] - width) / 2, bottom + (room[1] - height) / 2)
    window = (corner[0], corner[1], corner[0] + width, corner[1] + height)
    return window, View(across=grid.scale, up=grid.scale, origin=(ground[0], ground[1]), at=corner)


def _part(design: Design, grid: Grid, number: int) -> list[Draft]:
    window, view = window_of(grid, number)
    left, bottom, right, top = grid.paper.inner
    room = _window_room(grid.paper)
    outer = (left, bottom, left + room[0], bottom + room[1])
    whole = plan_marks(design, view, window)
    drawn = cut_to(whole, window)
    _onward(design, grid, number, view, window, drawn)
    edges, taken = _match_lines(grid, number, window)
    bars = [_bar(mark) for mark in edges if mark.layer == "match line"]  # a word across one is struck through
    placement, numbers = named_or_numbered(drawn, outer, [*map(text_box, taken), *bars])
    panel_left = right - PANEL
    key, start = _key(design, grid, number, panel_left, top)
    told = [*_told(placement.unplaced), *key_blocks(numbers, 1.9)]
    panel, rest = stack(told, panel_left, start, PANEL, bottom)
    title = f"Plan, part {number} of {grid.count}"
    marks = (*drawn.marks, *edges, *taken, *placement.marks(), *key, *panel)
    draft = Draft(
        name=f"plan-part-{number}", title=title, scale=grid.scale.words, paper=grid.paper, marks=marks,
        description=f"{title}: the lot at a larger scale, between match lines.",
    )  # fmt: skip
    return [draft, *further_tables(rest, design.job.units, draft.name, title)]


def _told(unplaced: Sequence[Label]) -> list[Block]:
    """What found no room on the sheet."""
    blocks: list[Block] = [
        wrapped("Trust the written figures, not a ruler. Tables and cautions: the whole plan's sheet.", 1.9)
    ]
    return [*blocks, *(wrapped(f"No room for: {' '.join(label.lines)}.", 1.9) for label in unplaced)]


def _key(design: Design, grid: Grid, number: int, left: float, top: float) -> tuple[list[Mark], float]:
    """Key map, north arrow and scale bar of a part."""
    marks, y = heading(left, top, PANEL, "Key map")
    east, north = (grid.easts[0], grid.easts[-1]), (grid.norths[-1], grid.norths[0])
    share = min((PANEL - 2.0) / (east[1] - east[0]), 62.0 / (north[1] - north[0]))

    def place(at: Point) -> Point:
        return (left + 1.0 + share * (at[0] - east[0]), y - 1.0 - share * (north[1] - at[1]))

    for other in sorted(range(1, grid.count + 1), key=lambda item: item == number):
        ground = grid.ground(other)
        low, high = place((ground[0], ground[1])), place((ground[2], ground[3]))
        marks.append(box("key here" if other == number else "rule open", *low, *high))
    frame = (*place((east[0], north[0])), *place((east[1], north[1])))
    house = [place(corner) for corner in design.site.outline]
    marks += [Polygon(layer="dimension open", points=ring) for ring in clip_area(house, frame)]
    for run in design.system.runs:
        if len(run.route) > 1:
            marks.append(Polyline(layer="water", points=tuple(place(at) for at in run.route)))
    for other in range(1, grid.count + 1):
        ground = grid.ground(other)
        at = place((ground[0], ground[3]))
        marks.append(words("text", (at[0] + 1.0, at[1] - 3.2), str(other), 3.0, weight="semibold"))
    y = place((east[0], north[0]))[1] - 4.0
    marks += north_arrow((left + 7.0, y - 9.0), 10.0, design.job.property.north)
    marks.append(words("text", (left + 15.0, y - 4.0), grid.scale.words, 2.2, weight="semibold"))
    marks += scale_of_plan(design, grid.scale, (left + 1.5, y - 21.5), PANEL - 5.0)
    return marks, y - 25.0


SIDES = ("west", "south", "east", "north")


def _beside(grid: Grid, number: int) -> dict[str, int | None]:
    column, row = grid.place(number)
    beside = ((column - 1, row), (column, row + 1), (column + 1, row), (column, row - 1))
    return {side: grid.number_at(*at) for side, at in zip(SIDES, beside, strict=True)}


def _match_lines(grid: Grid, number: int, window: Frame) -> tuple[list[Polyline], list[TextMark]]:
    """Match lines with the number of the sheet beyond, and the plain edges of the outer sides."""
    left, bottom, right, top = window
    ends: dict[str, tuple[Point, Point]] = {
        "west": ((left, bottom), (left, top)), "south": ((left, bottom), (right, bottom)),
        "east": ((right, bottom), (right, top)), "north": ((left, top), (right, top)),
    }  # fmt: skip
    marks: list[Polyline] = []
    texts: list[TextMark] = []
    for side, other in _beside(grid, number).items():
        start, end = ends[side]
        if other is None:
            marks.append(line("rule", start, end))
            continue
        marks.append(line("match line", start, end))
        at = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
        upright = side in ("west", "east")
        shift = {"west": (-1.2, 0.0), "east": (3.0, 0.0), "south": (0.0, -3.0), "north": (0.0, 1.2)}[side]
        texts.append(
            TextMark(
                layer="text", at=(at[0] + shift[0], at[1] + shift[1]), text=f"match line: see part {other}",
                size=READ, anchor="middle", rotation=math.pi / 2 if upright else 0.0, weight="semibold",
            )
        )  # fmt: skip
    return marks, texts


def _bar(edge: Polyline) -> Quad:
    """The strip that a match line takes."""
    (left, low), (right, high) = edge.points
    return rectangle((0.0, 0.0), left - STROKE, right + STROKE, low - STROKE, high + STROKE)


def _onward(design: Design, grid: Grid, number: int, view: View, window: Frame, drawn: Drawn) -> None:
    """Each run that crosses a match line says there on which sheet it goes on."""
    ground = grid.ground(number)
    for run in design.system.runs:
        if len(run.route) < 2:
            continue
        for piece in clip(run.route, ground):
            for end, inner in ((piece[0], piece[1]), (piece[-1], piece[-2])):
                if math.dist(end, run.route[0]) < 1e-6 or math.dist(end, run.route[-1]) < 1e-6:
                    continue
                reach = math.dist(end, inner)
                beyond = tuple(a + 1e-3 * (a - b) / max(reach, 1e-9) for a, b in zip(end, inner, strict=True))
                other = grid.sheet_of((beyond[0], beyond[1]))
                if other is not None and other != number:
                    drawn.label(0, f"{run.name}: see part {other}", at=view(end), size=2.1, strong=True, clear=0.5)


def cut_to(drawn: Drawn, window: Frame) -> Drawn:
    """Marks, symbols and labels of a plan that lie in a window, lines and areas cut at its edge."""
    cut = Drawn(symbols=[mark for mark in drawn.symbols if inside(mark.centre, window)])
    for mark in drawn.marks:
        cut.marks += _cut_mark(mark, window)
    for rank, label in drawn.labels:
        if label.path:
            pieces = clip(label.path, window)
            if pieces:
                path = longest(pieces)
                cut.labels.append((rank, replace(label, path=path, at=middle(path))))
        elif label.stretches:
            kept = tuple(pair for pair in label.stretches if inside(pair[0], window) and inside(pair[1], window))
            if kept:
                cut.labels.append((rank, replace(label, stretches=kept)))
        elif inside(label.at, window):
            cut.labels.append((rank, label))
    return cut


def _cut_mark(mark: Mark, window: Frame) -> list[Mark]:
    match mark:
        case Polyline():
            return [replace(mark, points=piece) for piece in clip(mark.points, window)]
        case Polygon():
            return [replace(mark, points=piece) for piece in clip_area(mark.points, window)]
        case Circle() | Arc():
            return [mark] if inside(mark.centre, window) else []
        case TextMark():
            return [mark] if all(inside(corner, window) for corner in text_box(mark)) else []
        case Picture():
            return [mark]


__all__ = ["COARSE", "Grid", "cut_to", "grid_of", "part_drafts", "window_of"]
