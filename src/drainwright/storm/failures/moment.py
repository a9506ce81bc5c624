"""The worst moment for a power cut: a coarse scan of start times, refined round the best, the same at every run."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

COARSE = 9  # start times of the first scan
ROUNDS = 3  # of refining, each round both best neighbours parted into FINE
FINE = 4
EQUAL = 1e-3  # levels nearer than this are the same: the latest start then leaves least time [m]

Highest = Callable[[float], float]


def worst_moment(highest: Highest, first: float, last: float, also: float, most: float) -> tuple[float, float]:
    """Start time at which the water rises highest.

    Parameters
    ----------
    highest : callable
        Highest level at the house for a start time. [s] to [m]
    first, last : float
        Between which it may lie. [s]
    also : float
        A start time tried in any case. [s]
    most : float
        Level with the power never back. The search ends when it is met; where a start exceeds it, as where a pump
        loads a line that others need, it is no bound, and the search goes on. [m]

    Returns
    -------
    tuple of float
        Start time [s] and level [m]; of start times with the same level, to a millimetre, the latest.

    Notes
    -----
    An even scan from late to early, then the two spans beside the best start are parted again, three times over: the
    start is found to about a two-hundredth of the range. A narrower peak between two starts of the scan can be missed.
    """
    tried: dict[float, float] = {}

    def met() -> bool:
        return bool(tried) and abs(max(tried.values()) - most) <= EQUAL

    for start in sorted({also, *np.linspace(first, last, COARSE).tolist()}, reverse=True):
        if not met():
            tried[start] = highest(start)
    for _ in range(ROUNDS):
        order = sorted(tried)
        best = _best(tried)
        place = order.index(best)
        low, high = order[max(place - 1, 0)], order[min(place + 1, len(order) - 1)]
        later = np.linspace(best, high, FINE)[1:-1].tolist()
        for start in later if met() else (*later, *np.linspace(low, best, FINE)[1:-1].tolist()):
            if start not in tried:
                tried[start] = highest(start)
    best = _best(tried)
    return best, tried[best]


def _best(tried: dict[float, float]) -> float:
    top = max(tried.values())
    return max(start for start, level in tried.items() if level >= top - EQUAL)


__all__ = ["EQUAL", "worst_moment"]
