"""Answers about water in, pump and way out."""

from __future__ import annotations

from drainwright.findings.answers import Findings, Reply, marks, question
from drainwright.findings.lift import basin_of
from drainwright.findings.outlet import used
from drainwright.findings.rules import Case
from drainwright.job.values import Basis
from drainwright.water.model import Cause

NO_PUMP = "No pump is needed here: gravity takes the water away."


def _rain_mark(case: Case) -> tuple[str, Basis]:
    return ("rain table", case.job.rain.basis)


@question(1, "Can the sump, or the footing drain, take the downspouts? How many, in which storm?")
def downspouts(case: Case, found: Findings) -> Reply:
    """Spare flow at the duty point over the roof flow of one downspout."""
    roofs = [item for item in case.inflows.contributions if item.cause is Cause.ROOF]
    years = case.job.criteria.roof_return_period / 31557600.0
    basis = marks([_rain_mark(case), *((f"roof {item.source}", item.basis) for item in roofs)])
    first = "The footing drain takes none: roof water in perforated pipe leaves it at the footing."
    if found.of("NET-06") and all(item.severity == "fails" for item in found.of("NET-06")[:1]):
        first = found.says("NET-06")
    station = case.system.station
    total = sum(item.flow for item in roofs)
    if station is None:
        text = f"{first} Gravity carries {case.flow(total)} of roof water in solid pipe, in the {years:g}-year rain."
        return Reply(
            text=text, rests_on=basis, limit=found.limits("NET-03"), do="Keep the roof pipe solid to the outlet."
        )
    spare = station.operating_flow / case.job.criteria.pump_margin - (station.inflow - total)
    text = (
        f"{first} The pump delivers {case.flow(station.operating_flow)}; in the {years:g}-year rain everything but the "
        f"roofs brings {case.flow(station.inflow - total)}, which leaves {case.flow(max(0.0, spare))} for roof water with "
        f"the wanted margin. "
    )
    if roofs:
        each = total / len({item.entry for item in roofs})
        number = max(0, int(spare / each + 1e-9))
        text += (
            f"A downspout here brings {case.flow(each)}: the pump can take {number}, and {len(roofs)} are led to it."
        )
        do = "Leave it so." if number >= len(roofs) else "Lead the others elsewhere, or take a larger pump."
    else:
        text += "No downspout is led to it."
        do = "Lead roof water to the yard or street by gravity where the place allows."
    return Reply(text=text, rests_on=basis, limit=found.limits("LFT-01"), do=do)


@question(2, "Where may the water lawfully go here, and what must be asked first?")
def lawful(case: Case, found: Findings) -> Reply:
    """The verdict on every discharge point, with the rule's source and date."""
    parts = []
    for verdict in case.system.gravity:
        word = "gravity reaches it" if verdict.reaches else "gravity does not reach it"
        parts.append(f"{verdict.discharge} ({verdict.kind}): {verdict.lawful}; {word}.")
    for outlet in case.job.rules.outlets:
        source = f" ({outlet.standing.source}, {outlet.standing.date})" if outlet.standing.source else ""
        parts.append(f"A {outlet.kind} here is: {outlet.standing.value}{source}.")
    point = used(case)
    rests = marks(
        [("permission", point.permission.basis), *((o.kind, o.standing.basis) for o in case.job.rules.outlets)]
    )
    do = found.advice("OUT-01") or "Keep the permit with the job's papers."
    asked = case.job.rules.outlets or point.permission.value in ("allowed", "permit granted")
    return Reply(
        text=" ".join(parts),
        rests_on=rests,
        limit="the place's own rules; a sanitary sewer is forbidden nearly everywhere",
        do=do,
        complete=bool(asked),
        missing="" if asked else "Ask the local authority which ways out are allowed here.",
    )


