"""The crew's lists: what is cut from which stick, stone by layers, tools to load."""

from __future__ import annotations

from drainwright.build.shown import counted_unit
from drainwright.build.takeoff.whole import HOLE_SIZES
from drainwright.build.units import CUBIC_YARD
from drainwright.design import Design
from drainwright.findings.places import series
from drainwright.paper.documents.blocks import Block, Bullets, Cell, Column, Heading, Paragraph, Row, Table
from drainwright.paper.documents.say import Say
from drainwright.paper.order_lists import SOURCES, pieces_words, stick_rows, taken_off
from drainwright.paper.pick import Pick, pick_list
from drainwright.system.catalogue import find_pipe
from drainwright.system.trade import pipe_words

THIN = 0.0016  # a layer that is thinner, 1/16 in, is not told by itself [m]


def cutting_blocks(design: Design) -> tuple[Block, ...]:
    """The cutting list, pipe by pipe, and the stone by its layers."""
    say = Say(design.job.units)
    blocks: list[Block] = []
    rows: list[Row] = []
    pipe = ""
    for alike in stick_rows(design):
        cut = alike[0]
        if cut.pipe != pipe:
            pipe = cut.pipe
            rows.append((Cell(text=pipe_words(find_pipe(pipe), say.units), weight="semibold", span=3),))
        numbers = f"{cut.number}" if len(alike) == 1 else f"{len(alike)} sticks"
        rows.append((numbers, say.length(cut.length), pieces_words(alike, say)))
    if rows:
        stick_columns = (
            Column(head="Stick", width=1.2), Column(head="Length", width=1.4),
            Column(head="Cut, in this order", width=9),
        )  # fmt: skip
        blocks += [
            Heading(text="Cutting list"),
            Paragraph(
                text="Each saw cut is counted. Measure the place before a rest is cut; keep rests for the risers.",
                style="soft",
            ),
            Bullets(items=taken_off(design)),
            Table(columns=stick_columns, rows=tuple(rows), size=0.84, tight=True),
            *(Paragraph(text=note, style="soft") for note in design.build.takeoff.notes if note != HOLE_SIZES),
        ]
    zones = design.build.takeoff.stone
    if zones:
        columns = (
            Column(head="For", width=1.4), Column(head="Where", width=2.6),
            Column(head="High", width=1.6, align="right"),
            Column(head="Layers", width=1, align="right"), Column(head="In place", width=1.6, align="right"),
            Column(head="As bought, loose", width=1.8, align="right"),
        )  # fmt: skip
        blocks += [
            Heading(text="Stone by layers", level=2),
            Table(
                columns=columns,
                rows=tuple(
                    (
                        Cell(text=zone.where, weight="semibold"), zone.zone, say.small(zone.height), str(zone.lifts),
                        _some(zone.volume, say), _some(zone.bought, say),
                    )
                    for zone in zones
                    if zone.height >= THIN
                ),
                size=0.84,
                tight=True,
            ),
        ]  # fmt: skip
    return tuple(blocks)


def _some(volume: float, say: Say) -> str:
    """An amount of stone, never "0.0" of it."""
    least = say.bulk(0.1 * (CUBIC_YARD if say.us else 1.0))
    told = say.bulk(volume)
    return f"under {least}" if volume > 0.0 and told == say.bulk(0.0) else told


def pick_blocks(design: Design) -> tuple[Block, ...]:
    """What must be on site, by the day that needs it."""
    groups: dict[int, list[Pick]] = {}
    for pick in pick_list(design):
        groups.setdefault(pick.day, []).append(pick)
    columns = (
        Column(head=""), Column(head="Kind", width=1.2), Column(head="Thing", width=5.0),
        Column(head="Amount", width=1.9, align="right"), Column(head="For", width=2.7),
    )  # fmt: skip
    rows: list[Row] = []
    for number, picks in groups.items():
        title = "Before the first day" if number == 0 else f"For day {number}"
        rows.append((Cell(text=title, weight="semibold", colour="#0e3f5f", span=len(columns)),))
        rows += [
            (
                "☐",
                pick.category,
                pick.description,
                counted_unit(pick.quantity, pick.unit),
                ", ".join(series(pick.where.split(", "))) or "–",
            )
            for pick in picks
        ]
    return (Heading(text="Pick list", new_page=True), Table(columns=columns, rows=tuple(rows), size=0.82, tight=True))


def tool_blocks(design: Design) -> tuple[Block, ...]:
    """Tools to load before the first day."""
    rows = tuple(
        ("☐", tool.name, str(tool.count), SOURCES[tool.source], tool.why) for tool in design.build.takeoff.tools
    )
    columns = (
        Column(head=""), Column(head="Tool", width=4), Column(head="Count", width=1, align="right"),
        Column(head="Whose", width=1.8), Column(head="For", width=4),
    )  # fmt: skip
    return (Heading(text="Tools", level=2), Table(columns=columns, rows=rows, size=0.82, tight=True))


__all__ = ["cutting_blocks", "pick_blocks", "tool_blocks"]
