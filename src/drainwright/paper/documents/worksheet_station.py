"""Lift stations in the worksheet's results: pumps new and worn, the second, battery, surge, and lines they share."""

from __future__ import annotations

import math

from drainwright.design import Design
from drainwright.paper.documents.blocks import Block, Cell, Column, Facts, Heading, Paragraph, Row, Table
from drainwright.paper.documents.say import Say, joined
from drainwright.quantities import Kind, write
from drainwright.system.lift.line_details import LineDetails
from drainwright.system.lift.pump_model import BatteryUnit, PumpStudy
from drainwright.system.model import LiftStation
from drainwright.system.trade import pump_words

SIZE = 0.84
WATERS = {"between rains": "between rains", "wet season": "in the wet season", "design rain": "in the design rain"}


def station_blocks(design: Design, station: LiftStation, say: Say) -> list[Block]:
    """One station's figures."""
    facts = [
        ("Pump", pump_words(station.pump, say.units)),
        ("Design inflow", f"{say.flow(station.inflow)}, of it ground water {say.flow(station.inflow_ground)}, likely"),
        ("Duty point", f"{say.flow(station.operating_flow)} at {say.head(station.operating_head)}"),
        ("Starts", f"{say.starts(station.starts)} at worst, {say.starts(station.starts_design)} in the design rain"),
        ("Uplift", _uplift(design, station)),
        ("Room over the on level", say.volume(station.reserve)),
    ]
    if station.flow_alone is not None:
        facts.append(("Alone in its line", say.flow(station.flow_alone)))
    if station.study is not None:
        facts += _study(station.study, say)
    if station.line is not None:
        facts += _line(station.line, say)
    blocks: list[Block] = [Heading(text=f"Lift station {station.name}", level=2), Facts(items=tuple(facts))]
    if station.points and station.study is not None:
        blocks += _points(station, station.study.wear, say)
    if station.study is not None:
        blocks += _battery(station.study, say) + _storms(station.study, say)
    return blocks


def _uplift(design: Design, station: LiftStation) -> str:
    wanted = design.job.criteria.uplift_safety
    if math.isinf(station.uplift_safety):
        return "no water round it"
    return f"safety {station.uplift_safety:.2f} empty, wanted {wanted:.2f}"


def _study(study: PumpStudy, say: Say) -> list[tuple[str, str]]:
    season = study.season
    high = f" at the high end of its range (likely {say.flow(season.likely)})" if season.ranged else ""
    facts = [
        (f"Worn, {say.percent(study.wear)} of its head gone", f"{say.flow(study.worn_flow)}"),
        ("Wet season, a day without rain",
         f"ground water {say.flow(season.inflow)}{high}: runs {say.time(season.run_time)}, "
         f"starts {season.starts:.0f} times"),
    ]  # fmt: skip
    if season.energy is not None:
        assumed = ", power by the label and an assumed efficiency" if season.power_assumed else ""
        energy = f"{season.energy / 3.6e6:.0f} kWh in {season.days:.0f} days (assumed){assumed}"
        facts.append(("Power in a wet season", energy))
    if study.pair is not None:
        pair = study.pair
        facts.append(
            (
                "Second pump",
                f"alone {say.flow(pair.second_flow)}; both {say.flow(pair.both_flow)} at {say.head(pair.both_head)}, "
                f"{say.percent(pair.gain)} more than the stronger; taking turns {say.starts(pair.starts_each)} each at "
                "worst",
            )
        )
    else:
        facts.append(("Second pump", "none"))
    return facts


def _line(line: LineDetails, say: Say) -> list[tuple[str, str]]:
    surge = line.surge
    rating = "no pressure pipe" if surge.rating is None else f"the pipe bears {_pressure(surge.rating, say)}"
    facts = [
        ("Surge, sudden stop", f"{_pressure(surge.sudden, say)} over {_pressure(surge.working, say)} while it runs"),
        ("Slam of the check valve", f"{_pressure(surge.slam, say)}, water back at {say.speed(surge.reverse_velocity)}"),
        ("Line shut or frozen", _pressure(surge.dead_head, say)),
        ("Highest of these", f"{_pressure(surge.highest, say)}; {rating}"),
        (
            "Stays in the line",
            f"{say.volume(line.standing.volume)}, {say.volume(line.lows_volume)} of it in low places",
        ),
        ("Runs back after a run", say.volume(line.drains.volume)),
    ]
    if line.relief is not None:
        leak = f"{say.flow(line.relief.leak)}, {say.percent(line.relief.share, 1)} of the pump's flow"
        facts.append(("Relief hole squirts", leak))
    turned = [f"high at {say.length(one.distance)}" for one in line.highs]
    turned += [f"low at {say.length(one.distance)}" for one in line.lows]
    facts.append(("Turns of the line", joined(turned) or "none: one way up or down"))
    return facts


