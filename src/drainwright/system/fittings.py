"""The fittings of a network, named from its own geometry: where each stands, what it joins, how it turns the water.

A line turns in elbows; lines meet in a wye whose branch comes in with the stream at 45 degrees, the rest of the turn
made by an elbow before it; a cleanout within a line stands on a tee laid on its back; sizes change in reducers and
kinds of pipe in adapters. Couplings between sticks follow from the sticks that are bought, and are counted there.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from drainwright.field.model import Plan
from drainwright.job.model import Job
from drainwright.job.works import Discharge, Inlet
from drainwright.system.bends import Way, deflection, elbows, straightened, turns
from drainwright.system.catalogue import PIPES
from drainwright.system.fitting_groups import group, made, solid
from drainwright.system.model import LiftStation, Node, Pipe, SizedRun, System

Kind = Literal[
    "elbow-22", "elbow-45", "elbow-90", "wye", "tee", "coupling", "reducer", "adapter", "cap", "cleanout", "gasket",
    "downspout", "check-valve", "union", "ball-valve", "male-adapter", "air-gap", "winter-relief", "sweep-90",
    "flexible", "slip-coupling",
]  # fmt: skip

WYE = 45.0  # degrees at which a wye's branch comes in
CORNER = 60.0  # degrees from which a turn of a footing drain is a corner
SHARP = 45.0  # a larger turn takes a cleanout: IRC P3005.2.4, IPC 708.1.4, from memory [degrees]
BETWEEN = 30.48  # cleanouts no further apart: IRC P3005.2.1, IPC 708.1.1, from memory, 100 ft [m]
RELIEF = (
    1.2192  # a freeze relief stands so far down the line, past the basin's hole, 4 ft; common practice, no source [m]
)
EMITTERS = (3, 4, 6)  # sizes of pop-up emitters sold, with the hub of sewer pipe; common practice, no source [in]
ONE_FOR = 12.192  # one serves all turns within so much: IRC P3005.2.4, from memory, 40 ft [m]
BELLED = frozenset({"D2729", "D3034 SDR 35", "corrugated smooth inside"})  # a bell on every stick: no couplings
BENDING = frozenset({"corrugated single wall", "wrapped aggregate"})  # follows a turn without a fitting


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitting:
    """One fitting at one place."""

    kind: Kind
    pipe: Pipe  # the pipe (the larger one) that it fits
    where: str  # run, place, or both
    at: Plan | None = None
    angle: float | None = None  # through which it turns the water, or at which it joins [degrees]
    other: Pipe | None = None  # the second pipe: what comes to a wye, the smaller end of a reducer
    way: Way = ""  # an elbow that turns a pumped line up or down

    @property
    def end(self) -> Pipe | None:
        """The pipe at its second end, where that is another; a wye is bought with three ends alike, and reduced."""
        return None if self.kind == "wye" else self.other


@dataclass(frozen=True, slots=True, kw_only=True)
class Riser:
    """A short upright pipe: a cleanout, a downspout's or the pump's."""

    pipe: Pipe
    length: float  # [m]
    where: str
    foot: Kind  # what it stands on


@dataclass(frozen=True, slots=True, kw_only=True)
class Cleanout:
    """A place from which a gravity line is to be cleaned."""

    run: str
    distance: float  # from the run's upper end [m]
    at: Plan
    why: Literal["upper end", "turn", "length"]
    fitted: bool  # the job asks for cleanouts in this run; else it is only proposed


@dataclass(frozen=True, slots=True, kw_only=True)
class Meeting:
    """A line that comes to a junction, and how it meets the line that leaves."""

    run: str
    turn: float  # between its direction and that of the line that leaves, 0 straight on to 180 against it [degrees]
    through: bool  # the line that goes on; the others join it


def inches(nominal: str) -> float:
    """A nominal size as a number: 1.5 for ``1-1/2 in``."""
    return float(sum(Fraction(part) for part in nominal.removesuffix("in").strip().split("-")))


def emitter_size(pipe: Pipe) -> str:
    """Nominal size of the pop-up emitter that a pipe ends in: the smallest sold that is no smaller than the pipe.

    Examples
    --------
    >>> emitter_size(PIPES["sch40 1-1/2 in"]), emitter_size(PIPES["d3034 4 in"])
    ('3 in', '4 in')
    """
    return next((f"{size} in" for size in EMITTERS if size >= inches(pipe.nominal)), f"{EMITTERS[-1]} in")


def meetings(node: Node, runs: Sequence[SizedRun]) -> tuple[Meeting, ...]:
    """How the lines meet at a junction; none where there is no line on, or nothing comes.

    The one that turns least goes through; of equals the larger, then the first.
    """
    going = next((run for run in runs if run.upper == node.name and run.duty != "overflow"), None)
    coming = [run for run in runs if run.lower == node.name]
    if going is None or not coming:
        return ()
    away = straightened(going.route)
    turned = [(run, deflection(_last(run), (away[0], away[1]))) for run in coming]
    through = min(turned, key=lambda item: (round(item[1], 3), -item[0].pipe.inside))[0]
    return tuple(Meeting(run=run.name, turn=turn, through=run is through) for run, turn in turned)


def _last(run: SizedRun) -> tuple[Plan, Plan]:
    route = straightened(run.route)
    return route[-2], route[-1]


def cleanouts(run: SizedRun, *, free: bool, asked: bool) -> tuple[Cleanout, ...]:
    """Where a gravity line is to be cleaned from: its free upper end, its sharp turns, and every 100 ft.

    ``free``: the upper end is open to nothing; a catch basin, a basin or a downspout there serves as one. In a footing
    drain each corner counts; in other lines one cleanout serves all turns within 40 ft.
    """
    if run.pressure:
        return ()
    drain = run.duty == "footing drain"
    route = straightened(run.route)
    found: list[Cleanout] = []

    def put(distance: float, at: Plan, why: Literal["upper end", "turn", "length"]) -> None:
        found.append(Cleanout(run=run.name, distance=distance, at=at, why=why, fitted=asked))

    if free:
        put(0.0, route[0], "upper end")
    last, along = 0.0, 0.0
    for before, here, angle in zip(route[:-2], route[1:-1], turns(route), strict=True):
        start, along = along, along + math.dist(before, here)
        while along - last > BETWEEN + 1e-6:
            last += BETWEEN
            put(last, _between(before, here, (last - start) / (along - start)), "length")
        sharp = angle >= CORNER if drain else angle > SHARP + 1e-6
        if sharp and (drain or not found or along - last > ONE_FOR):
            put(along, here, "turn")
            last = along
    length = along + math.dist(route[-2], route[-1])
    while length - last > BETWEEN + 1e-6:
        last += BETWEEN
        put(last, _between(route[-2], route[-1], (last - along) / (length - along)), "length")
    return tuple(found)


def _between(start: Plan, end: Plan, share: float) -> Plan:
    return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])


def with_fittings(job: Job, system: System) -> System:
    """The system with its fittings, risers and cleanouts named."""
    fits, risers = network_fittings(job, system)
    asked = {run.name for run in job.works.runs if run.cleanout}
    places = tuple(
        place for run in system.runs for place in cleanouts(run, free=free_end(run, system), asked=run.name in asked)
    )
    return replace(system, fittings=fits, risers=risers, cleanouts=places)


def free_end(run: SizedRun, system: System) -> bool:
    """Whether nothing stands at a run's upper end and no line comes in there."""
    return system.nodes[run.upper].kind == "junction" and not any(other.lower == run.upper for other in system.runs)


