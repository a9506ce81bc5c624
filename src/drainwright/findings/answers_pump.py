"""Answers about water in, pump and way out."""

from __future__ import annotations

from drainwright.build.wording import BASIS_WORDS
from drainwright.findings.answers import Findings, Reply, marks, question, sentences
from drainwright.findings.gravity_words import lead_away, past_words, reach_words
from drainwright.findings.lift import sheet_basis
from drainwright.findings.model import Severity
from drainwright.findings.place_checks import DEFERS, place_checks
from drainwright.findings.places import counted, leads_to
from drainwright.findings.pump_words import (
    battery_words,
    downspout_count,
    dry_filling,
    offered_words,
    ranking_words,
    season_words,
)
from drainwright.findings.rules import Case
from drainwright.findings.ways_used import used
from drainwright.job.values import Basis
from drainwright.quantities import percent
from drainwright.system.model import LiftStation
from drainwright.system.trade import fall_words, pipe_words
from drainwright.water.model import Cause

NO_PUMP = "No pump is needed here: gravity takes the water away."


def _no_pump() -> Reply:
    return Reply(text=NO_PUMP, rests_on="the levels measured", do="Nothing.")


def _rain_mark(case: Case) -> tuple[str, Basis]:
    return ("rain table", case.job.rain.basis)


@question(1, "Can the sump, or the footing drain, take the downspouts? How many, in which storm?")
def downspouts(case: Case, found: Findings) -> Reply:
    """Spare flow at the duty point over the roof flow of one downspout."""
    system, station = case.system, case.system.station
    roofs = [item for item in case.inflows.contributions if item.cause is Cause.ROOF and item.flow > 0]
    years = f"{case.job.criteria.roof_return_period / 31557600.0:g}-year rain"
    basis = marks([_rain_mark(case), *((item.named, item.basis) for item in roofs)])
    drains = any(run.duty == "footing drain" for run in system.runs)
    parts = ["The footing drain takes none: roof water in perforated pipe leaves it at the footing."] if drains else []
    if any(item.severity is Severity.FAILS for item in found.of("NET-06")):
        parts = [found.says("NET-06")]
    end = system.discharge if station is None else station.name
    led = [item for item in roofs if leads_to(system, item.entry, end)]
    spouts = len({item.entry for item in led})
    total = sum(item.flow for item in led)
    other = past_words(system, roofs, led)
    if station is None:
        if led:
            parts.append(
                f"Gravity carries {case.flow(total)} of roof water from {counted(spouts, 'downspout')} in the {years}."
            )
        else:
            parts.append("No downspout is led into this system.")
        return Reply(
            text=sentences(*parts, other, found.says("NET-03") if found.bad("NET-03") else "", found.says("STM-01")),
            rests_on=basis,
            limit=found.limits("NET-03"),
            do=found.advice("NET-06", "NET-03") or "Keep the roof pipe solid to the outlet.",
        )
    rest = max(0.0, station.inflow - total)
    spare = station.operating_flow / case.job.criteria.pump_margin - rest
    parts.append(
        f"The pump delivers {case.flow(station.operating_flow)}; in the {years} everything but the roofs brings "
        f"{case.flow(rest)}, which leaves {case.flow(max(0.0, spare))} for roof water with the wanted margin."
    )
    number = 0
    if roofs:
        each = total / spouts if led else sum(item.flow for item in roofs) / len({item.entry for item in roofs})
        number = max(0, int(spare / each + 1e-9))
        takes = "none" if number == 0 else f"{number}"
        lead = "none is" if spouts == 0 else "1 is" if spouts == 1 else f"{spouts} are"
        parts.append(f"A downspout here brings {case.flow(each)}: the pump can take {takes}, and {lead} led to it.")
        parts.append(downspout_count(case, station))
    parts += [
        f"{other.name}: {said}"
        for other in case.system.stations
        if other is not station and (said := downspout_count(case, other))
    ]
    if not led:
        do = lead_away(case, roofs)
    elif number >= spouts:
        do = "Leave it so."
    else:
        do = "Lead the others elsewhere, or take a larger pump."
    return Reply(
        text=sentences(*parts, other, found.says("STM-01"), found.says("STM-16", every=True)),
        rests_on=basis,
        limit=found.limits("LFT-01"),
        do=sentences(found.advice("NET-06"), do),
    )


