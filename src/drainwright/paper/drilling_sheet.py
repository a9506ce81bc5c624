"""The basin's wall unrolled, with every hole at its true size and place, and the basin from above as a clock."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

from drainwright.build.model import Hole
from drainwright.design import Design
from drainwright.paper.frame import (
    Block,
    Column,
    Draft,
    Scale,
    View,
    detail_scale,
    further_tables,
    heading,
    papers,
    paragraph,
    stack,
    stacked,
    table,
    words,
)
from drainwright.paper.label import Label, Obstacle, place_labels
from drainwright.paper.measure import CAP, Quad, rectangle
from drainwright.paper.sheet import Circle, Mark, Point, Polygon, ScaledPart
from drainwright.paper.symbols import arrow, box, dimension, line
from drainwright.paper.wording import Wording
from drainwright.system.catalogue import find_pipe
from drainwright.system.lift.uplift import BASIN_WALL
from drainwright.system.model import LiftStation
from drainwright.system.trade import nominal_words

PANEL = 92.0  # width for the view from above and the tables [mm]
SIDE = 11.0  # width for the dimension of the height [mm]
STUB = 0.10  # of each pipe shown outside the wall, from above [m]
HOURS = 12
THROUGH = 30.0  # cost of a leader line through another run's hole: it would name the wrong one


@dataclass(frozen=True, slots=True, kw_only=True)
class Wall:
    """A basin's wall on the outside, unrolled: where it is cut open, and its size."""

    station: LiftStation
    start: float  # clock hours at the left edge; hours fall to the right, as seen from outside [h]

    @property
    def outside(self) -> float:
        """Outside diameter. [m]"""
        return self.station.inside_diameter + 2 * BASIN_WALL

    @property
    def round(self) -> float:
        """Once round it, on the outside. [m]"""
        return math.pi * self.outside

    def across(self, clock: float) -> float:
        """Where a clock direction lies, from the left edge. [m]"""
        return (self.start - clock) % HOURS / HOURS * self.round

    def from_twelve(self, clock: float) -> float:
        """Along the wall from the mark at 12, clockwise as seen from above. [m]"""
        return clock % HOURS / HOURS * self.round


def drilling_drafts(design: Design) -> list[Draft]:
    """The holes of each basin, to scale, the one at the house first.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    list of Draft
        ``holes``, then ``holes-2`` and so on; none where no basin has a hole.
    """
    drilled = [
        (station, [hole for hole in design.build.takeoff.holes if hole.node == station.name])
        for station in design.system.by_house
    ]
    return [
        draft
        for number, (station, holes) in enumerate(((one, cut) for one, cut in drilled if cut), start=1)
        for draft in _drafts(design, station, holes, "holes" if number == 1 else f"holes-{number}")
    ]


def _opened(holes: list[Hole]) -> float:
    """The whole hour in the middle of the widest stretch without a hole: the wall is cut open there. [h]"""
    clocks = sorted(hole.clock % HOURS for hole in holes)
    gaps = [
        ((after - before) % HOURS or HOURS, before)
        for before, after in zip(clocks, [*clocks[1:], clocks[0]], strict=True)
    ]
    gap, before = max(gaps)
    return float(round(before + gap / 2) % HOURS)


