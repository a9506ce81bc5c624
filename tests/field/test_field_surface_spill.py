"""Spill levels: a general library's depression filling, a plain search, and the tree out."""

from __future__ import annotations

import heapq

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from skimage.morphology import reconstruction

from drainwright.errors import InputError
from drainwright.field.spill import spill_levels

Array = NDArray[np.float64]


def grid_edges(rows: int, columns: int, corners: bool) -> NDArray[np.intp]:
    number = np.arange(rows * columns).reshape(rows, columns)
    pairs = [(number[1:], number[:-1]), (number[:, 1:], number[:, :-1])]
    if corners:
        pairs += [(number[1:, 1:], number[:-1, :-1]), (number[1:, :-1], number[:-1, 1:])]
    return np.vstack([np.stack([a.ravel(), b.ravel()], axis=1) for a, b in pairs])


@pytest.mark.parametrize("corners", [True, False])
@pytest.mark.parametrize("digits", [0, 1, 12])
def test_a_grid_fills_as_another_library_fills_it(corners: bool, digits: int) -> None:
    """Greyscale reconstruction by erosion (scikit-image), levels above and below zero, many ties."""
    rng = np.random.default_rng(digits)
    ground = np.round(rng.normal(size=(60, 45)), digits) + 0.0
    rim = np.ones(ground.shape, dtype=bool)
    rim[1:-1, 1:-1] = False
    rim[20, 20] = True  # an inlet within
    foot = np.ones((3, 3)) if corners else np.array([[0, 1, 0], [1, 1, 1], [0, 1, 0]])
    filled = reconstruction(np.where(rim, ground, ground.max()), ground, method="erosion", footprint=foot)
    spill = spill_levels(ground.ravel(), grid_edges(60, 45, corners), rim.ravel())
    assert (spill.level.reshape(ground.shape) == filled).all()
    assert (filled > ground).sum() > 100


def plain_search(levels: list[float], edges: list[tuple[int, int]], outlets: set[int]) -> list[float]:
    near: dict[int, list[int]] = {}
    for a, b in edges:
        near.setdefault(a, []).append(b)
        near.setdefault(b, []).append(a)
    level = [np.inf] * len(levels)
    queue = [(levels[one], one) for one in outlets]
    while queue:
        water, here = heapq.heappop(queue)
        if level[here] <= water:
            continue
        level[here] = water
        for other in near.get(here, ()):
            heapq.heappush(queue, (max(water, levels[other]), other))
    return level


@given(st.data())
def test_any_net_against_a_plain_search(data: st.DataObject) -> None:
    """Nets in pieces, with pairs that recur, loops and ties; and the tree keeps what the levels promise."""
    count = data.draw(st.integers(1, 12))
    node = st.integers(0, count - 1)
    levels = data.draw(st.lists(st.sampled_from([-2.0, -0.5, 0.0, 0.1, 1.0, 1e-300]), min_size=count, max_size=count))
    edges = data.draw(st.lists(st.tuples(node, node), max_size=30))
    outlets = data.draw(st.sets(node, max_size=3))
    ground = np.array(levels)
    spill = spill_levels(
        ground, np.array(edges, dtype=np.intp).reshape(-1, 2), np.array(sorted(outlets), dtype=np.intp)
    )
    assert spill.level.tolist() == plain_search(levels, edges, outlets)
    place = {one: rank for rank, one in enumerate(spill.order.tolist())}
    assert set(place) == set(np.flatnonzero(np.isfinite(spill.level)).tolist())
    joined = {frozenset(pair) for pair in edges}
    for one, towards in enumerate(spill.towards.tolist()):
        if one in outlets or one not in place:
            assert towards == -1
        else:
            assert frozenset((one, towards)) in joined
            assert place[towards] < place[one]  # so there is no cycle
            assert spill.level[one] == max(ground[one], spill.level[towards])


def test_dry_ground_runs_to_its_lowest_neighbour() -> None:
    """But for a sill, whose lowest neighbour may lie in the low spot that spills over it."""
    rng = np.random.default_rng(3)
    levels = rng.normal(size=400)
    edges = grid_edges(20, 20, True)
    rim = np.ones((20, 20), dtype=bool)
    rim[1:-1, 1:-1] = False
    spill = spill_levels(levels, edges, rim.ravel())
    both = np.vstack([edges, edges[:, ::-1]])
    both = both[np.lexsort([levels[both[:, 1]], both[:, 0]])]
    _, first = np.unique(both[:, 0], return_index=True)
    lowest = both[first, 1]
    dry = (spill.level == levels) & ~rim.ravel() & (spill.level[lowest] < levels)
    assert dry.sum() > 20
    assert (spill.towards[dry] == lowest[dry]).all()


def test_no_way_out_and_no_number() -> None:
    spill = spill_levels(np.array([1.0, 0.0, 5.0]), np.array([[0, 1]]), np.array([2]))
    assert spill.level.tolist() == [np.inf, np.inf, 5.0]
    assert spill.towards.tolist() == [-1, -1, -1]
    assert spill.order.tolist() == [2]
    with pytest.raises(InputError, match="finite"):
        spill_levels(np.array([1.0, np.nan]), np.array([[0, 1]]), np.array([0]))


def test_numbers_and_a_mask_are_one() -> None:
    levels, edges = np.array([0.0, 3.0, -1.0, 2.0]), np.array([[0, 1], [1, 2], [2, 3], [3, 2]])
    one = spill_levels(levels, edges, np.array([0, 3, 3]))
    other = spill_levels(levels, edges, np.array([True, False, False, True]))
    assert one.level.tolist() == other.level.tolist() == [0.0, 3.0, 2.0, 2.0]
