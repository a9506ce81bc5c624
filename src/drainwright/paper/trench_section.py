"""Trenches of the runs cut across, one for each way that they are built up: bed, pipe, stone, fabric, fill and top."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from drainwright.build.backfill import Backfill, backfills
from drainwright.build.filling import own_cap, tight
from drainwright.build.stone import TOP_LAP
from drainwright.build.wording import asked_guard, entry_rule, guarded
from drainwright.design import Design
from drainwright.findings.places import listed, series
from drainwright.paper.frame import Block, Draft, Paper, Scale, View, detail_scale, papers, paragraph, stacked
from drainwright.paper.sheet import Circle, Mark, Polygon, ScaledPart
from drainwright.paper.symbols import dimension, earth, line, stone, water_mark
from drainwright.paper.tags import tags_beside
from drainwright.paper.wording import Wording
from drainwright.system.model import SizedRun, Station
from drainwright.system.trade import nominal_words, pipe_words

NOTES = 40.0  # least height of the notes under a section [mm]
NAMES = 34.0  # width for the names at each side of a section [mm]
ACROSS = 6.0  # between two sections on a sheet [mm]
WORDS = 2.5  # type of notes and names: 7 pt [mm]
SIDE = 0.12  # ground shown each side at most [m]
ASIDE = 0.35  # of it, over the width of a narrow trench, which may then be drawn larger
BELOW = 0.10  # and below [m]
ABOVE = 0.06  # shown over the ground [m]
GUARDS = {
    "none": "No protection is asked for at this depth where the soil shows no sign of a cave-in.",
    "competent person decides": "The competent person on site decides on slope, shores or a shield.",
    "house-foundation letters": "Beside the house: only under the conditions on the safe-dig sheet.",
    "engineer": "An engineer's word is needed before it is opened.",
}
ALIKE = 0.0255  # sizes that differ by less are built alike [m]
THIN = 0.005  # less of a bed is not drawn apart [m]
SKIN = 0.004  # drawn between fabric and stone [m]
TOPSOIL = 0.1016  # put back on top: common practice, no source, 4 in [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class BuildUp:
    """A way of building a trench, cut where it is deepest."""

    run: SizedRun
    station: Station  # of its deepest cut
    runs: tuple[SizedRun, ...]  # all built so
    width: float  # of the trench there [m]
    fill: Backfill | None  # of the dig; None: it has none of its own
    tight: bool = True  # whether the cap beside a house is of tight soil

    @property
    def bottom(self) -> float:
        """Level of the trench's bottom. [m]"""
        return self.station.ground - self.station.cut

    @property
    def side(self) -> float:
        """Ground shown at each side. [m]"""
        return min(SIDE, ASIDE * self.width)

    @property
    def underside(self) -> float:
        """Level of the pipe's outside at its lowest. [m]"""
        return self.station.invert - self.run.pipe.wall

    @property
    def crown(self) -> float:
        """Level of the pipe's outside at its highest. [m]"""
        return self.underside + self.run.pipe.outside

    @property
    def cap(self) -> float:
        """Height of what lies on top: tight soil and topsoil beside a house, topsoil elsewhere. [m]"""
        return self.fill.cap if self.fill is not None and self.fill.cap > 0 else TOPSOIL

    @property
    def stone_top(self) -> float:
        """Level of the stone's top; the crown where there is none. [m]"""
        return min(self.crown + (self.run.stone_over if self.run.stone_width > 0 else 0.0), self.station.ground)


