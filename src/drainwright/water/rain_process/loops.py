"""The loops of made rain, compiled. Importing this module imports numba."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, cast

import numpy as np
from numba import njit
from numpy.typing import NDArray

Array = NDArray[np.float64]
F = TypeVar("F", bound=Callable[..., Any])


def _compiled(function: F) -> F:
    return cast(F, njit(cache=True, error_model="numpy")(function))


@_compiled
def lay_down(start: Array, end: Array, intensity: Array, step: float, steps: Array) -> None:
    """Add the rain of cells to steps that begin at zero; what lies outside is left out. [m]"""
    span = step * len(steps)
    for cell in range(len(start)):
        low, high = max(start[cell], 0.0), min(end[cell], span)
        if high <= low:
            continue
        first, last = int(low / step), min(int(high / step), len(steps) - 1)
        if first == last:
            steps[first] += (high - low) * intensity[cell]
            continue
        steps[first] += ((first + 1) * step - low) * intensity[cell]
        for index in range(first + 1, last):
            steps[index] += step * intensity[cell]
        steps[last] += (high - last * step) * intensity[cell]


@_compiled
def greatest(start: Array, end: Array, intensity: Array, durations: Array, found: Array) -> None:
    """Greatest rain of each duration among cells, at any second. ``found``: shape (durations,), written. [m]

    Cumulative rain is straight between the edges of cells, so the greatest window begins or ends at an edge.
    """
    cells = len(start)
    edges = np.empty(2 * cells)
    change = np.empty(2 * cells)
    filled = 0
    for cell in range(cells):  # cells come nearly in order, so that sorting by insertion is quick
        for side in range(2):
            time = end[cell] if side else start[cell]
            place = filled
            while place > 0 and edges[place - 1] > time:
                edges[place], change[place] = edges[place - 1], change[place - 1]
                place -= 1
            edges[place] = time
            change[place] = -intensity[cell] if side else intensity[cell]
            filled += 1
    total = np.zeros(2 * cells)
    rate = np.zeros(2 * cells)  # after the edge
    rate[0] = change[0]
    for edge in range(1, 2 * cells):
        total[edge] = total[edge - 1] + rate[edge - 1] * (edges[edge] - edges[edge - 1])
        rate[edge] = rate[edge - 1] + change[edge]
    for number in range(len(durations)):
        length = durations[number]
        most = 0.0
        ahead = 0  # last edge at or before the end of the window that begins at an edge
        behind = 0  # last edge at or before the begin of the window that ends at an edge
        for edge in range(2 * cells):
            till = edges[edge] + length
            while ahead + 1 < 2 * cells and edges[ahead + 1] <= till:
                ahead += 1
            most = max(most, total[ahead] + rate[ahead] * (till - edges[ahead]) - total[edge])
            since = edges[edge] - length
            while behind + 1 < 2 * cells and edges[behind + 1] <= since:
                behind += 1
            before = 0.0
            if since > edges[0]:
                before = total[behind] + rate[behind] * (since - edges[behind])
            most = max(most, total[edge] - before)
        found[number] = most


@_compiled
def storm_maxima(
    more: NDArray[np.int64], pace: Array, gaps: Array, lengths: Array, depths: Array, pause: float, durations: Array,
    found: Array,
) -> None:  # fmt: skip
    """Greatest rain of each duration in each storm.

    ``gaps``, ``lengths`` (exponential, mean one) and ``depths`` (intensity over pace): shape (storms, most cells);
    ``pause`` is the mean gap at unit pace; ``found``: shape (durations, storms), written.
    """
    most = gaps.shape[1]
    start, end, intensity = np.empty(most), np.empty(most), np.empty(most)
    top = np.empty(len(durations))
    for storm in range(len(pace)):
        cells = min(1 + more[storm], most)
        at = 0.0
        for cell in range(cells):
            if cell > 0:
                at += gaps[storm, cell] * pause / pace[storm]
            start[cell] = at
            end[cell] = at + lengths[storm, cell] / pace[storm]
            intensity[cell] = depths[storm, cell] * pace[storm]
        greatest(start[:cells], end[:cells], intensity[:cells], durations, top)
        for number in range(len(durations)):
            found[number, storm] = top[number]


__all__ = ["greatest", "lay_down", "storm_maxima"]
