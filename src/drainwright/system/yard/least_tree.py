"""The least-cost tree of pipes over a yard: from every place that water comes from, down to one way out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from drainwright.errors import InputError
from drainwright.field.model import Plan
from drainwright.field.words import fine
from drainwright.system.ways import distance, route_length, tidy_route
from drainwright.system.yard.steiner import Tree, Ways, exact_tree, heuristic_tree, keys_of, upstream
from drainwright.system.yard.yard_map import BARRED, Route, YardMap

FALL = 10.0  # a metre of depth lost costs as much as so many metres of pipe: common practice, no source [m/m]
TREE_CELLS = 8_000  # of the map on which a tree is searched
EXACT = 4  # so many sources are joined by the exact way
DRAWN = 1e-7  # cost of a stretch that is drawn already: none, but an arc still [m]
WYE = 1.0  # a joint, with its fitting, in metres of pipe in open lawn: common practice, no source [m]
JOINT_MOVES = (1.0, 0.5, 0.25, 0.1)  # steps by which joints are moved [m]
JOINT_SWEEPS = 4
SAME = 0.3  # a joint nearer than this to the next place is that place [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Terminal:
    """A place whose water is to be led away."""

    name: str
    at: Plan
    ground: float  # [m]
    invert: float  # highest at which a pipe can leave it [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class TreeEdge:
    """A pipe of the tree."""

    upper: str
    lower: str
    route: Route
    length: float  # [m]
    cost: float  # in metres of pipe in open lawn, with the depth lost; 0 where it was drawn already [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeastTree:
    """A tree of pipes; every place but the root has one edge that leaves it."""

    nodes: Mapping[str, Plan]  # sources, the root, joints J1, J2 .., places D1, D2 .. of drawn lines
    edges: tuple[TreeEdge, ...]  # upstream first
    cost: float  # of all edges and joints, in metres of pipe in open lawn [m]
    words: tuple[str, ...]  # how it came about, and what its pipes meet


@dataclass(slots=True)
class _Plot:
    """A tree while it is worked on."""

    yard: YardMap
    fall: float
    places: dict[str, Plan]
    next: dict[str, str]
    routes: dict[str, Route]  # by the upper place
    drawn: set[str]  # upper places of stretches that were drawn
    joints: list[str]  # places where branches meet, that may be moved

    def cost_of(self, route: Route) -> float:
        barred = 0.0 if self.yard.passable(route) else BARRED
        return self.yard.cost(route) + self.fall * self.yard.lost(route) + barred


def least_tree(
    yard: YardMap,
    sources: Sequence[Terminal],
    root: Plan,
    fixed: Sequence[Sequence[Plan]] = (),
    root_name: str = "OUT",
    *,
    fall: float = FALL,
) -> LeastTree:
    """The tree of least cost that leads the water of all sources to the root.

    Parameters
    ----------
    yard : YardMap
        What it costs to lay pipe where.
    sources : sequence of Terminal
        Places to gather.
    root : Plan
        Where the water goes: a basin, or a way out. [m]
    fixed : sequence of routes
        Lines that a person has drawn, each from its upper to its lower end. They stay, and what joins one at its
        ends or bends is carried on by it at no cost; where one ends short of the root it is carried on. [m]
    root_name : str
        Name of the root.
    fall : float
        Cost of a metre of depth that a pipe at the least grade loses against the ground; 0 for lines under pressure.
        [m/m]

    Returns
    -------
    LeastTree
        With joints where branches meet, and every route pulled straight.

    Raises
    ------
    InputError
        If two places have one name, drawn lines run in a loop, or no way leads from a source to the root.

    Notes
    -----
    Up to ``EXACT`` places are joined by the exact way, more by a heuristic (see ``steiner``), both over cells; routes
    and joints are then moved off the cells to where they cost least.
    """
    names = [source.name for source in sources]
    if len({*names, root_name}) != len(names) + 1:
        raise InputError(f"sources named {names}: expected names of their own, and none that is {root_name!r}")
    coarse = yard if yard.cells.weight.size <= TREE_CELLS else yard.coarser(TREE_CELLS)
    home = {name: coarse.cells.open_cell(yard.house.out(at)) for name, at in [(s.name, s.at) for s in sources]}
    goal = coarse.cells.open_cell(yard.house.out(root))
    drawn = _drawn(coarse, fixed, goal)
    ways = Ways(_arcs(coarse, drawn.after, fall))
    wanted = sorted({*home.values(), *drawn.heads} - {goal})
    tree = (exact_tree if len(wanted) <= EXACT else heuristic_tree)(ways, wanted, goal)
    plot = _plotted(yard, coarse, tree, wanted, goal, sources, home, root, root_name, drawn, fall)
    _settle(plot)
    return _told(plot, sources, root_name, exact=len(wanted) <= EXACT)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Drawn:
    after: Mapping[int, int]  # the cell after each, along drawn lines
    heads: tuple[int, ...]  # cells where drawn lines begin
    places: Mapping[int, Plan]  # of drawn vertices by cell
    stretches: Mapping[int, Route]  # from the drawn vertex in a cell to the next


def _drawn(yard: YardMap, fixed: Sequence[Sequence[Plan]], goal: int) -> _Drawn:
    """The drawn lines as cells that follow each other."""
    after: dict[int, int] = {}
    places: dict[int, Plan] = {}
    stretches: dict[int, Route] = {}
    heads: list[int] = []
    for line in fixed:
        cells = [yard.cells.open_cell(yard.house.out(place)) for place in line]
        heads.append(cells[0])
        waiting: list[Plan] = [line[0]]
        here = cells[0]
        places.setdefault(here, line[0])
        for place, cell in zip(line[1:], cells[1:], strict=True):
            waiting.append(place)
            if cell == here:
                continue
            if here in after or here == goal:
                break  # an earlier line carries it on from here
            after[here] = cell
            stretches[here] = tuple(waiting)
            places.setdefault(cell, place)
            here, waiting = cell, [place]
    for start in after:
        seen, here = {start}, start
        while here in after:
            here = after[here]
            if here in seen:
                raise InputError("fixed = lines that run in a loop: expected lines that lead down to the root")
            seen.add(here)
    return _Drawn(after=after, heads=tuple(heads), places=places, stretches=stretches)


def _arcs(yard: YardMap, after: Mapping[int, int], fall: float):  # type: ignore[no-untyped-def]
    """Arcs over the cells: laying, and depth lost on the way; from a place of a drawn line only on along it."""
    from scipy.sparse import csr_matrix

    steps = yard.graph().tocoo()
    a, b, cost = steps.row, steps.col, steps.data
    level = yard.levels.ravel()
    (xa, ya), (xb, yb) = yard.cells.centre(a), yard.cells.centre(b)
    loss = np.clip(level[b] - level[a] + yard.grade * np.hypot(xb - xa, yb - ya), 0.0, None)
    cost = cost + fall * loss
    keep = ~np.isin(a, np.array(list(after), dtype=np.int64))
    a = np.concatenate([a[keep], np.array(list(after), dtype=np.int64)])
    b = np.concatenate([b[keep], np.array(list(after.values()), dtype=np.int64)])
    cost = np.concatenate([cost[keep], np.full(len(after), DRAWN)])
    return csr_matrix((cost, (a, b)), shape=steps.shape)


def _plotted(
    yard: YardMap,
    coarse: YardMap,
    tree: Tree,
    wanted: Sequence[int],
    goal: int,
    sources: Sequence[Terminal],
    home: Mapping[str, int],
    root: Plan,
    root_name: str,
    drawn: _Drawn,
    fall: float,
) -> _Plot:
    """The tree over cells as named places with routes between them."""
    meets = set(keys_of(tree, wanted, goal))
    above = upstream(tree)
    ends = {cell for cell in drawn.places if cell in tree or cell in above}
    joins = {  # of the places of drawn lines: where they begin and end, and where something else comes in
        cell
        for cell in ends
        if cell in drawn.heads or cell not in drawn.after or len(above.get(cell, ())) > 1
        or any(drawn.after.get(upper) != cell for upper in above.get(cell, ()))
    }  # fmt: skip
    name_of: dict[int, str] = {goal: root_name}
    places = {root_name: root}
    plot = _Plot(yard=yard, fall=fall, places=places, next={}, routes={}, drawn=set(), joints=[])
    for source in sources:
        places[source.name] = source.at
        first = name_of.setdefault(home[source.name], source.name)
        if first != source.name:  # two places in one cell
            plot.next[source.name] = first
    counts = {"J": 0, "D": 0}
    order = _downward(tree, goal)
    for cell in order:
        if cell in name_of or cell not in meets | joins:
            continue
        letter = "D" if cell in drawn.places else "J"
        while True:
            counts[letter] += 1
            name = f"{letter}{counts[letter]}"
            if name not in places:
                break
        name_of[cell] = name
        if letter == "J":
            plot.joints.append(name)
        places[name] = drawn.places.get(cell) or _middle(coarse, cell)
    for cell in order:
        if cell not in name_of or cell == goal:
            continue
        path = [cell, tree[cell]]
        laid: list[Plan] = list(drawn.stretches.get(cell, ()))
        while path[-1] not in name_of:
            laid += drawn.stretches.get(path[-1], ())[1:]
            path.append(tree[path[-1]])
        upper, lower = name_of[cell], name_of[path[-1]]
        plot.next[upper] = lower
        if cell in drawn.after:
            plot.drawn.add(upper)
            plot.routes[upper] = tidy_route((places[upper], *laid, places[lower]))
        else:
            plot.routes[upper] = _straight(plot, coarse, path, places[upper], places[lower])
    for upper, lower in plot.next.items():
        if upper not in plot.routes:
            plot.routes[upper] = yard.way(places[upper], places[lower])
    return plot


def _middle(yard: YardMap, cell: int) -> Plan:
    east, north = yard.cells.centre(cell)
    return float(east), float(north)


def _straight(plot: _Plot, coarse: YardMap, path: Sequence[int], start: Plan, end: Plan) -> Route:
    """A path over cells between two places, pulled straight; or the way of least cost, where that is cheaper."""
    house = plot.yard.house
    found = tidy_route((start, *coarse.straightened(path, house.out(start), house.out(end), plot.fall), end))
    other = plot.yard.way(start, end)
    return min(found, other, key=lambda route: round(plot.cost_of(route), 9))


def _downward(tree: Tree, goal: int) -> list[int]:
    """Cells of a tree, from the root upward."""
    above, found, queue = upstream(tree), [goal], [goal]
    while queue:
        for cell in above.get(queue.pop(0), ()):
            found.append(cell)
            queue.append(cell)
    return found


def _settle(plot: _Plot) -> None:
    """Joints moved to where their pipes cost least together; one that comes to lie at the next place is that place."""
    for _ in range(2):
        for joint in plot.joints:
            uppers = [name for name, lower in plot.next.items() if lower == joint and name not in plot.drawn]
            if len(uppers) != sum(lower == joint for lower in plot.next.values()) or joint in plot.drawn:
                continue
            _move(plot, joint, uppers)
    for joint in plot.joints:
        lower = plot.next[joint]
        if distance(plot.places[joint], plot.places[lower]) < SAME and joint not in plot.drawn:
            for upper in [name for name, end in plot.next.items() if end == joint]:
                plot.next[upper] = lower
                plot.routes[upper] = tidy_route((*plot.routes[upper][:-1], plot.places[lower]))
            plot.joints = [name for name in plot.joints if name != joint]
            del plot.next[joint], plot.routes[joint], plot.places[joint]


def _move(plot: _Plot, joint: str, uppers: Sequence[str]) -> None:
    """One joint moved, with the bends next to it kept; then its routes are pulled anew where that is cheaper."""
    fixed = [plot.routes[name][-2] for name in uppers] + [plot.routes[joint][1]]
    ways_in = np.array(fixed)
    turns = np.arange(8) * np.pi / 4
    at = np.array(plot.places[joint])
    for move in JOINT_MOVES:
        for _ in range(JOINT_SWEEPS):
            tried = np.concatenate([at[None], at + move * np.stack([np.cos(turns), np.sin(turns)], axis=-1)])
            many, legs = len(tried), len(fixed)
            starts = np.concatenate([np.tile(ways_in[:-1], (many, 1)), tried])
            ends = np.concatenate([np.repeat(tried, legs - 1, 0), np.tile(ways_in[-1:], (many, 1))])
            cost = plot.yard.leg_costs(starts, ends, plot.fall)
            split = many * (legs - 1)
            total = cost[:split].reshape(many, legs - 1).sum(axis=1) + cost[split:]
            best = int(np.argmin(np.round(total, 9)))
            if best == 0:
                break
            at = tried[best]
    place = (float(at[0]), float(at[1]))
    before = sum(plot.cost_of(plot.routes[name]) for name in (*uppers, joint))
    routes = {name: tidy_route((*plot.routes[name][:-1], place)) for name in uppers}
    routes[joint] = tidy_route((place, *plot.routes[joint][1:]))
    ends_of = {name: plot.places[name] for name in uppers}
    for name, start in ends_of.items():
        routes[name] = min(routes[name], plot.yard.way(start, place), key=lambda r: round(plot.cost_of(r), 9))
    onward = plot.yard.way(place, plot.places[plot.next[joint]])
    routes[joint] = min(routes[joint], onward, key=lambda r: round(plot.cost_of(r), 9))
    if min(len(route) for route in routes.values()) >= 2 and sum(map(plot.cost_of, routes.values())) < before - 1e-6:
        plot.places[joint] = place
        plot.routes |= routes


def _told(plot: _Plot, sources: Sequence[Terminal], root_name: str, *, exact: bool) -> LeastTree:
    """The finished tree, upstream first, with words."""
    edges: list[TreeEdge] = []
    waiting = dict(plot.next)
    while waiting:
        ready = sorted(name for name in waiting if name not in waiting.values())
        for name in ready:
            route = plot.routes[name]
            cost = 0.0 if name in plot.drawn else plot.cost_of(route)
            edges.append(
                TreeEdge(upper=name, lower=waiting.pop(name), route=route, length=route_length(route), cost=cost)
            )
    joints = [name for name in plot.places if sum(edge.lower == name for edge in edges) > 1 and name != root_name]
    total = sum(edge.cost for edge in edges) + WYE * len(joints)
    units = plot.yard.units
    new = sum(edge.length for edge in edges if edge.upper not in plot.drawn)
    how = "the cheapest there is over the map's cells" if exact else "found by exchanges, not proved the cheapest"
    words = [f"{len(sources)} places are led to {root_name} by {fine(new, units)} of new pipe: a tree {how}."]
    inverts = {source.name: source.invert for source in sources}
    for edge in edges:
        arrives = inverts.get(edge.upper, np.inf) - plot.yard.grade * edge.length
        inverts[edge.lower] = min(inverts.get(edge.lower, np.inf), arrives)
        met = plot.yard.why(edge.route) if edge.upper not in plot.drawn else ()
        if met:
            words.append(f"{edge.upper} to {edge.lower} {'; '.join(met)}.")
    if np.isfinite(inverts.get(root_name, np.inf)):
        words.append(
            f"At the least grade the water can arrive at {root_name} no higher than {fine(inverts[root_name], units)}."
        )
    return LeastTree(nodes=dict(plot.places), edges=tuple(edges), cost=total, words=tuple(words))


__all__ = ["EXACT", "FALL", "WYE", "LeastTree", "Terminal", "TreeEdge", "least_tree"]
