"""Cut sheets: for each run and station the ground, invert, cut and rod reading; and how each place is taped."""

from __future__ import annotations

import math
from bisect import bisect_left
from itertools import pairwise

import numpy as np

from drainwright.build.model import Crossing
from drainwright.build.trench import cuts
from drainwright.design import Design
from drainwright.field.model import BookLine
from drainwright.findings.stone import asked_words
from drainwright.paper.documents.blocks import (
    Block,
    Cell,
    Column,
    Facts,
    Heading,
    Keep,
    Notice,
    Paragraph,
    Row,
    Table,
)
from drainwright.paper.documents.say import DUTY_WORDS, Say
from drainwright.paper.documents.slips import hangs_on, touches_all
from drainwright.paper.setting_out import TapedPlace, tape_of, taped_places
from drainwright.system.bends import grade_breaks
from drainwright.system.model import SizedRun, Station
from drainwright.system.ways import bends
from drainwright.worksheet import quiet

NEAR = 0.003  # a place this near to a wall's line is on it, an invert to one grade at it [m]
WARNING = "#8f1d14"
ON_LINE = "on the wall's line"
PAGE = 38  # stations on a page
TITLE = "Cut sheets"
#: A pumped line, or a dig's bottom, lies no further off a string between two places told; common practice [m]
OFF_STRING = 0.02
CLIMB = 0.01  # longer than in plan by less than this is the same [m]
SAME = 0.1  # places nearer than this to each other are one [m]
APART = 0.3048  # an even station is left out where one with a name is nearer [m]
BEND = math.radians(10)  # smaller turns are not told
HEAD = 9  # stations that the head of a cut sheet takes the room of
SHORT = 22  # stations with their head that stay on one page


def first_set_up(design: Design) -> BookLine | None:
    """The line of the level book that gives the first height of instrument."""
    book = design.site.level_book
    return book.lines[0] if book is not None and book.lines else None


def setting_out_blocks(design: Design) -> tuple[Block, ...]:
    """Where each place is, by tape from the house, and how today's rod readings follow."""
    say = Say(design.job.units)
    rows: list[Row] = []
    for item in taped_places(design):
        side = "away from the house" if item.out >= 0 else "towards the house"
        square = ON_LINE if abs(item.out) < NEAR else f"{say.length(abs(item.out))} {side}"
        rows.append(
            (
                Cell(text=item.name, weight="semibold"), f"{item.start} to {item.end}",
                along_words(item, say), square,
                say.length(item.check),
            )
        )  # fmt: skip
        rows += [
            (Cell(text=f"Check this before setting out {item.name}: {slip.message}", colour=WARNING,
                  weight="semibold", span=5),)
            for slip in design.site.slips
            if hangs_on(design, slip, item.at)
        ]  # fmt: skip
    columns = (
        Column(head="Place", width=1.5), Column(head="Along", width=1.2),
        Column(head="From the first corner", width=2.4),
        Column(head="Then square out", width=3), Column(head="Check: straight from the corner", width=2, align="right"),
    )  # fmt: skip
    wide = tuple(slip.message for slip in design.site.slips if touches_all(design, slip))
    return (
        Heading(text="Setting out by tape", new_page=True),
        *((Notice(tone="fails", title="Check this before setting out anything", items=wide),) if wide else ()),
        Table(columns=columns, rows=tuple(rows)),
        Paragraph(text="Paint in white. Spot-check two places from other corners before digging.", style="soft"),
        Keep(blocks=(Heading(text="Levels today"), *_instrument(design, say))),
    )


def along_words(item: TapedPlace, say: Say) -> str:
    """How far from the first corner of a wall: ``50 ft from A (7 ft 6 in past B)``."""
    if item.along < 0:
        return f"{say.length(-item.along)} before {item.start}"
    if item.along > item.length:
        past = say.length(item.along - item.length)
        return f"{say.length(item.along)} from {item.start} ({past} past {item.end})"
    return say.length(item.along)


def cut_sheets(design: Design) -> tuple[Block, ...]:
    """The opened walls' digs, then one sheet a run."""
    say = Say(design.job.units)
    blocks: list[Block] = list(_wall_digs(design, say))
    for run in design.system.runs:
        sheet = _sheet(design, run, say)
        title = () if blocks else (Heading(text=TITLE, new_page=True),)
        together = len(sheet_stations(design, run)) + HEAD <= SHORT
        blocks += [*title, *((Keep(blocks=tuple(sheet)),) if together else sheet)]
    return tuple(blocks)


