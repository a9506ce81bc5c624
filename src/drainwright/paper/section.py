"""The basin, cut through: heights to build to, and everything that hangs in it."""

from __future__ import annotations

import math
from collections.abc import Sequence

from drainwright.design import Design
from drainwright.paper.frame import Draft, View, detail_scale, paragraph, papers, stacked, table, words
from drainwright.paper.frame import Column as Head
from drainwright.paper.measure import CAP
from drainwright.paper.sheet import Circle, Mark, Point, Polygon
from drainwright.paper.symbols import arrow_head, box, dimension, earth, line, water_mark
from drainwright.paper.wording import Wording
from drainwright.system.model import LiftStation, SizedRun

PANEL = 80.0  # width of the tables [mm]
NOTES = 43.0  # width for the heights left of the section [mm]
NAMES = 43.0  # width for the names of pipes right of it [mm]
SIDE = 0.27  # ground shown each side of the basin [m]
BELOW = 0.25  # ground shown below it [m]


def spread(wanted: Sequence[float], gap: float, low: float, high: float) -> list[float]:
    """Move heights as little as the order allows until each is ``gap`` from the next, within bounds.

    Neighbours that would touch form a group about their mean (least squares). The bounds give way where
    there are too many.
    """
    order = sorted(range(len(wanted)), key=lambda index: wanted[index])
    groups: list[tuple[float, int]] = []  # mean of the heights less their offsets, count
    offsets = [rank * gap for rank in range(len(order))]
    for rank, index in enumerate(order):
        mean, count = wanted[index] - offsets[rank], 1
        while groups and groups[-1][0] > mean:
            other, size = groups.pop()
            mean, count = (mean * count + other * size) / (count + size), count + size
        groups.append((mean, count))
    found = [0.0] * len(order)
    rank = 0
    top = high - offsets[-1] if offsets else high
    for mean, count in groups:
        for _ in range(count):
            found[order[rank]] = max(low, min(top, mean)) + offsets[rank]
            rank += 1
    return found


def _tags(
    tags: Sequence[tuple[float, str, str, str]],
    x_mark: float,
    x_text: float,
    low: float,
    high: float,
    size: float = 2.1,
) -> list[Mark]:
    """Names beside a section, each with a line to its height: height, text, second text, layer."""
    side = 1.0 if x_text > x_mark else -1.0
    marks: list[Mark] = []
    gap = 2.5 * size
    for (y, first, second, layer), at in zip(tags, spread([tag[0] for tag in tags], gap, low, high), strict=True):
        elbow = x_text - side * 3.0
        marks.append(line("leader line", (x_mark, y), (elbow - side * 4.0, y), (elbow, at), (x_text - side * 0.8, at)))
        anchor = "start" if side > 0 else "end"
        marks.append(words(layer, (x_text, at + 0.25), first, size, anchor, "semibold"))  # type: ignore[arg-type]
        if second:
            marks.append(words("text soft", (x_text, at - 0.95 * size), second, 0.92 * size, anchor))  # type: ignore[arg-type]
    return marks


def _pipes_in(design: Design, station: LiftStation) -> list[SizedRun]:
    return [run for run in design.system.runs if run.lower == station.name]


def basin_draft(design: Design) -> Draft | None:
    """The basin's section, to scale.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    Draft or None
        None where the job has no lift station.
    """
    station = design.system.station
    if station is None:
        return None
    units = design.job.units
    paper = papers(units)[0]
    left, bottom, right, top = paper.inner
    low, high = station.floor - BELOW, max(station.rim, station.ground) + 0.2
    wide = station.inside_diameter + 2 * SIDE
    room = (right - left - PANEL - 6.0 - NOTES - NAMES, top - bottom - 4.0)
    scale = detail_scale(units, wide, high - low, room)
    middle = left + NOTES + room[0] / 2
    view = View(across=scale, up=scale, origin=(0.0, low), at=(middle, top - 6.0 - scale.on_paper(high - low)))
    marks: list[Mark] = []
    marks += _ground(design, station, view, wide / 2, low)
    marks += _shell(station, view)
    marks += _inlets(design, station, view, wide / 2)
    marks += _pump(design, station, view, wide / 2)
    half = scale.on_paper(wide / 2)
    marks += _heights(
        design, station, view, (middle - half, middle + half),
        (max(middle - half - 9.0, left + NOTES - 5.0), min(middle + half + 9.0, left + NOTES + room[0] + 5.0)),
        (view((0.0, low))[1] + 2.0, view((0.0, high))[1] + 2.0),
    )  # fmt: skip
    marks += _panel(design, station, right - PANEL, top, PANEL)
    return Draft(
        name="basin", title=f"Basin {station.name}, section", scale=scale.words, paper=paper, marks=tuple(marks),
        description=f"Section through the basin {station.name} with pump, float levels, inlets and discharge.",
    )  # fmt: skip


