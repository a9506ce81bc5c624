"""The pump's parts taken apart along the riser, numbered as they go together, with the order in words."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from drainwright.build.fittings_count import sized_words
from drainwright.build.takeoff.pump import pumps_of
from drainwright.design import Design
from drainwright.paper.frame import (
    Block,
    Column,
    Draft,
    further_tables,
    heading,
    papers,
    paragraph,
    stack,
    stacked,
    table,
    words,
)
from drainwright.paper.pump_marks import alarm_box, cord_seal, float_switch, lid_apart
from drainwright.paper.sheet import Circle, Mark, Point, Polygon
from drainwright.paper.symbols import box, line
from drainwright.paper.tags import tags_beside
from drainwright.paper.valve_height import short_pieces, valve_height
from drainwright.paper.wording import Wording
from drainwright.system.model import LiftStation
from drainwright.system.trade import nominal_words, pump_words

PANEL = 96.0  # width of the list and the steps [mm]

Draw = Callable[[Point], list[Mark]]  # from the middle of its foot


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part of the assembly."""

    kind: str  # of a fitting or of the kit: "union", "float"
    name: str
    count: int
    side: str  # "axis": on the riser, from the bottom up; "left": beside it; "right": towards the line out
    tall: float  # as drawn [mm]
    draw: Draw


def assembly_drafts(design: Design) -> list[Draft]:
    """The pump assembly of each basin, the one at the house first.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    list of Draft
        ``assembly``, then ``assembly-2`` and so on; none where the job has no lift station.
    """
    return [
        draft
        for number, station in enumerate(design.system.by_house, start=1)
        for draft in _drafts(design, station, "assembly" if number == 1 else f"assembly-{number}")
    ]


def _box(layer: str, wide: float, tall: float) -> Draw:
    def draw(at: Point) -> list[Mark]:
        return [box(layer, at[0] - wide / 2, at[1], at[0] + wide / 2, at[1] + tall)]

    return draw


def _socket(wide: float, tall: float, foot: float = 0.0) -> Draw:
    """A fitting with a collar at each end; ``foot`` is the width of a narrower thread below."""

    def draw(at: Point) -> list[Mark]:
        x, y = at
        lip = min(1.6, tall / 3)
        if foot:
            return [
                box("fitting", x - foot / 2, y, x + foot / 2, y + tall / 2),
                *(line("axis", (x - foot / 2, y + step), (x + foot / 2, y + step + 0.4)) for step in (0.5, 1.3, 2.1)),
                box("fitting", x - wide / 2, y + tall / 2, x + wide / 2, y + tall),
            ]
        return [
            box("fitting", x - wide / 2, y, x + wide / 2, y + tall),
            *(box("fitting", x - wide / 2 - 0.8, low, x + wide / 2 + 0.8, low + lip) for low in (y, y + tall - lip)),
        ]

    return draw


def _pump(at: Point) -> list[Mark]:
    x, y = at
    half = [(8.0, 0.0), (8.0, 6.0), (5.5, 8.5), (5.5, 18.0), (4.0, 20.0)]
    hull = [(x - 5.0 + dx, y + dy) for dx, dy in (*half, *((-dx, dy) for dx, dy in reversed(half)))]
    return [
        Polygon(layer="pump", points=tuple(hull)),
        box("pump", x - 2.6, y + 2.0, x + 2.6, y + 9.0),
        box("pump", x - 2.0, y + 9.0, x + 2.0, y + 11.0),
        line("curve", (x - 5.0, y + 20.0), (x - 5.0, y + 22.0), (x - 9.0, y + 24.0), (x - 13.0, y + 23.0)),
    ]


def _riser(hole: bool) -> Draw:
    def draw(at: Point) -> list[Mark]:
        x, y = at
        marks: list[Mark] = [
            box("pipe", x - 2.2, y, x + 2.2, y + 14.0),
            box("pipe void", x - 1.6, y, x + 1.6, y + 14.0),
        ]
        if hole:
            marks += [Circle(layer="solid", centre=(x + 2.0, y + 5.0), radius=0.6)]
            marks.append(line("water", (x + 2.4, y + 4.8), (x + 6.0, y + 2.4)))
        return marks

    return draw


def _check(at: Point) -> list[Mark]:
    x, y = at
    arrow = ((x - 1.6, y + 2.6), (x + 1.6, y + 2.6), (x, y + 6.0))
    return [
        *_socket(6.6, 9.0)(at),
        Polygon(layer="solid", points=arrow),
        line("axis", (x - 1.6, y + 6.2), (x + 1.6, y + 6.2)),
    ]