def build_ups(design: Design) -> tuple[BuildUp, ...]:
    """The distinct build-ups of the runs that have a trench of their own, in the order of the runs.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    tuple of BuildUp
        Runs are alike that have the same pipe, stone, fabric and width of trench. A run within the dig of an opened
        wall, or above the ground, has none: the wall's section shows the first.
    """
    trenches = {trench.name: trench for trench in design.build.dig.trenches if trench.kind == "run"}
    fills = {fill.trench: fill for fill in backfills(design.site, design.system, design.build.dig.trenches)}
    groups: list[list[SizedRun]] = []

    def built_alike(run: SizedRun, other: SizedRun) -> bool:
        sizes = ((trenches[one.name].width, one.stone_width, one.stone_under, one.stone_over) for one in (run, other))
        kinds = {(one.pipe.key, one.stone_width > 0 and one.fabric) for one in (run, other)}
        return len(kinds) == 1 and all(abs(a - b) < ALIKE for a, b in zip(*sizes, strict=True))

    for run in design.system.runs:
        if run.name in trenches and run.stations:
            group = next((group for group in groups if built_alike(run, group[0])), None)
            if group is None:
                groups.append(group := [])
            group.append(run)
    found = []
    for runs in groups:
        run, station = max(((run, station) for run in runs for station in run.stations), key=lambda item: item[1].cut)
        width = max(trenches[run.name].width, run.stone_width)
        fill, capped = fills.get(run.name), tight(design.site) or not own_cap(design.site)
        found.append(BuildUp(run=run, station=station, runs=tuple(runs), width=width, fill=fill, tight=capped))
    return tuple(found)


def trench_drafts(design: Design) -> list[Draft]:
    """Sections across the trenches of the runs, two on a sheet at one scale.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    list of Draft
        ``trench``, then ``trench-2`` and so on; none where no run has a trench of its own.
    """
    ups = build_ups(design)
    paper = papers(design.job.units)[0]
    left, bottom, right, top = paper.inner
    drafts = []
    for number, start in enumerate(range(0, len(ups), 2), start=1):
        pair = ups[start : start + 2]
        room = (right - left - ACROSS * (len(pair) - 1)) / len(pair)  # width of a section's column
        high = max(NOTES, *(_notes_high(design, up, room) for up in pair))
        tall = top - bottom - high - 14.0  # of a drawing, over its notes
        fitting = (_scale(design, up, (room, tall)) for up in pair)
        scale = min(fitting, key=lambda item: -item.ratio)
        names = ", ".join(series([run.name for up in pair for run in up.runs]))
        marks: list[Mark] = []
        for column, up in enumerate(pair):
            marks += _section(design, up, scale, paper, column * (room + ACROSS), (room, tall, high))
        drafts.append(
            Draft(
                name="trench" if number == 1 else f"trench-{number}", title=f"Trench sections: {names}",
                scale=scale.words, paper=paper, marks=tuple(marks),
                scaled=(ScaledPart(title=f"Trench sections: {names}", ratio=scale.ratio),),
                description=f"Sections across the trenches of {names} with bed, pipe, stone, fabric and fill.",
            )
        )  # fmt: skip
    return drafts


def _notes_high(design: Design, up: BuildUp, width: float) -> float:
    """Height that a section's notes take. [mm]"""
    _, end = stacked("Notes", _notes(design, up, Wording(design.job.units)))(0.0, 0.0, width)
    return 0.5 - end


def _scale(design: Design, up: BuildUp, room: tuple[float, float]) -> Scale:
    width, height = room
    tall = up.station.ground + ABOVE - up.bottom + BELOW
    return detail_scale(design.job.units, up.width + 2 * up.side, tall, (width - 2 * NAMES, height - 8.0))


def _section(
    design: Design, up: BuildUp, scale: Scale, paper: Paper, out_by: float, room: tuple[float, float, float]
) -> list[Mark]:
    """A section in its column, ``out_by`` the sheet's left edge, over its notes."""
    left, bottom, _, top = paper.inner
    left += out_by
    width, height, high = room
    middle, foot = left + width / 2, bottom + high + 4.0
    low = up.bottom - BELOW
    tall = scale.on_paper(up.station.ground + ABOVE - low)
    at = (middle, foot + 6.0 + (height - 8.0 - tall) / 2)
    view = View(across=scale, up=scale, origin=(0.0, low), at=at)
    word = Wording(design.job.units)
    names = ", ".join(series([run.name for run in up.runs]))
    far = word.length(up.station.distance)
    place = "at its upper end" if far == word.length(0.0) else f"{far} from its upper end"
    where = f"{up.run.name}, {place}, where it is deepest"
    title = stacked(f"{names}: {pipe_words(up.run.pipe, word.units)}", [paragraph(where, WORDS, "text soft")])
    marks, _ = title(left, top, width)
    marks += _ground(up, view)
    marks += _stone(up, view)
    marks += _pipe(up, view)
    marks += _water(design, up, view)
    edge, out = up.width / 2, -scale.on_paper(BELOW) - 3.0
    marks += dimension(view((-edge, up.bottom)), view((edge, up.bottom)), word.small(up.width), out)
    marks += _names(design, up, view, (left, left + width), (foot + 4.0, foot + height - 4.0))
    notes, _ = stacked("Notes", _notes(design, up, word))(left, bottom + high, width)
    return marks + notes


