"""Cut sheets: for each run and station the ground, invert, cut and rod reading; and how each place is taped."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.field.model import BookLine
from drainwright.paper.documents.blocks import (
    Block,
    Cell,
    Column,
    Facts,
    Heading,
    Keep,
    NewPage,
    Notice,
    Paragraph,
    Table,
)
from drainwright.paper.documents.say import DUTY_WORDS, Say
from drainwright.paper.setting_out import taped_places
from drainwright.system.model import SizedRun

NEAR = 0.003  # a place this near to a wall's line is on it [m]
ON_LINE = "on the wall's line"
PAGE = 38  # stations on a page
HEAD = 9  # stations that the head of a cut sheet takes the room of


def first_set_up(design: Design) -> BookLine | None:
    """The line of the level book that gives the first height of instrument."""
    book = design.site.level_book
    return book.lines[0] if book is not None and book.lines else None


def setting_out_blocks(design: Design) -> tuple[Block, ...]:
    """Where each place is, by tape from the house, and how today's rod readings follow."""
    say = Say(design.job.units)
    rows = []
    for item in taped_places(design):
        side = "away from the house" if item.out >= 0 else "towards the house"
        square = ON_LINE if abs(item.out) < NEAR else f"{say.length(abs(item.out))} {side}"
        before = f"before {item.start}" if item.along < 0 else ("past " + item.end if item.along > item.length else "")
        rows.append(
            (
                Cell(text=item.name, weight="semibold"), f"{item.start} to {item.end}",
                f"{say.length(abs(item.along))} {before}".strip(), square,
                say.length(item.check),
            )
        )  # fmt: skip
    columns = (
        Column(head="Place", width=1.5), Column(head="Along", width=1.2),
        Column(head="From the first corner", width=2.4),
        Column(head="Then square out", width=3), Column(head="Check: straight from the corner", width=2, align="right"),
    )  # fmt: skip
    return (
        Heading(text="Setting out by tape", new_page=True),
        Table(columns=columns, rows=tuple(rows)),
        Paragraph(text="Paint in white. Spot-check two places from other corners before digging.", style="soft"),
        Keep(blocks=(Heading(text="Levels today"), *_instrument(design, say))),
    )


def cut_sheets(design: Design) -> tuple[Block, ...]:
    """One sheet a run."""
    say = Say(design.job.units)
    blocks: list[Block] = []
    room = 0
    for run in design.system.runs:
        sheet = _sheet(design, run, say)
        need = len(run.stations) + HEAD
        if new_page := need > room:
            room = PAGE
        room -= need
        title = () if blocks else (Heading(text="Cut sheets"),)
        blocks += [
            *((NewPage(),) if new_page else ()),
            *title,
            *((Keep(blocks=tuple(sheet)),) if need <= PAGE else sheet),
        ]
    return tuple(blocks)


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
    hand = [
        f"{item.utility} ({item.kind}) at {say.length(item.station)}: dig {say.length(item.hand_dig)} by hand"
        for item in design.build.dig.crossings
        if item.run == run.name
    ]
    stone = (
        "none"
        if run.stone_width <= 0
        else f"{say.small(run.stone_under)} under, {say.small(run.stone_over)} over, {say.small(run.stone_width)} wide"
    )
    fall = f"{say.grade(run.grade)} ({say.fall(run.grade)})" if not run.pressure else f"{say.grade(run.grade)}, pumped"
    blocks: list[Block] = [
        Heading(text=f"{run.name}: {DUTY_WORDS[run.duty]}, {run.upper} to {run.lower}", level=2),
        Facts(
            items=(
                ("Pipe", say.pipe(run)), ("Fall", fall), ("Length", say.length(run.length)), ("Stone", stone),
            )
        ),
    ]  # fmt: skip
    if hand:
        blocks.append(Notice(tone="caution", title="Buried lines on this run: dig by hand", items=tuple(hand)))
    unit = say.level_unit
    heads = [f"Station {unit}", f"Ground {unit}", f"Invert {unit}", "Cut to trench bottom"]
    widths = [1.0, 1.2, 1.2, 1.6]
    if line is not None:
        heads += [f"Rod on invert {unit}", "Rod on invert" if say.us else "", f"Rod on bottom {unit}"]
        widths += [1.2, 1.6, 1.2]
    heads.append("Rod today")
    widths.append(1.3)
    columns = tuple(
        Column(head=head, width=width, align="right") for head, width in zip(heads, widths, strict=True) if head
    )
    rows = []
    for station in run.stations:
        cells: list[str | Cell] = [
            Cell(text=say.station(station.distance), weight="semibold"), say.level_number(station.ground),
            say.level_number(station.invert), say.tape(station.cut),
        ]  # fmt: skip
        if line is not None:
            rod = line.instrument_height - station.invert
            bed = line.instrument_height - (station.ground - station.cut)
            cells.append(Cell(text=say.rod(rod), weight="semibold"))
            if say.us:
                cells.append(say.tape(rod) if rod >= 0 else "–")
            cells.append(say.rod(bed))
        cells.append("")
        rows.append(tuple(cells))
    note = f"Stations from {run.upper}, the upper end. Invert is the inside bottom of the pipe."
    if line is not None and any(line.instrument_height < station.invert for station in run.stations):
        note += " “above HI”: that place is higher than the instrument was. Set up higher."
    blocks += [Paragraph(text=note, style="soft"), Table(columns=columns, rows=tuple(rows), size=0.96)]
    return blocks


__all__ = ["cut_sheets", "first_set_up", "setting_out_blocks"]
