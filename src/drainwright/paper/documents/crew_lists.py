"""The crew's lists: what is cut from which stick, stone by layers, tools to load."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.paper.documents.blocks import Block, Bullets, Cell, Column, Heading, Paragraph, Row, Table
from drainwright.paper.documents.say import Say
from drainwright.paper.order_lists import SOURCES, pieces_words, stick_rows, taken_off
from drainwright.system.catalogue import find_pipe
from drainwright.system.trade import pipe_words


def cutting_blocks(design: Design) -> tuple[Block, ...]:
    """The cutting list, pipe by pipe, and the stone by its layers."""
    say = Say(design.job.units)
    blocks: list[Block] = []
    rows: list[Row] = []
    pipe = ""
    for cut, many in stick_rows(design):
        if cut.pipe != pipe:
            pipe = cut.pipe
            rows.append((Cell(text=pipe_words(find_pipe(pipe), say.units), weight="semibold", span=3),))
        numbers = f"{cut.number}" if many == 1 else f"{many} sticks"
        rows.append((numbers, say.length(cut.length), pieces_words(cut, say)))
    if rows:
        stick_columns = (
            Column(head="Stick", width=1.2), Column(head="Length", width=1.4),
            Column(head="Cut, in this order", width=9),
        )  # fmt: skip
        blocks += [
            Heading(text="Cutting list", new_page=True),
            Paragraph(
                text="Each saw cut is counted. Measure the place before a rest is cut; keep rests for the risers.",
                style="soft",
            ),
            Bullets(items=taken_off(design)),
            Table(columns=stick_columns, rows=tuple(rows)),
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
                        say.bulk(zone.volume), say.bulk(zone.bought),
                    )
                    for zone in zones
                ),
            ),
        ]  # fmt: skip
    return tuple(blocks)


def tool_blocks(design: Design) -> tuple[Block, ...]:
    """Tools to load before the first day."""
    rows = tuple(
        ("☐", tool.name, str(tool.count), SOURCES[tool.source], tool.why) for tool in design.build.takeoff.tools
    )
    columns = (
        Column(head=""), Column(head="Tool", width=4), Column(head="Count", width=1, align="right"),
        Column(head="Whose", width=1.8), Column(head="For", width=4),
    )  # fmt: skip
    return (Heading(text="Tools", level=2), Table(columns=columns, rows=rows))


__all__ = ["cutting_blocks", "tool_blocks"]