def _union(at: Point) -> list[Mark]:
    x, y = at
    return [
        *_socket(5.2, 8.0)(at),
        box("pump", x - 4.6, y + 2.6, x + 4.6, y + 5.4),
        *(line("axis", (x + dx, y + 2.6), (x + dx, y + 5.4)) for dx in (-3.0, -1.0, 1.0, 3.0)),
    ]


def _ball(at: Point) -> list[Mark]:
    x, y = at
    return [
        *_socket(5.2, 8.0)(at), Circle(layer="fitting", centre=(x, y + 4.0), radius=3.4),
        box("bar dark", x - 1.0, y + 3.3, x + 8.0, y + 4.7),
    ]  # fmt: skip


def _elbow(at: Point) -> list[Mark]:
    x, y = at
    ring = (
        (x - 2.8, y),
        (x + 2.8, y),
        (x + 2.8, y + 3.4),
        (x + 6.0, y + 3.4),
        (x + 6.0, y + 9.0),
        (x, y + 9.0),
        (x - 2.8, y + 6.2),
    )
    return [
        Polygon(layer="fitting", points=ring), box("fitting", x - 3.5, y, x + 3.5, y + 1.4),
        box("fitting", x + 4.6, y + 2.7, x + 6.0, y + 9.7),
    ]  # fmt: skip


def _wye(at: Point) -> list[Mark]:
    x, y = at
    branch = ((x - 2.6, y + 4.0), (x - 8.0, y + 9.4), (x - 4.4, y + 12.2), (x + 1.0, y + 7.0))
    return [Polygon(layer="fitting", points=branch), *_socket(5.2, 11.0)(at)]


_SHAPES: dict[str, tuple[float, Draw]] = {
    "male-adapter": (6.0, _socket(6.0, 6.0, 4.0)), "reducer": (6.0, _socket(6.4, 6.0, 4.6)),
    "check-valve": (9.0, _check), "union": (8.0, _union), "ball-valve": (8.0, _ball), "elbow-90": (9.0, _elbow),
    "wye": (12.0, _wye),
    "elbow-45": (7.0, _socket(5.2, 7.0)),
}  # fmt: skip
_UP = ("male-adapter", "reducer", "riser", "check-valve", "union", "ball-valve", "elbow-90", "wye", "elbow-45")


def parts_of(design: Design, station: LiftStation) -> tuple[Part, ...]:
    """The parts of a station in the order in which they go together.

    Parameters
    ----------
    design : Design
        The designed job.
    station : LiftStation
        One of its lift stations.

    Returns
    -------
    tuple of Part
        What the takeoff's pump kit and the fittings named at the basin hold, with their counts; first the riser from
        the block up, then what leads out, then floats, alarm, cords and lid.
    """
    units = design.job.units
    kit = {
        item.key: item for item in design.build.takeoff.lines if item.where == station.name and item.category == "pump"
    }

    def many(key: str) -> int:
        return round(kit[key].net) if key in kit else 0

    parts = [
        Part(
            kind="block", name="block under the pump", count=many("kit.block"), side="axis", tall=4.0,
            draw=_box("concrete", 16.0, 4.0),
        )
    ]  # fmt: skip
    for name, count in Counter(pump_words(pump, units) for pump in pumps_of(station)).items():
        parts.append(Part(kind="pump", name=f"pump: {name}", count=count, side="axis", tall=24.0, draw=_pump))
    stood = [fit for fit in design.system.fittings or () if fit.where == station.name]
    for kind in _UP:
        if kind == "riser":
            parts += _risers(design, station)
            continue
        tall, draw = _SHAPES[kind]
        named = Counter(sized_words(fit, units) for fit in stood if fit.kind == kind)
        parts += [
            Part(kind=kind, name=name, count=count, side="axis", tall=tall, draw=draw) for name, count in named.items()
        ]
    for fit in design.system.fittings or ():
        if fit.where == f"{station.discharge_run} at {station.name}":
            name = f"{sized_words(fit, units)}, {station.discharge_run}"
            parts.append(Part(kind=fit.kind, name=name, count=1, side="right", tall=7.0, draw=_socket(3.0, 7.0)))
    beside: tuple[tuple[str, str, str, float, Draw], ...] = (
        ("kit.float", "float, its bracket and tether", "left", 9.0, float_switch),
        ("alarm", "high-water alarm", "left", 9.0, alarm_box),
        ("inverter", "inverter for the battery", "left", 8.0, _box("fitting", 12.0, 8.0)),
        ("battery.ah", "backup battery with charger", "left", 8.0, _box("bar dark", 12.0, 8.0)),
        ("kit.cord-seal", "cord seal", "left", 5.0, cord_seal),
        ("kit.lid-gasket", "lid with its gasket and bolts", "axis", 8.0, lid_apart),
    )
    parts += [
        Part(
            kind=key.removeprefix("kit."), name=name, count=1 if key == "battery.ah" else many(key), side=side,
            tall=tall, draw=draw,
        )
        for key, name, side, tall, draw in beside
        if key in kit
    ]  # fmt: skip
    return tuple(part for part in parts if part.count)


