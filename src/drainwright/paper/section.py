"""The basin, cut through: heights to build to, and everything that hangs in it."""

from __future__ import annotations

from collections.abc import Sequence

from drainwright.design import Design
from drainwright.paper.basin_notes import basin_notes, collar_size
from drainwright.paper.frame import Draft, View, detail_scale, papers, words
from drainwright.paper.label import Frame
from drainwright.paper.measure import CAP
from drainwright.paper.pump_marks import FEET, RING, balloon, body_size, check_valve, covered, pump_body, second_at
from drainwright.paper.sheet import Circle, Mark, Point, Polygon, ScaledPart
from drainwright.paper.symbols import arrow_head, box, concrete, dimension, earth, line, water_mark
from drainwright.paper.tags import tags_beside
from drainwright.paper.valve_height import valve_height
from drainwright.paper.wording import FLOATS, Wording
from drainwright.system.model import LiftStation, SizedRun
from drainwright.system.trade import nominal_words
from drainwright.system.yard.basin_hole import HOLE_BED, hole_of

PANEL = 92.0  # width of the tables, in which their Spanish ends above the title block too [mm]
NOTES = 43.0  # width for the heights left of the section [mm]
NAMES = 43.0  # width for the names of pipes right of it [mm]
SIDE = 0.2  # ground shown each side of the basin [m]
BESIDE = 0.1  # and each side of its collar, at least [m]
SHELL = 0.012  # drawn thickness of the basin's wall [m]
CLEAR = 0.015  # kept free round a pipe's end on the far wall [m]
BELOW = 0.25  # ground shown below it [m]


def _pipes_in(design: Design, station: LiftStation) -> list[SizedRun]:
    return [run for run in design.system.runs if run.lower == station.name]


def basin_drafts(design: Design) -> list[Draft]:
    """The section of each basin, to scale, the one at the house first.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    list of Draft
        ``basin``, then ``basin-2`` and so on; none where the job has no lift station.
    """
    return [
        _draft(design, station, "basin" if number == 1 else f"basin-{number}")
        for number, station in enumerate(design.system.by_house, start=1)
    ]


def _draft(design: Design, station: LiftStation, name: str) -> Draft:
    units = design.job.units
    paper = papers(units)[0]
    left, bottom, right, top = paper.inner
    low, high = station.floor - BELOW, max(station.rim, station.ground) + 0.2
    collar = collar_size(station)[0]
    wide = station.inside_diameter + 2 * max(SIDE, collar + SHELL + BESIDE)
    room = (right - left - PANEL - 6.0 - NOTES - NAMES, top - bottom - 4.0)
    scale = detail_scale(units, wide, high - low, room)
    middle = left + NOTES + room[0] / 2
    view = View(across=scale, up=scale, origin=(0.0, low), at=(middle, (bottom + top - scale.on_paper(high - low)) / 2))
    marks: list[Mark] = []
    marks += _ground(design, station, view, wide / 2, low)
    marks += _bed(station, hole_of(design.site, station).across, view, wide / 2)
    marks += _collar(station, view)
    marks += _water_table(station, view, wide / 2, low)
    marks += _shell(station, view)
    marks += _inlets(design, station, view, wide / 2)
    marks += _pump(design, station, view, wide / 2)
    half = scale.on_paper(wide / 2)
    marks += _heights(
        design, station, view, (middle - half, middle + half),
        (max(middle - half - 9.0, left + NOTES - 5.0), min(middle + half + 9.0, left + NOTES + room[0] + 5.0)),
        (view((0.0, low))[1] + 2.0, view((0.0, high))[1] + 2.0),
    )  # fmt: skip
    marks += basin_notes(design, station, right - PANEL, top, PANEL)
    return Draft(
        name=name, title=f"Basin {station.name}, section", scale=scale.words, paper=paper, marks=tuple(marks),
        scaled=(ScaledPart(title=f"Basin {station.name}, section", ratio=scale.ratio),),
        description=f"Section through the basin {station.name} with pump, float levels, inlets and discharge.",
    )  # fmt: skip


