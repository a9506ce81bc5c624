"""The crew lead's answers about pump, basin, floats, electricity and care."""

from __future__ import annotations

from drainwright.findings.places import counted, listed
from drainwright.paper.documents.told import CANNOT, View, Work, crew, open_ends, said
from drainwright.paper.wording import FLOATS
from drainwright.system.model import LiftStation
from drainwright.system.trade import pipe_words, pump_words


def _no_pump(view: View) -> Work:
    return Work(do=(f"No pump here: gravity to {listed(view.design.system.ways_out)}.",), office=True)


def _floats(view: View, station: LiftStation) -> str:
    return ", ".join(
        f"{FLOATS[name]} {view.say.small(level - station.floor)}" for name, level in station.float_levels.items()
    )


@crew(3)
def cycling(view: View) -> Work:
    """The drawdown that shows whether it is right."""
    if view.design.system.station is None:
        return _no_pump(view)
    say = view.say
    each = [
        f"{station.name}: {say.volume(station.band_volume)} between floats, at most "
        f"{counted(round(station.starts * 3600), 'start')} an hour; {say.volume(station.drain_back)} drains back"
        for station in view.design.system.by_house
    ]
    valves = [basin.name for basin in view.design.job.works.basins if not basin.check_valve]
    return Work(
        do=("Check valve's arrow with the flow.", "Start-up: three runs by clock; note them.",
            *((f"No check valve is planned in {listed(valves)}: ask.",) if valves else ())),
        measure=f"{'; '.join(each)}.",
        stop="It starts more often, does not stop, or the level comes up with no water in: floats or check valve.",
    )  # fmt: skip


@crew(8)
def big_enough(view: View) -> Work:
    """Duty and line."""
    if view.design.system.station is None:
        return _no_pump(view)
    say = view.say
    each = [
        f"{station.name}: {pump_words(station.pump, say.units)}, {say.flow(station.operating_flow)} at "
        f"{say.head(station.operating_head)}, through "
        f"{say.length(view.design.system.run(station.discharge_run).length)} of "
        f"{pipe_words(view.design.system.run(station.discharge_run).pipe, say.units)} ({station.discharge_run})"
        for station in view.design.system.by_house
    ]
    return Work(
        do=("Fit no other pump, no smaller line, no extra elbow without asking.", "Measure the flow by drawdown."),
        measure=f"{'; '.join(each)}.",
        stop="Measured flow under nine tenths of that: look for the cause before the lid goes on (common practice).",
    )


@crew(11)
def power_cut(view: View) -> Work:
    """Backup and alarm to try before leaving."""
    station, case = view.design.system.station, view.case
    if station is None:
        return _no_pump(view)
    result = view.design.storm.case("power out")
    cells = [
        f"{basin.name}: {basin.battery.capacity:g} Ah at {basin.battery.volts:g} V"
        for basin in view.design.job.works.basins
        if basin.battery is not None
    ]
    told = (
        CANNOT
        if result is None
        else f"Power out {case.hours(view.design.job.criteria.power_cut)} in the storm: {case.outcome(result)}"
    )
    return Work(
        do=(
            "Try the alarm by lifting its float."
            if not cells
            else "Pull the plug: the battery unit must start. Try the alarm.",
        ),
        measure=f"{told}. {'Battery ' + '; '.join(cells) + '.' if cells else 'No battery is planned.'}",
        stop="Alarm silent: do not hand over.",
    )


@crew(13)
def relief(view: View) -> Work:
    """Drill, place, aim."""
    if view.design.system.station is None:
        return _no_pump(view)
    each, stop = [], ""
    for station in view.design.system.by_house:
        basin = view.design.job.works.basin_named(station.name)
        size = None if basin is None else basin.relief_hole
        if basin is None or size is None:
            each.append(f"{station.name}: none is planned, the pump's sheet says whether it needs one")
            continue
        each.append(f"{station.name}: {view.say.drill(size)}, {basin.relief_hole_place}")
        if basin.relief_hole_place != "below the check valve":
            stop = (
                f"{station.name}: that place is wrong, it belongs below the check valve, inside the basin. Ask first."
            )
    return Work(
        do=(
            "Drill in the riser just above the pump's port, inside the basin, aimed down.",
            "It squirts while the pump runs: right.",
        ),
        measure=f"{'; '.join(each)}.",
        stop=stop,
    )


@crew(14)
def basin(view: View) -> Work:
    """Sizes, floor, floats."""
    if view.design.system.station is None:
        return _no_pump(view)
    say = view.say
    each = [
        f"{station.name}: {say.small(station.inside_diameter)} wide, {say.small(station.depth)} deep, floor "
        f"{say.level(station.floor)}; floats above it: {_floats(view, station)}"
        + (f"; collar {say.mass(station.collar)}" if station.collar > 0 else "")
        for station in view.design.system.by_house
    ]
    two = [station.name for station in view.design.system.by_house if station.second_on is not None]
    return Work(
        do=("Set floats with a tape from the inside floor.", *((f"Two pumps in {listed(two)}.",) if two else ()),
            "Nobody's head or body goes in; lid on."),
        measure=f"{'; '.join(each)}.",
        stop="Hole full of water: the empty basin floats, collar or not. Water in it up to its lowest hole until soil "
        "is tamped over it to the ground.",
    )  # fmt: skip


@crew(21)
def electricity(view: View) -> Work:
    """What is not ours to do."""
    if view.design.system.station is None:
        return _no_pump(view)
    known = []
    for station in view.design.system.by_house:
        chosen = view.design.job.works.basin_named(station.name)
        pump = None if chosen is None else chosen.pump
        draws = (
            f"{pump.current:g} A" if pump is not None and pump.current is not None else "read the current on its label"
        )
        known.append(f"{station.name}: {pump_words(station.pump, view.say.units)}, {draws}")
    return Work(
        do=("Wiring by the licensed electrician only: own circuit, ground-fault protected, outlet above flood; alarm "
        "on another.",
            "Unplug before a hand or tool goes in."),
        measure=f"{'; '.join(known)}.",
        stop="No protected outlet yet: no pump in water.",
    )  # fmt: skip


@crew(25)
def care(view: View) -> Work:
    """What must stay reachable, and the handover."""
    outs = {
        place.run: sum(other.fitted and other.run == place.run for other in view.design.system.cleanouts)
        for place in view.design.system.cleanouts
        if place.fitted
    }
    inlets = [node.name for node in view.design.system.nodes.values() if node.kind == "inlet"]
    reach = [*(f"{run} {count}" for run, count in outs.items())]
    pumped = ("lid", "alarm") if view.design.system.by_house else ()
    ends = open_ends(view)
    shown = [*(("grates",) if inlets else ()), *pumped, *(("end of the line",) if ends else ())]
    round_ = f"Walk the owner round: {', '.join(shown)}. " if shown else ""
    return Work(
        do=(f"{round_}Leave the handover paper.",),
        measure=said(
            f"Cleanouts at the ground, capped: {', '.join(reach)}." if reach else "No cleanouts are fitted.",
            f"Grates: {listed(inlets)}." if inlets else "",
            *(f"Lid of {station.name} free." for station in view.design.system.by_house),
            *(f"End {name} free." for name in ends),
        ),
    )


__all__: list[str] = []