def _ground(up: BuildUp, view: View) -> list[Mark]:
    edge, half, ground = up.width / 2, up.width / 2 + up.side, up.station.ground
    marks: list[Mark] = [Polygon(layer="soil", points=view.ring(-half, up.bottom - BELOW, half, ground))]
    for side in (-1.0, 1.0):
        a, b = sorted((side * half, side * edge))
        marks += earth((view((a, ground)), view((b, ground))), 1.8, 5.0)
    marks.append(Polygon(layer="backfill", points=view.ring(-edge, up.bottom, edge, ground)))
    crown = 0.0 if up.fill is None else up.fill.crown
    heap = tuple((edge * share, ground + crown * (1.0 - share**2)) for share in np.linspace(-1.0, 1.0, 13))
    turf = max(up.stone_top, ground - up.cap)
    marks.append(Polygon(layer="tree", points=(*(view(p) for p in heap), view((edge, turf)), view((-edge, turf)))))
    for level in _lifts(up):
        marks.append(line("level line", view((-edge, level)), view((edge, level))))
    sides = ((-edge, ground), (-edge, up.bottom), (edge, up.bottom), (edge, ground))
    marks.append(line("trench line", *(view(place) for place in sides)))
    return marks


def _lifts(up: BuildUp) -> list[float]:
    """Tops of the tamped lifts below the topsoil. [m]"""
    if up.fill is None or up.fill.lifts < 2:
        return []
    base, top = up.stone_top, up.station.ground - up.cap
    levels = [base + (top - base) * number / up.fill.lifts for number in range(1, up.fill.lifts)]
    return [level for level in levels if level < top - 0.03]


def _stone(up: BuildUp, view: View) -> list[Mark]:
    run = up.run
    if run.stone_width <= 0:
        return []
    half, low, high = run.stone_width / 2, up.underside - run.stone_under, up.stone_top
    marks = stone(view.ring(-half, low, half, high), 2.2)
    if run.fabric:
        lap = min(TOP_LAP, run.stone_width) / 2
        out, lift = half - SKIN, 0.8
        (x0, y0), (x1, y1) = view((-out, low + SKIN)), view((out, high - SKIN))
        a, b = view((-lap, high))[0], view((lap, high))[0]
        marks.append(line("fabric", (b, y1 + 0.2), (x0, y1 + 0.2), (x0, y0), (x1, y0), (x1, y1 + lift), (a, y1 + lift)))
    return marks


def _pipe(up: BuildUp, view: View) -> list[Mark]:
    pipe = up.run.pipe
    centre = view((0.0, up.station.invert + pipe.inside / 2))
    on_paper = view.up.on_paper
    marks: list[Mark] = []
    if pipe.envelope > 0:
        ring = tuple(
            (
                centre[0] + on_paper(pipe.envelope / 2) * math.cos(turn),
                centre[1] + on_paper(pipe.envelope / 2) * math.sin(turn),
            )
            for turn in np.linspace(0.0, 2 * math.pi, 48, endpoint=False)
        )
        marks += stone(ring, 1.6)
        marks.append(line("fabric", *ring, ring[0]))
    marks += [
        Circle(layer="pipe", centre=centre, radius=on_paper(pipe.outside / 2)),
        Circle(layer="pipe void", centre=centre, radius=on_paper(pipe.inside / 2)),
    ]
    if pipe.perforated and pipe.envelope <= 0:
        for turn in (-120.0, -60.0):
            way = (math.cos(math.radians(turn)), math.sin(math.radians(turn)))
            reach = on_paper(pipe.outside / 2)
            tip = (centre[0] + reach * way[0], centre[1] + reach * way[1])
            marks.append(Circle(layer="solid", centre=tip, radius=0.4))
    return marks