def _ground(design: Design, station: LiftStation, view: View, half: float, low: float) -> list[Mark]:
    radius = station.inside_diameter / 2
    marks: list[Mark] = []
    for side in (-1.0, 1.0):
        a, b = sorted((side * half, side * (radius + 0.012)))
        ring = tuple(view(place) for place in ((a, low), (b, low), (b, station.ground), (a, station.ground)))
        marks.append(Polygon(layer="soil", points=ring))
    out = radius + 0.0121
    under = tuple(view(p) for p in ((-out, low), (out, low), (out, station.floor), (-out, station.floor)))
    marks.append(Polygon(layer="soil", points=under))
    for side in (-1.0, 1.0):
        a, b = sorted((side * half, side * radius))
        marks += earth((view((a, station.ground)), view((b, station.ground))), 1.8, 6.0)
    table_level = station.water_table
    if low < table_level <= station.ground + 0.001:
        for side in (-1.0, 1.0):
            a, b = sorted((side * half, side * (radius + 0.02)))
            marks.append(line("water table", view((a, table_level)), view((b, table_level))))
        at = view((half * 0.62 + radius * 0.38, table_level))
        marks += water_mark(at, 2.2)
        marks.append(words("text water", (at[0], at[1] + 2.6), "water table", 1.9, "middle"))
    return marks


def _shell(station: LiftStation, view: View) -> list[Mark]:
    radius, wall = station.inside_diameter / 2, 0.012
    outer, floor, rim = radius + wall, station.floor, station.rim
    rings = (
        ((-outer, floor - wall), (outer, floor - wall), (outer, floor), (-outer, floor)),
        ((-outer, floor), (-radius, floor), (-radius, rim), (-outer, rim)),
        ((radius, floor), (outer, floor), (outer, rim), (radius, rim)),
        ((-outer - 0.03, rim), (outer + 0.03, rim), (outer + 0.03, rim + 0.02), (-outer - 0.03, rim + 0.02)),
    )
    a, b = view((-radius, station.floor)), view((radius, station.off))
    marks: list[Mark] = [box("water fill", a[0], a[1], b[0], b[1])]
    marks += [Polygon(layer="shell", points=tuple(view(place) for place in ring)) for ring in rings]
    for level, layer in ((station.off, "water"), (station.on, "level line"), (station.alarm, "level line")):
        marks.append(line(layer, view((-radius, level)), view((radius, level))))
    if station.second_on is not None:
        marks.append(line("level line", view((-radius, station.second_on)), view((radius, station.second_on))))
    marks += water_mark(view((-0.55 * radius, station.off)), 2.2)
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
    """Each inlet at its true height: a stub at a side, or the pipe's end on the wall beyond."""
    radius = station.inside_diameter / 2
    marks: list[Mark] = []
    beyond = 0
    for run, where in _stands(design, station):
        invert, size = run.invert_lower, run.pipe
        if where == "back":
            share = (-0.42, 0.62, -0.02)[beyond % 3]
            beyond += 1
            centre = view((share * radius, invert + size.inside / 2))
            marks += [
                Circle(layer="pipe", centre=centre, radius=view.up.on_paper(size.outside / 2)),
                Circle(layer="pipe void", centre=centre, radius=view.up.on_paper(size.inside / 2)),
                words("text water", (centre[0], centre[1] - CAP), run.name, 2.0, "middle", "semibold"),
            ]
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


def _discharge(design: Design, station: LiftStation) -> SizedRun | None:
    return next((run for run in design.system.runs if run.name == station.discharge_run), None)