def network_fittings(job: Job, system: System) -> tuple[tuple[Fitting, ...], tuple[Riser, ...]]:
    """All fittings and risers of the network but the couplings between sticks.

    Parameters
    ----------
    job : Job
        For cleanouts asked for, and what the discharge needs.
    system : System
        Nodes, runs and stations.

    Returns
    -------
    tuple of Fitting, tuple of Riser
        Each at its place, in the order of the runs.
    """
    found: list[Fitting] = []
    risers: list[Riser] = []
    for run in system.runs:
        if run.pipe.family not in BENDING:
            route = straightened(run.route)
            for at, angle in () if run.pressure else zip(route[1:-1], turns(route), strict=True):
                found += _bend(run.pipe, angle, run.name, at, pressure=False)
            for bend in run.bends:
                found += _bend(run.pipe, bend.angle, run.name, bend.at, pressure=True, way=bend.way)
        fits, ups = _upper_end(run, job, system)
        found += fits
        risers += ups
    for node in system.nodes.values():
        found += _at_node(node, job, system)
    for station in system.stations:
        fits, ups = _pump_kit(job, system, station)
        found += fits
        risers += ups
    return tuple(found), tuple(risers)


def _bend(pipe: Pipe, angle: float, where: str, at: Plan, *, pressure: bool, way: Way = "") -> Iterator[Fitting]:
    for kind in elbows(angle, pressure=pressure):
        turned = float(kind.removeprefix("elbow-"))
        yield Fitting(kind=kind, pipe=pipe, where=where, at=at, angle=turned, way=way)


