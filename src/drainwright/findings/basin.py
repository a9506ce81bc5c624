"""Checks of the basin: alarm, uplift, rim, electricity, power cut, size, levels."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from math import hypot, isinf, radians, sin

from drainwright.findings.lift import INCH
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.findings.stations import basin_of, each_station, station_place
from drainwright.job.values import Basis
from drainwright.system.model import LiftStation

GRAVITY = 9.80665  # [m/s²]
WATER_DENSITY = 1000.0  # [kg/m³]
CONCRETE_DENSITY = 2400.0  # as the station's weight counts it [kg/m³]


@rule("LFT-09", "Alarm level", "common_practice")
@each_station
def alarm(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """The alarm sounds after the pump should have started and before water backs into the drain."""
    figure = case.level(station.alarm)
    limit = f"between {case.level(station.on)} and {case.level(station.lowest_inlet)}"
    if station.on < station.alarm <= station.lowest_inlet + 1e-6:
        yield ok(where, "The alarm sounds before water backs up.", figure=figure, limit=limit)
    else:
        yield caution(
            where,
            "The alarm is not between the pump's start and the lowest pipe.",
            figure=figure,
            limit=limit,
            advice="Set it just below the lowest pipe's invert.",
        )


@rule("LFT-10", "Uplift of the empty basin", "archimedes")
@each_station
def uplift(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """An empty basin in high ground water wants to float."""
    needed = case.job.criteria.uplift_safety
    safety, limit = station.uplift_safety, f"{needed:g} times the uplift or more"
    fact = case.job.ground.water_table
    basis = Basis.ASSUMED if fact is None else fact.basis
    if isinf(safety):
        text = "No ground water stands round the basin."
        yield ok(where, text, figure="no uplift", limit=limit, basis=basis)
        return
    figure = f"{safety:.2f} times the uplift"
    counted = f"Counted: {station.uplift_convention}."
    if safety >= needed:
        yield ok(where, f"The empty basin stays down. {counted}", figure=figure, limit=limit, basis=basis)
    else:
        short = (station.uplift * needed - station.resisting) / GRAVITY
        collar = short / (1 - WATER_DENSITY / CONCRETE_DENSITY)  # the collar itself lies in the water
        yield fails(
            where,
            f"Empty, with ground water at {case.level(station.water_table)}, the basin floats. {counted}",
            figure=figure,
            limit=limit,
            advice=f"Add {case.mass(collar)} of concrete collar, or a flange under the backfill, and never pump it dry "
            "while the hole is open and wet.",
            basis=basis,
        )


@rule("LFT-11", "Rim above the ground", "common_practice")
@each_station
def rim(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """Surface water must not run into the basin over its rim."""
    above = station.rim - station.ground
    figure = f"{case.small(abs(above))} {'above' if above >= 0 else 'below'} the ground"
    if above > 0.01:
        yield ok(where, "The rim stands above the ground.", figure=figure, limit="above the ground")
    else:
        yield caution(
            where,
            "Surface water can run into the basin over its rim.",
            figure=figure,
            limit="above the ground",
            advice=f"Set the rim {case.small(INCH)} to {case.small(2 * INCH)} above the finished ground.",
        )


@rule("LFT-12", "Electricity", "nec_gfci")
@each_station
def electricity(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """A circuit of its own, protected, done by a licensed electrician."""
    basin = basin_of(case, station.name)
    circuit = "unknown" if basin is None else basin.circuit
    there = None if basin is None else basin.circuits_there
    needs = 1 if station.second_on is None else 2
    if there is not None and there.value >= needs:
        words = (
            f"The pump's own circuit is there already ({there.source}); a licensed electrician checks it where the place "
            "asks."
        )
        figure, limit = f"{there.value} there already", "dedicated, GFCI"
        if there.basis is Basis.ASSUMED:
            alone = (
                "Have a licensed electrician see that it is the pump's alone and protected, before the pump is started."
            )
            yield caution(where, words, figure=figure, limit=limit, advice=alone, basis=there.basis)
        else:
            yield ok(where, words, figure=figure, limit=limit, basis=there.basis)
    elif circuit == "dedicated GFCI":
        yield ok(where, "The pump has a protected circuit of its own.", figure=circuit, limit="dedicated, GFCI")
    else:
        yield caution(
            where,
            "The pump's circuit is " + ("shared." if circuit == "shared" else "not settled yet."),
            figure=circuit,
            limit="dedicated, GFCI",
            advice="Have a licensed electrician give the pump its own protected circuit, and put the alarm on another one.",
            basis=Basis.MEASURED if circuit == "shared" else Basis.ASSUMED,
        )


@rule("LFT-13", "Power cut", "common_practice")
@each_station
def battery(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """How long a battery carries the pump through a power cut.

    Hours by rating: charge [Ah] times the usable share, over the current [A] times the share of time that its pump
    runs at the peak inflow. The storm test, which has the battery in it, says whether the floor stays dry.
    """
    basin = basin_of(case, station.name)
    wanted = case.job.criteria.power_cut
    limit = f"{case.hours(wanted)} without power"
    case_out = case.storm.case("power out")
    floods = case_out is not None and not case_out.dry
    cell = None if basin is None else basin.battery
    if cell is not None and cell.current <= 0:
        yield caution(
            where,
            "A battery is entered without the current that the pump draws from it: its hours cannot be told.",
            figure="current not given",
            limit=limit,
            advice="Read the current from the unit's sheet, or measure it while the pump runs.",
            basis=Basis.STATED,
        )
    elif cell is not None:
        unit = None if station.study is None else station.study.unit
        lifts = station.operating_flow if unit is None else unit.flow
        share = min(1.0, station.inflow / lifts) if lifts > 0.0 else 1.0
        seconds = 3600 * cell.capacity * cell.usable / (cell.current * max(share, 1e-6))
        figure = f"{case.hours(seconds)} in the design rain"
        if seconds >= wanted and not floods:
            text = "The battery outlasts the power cut."
            yield ok(where, text, figure=figure, limit=limit, basis=Basis.STATED)
        elif not floods:
            text = (
                f"At the peak inflow the battery lasts {case.hours(seconds)}, and the power cut does not wet the floor."
            )
            yield ok(where, text, figure=figure, limit=limit, basis=Basis.STATED)
        else:
            yield caution(
                where,
                f"The battery carries the pump {case.hours(seconds)} at the peak inflow, and a power cut of "
                f"{case.hours(wanted)} in the design storm still wets the floor.",
                figure=figure,
                limit=limit,
                advice="Take more capacity, or a second battery."
                if seconds < wanted
                else "The battery is not what is short: look at the pump's flow against the storm.",
                basis=Basis.STATED,
            )
    elif floods:
        yield caution(
            where,
            f"There is no battery, and a power cut of {case.hours(wanted)} in the design storm wets the floor.",
            figure="no battery",
            limit=limit,
            advice="Offer the customer a battery unit or a second way out, in writing, and note the answer.",
            basis=case.water_basis,
        )
    else:
        yield ok(
            where,
            f"A power cut of {case.hours(wanted)} in the design storm does not wet the floor even without a battery.",
            figure="no battery",
            limit=limit,
            basis=case.water_basis,
        )


@rule("LFT-15", "Least basin", "irc_ch33")
@each_station
def least_basin(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """The code's least basin is 18 in wide and 24 in deep."""
    figure = f"{case.small(station.inside_diameter)} x {case.small(station.depth)}"
    limit = f"{case.small(18 * INCH)} x {case.small(24 * INCH)}"
    if station.inside_diameter >= 18 * INCH - 1e-6 and station.depth >= 24 * INCH - 1e-6:
        yield ok(where, "The basin has at least the code's size.", figure=figure, limit=limit)
    else:
        yield fails(
            where,
            "The basin is smaller than the code's least.",
            figure=figure,
            limit=limit,
            advice="Take a larger basin.",
        )


