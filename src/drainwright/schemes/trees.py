"""Lines from many places to one: the tree they make, and how high their water arrives by gravity."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from drainwright.field.model import Plan
from drainwright.schemes.base import Base, Way
from drainwright.system.least_tree import Terminal, least_tree
from drainwright.system.ways import distance, route_length

SAME = 0.3  # a place nearer than this to the root needs no line [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A place whose water has to be led away."""

    name: str
    at: Plan
    invert: float  # highest invert of a pipe there [m]
    roof: bool = False  # a downspout


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
        found = [(name, level - arrives) for name, arrives in self.arrivals if arrives < level - 1e-9]
        return tuple(sorted(found, key=lambda item: (-item[1], item[0])))


def tree_to(base: Base, places: Sequence[Place], root: str, at: Plan) -> Tree:
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
    found = least_tree(base.yard, wanted, at, root_name=root)
    names = {place.name for place in away}
    grade = base.job.criteria.minimum_grade
    left = {edge.upper: edge for edge in found.edges}
    arrivals = []
    for place in away:
        here, reach = place.name, 0.0
        while here != root:
            reach += left[here].length
            here = left[here].lower
        arrivals.append((place.name, place.invert - reach * grade))
    return Tree(
        root=root,
        edges=tuple(Edge(upper=edge.upper, lower=edge.lower, route=edge.route) for edge in found.edges),
        joints=tuple((name, place) for name, place in found.nodes.items() if name not in names and name != root),
        arrivals=tuple(arrivals),
        words=found.words,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Gravity:
    """The way out to which a group of places is led by gravity, and what does not get there."""

    way: Way
    tree: Tree
    short: tuple[tuple[str, float], ...]  # places that arrive too low, and by how much, the worst first [m]


def by_gravity(base: Base, places: Sequence[Place]) -> Gravity:
    """The lawful way out that most of the places reach by gravity; of equals, the best in law, then the nearest."""
    found = []
    for order, way in enumerate(base.ways):
        tree = tree_to(base, places, way.point.name, way.at)
        short = tree.short(way.level)
        found.append((len(short), order, round(tree.length, 6), Gravity(way=way, tree=tree, short=short)))
    return min(found, key=lambda item: item[:3])[-1]


__all__ = ["Edge", "Gravity", "Place", "Tree", "by_gravity", "tree_to"]
