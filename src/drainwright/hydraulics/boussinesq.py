"""The water table in time: unconfined flow over a level barrier, one dimension, solved implicitly.

S ∂h/∂t = ∂/∂x (K h ∂h/∂x) + N. The flow between two nodes is that of Dupuit between their heads, so a steady water
table comes out exactly, whatever the grid.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from drainwright.errors import Floats, InputError, require
from drainwright.hydraulics.arrays import Array

Boundary = float | Array | None  # head held [m], head at each time [m], or None: no flow

_ROUNDS = 60  # of Newton's method in one step
_CLOSE = 1e-13  # of the greatest head: the step is solved
_BALANCE = 1e-9  # of the water stored and moved: more was lost or made by the arithmetic than is let pass


@dataclass(frozen=True, slots=True, kw_only=True)
class TableInTime:
    """A water table at a row of times. Heads over the barrier."""

    distance: Array  # of the nodes, shape (n,) [m]
    time: Array  # shape (m,) [s]
    head: Array  # shape (m, n) [m]
    entered_left: Array  # through the end at distance 0 until each time; negative where it left, shape (m,) [m²]
    entered_right: Array  # shape (m,) [m²]
    recharged: Array  # shape (m,) [m²]
    stored: Array  # drainable water in the section, shape (m,) [m²]

    @property
    def lost(self) -> float:
        """Greatest difference between what came and what is stored, as a share of both. [-]"""
        came = self.entered_left + self.entered_right + self.recharged
        moved = np.abs(self.entered_left) + np.abs(self.entered_right) + np.abs(self.recharged)
        return float(np.max(np.abs(came - (self.stored - self.stored[0])) / (moved + self.stored[0] + 1e-300)))


def table_in_time(
    conductivity: float,
    drainable_porosity: float,
    distance: Array,
    initial: Array,
    time: Array,
    left: Boundary,
    right: Boundary,
    recharge: Floats = 0.0,
    theta: float = 1.0,
) -> TableInTime:
    """Water table of a section in time, by finite volumes and Newton's method.

    Parameters
    ----------
    conductivity : float
        Above zero. [m/s]
    drainable_porosity : float
        Water that a falling water table gives up, above zero. [-]
    distance : array, shape (n,)
        Nodes, rising; three or more. [m]
    initial : array, shape (n,)
        Heads over the barrier at the first time, above zero. [m]
    time : array, shape (m,)
        Rising; the steps are between them. [s]
    left, right : float, array of shape (m,), or None
        Head held at the end, head there at each time, or no flow. [m]
    recharge : float, or array of shape (m - 1,) or (m - 1, n)
        Water that reaches the water table in each step; negative where it is drawn off. [m/s]
    theta : float
        1: implicit, never overshoots; 0.5: second order, may swing after a sudden change. [-]

    Returns
    -------
    TableInTime
        Heads at every time; the water balance closes to 1e-9.

    Raises
    ------
    InputError
        If a value cannot be used, the layer runs dry, or a step cannot be solved.

    References
    ----------
    J. Boussinesq 1904 (standard text form, from memory).

    Examples
    --------
    >>> x = np.linspace(0.0, 10.0, 11)
    >>> found = table_in_time(1e-5, 0.1, x, np.full(11, 2.0), np.linspace(0.0, 8e6, 81), 1.0, 2.0)
    >>> bool(abs(found.head[-1, 5] - np.sqrt((1.0 + 4.0) / 2)) < 1e-6)
    True
    """
    from scipy.linalg import solve_banded

    nodes, times, first = (np.asarray(values, dtype=np.float64) for values in (distance, time, initial))
    _check(conductivity, drainable_porosity, nodes, first, times, theta)
    steps, count = times.size - 1, nodes.size
    rain = _recharge(recharge, steps, count)
    ends = [_boundary(name, value, times.size) for name, value in (("left", left), ("right", right))]
    gaps = np.diff(nodes)
    width = 0.5 * (np.concatenate(([0.0], gaps)) + np.concatenate((gaps, [0.0])))
    store = drainable_porosity * width
    heads = np.empty((times.size, count))
    heads[0] = first
    entered = np.zeros((2, times.size))
    rained = np.zeros(times.size)
    bands = np.empty((3, count))
    for step in range(steps):
        period = times[step + 1] - times[step]
        before = heads[step]
        source = rain[step] * width
        known = store * before / period + source + (1.0 - theta) * _gain(conductivity, gaps, before)
        head = before.copy()
        for place, end in zip((0, -1), ends, strict=True):
            if end is not None:
                head[place] = end[step + 1]
        for _ in range(_ROUNDS):
            excess = store * head / period - theta * _gain(conductivity, gaps, head) - known
            slope = theta * conductivity * np.abs(head)
            bands[1] = store / period
            bands[1, :-1] += slope[:-1] / gaps
            bands[1, 1:] += slope[1:] / gaps
            bands[0, 1:] = -slope[1:] / gaps
            bands[2, :-1] = -slope[:-1] / gaps
            for place, end in zip((0, -1), ends, strict=True):
                if end is not None:
                    excess[place] = 0.0
                    bands[1, place] = 1.0
            if ends[0] is not None:
                bands[0, 1] = 0.0
            if ends[1] is not None:
                bands[2, -2] = 0.0
            change = solve_banded((1, 1), bands, excess, check_finite=False)
            head = head - change
            if np.max(np.abs(change)) <= _CLOSE * np.max(np.abs(head)):
                break
        else:
            raise InputError(f"time = {times[step + 1]!r}: the step could not be solved; expected shorter steps")
        if not np.all(np.isfinite(head)) or np.min(head) < 0.0:
            raise InputError(f"time = {times[step + 1]!r}: the layer runs dry; expected less drawn off")
        heads[step + 1] = head
        gain = theta * _gain(conductivity, gaps, head) + (1.0 - theta) * _gain(conductivity, gaps, before)
        need = (store * (head - before) / period - gain - source) * period
        entered[0, step + 1] = need[0] if ends[0] is not None else 0.0
        entered[1, step + 1] = need[-1] if ends[1] is not None else 0.0
        rained[step + 1] = np.sum(source) * period
    through = np.cumsum(entered, axis=1)
    result = TableInTime(
        distance=nodes,
        time=times,
        head=heads,
        entered_left=through[0],
        entered_right=through[1],
        recharged=np.cumsum(rained),
        stored=heads @ store,
    )
    if result.lost > _BALANCE:
        raise InputError(f"time: the water balance is off by {result.lost:.1e}; expected shorter steps")
    return result


def _gain(conductivity: float, gaps: Array, head: Array) -> Array:
    """What each node gains from its neighbours: Dupuit flow, K (h1² - h2²) / 2L. [m²/s]"""
    flow = conductivity * np.diff(head * np.abs(head)) / (2.0 * gaps)
    gain = np.zeros_like(head)
    gain[:-1] += flow
    gain[1:] -= flow
    return gain


def _boundary(name: str, value: Boundary, count: int) -> Array | None:
    if value is None:
        return None
    head = np.asarray(value, dtype=np.float64)
    if head.ndim == 0:
        head = np.full(count, float(head))
    if head.shape != (count,):
        raise InputError(f"{name}: expected one head, or one for each of the {count} times")
    require("zero or more", np.greater_equal, **{name: head})
    return head


def _recharge(recharge: Floats, steps: int, count: int) -> Array:
    rain = np.asarray(recharge, dtype=np.float64)
    if not np.all(np.isfinite(rain)):
        raise InputError("recharge: expected finite numbers")
    if rain.ndim == 1:
        rain = rain[:, np.newaxis]
    try:
        return np.broadcast_to(rain, (steps, count))
    except ValueError:
        raise InputError(f"recharge: expected one value, or one for each of the {steps} steps") from None


def _check(
    conductivity: float, drainable_porosity: float, nodes: Array, first: Array, times: Array, theta: float
) -> None:
    require("above zero", np.greater, conductivity=conductivity, drainable_porosity=drainable_porosity)
    if nodes.ndim != 1 or nodes.size < 3 or not np.all(np.diff(nodes) > 0.0):
        raise InputError("distance: expected three or more nodes, each farther than the one before")
    if times.ndim != 1 or times.size < 2 or not np.all(np.diff(times) > 0.0):
        raise InputError("time: expected two or more times, each later than the one before")
    if first.shape != nodes.shape:
        raise InputError(f"initial: expected a head for each of the {nodes.size} nodes")
    require("above zero", np.greater, initial=first)
    if not 0.5 <= theta <= 1.0:
        raise InputError(f"theta = {theta!r}: expected 0.5 to 1")


__all__ = ["Boundary", "TableInTime", "table_in_time"]