def _ground(design: Design, station: LiftStation, view: View, half: float, low: float) -> list[Mark]:
    radius = station.inside_diameter / 2
    marks: list[Mark] = []
    for side in (-1.0, 1.0):
        a, b = sorted((side * half, side * (radius + SHELL)))
        ring = tuple(view(place) for place in ((a, low), (b, low), (b, station.ground), (a, station.ground)))
        marks.append(Polygon(layer="soil", points=ring))
    out = radius + SHELL + 0.0001
    under = tuple(view(p) for p in ((-out, low), (out, low), (out, station.floor), (-out, station.floor)))
    marks.append(Polygon(layer="soil", points=under))
    for side in (-1.0, 1.0):
        a, b = sorted((side * half, side * radius))
        marks += earth((view((a, station.ground)), view((b, station.ground))), 1.8, 6.0)
    return marks


def _water_table(station: LiftStation, view: View, half: float, low: float) -> list[Mark]:
    radius, table_level = station.inside_diameter / 2, station.water_table
    marks: list[Mark] = []
    if low < table_level <= station.ground + 0.001:
        for side in (-1.0, 1.0):
            a, b = sorted((side * half, side * (radius + 0.02)))
            marks.append(line("water table", view((a, table_level)), view((b, table_level))))
        marks += water_mark(view((-0.5 * (half + radius), table_level)), 2.2)
    return marks


def _bed(station: LiftStation, across: float, view: View, half: float) -> list[Mark]:
    """The stone under the basin, to scale, as wide as its hole or the drawing."""
    reach = min(across / 2.0, half)
    top = station.floor - SHELL
    corners = ((-reach, top - HOLE_BED), (reach, top - HOLE_BED), (reach, top), (-reach, top))
    return [Polygon(layer="stone", points=tuple(view(place) for place in corners))]


def _collar(station: LiftStation, view: View) -> list[Mark]:
    """The concrete round the basin's foot, to scale."""
    width, height = collar_size(station)
    if width <= 0:
        return []
    inner = station.inside_diameter / 2 + SHELL
    foot = station.floor - SHELL
    top = min(foot + height, station.ground)
    marks: list[Mark] = []
    for side in (-1.0, 1.0):
        a, b = sorted((side * inner, side * (inner + width)))
        (left, low), (right, high) = view((a, foot)), view((b, top))
        marks += concrete(((left, low), (right, low), (right, high), (left, high)), 1.7)
    return marks


def _shell(station: LiftStation, view: View) -> list[Mark]:
    radius, wall = station.inside_diameter / 2, SHELL
    outer, floor, rim = radius + wall, station.floor, station.rim
    rings = (
        ((-outer, floor - wall), (outer, floor - wall), (outer, floor), (-outer, floor)),
        ((-outer, floor), (-radius, floor), (-radius, rim), (-outer, rim)),
        ((radius, floor), (outer, floor), (outer, rim), (radius, rim)),
        ((-outer - 0.03, rim), (outer + 0.03, rim), (outer + 0.03, rim + 0.02), (-outer - 0.03, rim + 0.02)),
    )
    a, b = view((-radius, station.floor)), view((radius, station.float_levels["off"]))
    marks: list[Mark] = [box("water fill", a[0], a[1], b[0], b[1])]
    marks += [Polygon(layer="shell", points=tuple(view(place) for place in ring)) for ring in rings]
    for name, level in station.float_levels.items():
        marks.append(line("water" if name == "off" else "level line", view((-radius, level)), view((radius, level))))
    marks += water_mark(view((0.72 * radius, station.float_levels["off"])), 2.2)
    return marks


def _stands(design: Design, station: LiftStation) -> list[tuple[SizedRun, str]]:
    """Where each inlet is drawn: ``left``, ``right``, or ``back`` where those would cover another. Lowest first."""
    taken: dict[str, list[tuple[float, float]]] = {"left": [], "right": []}
    leave = _discharge(design, station)
    if leave is not None:
        taken["right"].append((leave.invert_upper - 0.03, leave.invert_upper + leave.pipe.outside + 0.01))
    stands = []
    for run in sorted(_pipes_in(design, station), key=lambda other: (other.invert_lower, other.name)):
        low, high = run.invert_lower - run.pipe.wall, run.invert_lower - run.pipe.wall + run.pipe.outside
        sides = sorted(taken, key=lambda side: (len(taken[side]) - (side == "right" and leave is not None), side))
        free = [side for side in sides if all(high < a or low > b for a, b in taken[side])]
        side = free[0] if free else "back"
        taken.setdefault(side, []).append((low, high))
        stands.append((run, side))
    return stands


