"""Checks of the basin: alarm, uplift, rim, electricity, power cut, size, levels."""

from __future__ import annotations

from collections.abc import Iterator
from math import isinf

from drainwright.findings.lift import INCH, WHERE, basin_of
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.job.values import Basis


@rule("LFT-09", "Alarm level", "common_practice")
def alarm(case: Case) -> Iterator[Outcome]:
    """The alarm sounds after the pump should have started and before water backs into the drain."""
    station = case.system.station
    if station is None:
        return
    figure = case.level(station.alarm)
    limit = f"between {case.level(station.on)} and {case.level(station.lowest_inlet)}"
    if station.on < station.alarm <= station.lowest_inlet + 1e-6:
        yield ok(WHERE, "The alarm sounds before water backs up.", figure=figure, limit=limit)
    else:
        yield caution(
            WHERE,
            "The alarm is not between the pump's start and the lowest pipe.",
            figure=figure,
            limit=limit,
            advice="Set it just below the lowest pipe's invert.",
        )


@rule("LFT-10", "Uplift of the empty basin", "archimedes")
def uplift(case: Case) -> Iterator[Outcome]:
    """An empty basin in high ground water wants to float."""
    station = case.system.station
    if station is None:
        return
    needed = case.job.criteria.uplift_safety
    safety = station.uplift_safety
    if isinf(safety):
        yield ok(WHERE, "No ground water stands round the basin.", figure="no uplift", limit=f"{needed:g}")
        return
    fact = case.job.ground.water_table
    basis = Basis.ASSUMED if fact is None else fact.basis
    figure = f"{safety:.2f} ({station.uplift_convention})"
    if safety >= needed:
        yield ok(WHERE, "The empty basin stays down.", figure=figure, limit=f"{needed:g} or more", basis=basis)
    else:
        short = (station.uplift * needed - station.resisting) / 9.80665
        yield fails(
            WHERE,
            f"Empty, with ground water at {case.level(station.water_table)}, the basin floats.",
            figure=figure,
            limit=f"{needed:g} or more",
            advice=f"Add {case.mass(short)} of concrete collar, or a flange under the backfill, and never pump it dry "
            "while the hole is open and wet.",
            basis=basis,
        )


@rule("LFT-11", "Rim above the ground", "common_practice")
def rim(case: Case) -> Iterator[Outcome]:
    """Surface water must not run into the basin over its rim."""
    station = case.system.station
    if station is None:
        return
    above = station.rim - station.ground
    figure = f"{case.small(abs(above))} {'above' if above >= 0 else 'below'} the ground"
    if above > 0.01:
        yield ok(WHERE, "The rim stands above the ground.", figure=figure, limit="above the ground")
    else:
        yield caution(
            WHERE,
            "Surface water can run into the basin over its rim.",
            figure=figure,
            limit="above the ground",
            advice="Set the rim 1 to 2 in above the finished ground.",
        )


@rule("LFT-12", "Electricity", "nec_gfci")
def electricity(case: Case) -> Iterator[Outcome]:
    """A circuit of its own, protected, done by a licensed electrician."""
    if case.system.station is None:
        return
    basin = basin_of(case)
    circuit = "unknown" if basin is None else basin.circuit
    if circuit == "dedicated GFCI":
        yield ok(WHERE, "The pump has a protected circuit of its own.", figure=circuit, limit="dedicated, GFCI")
    else:
        yield caution(
            WHERE,
            "The pump's circuit is " + ("shared." if circuit == "shared" else "not settled yet."),
            figure=circuit,
            limit="dedicated, GFCI",
            advice="Have a licensed electrician give the pump its own protected circuit, and put the alarm on another one.",
            basis=Basis.MEASURED if circuit == "shared" else Basis.ASSUMED,
        )


@rule("LFT-13", "Power cut", "common_practice")
def battery(case: Case) -> Iterator[Outcome]:
    """How long a battery carries the pump through a power cut."""
    station, basin = case.system.station, basin_of(case)
    if station is None:
        return
    wanted = case.job.criteria.power_cut
    case_out = case.storm.case("power out")
    floods = case_out is not None and case_out.time_to_slab is not None
    if basin is not None and basin.battery is not None and basin.battery.current > 0:
        duty_share = min(1.0, station.inflow / station.operating_flow) if station.reaches else 1.0
        hours = basin.battery.capacity * basin.battery.usable / (basin.battery.current * duty_share)
        figure, limit = f"{hours:.1f} h in the design rain", f"{wanted / 3600:.1f} h"
        if hours * 3600 >= wanted:
            yield ok(WHERE, "The battery outlasts the power cut.", figure=figure, limit=limit, basis=Basis.STATED)
        else:
            yield caution(
                WHERE,
                f"The battery carries the pump {hours:.1f} h.",
                figure=figure,
                limit=limit,
                advice="Take more capacity, or a second battery.",
                basis=Basis.STATED,
            )
    elif floods:
        yield caution(
            WHERE,
            f"There is no battery, and a power cut of {wanted / 3600:.0f} h in the design storm wets the floor.",
            figure="none",
            limit=f"{wanted / 3600:.1f} h",
            advice="Offer the customer a battery unit or a second way out, in writing, and note the answer.",
        )
    else:
        yield ok(
            WHERE,
            f"A power cut of {wanted / 3600:.0f} h in the design storm does not wet the floor even without a battery.",
            figure="none fitted",
            limit=f"{wanted / 3600:.1f} h",
        )


@rule("LFT-15", "Least basin", "irc_ch33")
def least_basin(case: Case) -> Iterator[Outcome]:
    """The code's least basin is 18 in wide and 24 in deep."""
    station = case.system.station
    if station is None:
        return
    figure = f"{case.small(station.inside_diameter)} x {case.small(station.depth)}"
    limit = f"{case.small(18 * INCH)} x {case.small(24 * INCH)}"
    if station.inside_diameter >= 18 * INCH - 1e-6 and station.depth >= 24 * INCH - 1e-6:
        yield ok(WHERE, "The basin has at least the code's size.", figure=figure, limit=limit)
    else:
        yield fails(
            WHERE,
            "The basin is smaller than the code's least.",
            figure=figure,
            limit=limit,
            advice="Take a larger basin.",
        )


@rule("LFT-16", "Pump start below the drain", "sump_extension")
def start_below_drain(case: Case) -> Iterator[Outcome]:
    """Room between the pump's start and the lowest pipe."""
    station = case.system.station
    if station is None:
        return
    room = station.lowest_inlet - station.on
    figure = case.small(room)
    if room > 0:
        yield ok(WHERE, "The drain stays free while the pump waits.", figure=figure, limit="above 0")
    else:
        yield fails(
            WHERE,
            "Water stands in the lowest pipe before the pump starts.",
            figure=figure,
            limit="above 0",
            advice="Take a deeper basin or lower the floats.",
        )


@rule("LFT-18", "Sand and leaves before the pump", "common_practice")
def screened(case: Case) -> Iterator[Outcome]:
    """A sump pump passes about half an inch of solids."""
    basin = basin_of(case)
    if case.system.station is None or basin is None or basin.screened:
        return
    yield caution(
        WHERE,
        "Nothing keeps leaves and sand out of the basin.",
        figure="open",
        limit="a sump or screen upstream",
        advice="Give each catch basin a sump below its outlet, and screen the basin's inlets.",
    )