def _pump(design: Design, station: LiftStation, view: View, half: float) -> list[Mark]:
    radius, floor = station.inside_diameter / 2, station.floor
    run = _discharge(design, station)
    size = run.pipe.outside if run is not None else 0.048
    leave = run.invert_upper + size / 2 if run is not None else station.rim - 0.2
    riser = 0.12 * station.inside_diameter
    body = min(0.28 * station.inside_diameter, 0.13)
    tall = min(0.30, 0.32 * (leave - floor))
    base = floor + 0.025
    marks: list[Mark] = []
    out = [(riser - size / 2, leave - size / 2), (half * 0.995, leave - size / 2), (half * 0.995, leave + size / 2),
           (riser - size / 2, leave + size / 2)]  # fmt: skip
    marks.append(Polygon(layer="pipe", points=tuple(view(place) for place in out)))
    up = [(riser - size / 2, base + 0.35 * tall), (riser + size / 2, base + 0.35 * tall), (riser + size / 2, leave + size / 2),
          (riser - size / 2, leave + size / 2)]  # fmt: skip
    marks.append(Polygon(layer="pipe", points=tuple(view(place) for place in up)))
    feet = [(-body * 0.8, floor), (body * 0.8, floor), (body * 0.7, base), (-body * 0.7, base)]
    marks.append(Polygon(layer="pump", points=tuple(view((x - 0.25 * body, y)) for x, y in feet)))
    hull = [(-0.8 * body, base), (0.8 * body, base), (0.8 * body, base + 0.4 * tall), (0.55 * body, base + 0.55 * tall),
            (0.55 * body, base + 0.92 * tall), (0.4 * body, base + tall), (-0.4 * body, base + tall),
            (-0.55 * body, base + 0.92 * tall), (-0.55 * body, base + 0.55 * tall), (-0.8 * body, base + 0.4 * tall)]  # fmt: skip
    marks.append(Polygon(layer="pump", points=tuple(view((x - 0.25 * body, y)) for x, y in hull)))
    lift = (riser, base + 0.3 * tall)
    marks.append(Polygon(layer="pump", points=tuple(
        view((lift[0] + dx, lift[1] + dy)) for dx, dy in ((-body * 0.5, -0.12 * tall), (size * 0.7, -0.12 * tall), (size * 0.7, 0.14 * tall), (-body * 0.5, 0.14 * tall))
    )))  # fmt: skip
    check = _check_height(station, leave)
    marks += _valve(view, riser, check, size)
    if _has_hole(design):
        hole_at = _hole_height(design, station, check, base, tall)
        hole = view((riser - size / 2, hole_at))
        marks.append(Circle(layer="solid", centre=hole, radius=0.45))
        marks.append(line("water", hole, (hole[0] - 3.0, hole[1] - 1.2)))
    marks += _floats(station, view, radius)
    tip = view((half * 0.9, leave + size / 2))
    marks.append(arrow_head((tip[0], tip[1] + 1.6), 0.0, 2.4))
    marks.append(line("axis", (tip[0] - 5.0, tip[1] + 1.6), (tip[0] - 2.0, tip[1] + 1.6)))
    marks += _balloon(view((-0.25 * body, base + tall)), (0.0, 4.0), "1")
    marks += _balloon(view((riser + 0.8 * size, check)), (4.5, 0.0), "2")
    if _has_hole(design):
        marks += _balloon(view((riser - size / 2, hole_at)), (-4.5, 1.5), "3")
    return marks


def _balloon(at: Point, off: Point, number: str) -> list[Mark]:
    """A note's number in a ring, tied to its thing."""
    centre = (at[0] + off[0], at[1] + off[1])
    length = math.hypot(*off)
    edge = (centre[0] - off[0] / length * 1.5, centre[1] - off[1] / length * 1.5)
    return [
        line("leader line", at, edge),
        Circle(layer="node", centre=centre, radius=1.5),
        words("text", (centre[0], centre[1] - CAP), number, 2.0, "middle", "semibold"),
    ]


def _check_height(station: LiftStation, leave: float) -> float:
    return min(leave - 0.12, max(station.alarm + 0.1, (station.on + leave) / 2))


def _has_hole(design: Design) -> bool:
    basin = design.job.works.basin
    return isinstance(basin, str) or (basin.relief_hole is not None and basin.relief_hole_place != "outside the basin")


def _hole_height(design: Design, station: LiftStation, check: float, base: float, tall: float) -> float:
    basin = design.job.works.basin
    if not isinstance(basin, str) and basin.relief_hole_place == "above the check valve":
        return check + 0.09
    return base + 1.15 * tall


def _valve(view: View, x: float, height: float, size: float) -> list[Mark]:
    """The check valve: a short body with an arrow for the way it lets water go."""
    wide, tall = 0.8 * size, 0.055
    ring = tuple(view((x + dx, height + dy)) for dx, dy in ((-wide, -tall), (wide, -tall), (wide, tall), (-wide, tall)))
    a, b = view((x - 0.55 * wide, height - 0.5 * tall)), view((x + 0.55 * wide, height + 0.7 * tall))
    arrow = ((a[0], a[1]), (b[0], a[1]), ((a[0] + b[0]) / 2, b[1]))
    return [
        Polygon(layer="fitting", points=ring),
        Polygon(layer="solid", points=arrow),
        line("axis", (a[0], b[1]), (b[0], b[1])),
    ]