def _wall_digs(design: Design, say: Say) -> tuple[Block, ...]:
    """How deep each opened wall is dug: to the footing's top, or to the bed of the drain beside it, as they lie."""
    line = first_set_up(design)
    rows: list[Row] = []
    for name, places in wall_bottoms(design).items():
        for tape, ground, bottom in places:
            rod = [] if line is None else _rod(line.instrument_height - bottom, say)
            rows.append(
                (
                    Cell(text=name, weight="semibold"), f"{tape.start} to {tape.end}", along_words(tape, say),
                    say.level_number(ground), say.level_number(bottom), say.tape(ground - bottom), *rod, "",
                )
            )  # fmt: skip
    if not rows:
        return ()
    unit = say.level_unit
    rods = [] if line is None else [(f"Rod {unit}", 0.95), *([("Rod, tape", 1.55)] if say.us else [])]
    heads = [
        ("Wall", 1.1), ("Along", 1.1), ("From the first corner", 1.9), (f"Ground {unit}", 1.0), (f"Bottom {unit}", 1.0),
        ("Cut down", 1.5), *rods, ("Rod today", 1.0),
    ]  # fmt: skip
    columns = tuple(
        Column(head=head, width=width, align="left" if number < 3 else "right")
        for number, (head, width) in enumerate(heads)
    )
    return (
        Heading(text=TITLE, new_page=True),
        Heading(text="Opened walls: the dig's bottom", level=2),
        Table(columns=columns, rows=tuple(rows), size=0.92, tight=True),
        Paragraph(
            text="Straight between two rows. To the footing's top, or to the bed of the drain where that is lower: its "
            "trench beside the wall is dug with the wall. At the corners both walls' digs meet at the lower.",
            style="soft",
        ),
    )


def wall_bottoms(design: Design) -> dict[str, list[tuple[TapedPlace, float, float]]]:
    """By each opened wall the places between which its dig's bottom is straight, with the ground and the bottom [m].

    Its ends, where the dig of another wall meets it, are left out.
    """
    from shapely import LineString

    found: dict[str, list[tuple[TapedPlace, float, float]]] = {}
    with quiet():
        digs = cuts(design.site, design.system)
    for cut in digs:
        if cut.wall is None:
            continue
        start, end = np.array(cut.wall.start), np.array(cut.wall.end)
        way = (end - start) / cut.wall.length
        along = (cut.points - start) @ way
        ends = min(cut.width, cut.wall.length / 4)
        inner = np.concatenate(([ends], along[(along > ends) & (along < cut.wall.length - ends)]))
        inner = np.append(inner, cut.wall.length - ends)
        bottom = np.interp(inner, along, cut.bottom)
        ground = np.interp(inner, along, cut.ground)
        kept = {
            place
            for level in (bottom, ground)
            for place, _ in LineString(np.column_stack((inner, level))).simplify(OFF_STRING).coords
        }
        found[cut.name] = [
            (
                tape_of(design, cut.name, tuple(start + way * place)),
                float(np.interp(place, inner, ground)), float(np.interp(place, inner, bottom)),
            )
            for place in sorted(kept)
        ]  # fmt: skip
    return found


def _instrument(design: Design, say: Say) -> tuple[Block, ...]:
    line = first_set_up(design)
    bench = design.job.survey.benchmark
    what = f"{bench.name}, {say.level(bench.elevation)}" + (
        f": {bench.description}" if bench.description.strip() else ""
    )
    facts = Facts(
        items=(
            ("Benchmark", what),
            ("Height of instrument (HI)", "none in the book" if line is None else say.level(line.instrument_height)),
            ("HI today", f"{say.level_unit} ____________"),
            ("Read on the benchmark today", f"{say.level_unit} ____________"),
        )
    )
    if line is None:
        words = (
            "The levels were not taken with a level book, so no rod readings are printed. Set up, read the benchmark:"
        )
    else:
        words = (
            f"The rod readings printed are for the first set-up of the level book (on {line.point}). The "
            "instrument never "
            "stands there twice at the same height. Set up, read the benchmark, then:"
        )
    return (
        facts,
        Notice(
            tone="plain", title="Today's rod readings",
            text=words,
            items=(
                "HI today = benchmark + reading on the benchmark",
                "rod today = HI today − invert (for the pipe), HI today − invert − what lies under it (for the bed)",
                "a larger reading is lower ground",
            ),
        ),
    )  # fmt: skip


