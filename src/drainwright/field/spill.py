"""The level at which standing water would run out, for any net of places: the lowest way's highest place."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError

Array = NDArray[np.float64]
Numbers = NDArray[np.intp]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Spill:
    """Where water on a net of places would stand, and which way it leaves."""

    level: Array  # to which water must rise at each place to run out; infinite where no way leads out, shape (n,) [m]
    towards: Numbers  # the next place on the way out; -1 at an outlet, and where no way leads out, shape (n,)
    order: Numbers  # the places with a way out, each after the place it runs to: outlets first


def spill_levels(levels: Array, edges: Numbers, outlets: Numbers | NDArray[np.bool_]) -> Spill:
    """The level at which water standing at each place would run out.

    Parameters
    ----------
    levels : Array
        Ground at the places, shape (n,); any finite numbers. [m]
    edges : NDArray of int
        Pairs of places between which water can run, shape (m, 2); a pair may stand twice, either way round.
    outlets : NDArray of int or bool
        Places at which water leaves: their numbers, or a mask of shape (n,).

    Returns
    -------
    Spill
        Spill levels, and a tree that leads every place to an outlet along its lowest way. The tree has no cycles.
        Dry ground runs to its lowest neighbour, but for a sill, which may run away from the low spot that it holds.

    Raises
    ------
    InputError
        If a level is not finite.

    Notes
    -----
    Of all ways out the best is the one whose highest place is lowest. Those ways together are a minimum spanning
    tree over the edges, each weighted by its higher end, with all outlets tied to one node outside. Levels are
    replaced by their ranks, so that nothing is rounded and zero or negative levels do no harm. On the corners of a
    triangulated surface the result is exact for the surface: a way across a triangle is never lower than along
    its sides.

    References
    ----------
    .. [1] T. C. Hu, "The maximum capacity route problem", Operations Research 9, 1961 (from memory): best ways by
       their narrowest place lie on a spanning tree.

    Examples
    --------
    >>> line = np.array([[0, 1], [1, 2], [2, 3]])
    >>> spill = spill_levels(np.array([1.0, 3.0, 0.0, 2.0]), line, np.array([0, 3]))
    >>> spill.level.tolist(), spill.towards.tolist()
    ([1.0, 3.0, 2.0, 2.0], [-1, 2, 3, -1])
    """
    from scipy.sparse import csr_array
    from scipy.sparse.csgraph import breadth_first_order, minimum_spanning_tree

    levels = np.asarray(levels, dtype=np.float64)
    if not np.all(np.isfinite(levels)):
        raise InputError("levels: expected finite numbers")
    count = len(levels)
    outside = count
    out = np.flatnonzero(outlets) if np.asarray(outlets).dtype == np.bool_ else np.unique(np.asarray(outlets, np.intp))
    steps, rank = np.unique(levels, return_inverse=True)
    a, b = np.asarray(edges, dtype=np.intp).reshape(-1, 2).T
    high, low = np.maximum(rank[a], rank[b]), np.minimum(rank[a], rank[b])
    stride = len(steps) + 1  # an outlet's own way out comes before any other from its level
    weights = np.concatenate([high * stride + low + 2, rank[out] * stride + 1]).astype(np.float64)
    starts, ends = np.concatenate([a, np.full(len(out), outside)]), np.concatenate([b, out])
    by_start = np.argsort(starts, kind="stable")  # by hand: the usual way adds up the weights of a pair that recurs
    rows = np.concatenate([[0], np.cumsum(np.bincount(starts, minlength=count + 1))])
    net = csr_array((weights[by_start], ends[by_start], rows), shape=(count + 1, count + 1))
    tree = minimum_spanning_tree(net)
    order, before = breadth_first_order(tree, outside, directed=False)
    towards = np.full(count + 1, outside, dtype=np.intp)
    towards[order[1:]] = before[order[1:]]
    highest = np.append(rank, -1)
    onward = towards.copy()
    while np.any(onward != outside):  # each round looks twice as far along the way out
        highest = np.maximum(highest, highest[onward])
        onward = onward[onward]
    level = np.full(count, np.inf)
    reached = order[1:]
    level[reached] = steps[highest[reached]]
    return Spill(
        level=level, towards=np.where(towards[:-1] == outside, -1, towards[:-1]), order=reached.astype(np.intp)
    )


__all__ = ["Spill", "spill_levels"]
