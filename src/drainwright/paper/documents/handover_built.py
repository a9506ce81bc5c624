"""The handover's figures: as designed with room for as built, pump and floats, spare parts."""

from __future__ import annotations

from collections.abc import Iterator

from drainwright.design import Design
from drainwright.findings.places import series
from drainwright.paper.documents.blocks import Block, Cell, Column, Facts, Heading, Keep, Paragraph, Row, Table
from drainwright.paper.documents.say import DUTY_WORDS, Say, joined
from drainwright.paper.wording import FLOATS
from drainwright.system.freeze_relief import freeze_reliefs
from drainwright.system.model import LiftStation
from drainwright.system.trade import pipe_words, pump_words


def built_blocks(design: Design) -> tuple[Block, ...]:
    """Every figure that is measured once it is built, beside the designed one."""
    rows: list[Row] = []
    for group, measures in _measures(design):
        rows.append((Cell(text=group, weight="semibold", span=3),))
        rows += [(what, designed, "") for what, designed in measures]
    columns = (
        Column(head="What", width=2.6), Column(head="As designed", width=3.2), Column(head="As built", width=2.6),
    )  # fmt: skip
    return (
        Heading(text="As designed and as built"),
        Paragraph(
            text="Whoever builds it writes the measured figure beside the designed one, before it is covered. An "
            "empty place was "
            "not measured.",
            style="soft",
        ),
        Table(columns=columns, rows=tuple(rows), size=0.9),
    )


def _measures(design: Design) -> Iterator[tuple[str, list[tuple[str, str]]]]:
    """Groups of figures: each run, basin, soakaway and coated wall."""
    say = Say(design.job.units)
    for run in design.system.runs:
        ends = f"{say.level(run.invert_upper)} to {say.level(run.invert_lower)}"
        fall = "" if run.pressure else f", falls {say.falls(run)}"
        pipe = pipe_words(run.pipe, say.units)
        measures = [
            ("Pipe and length", f"{pipe}, {say.length(run.length)}"),
            ("Bottom of pipe, upper to lower end", f"{ends}{fall}"),
        ]
        if run.stone_width > 0:
            measures.append(("Stone", f"{say.small(run.stone_width)} wide{', in fabric' if run.fabric else ''}"))
        yield f"{run.name}: {DUTY_WORDS[run.duty]}, {run.upper} to {run.lower}", measures
    for station in design.system.by_house:
        yield (
            f"{station.name}: basin and pump",
            [
                ("Inside floor, rim", f"{say.level(station.floor)}, {say.level(station.rim)}"),
                ("Flow by drawdown", f"{say.flow(station.operating_flow)} at {say.head(station.operating_head)}"),
            ],
        )
    for soak in design.system.soaks:
        yield (
            f"{soak.name}: {soak.kind}",
            [
                ("Stone, bottom to top", f"{say.level(soak.bottom)} to {say.level(soak.top)}"),
                ("Size", f"{say.length(soak.length)} by {say.small(soak.width)}"),
            ],
        )
    coated = [wall for wall in design.site.walls if wall.wall.open_and_coat]
    if coated:
        yield (
            "Walls",
            [
                (
                    f"{wall.name}, bottom of footing",
                    f"{say.level(wall.footing_bottom)} ({wall.wall.footing_bottom.basis.value})",
                )
                for wall in coated
            ],
        )


def pump_blocks(design: Design) -> tuple[Block, ...]:
    """Pump and floats of each basin, heights as a tape from the inside floor reads them."""
    say = Say(design.job.units)
    return tuple(_pump(design, station, say) for station in design.system.by_house)


def _pump(design: Design, station: LiftStation, say: Say) -> Block:
    run = design.system.run(station.discharge_run)
    basin = design.job.works.basin_named(station.name)
    relief = None if basin is None else basin.relief_hole
    facts = [
        ("Pump", pump_words(station.pump, say.units)),
        ("Make, model, serial no.", "____________________"),
        ("Duty", f"{say.flow(station.operating_flow)} at {say.head(station.operating_head)}"),
        ("Lift, lowest water to highest place", say.head(station.static_head)),
        ("Discharge line", f"{run.name}, {say.length(run.length)} of {pipe_words(run.pipe, say.units)}"),
        ("Basin", f"{say.small(station.inside_diameter)} wide, {say.small(station.depth)} deep"),
    ]
    if relief is not None and basin is not None:
        facts.append(("Relief hole", f"{say.drill(relief)}, {basin.relief_hole_place}"))
    facts += [
        ("Freeze relief", f"on {relief.run}, {say.length(relief.along)} from {design.system.run(relief.run).upper}")
        for relief in freeze_reliefs(design.system)
        if relief.run == station.discharge_run
    ]
    if basin is not None and basin.pump is not None and basin.pump.current is not None:
        facts.append(("Draws", f"{basin.pump.current:g} A"))
    levels = sorted(
        (
            ("Rim", station.rim),
            ("Lowest pipe comes in", station.lowest_inlet),
            *((FLOATS[name].capitalize(), level) for name, level in station.float_levels.items()),
            ("Inside floor", station.floor),
        ),
        key=lambda item: -item[1],
    )
    rows = tuple((name, say.small(level - station.floor), say.small(station.rim - level), "") for name, level in levels)
    columns = (
        Column(head="What", width=3), Column(head="Above the inside floor", width=2, align="right"),
        Column(head="Below the rim", width=2, align="right"), Column(head="As set", width=2),
    )  # fmt: skip
    return Keep(
        blocks=(
            Heading(text=f"Pump and floats of {station.name}"),
            Facts(items=tuple(facts)),
            Table(columns=columns, rows=rows, size=0.92),
        )
    )


def spare_blocks(design: Design) -> tuple[Block, ...]:
    """What is worth having at hand, by this job's own sizes."""
    say = Say(design.job.units)
    rows: list[Row] = []
    for station in design.system.by_house:
        pipe = pipe_words(design.system.run(station.discharge_run).pipe, say.units)
        duty = f"{say.flow(station.operating_flow)} at {say.head(station.operating_head)}"
        rows += [
            (f"Pump for {station.name}", f"by its duty, {duty}; {pump_words(station.pump, say.units)}"),
            (f"Float switch for {station.name}", f"{station.pump.float_kind}, as the pump's sheet says"),
            (f"Check valve and union for {station.name}", f"for {pipe}"),
        ]
    rows += [
        (f"Battery for {basin.name}", f"{basin.battery.capacity:g} Ah at {basin.battery.volts:g} V")
        for basin in design.job.works.basins
        if basin.battery is not None
    ]
    alike: dict[tuple[str, str], list[str]] = {}
    for inlet in design.job.works.inlets:
        if inlet.kind != "cleanout":
            alike.setdefault(("Grate", f"{inlet.kind}, {say.small(inlet.size)}"), []).append(inlet.name)
    caps = {place.run for place in design.system.cleanouts if place.fitted}
    for run in design.system.runs:
        if run.name in caps:
            pipe = pipe_words(run.pipe, say.units).replace(" perforated", "")
            alike.setdefault(("Cleanout caps of", pipe), []).append(run.name)
    rows += [(f"{part} {joined(series(names))}", which) for (part, which), names in alike.items()]
    if not rows:
        return ()
    columns = (Column(head="Part", width=2.6), Column(head="Which", width=5))
    return (Keep(blocks=(Heading(text="Spare parts"), Table(columns=columns, rows=tuple(rows), size=0.92))),)


__all__ = ["built_blocks", "pump_blocks", "spare_blocks"]