def _sheet(design: Design, run: SizedRun, say: Say) -> list[Block]:
    line = first_set_up(design)
    met = sorted((item for item in design.build.dig.crossings if item.run == run.name), key=lambda item: item.station)
    hand = [
        f"{item.mark} {item.utility} ({item.kind}){'' if item.crossing else ' alongside'} at "
        f"{say.length(item.station)}: dig {say.length(item.hand_dig)} by hand{_stretch(item, say)}"
        for item in met
    ]
    stone = (
        "none"
        if run.stone_width <= 0
        else f"{say.small(run.stone_under)} under, {say.small(run.stone_over)} over, {say.small(run.stone_width)} wide"
    )
    fall = f"{say.laid(run)}, down from {run.upper} to {run.lower}"
    if run.pressure:
        grade = f"{'' if run.grade >= 0 else 'rises '}{say.grade(abs(run.grade))}"
        fall = f"{grade}, pumped to {run.lower}"
        ends = [run.stations[0].invert, run.stations[-1].invert]
        straight = np.interp([place.distance for place in run.stations], [0.0, run.length], ends)
        if max(abs(place.invert - level) for place, level in zip(run.stations, straight, strict=True)) > NEAR:
            fall = f"{grade} between its ends, not at one grade: by the inverts; pumped to {run.lower}"
    blocks: list[Block] = [
        Heading(text=f"{run.name}: {DUTY_WORDS[run.duty]}, {run.upper} to {run.lower}", level=2),
        Facts(
            items=(
                ("Pipe", say.pipe(run)), ("Fall", fall), ("Length", _length(run, say)), ("Stone", stone),
            ),
            wide=_bed_words(design, run, say),
        ),
    ]  # fmt: skip
    if hand:
        blocks.append(Notice(tone="caution", title="Buried lines on this run: dig by hand", items=tuple(hand)))
    shown = sheet_stations(design, run)
    columns, groups = _columns(say, run.name, rods=line is not None)
    rows = []
    for place, what in shown:
        bottom = place.ground - place.cut
        cells: list[str | Cell] = [
            Cell(text=say.station(place.distance), weight="semibold"), what, say.level_number(place.ground),
            say.level_number(place.invert),
        ]  # fmt: skip
        if line is None:
            cells.append(say.tape(place.cut))
        else:
            cells += _rod(line.instrument_height - place.invert, say)
            cells += [say.tape(place.cut), *_rod(line.instrument_height - bottom, say)]
        rows.append((*cells, ""))
    end = "the pump's end" if run.pressure else "the upper end"
    note = f"Stations from {run.upper}, {end}. Invert is the inside bottom of the pipe."
    if any(bend.way for bend in run.bends):
        note += " It runs full, so no grade is too steep for it; make each turn up or down with elbows, not by force."
    if line is not None and any(line.instrument_height < station.invert for station in run.stations):
        note += " “above HI”: that place is higher than the instrument was. Set up higher."
    table = Table(columns=columns, rows=tuple(rows), size=0.92, tight=True, groups=groups)
    return [Keep(blocks=(*blocks, Paragraph(text=note, style="soft")), leads=True), table]


def _length(run: SizedRun, say: Say) -> str:
    """In plan; of a pumped line that climbs steeply along the pipe too, as it is cut."""
    plan, pipe = say.length(run.length), say.length(run.pipe_length)
    return plan if not run.pressure or run.pipe_length - run.length < CLIMB else f"{plan} in plan, {pipe} of pipe"


def _bed_words(design: Design, run: SizedRun, say: Say) -> tuple[tuple[str, str], ...]:
    """Which stone and which fabric a run wants, for its cut sheet."""
    section = design.system.sections.get(run.name)
    facts: list[tuple[str, str]] = []
    if section is not None and section.stone is not None and run.stone_width > 0:
        facts.append(("Stone to use", section.stone.name))
        if run.fabric:
            facts.append(("Fabric", asked_words(section.fabric, say.units)))
    return tuple(facts)


def _stretch(item: Crossing, say: Say) -> str:
    """From where to where of the run to dig by hand."""
    return "" if item.stretch is None else f", {say.length(item.stretch[0])} to {say.length(item.stretch[1])}"


def _rod(reading: float, say: Say) -> list[str | Cell]:
    """A rod reading: in decimals, and for US jobs beside it as a tape in inches shows it."""
    cells: list[str | Cell] = [Cell(text=say.rod(reading), weight="semibold")]
    return [*cells, say.tape(reading) if reading >= 0 else "–"] if say.us else cells