def _floats(station: LiftStation, view: View, radius: float) -> list[Mark]:
    """Two floats on their cords, one at on and one at alarm."""
    marks: list[Mark] = []
    for share, level in ((-0.72, station.on), (-0.86, station.alarm)):
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
        tag(station.off, "pump off", layer="text water"),
        tag(station.on, "pump on", layer="text water"),
        tag(station.alarm, "alarm", layer="text warning"),
        tag(station.rim, "rim"),
    ]
    if station.second_on is not None:
        left.append(tag(station.second_on, "second pump on", layer="text water"))
    marks: list[Mark] = [
        line("level line", (x_marks[0], y), (view((-radius, 0.0))[0], y)) for y, *_ in left
    ]  # fmt: skip
    right = []
    for run, where in _stands(design, station):
        entry = tag(run.invert_lower, f"{run.name} invert", f"{run.pipe.nominal}, ")
        (left if where == "left" else right).append(entry)
        if where == "back":
            marks.append(line("level line", view((radius, run.invert_lower)), (x_marks[1], entry[0])))
    leave = _discharge(design, station)
    if leave is not None:
        right.append(tag(leave.invert_upper, f"{leave.name} leaves", f"{leave.pipe.nominal}, "))
    right.append(tag(station.ground, "ground"))
    marks += _tags(left, x_marks[0], x_texts[0], *bounds)
    marks += _tags(right, x_marks[1], x_texts[1], *bounds)
    foot = station.floor - 0.07
    return marks + dimension(
        view((-radius, foot)), view((radius, foot)), f"{word.small(station.inside_diameter)} inside", -2.0
    )


def _panel(design: Design, station: LiftStation, left: float, top: float, width: float) -> list[Mark]:
    word = Wording(design.job.units)
    basin = design.job.works.basin
    holes = [hole for hole in design.build.takeoff.holes if hole.node == station.name]
    rows = [
        (hole.run, hole.pipe, word.small(hole.diameter), word.small(hole.height), f"{hole.clock:.1f}".rstrip("0").rstrip("."))
        for hole in holes
    ]  # fmt: skip
    columns = (
        Head("run", 1.0),
        Head("pipe", 2.9),
        Head("hole", 1.3, "end"),
        Head("centre over floor", 2.2, "end"),
        Head("clock", 0.9, "end"),
    )
    parts = [
        paragraph(f"{station.pump.name}: {word.flow(station.operating_flow)} at {word.length(station.operating_head)} of head"
                  f" ({word.speed(station.velocity)} in {station.discharge_run}).", bullet="1"),
        paragraph("Check valve in the riser, where a hand reaches it; its arrow points up.", bullet="2"),
    ]  # fmt: skip
    if not isinstance(basin, str) and basin.relief_hole is not None:
        parts.append(
            paragraph(
                f"Relief hole {word.drill(basin.relief_hole)} {basin.relief_hole_place}, aimed down into the basin.",
                bullet="3",
            )
        )
    elif isinstance(basin, str):
        parts.append(paragraph("Relief hole below the check valve, aimed down into the basin.", bullet="3"))
    parts.append(paragraph(
        f"Uplift on the empty basin: safety {station.uplift_safety:.2f} with the water table at {word.level(station.water_table)}."
        if math.isfinite(station.uplift_safety) else "No water stands round the basin: no uplift.", bullet="4",
    ))  # fmt: skip
    parts.append(
        paragraph(
            f"Electric: {basin.circuit if not isinstance(basin, str) else 'not known'} circuit. A licensed electrician, to the local code.",
            bullet="5",
        )
    )
    parts.append(paragraph(
        "Nobody enters the basin: it is a confined space. Unplug the pump before a hand goes in.", layer="text warning", bullet="6",
    ))  # fmt: skip
    marks, y = stacked("Notes", parts)(left, top, width)
    marks2, y = (
        table("Holes to cut, heights to the hole's centre", columns, rows)(left, y - 3.0, width) if rows else ([], y)
    )
    more, _ = table(
        "Water", (Head("", 3.0), Head("", 2.0, "end")),
        [
            ("design inflow", word.flow(station.inflow)),
            ("of it groundwater", word.flow(station.inflow_ground)),
            ("starts an hour at the design inflow", f"{station.starts_design * 3600:.1f}"),
            ("starts an hour at worst", f"{station.starts * 3600:.1f}"),
            ("one run at the design inflow", f"{station.run_time:.0f} s" if math.isfinite(station.run_time) else "does not stop"),
            ("off to on", word.small(station.on - station.off)),
        ],
    )(left, y - 3.0, width)  # fmt: skip
    return [*marks, *marks2, *more]


__all__ = ["basin_draft", "spread"]