@question(3, "Why does (or would) the pump short-cycle, never stop, or run in dry weather?")
def cycling(case: Case, found: Findings) -> Reply:
    """Volume between floats, inflow against the pump, dry-weather inflow."""
    station = case.system.station
    if station is None:
        return Reply(text=NO_PUMP, rests_on="the levels measured", do="Nothing.")
    dry = station.inflow_ground
    text = (
        f"{case.volume(station.band_volume)} lie between its floats, so at the worst inflow it starts "
        f"{station.starts * 3600:.0f} times an hour. In dry weather in the wet season ground water brings {case.flow(dry)}"
    )
    if dry > 0 and station.reaches:
        minutes = (station.band_volume / dry + station.band_volume / max(1e-12, station.operating_flow - dry)) / 60
        text += (
            f", which starts it every {minutes:.0f} minutes."
            if dry < station.operating_flow
            else ", more than it lifts."
        )
    else:
        text += "."
    text += " " + found.says("LFT-04", "LFT-07", "LFT-14")
    rests = marks([("soil conductivity", case.inflows.conductivity_basis)])
    return Reply(
        text=text,
        rests_on=rests,
        limit=found.limits("LFT-03"),
        do=found.advice("LFT-03", "LFT-04", "LFT-07", "LFT-14") or "Nothing: the band is wide enough.",
    )


@question(8, "Is the pump big enough for this lift and this length, and is the line the right size?")
def big_enough(case: Case, found: Findings) -> Reply:
    """Operating point against the storm."""
    station = case.system.station
    if station is None:
        return Reply(text=NO_PUMP, rests_on="the levels measured", do="Nothing.")
    run = case.system.run(station.discharge_run)
    text = (
        f"At {case.length(station.operating_head)} of head ({case.length(station.static_head)} of lift, the rest lost in "
        f"{case.length(run.length)} of {run.pipe.key}) the pump delivers {case.flow(station.operating_flow)}. "
        + found.says("LFT-01", "LFT-02", "LFT-06", every=True)
    )
    return Reply(
        text=text,
        rests_on=marks([("pump's data sheet", Basis.STATED), ("lift and length", Basis.MEASURED), _rain_mark(case)]),
        limit=found.limits("LFT-01", "LFT-06"),
        do=found.advice("LFT-01", "LFT-02", "LFT-06") or "Buy by this duty point, and write it in the contract.",
    )


