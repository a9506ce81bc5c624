"""Profiles: each run in length, with ground, pipe, stone, footing, crossings and the levels to dig to."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from drainwright.design import Design
from drainwright.paper.axes import round_step, tick_words, ticks
from drainwright.paper.frame import Draft, Scale, View, detail_scale, papers, plan_scale, words
from drainwright.paper.label import Label, Obstacle, place_labels
from drainwright.paper.looks import UTILITY, utility_layer
from drainwright.paper.measure import CAP, READ, fit, rectangle, text_width
from drainwright.paper.sheet import Circle, Mark, Point, Polygon, Polyline, ScaledPart
from drainwright.paper.symbols import box, earth, hatch, line, water_mark
from drainwright.paper.wording import Wording
from drainwright.quantities import height_beside
from drainwright.system.freeze_relief import freeze_reliefs
from drainwright.system.model import SizedRun
from drainwright.system.trade import pipe_words

HEAD = 11.0  # height of a strip's heading [mm]
PITCH = 4.2  # of the rows of figures [mm]
AXIS = 17.0  # left of the plot [mm]
PLOT = 45.0  # most height of the plot, so that two stand on a sheet with all their figures [mm]
BETWEEN = 6.0  # strips [mm]
COLUMN = 12.5  # least width of a column of figures [mm]
SHOWS = 0.003  # water in the stone this far over that in the pipe is told apart [m]
FINEST = 24.0  # across, short runs are drawn no larger than 1 to this
BESIDE = 0.9  # a run this near a wall line lies beside it [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """One run's profile, ready to be set somewhere."""

    run: SizedRun
    across: Scale
    up: Scale
    low: float  # level at the plot's foot [m]
    high: float  # level at the plot's head [m]

    @property
    def plot(self) -> tuple[float, float]:
        """Width and height of the plot. [mm]"""
        return (self.across.on_paper(self.run.length), self.up.on_paper(self.high - self.low))

    @property
    def width(self) -> float:
        """With its axis and room for the last figures; at least as its heading needs. [mm]"""
        return max(AXIS + self.plot[0] + 9.0, 100.0)

    @property
    def in_stone(self) -> bool:
        """Whether water stands higher in the stone than in the pipe."""
        return any(
            level > station.water + SHOWS
            for level, station in zip(self.run.stone_water, self.run.stations, strict=False)
        )

    @property
    def rows(self) -> int:
        """Rows of figures: station, ground, crown, invert and cut; the water of a gravity run; that in its stone."""
        return 5 + (not self.run.pressure) + self.in_stone

    @property
    def height(self) -> float:
        """With its heading and figures. [mm]"""
        return HEAD + self.plot[1] + self.rows * PITCH + 1.0


def _beside(design: Design, run: SizedRun) -> list[tuple[float, float, float, float]]:
    """Stretches beside walls: from, to, footing bottom and top. [m]"""
    import shapely

    route = shapely.LineString(run.route)
    found = []
    for wall in design.site.walls:
        if wall.name not in run.walls:
            continue
        part = shapely.LineString([wall.start, wall.end]).buffer(BESIDE, cap_style="flat").intersection(route)
        ends = [route.project(shapely.Point(at)) for piece in getattr(part, "geoms", [part]) for at in piece.coords]
        if ends and max(ends) - min(ends) > 0.3:
            found.append((min(ends), max(ends), wall.footing_bottom, wall.footing_top))
    return found