def _inlets(design: Design, station: LiftStation, view: View, half: float) -> list[Mark]:
    """Each inlet at its true height: a stub at a side, or the pipe's end on the wall beyond, behind nothing else."""
    radius = station.inside_diameter / 2
    marks: list[Mark] = []
    for run, (x, height, reach) in _back_ends(design, station):
        centre = view((x, height))
        marks += [
            Circle(layer="pipe", centre=centre, radius=view.up.on_paper(reach)),
            Circle(layer="pipe void", centre=centre, radius=view.up.on_paper(run.pipe.inside / 2)),
            words("text water", _named_at(centre, view.up.on_paper(reach)), run.name, 2.0, "middle", "semibold"),
        ]
    for run, where in _stands(design, station):
        invert, size = run.invert_lower, run.pipe
        if where == "back":
            continue
        side = -1.0 if where == "left" else 1.0
        start, end = side * (radius - 0.03), side * half * 0.995
        upper = invert + size.outside - size.wall
        ring = ((start, invert - size.wall), (end, invert - size.wall), (end, upper), (start, upper))
        marks.append(Polygon(layer="pipe", points=tuple(view(place) for place in ring)))
        for level in (invert, invert + size.inside):
            marks.append(line("stone edge", view((start, level)), view((end, level))))
        at = view((side * (radius + half) / 2, invert + size.inside / 2))
        marks.append(words("text water", (at[0], at[1] - CAP), run.name, 2.0, "middle", "semibold"))
    return marks


def _back_ends(design: Design, station: LiftStation) -> list[tuple[SizedRun, tuple[float, float, float]]]:
    """The pipes' ends on the far wall: each with its place across, its height and half its width. [m]"""
    found, taken = [], _in_front(design, station)
    for run, where in _stands(design, station):
        if where == "back":
            reach, height = run.pipe.outside / 2, run.invert_lower + run.pipe.inside / 2
            x = _free_place(height, reach, station.inside_diameter / 2, taken)
            taken.append((x - reach, height - reach, x + reach, height + reach))
            found.append((run, (x, height, reach)))
    return found


def _named_at(centre: Point, radius: float) -> Point:
    """Where a pipe's end on the far wall bears its name: within, or under it where it is too small. [mm]"""
    return (centre[0], centre[1] - (CAP if radius >= 2.2 else radius + 2.6))


def _in_front(design: Design, station: LiftStation) -> list[Frame]:
    """What hangs in the basin before its far wall: pump, riser with its valve, line out, floats, stubs. [m]"""
    radius, floor = station.inside_diameter / 2, station.floor
    run = _discharge(design, station)
    size = run.pipe.outside if run is not None else 0.048
    leave = run.invert_upper + run.pipe.inside / 2 if run is not None else station.rim - 0.2
    riser = 0.12 * station.inside_diameter
    front = [
        (riser - size / 2, floor, riser + size / 2, leave + size / 2),
        (riser - size / 2, leave - size / 2, radius, leave + size / 2),
        (-0.2, floor, riser + size, floor + 0.36),
    ]
    if _has_check(design, station):
        check = valve_height(design, station)
        front.append((riser - 0.8 * size, check - 0.055, riser + 0.8 * size, check + 0.055))
    if station.second_on is not None:
        at = second_at(station)
        front += [
            (at - 0.8 * body_size(station), floor, at + 0.8 * body_size(station), floor + 0.36),
            (at - size / 2, floor, at + size / 2, leave + size / 2),
        ]
    for share, level in ((-0.72, station.on), (-0.86, station.alarm)):
        front.append((share * radius - 0.03, level - 0.03, share * radius + 0.03, level + 0.03))
    return front


def _free_place(height: float, reach: float, radius: float, taken: Sequence[Frame]) -> float:
    """Where across the far wall a pipe's end of that height hides least: right of or left of what is there. [m]"""
    most = radius - reach - 0.03

    def covered(x: float) -> float:
        return sum(
            max(0.0, min(x + reach, right) - max(x - reach, left) + CLEAR)
            for left, bottom, right, top in taken
            if height - reach < top + CLEAR and height + reach > bottom - CLEAR
            if x + reach > left - CLEAR and x - reach < right + CLEAR
        )

    places = [most * share / 20 for share in range(-20, 21)]
    return min(places, key=lambda x: (round(covered(x), 6), abs(abs(x) - 0.45 * radius), x))


