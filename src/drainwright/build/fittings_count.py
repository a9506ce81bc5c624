"""Fittings as they are bought: those of the network, and couplings between the sticks."""

from __future__ import annotations

import math
from itertools import accumulate, pairwise

from drainwright.field.words import Units
from drainwright.job.model import Job
from drainwright.system.bends import SHORTEST, elbows, inner_bends, straightened, turns
from drainwright.system.fittings import BENDING, Fitting, Riser, group, inlet_of, network_fittings
from drainwright.system.model import Pipe, SizedRun, System
from drainwright.system.trade import nominal_words

REACH = 0.0508  # a pipe goes through its gasket and this far past the wall's inside, common practice, no source [m]

_WORDS = {
    "elbow-22": "elbow 22-1/2°",
    "elbow-45": "elbow 45°",
    "elbow-90": "elbow 90°",
    "wye": "wye",
    "tee": "tee, on its back",
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
    "sweep-90": "long-sweep elbow 90°",
    "flexible": "flexible coupling with clamps",
    "slip-coupling": "slip (repair) coupling",
}
_SOCKETS = {
    "wye": 3, "tee": 3, "cap": 1, "cleanout": 1, "gasket": 0, "downspout": 1, "male-adapter": 1, "winter-relief": 3,
    "flexible": 0,
}  # fmt: skip


def key_of(fitting: Fitting) -> str:
    """Price-book key: ``fitting.elbow-45.sewer.4in``."""
    return f"fitting.{fitting.kind}.{group(fitting.pipe)}.{size(fitting.pipe)}"


def described(fitting: Fitting, units: Units) -> str:
    """In words: ``4 in wye, sewer and drain``."""
    return f"{nominal_words(fitting.pipe.nominal, units)} {_WORDS[fitting.kind]}, {group_words(fitting.pipe)}"


def kind_words(fitting: Fitting) -> str:
    """Its kind alone: ``elbow 45°``."""
    return _WORDS[fitting.kind]


def sized_words(fitting: Fitting, units: Units) -> str:
    """Its kind and sizes: ``reducer 3 in × 1-1/2 in``."""
    sizes = [nominal_words(pipe.nominal, units) for pipe in (fitting.pipe, fitting.end) if pipe is not None]
    return f"{kind_words(fitting)} {' × '.join(sizes)}"


def sockets(fitting: Fitting) -> int:
    """Sockets that a solvent-welded joint fills."""
    return _SOCKETS.get(fitting.kind, 2)


def group_words(pipe: Pipe) -> str:
    """Which fittings a pipe takes, in words."""
    return {"sch40": "Schedule 40", "sewer": "sewer and drain", "corrugated": "corrugated"}[group(pipe)]


def size(pipe: Pipe) -> str:
    """Nominal size in a key: ``1-1/2in``."""
    return pipe.nominal.replace(" ", "")


def inside_bodies(job: Job, system: System, run: SizedRun) -> tuple[float, float]:
    """How much of a run's two ends lies inside a basin or catch basin, where no pipe is laid.

    Parameters
    ----------
    job : Job
        Its catch basins have their size.
    system : System
        The network.
    run : SizedRun
        One of its runs; its route ends at the middle of what it comes to.

    Returns
    -------
    float, float
        From the middle to the inside of the wall, less ``REACH``; 0 at other ends, and where a pumped line starts at
        its riser in the middle. [m]
    """

    def inside(name: str) -> float:
        return max(body_half(job, system, name) - REACH, 0.0)

    return 0.0 if run.pressure else inside(run.upper), inside(run.lower)


def body_half(job: Job, system: System, name: str) -> float:
    """Half of the inside width of the basin or catch basin at a place; 0 where there is none [m]."""
    node = system.nodes.get(name)
    if node is None:
        return 0.0
    if node.kind == "basin":
        station = system.station_named(name)
        return 0.0 if station is None else station.inside_diameter / 2.0
    inlet = inlet_of(node, job) if node.kind == "inlet" else None
    return 0.0 if inlet is None or inlet.kind == "cleanout" else inlet.size / 2.0


def spans(run: SizedRun, ends: tuple[float, float] = (0.0, 0.0)) -> list[tuple[float, float]]:
    """Where the straight lengths between a run's fittings begin and end, along its straightened route.

    The whole run for pipe that bends. ``ends`` are taken off, as ``inside_bodies`` finds them; what is left of a length
    is never too short to join. [m]
    """
    lengths = _pressed_lengths(run) if run.pressure else _plan_lengths(run)
    edges = [0.0, *accumulate(lengths)]
    found = [[start, end] for start, end in pairwise(edges)]
    found[0][0] += min(ends[0], max(lengths[0] - SHORTEST, 0.0))
    last = found[-1][1] - found[-1][0]
    found[-1][1] -= min(ends[1], max(last - SHORTEST, 0.0))
    return [(start, end) for start, end in found if end - start > 1e-6]


def _plan_lengths(run: SizedRun) -> list[float]:
    """Between fitted turns of a gravity line, in plan: its grade is too slight to lengthen it [m]."""
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
    return lengths


def _pressed_lengths(run: SizedRun) -> list[float]:
    """Between fitted turns of a pumped line, along the pipe [m]."""
    inner = () if run.pipe.family in BENDING else inner_bends(run.bends, run.pipe_length)
    edges = [0.0, *(bend.along for bend in inner), run.pipe_length]
    return [end - start for start, end in pairwise(edges)]


def legs(run: SizedRun, ends: tuple[float, float] = (0.0, 0.0)) -> list[float]:
    """Straight lengths between a run's fittings, as ``spans`` finds them [m]."""
    return [end - start for start, end in spans(run, ends)]


def named(job: Job, system: System) -> tuple[tuple[Fitting, ...], tuple[Riser, ...]]:
    """The network's own fittings and risers, named anew for a system that has none named yet."""
    return network_fittings(job, system) if system.fittings is None else (system.fittings, system.risers)


__all__ = [
    "REACH", "body_half", "described", "group_words", "inside_bodies", "key_of", "kind_words", "legs", "named",
    "size", "sockets", "spans",
]  # fmt: skip
