"""Fittings counted from the network's own geometry: turns, junctions, ends, walls of basins, the pump's kit."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from drainwright.build.sticks import Sticks, split
from drainwright.field.model import Plan
from drainwright.field.words import Units
from drainwright.job.model import Job
from drainwright.job.works import Discharge, Inlet
from drainwright.system.model import LiftStation, Node, Pipe, SizedRun, System
from drainwright.system.trade import nominal_words

SHORTEST = 0.3  # no leg between two fittings is shorter [m]
TURN = 22.5  # degrees: fittings are sold in multiples of it
CORNER = 60.0  # degrees from which a turn of a footing drain is a corner
BELLED = frozenset({"D2729", "D3034 SDR 35", "corrugated smooth inside"})  # a bell on every stick: no couplings
BENDING = frozenset({"corrugated single wall", "wrapped aggregate"})  # follows a turn without a fitting

_GROUPS = {
    "Schedule 40": "sch40",
    "D2729": "sewer",  # D2729 and D3034 have one outside diameter up to 6 in, and take the same fittings
    "D3034 SDR 35": "sewer",
    "corrugated single wall": "corrugated",
    "corrugated smooth inside": "corrugated",
    "wrapped aggregate": "corrugated",
}
_WORDS = {
    "elbow-22": "elbow 22-1/2°",
    "elbow-45": "elbow 45°",
    "elbow-90": "elbow 90°",
    "wye": "wye",
    "coupling": "coupling",
    "reducer": "reducer",
    "adapter": "adapter to another pipe family",
    "cap": "end cap",
    "cleanout": "cleanout adapter with plug",
    "gasket": "pipe-to-basin gasket",
    "downspout": "downspout adapter",
    "check-valve": "check valve",
    "union": "union",
    "ball-valve": "ball valve",
    "male-adapter": "male adapter",
    "air-gap": "air-gap fitting",
    "winter-relief": "freeze relief fitting",
}
_SOCKETS = {"wye": 3, "cap": 1, "cleanout": 1, "gasket": 0, "downspout": 1, "male-adapter": 1, "winter-relief": 3}


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitting:
    """One fitting at one place."""

    kind: str  # "elbow-45"
    pipe: Pipe  # the pipe (the larger one) that it fits
    where: str

    @property
    def key(self) -> str:
        """Price-book key: ``fitting.elbow-45.sewer.4in``."""
        return f"fitting.{self.kind}.{group(self.pipe)}.{size(self.pipe)}"

    def described(self, units: Units) -> str:
        """In words: ``4 in wye, sewer and drain``."""
        return f"{nominal_words(self.pipe.nominal, units)} {_WORDS[self.kind]}, {group_words(self.pipe)}"

    @property
    def sockets(self) -> int:
        """Sockets that a solvent-welded joint fills."""
        return _SOCKETS.get(self.kind, 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Riser:
    """A short upright pipe: a cleanout or the pump's."""

    pipe: Pipe
    length: float  # [m]
    where: str


def group(pipe: Pipe) -> str:
    """Which fittings a pipe takes: ``sch40``, ``sewer`` or ``corrugated``."""
    return _GROUPS[pipe.family]


def group_words(pipe: Pipe) -> str:
    """The same in words."""
    return {"sch40": "Schedule 40", "sewer": "sewer and drain", "corrugated": "corrugated"}[group(pipe)]


def size(pipe: Pipe) -> str:
    """Nominal size in a key: ``1-1/2in``."""
    return pipe.nominal.replace(" ", "")


def inches(nominal: str) -> float:
    """A nominal size as a number: 1.5 for ``1-1/2 in``."""
    whole, _, part = nominal.removesuffix("in").strip().partition("-")
    over, _, under = part.partition("/")
    return float(whole) + (float(over) / float(under) if part else 0.0)


def straightened(route: Sequence[Plan]) -> list[Plan]:
    """A route without the kinks that are too short to fit a fitting at both ends."""
    kept = [route[0]]
    for place_ in route[1:-1]:
        if math.dist(kept[-1], place_) >= SHORTEST and math.dist(place_, route[-1]) >= SHORTEST:
            kept.append(place_)
    return [*kept, route[-1]]