def strip_of(design: Design, run: SizedRun, room: float) -> Strip:
    """Choose scales for a run's profile. ``room`` is the most width on paper. [mm]"""
    word = Wording(design.job.units)
    bottom = min(station.invert for station in run.stations) - run.pipe.wall - run.stone_under
    tops = [max(s.ground, s.invert + run.pipe.outside + run.stone_over) for s in run.stations]
    bottom = min(bottom, *(b for _, _, b, _ in _beside(design, run)), bottom)
    met = [crossing.utility_top for crossing in design.build.dig.crossings if crossing.run == run.name]
    levels = [top for top in met if top is not None]
    bottom, top = min(bottom, *levels, bottom), max(*tops, *levels, tops[0])
    step = word.from_distance(0.5 if word.us else 0.2)
    low, high = math.floor(bottom / step - 0.3) * step, math.ceil(top / step + 0.5) * step
    across = plan_scale(design.job.units, max(run.length, 0.01), 0.0, (room - AXIS - 9.0, math.inf))
    up = detail_scale(design.job.units, 0.0, high - low, (math.inf, PLOT))
    least = max(FINEST, up.ratio)  # lengths are never drawn larger than heights
    if across.ratio < least:
        across = plan_scale(design.job.units, least / 1000 * 0.999999, 0.0, (1.0, math.inf))
    return Strip(run=run, across=across, up=up, low=low, high=high)


def _columns(word: Wording, strip: Strip) -> list[float]:
    """Stations of the figures. [m]"""
    length = word.distance(strip.run.length)
    least = length * COLUMN / max(strip.plot[0], 1e-9)
    step = next(s for s in (0.5, 1, 2, 5, 10, 20, 25, 50, 100, 200, 500, 1000) if s >= least or s == 1000)
    chosen = [value for value in ticks(0.0, length, step) if length - value >= 0.8 * least]
    return [word.from_distance(value) for value in chosen] + [strip.run.length]


def _heading(design: Design, strip: Strip, left: float, top: float) -> list[Mark]:
    word, run = Wording(design.job.units), strip.run
    room = strip.width - 2.0
    fall = (
        f"pumped, {word.flow(design.system.pumped_flow(run))}"
        if run.pressure
        else f"falls {word.falls(run)}, {word.flow(run.flow)}"
    )
    pipe = pipe_words(run.pipe, word.units)
    times = strip.across.ratio / strip.up.ratio
    by_hand = any(item.run == run.name and item.hand_dig > 0 for item in design.build.dig.crossings)
    scale = f"across {strip.across.words}, heights {strip.up.words}: " + (
        f"heights exaggerated {times:.3g} times" if times > 1.001 else "heights true"
    )
    if by_hand:
        scale += "; hatched at the foot: dig by hand"
    scale += _standing(design, run, word)
    if text_width(scale, READ) > room:  # the ratio in brackets stands in the title block too
        scale = scale.replace(f" (1:{strip.across.ratio:g})", "").replace(f" (1:{strip.up.ratio:g})", "")
    first = f"{run.name}  {run.duty}, {run.upper} to {run.lower}: {pipe}, {word.length(run.length)}, {fall}"
    return [
        words("text", (left, top - 3.0), fit(first, room, 2.7, "semibold"), 2.7, weight="semibold"),
        words("text soft", (left, top - 6.6), fit(scale, room, READ), READ),
    ]


