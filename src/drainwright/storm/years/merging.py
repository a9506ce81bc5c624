"""Steps of inflow that hardly differ, taken together. Importing this module imports numba."""

from __future__ import annotations

import numpy as np

from drainwright.storm.engine.compiling import compiled
from drainwright.storm.engine.plant import Floats

SMALL = 1e-5  # by which the inflow of an entry may differ among steps that are taken together [m³/s]
MOST = 12  # steps that are taken together


@compiled
def merged(edges: Floats, inflow: Floats, small: float, most: int) -> tuple[Floats, Floats]:
    """Fewer, longer steps with the same volumes.

    Parameters
    ----------
    edges : (steps + 1,)
        [s]
    inflow : (steps, entries)
        [m³/s]
    small : float
        By which the inflow of any entry may differ from the first of its group. [m³/s]
    most : int
        Steps in a group.

    Returns
    -------
    (groups + 1,), (groups, entries)
        Edges, and the means between them.
    """
    steps, entries = inflow.shape
    found, times = np.zeros((steps, entries)), np.zeros(steps + 1)
    times[0] = edges[0]
    count, first = 0, 0
    for i in range(1, steps + 1):
        apart = i == steps or i - first >= most
        if not apart:
            for k in range(entries):
                apart = apart or abs(inflow[i, k] - inflow[first, k]) > small
        if apart:
            span = edges[i] - edges[first]
            for k in range(entries):
                total = 0.0
                for j in range(first, i):
                    total += inflow[j, k] * (edges[j + 1] - edges[j])
                found[count, k] = total / span
            count += 1
            times[count] = edges[i]
            first = i
    return times[: count + 1].copy(), found[:count].copy()


__all__ = ["MOST", "SMALL", "merged"]
