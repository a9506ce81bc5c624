"""Trees over graphs: the exact program against every set of meeting places, the heuristic against the exact program."""

from __future__ import annotations

import itertools
import math

import networkx as nx
import numpy as np
import pytest
from scipy.sparse import csr_matrix

from drainwright.errors import InputError
from drainwright.system.yard.steiner import Tree, Ways, exact_tree, heuristic_tree


def tiny(rng: np.random.Generator) -> csr_matrix:
    """A directed graph of 7 places with arcs both ways, dearer the one way than the other."""
    many = 7
    cost = np.zeros((many, many))
    for a, b in itertools.combinations(range(many), 2):
        if b == a + 1 or rng.random() < 0.5:
            cost[a, b], cost[b, a] = rng.uniform(1.0, 10.0, 2)
    return csr_matrix(cost)


def lot(rng: np.random.Generator, side: int = 12) -> csr_matrix:
    """A small yard of cells, some of them dear, on ground that falls to one side: laying, and depth lost."""
    weight = 1.0 + rng.gamma(0.6, 2.0, (side, side)) * (rng.random((side, side)) < 0.4)
    level = 0.03 * np.arange(side)[:, None] + 0.05 * rng.standard_normal((side, side))
    rows, columns, costs = [], [], []
    for i, j in itertools.product(range(side), repeat=2):
        for di, dj in itertools.product((-1, 0, 1), repeat=2):
            p, q = i + di, j + dj
            if (di or dj) and 0 <= p < side and 0 <= q < side:
                length = math.hypot(di, dj)
                laid = length * (weight[i, j] + weight[p, q]) / 2.0
                rows.append(i * side + j)
                columns.append(p * side + q)
                costs.append(laid + 10.0 * max(0.0, level[p, q] - level[i, j] + 0.01 * length))
    return csr_matrix((costs, (rows, columns)), shape=(side * side, side * side))


def brute(graph: csr_matrix, sources: list[int], root: int) -> float:
    """Least arborescence toward the root over every set of meeting places, by another library's Edmonds."""
    others = [node for node in range(graph.shape[0]) if node != root and node not in sources]
    whole = graph.toarray()
    best = math.inf
    for count in range(len(others) + 1):
        for extra in itertools.combinations(others, count):
            nodes = [root, *sources, *extra]
            turned = nx.DiGraph()  # arcs turned round: Edmonds' method grows away from the root
            turned.add_nodes_from(nodes)
            for a, b in itertools.permutations(nodes, 2):
                if whole[a, b] > 0.0 and b != a and a != root:
                    turned.add_edge(b, a, weight=whole[a, b])
            try:
                grown = nx.minimum_spanning_arborescence(turned)
            except nx.NetworkXException:
                continue
            best = min(best, sum(data["weight"] for _, _, data in grown.edges(data=True)))
    return best


def sound(ways: Ways, tree: Tree, sources: list[int], root: int) -> None:
    """Each source leads to the root over arcs that exist."""
    assert math.isfinite(ways.total(tree))
    for node in sources:
        here, steps = node, 0
        while here != root:
            here, steps = tree[here], steps + 1
            assert steps <= len(tree)


@pytest.mark.parametrize("seed", range(20))
def test_the_exact_tree_is_the_least_of_all_sets_of_meeting_places(seed: int) -> None:
    rng = np.random.default_rng(seed)
    graph = tiny(rng)
    sources = [int(node) for node in rng.choice(np.arange(1, 7), int(rng.integers(2, 5)), replace=False)]
    ways = Ways(graph)
    tree = exact_tree(ways, sources, 0)
    sound(ways, tree, sources, 0)
    assert ways.total(tree) == pytest.approx(brute(graph, sources, 0), rel=1e-9)


def test_the_heuristic_is_near_the_exact_tree_on_a_hundred_lots() -> None:
    gaps = []
    for seed in range(100):
        rng = np.random.default_rng(1000 + seed)
        ways = Ways(lot(rng))
        root, *sources = (int(node) for node in rng.choice(144, int(rng.integers(4, 7)), replace=False))
        found, best = heuristic_tree(ways, sources, root), exact_tree(ways, sources, root)
        sound(ways, found, sources, root)
        sound(ways, best, sources, root)
        gaps.append(ways.total(found) / ways.total(best) - 1.0)
    assert min(gaps) > -1e-9  # nothing is cheaper than the exact tree
    assert float(np.median(gaps)) <= 0.002
    assert max(gaps) <= 0.08
    print(f"gap: median {np.median(gaps):.4f}, mean {np.mean(gaps):.4f}, worst {max(gaps):.4f}")


def test_a_meeting_place_is_used_where_it_saves() -> None:
    """Three places at the corners of a star meet in its middle."""
    cost = np.full((5, 5), 3.0)
    np.fill_diagonal(cost, 0.0)
    cost[4, :] = cost[:, 4] = 1.6
    cost[4, 4] = 0.0
    ways = Ways(csr_matrix(cost))
    for make in (exact_tree, heuristic_tree):
        tree = make(ways, [1, 2, 3], 0)
        assert tree == {1: 4, 2: 4, 3: 4, 4: 0}


def test_arcs_have_a_direction() -> None:
    """What is cheap up is dear down: the tree goes the other way round."""
    cost = np.zeros((3, 3))
    cost[1, 0], cost[0, 1] = 9.0, 0.1
    cost[1, 2], cost[2, 0] = 2.0, 2.0
    assert exact_tree(Ways(csr_matrix(cost)), [1], 0) == {1: 2, 2: 0}
    assert heuristic_tree(Ways(csr_matrix(cost)), [1], 0) == {1: 2, 2: 0}


def test_a_source_without_a_way_is_refused() -> None:
    ways = Ways(csr_matrix(np.array([[0.0, 1.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, 0.0]])))
    for make in (exact_tree, heuristic_tree):
        with pytest.raises(InputError, match="sources"):
            make(ways, [1, 2], 0)


def test_no_source_and_the_root_itself_need_no_pipe() -> None:
    ways = Ways(tiny(np.random.default_rng(0)))
    assert exact_tree(ways, [0], 0) == {}
    assert heuristic_tree(ways, [], 0) == {}
