"""In which order the unknowns of a step are eliminated, so that a tree of pipes costs no more than its nodes.

The order is that of least degree: whoever touches fewest others goes first. A tree then fills in nothing; a ring,
where water runs over the ground beside its pipe, fills in little. The matrix is an M-matrix (positive diagonal, no
positive entry beside it, columns that sum to one or more), so that no pivoting is needed.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from drainwright.storm.engine.compiling import inner
from drainwright.storm.engine.packing import Rows
from drainwright.storm.engine.plant import Elimination, Floats, Whole


def elimination(nodes: int, pairs: Iterable[tuple[int, int]]) -> Elimination:
    """The order for so many nodes of which these pairs exchange water; a pair with -1 is left out.

    Parameters
    ----------
    nodes : int
    pairs : iterable of (int, int)
        Rows of ``Stores``, in any order, also more than once.

    Returns
    -------
    Elimination
        For ``factor`` and ``solve``.
    """
    near: list[set[int]] = [set() for _ in range(nodes)]
    for a, b in pairs:
        if a >= 0 and b >= 0 and a != b:
            near[a].add(b)
            near[b].add(a)
    left = set(range(nodes))
    order, start, later = [], [0], []
    entries = {(node, node) for node in range(nodes)}
    while left:
        pivot = min(left, key=lambda node: (len(near[node]), node))
        left.remove(pivot)
        touched = sorted(near[pivot])
        for node in touched:
            near[node].discard(pivot)
            near[node].update(other for other in touched if other != node)
            entries |= {(pivot, node), (node, pivot)}
        entries |= {(a, b) for a in touched for b in touched}
        order.append(pivot)
        later += touched
        start.append(len(later))
    rows, columns = zip(*sorted(entries), strict=True) if entries else ((), ())
    return Elimination(*(np.array(values, np.int64) for values in (order, start, later, rows, columns)))


@inner
def factor(matrix: Floats, pivots: Rows, later: Whole) -> None:
    """Turn an M-matrix into its lower and upper factors, in place; on the diagonal, one over each pivot."""
    for place in range(pivots.size):
        p, begin, end = pivots[place]["node"], pivots[place]["start"], pivots[place]["end"]
        matrix[p, p] = 1.0 / matrix[p, p]
        for i in range(begin, end):
            r = later[i]
            if matrix[r, p] != 0.0:
                share = matrix[r, p] * matrix[p, p]
                matrix[r, p] = share
                for j in range(begin, end):
                    matrix[r, later[j]] -= share * matrix[p, later[j]]


@inner
def solve(matrix: Floats, pivots: Rows, later: Whole, right: Floats) -> None:
    """Solve with the factors; the answer is left in ``right``."""
    for place in range(pivots.size):
        p = pivots[place]["node"]
        for i in range(pivots[place]["start"], pivots[place]["end"]):
            right[later[i]] -= matrix[later[i], p] * right[p]
    for place in range(pivots.size - 1, -1, -1):
        p = pivots[place]["node"]
        for i in range(pivots[place]["start"], pivots[place]["end"]):
            right[p] -= matrix[p, later[i]] * right[later[i]]
        right[p] *= matrix[p, p]


__all__ = ["elimination", "factor", "solve"]