def _discharge(design: Design, station: LiftStation) -> SizedRun | None:
    return next((run for run in design.system.runs if run.name == station.discharge_run), None)


def _pump(design: Design, station: LiftStation, view: View, half: float) -> list[Mark]:
    radius, floor = station.inside_diameter / 2, station.floor
    run = _discharge(design, station)
    size = run.pipe.outside if run is not None else 0.048
    leave = run.invert_upper + run.pipe.inside / 2 if run is not None else station.rim - 0.2
    riser = 0.12 * station.inside_diameter
    body = body_size(station)
    tall = min(0.30, 0.32 * (leave - floor))
    base = floor + FEET
    marks: list[Mark] = []
    check = valve_height(design, station)
    if station.second_on is not None:
        at = second_at(station)
        a, b = view((at - size / 2, base + 0.5 * tall)), view((at + size / 2, leave))
        marks.append(box("pipe", a[0], a[1], b[0], b[1]))
        marks += pump_body(view, at, floor, body, tall)
        if _has_check(design, station):
            marks += check_valve(view, at, check, size)
    a, b = view((riser - size / 2, leave - size / 2)), view((half * 0.995, leave + size / 2))
    marks.append(box("pipe", a[0], a[1], b[0], b[1]))
    a, b = view((riser - size / 2, base + 0.35 * tall)), view((riser + size / 2, leave + size / 2))
    marks.append(box("pipe", a[0], a[1], b[0], b[1]))
    marks += pump_body(view, -0.25 * body, floor, body, tall)
    a, b = view((riser - 0.5 * body, base + 0.18 * tall)), view((riser + 0.7 * size, base + 0.44 * tall))
    marks.append(box("pump", a[0], a[1], b[0], b[1]))
    if _has_check(design, station):
        marks += check_valve(view, riser, check, size)
        tied, off = _beside_valve(design, station, view, (riser, check, 0.8 * size))
        marks += balloon(tied, off, "2")
    if _has_hole(design, station):
        hole_at = _hole_height(design, station, check, base, tall)
        several = station.second_on is not None  # each pump's pipe has its own hole
        for x in (riser, second_at(station)) if several else (riser,):
            hole = view((x + size / 2, hole_at))
            marks.append(Circle(layer="solid", centre=hole, radius=0.45))
            marks.append(line("water", hole, (hole[0] + 2.6, hole[1] - 1.6)))
    marks += _floats(station, view, radius)
    tip = view((half * 0.9, leave - size / 2))
    marks.append(arrow_head((tip[0], tip[1] - 1.6), 0.0, 2.4))
    marks.append(line("axis", (tip[0] - 5.0, tip[1] - 1.6), (tip[0] - 2.0, tip[1] - 1.6)))
    marks += balloon(view((-0.25 * body, base + tall)), (0.0, 4.0), "1")
    if _has_hole(design, station):
        marks += balloon(hole, (2.4, 3.2) if several else (4.5, 2.0), "3")
    return marks


def _beside_valve(
    design: Design, station: LiftStation, view: View, valve: tuple[float, float, float]
) -> tuple[Point, Point]:
    """Where the check valve's number hangs on, and how far off it stands where it covers least. [mm]"""
    (x, height, half), radius, tall = valve, station.inside_diameter / 2, station.depth
    last = x if station.second_on is None else second_at(station)
    frames = _in_front(design, station)
    frames += [(x - r, y - r, x + r, y + r) for _, (x, y, r) in _back_ends(design, station)]
    for side in (-1.0, 1.0):  # the shell, with the stubs that reach in
        a, b = sorted((side * (radius - 0.03), side * 2 * radius))
        frames.append((a, station.floor, b, station.floor + tall))
    taken = [(*view((left, low)), *view((right, high))) for left, low, right, high in frames]
    places = [
        (view((x - half if way < 0 else last + half, height)), (way * across, up))
        for across, up in ((4.5, 0.0), (3.2, 4.0), (3.2, -4.0))
        for way in (-1.0, 1.0)
    ]
    return min(places, key=lambda place: covered(place[0], place[1], RING + 0.4, taken))