def _pressure(value: float, say: Say) -> str:
    return write(value, Kind.PRESSURE, say.units, "psi" if say.us else "kPa", 0)


def _points(station: LiftStation, wear: float, say: Say) -> list[Block]:
    rows: list[Row] = [
        (
            Cell(text=point.place, weight="semibold"), say.level(point.level),
            ("over " if point.beyond_curve else "") + say.flow(point.flow), say.head(point.head),
            say.speed(point.velocity), say.flow(point.worn_flow),
        )
        for point in station.points
    ]  # fmt: skip
    heads = ("Water at", "Level", "Flow", "Head", "Speed in the line", f"Worn {say.percent(wear)}")
    columns = tuple(Column(head=head, width=1.0, align="right" if n else "left") for n, head in enumerate(heads))
    return [Table(columns=columns, rows=tuple(rows), size=SIZE)]


def _battery(study: PumpStudy, say: Say) -> list[Block]:
    unit = study.unit or study.offered
    if unit is None:
        return [Paragraph(text="No battery unit of the list lifts the wet season's water here.", style="soft")]
    said = "Battery of the job" if study.unit is not None else "Battery: none in the job; a generic unit that would do"
    return [_battery_words(unit, said, say)]


def _battery_words(unit: BatteryUnit, said: str, say: Say) -> Paragraph:
    if not unit.reaches:
        return Paragraph(text=f"{said}: {unit.pump.name} lifts nothing at this head.")
    lasts = [
        f"{WATERS[one.water]} ({say.flow(one.inflow)}) "
        + ("for good" if math.isinf(one.seconds) else f"for {say.time(one.seconds)}")
        + ("" if one.keeps_up else ", falling behind")
        for one in unit.hours
    ]
    text = (
        f"{said}: {unit.pump.name}, {say.flow(unit.flow)} at {say.head(unit.head)}, from {unit.capacity:.0f} Ah at "
        f"{unit.volts:.0f} V and {unit.current:.0f} A. It lasts {joined(lasts)}."
    )
    return Paragraph(text=text)


def _storms(study: PumpStudy, say: Say) -> list[Block]:
    rows: list[Row] = [
        (
            Cell(text=say.years(storm.return_period), weight="semibold"), say.flow(storm.first),
            say.flow(sum(roof.flow for roof in storm.roofs if roof.led)), f"{storm.carried} of {len(storm.roofs)}",
            f"{storm.carried_worn} of {len(storm.roofs)}",
            say.flow(storm.spare) if storm.spare >= 0.0 else f"{say.flow(-storm.spare)} short",
            "no need" if math.isinf(storm.lasts) else say.time(storm.lasts),
        )
        for storm in study.storms
    ]  # fmt: skip
    heads = (
        "Rain", "Ground and yards", "Downspouts led here", "Carried", "Worn, no margin", "Spare", "Room lasts",
    )  # fmt: skip
    columns = tuple(Column(head=head, width=1.0, align="right" if n else "left") for n, head in enumerate(heads))
    note = (
        "Carried: downspouts, those led here first, that the pump takes after ground and yard water with its margin. "
        "Room lasts: until the basin is full over its on level, with all that is led here coming."
    )
    return [Table(columns=columns, rows=tuple(rows), size=SIZE), Paragraph(text=note, style="soft")] if rows else []


def main_blocks(design: Design, say: Say) -> list[Block]:
    """Discharge lines that several basins share."""
    rows: list[Row] = []
    for main in design.system.mains:
        rows += [
            (
                Cell(text=name, weight="semibold"), ", ".join(main.lines), main.end, say.flow(main.alone[name]),
                say.flow(main.together[name]), say.percent(main.share_kept(name)),
            )
            for name in main.basins
        ]  # fmt: skip
    if not rows:
        return []
    heads = ("Basin", "Common line", "Ends at", "Alone", "All together", "Keeps")
    columns = tuple(Column(head=head, width=1.0, align="right" if n > 2 else "left") for n, head in enumerate(heads))
    return [
        Heading(text="Discharge lines that are shared", level=2),
        Table(columns=columns, rows=tuple(rows), size=SIZE),
    ]


__all__ = ["main_blocks", "station_blocks"]
