"""The schemes of a job side by side: a small plan of each, their figures in one table, words for and against."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from drainwright.design import Design
from drainwright.job.works import Duty
from drainwright.paper.frame import Draft, Paper, Scale, View, heading, papers, words
from drainwright.paper.joined_marks import KIND
from drainwright.paper.label import Frame, place_labels
from drainwright.paper.looks import utility_layer
from drainwright.paper.measure import ASCENT, LEADING, READ, fit, rectangle, wrap
from drainwright.paper.plan import centred, extents, obstacles, scale_of_plan
from drainwright.paper.plan_marks import FIRST, Drawn, clip, digging, inside
from drainwright.paper.schemes_rows import Row, table_rows
from drainwright.paper.sheet import Circle, Mark, Polygon, Polyline, TextMark
from drainwright.paper.symbols import (
    arrow_head,
    basin_symbol,
    box,
    cleanout_symbol,
    discharge_symbol,
    downspout_symbol,
    flow_arrows,
    hatch,
    inlet_symbol,
    line,
    north_arrow,
    tree_symbol,
)
from drainwright.schemes import Scheme, SchemeSet

TEXT = READ  # size of what is read [mm]
SMALL = READ  # of names on the small plans [mm]
WIDEST = 130.0  # of the column of one scheme alone, with its plan [mm]
NAMES = 31.0  # width of the table's first column [mm]
GUTTER = 3.0  # between columns [mm]
PITCH = 3.75  # between rows of the table [mm]
TALL = (90.0, 75.0, 62.0, 52.0, 44.0)  # heights of the small plans, the first for which there is room [mm]
LOW = 40.0  # of a plan of a flat lot, at least [mm]
MOST_WORDS = 6  # reasons of one side that are printed
KEY_HIGH = 5.0  # of the legend's line [mm]


def schemes_drafts(found: SchemeSet) -> list[Draft]:
    """The comparison as one sheet; as two where it has more words than the large paper holds.

    Parameters
    ----------
    found : SchemeSet
        The schemes of a job.

    Returns
    -------
    list of Draft
        ``schemes``: on the small paper of the place, flat or upright, where it fits, else on the large one.
    """
    small, large = papers(found.job.units)
    upright = Paper(small.name, small.height, small.width)
    sheets = (upright, small, large) if len(found.schemes) == 1 else (small, upright, large)
    for paper, tall in [(paper, tall) for paper in sheets for tall in TALL]:
        marks, end = _page(found, paper, tall)
        if end >= paper.inner[1]:
            break
    return [
        Draft(
            name="schemes", title="Schemes compared", scale="plans fitted, not to a scale", paper=paper,
            marks=tuple(marks), description=_describe(found),
        )
    ]  # fmt: skip


def _describe(found: SchemeSet) -> str:
    names = ", ".join(scheme.title for scheme in found.schemes) or "none"
    return f"Schemes side by side: {names}. Each with a small plan, its figures, and what speaks for and against it."


def _page(found: SchemeSet, paper: Paper, tall: float) -> tuple[list[Mark], float]:
    left, _, right, top = paper.inner
    count = max(len(found.schemes), 1)
    wide = (right - left - NAMES - GUTTER * count) / count
    wide = min(wide, WIDEST) if count == 1 else wide
    columns = [left + NAMES + GUTTER + number * (wide + GUTTER) for number in range(count)]
    marks: list[Mark] = []
    y = _head(marks, found, left, top, right)
    if found.schemes:
        y = _titles(marks, found.schemes, columns, wide, y)
        y = _plans(marks, found, left, columns, wide, y, tall)
        rows = table_rows(found)
        y = _table(marks, rows, left, columns, wide, y, columns[-1] + wide)
        y = _reasons(marks, found.schemes, left, columns, wide, y)
    return marks, _missing(marks, found, left, y, right)


# -- parts of the page, each from a height down to where it ends --------------------------------


def _text(marks: list[Mark], at: tuple[float, float], text: str, width: float, *, size: float = TEXT,
          layer: str = "text", strong: bool = False) -> float:  # fmt: skip
    """Wrapped text from its upper left corner; gives the height where it ends."""
    weight = "semibold" if strong else "regular"
    y = at[1] - ASCENT * size
    for row in wrap(text, width, size, weight):  # type: ignore[arg-type]
        marks.append(words(layer, (at[0], y), row, size, weight=weight))  # type: ignore[arg-type]
        y -= LEADING * size
    return y + ASCENT * size - 0.4


def _head(marks: list[Mark], found: SchemeSet, left: float, top: float, right: float) -> float:
    many = len(found.schemes)
    count = ("No", "One", "Two", "Three", "Four", "Five")[many]
    title = f"{count} way{'' if many == 1 else 's'} to drain this lot"
    if many and not any(scheme.works for scheme in found.schemes):
        title = "No way to drain this lot works yet"
    marks.append(words("text", (left, top - 4.0), title, 4.4, weight="semibold"))
    y = _text(marks, (left, top - 6.2), found.verdict, right - left)
    if found.common:
        y = _text(marks, (left, y), f"True of all: {' '.join(found.common)}", right - left)
    soft = "From the same measurements, rain and price book. The ways are proposals: walk them on the lot first."
    soft = f"{found.how} {soft}".lstrip()
    return _text(marks, (left, y), soft, right - left, layer="text soft") - 1.2


def _titles(marks: list[Mark], made: Sequence[Scheme], columns: Sequence[float], wide: float, top: float) -> float:
    ends = []
    for scheme, x in zip(made, columns, strict=True):
        y = _text(marks, (x, top), scheme.headline, wide, size=3.1, strong=True)
        ends.append(_text(marks, (x, y), scheme.summary, wide, size=SMALL, layer="text soft"))
        if not scheme.works:
            fault = f"{scheme.fault[:1].upper()}{scheme.fault[1:]}."
            ends[-1] = _text(marks, (x, ends[-1]), fault, wide, layer="text warning")
    return min(ends) - 0.6


def _plans(marks: list[Mark], found: SchemeSet, left: float, columns: Sequence[float], wide: float, top: float,
           tall: float) -> float:  # fmt: skip
    """The small plans, all at one scale, and a legend in the first column."""
    designs = [scheme.design for scheme in found.schemes]
    musts, mays = zip(*(extents(design) for design in designs), strict=True)
    must, may = _union(musts), _union(mays)
    room = 5.0  # for labels round the works [mm]
    span = (must[2] - must[0], must[3] - must[1])
    high = max(LOW, min(tall, (wide - 2 * room) * span[1] / max(span[0], 1e-6) + 2 * room))
    ratio = max(1000.0 * span[0] / (wide - 2 * room), 1000.0 * span[1] / (high - 2 * room), 10.0)
    scale = Scale(ratio, "fitted")
    origin = centred(must, may, ((wide - room) * ratio / 1000, (high - room) * ratio / 1000))
    bottom = top - high
    for design, x in zip(designs, columns, strict=True):
        window: Frame = (x, bottom, x + wide, top)
        view = View(across=scale, up=scale, origin=origin, at=(x + wide / 2, top - high / 2))
        marks += small_plan(design, view, window)
    marks += north_arrow((left + 6.0, top - 6.5), 9.0, found.job.property.north)
    marks += scale_of_plan(designs[0], scale, (left + 1.0, top - 17.0), NAMES - 10.0)
    _legend(marks, designs, left, top - 21.0, bottom)
    return bottom - 2.0


def _union(frames: Sequence[Frame]) -> Frame:
    return (
        min(one[0] for one in frames), min(one[1] for one in frames), max(one[2] for one in frames),
        max(one[3] for one in frames),
    )  # fmt: skip


def _legend(marks: list[Mark], designs: Sequence[Design], left: float, top: float, bottom: float) -> None:
    duties: dict[Duty, None] = dict.fromkeys(run.duty for design in designs for run in design.system.runs)
    y = top
    for duty in duties:
        marks += [line(duty, (left, y), (left + 8.0, y)), arrow_head((left + 5.4, y), 0.0, 2.2)]
        marks.append(words("text", (left + 9.2, y - 0.7), duty, SMALL))
        y -= 3.5
    if any(item.hand_dig > 0 for design in designs for item in design.build.dig.crossings) and y > bottom + 2.0:
        ring = ((left, y - 0.8), (left + 8.0, y - 0.8), (left + 8.0, y + 0.8), (left, y + 0.8))
        marks += [Polygon(layer="hand dig", points=ring), *hatch("hand dig hatch", ring, 1.3, -math.pi / 4)]
        marks.append(words("text", (left + 9.2, y - 0.7), "dig by hand", SMALL))


def _table(marks: list[Mark], rows: Sequence[Row], left: float, columns: Sequence[float], wide: float, top: float,
           right: float) -> float:  # fmt: skip
    y = top
    for row in rows:
        cells = [wrap(cell, wide - 1.0, TEXT, "regular") for cell in row.cells]
        names = wrap(row.name, NAMES, TEXT)
        high = (max(len(names), *(len(cell) for cell in cells)) - 1) * LEADING * TEXT + PITCH
        base = y - 0.7 * PITCH
        for number, text in enumerate(names):
            marks.append(words("text soft", (left, base - number * LEADING * TEXT), text, TEXT))
        for x, cell, best, bad in zip(columns, cells, row.best, row.bad, strict=True):
            layer = "text warning" if bad else "text"
            for number, text in enumerate(cell):
                at = (x, base - number * LEADING * TEXT)
                fitted = fit(text, wide, TEXT, "semibold" if best else "regular")
                marks.append(words(layer, at, fitted, TEXT, weight="semibold" if best else "regular"))
        y -= high
        marks.append(line("rule faint", (left, y), (right, y)))
    return y - 2.0


def _reasons(marks: list[Mark], made: Sequence[Scheme], left: float, columns: Sequence[float], wide: float,
             top: float) -> float:  # fmt: skip
    y = top
    for name, side in (
        ("What would help", "helps"), ("Why take it", "pros"), ("What speaks against it", "cons"),
        ("Find out first", "asks"),
    ):  # fmt: skip
        texts = [getattr(scheme, side) for scheme in made]
        if not any(texts):
            continue
        _text(marks, (left, y), name, NAMES, strong=True)
        ends = [y]
        for x, items in zip(columns, texts, strict=True):
            end = y
            for item in items[:MOST_WORDS]:
                marks.append(words("text", (x, end - ASCENT * TEXT), "•", TEXT))
                end = _text(marks, (x + 2.4, end), item, wide - 2.4) - 0.2
            if len(items) > MOST_WORDS:
                end = _text(marks, (x + 2.4, end), f"and {len(items) - MOST_WORDS} more", wide - 2.4, layer="text soft")
            ends.append(end)
        y = min(ends) - 1.4
    return y


def _missing(marks: list[Mark], found: SchemeSet, left: float, top: float, right: float) -> float:
    y = top
    if found.missing:
        drawn, y = heading(left, y, right - left, "Not offered, and why")
        marks += drawn
        for item in found.missing:
            y = _text(marks, (left, y), f"{item.title}: {item.why}.", right - left)
    for note in found.notes:
        y = _text(marks, (left, y), note, right - left, layer="text soft")
    return y


# -- the small plan -----------------------------------------------------------------------------


def small_plan(design: Design, view: View, window: Frame) -> list[Mark]:
    """The house, what lies in the ground, and the works, in a window on paper, with the names of places and runs."""
    drawn = Drawn()
    _lot(design, view, window, drawn)
    digging(design, view, drawn)
    for item in design.site.utilities:
        for piece in clip([view(place) for place in item.route], window):
            drawn.marks.append(Polyline(layer=utility_layer(item.utility.kind), points=piece))
    for there in design.site.joined:
        for piece in clip([view(place) for place in there.route], window):
            drawn.marks.append(Polyline(layer=utility_layer(KIND), points=piece))
    for run in design.system.runs:
        path = tuple(view(place) for place in run.route)
        if len(path) > 1:
            drawn.marks.append(Polyline(layer=run.duty, points=path))
            drawn.marks += flow_arrows(path, 30.0, 2.0)
    _places(design, view, drawn)
    left, bottom, right, top = window
    placement = place_labels(
        [label for _, label in sorted(drawn.labels, key=lambda item: item[0])],
        frame=(left + 0.4, bottom + 0.4, right - 0.4, top - 0.4),
        blocked=[
            rectangle(mark.centre, -mark.radius - 0.2, mark.radius + 0.2, -mark.radius - 0.2, mark.radius + 0.2)
            for mark in drawn.symbols
        ],
        lines=obstacles(drawn.marks),
    )
    return [*drawn.marks, *placement.marks(), box("rule open", *window)]


def _lot(design: Design, view: View, window: Frame, drawn: Drawn) -> None:
    site = design.site
    for tree in site.trees:
        centre, radius = view(tree.at), view.across.on_paper(tree.root_radius)
        turns = [turn * math.pi / 24 for turn in range(49)]
        ring = [(centre[0] + radius * math.cos(turn), centre[1] + radius * math.sin(turn)) for turn in turns]
        drawn.marks += [Polyline(layer="root zone", points=piece) for piece in clip(ring, window)]
        if inside(centre, window, 1.0):
            drawn.marks += tree_symbol(centre, 0.9)
    if len(site.boundary) >= 2:
        corners = [view(corner) for corner in (*site.boundary, site.boundary[0])]
        drawn.marks += [Polyline(layer="boundary", points=piece) for piece in clip(corners, window)]
    outline = tuple(view(corner) for corner in site.outline)
    drawn.marks.append(Polygon(layer="house", points=outline))
    drawn.marks += hatch("house hatch", outline, 2.6)
    drawn.marks += [
        line("wall coated", view(wall.start), view(wall.end)) for wall in site.walls if wall.wall.open_and_coat
    ]


def _places(design: Design, view: View, drawn: Drawn) -> None:
    reached = {run.lower for run in design.system.runs}
    for node in design.system.nodes.values():
        at = view(node.at)
        text = node.name
        if node.kind == "inlet":
            radius, marks = 1.1, inlet_symbol(at, 1.1)
        elif node.kind == "basin":
            radius, marks = 1.7, basin_symbol(at, 1.7)
        elif node.kind == "downspout":
            radius, marks = 1.0, _scaled(downspout_symbol(at), at, 0.75)
        elif node.kind == "discharge":
            radius, marks = 1.5, _scaled(discharge_symbol(at), at, 0.85)
            kind = next((point.kind for point in design.job.works.discharge if point.name == node.name), "")
            text = f"{node.name}, {kind}" if kind else node.name
            if node.name not in reached:
                text = f"{node.name}, not used"
        else:
            drawn.symbol(at, 0.7, _scaled(cleanout_symbol(at), at, 0.62))  # so small a plan has no room for their names
            continue
        drawn.symbol(at, radius, marks)
        drawn.label(FIRST, text, at=at, clear=radius, size=SMALL, strong=True, droppable=False)


def _scaled(marks: Sequence[Mark], about: tuple[float, float], share: float) -> list[Mark]:
    """A symbol in another size."""

    def moved(at: tuple[float, float]) -> tuple[float, float]:
        return (about[0] + share * (at[0] - about[0]), about[1] + share * (at[1] - about[1]))

    found: list[Mark] = []
    for mark in marks:
        if isinstance(mark, Circle):
            found.append(replace(mark, centre=moved(mark.centre), radius=share * mark.radius))
        elif isinstance(mark, Polygon | Polyline):
            found.append(replace(mark, points=tuple(moved(at) for at in mark.points)))
        elif isinstance(mark, TextMark):
            found.append(replace(mark, at=moved(mark.at), size=share * mark.size))
        else:
            found.append(mark)
    return found


__all__ = ["schemes_drafts", "small_plan"]