def _upper_end(run: SizedRun, job: Job, system: System) -> tuple[list[Fitting], list[Riser]]:
    """What stands at a run's upper end, and its cleanouts where the job asks for them."""
    asked = any(item.cleanout for item in job.works.runs if item.name == run.name)
    upper = system.nodes[run.upper]
    free = free_end(run, system)
    fits: list[Fitting] = []
    risers: list[Riser] = []

    def put(at: Plan, *kinds: Kind) -> None:
        fits.extend(Fitting(kind=kind, pipe=run.pipe, where=run.name, at=at) for kind in kinds)

    if upper.kind == "downspout":
        put(upper.at, "downspout", "sweep-90")
        risers.append(Riser(pipe=solid(run.pipe), length=_rise(run, 0.0), where=run.name, foot="sweep-90"))
    elif free and not (asked and not run.pressure):
        put(upper.at, "cap")
    for place in cleanouts(run, free=free, asked=True) if asked else ():
        if place.why == "upper end":
            put(place.at, "elbow-45", "elbow-45", "cleanout")
        else:
            put(place.at, "tee", "cleanout")
        foot: Kind = "elbow-45" if place.why == "upper end" else "tee"
        risers.append(Riser(pipe=solid(run.pipe), length=_rise(run, place.distance), where=run.name, foot=foot))
    return fits, risers


def _rise(run: SizedRun, distance: float) -> float:
    """From the crown to the ground at the station nearest to ``distance`` [m]."""
    station = min(run.stations, key=lambda item: abs(item.distance - distance))
    return max(station.cover, 0.1)


def _at_node(node: Node, job: Job, system: System) -> Iterator[Fitting]:
    coming = [run for run in system.runs if run.lower == node.name]
    going = [run for run in system.runs if run.upper == node.name]
    inlet = inlet_of(node, job)
    if node.kind == "basin" or (node.kind == "inlet" and (inlet is None or inlet.kind != "cleanout")):
        for run in (*coming, *going):
            yield Fitting(kind="gasket", pipe=run.pipe, where=f"{run.name} at {node.name}", at=node.at)
    elif inlet is not None:
        kinds: tuple[Kind, ...] = ("tee", "cleanout") if coming else ("elbow-45", "elbow-45", "cleanout")
        for run in going:
            for kind in kinds:
                yield Fitting(kind=kind, pipe=run.pipe, where=node.name, at=node.at)
    if node.kind == "junction" and going and coming:
        yield from _junction(node, coming, going[0], system)
    if node.kind == "discharge" and coming:
        discharge = discharge_of(node, job)
        if discharge is not None and discharge.kind == "pop-up emitter":
            hub = made("sewer", emitter_size(coming[0].pipe)) or coming[0].pipe
            yield from change(coming[0].pipe, hub, node)
        if discharge is not None and discharge.air_gap:
            yield Fitting(kind="air-gap", pipe=coming[0].pipe, where=node.name, at=node.at)
        if discharge is not None and discharge.winter_relief:
            # water stands and freezes in a pumped line; a gravity line that shares its outlet runs empty
            for last in [run for run in coming if run.pressure] or coming[:1]:
                yield _winter_relief(last, system)
        joined = system.joined_at(node.name)
        if joined is not None and discharge is not None and not discharge.air_gap:
            for run in coming:
                yield from cut_in(run.pipe, joined.pipe, node)


def _winter_relief(last: SizedRun, system: System) -> Fitting:
    """The opening for when a line's end is frozen: near its upper end, so that water does not stand up to the house."""
    first = last
    while (before := next((run for run in system.runs if run.pressure and run.lower == first.upper), None)) is not None:
        first = before
    length = math.dist(*first.route[:2])
    at = _between(first.route[0], first.route[1], min(RELIEF / length, 0.5) if length > 0.0 else 0.0)
    return Fitting(kind="winter-relief", pipe=first.pipe, where=first.name, at=at)


