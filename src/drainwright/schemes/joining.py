"""Drawn runs that new lines may join, at their inlets and junctions only: the runs themselves never change."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from drainwright.field.model import Plan
from drainwright.schemes.base import Base
from drainwright.system.model import System
from drainwright.system.network import Line
from drainwright.system.ways import distance
from drainwright.system.yard.least_tree import LeastTree

CLOSE = 1e-6  # places are the same [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """What is drawn on the way to a root, as far as rain may join it."""

    chains: tuple[tuple[Plan, ...], ...]  # places of inlets and junctions, each chain down to the root [m]
    spots: Mapping[str, Plan]  # of those places but the root [m]


def drawn_to(base: Base, root: str) -> Drawn:
    """The drawn runs that lead rain to a root by gravity, and carry no ground water.

    Parameters
    ----------
    base : Base
        The lot.
    root : str
        A discharge point or basin.

    Returns
    -------
    Drawn
        Without downspouts, at which no pipe may end, and without places that are closed.
    """
    network = base.network
    wet = {
        line.name
        for drain in network.lines
        if drain.duty == "footing drain"
        for line in (drain, *network.chain(drain.lower))
    }
    chains: list[tuple[Plan, ...]] = []
    spots: dict[str, Plan] = {}
    for line in network.lines:
        start = line.lower if network.spots[line.upper].kind == "downspout" else line.upper
        down = network.chain(start)
        names = [start, *(part.lower for part in down)]
        if root not in names[1:]:
            continue
        down = down[: names.index(root)]
        names = names[: names.index(root) + 1]
        if any(_barred(part, wet) or network.spots[part.upper].kind == "basin" for part in down):
            continue
        while len(names) > 1 and names[0] in base.closed:
            names.pop(0)
        if len(names) > 1 and not base.closed & set(names):
            chains.append(tuple(network.spots[name].at for name in names))
            spots |= {name: network.spots[name].at for name in names[:-1]}
    longest = sorted(dict.fromkeys(chains), key=lambda chain: (-len(chain), chain))
    kept: list[tuple[Plan, ...]] = []
    for chain in longest:
        if not any(chain == other[-len(chain) :] for other in kept):
            kept.append(chain)
    return Drawn(chains=tuple(kept), spots=spots)


def _barred(line: Line, wet: set[str]) -> bool:
    return line.name in wet or line.duty in ("discharge line", "overflow", "footing drain")


def new_edges(found: LeastTree, drawn: Drawn, sources: Sequence[str]) -> list[tuple[str, str, tuple[Plan, ...], bool]]:
    """The edges of a tree that are new, from and to the names of drawn places; whether each still lacks its route.

    A source on a drawn place has no edge of its own in the tree: it gets one, without a route, to that place.
    """

    def named(name: str) -> str:
        at = found.nodes[name]
        if name in sources:
            return name
        return next((spot for spot, place in drawn.spots.items() if distance(place, at) < CLOSE), name)

    edges = []
    for edge in found.edges:
        if edge.cost > 0.0:
            edges.append((named(edge.upper), named(edge.lower), edge.route, False))
        elif edge.upper in sources:
            at = found.nodes[edge.upper]
            spot = min(drawn.spots, key=lambda name: (distance(drawn.spots[name], at), name))
            edges.append((edge.upper, spot, (at, drawn.spots[spot]), True))
    return edges


def through(base: Base, name: str, root: str, level: float) -> float:
    """Level at which water that arrives at a drawn place comes to the root; less what it lacks on the way. [m]

    A run with inverts of its own takes water no lower than its upper one, and delivers it at its lower one.
    """
    lack = 0.0
    for line in base.network.chain(name):
        if line.invert_upper is not None:
            lack = max(lack, line.invert_upper - level)
            level = line.invert_upper
        grade = base.job.criteria.minimum_grade if line.grade is None else line.grade
        level -= line.length * grade
        if line.invert_lower is not None:
            lack = max(lack, line.invert_lower - level)
            level = line.invert_lower
        if line.lower == root:
            break
    return level - lack


def overfull_joins(base: Base, system: System, joins: Sequence[str]) -> frozenset[str]:
    """Drawn places at which new lines come in, though a drawn pipe below is too small for what it carries then."""
    own = {line.name: line for line in base.network.lines}
    runs = {run.name: run for run in system.runs}
    most = base.job.criteria.maximum_fill
    found = set()
    for name in joins:
        for line in base.network.chain(name):
            run = runs.get(line.name)
            small = run is not None and (run.flow > run.capacity or run.fill > most + 1e-6)
            if own[line.name].pipe is not None and small:
                found.add(name)
    return frozenset(found)


__all__ = ["Drawn", "drawn_to", "new_edges", "overfull_joins", "through"]