@question(2, "Where may the water lawfully go here, and what must be asked first?")
def lawful(case: Case, found: Findings) -> Reply:
    """The verdict on every discharge point, with the rule's source and date."""
    parts = []
    for verdict in case.system.gravity:
        word = reach_words(case.system, case.inflows, verdict, case.job.units)
        said = "nobody has asked yet" if verdict.lawful == "unknown" else verdict.lawful
        parts.append(f"{verdict.discharge} ({verdict.kind}): {said}; {word}.")
    rules = []
    for outlet in case.job.rules.outlets:
        origin = ", ".join(str(word) for word in (outlet.standing.source, outlet.standing.date) if word)
        rules.append(f"{outlet.kind}: {outlet.standing.value}" + (f" ({origin})" if origin else ""))
    if rules:
        parts.append(f"The rules of the place: {'; '.join(rules)}.")
    checks = place_checks(case)
    still = [item.demand for item in checks if item.met is None]
    if still:
        parts.append(f"Still to be asked, and ticked by a person: {'; '.join(still)}. {DEFERS}")
    point = used(case)
    rests = marks(
        [("permission", point.permission.basis), *((o.kind, o.standing.basis) for o in case.job.rules.outlets)]
    )
    asked = case.job.rules.outlets or point.permission.value in ("allowed", "permit granted")
    return Reply(
        text=" ".join(parts),
        rests_on=rests,
        limit="the place's own rules; a sanitary sewer is forbidden nearly everywhere",
        do=found.advice("OUT-01") or "Keep the permit or the answer with the job's papers.",
        complete=bool(asked),
        missing="" if asked else "Ask the local authority which ways out are allowed here.",
    )


@question(3, "Why does (or would) the pump short-cycle, never stop, or run in dry weather?")
def cycling(case: Case, found: Findings) -> Reply:
    """Volume between floats, inflow against the pump, dry-weather inflow."""
    station = case.system.station
    if station is None:
        return _no_pump()
    dry, pumped = station.inflow_ground, station.operating_flow
    if not station.reaches:
        parts = [f"It would run without stopping and lift nothing. {found.says('LFT-02')}"]
    else:
        parts = [
            f"{case.volume(station.band_volume)} lie between its floats, so at the worst inflow, half of what it delivers, it "
            f"starts {counted(round(station.starts * 3600), 'time')} an hour."
        ]
        if station.inflow >= pumped:
            parts.append(
                f"In the design rain it never stops: {case.flow(station.inflow)} come, and it lifts {case.flow(pumped)}."
            )
        wet = f"Between rains ground water likely brings {case.flow(dry)}"
        if dry <= 0:
            parts.append("Between rains no ground water comes, so it stands still.")
        elif dry < pumped:
            cycle = station.band_volume / dry + station.band_volume / (pumped - dry)
            parts.append(f"{wet}, which starts it every {case.hours(cycle)}.")
        else:
            parts.append(f"{wet}, more than it lifts: it never stops.")
        if dry > 0:
            parts += [found.says("LFT-34", every=True), season_words(case, station), found.says("LFT-45")]
    parts.append(found.says("LFT-04", "LFT-07", "LFT-14"))
    ids = ("LFT-02", "LFT-03", "LFT-04", "LFT-07", "LFT-14", "LFT-34", "LFT-45")
    return Reply(
        text=sentences(*parts),
        rests_on=marks(
            [("pump's curve", sheet_basis(station)), ("soil conductivity", case.inflows.conductivity_basis)]
        ),
        limit=found.limits("LFT-03"),
        do=found.advice(*ids) or "Nothing: the band is wide enough.",
    )