@question(9, "What fall is needed, what fall is there, and does gravity work at all?")
def fall(case: Case, found: Findings) -> Reply:
    """Grades of all runs; the gravity verdict."""
    runs = [run for run in case.system.runs if not run.pressure]
    steep = ", ".join(f"{run.name} {case.grade(run.grade)}" for run in runs)
    text = f"Wanted: {case.grade(case.job.criteria.minimum_grade)}. There is: {steep}. " + found.says(
        "OUT-02", every=True
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
    if station is None or result is None or result.highest_at_house is None:
        return Reply(text="Nothing: the system works without power.", rests_on="the levels measured", do="Nothing.")
    hours = case.job.criteria.power_cut / 3600
    if result.time_to_slab is None:
        text = (
            f"With the power out {hours:g} h at the worst time of the design storm, water at the house rises to "
            f"{case.level(result.highest_at_house)} and stays below the floor ({case.level(result.slab_level)})."
        )
    else:
        text = (
            f"With the power out at the worst time of the design storm, water reaches the floor after "
            f"{case.hours(result.time_to_slab)}."
        )
    dry = station.inflow_ground
    if dry > 0:
        text += (
            f" Without rain the basin fills from the pump's start to the drain in {case.hours(station.reserve / dry)}."
        )
    basin = basin_of(case)
    complete = basin is None or basin.battery is not None or result.time_to_slab is None
    return Reply(
        text=text + " " + found.says("LFT-13"),
        rests_on=marks([_rain_mark(case), ("soil conductivity", case.inflows.conductivity_basis)]),
        limit=f"{hours:g} h without power, as set for this job",
        do=found.advice("LFT-13") or "Test the alarm monthly.",
        complete=complete,
        missing="" if complete else "No battery is entered, so its hours are not worked out.",
    )


@question(12, "Will the discharge freeze, clog or come back to the house?")
def discharge(case: Case, found: Findings) -> Reply:
    """Frost, blocked outlet, ground at the outlet."""
    frost = case.job.rules.frost_depth
    text = found.says("OUT-05", "OUT-07", "OUT-04", every=True)
    if frost.value <= 0:
        text = f"No frost depth is set for this place ({frost.basis.value}). " + text
    text += " " + found.says("STM-07", every=True)
    return Reply(
        text=text.strip(),
        rests_on=marks([("frost depth", frost.basis), ("ground levels", Basis.MEASURED)]),
        limit=found.limits("OUT-07", "OUT-05", "OUT-04"),
        do=found.advice("OUT-05", "OUT-07", "OUT-04", "STM-07") or "Look at the outlet after each big storm.",
    )


@question(13, "Where does the relief hole go, what size, and is its squirting normal?")
def relief(case: Case, found: Findings) -> Reply:
    """Place and size of the relief hole."""
    if case.system.station is None:
        return Reply(text=NO_PUMP, rests_on="the levels measured", do="Nothing.")
    text = (
        "3/16 in, in the riser just above the pump's port and below the check valve, inside the basin, aimed down at 45 "
        "degrees. That it squirts while the pump runs is normal: it lets trapped air out. It does not drain the line "
        "outdoors. " + found.says("LFT-08", every=True)
    )
    return Reply(
        text=text,
        rests_on="common practice; the pump's sheet rules",
        limit=found.limits("LFT-08"),
        do=found.advice("LFT-08") or "Look at it at each service: it clogs.",
    )


@question(14, "How wide and deep a basin? One pump or two? Where do the floats sit?")
def basin(case: Case, found: Findings) -> Reply:
    """Basin, floats, second pump."""
    station = case.system.station
    if station is None:
        return Reply(text=NO_PUMP, rests_on="the levels measured", do="Nothing.")
    levels = [("off", station.off), ("on", station.on), ("alarm", station.alarm)]
    if station.second_on is not None:
        levels.insert(2, ("second pump on", station.second_on))
    floats = ", ".join(f"{name} {case.small(level - station.floor)}" for name, level in levels)
    dead = case.storm.case("pump dead")
    second = "A second pump is fitted." if station.second_on is not None else "One pump is fitted."
    if station.second_on is None and dead is not None and dead.time_to_slab is not None:
        second += f" If it dies in the design storm, water reaches the floor after {case.hours(dead.time_to_slab)}."
    text = (
        f"{case.small(station.inside_diameter)} wide inside and {case.small(station.depth)} deep ({station.chosen_by}). "
        f"Floats above its floor: {floats}. {second}"
    )
    ids = ("LFT-03", "LFT-05", "LFT-15", "LFT-16")
    return Reply(
        text=text,
        rests_on=marks([("levels", Basis.MEASURED), _rain_mark(case)]),
        limit=found.limits(*ids),
        do=found.advice(*ids, "STM-05") or "Set the floats with a tape from the basin's floor.",
    )


@question(21, "What does the pump's electricity need (circuit, protection, alarm), and who does it?")
def electricity(case: Case, found: Findings) -> Reply:
    """Circuit, protection, alarm."""
    if case.system.station is None:
        return Reply(text=NO_PUMP, rests_on="the levels measured", do="Nothing.")
    basin = basin_of(case)
    pump = None if basin is None else basin.pump
    amps = "" if pump is None or pump.current is None else f" The pump draws {pump.current:g} A."
    text = (
        "A circuit of its own with ground-fault protection, a receptacle above flood level, and a high-water alarm on "
        "another circuit. A licensed electrician does it, by the local code and with a permit."
        + amps
        + " "
        + found.says("LFT-12", every=True)
    )
    known = pump is not None and pump.current is not None
    return Reply(
        text=text,
        rests_on="the code as read; the local edition differs by state",
        limit=found.limits("LFT-12"),
        do=found.advice("LFT-12") or "Keep the electrician's certificate with the papers.",
        complete=known,
        missing="" if known else "The pump's current is not entered, so the circuit is not sized here.",
    )


@question(22, "The neighbour's water, or ours on the neighbour?")
def neighbour(case: Case, found: Findings) -> Reply:
    """Set-backs; water from upslope."""
    text = (
        found.says("OUT-03", "OUT-06", every=True) or "The water leaves in a pipe and not over the neighbour's ground."
    )
    return Reply(
        text=text + " Whether ground above the boundary sheds water onto this lot is not worked out yet.",
        rests_on=marks([("boundary", Basis.STATED)]),
        limit=found.limits("OUT-03") or "concentrating flow on a neighbour is a liability under every rule",
        do=found.advice("OUT-03") or "Look uphill in the rain, and photograph what comes over the boundary.",
        complete=False,
        missing="Shots beyond the boundary, to show what ground drains onto this lot.",
    )