@rule("LFT-16", "Pump start below the drain", "sump_extension")
@each_station
def start_below_drain(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """Room between the pump's start and the lowest pipe."""
    room = station.lowest_inlet - station.on
    figure = f"the pump starts {case.small(abs(room))} {'below' if room >= 0 else 'above'} the lowest pipe"
    limit = "below the lowest pipe"
    if room > 0:
        yield ok(where, "The drain stays free while the pump waits.", figure=figure, limit=limit)
    else:
        yield fails(
            where,
            "Water stands in the lowest pipe before the pump starts.",
            figure=figure,
            limit=limit,
            advice="Take a deeper basin or lower the floats.",
        )


@rule("LFT-18", "Sand and leaves before the pump", "common_practice")
@each_station
def screened(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """A sump pump passes about half an inch of solids."""
    basin = basin_of(case, station.name)
    if basin is None or basin.screened:
        return
    yield caution(
        where,
        "Nothing keeps leaves and sand out of the basin.",
        figure="nothing upstream",
        limit="a sump or screen upstream",
        advice="Give each catch basin a sump below its outlet, and screen the basin's inlets.",
    )


@rule("LFT-19", "Holes apart", "common_practice")
def holes_apart(case: Case) -> Iterator[Outcome]:
    """Holes through a basin's wall leave wall enough between them to hold."""
    sizes = {inlet.name: inlet.size for inlet in case.job.works.inlets}
    sizes |= {station.name: station.inside_diameter for station in case.system.stations}
    least = 2 * INCH
    for one, other in combinations(case.build.takeoff.holes, 2):
        if one.node != other.node or one.node not in sizes:
            continue
        turn = radians(30.0 * (one.clock - other.clock))  # an hour of the clock is 30 degrees
        across = sizes[one.node] * abs(sin(turn / 2))
        wall = hypot(across, one.height - other.height) - (one.diameter + other.diameter) / 2
        inlet = any(one.node == item.name for item in case.job.works.inlets)
        where = f"works.inlets.{one.node}" if inlet else station_place(case, one.node)
        figure = f"{case.small(abs(wall))} {'between' if wall >= 0 else 'into each other'}, {one.run} and {other.run}"
        limit = f"{case.small(least)} or more between"
        if wall >= least:
            yield ok(
                where, f"The holes for {one.run} and {other.run} leave wall between them.", figure=figure, limit=limit
            )
        elif wall < 0:
            yield fails(
                where,
                f"The holes for {one.run} and {other.run} cut into each other in the wall of {one.node}.",
                figure=figure,
                limit=limit,
                advice="Join the two pipes with a wye outside, or bring one in from another side.",
            )
        else:
            yield caution(
                where,
                f"The holes for {one.run} and {other.run} come too close together in the wall of {one.node}.",
                figure=figure,
                limit=limit,
                advice="Join the two pipes with a wye outside, or bring one in from another side.",
            )