@question(8, "Is the pump big enough for this lift and this length, and is the line the right size?")
def big_enough(case: Case, found: Findings) -> Reply:
    """Operating point against the storm."""
    station = case.system.station
    if station is None:
        return _no_pump()
    run = case.system.run(station.discharge_run)
    parts = []
    if station.reaches:
        parts.append(
            f"With the basin half drawn down the pump works against {case.length(station.operating_head)} of head "
            f"({case.length(station.duty_lift)} of lift, the rest lost in {case.length(run.length)} of "
            f"{pipe_words(run.pipe, case.job.units)} and its fittings) and delivers {case.flow(station.operating_flow)}."
        )
    parts += [
        f"The pump of {other.name} delivers {case.flow(other.operating_flow)} against "
        f"{case.length(other.operating_head)}; {case.flow(other.inflow)} come to it in the design rain."
        for other in case.system.stations
        if other is not station
    ]
    parts.append(ranking_words(case, station))
    ids = ("LFT-01", "LFT-02", "LFT-06", "LFT-17", "LFT-30", "LFT-35", "LFT-37")
    return Reply(
        text=sentences(*parts, found.says(*ids) if found.bad(*ids) else found.says(*ids, every=True)),
        rests_on=marks([("pump's curve", sheet_basis(station)), ("lift and length", Basis.MEASURED), _rain_mark(case)]),
        limit=found.limits("LFT-01", "LFT-06"),
        do=found.advice(*ids) or "Buy by this duty point, and write it in the contract.",
    )


@question(9, "What fall is needed, what fall is there, and does gravity work at all?")
def fall(case: Case, found: Findings) -> Reply:
    """Grades of all runs; the gravity verdict."""
    runs = [run for run in case.system.runs if not run.pressure]
    there = ", ".join(f"{run.name} {fall_words(run, case.job.units)}" for run in runs) or "no gravity run"
    levels = [
        f"{item.discharge}: the way out is at {case.level(item.available)}, and water can come there at "
        f"{case.level(item.needed)} at best."
        for item in case.system.gravity
    ]
    text = sentences(
        f"Wanted: {case.grade(case.job.criteria.minimum_grade)} or more. There is: {there}.",
        found.says("NET-01") if found.bad("NET-01") else "",
        *levels,
        found.says("OUT-02", every=True),
    )
    return Reply(
        text=text,
        rests_on=marks([("levels", Basis.MEASURED)]),
        limit=found.limits("NET-01"),
        do=found.advice("NET-01", "OUT-02") or "Lay each run to its grade with the rod readings of the cut sheet.",
    )


@question(11, "What happens in a power cut, for how long, and with which battery?")
def power_cut(case: Case, found: Findings) -> Reply:
    """The power-out case of the storm test."""
    station, result = case.system.station, case.storm.case("power out")
    if station is None:
        return Reply(text="Nothing: the system works without power.", rests_on="the levels measured", do="Nothing.")
    cut = case.hours(case.job.criteria.power_cut)
    basin = case.job.works.basin_named(station.name)
    cell = None if basin is None else basin.battery
    parts, floods = [], result is not None and not result.dry
    with_cell = "on the battery" if cell is not None else "without a battery"
    told = f"With the power out {cut} at the worst time of the design storm, {with_cell},"
    if result is not None and result.house_dry:
        parts.append(f"{told} the drains at the house stay dry.")
    if result is not None and result.highest_at_house is not None:
        if result.time_to_slab is None:
            level = case.level(result.highest_at_house)
            parts.append(f"{told} water at the house rises to {level} and {case.stays_below(result)}.")
        else:
            after = case.hours(result.time_to_slab)
            parts.append(f"{told} water reaches the {case.floor_name} {after} after the power goes.")
    if result is not None and result.entering is not None:
        parts.append(f"At most {case.volume(result.entering.volume)} would come in.")
    if result is not None and result.alarm_to_slab is not None:
        parts.append(f"The alarm, if it has power of its own, leaves {case.hours(result.alarm_to_slab)} to act.")
    if station.inflow_ground > 0:
        parts.append(dry_filling(case, station))
    if cell is not None:
        parts.append(
            f"The battery is of {cell.capacity:g} Ah at {cell.volts:g} V, {percent(cell.usable)} of it usable, and the pump draws "
            f"{cell.current:g} A from it."
        )
        parts += [found.says("LFT-33", every=True), found.says("LFT-13")]
        if station.study is not None and station.study.unit is not None:
            parts.insert(-1, battery_words(case, station.study.unit))
    else:
        parts.append(offered_words(case, station))
    tested = result is not None
    complete = tested and (cell is not None or not floods)
    missing = "" if complete else "The storm test has no case with the power out."
    if tested and not complete:
        missing = (
            "No battery is entered, so its hours are not worked out: its charge in Ah, and the current drawn from it."
        )
    return Reply(
        text=sentences(*parts),
        rests_on=marks([_rain_mark(case), ("soil conductivity", case.inflows.conductivity_basis)]),
        limit=f"{cut} without power, as set for this job",
        do=found.advice("LFT-13", "LFT-33") or "Test the alarm monthly.",
        complete=complete,
        missing=missing,
    )


