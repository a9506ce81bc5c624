"""Lines from many places to one: the tree they make, and how high their water arrives by gravity."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from drainwright.field.model import Plan
from drainwright.schemes.base import Base, Place, Way
from drainwright.schemes.joining import Drawn, drawn_to, new_edges, through
from drainwright.system.gravity import PIPE_HEIGHT
from drainwright.system.sized import OPEN_END_LENGTH, OPEN_END_LONGEST, OPEN_ENDS
from drainwright.system.ways import distance, route_length, stations_along
from drainwright.system.yard.least_tree import FALL, Terminal, least_tree

ROUNDING = 0.002  # a level that is typed to the hundredth may lie so much off [m]
HAIR = 0.005  # water that arrives no more than this too low is left for the grading to judge [m]
PAST = 1.0  # of a joint on a leader from its downspout [m]
DEAR_FALL = 10.0 * FALL  # the same where fall is scarce [m/m]
JOINT = "joint "  # before the name of a place where lines of a tree meet, which no place of the job bears
SAME = 0.3  # a place nearer than this to the root needs no line [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Edge:
    """One line of a tree."""

    upper: str
    lower: str
    route: tuple[Plan, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tree:
    """Lines that join places to a root, and by how much each arrives too low."""

    root: str
    edges: tuple[Edge, ...]
    joints: tuple[tuple[str, Plan], ...]  # where lines meet
    arrivals: tuple[tuple[str, float], ...]  # of each place: level at the root at the least fall [m]
    words: tuple[str, ...] = ()

    @property
    def length(self) -> float:
        """Of all lines [m]."""
        return sum(route_length(edge.route) for edge in self.edges)

    def short(self, level: float) -> tuple[tuple[str, float], ...]:
        """Places whose water arrives below a level, and by how much, the worst first [m]."""
        found = [(name, level - arrives) for name, arrives in self.arrivals if arrives < level - HAIR]
        return tuple(sorted(found, key=lambda item: (-item[1], item[0])))


def tree_to(base: Base, places: Sequence[Place], root: str, at: Plan, fall: float = FALL) -> Tree:
    """The tree of lines from places to a root.

    Parameters
    ----------
    base : Base
        The lot.
    places : sequence of Place
        Where the water starts.
    root : str
        Name of the discharge point or basin.
    at : Plan
        Where it lies. [m]
    fall : float
        What a metre of depth lost costs, in metres of pipe. [m/m]

    Returns
    -------
    Tree
        Each place has one line leaving it; a place on the root itself has none.
    """
    away = [place for place in places if distance(place.at, at) > SAME]
    if not away:
        return Tree(root=root, edges=(), joints=(), arrivals=())
    level = base.site.surface.level
    wanted = [
        Terminal(name=place.name, at=place.at, ground=float(level(*place.at)), invert=place.invert) for place in away
    ]
    drawn = Drawn(chains=(), spots={}) if any(place.ground for place in away) else drawn_to(base, root)
    found = least_tree(base.yard, wanted, at, drawn.chains, root, fall=fall)
    names = [place.name for place in away]
    edges: list[Edge] = []
    joints: dict[str, Plan] = {}
    for upper, lower, route, bare in new_edges(found, drawn, names):
        upper, lower = (
            name if name in names or name == root or name in drawn.spots else f"{JOINT}{name}"
            for name in (upper, lower)
        )
        joints |= {name: found.nodes[name.removeprefix(JOINT)] for name in (upper, lower) if name.startswith(JOINT)}
        edges.append(Edge(upper=upper, lower=lower, route=base.yard.way(route[0], route[-1]) if bare else route))
    for spout in [place for place in away if place.roof]:
        edges = _past_spout(base, edges, spout, joints)
    return Tree(
        root=root,
        edges=tuple(edges),
        joints=tuple(joints.items()),
        arrivals=_arrivals(base, away, root, edges),
        words=found.words,
    )


def star_to(base: Base, places: Sequence[Place], root: str, at: Plan, level: float = -math.inf) -> Tree:
    """The same with a way of its own for each place: that of least cost, or where it falls short the shortest.

    Parameters
    ----------
    base, places, root, at
        As in ``tree_to``.
    level : float
        At which water must arrive. [m]

    Returns
    -------
    Tree
        What does not get to the root so does not at all.
    """
    away = [place for place in places if distance(place.at, at) > SAME]
    edges = []
    for place in away:
        edge = Edge(upper=place.name, lower=root, route=base.yard.way(place.at, at))
        if _arrivals(base, [place], root, [edge])[0][1] < level - HAIR:
            edge = replace(edge, route=base.house.way(place.at, at))
        edges.append(edge)
    return Tree(root=root, edges=tuple(edges), joints=(), arrivals=_arrivals(base, away, root, edges))


def _arrivals(base: Base, places: Sequence[Place], root: str, edges: Sequence[Edge]) -> tuple[tuple[str, float], ...]:
    """Level at the root at which the water of each place arrives at the least fall, under cover all the way [m]."""
    left = {edge.upper: edge for edge in edges}
    inlets = {inlet.name for inlet in base.job.works.inlets}
    open_end = next((way.level for way in base.ways if way.point.name == root and way.point.kind in OPEN_ENDS), None)
    found = []
    for place in places:
        here, level = place.name, place.invert
        while here != root:
            if here not in left:
                level = through(base, here, root, level)
                break
            edge = left[here]
            level = down(base, edge.route, level, open_end if edge.lower == root else None)
            here = edge.lower
            if here in inlets:
                level -= base.job.criteria.inlet_drop
        found.append((place.name, level))
    return tuple(found)


def down(base: Base, route: tuple[Plan, ...], start: float, open_end: float | None = None) -> float:
    """Highest level at the end of a pipe that keeps its fall and its cover.

    Where it comes out of the ground cover is left out near its end, as far as the grading leaves it out. [m]
    """
    criteria = base.job.criteria
    stations = stations_along(route)
    reach = np.array([distance for distance, _ in stations])
    east, north = np.array([at for _, at in stations]).T
    up = reach[-1] - reach
    ground = np.asarray(base.site.surface.level(east, north), dtype=float)
    most = start - float(reach[-1]) * criteria.minimum_grade
    bare = open_end is not None
    for index in reversed(range(len(up))):
        if bare and open_end is not None:
            over = ground[index] - open_end - up[index] * criteria.minimum_grade - PIPE_HEIGHT
            near = up[index] < OPEN_END_LENGTH or over < criteria.minimum_cover
            bare = bool(up[index] < OPEN_END_LONGEST and near)
        if not bare:
            under = float(ground[index]) - criteria.minimum_cover - PIPE_HEIGHT
            most = min(most, under - float(up[index]) * criteria.minimum_grade)
    return most


def _past_spout(base: Base, edges: Sequence[Edge], spout: Place, joints: dict[str, Plan]) -> list[Edge]:
    """No pipe ends at a downspout: what would is led to a joint on its leader, just past it."""
    into = [edge for edge in edges if edge.lower == spout.name]
    if not into:
        return list(edges)
    leader = next(edge for edge in edges if edge.upper == spout.name)
    past, upper, lower = cut(leader.route, min(PAST, 0.5 * route_length(leader.route)))
    name = next(name for number in range(1, 1000) if (name := f"{JOINT}J{number}") not in joints)
    joints[name] = past
    found = [edge for edge in edges if edge not in into and edge is not leader]
    found += [Edge(upper=edge.upper, lower=name, route=base.yard.way(edge.route[0], past)) for edge in into]
    found += [
        Edge(upper=spout.name, lower=name, route=upper), Edge(upper=name, lower=leader.lower, route=lower),
    ]  # fmt: skip
    return found


def cut(route: tuple[Plan, ...], reach: float) -> tuple[Plan, tuple[Plan, ...], tuple[Plan, ...]]:
    """The place at a distance along a route, and the route before and after it."""
    for index in range(1, len(route)):
        (x, y), (u, v) = route[index - 1], route[index]
        leg = distance((x, y), (u, v))
        if reach <= leg:
            share = reach / leg
            at = (x + share * (u - x), y + share * (v - y))
            return at, (*route[:index], at), (at, *route[index:])
        reach -= leg
    raise ValueError(f"reach = {reach!r}: expected a distance within the route")


@dataclass(frozen=True, slots=True, kw_only=True)
class Gravity:
    """The way out to which a group of places is led by gravity, and what does not get there."""

    way: Way
    tree: Tree
    short: tuple[tuple[str, float], ...]  # places that arrive too low, and by how much, the worst first [m]


def reaching(base: Base, places: Sequence[Place], way: Way) -> tuple[Tree, tuple[tuple[str, float], ...]]:
    """The tree of least cost to a way out, and what falls short of it.

    Where some does, a tree that minds depth more than length; where some still does, a way of its own for each place.
    """
    name, level = way.point.name, way.level
    tree = tree_to(base, places, name, way.at)
    short = tree.short(level)
    if short and len(places) > 1:
        tree = tree_to(base, places, name, way.at, DEAR_FALL)
        short = tree.short(level)
    if short:
        tree = star_to(base, places, name, way.at, level)
        short = tree.short(level)
    return tree, short


def by_gravity(base: Base, places: Sequence[Place]) -> Gravity:
    """The lawful way out that most of the places reach by gravity; of equals, the best in law, then the nearest."""
    found = []
    for order, way in enumerate(base.outs):
        tree, short = reaching(base, places, way)
        found.append((len(short), order, round(tree.length, 6), Gravity(way=way, tree=tree, short=short)))
    return min(found, key=lambda item: item[:3])[-1]


__all__ = ["JOINT", "Edge", "Gravity", "Place", "Tree", "by_gravity", "cut", "down", "reaching", "star_to", "tree_to"]
