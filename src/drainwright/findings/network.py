"""Checks of the network as a whole: shared discharge lines, overflows, how lines meet, systems kept apart."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise

from drainwright.field.model import Plan
from drainwright.findings.places import listed
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule
from drainwright.findings.stations import basin_of, each_station, station_place, the_pump
from drainwright.job.values import Basis
from drainwright.quantities import percent
from drainwright.system.bends import IN_JOINTS, TURN
from drainwright.system.fittings import meetings
from drainwright.system.grading.site import driven
from drainwright.system.made_bends import unmade_bends
from drainwright.system.model import LiftStation, SizedRun
from drainwright.system.surface.overflow import Overflow
from drainwright.water.model import Cause

HALF = (
    0.5  # of its flow alone: a pump that keeps less beside the others is badly placed; common practice, no source [-]
)
HEAD_ON = 135.0  # lines that meet at more than this run against each other [degrees]
AGAINST = 92.5  # from here the branch runs against the stream; a wye takes up to a right angle [degrees]
SPILT = 0.01  # over a basin's rim in the storm [m³]
NEAR, OVER = 0.3, 1.0  # a stretch so near to another of the same run, and so long, lies over it; assumed [m]


@rule("LFT-40", "Pumps that share a discharge line", "hydraulics_text")
@each_station
def shared_line(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """Each pump delivers less while the others on its line run; a check valve keeps their water out of it."""
    main = next((main for main in case.system.mains if station.name in main.basins and len(main.basins) > 1), None)
    if main is None:
        return
    others = listed([name for name in main.basins if name != station.name])
    alone, together = main.alone[station.name], main.together[station.name]
    figure = f"{case.flow(together)} beside {others}, {case.flow(alone)} alone"
    limit = f"{case.flow(station.inflow)} or more beside {others}, a check valve on each"
    pump = the_pump(case, station)
    bare = [name for name in main.basins if (basin := basin_of(case, name)) is not None and not basin.check_valve]
    if bare:
        yield fails(
            where,
            f"The discharge line of {station.name} is shared, and {listed(bare)} has no check valve: a pump that runs "
            "fills the basin of one that rests.",
            figure=f"no check valve at {listed(bare)}",
            limit=limit,
            advice="Fit a check valve in the riser of every basin on the line.",
        )
    if together <= 0.0:
        yield fails(
            where,
            f"{pump} lifts nothing while {others} runs: the head in the shared line holds its check valve shut.",
            figure=figure,
            limit=limit,
            advice="Give it a discharge line of its own, a wider common line, or a pump with more head.",
        )
    elif together < station.inflow * (1 - 1e-6):
        yield fails(
            where,
            f"{pump} delivers {case.flow(together)} while {others} runs, {case.flow(alone - together)} less than alone; "
            f"the design rain brings {case.flow(station.inflow)}.",
            figure=figure,
            limit=limit,
            advice="Widen the common line, give the basins lines of their own, or take a stronger pump.",
            basis=case.water_basis,
        )
    elif main.share_kept(station.name) < HALF:
        yield caution(
            where,
            f"{pump} loses {percent(1 - main.share_kept(station.name))} of its flow while {others} runs, and takes the design "
            "rain still.",
            figure=figure,
            limit=limit,
            advice="A wider common line lets both run nearer to their best.",
            basis=case.water_basis,
        )
    else:
        lost = f"{percent(1 - main.share_kept(station.name))}, {case.flow(alone - together)}"
        text = f"{pump} loses {lost}, while {others} runs, and takes the design rain still."
        yield ok(where, text, figure=figure, limit=limit, basis=case.water_basis)


def _judged(case: Case, over: Overflow, where: str, when: str) -> Iterator[Outcome]:
    """What an overflow can do against what comes to its place."""
    bound = f"the {case.floor_name}" if over.at_floor else f"the rim of {over.place}, less its freeboard"
    figure = f"starts at {case.level(over.starts)}, carries {case.flow(over.capacity)}"
    limit = f"below {case.level(over.allowed)}, {bound}; {case.flow(over.inflow)} in the design rain"
    if over.starts >= over.allowed:
        yield fails(
            where,
            f"The overflow {over.run} begins to run only {case.small(over.starts - over.allowed)} above {bound}.",
            figure=figure,
            limit=limit,
            advice=f"Let it leave {over.place} lower, above the level at which the main line works.",
        )
    elif not over.holds:
        yield caution(
            where,
            f"{when} the overflow {over.run} carries {case.flow(over.capacity)} of the {case.flow(over.inflow)} that come "
            f"to {over.place} before water reaches {bound}.",
            figure=figure,
            limit=limit,
            advice="Take a larger pipe for it, let it leave lower, or lead part of the water elsewhere.",
            basis=case.water_basis,
        )
    else:
        text = (
            f"{when} the overflow {over.run} takes the whole design rain: water stands at {case.level(over.level)} in "
            f"{over.place}, {case.small(over.allowed - over.level)} below {bound}."
        )
        yield ok(where, text, figure=figure, limit=limit, basis=case.water_basis)


@rule("LFT-41", "Gravity overflow of a basin", "common_practice")
@each_station
def basin_overflow(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """A second way out by gravity: above the floats, below the floor, wide enough for the design rain."""
    for over in case.system.overflows:
        if over.place != station.name:
            continue
        if over.starts <= station.on + 1e-6:
            yield fails(
                where,
                f"The overflow {over.run} leaves {station.name} below the level at which its pump starts: all the water "
                "goes that way, and the pump never runs.",
                figure=case.level(over.starts),
                limit=f"above {case.level(station.on)}",
                advice="Leave the pump out, or let the overflow leave the basin above the alarm.",
            )
            continue
        yield from _judged(case, over, where, "With the pump dead")
        yield from _stormed(case, over, station, where)


def _stormed(case: Case, over: Overflow, station: LiftStation, where: str) -> Iterator[Outcome]:
    """What the overflow carries through the design storm with the pump dead from the start."""
    cases = case.storm.cases
    dead = next((item for item in cases if item.failed == station.name), case.storm.case("pump dead"))
    if dead is None or over.run not in dead.carried or (dead.failed is not None and dead.failed != station.name):
        return
    carried = case.volume(dead.carried[over.run])
    figure, limit, basis = f"{carried} by the overflow", f"the {case.floor_name} dry", case.water_basis
    if dead.dry:
        text = f"With its pump dead through the design storm the overflow carries {carried}, and the floor stays dry."
        yield ok(where, text, figure=figure, limit=limit, basis=basis)
    else:
        yield caution(
            where,
            f"With its pump dead through the design storm the overflow carries {carried}, and {case.outcome(dead)}.",
            figure=figure,
            limit=limit,
            advice="Take a larger pipe for the overflow, or let it leave lower.",
            basis=basis,
        )


@rule("LFT-42", "Every basin in the storm", "common_practice")
@each_station
def basin_in_storm(case: Case, station: LiftStation, where: str) -> Iterator[Outcome]:
    """With everything working no basin runs over its rim, also one that stands away from the house."""
    if len(case.system.stations) < 2:
        return
    node = case.storm.cases[0].nodes[station.name]
    figure, limit, basis = case.level(node.highest), f"below its rim at {case.level(station.rim)}", case.water_basis
    if node.lost > SPILT:
        yield fails(
            where,
            f"In the design storm {case.volume(node.lost)} run over the rim of {station.name} with everything working.",
            figure=figure,
            limit=limit,
            advice="Take a stronger pump or a wider basin, or lead part of the water elsewhere.",
            basis=basis,
        )
    else:
        text = f"{station.name} keeps its water in the design storm."
        yield ok(where, text, figure=figure, limit=limit, basis=basis)


@rule("NET-17", "A line over its own way", "common_practice")
def over_itself(case: Case) -> Iterator[Outcome]:
    """No run doubles back along itself: a bend too many, or one on the wrong side, does that."""
    for run in case.system.runs:
        length = doubled(run.route)
        if length > OVER:
            yield fails(
                f"works.runs.{run.name}",
                f"{run.name} doubles back and lies over its own way for {case.length(length)}.",
                figure=f"{case.length(length)} twice",
                limit="each place passed once",
                advice=f"Look at the bends of {run.name} (via), at the order of its walls (beside) and at its ends.",
            )


@rule("NET-34", "A bend that elbows make", "common_practice")
def bends_made(case: Case) -> Iterator[Outcome]:
    """Each bend of a gravity run turns by elbows as made, within what joints take up; the rest moved a metre at most."""
    for bend in unmade_bends(case.system.runs):
        yield caution(
            f"works.runs.{bend.run}",
            f"Bend {bend.number} of {bend.run} turns {bend.angle:.0f}°, which elbows of 22-1/2° and 45° do not make.",
            figure=f"{bend.angle:.0f} degrees",
            limit=f"a multiple of {TURN:g} degrees, {IN_JOINTS:g} degrees more or less",
            advice=f"Draw {bend.run} with its bend elsewhere (via), before it is laid.",
        )


def doubled(route: Sequence[Plan]) -> float:
    """Length of a route along which it lies within ``NEAR`` of an earlier stretch of itself, beyond its bends. [m]"""
    from shapely import LineString

    parts = [LineString(pair) for pair in pairwise(route) if pair[0] != pair[1]]
    over = (part.intersection(other.buffer(NEAR)).length for at, part in enumerate(parts) for other in parts[:at])
    return sum(length for length in over if length > OVER)


@rule("NET-30", "Gravity overflow of a place", "common_practice")
def place_overflow(case: Case) -> Iterator[Outcome]:
    """A second way out of an inlet or junction: where it begins to run, and whether it takes the design rain."""
    for over in case.system.overflows:
        if case.system.station_named(over.place) is None:
            yield from _judged(case, over, f"works.runs.{over.run}", "With the main line blocked")


@rule("NET-33", "Grates and lids under wheels", "common_practice")
def under_wheels(case: Case) -> Iterator[Outcome]:
    """What stands open to the surface of a drive bears wheels, with its body and what it stands in."""
    stations = {station.name: "lid" for station in case.system.stations}
    tops = {
        node.name: (node.at, stations.get(node.name, "grate"))
        for node in case.system.nodes.values()
        if node.kind == "inlet" or node.name in stations
    }
    bears = driven(case.site, [at for at, _ in tops.values()])
    for (name, (_, top)), wheels in zip(tops.items(), bears, strict=True):
        if wheels:
            yield caution(
                station_place(case, name) if name in stations else f"works.inlets.{name}",
                f"{name} stands in paving that cars may drive on: its {top}, its body and what they rest on bear wheels.",
                figure=f"{top} under wheels",
                limit="of a stated wheel load, set in concrete as its maker's sheet has it; or clear of the wheels",
                advice="Ask the supplier for body and cover of that load, and price them: this price has those of a lawn. Or "
                "move it out of the drive.",
                basis=Basis.STATED,
            )


@rule("NET-31", "Lines meet with the stream", "irc_ch33")
def with_the_stream(case: Case) -> Iterator[Outcome]:
    """A branch joins at 45 degrees with the stream; against it both slow, silt and back up."""
    runs = {run.name: run for run in case.system.runs}
    for node in case.system.nodes.values():
        met = meetings(node, case.system.runs) if node.kind == "junction" else ()
        for meeting in met:
            if len(met) < 2 or meeting.through:
                continue
            run = runs[meeting.run]
            where, limit = (
                f"works.runs.{run.name}",
                "a right angle or less, with an elbow before the wye over 45 degrees",
            )
            figure = f"{meeting.turn:.0f} degrees at {node.name}"
            advice = f"Lead {run.name} round to come in with the stream, or set a catch basin where they meet."
            if meeting.turn > HEAD_ON:
                text = f"{run.name} meets the other water at {node.name} head on."
                yield fails(where, text, figure=figure, limit=limit, advice=advice)
            elif meeting.turn > AGAINST:
                text = f"{run.name} comes to {node.name} against the stream."
                yield caution(where, text, figure=figure, limit=limit, advice=advice)
            else:
                text = f"{run.name} joins with the stream at {node.name}."
                yield ok(where, text, figure=figure, limit=limit)


def proven(case: Case) -> tuple[float | None, float, bool]:
    """Highest water at the house at the design rain, how high it may stand, and whether every pump there takes it. [m]

    The highest of the water along the footing drains and at the places that they come to, and of the storm test with
    everything working.
    """
    drains = [run for run in case.system.runs if run.duty == "footing drain"]
    levels = [station.water for run in drains for station in run.stations]
    levels += [level for run in drains for level in run.stone_water]
    sound = case.storm.cases[0].highest_at_house if case.storm.cases else None
    if sound is not None:
        levels.append(sound)
    allowed = case.floor_underside - case.job.criteria.grate_freeboard
    pumps = all(
        station.operating_flow >= station.inflow * (1 - 1e-6)
        for station in case.system.stations
        if any(run.lower == station.name for run in drains) or station is case.system.station
    )
    return max(levels, default=None), allowed, pumps


@rule("NET-32", "Roof and yard water beside the drain", "irc_r405")
def kept_apart(case: Case) -> Iterator[Outcome]:
    """Roof water told to come to the basin or the drain must be shown to do no harm; water that joins must not back up."""
    told = case.job.criteria.roof_water
    carries = _roof_comes(case)
    if told != "separate" and carries:
        level, allowed, pumps = proven(case)
        if level is not None:
            yield _proof(case, carries, level, allowed, pumps)
    yield from _joins(case)


def _roof_comes(case: Case) -> str:
    """Where the roof water comes to what keeps the house dry, as a place of the job; empty where it does not."""
    drain = next(
        (run.name for run in case.system.runs if run.duty == "footing drain" and run.flows.get(Cause.ROOF, 0.0) > 0.0),
        None,
    )
    if drain is not None:
        return f"works.runs.{drain}"
    station = case.system.station
    if station is None:
        return ""
    into = (run for run in case.system.runs if run.lower == station.name and not run.pressure)
    return station_place(case, station.name) if any(run.flows.get(Cause.ROOF, 0.0) > 0.0 for run in into) else ""


def _proof(case: Case, where: str, level: float, allowed: float, pumps: bool) -> Outcome:
    figure = f"water at {case.level(level)} at the house, with the pump" + (" taking it" if pumps else " short")
    limit = f"below {case.level(allowed)}: the {case.floor_name} less {case.small(case.job.criteria.grate_freeboard)}"
    if case.system.station is None:
        figure = f"water at {case.level(level)} at the house"
    basis = case.water_basis
    if level < allowed and pumps:
        text = (
            "Roof water comes to where the house is drained, as the job says; at the design rain and through the design "
            f"storm water there stays {case.small(case.floor_underside - level)} below the {case.floor_name}."
        )
        return ok(where, text, figure=figure, limit=limit, basis=basis)
    why = "the pump does not take it" if not pumps else f"water rises to {case.level(level)} at the house"
    return fails(
        where,
        f"The job leads roof water to where the house is drained, and {why}: it cannot be shown to do no harm.",
        figure=figure,
        limit=limit,
        advice="Lead the roof water away in a pipe of its own, or enlarge pump and pipe until this holds.",
        basis=basis,
    )


def _joins(case: Case) -> Iterator[Outcome]:
    """Where other water joins a footing drain's way on, by gravity: it must not stand as high as the drain's lowest invert."""
    below = {run.upper: run for run in case.system.runs if not run.pressure and run.duty != "overflow"}
    for drain in case.system.runs:
        if drain.duty != "footing drain" or _surface(drain) > 0.0:
            continue
        here = drain.lower
        for _ in case.system.runs:
            onward = below.get(here)
            if onward is None or case.system.station_named(here) is not None:
                break
            water = case.system.water.get(here)
            if _surface(onward) > 0.0 and water is not None:
                yield _join(case, drain, here, water.level)
                break
            here = onward.lower


def _surface(run: SizedRun) -> float:
    """Roof and yard water in a run [m³/s]."""
    return run.flows.get(Cause.ROOF, 0.0) + run.flows.get(Cause.YARD, 0.0)


def _join(case: Case, drain: SizedRun, place: str, level: float) -> Outcome:
    lowest = min(drain.invert_lower, drain.invert_upper)
    where, limit = f"works.runs.{drain.name}", f"below {case.level(lowest)}, the lowest invert of {drain.name}"
    figure = f"water at {case.level(level)} at {place}"
    basis = case.water_basis
    margin = case.floor_underside - case.job.criteria.grate_freeboard
    if level <= lowest + 1e-3:
        text = f"Roof or yard water joins below {drain.name} at {place}, and does not back up into it."
        return ok(where, text, figure=figure, limit=limit, basis=basis)
    advice = f"Let the waters join further down, where the pipe lies lower, or lead {drain.name} away by itself."
    if level >= margin:
        text = f"Roof or yard water that joins at {place} backs up through {drain.name} to the {case.floor_name}."
        return fails(where, text, figure=figure, limit=limit, advice=advice, basis=basis)
    text = (
        f"Roof or yard water that joins at {place} stands {case.small(level - lowest)} up in {drain.name} at the design "
        f"rain, {case.small(case.floor_underside - level)} below the {case.floor_name}: it backs up and leaves silt."
    )
    return caution(where, text, figure=figure, limit=limit, advice=advice, basis=basis)


def told_and_proven(case: Case) -> bool:
    """Whether the job leads its roof water to the footing drain, and that is shown to do no harm."""
    level, allowed, pumps = proven(case)
    told = case.job.criteria.roof_water == "to footing drain"
    return told and level is not None and level < allowed and pumps


__all__ = ["proven", "told_and_proven"]