def _drafts(design: Design, station: LiftStation, holes: list[Hole], name: str) -> list[Draft]:
    units = design.job.units
    paper = papers(units)[0]
    left, bottom, right, top = paper.inner
    wall = Wall(station=station, start=_opened(holes))
    room = (right - left - PANEL - SIDE - 7.0, top - bottom - 34.0)
    scale = detail_scale(units, wall.round, station.depth, room)
    tall = scale.on_paper(station.depth)
    x0 = left + SIDE + (room[0] - scale.on_paper(wall.round)) / 2
    panel = right - PANEL
    above, y, wider = _from_above(design, wall, holes, panel, top)
    more, rest = stack(_tables(design, wall, holes), panel, y, PANEL, bottom)
    low = bottom + 14.0 + (room[1] - tall) / 2
    if rest:  # under the wall, which moves up
        under, left_over = stack(rest, left, top - 34.0 - tall, panel - left - 6.0, bottom)
        if under:
            low, more, rest = top - 20.0 - tall, [*more, *under], left_over
    view = View(across=scale, up=scale, origin=(0.0, 0.0), at=(x0, low))
    marks, _ = heading(left, top, right - left - PANEL - 6.0, "The wall from outside, unrolled")
    marks += _unrolled(design, wall, holes, view, (left, bottom, right - PANEL - 6.0, top - 6.0))
    unrolled = ScaledPart(title=f"Basin {station.name}, wall unrolled", ratio=scale.ratio, end=len(marks))
    from_above = ScaledPart(
        title=f"Basin {station.name}, from above", ratio=wider.ratio, first=len(marks), end=len(marks) + len(above)
    )
    marks += above
    title = f"Basin {station.name}, holes to drill"
    draft = Draft(
        name=name, title=title, scale=scale.words, paper=paper, marks=(*marks, *more), scaled=(unrolled, from_above),
        description=f"The wall of the basin {station.name} unrolled, with its holes, and the basin from above.",
    )  # fmt: skip
    return [draft, *further_tables(rest, units, name, title)]


def _unrolled(
    design: Design, wall: Wall, holes: list[Hole], view: View, frame: tuple[float, float, float, float]
) -> list[Mark]:
    word, station = Wording(design.job.units), wall.station
    (x0, y0), (x1, y1) = view((0.0, 0.0)), view((wall.round, station.depth))
    marks: list[Mark] = [box("shell", x0, y0, x1, y1)]
    blocked: list[Quad] = []
    lines = [Obstacle(points=((x0, y), (x1, y)), weight=2.0) for y in (y0, y1)]
    for hour in range(1, HOURS + 1):
        x = view((wall.across(float(hour)), 0.0))[0]
        if hour % HOURS == wall.start:
            marks += [words("text", (edge, y0 - 4.0), str(hour), 2.6, "middle", "semibold") for edge in (x0, x1)]
            continue
        marks.append(line("axis" if hour == HOURS else "grid", (x, y0), (x, y1)))
        marks += [line("axis", (x, y0 - 0.8), (x, y0)), line("axis", (x, y1), (x, y1 + 0.8))]
        marks.append(words("text", (x, y0 - 4.0), str(hour), 2.6, "middle", "semibold"))
        lines.append(Obstacle(points=((x, y0), (x, y1)), weight=0.3))
    labels: list[Label] = []
    for hole in holes:
        centre = view((wall.across(hole.clock), hole.height))
        radius = view.up.on_paper(hole.diameter / 2)
        pipe = find_pipe(hole.pipe)
        marks += _hole(centre, view, hole)
        marks.append(line("level line", (centre[0], centre[1] - radius), (centre[0], y0)))
        marks.append(line("axis", (centre[0], y0 - 1.0), (centre[0], y0 + 1.0)))
        blocked.append(rectangle(centre, -radius, radius, -radius, radius))
        within = rectangle(centre, -0.7 * radius, 0.7 * radius, -0.7 * radius, 0.7 * radius)
        lines.append(Obstacle(points=(*within, within[0]), weight=0.0, struck=THROUGH))
        lines.append(Obstacle(points=((centre[0], centre[1] - radius), (centre[0], y0)), weight=1.0))
        labels.append(
            Label(
                lines=(
                    f"{hole.run}  {clock_words(hole.clock)}", f"hole {word.saw(hole.diameter)}",
                    f"{word.small(hole.height)} up", f"{nominal_words(pipe.nominal, word.units)} pipe",
                ),
                at=centre, clear=radius + 0.4, size=1.9, strong=True,
            )
        )  # fmt: skip
    marks += dimension((x0, y0), (x0, y1), f"{word.small(station.depth)}, floor to rim", 5.0)
    marks += dimension((x0, y0 - 5.0), (x1, y0 - 5.0), f"{word.small(wall.round)} round the outside", -4.0)
    marks += [
        words("text soft", (x1, y1 + 2.0), "rim", 2.0, "end"),
        words("text soft", (x1 - 0.8, y0 + 1.0), "inside floor", 2.0, "end"),
    ]
    blocked.append(rectangle((x1 - 0.8, y0 + 1.0), -16.0, 0.5, -0.6, 2.2))
    placement = place_labels(labels, frame=(x0 + 0.5, y0 + 0.5, x1 - 0.5, y1 - 0.5), blocked=blocked, lines=lines)
    marks += placement.marks()
    for rank, label in enumerate(placement.unplaced):
        marks.append(words("text", (frame[0], frame[3] - 3.0 * (rank + 1)), ", ".join(label.lines), 2.0))
    tip = (x0 + 3.0, y1 + 3.2)
    marks += arrow("axis", (tip[0] + 12.0, tip[1]), tip)
    marks.append(words("text soft", (tip[0] + 13.5, tip[1] - CAP), "clockwise, seen from above", 2.0))
    return marks