def _junction(node: Node, coming: Sequence[SizedRun], going: SizedRun, system: System) -> Iterator[Fitting]:
    """A wye for each line that joins, elbows for what its 45 degrees leave of the turn, changes of size and kind."""
    outlet = going.pipe
    met = {meeting.run: meeting for meeting in meetings(node, system.runs)}
    for run in coming:
        meeting = met.get(run.name)
        turn = 0.0 if meeting is None else meeting.turn
        if meeting is None or meeting.through:
            left = turn
        else:
            yield Fitting(kind="wye", pipe=outlet, where=node.name, at=node.at, angle=WYE, other=run.pipe)
            left = abs(turn - WYE)
        if run.pipe.family not in BENDING:
            yield from _bend(run.pipe, left, node.name, node.at, pressure=run.pressure)
        yield from change(run.pipe, outlet, node)
    if len(coming) == 1 and coming[0].pipe.key == outlet.key and outlet.family not in BELLED:
        yield Fitting(kind="coupling", pipe=outlet, where=node.name, at=node.at)


def cut_in(coming: Pipe, existing: Pipe, node: Node) -> Iterator[Fitting]:
    """A wye cut into a line that is there already: between two flexible couplings, since neither end can be moved."""
    yield Fitting(kind="wye", pipe=existing, where=node.name, at=node.at, angle=WYE, other=coming)
    for _ in range(2):
        yield Fitting(kind="flexible", pipe=existing, where=node.name, at=node.at)
    yield from change(coming, existing, node)


def change(first: Pipe, second: Pipe, node: Node) -> Iterator[Fitting]:
    """Reducer where the size changes, adapter where the family of fittings changes: each fits what it stands beside.

    Where both change, the line is reduced in the larger pipe's own fittings, and then adapted; where these are not made
    so small, it is adapted first.
    """
    larger, smaller = (first, second) if inches(first.nominal) >= inches(second.nominal) else (second, first)
    resized = inches(first.nominal) != inches(second.nominal)
    if group(first) == group(second):
        steps: list[tuple[Kind, Pipe, Pipe]] = [("reducer", larger, smaller)] if resized else []
    elif not resized:
        steps = [("adapter", larger, smaller)]
    elif (near := made(group(larger), smaller.nominal)) is not None:
        steps = [("reducer", larger, near), ("adapter", near, smaller)]
    else:
        wide = made(group(smaller), larger.nominal) or larger
        steps = [("adapter", larger, wide), ("reducer", wide, smaller)]
    for kind, pipe, other in steps:
        yield Fitting(kind=kind, pipe=pipe, where=node.name, at=node.at, other=other)


def _pump_kit(job: Job, system: System, station: LiftStation) -> tuple[list[Fitting], list[Riser]]:
    line = system.run(station.discharge_run)
    basin = job.works.basin_named(station.name)
    valve: tuple[Kind, ...] = ("check-valve",) if basin is None or basin.check_valve else ()
    pair = None if station.study is None else station.study.pair
    pumps = [station.pump]
    if station.second_on is not None:
        pumps.append(station.pump if pair is None else pair.second)
    fits: list[Fitting] = []
    risers: list[Riser] = []

    def put(*kinds: Kind) -> None:
        fits.extend(Fitting(kind=kind, pipe=line.pipe, where=station.name, at=station.at) for kind in kinds)

    for pump in pumps:
        port = PIPES.get(f"sch40 {pump.discharge_size}", line.pipe)
        fits.append(Fitting(kind="male-adapter", pipe=port, where=station.name, at=station.at))
        put(*valve, "union", "ball-valve", "elbow-90")
        rise = max(line.invert_upper - station.floor, 0.3)
        risers.append(Riser(pipe=line.pipe, length=rise, where=station.name, foot="male-adapter"))
        if inches(port.nominal) != inches(line.pipe.nominal):
            larger, smaller = sorted((port, line.pipe), key=lambda pipe: -inches(pipe.nominal))
            fits.append(Fitting(kind="reducer", pipe=larger, where=station.name, at=station.at, other=smaller))
    if len(pumps) == 2:
        put("wye", "elbow-45")  # the second riser turns into the wye's branch
    return fits, risers


def inlet_of(node: Node, job: Job) -> Inlet | None:
    """The job's inlet behind a node."""
    return next((item for item in job.works.inlets if item.name == node.name), None)


def discharge_of(node: Node, job: Job) -> Discharge | None:
    """The job's discharge point behind a node."""
    return next((item for item in job.works.discharge if item.name == node.name), None)


__all__ = [
    "BELLED", "BENDING", "WYE", "Cleanout", "Fitting", "Kind", "Meeting", "Riser", "change", "cleanouts", "cut_in",
    "discharge_of", "emitter_size", "free_end", "group", "inches", "inlet_of", "meetings", "network_fittings",
    "with_fittings",
]  # fmt: skip
