"""Beside the basin's section: notes, holes to cut, and figures of the pump."""

from __future__ import annotations

import math

from drainwright.design import Design
from drainwright.hydraulics.buoyancy import ring_volume
from drainwright.paper.frame import Block, Column, paragraph, stacked, table
from drainwright.paper.sheet import Mark
from drainwright.paper.wording import Wording
from drainwright.quantities import Kind, percent, write
from drainwright.system.catalogue import find_pipe
from drainwright.system.lift.pump_model import PumpStudy
from drainwright.system.lift.uplift import BASIN_WALL, CONCRETE_DENSITY
from drainwright.system.model import LiftStation
from drainwright.system.trade import pipe_words, pump_words
from drainwright.worksheet import quiet

WATERS = {"between rains": "between rains", "wet season": "of the wet season", "design rain": "of the design rain"}
COLLAR = 0.1524  # drawn width of a concrete collar of which the job gives the mass alone [m]


def collar_size(station: LiftStation) -> tuple[float, float]:
    """Width and height of the concrete collar; from its mass at the drawn width where that is all the job gives. [m]"""
    if station.collar <= 0 or station.collar_width > 0:
        return station.collar_width, station.collar_height
    inner = station.inside_diameter + 2 * BASIN_WALL
    with quiet():
        area = float(ring_volume(inner, inner + 2 * COLLAR, 1.0))
    return COLLAR, station.collar / CONCRETE_DENSITY / area


def _clock(hours: float) -> str:
    """A direction as on a clock's face: 10.125 is 10:08."""
    minutes = round(hours * 60) % 720
    return f"{minutes // 60 or 12}:{minutes % 60:02d}"