def _hole(centre: Point, view: View, hole: Hole) -> list[Mark]:
    """Hole, pipe and bore in true size, with a cross to centre the saw on."""
    pipe, radius = find_pipe(hole.pipe), view.up.on_paper(hole.diameter / 2)
    x, y = centre
    return [
        Circle(layer="fitting", centre=centre, radius=radius),
        Circle(layer="pipe", centre=centre, radius=view.up.on_paper(hole.outside / 2)),
        Circle(layer="pipe void", centre=centre, radius=view.up.on_paper(pipe.inside / 2)),
        line("axis", (x - 1.0, y), (x + 1.0, y)),
        line("axis", (x, y - 1.0), (x, y + 1.0)),
    ]


def clock_words(hours: float) -> str:
    """A direction as on a clock's face: 10.125 is 10:08."""
    minutes = round(hours * 60) % 720
    return f"{minutes // 60 or 12}:{minutes % 60:02d}"


def _from_above(
    design: Design, wall: Wall, holes: list[Hole], left: float, top: float
) -> tuple[list[Mark], float, Scale]:
    word, units = Wording(design.job.units), design.job.units
    wide = wall.outside + 2 * STUB
    scale = detail_scale(units, wide, wide, (PANEL - 30.0, 50.0))
    marks, y = heading(left, top, PANEL, f"From above, {scale.words}")
    radius, inner = scale.on_paper(wall.outside / 2), scale.on_paper(wall.station.inside_diameter / 2)
    reach = radius + scale.on_paper(STUB)
    centre = (left + PANEL / 2, y - 9.0 - reach)

    def at(clock: float, out: float, aside: float = 0.0) -> Point:
        turn = clock / HOURS * 2 * math.pi
        return (
            centre[0] + out * math.sin(turn) + aside * math.cos(turn),
            centre[1] + out * math.cos(turn) - aside * math.sin(turn),
        )

    labels: list[Label] = []
    blocked: list[Quad] = []
    for hole in sorted(holes, key=lambda item: item.height):
        half, clock = scale.on_paper(hole.outside / 2), hole.clock
        ring = (at(clock, inner, -half), at(clock, reach, -half), at(clock, reach, half), at(clock, inner, half))
        marks.append(Polygon(layer="pipe", points=ring))
        marks.append(line("axis", at(clock, inner - 2.0), at(clock, reach + 1.0)))
        blocked.append(ring)
        labels.append(
            Label(lines=(f"{hole.run} {clock_words(clock)}",), at=at(clock, reach), clear=1.4, size=2.1, strong=True)
        )
    marks += [
        Circle(layer="shell", centre=centre, radius=radius),
        Circle(layer="pipe void", centre=centre, radius=inner),
    ]
    for hour in range(1, HOURS + 1):
        marks.append(line("axis", at(hour, inner), at(hour, inner - 1.2)))
        x, y_ = at(hour, inner - 3.4)
        marks.append(words("text", (x, y_ - CAP * 1.2), str(hour), 2.4, "middle", "semibold"))
    up = (centre[0], centre[1] - 0.6)
    marks += arrow("axis", up, (up[0], up[1] + 7.0))
    marks += [
        words("text soft", (centre[0], up[1] - 2.4 - 2.8 * row), text, 2.0, "middle")
        for row, text in enumerate(("up on", "the plan"))
    ]
    blocked.append(rectangle(centre, -radius, radius, -radius, radius))
    placement = place_labels(labels, frame=(left, centre[1] - reach - 8.0, left + PANEL, y), blocked=blocked, lines=[])
    marks += placement.marks()
    size = f"{word.small(wall.station.inside_diameter)} inside"
    marks.append(words("text soft", (left + PANEL, top - 2.6), size, 2.2, "end"))
    return marks, centre[1] - reach - 9.0, scale