@question(12, "Will the discharge freeze, clog or come back to the house?")
def discharge(case: Case, found: Findings) -> Reply:
    """Frost, blocked outlet, ground at the outlet."""
    frost, point = case.job.rules.frost_depth, used(case)
    parts = []
    if frost.basis is Basis.ASSUMED:
        parts.append("Nobody has looked up the frost depth of this place.")
    elif frost.value <= 0:
        parts.append(f"Frost does not reach buried pipe here ({BASIS_WORDS[frost.basis].lower()}).")
    parts.append(found.says("OUT-07", every=True))
    parts += [found.says("LFT-23", every=True), found.says("LFT-21", "LFT-22") if found.bad("LFT-21", "LFT-22") else ""]
    back = [found.says("OUT-05", "OUT-04", every=True)]
    back += [found.says(one) for one in ("GRD-06", "OUT-22") if found.bad(one)]
    known_way = " ".join(filter(None, back))
    parts.append(known_way or f"The water leaves into the {point.kind}, and does not come back over the ground.")
    parts.append(found.says("STM-07", every=True))
    known = frost.basis is not Basis.ASSUMED
    return Reply(
        text=sentences(*parts),
        rests_on=marks([("frost depth", frost.basis), ("ground levels", Basis.MEASURED), _rain_mark(case)]),
        limit=found.limits("OUT-07", "OUT-05", "OUT-22", "OUT-04"),
        do=found.advice("OUT-05", "GRD-06", "OUT-22", "OUT-07", "OUT-04", "STM-07", "LFT-21", "LFT-22", "LFT-23")
        or "Look at the outlet after each big storm.",
        complete=known,
        missing="" if known else "The frost depth of the place.",
    )


@question(13, "Where does the relief hole go, what size, and is its squirting normal?")
def relief(case: Case, found: Findings) -> Reply:
    """Place and size of the relief hole."""
    if case.system.station is None:
        return _no_pump()
    text = (
        f"{case.bore('3/16', '5')}, in the riser just above the pump's port and below the check valve, inside the basin, aimed "
        "down at 45 degrees. That it squirts while the pump runs is normal: it lets trapped air out. It does not drain the "
        "line outdoors."
    )
    return Reply(
        text=sentences(text, found.says("LFT-08", every=True), found.says("LFT-20", every=True)),
        rests_on="common practice; the pump's sheet rules",
        limit=found.limits("LFT-08", "LFT-20"),
        do=found.advice("LFT-08", "LFT-20") or "Look at it at each service: it clogs.",
    )


def _floats(case: Case, station: LiftStation) -> str:
    """Heights of the floats above the floor."""
    return ", ".join(f"{name} {case.small(level - station.floor)}" for name, level in station.float_levels.items())