def draw_strip(design: Design, strip: Strip, left: float, top: float) -> list[Mark]:
    """Draw a strip with its top left corner there. [mm]"""
    word, run = Wording(design.job.units), strip.run
    width, height = strip.plot
    x0, y0 = left + AXIS, top - HEAD - height
    view = View(across=strip.across, up=strip.up, origin=(0.0, strip.low), at=(x0, y0))
    s = np.array([station.distance for station in run.stations])
    ground = np.array([station.ground for station in run.stations])
    invert = np.array([station.invert for station in run.stations])
    below, above = run.pipe.wall, run.pipe.outside - run.pipe.wall
    columns = _columns(word, strip)

    def path(levels: Sequence[float]) -> tuple[Point, ...]:
        return tuple(view((float(a), float(b))) for a, b in zip(s, levels, strict=True))

    def ribbon(layer: str, lower: Sequence[float], upper: Sequence[float]) -> Polygon:
        return Polygon(layer=layer, points=(*path(lower), *reversed(path(upper))))

    marks: list[Mark] = _heading(design, strip, left, top)
    marks.append(ribbon("soil", [strip.low] * len(s), list(ground)))
    step = round_step(word.distance(strip.high - strip.low), 7)
    for level in ticks(word.distance(strip.low) + 0.15 * step, word.distance(strip.high), step):
        y = view((0.0, word.from_distance(level)))[1]
        marks += [line("grid", (x0, y), (x0 + width, y)), line("axis", (x0 - 0.9, y), (x0, y))]
        marks.append(words("text soft", (x0 - 1.6, y - CAP), tick_words(level, step), 2.0, "end"))
    marks.append(words("text soft", (left, y0 + height / 2 - CAP), word.level_unit, 2.0))
    marks += [line("grid", view((at, strip.low)), view((at, strip.high))) for at in columns]
    if run.stone_width > 0:
        marks.append(ribbon("stone", list(invert - below - run.stone_under), list(invert + above + run.stone_over)))
        marks.append(Polyline(layer="stone edge", points=path(list(invert - below - run.stone_under))))
        marks.append(Polyline(layer="stone edge", points=path(list(invert + above + run.stone_over))))
    marks.append(ribbon("pipe", list(invert - below), list(invert + above)))
    marks.append(Polyline(layer="stone edge", points=path(list(invert))))
    labels: list[Label] = []
    for start, end, bottom, upper in _beside(design, run):
        marks += [line("footing", view((start, level)), view((end, level))) for level in (bottom, upper)]
        at = view(((start + end) / 2, bottom))
        labels.append(
            Label(
                lines=("footing bottom",),
                at=at,
                path=(view((start, bottom)), view((end, bottom))),
                size=1.9,
                layer="text soft",
                droppable=True,
            )
        )
    if not run.pressure:
        water = [station.water for station in run.stations]
        marks.append(Polyline(layer="water surface", points=path(water)))
        marks += water_mark(view((run.length * 0.04, float(np.interp(run.length * 0.04, s, water)))), 1.4)
        if strip.in_stone:
            marks.append(Polyline(layer="water table", points=path(run.stone_water)))
    labels += _place_labels(design, strip, view)
    risers = [
        tuple(view((place, float(np.interp(place, s, levels)))) for levels in (invert + above, ground))
        for place in (*_cleanouts(design, run), *_reliefs(design, run))
    ]
    marks += [line("stone edge", *riser) for riser in risers]
    marks += earth(path(list(ground)), 1.3, 9.0)
    marks += [line("axis", (x0, y0), (x0, y0 + height)), line("axis", (x0 + width, y0), (x0 + width, y0 + height))]
    symbols = []
    for crossing in design.build.dig.crossings:
        if crossing.run != run.name or not crossing.crossing:
            continue
        radius = 0.85
        if crossing.utility_top is None or crossing.clearance is None:
            ground_at = float(np.interp(crossing.station, s, ground))
            upright = [view((crossing.station, level)) for level in (ground_at, crossing.pipe_invert)]
            half = view((crossing.station, (ground_at + crossing.pipe_invert) / 2))
            marks.append(line(utility_layer(crossing.kind), *upright))
            labels.append(
                Label(
                    lines=(f"{crossing.mark} {UTILITY[crossing.kind][0]} {crossing.utility}", "DEPTH UNKNOWN"),
                    at=half, clear=radius + 0.2, size=1.9, strong=True, layer="text warning",
                )
            )  # fmt: skip
            continue
        at = view((crossing.station, crossing.utility_top))
        centre = (at[0], at[1] - radius)
        marks.append(Circle(layer=f"dot {utility_layer(crossing.kind)}", centre=centre, radius=radius))
        symbols.append(rectangle(centre, -radius, radius, -radius, radius))
        gap = word.small(crossing.clearance) + " clear" if crossing.clearance >= 0 else "MEETS THE PIPE"
        labels.append(
            Label(
                lines=(f"{crossing.mark} {UTILITY[crossing.kind][0]} {crossing.utility}", gap), at=centre,
                clear=radius + 0.2, size=1.9,
                strong=True, layer="text" if crossing.clearance >= 0 else "text warning",
            )
        )  # fmt: skip
    for name, at_x, anchor in ((run.upper, x0, "start"), (run.lower, x0 + width, "end")):
        shift = 0.8 if anchor == "start" else -0.8
        marks.append(words("text", (at_x + shift, y0 + height + 0.7), name, 2.2, anchor, "semibold"))  # type: ignore[arg-type]
        symbols.append(
            rectangle(
                (at_x, y0 + height + 0.7), -14.0 if anchor == "end" else 0.0, 0.0 if anchor == "end" else 14.0, -1, 2
            )
        )
    placement = place_labels(
        labels,
        frame=(x0 + 0.4, y0 + 1.8, x0 + max(width, 60.0), y0 + height + 0.5),
        blocked=symbols,
        lines=[
            Obstacle(points=path(list(ground)), weight=2.0),
            Obstacle(points=path(list(invert)), weight=1.5),
            Obstacle(points=path(list(invert + above)), weight=1.5),
            *(Obstacle(points=riser, weight=1.5) for riser in risers),
        ],
    )
    return [
        *marks,
        *placement.marks(),
        *_by_hand(design, strip, x0, y0),
        *_figures(design, strip, columns, x0, y0, left),
    ]