def _risers(design: Design, station: LiftStation) -> list[Part]:
    """The pieces of pipe that stand on the pumps, with the relief hole where it lies below the check valve."""
    basin = design.job.works.basin_named(station.name)
    below = basin is None or (basin.relief_hole is not None and basin.relief_hole_place == "below the check valve")
    word = Wording(design.job.units)
    mine = [riser for riser in design.system.risers if riser.where == station.name]
    named = Counter(
        f"riser {nominal_words(riser.pipe.nominal, word.units)}, {word.small(riser.length)} in all" for riser in mine
    )
    return [
        Part(kind="riser", name=name, count=count, side="axis", tall=14.0, draw=_riser(below))
        for name, count in named.items()
    ]


def _drafts(design: Design, station: LiftStation, name: str) -> list[Draft]:
    paper = papers(design.job.units)[0]
    left, bottom, right, top = paper.inner
    parts = parts_of(design, station)
    marks, _ = heading(left, top, right - left - PANEL - 6.0, "Taken apart, not to scale")
    marks += _exploded(parts, (left, bottom, right - PANEL - 6.0, top - 7.0))
    panel, rest = stack(_panel(design, station, parts), right - PANEL, top, PANEL, bottom)
    title = f"Basin {station.name}, pump assembly"
    draft = Draft(
        name=name, title=title, scale="not to scale", paper=paper, marks=(*marks, *panel),
        description=f"The parts of the pump assembly in {station.name}, numbered in the order of assembly.",
    )  # fmt: skip
    return [draft, *further_tables(rest, design.job.units, name, title)]


def _exploded(parts: Sequence[Part], frame: tuple[float, float, float, float]) -> list[Mark]:
    left, bottom, right, top = frame
    axis = left + 0.46 * (right - left)
    numbered = list(enumerate(parts, start=1))
    on_axis = [(number, part) for number, part in numbered if part.side == "axis"]
    gap = (top - bottom - 4.0 - sum(part.tall for _, part in on_axis)) / max(len(on_axis) - 1, 1)
    gap = min(gap, 9.0)
    spare = top - bottom - sum(part.tall for _, part in on_axis) - gap * (len(on_axis) - 1)
    marks: list[Mark] = [line("level line", (axis, bottom + spare / 2), (axis, top - spare / 2))]
    tags: list[tuple[float, str, str, str]] = []
    y, elbow = bottom + spare / 2, 0.0
    for number, part in on_axis:
        marks += part.draw((axis, y))
        tags.append((y + part.tall / 2, f"{number}. {part.name}", _pieces(part), "text"))
        if part.draw is _elbow:
            elbow = y + 6.2
        y += part.tall + gap
    out = [(number, part) for number, part in numbered if part.side == "right"]
    if out and elbow:
        number, part = out[0]
        x = axis + 17.0
        marks.append(line("level line", (axis + 6.0, elbow), (axis + 32.0, elbow)))
        marks += part.draw((x, elbow - part.tall / 2))
        marks += [
            box("pipe", axis + 22.0, elbow - 2.2, axis + 32.0, elbow + 2.2),
            box("pipe void", axis + 22.0, elbow - 1.6, axis + 32.0, elbow + 1.6),
            line("leader line", (x, elbow + 3.5), (x, elbow + 6.0)),
        ]
        tags.append((elbow + 6.0, f"{number}. {part.name}", _pieces(part), "text"))
    marks += tags_beside(tags, axis + 20.0, axis + 40.0, bottom + 3.0, top - 3.0, 2.2, right + 4.0 - (axis + 40.0))
    marks += [
        line("leader line", (axis + (19.0 if part.draw is lid_apart else 9.0), at), (axis + 20.0, at))
        for (_, part), (at, *_) in zip(on_axis, tags, strict=False)
    ]
    beside = [(number, part) for number, part in numbered if part.side == "left"]
    pitch = (top - bottom - 30.0) / max(len(beside), 1)
    for rank, (number, part) in enumerate(beside):
        at = (axis - 38.0, bottom + 16.0 + rank * min(pitch, 30.0))
        marks += part.draw(at)
        marks.append(words("text", (at[0], at[1] - 4.2), f"{number}. {part.name}", 2.2, "middle", "semibold"))
        marks.append(words("text soft", (at[0], at[1] - 7.0), _pieces(part), 2.0, "middle"))
    return marks