def least_between(wall: Wall, holes: list[Hole]) -> tuple[float, str] | None:
    """The least wall left between two holes, with their runs; below 0 they cut into each other; None: one hole. [m]"""
    found = []
    for a, b in combinations(holes, 2):
        turn = abs(a.clock - b.clock) % HOURS
        along = min(turn, HOURS - turn) / HOURS * wall.round
        left = math.hypot(along, a.height - b.height) - (a.diameter + b.diameter) / 2
        found.append((left, f"{a.run} and {b.run}"))
    return min(found, default=None)


def _tables(design: Design, wall: Wall, holes: list[Hole]) -> list[Block]:
    word, station = Wording(design.job.units), wall.station
    rows = []
    for hole in sorted(holes, key=lambda item: item.height):
        pipe = find_pipe(hole.pipe)
        rows.append(
            (
                hole.run, clock_words(hole.clock), word.small(wall.from_twelve(hole.clock)), word.small(hole.height),
                word.small(hole.height - pipe.inside / 2), word.small(station.depth - hole.height),
            )
        )  # fmt: skip
    columns = (
        Column("run", 1.05), Column("clock", 0.9, "end"), Column("round from 12", 1.8, "end"),
        Column("centre up", 1.7, "end"), Column("invert up", 1.7, "end"), Column("centre from rim", 1.9, "end"),
    )  # fmt: skip
    sizes = [
        (
            hole.run, nominal_words(find_pipe(hole.pipe).nominal, word.units), word.saw(hole.diameter),
            word.true(hole.outside),
        )
        for hole in sorted(holes, key=lambda item: item.height)
    ]  # fmt: skip
    size_columns = (
        Column("run", 1.05), Column("pipe", 2.0), Column("hole saw", 2.4, "end"), Column("pipe outside", 1.8, "end"),
    )  # fmt: skip
    texts = (
        "Stand the basin dry beside its hole, turned as it will stand. Mark 12 on the wall where it faces up on the "
        f"plan; tape round from there, clockwise. Wall {word.small(BASIN_WALL)} thick (assumed): tape the basin round "
        "first.",
        "Heights are from the inside floor. Measure twice, from the floor and from the rim; drill once.",
        "A rubber seal in each hole, its lip clean; bevel and wet the pipe, push it in by hand. Pipe ends inside reach "
        "no further than a hand's width.",
    )
    parts = [paragraph(text, 2.1, bullet=str(number)) for number, text in enumerate(texts, start=1)]
    least = least_between(wall, holes)
    if least is not None:
        gap, pair = least
        text = f"Least wall between two holes: {word.small(gap)}, {pair}."
        if gap <= 0:
            text = f"The holes of {pair} cut into each other by {word.small(-gap)}: do not drill, ask the office."
        parts.append(paragraph(text, 2.1, "text" if gap > 0 else "text warning", "4"))
    parts.append(
        paragraph(
            "Mark, drill, then set: from outside with eye protection, before the basin goes into the ground; nobody "
            "leans into it. Once it is set, each invert by the rod before its pipe is pushed in.", 2.1,
            "text warning", str(len(parts) + 1),
        )
    )  # fmt: skip
    return [table("Where", columns, rows, 2.1), table("What", size_columns, sizes, 2.1), stacked("Notes", parts)]


__all__ = ["Wall", "clock_words", "drilling_drafts", "least_between"]