def _water(design: Design, up: BuildUp, view: View) -> list[Mark]:
    """The ground water of the wet season, where it stands within the section."""
    level, half = design.site.water_table, up.width / 2 + up.side
    if level is None or not up.bottom - BELOW < level < up.station.ground:
        return []
    marks: list[Mark] = [line("water table", view((-half, level)), view((half, level)))]
    return marks + water_mark(view((-half + 0.05, level)), 2.0)


def _names(
    design: Design, up: BuildUp, view: View, sides: tuple[float, float], bounds: tuple[float, float]
) -> list[Mark]:
    """Levels at the left, what is put in at the right, from the bottom up."""
    word, run, station = Wording(design.job.units), up.run, up.station
    edge = up.width / 2

    def y(level: float) -> float:
        return view((0.0, level))[1]

    left = [
        (y(station.ground), "ground", word.level(station.ground), "text"),
        (y(up.crown), f"cover {word.small(station.cover)}", "over the pipe's crown", "text"),
        (y(station.invert), "invert", word.level(station.invert), "text water"),
        (y(up.bottom), f"cut {word.dug(station.cut)}", f"bottom at {word.level(up.bottom)}", "text"),
    ]
    right = [(y(station.ground), *_top(up, word)), *_fill(up, word, y)]
    if run.stone_width > 0:
        wide = f"{word.small(run.stone_width)} wide, {word.small(run.stone_over)} over the pipe"
        right.append((y((up.crown + up.stone_top) / 2), "washed stone", wide, "text"))
        if run.fabric:
            lap = min(TOP_LAP, run.stone_width)
            right.append((y(up.stone_top), "fabric all round", f"lapped {word.small(lap)} on top", "text"))
    if run.pipe.envelope > 0:
        right.append((y(up.crown), "aggregate sleeve in its net", f"{word.small(run.pipe.envelope)} across", "text"))
    about = f"{word.true(run.pipe.outside)} outside, {word.true(run.pipe.inside)} inside"
    pipe = f"pipe {nominal_words(run.pipe.nominal, word.units)}"
    right.append((y(station.invert + run.pipe.inside / 2), pipe, about, "text water"))
    under = up.underside - up.bottom
    right.append((y(up.bottom + under / 2), *_bed(up, under, word)))
    level = design.site.water_table
    if level is not None and up.bottom - BELOW < level < station.ground:
        left.append((y(level), "water table", word.level(level), "text water"))
    half = view.across.on_paper(edge + up.side)
    middle = view((0.0, 0.0))[0]
    x_left, x_right = middle - half - 0.5, middle + half + 0.5
    marks: list[Mark] = [line("level line", (x_left, at), (view((-edge, 0.0))[0], at)) for at, *_ in left[1:4]]
    marks += [line("leader line", (view((0.0, 0.0))[0] + _reach(up, view, at), at), (x_right, at)) for at, *_ in right]
    marks += tags_beside(left, x_left, max(sides[0] + 33.0, x_left - 9.0), *bounds, WORDS + 0.2)
    return marks + tags_beside(right, x_right, min(sides[1] - 33.0, x_right + 9.0), *bounds, WORDS + 0.2)


def _reach(up: BuildUp, view: View, at: float) -> float:
    """Where a name's line begins, out from the middle: at the thing it names. [mm]"""
    top = view((0.0, up.stone_top))[1]
    half = up.run.stone_width / 2 if up.run.stone_width > 0 and at <= top + 0.1 else 0.0
    inside = view((0.0, up.underside))[1] <= at <= view((0.0, up.crown))[1]
    out = max(up.run.pipe.outside, up.run.pipe.envelope) / 2 if inside else half * 0.8
    return view.across.on_paper(out) if out > 0 else view.across.on_paper(0.8 * up.width / 2)


def _top(up: BuildUp, word: Wording) -> tuple[str, str, str]:
    crown = "" if up.fill is None else f", left {word.small(up.fill.crown)} high"
    name = f"{'tight' if up.tight else 'own'} soil, topsoil, seed" if up.cap > TOPSOIL else "topsoil and seed"
    return (name, f"{word.small(up.cap)}{crown}", "text")


