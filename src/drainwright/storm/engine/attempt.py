"""One step of the stepper, tried: second order, with its error; and the flows that made it. Compiled.

A linearly implicit (Rosenbrock) pair of orders 2 and 3, L-stable: L. F. Shampine and M. W. Reichelt, SIAM J. Sci.
Comput. 18(1), 1997, sec. 3 (from memory). Its stages are sums of the flows of the links, so that a step moves water
and makes none.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from drainwright.storm.engine.compiling import compiled
from drainwright.storm.engine.elimination import factor, solve
from drainwright.storm.engine.flows import gains, jacobian, link_flows, pump_flows
from drainwright.storm.engine.laws import level_of
from drainwright.storm.engine.plant import Floats, Plant, Whole

D = 1.0 / (2.0 + np.sqrt(2.0))
E32 = 6.0 + np.sqrt(2.0)


class Moment(NamedTuple):
    """The plant at one moment: flows with their derivatives, and what each store gains."""

    level: Floats  # (nodes,)
    slope: Floats  # of the level by the volume
    q: Floats  # (links,)
    by_a: Floats
    by_b: Floats
    pump: Floats  # (stations,)
    pump_by: Floats
    net: Floats  # (nodes,) gains by links and pumps, without the forcing


class Work(NamedTuple):
    """Arrays that a step works in."""

    a: Whole  # (links,) ends
    b: Whole
    hint: Whole  # (nodes,) rows of the tables
    coming: Floats  # (nodes,) inflow of the forcing
    start: Moment
    middle: Moment
    end: Moment
    k_1: Floats  # (nodes,)
    k_2: Floats
    k_3: Floats
    trial: Floats
    after: Floats  # volumes at the end of the step
    slopes: Floats  # (nodes, nodes) Jacobian
    matrix: Floats
    flux: Floats  # (links,) moved in the step [m³]
    lift: Floats  # (stations,) [m³]


@compiled
def moment(nodes: int, links: int, stations: int) -> Moment:
    """An empty moment."""
    return Moment(
        np.zeros(nodes), np.zeros(nodes), np.zeros(links), np.zeros(links), np.zeros(links), np.zeros(stations),
        np.zeros(stations), np.zeros(nodes),
    )  # fmt: skip


@compiled
def look(plant: Plant, work: Work, volume: Floats, running: Whole, power_out: bool, shift: float, now: Moment) -> None:
    """Levels, flows and gains at the volumes, into ``now``."""
    for i in range(volume.size):
        now.level[i], now.slope[i], work.hint[i] = level_of(
            volume[i], plant.stores.stage[i], plant.stores.stored[i], work.hint[i]
        )
    link_flows(plant, shift, now.level, work.a, work.b, now.q, now.by_a, now.by_b)
    pump_flows(plant, now.level, running, power_out, now.pump, now.pump_by)
    gains(plant, work.a, work.b, now.q, now.pump, now.net)


@compiled
def prepare(plant: Plant, work: Work) -> None:
    """The Jacobian at the start of a step."""
    jacobian(plant, work.a, work.b, work.start.slope, work.start.by_a, work.start.by_b, work.start.pump_by, work.slopes)


@compiled
def matrix_of(plant: Plant, work: Work, share: float) -> None:
    """The factors of one less ``share`` times the Jacobian."""
    row, column = plant.elimination.row, plant.elimination.column
    for i in range(row.size):
        work.matrix[row[i], column[i]] = -share * work.slopes[row[i], column[i]]
    for i in range(work.after.size):
        work.matrix[i, i] += 1.0
    factor(work.matrix, plant.elimination.order, plant.elimination.start, plant.elimination.later)


@compiled
def solved(plant: Plant, work: Work, right: Floats) -> None:
    """Solve with the factors, in place."""
    solve(work.matrix, plant.elimination.order, plant.elimination.start, plant.elimination.later, right)


@compiled
def attempt(
    plant: Plant, work: Work, volume: Floats, running: Whole, power_out: bool, shift: float, h: float
) -> tuple[float, float]:
    """Try a step of ``h``: volumes into ``work.after``, the moment there into ``work.end``; its error and lowest volume.

    The error is the greatest of any level. [m], [m³]
    """
    start, middle, end = work.start, work.middle, work.end
    k_1, k_2, k_3, coming, after = work.k_1, work.k_2, work.k_3, work.coming, work.after
    nodes = volume.size
    matrix_of(plant, work, h * D)
    for i in range(nodes):
        k_1[i] = start.net[i] + coming[i]
    solved(plant, work, k_1)
    for i in range(nodes):
        work.trial[i] = volume[i] + 0.5 * h * k_1[i]
    look(plant, work, work.trial, running, power_out, shift, middle)
    for i in range(nodes):
        k_2[i] = middle.net[i] + coming[i] - k_1[i]
    solved(plant, work, k_2)
    lowest = 0.0
    for i in range(nodes):
        k_2[i] += k_1[i]
        after[i] = volume[i] + h * k_2[i]
        lowest = min(lowest, after[i])
    look(plant, work, after, running, power_out, shift, end)
    for i in range(nodes):
        late = E32 * (k_2[i] - middle.net[i] - coming[i])
        early = 2.0 * (k_1[i] - start.net[i] - coming[i])
        k_3[i] = end.net[i] + coming[i] - late - early
    solved(plant, work, k_3)
    wrong = 0.0
    for i in range(nodes):
        error = h / 6.0 * abs(k_1[i] - 2.0 * k_2[i] + k_3[i])
        wrong = max(wrong, error * max(start.slope[i], end.slope[i]))
    return wrong, lowest


@compiled
def attempt_euler(
    plant: Plant, work: Work, volume: Floats, running: Whole, power_out: bool, shift: float, h: float
) -> tuple[float, float]:
    """The same step by the linearly implicit Euler method, which keeps water above nothing where flows grow with depth.

    Its error is the difference from the step tried before. [m], [m³]
    """
    k_3, after, middle, end = work.k_3, work.after, work.middle, work.end
    matrix_of(plant, work, h)
    for i in range(volume.size):
        k_3[i] = work.start.net[i] + work.coming[i]
    solved(plant, work, k_3)
    lowest = 0.0
    for i in range(volume.size):
        after[i] = volume[i] + h * k_3[i]
        lowest = min(lowest, after[i])
    middle.level[:] = end.level
    look(plant, work, after, running, power_out, shift, end)
    wrong = 0.0
    for i in range(volume.size):
        wrong = max(wrong, abs(middle.level[i] - end.level[i]))
    return wrong, lowest


@compiled
def moved(plant: Plant, work: Work, h: float, euler: bool) -> None:
    """What each link and pump moved in the step, so that stores gain exactly what they are given."""
    start, middle = work.start, work.middle
    a, b, node = work.a, work.b, plant.stations.node
    for i in range(a.size):
        if euler:
            through = start.q[i] + h * start.by_a[i] * start.slope[a[i]] * work.k_3[a[i]]
            if b[i] >= 0:
                through += h * start.by_b[i] * start.slope[b[i]] * work.k_3[b[i]]
        else:
            through = middle.q[i] + h * D * start.by_a[i] * start.slope[a[i]] * (work.k_2[a[i]] - work.k_1[a[i]])
            if b[i] >= 0:
                through += h * D * start.by_b[i] * start.slope[b[i]] * (work.k_2[b[i]] - work.k_1[b[i]])
        work.flux[i] = h * through
    for s in range(node.size):
        if euler:
            through = start.pump[s] + h * start.pump_by[s] * start.slope[node[s]] * work.k_3[node[s]]
        else:
            change = work.k_2[node[s]] - work.k_1[node[s]]
            through = middle.pump[s] + h * D * start.pump_by[s] * start.slope[node[s]] * change
        work.lift[s] = h * through


__all__ = ["Moment", "Work", "attempt", "attempt_euler", "look", "moment", "moved", "prepare"]