def _columns(say: Say, name: str, *, rods: bool) -> tuple[tuple[Column, ...], tuple[tuple[str, int], ...]]:
    """Columns of a cut sheet, and the heads over them."""
    unit = say.level_unit
    rod = [(f"Rod {unit}", 0.95), *([("Rod, tape", 1.55)] if say.us else [])]
    heads = [(f"Station {unit}", 0.95), ("", 1.9), (f"Ground {unit}", 1.0), (f"Invert {unit}", 1.0)]
    heads += rod if rods else []
    heads += [("Cut down", 1.5), *(rod if rods else []), ("Rod today", 1.0)]
    columns = tuple(
        Column(head=head, width=width, align="left" if number == 1 else "right")
        for number, (head, width) in enumerate(heads)
    )
    more = len(rod) if rods else 0
    return columns, (
        (name, 3),
        ("For the pipe's invert" if rods else "For the pipe", 1 + more),
        ("For the trench bottom", 1 + more),
        ("", 1),
    )


def sheet_stations(design: Design, run: SizedRun) -> tuple[tuple[Station, str], ...]:
    """The stations of a cut sheet: ends, bends, breaks of grade and crossings, and between them a place every few feet.

    Parameters
    ----------
    design : Design
        The designed job.
    run : SizedRun
        One of its runs.

    Returns
    -------
    tuple
        Each station with what is there. The even ones stand 5 ft or 1.5 m apart, or as many times that as lets the
        run fit one page; none is nearer than a foot to another. Ground and cut between two stations of the design
        are on the straight line between them.
    """
    step = 1.524 if design.job.units == "US" else 1.5
    marked = _marked(design, run)
    times = 1
    while True:
        even = [step * times * count for count in range(1, math.ceil(run.length / step / times))]
        free = [place for place in even if all(abs(place - other) >= APART for other, _ in marked)]
        places = sorted([*marked, *((place, "") for place in free)])
        if len(places) <= PAGE - HEAD or len(free) == 0:
            return tuple((_between(run, place), what) for place, what in places)
        times += 1


def _marked(design: Design, run: SizedRun) -> list[tuple[float, str]]:
    """Ends, bends, breaks of grade and crossings of a run with their names, those at one place together."""
    found = [(0.0, run.upper), (run.length, run.lower)]
    reach = 0.0
    for (start, at), turn in zip(pairwise(run.route), bends(run.route), strict=False):
        reach += math.dist(start, at)
        if turn > BEND:
            found.append((reach, "bend"))
    found += [(part.start, "grade break") for part in run.stretches[1:]]
    if run.pressure:
        distances, inverts = [one.distance for one in run.stations], [one.invert for one in run.stations]
        found += [(distances[place], "grade break") for place in grade_breaks(distances, inverts, OFF_STRING)]
    found += [
        (place.distance, "cleanout")
        for place in design.system.cleanouts
        if place.fitted and place.run == run.name and 0.0 < place.distance < run.length
    ]
    found += [
        (min(max(item.station, 0.0), run.length), item.utility)
        for item in design.build.dig.crossings
        if item.run == run.name and item.crossing
    ]
    places: list[tuple[float, str]] = []
    for place, what in sorted(found, key=lambda item: item[0]):
        if places and place - places[-1][0] < SAME:
            known = places[-1][1].split(", ")
            places[-1] = (places[-1][0], ", ".join(dict.fromkeys((*known, what))))
        else:
            places.append((place, what))
    if places[-1][0] != run.length:  # what lies just before the end is told there
        places[-1] = (run.length, places[-1][1])
    return places


def _between(run: SizedRun, place: float) -> Station:
    """The station at a distance, between two of the design's."""
    distances = [station.distance for station in run.stations]
    after = min(max(bisect_left(distances, place), 1), len(distances) - 1)
    one, two = run.stations[after - 1], run.stations[after]
    gap = two.distance - one.distance
    share = 0.0 if gap <= 0 else min(1.0, max(0.0, (place - one.distance) / gap))

    def mix(first: float, second: float) -> float:
        return first if share == 0 else second if share == 1 else first + share * (second - first)

    return Station(
        distance=place, at=(mix(one.at[0], two.at[0]), mix(one.at[1], two.at[1])),
        ground=mix(one.ground, two.ground), invert=mix(one.invert, two.invert), cover=mix(one.cover, two.cover),
        cut=mix(one.cut, two.cut), water=mix(one.water, two.water),
    )  # fmt: skip


__all__ = ["along_words", "cut_sheets", "first_set_up", "setting_out_blocks", "sheet_stations", "wall_bottoms"]