@question(14, "How wide and deep a basin? One pump or two? Where do the floats sit?")
def basin(case: Case, found: Findings) -> Reply:
    """Basin, floats, second pump."""
    station = case.system.station
    if station is None:
        return _no_pump()
    floats = _floats(case, station)
    by_tape = found.says("LFT-28", every=True) or f"Floats above its floor: {floats}."
    two = station.second_on is not None
    second = "A second pump is fitted." if two else "One pump is fitted."
    for pump, outcome in case.dead_pumps():
        one = "the first" if two else "it"
        second += f" If {one if pump == 'pump' else f'the {pump}'} dies in the design storm, {outcome}."
    others = [
        f"{other.name} is {case.small(other.inside_diameter)} wide and {case.small(other.depth)} deep, its floats {_floats(case, other)}."
        for other in case.system.stations
        if other is not station
    ]
    by = "as the job gives it" if station.chosen_by == "job" else "as designed"
    ids = ("LFT-03", "LFT-04", "LFT-05", "LFT-15", "LFT-16", "LFT-24", "LFT-26", "LFT-28", "LFT-29")
    return Reply(
        text=sentences(
            f"{case.small(station.inside_diameter)} wide inside and {case.small(station.depth)} deep, {by}. {by_tape} {second}",
            found.says("LFT-29", every=True),
            *others,
            found.says("LFT-31", "LFT-32", every=True),
            found.says(*ids) if found.bad(*ids) else "",
        ),
        rests_on=marks([("levels", Basis.MEASURED), _rain_mark(case)]),
        limit=found.limits("LFT-03", "LFT-15"),
        do=found.advice(*ids, "LFT-31", "LFT-32", "STM-05") or "Set the floats with a tape from the basin's floor.",
    )


@question(21, "What does the pump's electricity need (circuit, protection, alarm), and who does it?")
def electricity(case: Case, found: Findings) -> Reply:
    """Circuit, protection, alarm."""
    station = case.system.station
    if station is None:
        return _no_pump()
    basin = case.job.works.basin_named(station.name)
    pump = None if basin is None else basin.pump
    amps = "" if pump is None or pump.current is None else f"The pump draws {pump.current:g} A."
    text = sentences(
        "A circuit of its own with ground-fault protection, a receptacle above flood level, and a high-water alarm on "
        "another circuit. A licensed electrician does it, by the local code and with a permit.",
        amps,
        found.says("LFT-12", every=True),
    )
    known = pump is not None and pump.current is not None
    return Reply(
        text=text,
        rests_on="the code as read; the local edition differs by state",
        limit=found.limits("LFT-12"),
        do=found.advice("LFT-12") or "Keep the electrician's certificate with the papers.",
        complete=known,
        missing="" if known else "The pump's current is not entered: the electrician sizes the circuit by it.",
    )


@question(22, "The neighbour's water, or ours on the neighbour?")
def neighbour(case: Case, found: Findings) -> Reply:
    """Set-backs; water from upslope."""
    ours = found.says("OUT-03", every=True) or (
        f"Ours leaves into the {used(case).kind}, not over the neighbour's ground."
    )
    boundary, terrain = bool(case.site.boundary), case.site.terrain
    surveyed = boundary and terrain is not None and not any(item.basis is Basis.ASSUMED for item in found.of("GRD-05"))
    return Reply(
        text=sentences(
            ours,
            found.says("OUT-06") if found.bad("OUT-06") else "",
            found.says("GRD-05") or "Whether ground above the boundary sheds water onto this lot cannot be told.",
        ),
        rests_on=marks([("boundary", Basis.STATED)]) if boundary else "no boundary is entered",
        limit=found.limits("OUT-03") or "concentrating flow on a neighbour is a liability under every rule",
        do=found.advice("OUT-03", "OUT-06", "GRD-05")
        or "Look uphill in the rain, and photograph what comes over the boundary.",
        complete=surveyed,
        missing=""
        if surveyed
        else "Shots beyond the boundary, to show what ground drains onto this lot."
        if boundary
        else "The boundary of the lot, and shots beyond it.",
    )