def turns(route: Sequence[Plan]) -> list[float]:
    """Deflection at each inner place of a route, 0 straight on to 180 back [degrees]."""
    result = []
    for before, here, after in zip(route[:-2], route[1:-1], route[2:], strict=True):
        first = math.atan2(here[1] - before[1], here[0] - before[0])
        second = math.atan2(after[1] - here[1], after[0] - here[0])
        result.append(abs(math.degrees(math.remainder(second - first, math.tau))))
    return result


def elbows(angle: float, *, pressure: bool) -> tuple[str, ...]:
    """Fittings that make a turn: to the nearest 22-1/2°, the rest in the joints.

    A gravity line turns a right angle with two 45s, which a cleaning tool passes; a pressure line with one 90.

    Examples
    --------
    >>> elbows(88.0, pressure=False), elbows(67.0, pressure=True), elbows(9.0, pressure=False)
    (('elbow-45', 'elbow-45'), ('elbow-45', 'elbow-22'), ())
    """
    left = round(angle / TURN)
    found: list[str] = []
    sizes = ((4, "elbow-90"),) if pressure else ()
    for steps, kind in (*sizes, (2, "elbow-45"), (1, "elbow-22")):
        while left >= steps:
            found.append(kind)
            left -= steps
    return tuple(found)


def legs(run: SizedRun) -> list[float]:
    """Straight lengths between a run's fittings; the whole run for pipe that bends [m]."""
    lengths: list[float] = []
    route = straightened(run.route)
    bends = turns(route)
    for index, (first, second) in enumerate(pairwise(route)):
        length = math.dist(first, second)
        fitted = index > 0 and run.pipe.family not in BENDING and bool(elbows(bends[index - 1], pressure=False))
        if index == 0 or fitted:
            lengths.append(length)
        else:
            lengths[-1] += length
    return [length for length in lengths if length > 1e-6]


def fittings(job: Job, system: System, sticks: dict[str, Sticks]) -> tuple[tuple[Fitting, ...], tuple[Riser, ...]]:
    """All fittings and risers of the network.

    Parameters
    ----------
    job : Job
        For cleanouts asked for, and what the discharge needs.
    system : System
        The network.
    sticks : dict
        The stick chosen for each pipe key.

    Returns
    -------
    tuple of Fitting, tuple of Riser
        Each at its place, in the order of the runs.
    """
    found: list[Fitting] = []
    risers: list[Riser] = []
    for run in system.runs:
        found += _on_run(run, sticks[run.pipe.key].stick)
        upper = system.nodes[run.upper]
        fits, ups = _at_upper_end(run, upper, job, system)
        found += fits
        risers += ups
    for node in system.nodes.values():
        found += _at_node(node, job, system)
    for station in system.stations:
        fits, ups = _pump_kit(job, system, station)
        found += fits
        risers += ups
    return tuple(found), tuple(risers)


def _on_run(run: SizedRun, stick: float) -> Iterator[Fitting]:
    if run.pipe.family not in BENDING:
        for angle in turns(straightened(run.route)):
            for kind in elbows(angle, pressure=run.pressure):
                yield Fitting(kind=kind, pipe=run.pipe, where=run.name)
    if run.pipe.family not in BELLED:
        for length in legs(run):
            for _ in range(len(split(length, stick)) - 1):
                yield Fitting(kind="coupling", pipe=run.pipe, where=run.name)


