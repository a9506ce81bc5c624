"""The basin's page: heights to set, holes to cut, readings at the start."""

from __future__ import annotations

from collections.abc import Mapping

from drainwright.build.model import Hole
from drainwright.design import Design
from drainwright.findings.model import Finding, Severity
from drainwright.paper.basin_notes import collar_size
from drainwright.paper.documents.blocks import Block, Cell, Column, Facts, Heading, Keep, Notice, Paragraph, Table
from drainwright.paper.documents.say import Say
from drainwright.paper.wording import FLOATS
from drainwright.system.model import LiftStation
from drainwright.system.trade import pump_words
from drainwright.system.yard.basin_hole import HOLE_BED, hole_of

#: What a rubber gasket's hole is wider than the hole for the pipe alone, about: common practice, no source. [m]
GASKET = 0.0254
ASK_FIRST = "Do not cut these before the office says how"


def clock_face(hours: float) -> str:
    """A direction as a clock shows it: 10.12 is ``10:07``."""
    minutes = round(hours * 60) % 720
    return f"{minutes // 60 or 12}:{minutes % 60:02d}"


def basin_blocks(design: Design) -> tuple[Block, ...]:
    """Each basin's heights and start-up readings, then the holes of all."""
    say = Say(design.job.units)
    holes: dict[str, list[Hole]] = {}
    for hole in design.build.takeoff.holes:
        holes.setdefault(hole.node, []).append(hole)
    blocks: list[Block] = []
    for station in design.system.by_house:
        levels = [
            ("Rim", station.rim),
            ("Lowest drain comes in", station.lowest_inlet),
            *((FLOATS[name].capitalize(), level) for name, level in station.float_levels.items()),
            ("Inside floor", station.floor),
        ]
        levels.sort(key=lambda item: -item[1])
        rows = tuple(
            (
                Cell(text=name, weight="semibold"),
                Cell(text=say.small(level - station.floor), weight="semibold"),
                say.small(station.rim - level),
                say.level(level),
                "",
            )
            for name, level in levels
        )
        columns = (
            Column(head="What", width=3), Column(head="Above the inside floor", width=2, align="right"),
            Column(head="Below the rim", width=2, align="right"),
            Column(head="Level", width=2, align="right"), Column(head="As set", width=2),
        )  # fmt: skip
        page: tuple[Block, ...] = (
            Heading(text=f"Basin {station.name}"),
            Facts(
                items=(
                    ("Wide inside", say.small(station.inside_diameter)),
                    ("Deep, rim to floor", say.small(station.depth)),
                    ("Hole to dig", _hole_to_dig(design, station, say)),
                    ("Pump", pump_words(station.pump, say.units)),
                    ("Duty", f"{say.flow(station.operating_flow)} at {say.head(station.operating_head)}"),
                    ("Line", f"{station.discharge_run} to {design.system.run(station.discharge_run).lower}"),
                    ("Relief hole", _relief(design, station, say)),
                    *((("Concrete round its foot", _collar(station, say)),) if station.collar > 0 else ()),
                ),
            ),
            Heading(text="Heights, with a tape from the basin's floor", level=2),
            Table(columns=columns, rows=rows, tall=True, size=1.0),
            *_start_up(station, say),
        )
        blocks.append(Keep(blocks=page))
    if holes:
        blocks += _holes(
            holes, say, tuple(f for f in design.findings if f.id == "LFT-19" and f.severity is not Severity.OK)
        )
    return tuple(blocks)


def _hole_to_dig(design: Design, station: LiftStation, say: Say) -> str:
    hole = hole_of(design.site, station)
    wide, deep = say.small(hole.across), say.small(HOLE_BED)
    if hole.square:  # for its panels
        return f"{wide} square, sides along the nearest wall, {deep} of stone below"
    return f"{wide} across, {deep} of stone below"


def _collar(station: LiftStation, say: Say) -> str:
    wide, tall = (say.small(size) for size in collar_size(station))
    return f"{say.mass(station.collar)}: {wide} wide, {tall} high all round, from the underside up"


def _relief(design: Design, station: LiftStation, say: Say) -> str:
    basin = design.job.works.basin_named(station.name)
    if basin is None:
        return "as the pump's sheet says"
    if basin.relief_hole is None:
        return "none"
    size = say.drill(basin.relief_hole)
    return f"{size}, {basin.relief_hole_place}, aimed down"


def _holes(holes: Mapping[str, list[Hole]], say: Say, close: tuple[Finding, ...]) -> tuple[Block, ...]:
    rows = [
        (
            Cell(text=hole.node, weight="semibold"),
            hole.run,
            say.saw(hole.diameter),
            say.small(hole.outside),
            say.small(hole.height),
            clock_face(hole.clock),
            "☐",
        )
        for node in holes
        for hole in sorted(holes[node], key=lambda item: item.height)
    ]
    if not rows:
        return ()
    columns = (
        Column(head="In", width=1.4), Column(head="Run", width=1.2), Column(head="Hole size", width=2.2, align="right"),
        Column(head="Pipe outside", width=1.6, align="right"),
        Column(head="Centre above floor", width=1.8, align="right"), Column(head="Clock", width=1.2, align="right"),
        Column(head="Cut"),
    )  # fmt: skip
    return (
        Heading(text="Holes in basins", level=2),
        *((Notice(tone="fails", title=ASK_FIRST, items=tuple(one.message for one in close)),) if close else ()),
        Paragraph(
            text="The sizes clear the pipe alone. A rubber gasket has a larger hole, often by about "
            f"{say.small(GASKET)}: read its sheet before a saw is bought or a hole is cut, and measure the wall that "
            "is left between two holes.",
            style="strong",
        ),
        Table(columns=columns, rows=tuple(rows), size=0.92, tight=True),
        Paragraph(
            text="Clock: seen from above, 12:00 is up on the plan. Measure twice, from the inside floor.", style="soft"
        ),
    )


def _start_up(station: LiftStation, say: Say) -> tuple[Block, ...]:
    heights = {name: level - station.floor for name, level in station.float_levels.items()}
    rows = (
        ("Flow, by drawdown and clock", say.flow(station.operating_flow), ""),
        (
            f"From start to stop, {say.volume(station.band_volume)}, one pump, no water coming in",
            f"{station.band_volume / station.operating_flow:.0f} s",
            "",
        ),
        ("Starts at", say.small(heights["on"]), ""),
        *((("Second pump starts at", say.small(heights["second on"]), ""),) if "second on" in heights else ()),
        ("Stops at", say.small(heights["off"]), ""),
        ("Alarm sounds at", say.small(heights["alarm"]), ""),
        ("Comes back through the check valve", "nothing", ""),
    )
    return (
        Heading(text="Start-up readings", level=2),
        Table(
            columns=(Column(head="Reading", width=4), Column(head="Wanted", width=2, align="right"),
            Column(head="Found", width=2)),
            rows=rows, size=1.0,
        ),
    )  # fmt: skip


__all__ = ["basin_blocks", "clock_face"]
