"""The figures that govern the design, each with the worksheet step that gave it."""

from __future__ import annotations

import math
from dataclasses import dataclass

from drainwright.design import Design
from drainwright.hydraulics.arrays import GRAVITY
from drainwright.paper.documents.say import Say
from drainwright.quantities import Kind, write
from drainwright.system.model import LiftStation, SizedRun
from drainwright.system.trade import fall_words
from drainwright.worksheet import step_number

NO_STEP = "–"
CAUSES = {"roof": "roofs", "yard": "yards", "ground": "runs"}  # a cause of water, where its steps stand


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """One figure of the design."""

    key: str  # "duty flow"
    where: str  # basin, run or outlet
    what: str
    value: str  # in the job's units; with its step: "70 gpm (W 155)"
    limit: str = ""


def cited(design: Design, shown: str, formula: str, value: float, where: str = "") -> str:
    """A figure as it is shown, with the number of its step: ``44.2 gpm (W 12)``; bare where it has no step.

    Parameters
    ----------
    design : Design
        The designed job.
    shown : str
        The figure as it stands in the paper.
    formula : str
        Name in the catalogue of the formula that gave it.
    value : float
        The figure, in the unit of the formula's card.
    where : str
        How the step's place begins.

    Returns
    -------
    str
        The step cited gave this very value.
    """
    number = step_number(design.steps, formula, value, where)
    return shown if number is None else f"{shown} (W {number})"


def rain_of(intensity: float, say: Say) -> str:
    """A rain's intensity: ``7.92 in/h``, ``201 mm/h``."""
    return write(intensity, Kind.INTENSITY, say.units, "in/h" if say.us else "mm/h", 2 if say.us else 0)


def inflow_rows(design: Design) -> tuple[tuple[str, ...], ...]:
    """Each source of water: from where, to where, rain and flow, with their steps."""
    say = Say(design.job.units)
    rows = []
    for one in design.inflows.contributions:
        place = f"{CAUSES[one.cause.value]}.{one.source}"
        rain, gives = NO_STEP, "water.ground.drain_inflow"
        if one.cause.value != "ground":
            gives = "water.runoff.rational_flow"
            shown = f"{rain_of(one.intensity, say)}"
            rain = f"{say.years(one.return_period)}, {say.time(one.time)}: " + cited(
                design, shown, "water.rain.mean_intensity", one.intensity, place
            )
        rows.append(
            (
                one.named,
                one.entry,
                rain,
                cited(design, say.flow(one.flow), gives, one.flow, place),
            )
        )
    return tuple(rows)


def run_rows(design: Design) -> tuple[tuple[str, ...], ...]:
    """Each run: pipe, fall, design flow, capacity and velocity, with their steps."""
    say = Say(design.job.units)
    return tuple(
        (
            run.name, say.pipe(run), "under pressure" if run.pressure else _governing_fall(run, say),
            f"{say.flow(design.system.pumped_flow(run))}, pumped" if run.pressure else say.flow(run.flow),
            NO_STEP if run.pressure
            else cited(design, say.flow(run.capacity), "hydraulics.openflow.full_flow", run.capacity,
                       f"runs.{run.name}"),
            _velocity(design, run, say),
            NO_STEP if run.pressure else say.percent(run.fill),
        )
        for run in design.system.runs
    )  # fmt: skip


def _governing_fall(run: SizedRun, say: Say) -> str:
    """The fall by which a run's capacity is reckoned: its flattest, told as such where it has several."""
    told = fall_words(run, say.units, say.fall)
    return f"{told}; the flattest governs" if len(run.stretches) > 1 else told


def _velocity(design: Design, run: SizedRun, say: Say) -> str:
    formula = "hydraulics.pressure.pipe_velocity" if run.pressure else "hydraulics.energy.velocity_at_depth"
    return cited(design, say.speed(run.velocity), formula, run.velocity, "" if run.pressure else f"runs.{run.name}")


def station_figures(design: Design) -> tuple[Figure, ...]:
    """Basin, pump, discharge and flotation of every lift station."""
    say = Say(design.job.units)
    return tuple(figure for station in design.system.stations for figure in _station(design, station, say))


def _station(design: Design, station: LiftStation, say: Say) -> list[Figure]:
    where, criteria = f"works.{station.name}", design.job.criteria
    duty = station.operating_flow if station.flow_alone is None else station.flow_alone

    def one(key: str, what: str, shown: str, formula: str, value: float, limit: str = "") -> Figure:
        return Figure(
            key=key, where=station.name, what=what, value=cited(design, shown, formula, value, where), limit=limit
        )

    found: list[Figure] = [
        one("band", "Volume from off to on", say.volume(station.band_volume), "hydraulics.wetwell.basin_volume",
            station.band_volume),
        one("starts", "Starts at the worst inflow", say.starts(station.starts),
            "hydraulics.wetwell.most_starts_per_hour", station.starts * 3600.0,
            f"{say.starts(criteria.maximum_starts)} at most"),
        one("cycle", "One run at the design inflow", say.time(station.run_time), "hydraulics.wetwell.drawdown_time",
            station.run_time, f"{say.time(criteria.minimum_run)} at least"),
        one("duty flow", "Duty flow of one pump", say.flow(duty), "hydraulics.pump.operating_point", duty,
            f"{say.flow(station.inflow)} design inflow, times {criteria.pump_margin:g}"),
        one("duty head", "Duty head", say.head(station.operating_head), "hydraulics.pump.operating_point",
            station.operating_head, _lift(station, say)),
        one("line velocity", "Velocity in the discharge line", say.speed(station.velocity),
            "hydraulics.pressure.pipe_velocity", station.velocity,
            f"{say.speed(criteria.minimum_velocity)} to {say.speed(criteria.maximum_velocity)}"),
    ]  # fmt: skip
    if not math.isfinite(station.uplift_safety):
        found.append(Figure(key="uplift", where=station.name, what="Flotation, empty", value="no water round it"))
        return found
    found.append(
        one("uplift", "Flotation: weight of the water that the empty basin displaces",
            say.mass(station.uplift / GRAVITY), "hydraulics.buoyancy.uplift_force",
            station.uplift, f"resisted by {say.mass(station.resisting / GRAVITY)}: safety "
            f"{station.uplift_safety:.2f}, wanted "
            f"{criteria.uplift_safety:.2f}")
    )  # fmt: skip
    return found