def _reliefs(design: Design, run: SizedRun) -> list[float]:
    return [relief.along for relief in freeze_reliefs(design.system) if relief.run == run.name]


def _cleanouts(design: Design, run: SizedRun) -> list[float]:
    return [place.distance for place in design.system.cleanouts if place.fitted and place.run == run.name]


def _place_labels(design: Design, strip: Strip, view: View) -> list[Label]:
    """Cleanouts, the freeze relief with its place, and the water in the stone where highest over that in the pipe."""
    run = strip.run
    s = [station.distance for station in run.stations]
    found = []
    said = [(place, "cleanout", "text soft") for place in _cleanouts(design, run)]
    word = Wording(design.job.units)
    said += [
        (place, f"freeze relief, {word.length(place)} from {run.upper}", "text") for place in _reliefs(design, run)
    ]
    for place, text, layer in said:
        ground = float(np.interp(place, s, [station.ground for station in run.stations]))
        found.append((view((place, ground)), text, layer))
    if strip.in_stone:
        rise = [level - station.water for level, station in zip(run.stone_water, run.stations, strict=True)]
        most = rise.index(max(rise))
        found.append((view((s[most], run.stone_water[most])), "water in the stone", "text water"))
    return [Label(lines=(text,), at=at, size=1.9, layer=layer, droppable=layer != "text") for at, text, layer in found]


def _standing(design: Design, run: SizedRun, word: Wording) -> str:
    """How far below rim or ground the water stands at the upper end, and where it jumps, at the design flow."""
    stands = design.system.water.get(run.upper)
    if run.pressure or stands is None:
        return ""
    rim = "ground" if design.system.nodes[run.upper].kind in ("downspout", "junction") else "rim"
    jumps = "".join(f"; water jumps {word.length(jump)} on" for jump in run.jumps)
    return f"; water at {run.upper} {height_beside(-stands.freeboard, word.small, 'ABOVE')} the {rim}{jumps}"


def _by_hand(design: Design, strip: Strip, x0: float, y0: float) -> list[Mark]:
    """Stretches dug by hand, as bars along the foot of the plot."""
    marks: list[Mark] = []
    for crossing in design.build.dig.crossings:
        if crossing.run != strip.run.name or crossing.stretch is None:
            continue
        a, b = (strip.across.on_paper(at) for at in crossing.stretch)
        if b > a:
            bar = box("hand dig", x0 + a, y0, x0 + b, y0 + 1.3)
            marks += [bar, *hatch("hand dig hatch", bar.points, 1.0, -math.pi / 4)]
    return marks