def _at_upper_end(run: SizedRun, upper: Node, job: Job, system: System) -> tuple[list[Fitting], list[Riser]]:
    asked = any(item.cleanout for item in job.works.runs if item.name == run.name)
    free = upper.kind == "junction" and not any(other.lower == run.upper for other in system.runs)
    fits: list[Fitting] = []
    risers: list[Riser] = []
    if upper.kind == "downspout":
        fits += [Fitting(kind=kind, pipe=run.pipe, where=run.name) for kind in ("downspout", "elbow-90")]
    elif free and asked:
        fits += [Fitting(kind=kind, pipe=run.pipe, where=run.name) for kind in ("elbow-45", "elbow-45", "cleanout")]
        risers.append(Riser(pipe=run.pipe, length=_rise(run, 0.0), where=run.name))
    elif free:
        fits.append(Fitting(kind="cap", pipe=run.pipe, where=run.name))
    if asked and run.duty == "footing drain":
        along = 0.0
        route = straightened(run.route)
        for place_, following, angle in zip(route[:-2], route[1:-1], turns(route), strict=True):
            along += math.dist(place_, following)
            if angle >= CORNER:
                fits += [Fitting(kind=kind, pipe=run.pipe, where=run.name) for kind in ("wye", "elbow-45", "cleanout")]
                risers.append(Riser(pipe=run.pipe, length=_rise(run, along), where=run.name))
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
            yield Fitting(kind="gasket", pipe=run.pipe, where=f"{run.name} at {node.name}")
    elif inlet is not None:
        for run in going:
            for kind in ("wye", "elbow-45", "cleanout"):
                yield Fitting(kind=kind, pipe=run.pipe, where=node.name)
    if node.kind == "junction" and going and coming:
        outlet = going[0].pipe
        for _ in coming[1:]:
            yield Fitting(kind="wye", pipe=outlet, where=node.name)
        for run in coming:
            yield from _change(run.pipe, outlet, node.name)
        if len(coming) == 1 and _plain_joint(coming[0].pipe, outlet):
            yield Fitting(kind="coupling", pipe=outlet, where=node.name)
    if node.kind == "discharge" and coming:
        discharge = discharge_of(node, job)
        if discharge is not None and discharge.air_gap:
            yield Fitting(kind="air-gap", pipe=coming[0].pipe, where=node.name)
        if discharge is not None and discharge.winter_relief:
            yield Fitting(kind="winter-relief", pipe=coming[0].pipe, where=node.name)
        if system.joined is not None and discharge is not None and not discharge.air_gap:
            yield from _change(coming[0].pipe, system.joined.pipe, node.name)


def _plain_joint(first: Pipe, second: Pipe) -> bool:
    """Whether two runs of the same plain-ended pipe meet, and so need a coupling."""
    return first.key == second.key and first.family not in BELLED


def _change(first: Pipe, second: Pipe, where: str) -> Iterator[Fitting]:
    """Reducer where the size changes, adapter where the family of fittings changes."""
    larger = max((first, second), key=lambda pipe: inches(pipe.nominal))
    if inches(first.nominal) != inches(second.nominal):
        yield Fitting(kind="reducer", pipe=larger, where=where)
    if group(first) != group(second):
        yield Fitting(kind="adapter", pipe=larger, where=where)


def _pump_kit(job: Job, system: System, station: LiftStation) -> tuple[list[Fitting], list[Riser]]:
    line = system.run(station.discharge_run)
    basin = job.works.basin_named(station.name)
    check = basin is None or basin.check_valve
    pumps = 1 if station.second_on is None else 2
    fits: list[Fitting] = []
    risers: list[Riser] = []
    for _ in range(pumps):
        kinds = ["male-adapter", *(["check-valve"] if check else []), "union", "ball-valve", "elbow-90"]
        fits += [Fitting(kind=kind, pipe=line.pipe, where=station.name) for kind in kinds]
        rise = max(line.invert_upper - station.floor, 0.3)
        risers.append(Riser(pipe=line.pipe, length=rise, where=station.name))
        if inches(station.pump.discharge_size) != inches(line.pipe.nominal):
            fits.append(Fitting(kind="reducer", pipe=line.pipe, where=station.name))
    if pumps == 2:
        fits.append(Fitting(kind="wye", pipe=line.pipe, where=station.name))
    return fits, risers


def inlet_of(node: Node, job: Job) -> Inlet | None:
    """The job's inlet behind a node."""
    return next((item for item in job.works.inlets if item.name == node.name), None)


def discharge_of(node: Node, job: Job) -> Discharge | None:
    """The job's discharge point behind a node."""
    return next((item for item in job.works.discharge if item.name == node.name), None)


__all__ = [
    "BELLED", "BENDING", "Fitting", "Riser", "discharge_of", "elbows", "fittings", "group", "group_words", "inches",
    "inlet_of", "legs", "size", "turns",
]  # fmt: skip