def basin_notes(design: Design, station: LiftStation, left: float, top: float, width: float) -> list[Mark]:
    """What hangs in the basin, the holes to cut, and how the pump will run."""
    word = Wording(design.job.units)
    basin = design.job.works.basin_named(station.name)
    holes = [hole for hole in design.build.takeoff.holes if hole.node == station.name]
    rows = [
        (
            hole.run,
            pipe_words(find_pipe(hole.pipe), word.units),
            word.saw(hole.diameter),
            word.small(hole.height),
            _clock(hole.clock),
        )
        for hole in holes
    ]
    columns = (
        Column("run", 1.05),
        Column("pipe", 2.6),
        Column("hole", 1.9, "end"),
        Column("centre over floor", 1.8, "end"),
        Column("clock", 1.2, "end"),
    )
    duty = f"{word.flow(station.operating_flow)} against {word.length(station.operating_head)} of head"
    if not station.reaches:
        duty = "lifts no water here"
    valve = "Check valve high in the riser, under union, ball valve and elbow; its arrow points up."
    if basin is not None and not basin.check_valve:
        valve = "No check valve: the discharge line drains back into the basin at every stop."
    if station.second_on is not None:
        duty += ", with a second pump beside it"
    name = pump_words(station.pump, word.units)
    parts = [
        paragraph(f"{name}: {duty}, {word.speed(station.velocity)} in {station.discharge_run}.", bullet="1"),
        paragraph(valve, bullet="2"),
    ]
    if basin is None:
        parts.append(paragraph("Relief hole below the check valve, aimed down into the basin.", bullet="3"))
    elif basin.relief_hole is not None:
        aim = "" if basin.relief_hole_place == "outside the basin" else ", aimed down into the basin"
        hole = f"Relief hole {word.drill(basin.relief_hole)} {basin.relief_hole_place}{aim}."
        parts.append(paragraph(hole, bullet="3"))
    uplift = "No water stands round the basin: no uplift."
    if math.isfinite(station.uplift_safety):
        safety = f"{station.uplift_safety:.2f} (asked: {design.job.criteria.uplift_safety:.2f})"
        uplift = f"Uplift on the empty basin: safety {safety}, water table at {word.level(station.water_table)}."
    short = station.uplift_safety < design.job.criteria.uplift_safety
    parts.append(paragraph(uplift, layer="text warning" if short else "text", bullet=str(len(parts) + 1)))
    if station.collar > 0:
        wide, tall = (word.small(size) for size in collar_size(station))
        mass = write(station.collar, Kind.MASS, design.job.units)
        text = f"Concrete collar round the foot, from the underside up: {wide} wide × {tall} high all round, {mass}."
        if station.collar_width > 0:
            text += " The soil over it counts: water in the basin until it is tamped."
        else:
            text += " The job gives its mass; the shape is only drawn, and no soil over it is counted."
        parts.append(paragraph(text, bullet=str(len(parts) + 1)))
    circuit = basin.circuit if basin is not None else "unknown"
    stands = basin is not None and basin.circuits_there is not None and basin.circuits_there.value > 0
    there = " One is there already: see that it is the pump's alone." if stands else ""
    parts.append(
        paragraph(
            f"Electric circuit: {circuit}.{there} A licensed electrician, to the local code.",
            bullet=str(len(parts) + 1),
        )
    )
    if holes:
        turned = (
            "Pipes are turned into the section, each at its true height; see the clock directions for where they enter."
        )
        parts.append(paragraph(turned, bullet=str(len(parts) + 1)))
    warning = (
        "Nobody enters the basin, not even to help: it is a confined space. Unplug the pump before a hand or a tool"
        " goes in."
    )
    parts.append(paragraph(warning, layer="text warning", bullet=str(len(parts) + 1)))
    marks, y = stacked("Notes", parts)(left, top, width)
    marks2, y = (
        table("Holes to cut, 12 o'clock is up on the plan", columns, rows)(left, y - 3.0, width) if rows else ([], y)
    )
    run_time = f"{station.run_time:.0f} s" if math.isfinite(station.run_time) else "does not stop"
    more, y = table(
        "Water", (Column("", 3.0), Column("", 2.0, "end")),
        [
            ("design inflow", word.flow(station.inflow)),
            ("of it ground water, likely", word.flow(station.inflow_ground)),
            ("starts an hour at the design inflow", f"{station.starts_design * 3600:.1f}"),
            ("starts an hour at worst", f"{station.starts * 3600:.1f}"),
            ("one run at the design inflow", run_time),
            ("off to on", word.small(station.float_levels["on"] - station.float_levels["off"])),
        ],
    )(left, y - 3.0, width)  # fmt: skip
    season, _ = ([], y) if station.study is None else _season(station.study, word)(left, y - 3.0, width)
    return [*marks, *marks2, *more, *season]


def _season(study: PumpStudy, word: Wording) -> Block:
    """What the next technician looks for: the pump worn, in the wet season, beside another one, on a battery."""
    season = study.season
    rows = [
        (f"flow of the pump with {percent(study.wear)} of its head gone", word.flow(study.worn_flow)),
        ("wet season: ground water, likely", word.flow(season.likely)),
        *([("at the high end of its range", word.flow(season.inflow))] if season.ranged else []),
        ("runs in a day of that, without rain", _clock_time(season.run_time)),
        ("starts in such a day", f"{season.starts:.0f}"),
    ]
    if season.energy is not None:
        rows.append((f"power in {season.days:.0f} such days (assumed)", f"{season.energy / 3.6e6:.0f} kWh"))
    if study.pair is not None:
        rows.append(("both pumps together", word.flow(study.pair.both_flow)))
    if study.unit is not None:
        rows.append((f"battery unit, {study.unit.capacity:.0f} Ah", word.flow(study.unit.flow)))
        rows += [(f"lasts with the water {WATERS[one.water]}", _clock_time(one.seconds)) for one in study.unit.hours]
    return table("Over the year", (Column("", 3.0), Column("", 2.0, "end")), rows)


def _clock_time(seconds: float) -> str:
    if math.isinf(seconds):
        return "without end"
    return f"{seconds / 60:.0f} min" if seconds < 5400 else f"{seconds / 3600:.1f} h"


__all__ = ["basin_notes"]