def _has_check(design: Design, station: LiftStation) -> bool:
    basin = design.job.works.basin_named(station.name)
    return basin is None or basin.check_valve


def _has_hole(design: Design, station: LiftStation) -> bool:
    basin = design.job.works.basin_named(station.name)
    return basin is None or (basin.relief_hole is not None and basin.relief_hole_place != "outside the basin")


def _hole_height(design: Design, station: LiftStation, check: float, base: float, tall: float) -> float:
    basin = design.job.works.basin_named(station.name)
    if basin is not None and basin.relief_hole_place == "above the check valve":
        return check + 0.09
    return base + 1.15 * tall


def _floats(station: LiftStation, view: View, radius: float) -> list[Mark]:
    """Floats on their cords: at on, at the second pump's on, at alarm."""
    marks: list[Mark] = []
    for share, name in ((-0.72, "on"), (-0.58, "second on"), (-0.86, "alarm")):
        if (level := station.float_levels.get(name)) is None:
            continue
        at = view((share * radius, level))
        marks.append(Circle(layer="fitting", centre=at, radius=max(1.0, view.up.on_paper(0.03))))
    return marks


def _heights(
    design: Design, station: LiftStation, view: View, x_marks: tuple[float, float], x_texts: tuple[float, float],
    bounds: tuple[float, float],
) -> list[Mark]:  # fmt: skip
    """Heights above the inside floor: floats and the pipes that enter left at the left, the others at the right."""
    word = Wording(design.job.units)
    radius = station.inside_diameter / 2

    def tag(level: float, name: str, more: str = "", layer: str = "text") -> tuple[float, str, str, str]:
        above = word.small(level - station.floor) if level > station.floor else "0"
        return (view((0.0, level))[1], f"{name}  {above}", f"{more}level {word.level(level)}", layer)

    left = [
        tag(station.floor, "inside floor"),
        *(
            tag(level, FLOATS[name], layer="text warning" if name == "alarm" else "text water")
            for name, level in station.float_levels.items()
        ),
        tag(station.rim, "rim"),
    ]
    marks: list[Mark] = [
        line("level line", (x_marks[0], y), (view((-radius, 0.0))[0], y)) for y, *_ in left
    ]  # fmt: skip
    right: list[tuple[float, str, str, str]] = []
    for run, where in _stands(design, station):
        entry = tag(run.invert_lower, f"{run.name} invert", f"{nominal_words(run.pipe.nominal, word.units)}, ")
        (left if where == "left" else right).append(entry)
        if where == "back":
            marks.append(line("level line", view((radius, run.invert_lower)), (x_marks[1], entry[0])))
    leave = _discharge(design, station)
    if leave is not None:
        right.append(
            tag(leave.invert_upper, f"{leave.name} leaves", f"{nominal_words(leave.pipe.nominal, word.units)}, ")
        )
    right.append(tag(station.ground, "ground"))
    collar, tall = collar_size(station)
    if collar > 0:
        y = view((0.0, station.floor - SHELL + tall / 2))[1]
        right.append((y, "concrete collar", f"{word.small(collar)} wide × {word.small(tall)} high", "text"))
        marks.append(line("leader line", (view((radius + SHELL + collar, 0.0))[0] - 1.0, y), (x_marks[1], y)))
    y = view((0.0, station.floor - SHELL - HOLE_BED / 2))[1]
    hole = hole_of(design.site, station)
    shape = "square" if hole.square else "across"
    right.append((y, "stone bed", f"{word.small(HOLE_BED)}, {word.small(hole.across)} {shape}", "text"))
    if station.floor - BELOW < station.water_table < station.ground:
        right.append(tag(station.water_table, "water table", layer="text water"))
    marks += tags_beside(left, x_marks[0], x_texts[0], *bounds)
    marks += tags_beside(right, x_marks[1], x_texts[1], *bounds)
    foot = station.floor - 0.07
    return marks + dimension(
        view((-radius, foot)), view((radius, foot)), f"{word.small(station.inside_diameter)} inside", -2.0
    )


__all__ = ["basin_drafts"]