def _fill(up: BuildUp, word: Wording, y: object) -> list[tuple[float, str, str, str]]:
    base, top = up.stone_top, up.station.ground - up.cap
    if up.fill is None or up.fill.lifts < 1 or top - base < 0.02:
        return []
    lifts = f"{up.fill.lifts} lift{'s' if up.fill.lifts > 1 else ''} of {word.small(up.fill.lift)} loose, tamped"
    assert callable(y)
    return [(y(base + 0.55 * (top - base)), "native soil", lifts, "text")]


def _bed(up: BuildUp, under: float, word: Wording) -> tuple[str, str, str]:
    if up.run.stone_width > 0 and up.run.stone_under > 0:
        return ("bed of the same stone", f"{word.small(up.run.stone_under)} under the pipe", "text")
    if under > THIN:
        return ("bed", f"{word.small(under)} under the pipe", "text")
    return ("bed: firm soil, cut to grade", "hollowed at each bell", "text")


def _notes(design: Design, up: BuildUp, word: Wording) -> list[Block]:
    cuts = [station.cut for run in up.runs for station in run.stations]
    covers = [station.cover for run in up.runs for station in run.stations]
    run = up.run
    lengths = math.fsum(item.length for item in up.runs)
    texts = [f"Built so over {word.length(lengths)}: {_between(cuts, word.dug)} deep, {_covers(covers, word)}."]
    overs = [item.stone_over for item in up.runs]
    if run.stone_width > 0 and _between(overs, word.small) != word.small(run.stone_over):
        texts.append(f"Stone over the pipe: {_between(overs, word.small)}, as each run's cut sheet says.")
    if run.stone_width > 0:
        voids = "Washed stone without fines, set in, not thrown, in layers both sides at once."
        texts.append(
            f"{voids} Fabric: lapped on top before any soil comes near." if run.fabric else f"{voids} No fabric."
        )
    elif run.pipe.envelope > 0:
        texts.append("The sleeve brings its own aggregate and net: no stone, no fabric. Keep soil out of open ends.")
    else:
        texts.append("No stone. Soil without stones is packed by hand under the pipe's sides, then over its crown.")
    if run.pipe.perforated and run.pipe.envelope <= 0:
        texts.append(
            "Holes down, at 4 and 8 o'clock: the water rises into the pipe."
            if run.pipe.opening_shape == "hole"
            else "Slots all round."
        )
    if up.fill is not None:
        wall = "; beside a wall by hand only" if run.duty == "footing drain" else ""
        plate = f"First two lifts by hand, then a plate{wall}."
        told = "Beside a wall only hand tampers." if up.fill.by_hand else plate
        texts.append(f"Native soil {up.fill.moisture}. {told}")
    texts.append(
        "No warning tape or tracer wire is in the order. Where the place's rules ask for one it goes in over the pipe, "
        "below the topsoil."
    )
    blocks = [paragraph(text, WORDS, bullet=str(number)) for number, text in enumerate(texts, start=1)]
    trench = next(item for item in design.build.dig.trenches if item.name == run.name)
    guard = GUARDS.get(trench.protection, f"Nobody goes in unless its sides are {guarded(trench)}.")
    if entry_rule(trench):
        guard = f"The {listed(trench.bars)} lies live along inside: no slope or shield fits. {entry_rule(trench)}"
    elif trench.protection == "slope or shield" and trench.slope_fits:
        guard += " Drawn upright here."
    names = {run.name for run in up.runs}
    if len({asked_guard(item) for item in design.build.dig.trenches if item.name in names}) > 1:
        guard += " Not every run drawn here asks the same: the safe-dig sheet tells each."
    guard += " Local rules and the competent person on site come first."
    blocks.append(paragraph(guard, WORDS, "text warning", str(len(texts) + 1)))
    return blocks


def _covers(covers: list[float], word: Wording) -> str:
    """Soil over the crown; none where the pipe comes out of the ground at its end."""
    if min(covers) < 0:
        return f"{word.small(max(covers))} of cover at most, none where the pipe comes out of the ground"
    return f"{_between(covers, word.small)} of cover"


def _between(values: list[float], say: Callable[[float], str]) -> str:
    low, high = say(min(values)), say(max(values))
    return low if low == high else f"{low} to {high}"


__all__ = ["BuildUp", "build_ups", "trench_drafts"]