def _lift(station: LiftStation, say: Say) -> str:
    """The lift at the duty point, and what the pump does at the stop level."""
    told = f"{say.head(station.duty_lift)} of it lift, water midway between stop and start"
    low = next((point for point in station.points if point.place == "off"), None)
    if low is None:
        return told
    return (
        f"{told}; at the stop level {say.flow(low.flow)} against {say.head(low.head)}, "
        f"{say.head(station.static_head)} of it lift"
    )


def outlet_figures(design: Design) -> tuple[Figure, ...]:
    """Where the water goes: what gravity reaches, the line that is joined, the speed at the end."""
    say, system = Say(design.job.units), design.system
    found = []
    numbers = {point.name: number for number, point in enumerate(design.job.works.discharge)}
    for verdict in system.gravity:
        shown = cited(
            design, say.level(verdict.needed), "system.gravity.arrival_level", verdict.needed,
            f"works.discharge[{numbers[verdict.discharge]}]",
        )  # fmt: skip
        found.append(
            Figure(
                key="gravity", where=verdict.discharge, what="Gravity water would arrive at", value=shown,
                limit=f"outlet at {say.level(verdict.available)}: "
                f"{'reaches' if verdict.reaches else 'does not reach'}; "
                f"leave: {verdict.lawful}",
            )
        )  # fmt: skip
    if system.joined is not None:
        line = system.joined
        shown = cited(
            design, say.flow(line.capacity), "hydraulics.openflow.full_flow", line.capacity, "works.discharge."
        )  # fmt: skip
        found.append(
            Figure(
                key="joined", where=line.name, what="Capacity of the line that is joined", value=shown,
                limit=f"{say.flow(line.load)} comes to it"
                + (", one pump running" if system.second_pump_more > 0.0 else ""),
            )
        )  # fmt: skip
        both = line.load + system.second_pump_more
        if both > line.load:
            found.append(
                Figure(
                    key="joined with both", where=line.name, what="The same line, both pumps running", value=shown,
                    limit=f"{say.flow(both)} comes to it" + (": more than it carries" if both > line.capacity else ""),
                )
            )  # fmt: skip
    for fall in system.outfalls:
        shown = cited(
            design, say.speed(fall.velocity), "hydraulics.energy.velocity_at_depth", fall.velocity,
            f"works.discharge.{fall.name}",
        )  # fmt: skip
        bears = "paving" if math.isinf(fall.allowed) else f"the ground bears {say.speed(fall.allowed)}"
        if fall.velocity > fall.allowed and fall.apron_built > 0:
            bears = f"{bears}: an apron of stone, {say.length(fall.apron_built)} long, takes it"
        found.append(
            Figure(key="outfall", where=fall.name, what="Speed leaving the pipe", value=shown, limit=bears)
        )  # fmt: skip
    for end in system.ends:
        if end.form == "air gap":
            shown = cited(
                design, say.small(end.gap_least), "hydraulics.outfall.least_air_gap", end.gap_least,
                f"works.discharge.{end.name}",
            )  # fmt: skip
            found.append(
                Figure(
                    key="air gap", where=end.name, what="Least air gap", value=shown,
                    limit=f"{say.small(end.gap)} is built ({end.gap_basis.value})",
                )
            )  # fmt: skip
    return tuple(found)


OF_QUESTION = {  # a question, the figures that its answer leans on
    2: ("joined",), 3: ("starts", "cycle", "band"), 8: ("duty flow", "duty head", "line velocity"), 9: ("gravity",),
    12: ("line velocity", "outfall"), 14: ("band", "starts", "cycle", "uplift"),
}  # fmt: skip


def figures_of(design: Design, question: int) -> str:
    """The figures behind an answer, each with its step: one sentence; empty where no step bears on it."""
    keys = OF_QUESTION.get(question, ())
    every = (*station_figures(design), *outlet_figures(design)) if keys else ()
    told = [f"{one.where}, {one.what[:1].lower()}{one.what[1:]} {one.value}" for one in every if one.key in keys]
    return "; ".join(text for text in told if "(W " in text)


def design_storm(design: Design) -> str:
    """The storms that the design keeps, in one sentence."""
    say, keep = Say(design.job.units), design.job.criteria
    return (
        f"Pipes: {say.years(keep.roof_return_period)} rain on roofs, {say.years(keep.yard_return_period)} rain "
        f"on yards. "
        f"Storm test: {say.years(keep.storm_return_period)} rain of {say.time(keep.storm_duration)}, then with "
        f"one thing "
        f"broken at a time. Rain: {design.inflows.rain.source.strip().rstrip('.') or 'source not given'} "
        f"({design.inflows.rain.basis.value})."
    )


__all__ = [
    "NO_STEP", "OF_QUESTION", "Figure", "cited", "design_storm", "figures_of", "inflow_rows", "outlet_figures",
    "rain_of", "run_rows", "station_figures",
]  # fmt: skip