def _pieces(part: Part) -> str:
    return "1 piece" if part.count == 1 else f"{part.count} pieces"


def _panel(design: Design, station: LiftStation, parts: Sequence[Part]) -> list[Block]:
    rows = [(str(number), part.name, str(part.count), "☐") for number, part in enumerate(parts, start=1)]
    columns = (Column("", 0.5), Column("part", 6.0), Column("pieces", 1.0, "end"), Column("here", 0.8, "end"))
    texts = _steps(design, station, parts)
    steps = [paragraph(text, 2.2, bullet=str(number)) for number, text in enumerate(texts, start=1)]
    warning = (
        "Nobody enters the basin, not even to help. The plug stays out until the lid is the last thing left. The "
        "circuit is a licensed electrician's, to the local code; the data sheet of the pump comes before this sheet."
    )
    steps.append(paragraph(warning, 2.2, "text warning", "!"))
    return [table("Parts", columns, rows, 2.1), stacked("In this order", steps)]


def _steps(design: Design, station: LiftStation, parts: Sequence[Part]) -> list[str]:
    word = Wording(design.job.units)
    basin = design.job.works.basin_named(station.name)

    def no(kind: str) -> str:
        """The numbers of the parts of a kind."""
        return " and ".join(f"({number})" for number, part in enumerate(parts, start=1) if part.kind == kind)

    heights = ", ".join(f"{name} {word.small(level - station.floor)}" for name, level in station.float_levels.items())
    texts = [
        f"Rinse the basin. Set the block {no('block')} level on its floor and the pump {no('pump')} on it.",
        f"Wind thread tape on the adapter {no('male-adapter')} and turn it into the pump by hand, then a "
        "half turn more.",
    ]
    if no("reducer"):
        texts.append(f"Cement the reducer {no('reducer')} on it: the riser is another size than the outlet.")
    riser = f"Cut the riser {no('riser')}."
    if basin is None:
        texts.append(f"{riser} Drill the relief hole below the check valve, aimed down, before it stands.")
    elif basin.relief_hole is not None and basin.relief_hole_place != "outside the basin":
        size, place = word.drill(basin.relief_hole), basin.relief_hole_place
        texts.append(f"{riser} Drill the relief hole {size} {place}, aimed down, before it stands.")
    elif basin.relief_hole is not None:
        texts.append(f"{riser} The job puts the relief hole outside the basin: settle that with the office first.")
    else:
        texts.append(f"{riser} This job has no relief hole: see whether the pump's data sheet asks for one.")
    if no("check-valve"):
        high = valve_height(design, station)
        texts.append(
            f"Check valve {no('check-valve')}: arrow up, as high as it goes: its middle about "
            f"{word.small(high - station.floor)} over the floor, {word.small(station.rim - high)} under the rim."
        )
    texts.append(
        f"Union {no('union')} over it, so that the pump lifts out, then the ball valve "
        f"{no('ball-valve')}, its handle free to turn."
    )
    if no("wye"):
        texts.append(
            f"An elbow {no('elbow-90')} on each riser. The wye {no('wye')} lies level in the first one's line; the "
            f"second comes into its branch by the elbow {no('elbow-45')}."
        )
    texts.append(
        f"Join them with {short_pieces(design, station)} short pieces of pipe, each two sockets long, from a rest: "
        "they stand on no cutting list."
    )
    texts.append(
        f"Elbow {no('elbow-90')} and line out through its seal {no('gasket')}: fit all dry, "
        "mark, take apart, prime and cement."
    )
    texts.append(f"Floats {no('float')} above the inside floor: {heights}. They swing free of pipe, wall and cords.")
    texts.append(
        f"Cords up in a loop and out through their seals {no('cord-seal')}; alarm {no('alarm')} where it is heard."
    )
    texts.append("Pour water in: watch it start, stop, and the alarm sound, twice. Look for drips at every joint.")
    texts.append(f"Lid on, gasket clean, bolts crosswise {no('lid-gasket')}. Write the readings in the crew packet.")
    return texts


__all__ = ["Part", "assembly_drafts", "parts_of"]
