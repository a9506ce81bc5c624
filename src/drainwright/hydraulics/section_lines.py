"""Lines of equal value on a mesh of triangles: equipotentials and streamlines."""

from __future__ import annotations

import numpy as np

from drainwright.hydraulics.section_mesh import Indices, Numbers


def lines_at(nodes: Numbers, triangles: Indices, values: Numbers, level: float) -> tuple[Numbers, ...]:
    """Where a value that is straight inside each triangle has a given level.

    Parameters
    ----------
    nodes : ndarray
        (n, 2) places. [m]
    triangles : ndarray
        (m, 3) nodes of each triangle.
    values : ndarray
        (n,) value at each node.
    level : float
        The level. A node that has it to the last digit counts as above it.

    Returns
    -------
    tuple of ndarray
        Open or closed lines, each (k, 2), the longest first. [m]
    """
    above = values >= level
    mixed = triangles[above[triangles].any(axis=1) & ~above[triangles].all(axis=1)]
    ends: list[tuple[int, int]] = []
    for a, b, c in mixed.tolist():
        cut = [(min(i, j), max(i, j)) for i, j in ((a, b), (b, c), (c, a)) if above[i] != above[j]]
        ends += cut
    places: dict[tuple[int, int], int] = {}
    numbers = [places.setdefault(edge, len(places)) for edge in ends]
    joined: list[list[int]] = [[] for _ in places]
    for first, second in zip(numbers[::2], numbers[1::2], strict=True):
        joined[first].append(second)
        joined[second].append(first)
    edges = np.array(list(places), dtype=np.int64).reshape(-1, 2)
    low, high = values[edges[:, 0]], values[edges[:, 1]]
    share = ((level - low) / (high - low))[:, None]
    points = nodes[edges[:, 0]] + share * (nodes[edges[:, 1]] - nodes[edges[:, 0]])
    chains = [points[chain] for chain in _chains(joined)]
    return tuple(sorted(chains, key=lambda chain: -_length(chain)))


def _chains(joined: list[list[int]]) -> list[list[int]]:
    """Walk along the joints: open lines from their ends first, then what is closed."""
    seen = [False] * len(joined)
    chains = []
    for start in [*(i for i, near in enumerate(joined) if len(near) == 1), *range(len(joined))]:
        if seen[start]:
            continue
        chain = [start]
        seen[start] = True
        while True:
            after = next((i for i in joined[chain[-1]] if not seen[i]), None)
            if after is None:
                break
            seen[after] = True
            chain.append(after)
        if len(chain) > 2 and len(joined[start]) == 2 and start in joined[chain[-1]]:
            chain.append(start)
        chains.append(chain)
    return chains


def _length(chain: Numbers) -> float:
    return float(np.sum(np.hypot(*np.diff(chain, axis=0).T)))


__all__ = ["lines_at"]