def _figures(design: Design, strip: Strip, columns: Sequence[float], x0: float, y0: float, left: float) -> list[Mark]:
    """Station, ground, crown, invert, cut and the water at the design flow under the plot."""
    word, run = Wording(design.job.units), strip.run
    s = [station.distance for station in run.stations]
    tables: tuple[tuple[str, Callable[[float], str]], ...] = (
        ("station", lambda at: word.level_number(at) if not word.us else f"{word.distance(at):.1f}"),
        ("ground", lambda at: word.level_number(float(np.interp(at, s, [x.ground for x in run.stations])))),
        (
            "crown",
            lambda at: word.level_number(
                float(np.interp(at, s, [x.invert for x in run.stations])) - run.pipe.wall + run.pipe.outside
            ),
        ),
        ("invert", lambda at: word.level_number(float(np.interp(at, s, [x.invert for x in run.stations])))),
        ("cut", lambda at: word.level_number(float(np.interp(at, s, [x.cut for x in run.stations])))),
    )  # fmt: skip
    if not run.pressure:
        wet = [station.water for station in run.stations]
        tables += (("water", lambda at: word.level_number(float(np.interp(at, s, wet)))),)
    if strip.in_stone:
        tables += (("in stone", lambda at: word.level_number(float(np.interp(at, s, run.stone_water)))),)
    marks: list[Mark] = []
    right = x0 + strip.plot[0] + 6.0
    for row, (name, value) in enumerate(tables):
        y = y0 - (row + 1) * PITCH
        if row % 2 == 0:
            marks.append(box("band", left, y, right, y + PITCH))
        marks.append(words("text soft", (left + 0.6, y + 1.3), f"{name} {word.level_unit}", 2.0))
        for at in columns:
            x = x0 + strip.across.on_paper(at)
            marks.append(words("text", (x, y + 1.3), value(at), 2.0, "middle"))
    marks.append(line("rule", (left, y0), (right, y0)))
    marks.append(line("rule", (left, y0 - strip.rows * PITCH), (right, y0 - strip.rows * PITCH)))
    return marks


def profile_drafts(design: Design) -> list[Draft]:
    """Sheets ``profiles-1`` and so on, with as many runs as fit on each.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    list of Draft
        None where the job has no run.
    """
    paper = papers(design.job.units)[0]
    left, bottom, right, top = paper.inner
    strips = [
        strip_of(design, run, right - left) for run in design.system.runs if len(run.stations) > 1 and run.length > 0
    ]
    sheets: list[list[tuple[Strip, float, float]]] = []
    x, y, tallest = left, top, 0.0
    for strip in strips:
        if x > left and x + strip.width > right + 0.01:  # next row
            x, y, tallest = left, y - tallest - BETWEEN, 0.0
        if not sheets or y - strip.height < bottom - 0.01:  # next sheet
            sheets.append([])
            x, y, tallest = left, top, 0.0
        sheets[-1].append((strip, x, y))
        x, tallest = x + strip.width + BETWEEN, max(tallest, strip.height)
    drafts = []
    for number, placed in enumerate(sheets, start=1):
        marks: list[Mark] = []
        scaled = []
        for strip, x, y in placed:
            first = len(marks)
            marks += draw_strip(design, strip, x, y)
            across, times = strip.across.ratio, strip.across.ratio / strip.up.ratio
            title = f"Profile {strip.run.name}"
            scaled.append(ScaledPart(title=title, ratio=across, heights=times, first=first, end=len(marks)))
        names = ", ".join(strip.run.name for strip, _, _ in placed)
        drafts.append(
            Draft(
                name=f"profiles-{number}", title=f"Profiles: {names}", scale="as stated at each run", paper=paper,
                marks=tuple(marks), scaled=tuple(scaled),
                description=f"Profiles of {names} with ground, pipe, crossings and the levels at stations.",
            )
        )  # fmt: skip
    return drafts


__all__ = ["profile_drafts"]
