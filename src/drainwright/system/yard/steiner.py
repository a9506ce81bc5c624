"""Least-cost trees over a directed graph: water of several places, gathered on its way down to one.

Two ways: exact, by the dynamic program of Dreyfus and Wagner over sets of places, and by the shortest-path heuristic
with exchanges of paths and of meeting places. A tree is told by what comes next after each of its places.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import combinations, pairwise
from typing import TYPE_CHECKING, TypeAlias

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError

if TYPE_CHECKING:
    from scipy.sparse import csr_matrix

Tree: TypeAlias = dict[int, int]  # the place after each, down to the root
Array: TypeAlias = NDArray[np.float64]
Numbers: TypeAlias = NDArray[np.int64]

PASSES = 4  # of exchanges, at most
GAIN = 1e-9  # smaller ones are none


class Ways:
    """Cheapest ways over a directed graph, each search kept.

    Parameters
    ----------
    graph : csr_matrix
        Cost of each arc, from row to column, above zero.
    """

    def __init__(self, graph: csr_matrix) -> None:
        self.down = graph
        self.up = graph.T.tocsr()
        self._from: dict[int, tuple[Array, Numbers]] = {}

    def away(self, start: int) -> tuple[Array, Numbers]:
        """Cost from a place to all others, and the place before each on the way."""
        from scipy.sparse.csgraph import dijkstra

        if start not in self._from:
            cost, before = dijkstra(self.down, indices=np.array([start]), return_predecessors=True)
            self._from[start] = (cost[0], before[0].astype(np.int64))
        return self._from[start]

    def to(self, ends: Iterable[int]) -> tuple[Array, Numbers]:
        """Cost from all places to the nearest of some, and the place after each on the way."""
        from scipy.sparse.csgraph import dijkstra

        nodes = np.array(sorted(ends))
        cost, after, _ = dijkstra(self.up, indices=nodes, return_predecessors=True, min_only=True)
        return cost, after.astype(np.int64)

    def arc(self, a: int, b: int) -> float:
        """Cost of one arc; infinite where there is none."""
        row = slice(self.down.indptr[a], self.down.indptr[a + 1])
        found = np.nonzero(self.down.indices[row] == b)[0]
        return float(self.down.data[row][found].min()) if len(found) else float("inf")

    def total(self, tree: Mapping[int, int]) -> float:
        """Cost of a tree."""
        return float(sum(self.arc(a, b) for a, b in sorted(tree.items())))


def _run(follow: Numbers, start: int) -> list[int]:
    """Places from one on, by the place that follows each."""
    path = [start]
    while follow[path[-1]] >= 0:
        path.append(int(follow[path[-1]]))
    return path


def _check(sources: Sequence[int], root: int, cost: Array) -> list[int]:
    wanted = sorted(set(sources) - {root})
    lost = [node for node in wanted if not np.isfinite(cost[node])]
    if lost:
        raise InputError(f"sources = {lost}: expected places from which a way leads to the root")
    return wanted


def exact_tree(ways: Ways, sources: Sequence[int], root: int) -> Tree:
    """The tree of least cost, by Dreyfus and Wagner's dynamic program.

    Parameters
    ----------
    ways : Ways
        The graph.
    sources : sequence of int
        Places to gather; the time grows by three for each.
    root : int
        Where all of it goes.

    Returns
    -------
    Tree
        The place after each.

    Raises
    ------
    InputError
        If no way leads from a source to the root.

    Notes
    -----
    For every set of sources and every place, the least cost at which the set's water meets there: two parts of the set
    meet in a place, or the set comes as one from another place. S. E. Dreyfus and R. A. Wagner, "The Steiner problem in
    graphs", Networks 1 (1971) 195-207 (from memory); here with directed arcs.
    """
    from scipy.sparse import csr_matrix, hstack, vstack
    from scipy.sparse.csgraph import dijkstra

    wanted = _check(sources, root, ways.to([root])[0])
    many, count = len(wanted), ways.down.shape[0]
    if not wanted:
        return {}
    cost: dict[int, Array] = {}
    before: dict[int, Numbers] = {}  # the place from which the set comes as one; below zero: here it meets, or starts
    parted: dict[int, Numbers] = {}  # the part of the set that meets the rest of it here
    for index, node in enumerate(wanted):
        cost[1 << index], before[1 << index] = ways.away(node)
    column = csr_matrix((count, 1))
    for whole in sorted(range(1, 1 << many), key=lambda sets: (sets.bit_count(), sets)):
        if whole in cost:
            continue
        best, part = np.full(count, np.inf), np.zeros(count, dtype=np.int64)
        some = (whole - 1) & whole
        while some:
            if some < (whole ^ some):  # each pair of parts once
                met = cost[some] + cost[whole ^ some]
                part[met < best] = some
                best = np.minimum(best, met)
            some = (some - 1) & whole
        met = np.where(np.isfinite(best), best + 1e-12, 0.0)  # so that a zero is an arc still
        row = csr_matrix(np.append(met, 0.0)[None])
        wide = vstack([hstack([ways.down, column]), row]).tocsr()  # a place before all, with an arc to each
        reached, come = dijkstra(wide, indices=np.array([count]), return_predecessors=True)
        cost[whole] = reached[0, :count]
        before[whole] = np.where(come[0, :count] == count, -1, come[0, :count]).astype(np.int64)
        parted[whole] = part
    tree: Tree = {}
    open_sets = [((1 << many) - 1, root)]
    while open_sets:
        sets, node = open_sets.pop()
        while before[sets][node] >= 0:
            upper = int(before[sets][node])
            tree[upper] = node
            node = upper
        if sets in parted:
            part_here = int(parted[sets][node])
            open_sets += [(part_here, node), (sets ^ part_here, node)]
    return _pruned(tree, wanted, root)


def heuristic_tree(ways: Ways, sources: Sequence[int], root: int) -> Tree:
    """A tree of low cost: the nearest source joins first, then paths and meeting places are exchanged while that helps.

    Parameters
    ----------
    ways : Ways
        The graph.
    sources : sequence of int
        Places to gather.
    root : int
        Where all of it goes.

    Returns
    -------
    Tree
        The place after each.

    Raises
    ------
    InputError
        If no way leads from a source to the root.
    """
    cost, _ = ways.to([root])
    wanted = _check(sources, root, cost)
    orders = [None, sorted(wanted, key=lambda node: (-cost[node], node))]
    best: Tree = {}
    least = np.inf
    for order in orders:
        tree = _improved(ways, _joined(ways, wanted, root, order), wanted, root)
        total = ways.total(tree)
        if total < least - GAIN:
            best, least = tree, total
    return best


def _joined(ways: Ways, wanted: Sequence[int], root: int, order: Sequence[int] | None) -> Tree:
    """The shortest-path heuristic: in an order, or the nearest first."""
    tree: Tree = {}
    waiting = list(wanted)
    while waiting:
        cost, after = ways.to([root, *tree])
        node = min(waiting, key=lambda item: (round(float(cost[item]), 9), item)) if order is None else waiting[0]
        if order is not None:
            node = next(item for item in order if item in waiting)
        path = _run(after, node)
        for a, b in pairwise(path):
            tree.setdefault(a, b)
        waiting = [item for item in waiting if item != node and item not in tree]
    return tree


def upstream(tree: Mapping[int, int]) -> dict[int, list[int]]:
    """The places from which each is reached."""
    found: dict[int, list[int]] = {}
    for a, b in sorted(tree.items()):
        found.setdefault(b, []).append(a)
    return found


def keys_of(tree: Mapping[int, int], wanted: Sequence[int], root: int) -> list[int]:
    """Sources, the root, and places where branches meet."""
    meets = {node for node, above in upstream(tree).items() if len(above) > 1}
    return sorted({*wanted, root} | meets)


def _pruned(tree: Mapping[int, int], wanted: Sequence[int], root: int) -> Tree:
    """Only what lies between the sources and the root."""
    kept: Tree = {}
    for node in wanted:
        here = node
        while here != root and here not in kept:
            kept[here] = tree[here]
            here = tree[here]
    return kept


def _improved(ways: Ways, tree: Tree, wanted: Sequence[int], root: int) -> Tree:
    for _ in range(PASSES):
        before = ways.total(tree)
        tree = _paths_exchanged(ways, tree, wanted, root)
        tree = _meetings_moved(ways, tree, wanted, root)
        if ways.total(tree) > before - GAIN:
            break
    return tree


def _above(tree: Mapping[int, int], node: int) -> set[int]:
    """A place and all from which water comes to it."""
    above, found, queue = upstream(tree), {node}, [node]
    while queue:
        for item in above.get(queue.pop(), ()):
            if item not in found:
                found.add(item)
                queue.append(item)
    return found


def _paths_exchanged(ways: Ways, tree: Tree, wanted: Sequence[int], root: int) -> Tree:
    """Each path from a meeting place or source down to the next is taken out; what hangs on it joins anew.

    It joins where that is cheapest, and may leave from any of its places: the arcs from there down to the old end then
    turn round.
    """
    for start in keys_of(tree, wanted, root):
        if start == root or start not in tree or start not in keys_of(tree, wanted, root):
            continue
        ends = set(keys_of(tree, wanted, root))
        path, spent = [start], 0.0
        while len(path) == 1 or path[-1] not in ends:
            spent += ways.arc(path[-1], tree[path[-1]])
            path.append(tree[path[-1]])
        part = _above(tree, start)
        rest = {node: after for node, after in tree.items() if node not in part and node not in path[1:-1]}
        goals = {root, *rest, *rest.values()}
        cost, after = ways.to(goals)
        turned = {start: 0.0}
        queue = [start]
        above = upstream(tree)
        while queue:
            here = queue.pop()
            for item in above.get(here, ()):
                if item in part:
                    turned[item] = turned[here] + ways.arc(here, item) - ways.arc(item, here)
                    queue.append(item)
        leave = min(sorted(turned), key=lambda node: round(float(cost[node]) + turned[node], 9))
        if float(cost[leave]) + turned[leave] >= spent - GAIN:
            continue
        changed = {node: to for node, to in tree.items() if node in part and node != start} | rest
        here, chain = leave, [leave]
        while here != start:
            here = tree[here]
            chain.append(here)
        for upper, lower in pairwise(chain):
            changed[lower] = upper
        changed.pop(leave, None)
        if not _lay(changed, _run(after, leave), root):
            continue
        changed = _pruned(changed, wanted, root)
        if ways.total(changed) < ways.total(tree) - GAIN:
            tree = changed
    return tree


def _lay(tree: Tree, path: Sequence[int], root: int) -> bool:
    """Add a path to a tree; false where it would run in a loop."""
    for a, b in pairwise(path):
        if a not in tree and a != root:
            tree[a] = b
    sound = {root}
    for start in tree:
        run, here = set(), start
        while here not in sound:
            if here in run or here not in tree:
                return False
            run.add(here)
            here = tree[here]
        sound |= run
    return True


def _next_key(tree: Mapping[int, int], keys: set[int], node: int) -> int:
    """The next source, meeting place or root down from a place."""
    here = tree[node]
    while here not in keys:
        here = tree[here]
    return here


def _meetings_moved(ways: Ways, tree: Tree, wanted: Sequence[int], root: int) -> Tree:
    """Branches that meet, or follow each other, meet where they and the way on from there cost least together."""
    for start in keys_of(tree, wanted, root):
        keys = set(keys_of(tree, wanted, root))
        if start not in keys:
            continue
        above: dict[int, list[int]] = {}
        for key in sorted(keys - {root}):
            above.setdefault(_next_key(tree, keys, key), []).append(key)
        branches = above.get(start, [])
        tried = [branches] if len(branches) > 1 else []
        if len(branches) > 2 or start in wanted or start == root:
            tried += [list(pair) for pair in combinations(branches, 2)]
        if start != root:
            tried += [[branch, start] for branch in branches]
        for uppers in tried:
            changed = _met_anew(ways, tree, uppers, wanted, root)
            if changed is not None and ways.total(changed) < ways.total(tree) - GAIN:
                tree = changed
                break
    return tree


def _met_anew(ways: Ways, tree: Tree, uppers: Sequence[int], wanted: Sequence[int], root: int) -> Tree | None:
    """The tree with the ways on from some of its places led to one new meeting place, and on from there."""
    part = set().union(*(_above(tree, upper) for upper in uppers))
    rest = _pruned(tree, [node for node in wanted if node not in part], root)
    cost, after = ways.to({root, *rest})
    total = cost + sum(ways.away(upper)[0] for upper in uppers)
    place = int(np.argmin(np.round(total, 9)))
    changed = {node: to for node, to in tree.items() if node in part and node not in uppers} | rest
    for upper in uppers:
        for a, b in pairwise(_run(ways.away(upper)[1], place)[::-1]):
            changed.setdefault(a, b)
    if not _lay(changed, _run(after, place), root):
        return None
    return _pruned(changed, wanted, root)


__all__ = ["Tree", "Ways", "exact_tree", "heuristic_tree", "keys_of", "upstream"]
