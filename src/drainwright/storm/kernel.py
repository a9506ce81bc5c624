"""The time stepper: node volumes through a storm. Arrays in, arrays out; importing this module imports numba.

Every node keeps a volume; its level follows from a stage-storage table. Flows between nodes depend on the levels.
A step is linearly implicit: with F(V) the net inflows and J their derivatives, (I - dt J) dV = dt F(V). Each link
takes from one node exactly what it gives the other, so water is kept to rounding. J has a negative diagonal, no
negative entry beside it, and columns that sum to zero or less: I - dt J is an M-matrix, is solved without pivoting,
and is stable at any step. The step is chosen for accuracy, not stability: no level may move more than ``level_step``
in one step, or the step is done again, shorter. Float switches inside a step are found by linear interpolation of
the basin's volume, and the whole step is cut there. Each compiled function is plain Python under ``.py_func``.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar, cast

import numpy as np
from numpy.typing import NDArray

from drainwright.hydraulics.overland import plane_runoff

Floats1 = NDArray[np.float64]
Whole = NDArray[np.int64]
F = TypeVar("F", bound=Callable[..., Any])

LINEAR_HEAD = 0.001  # below this difference of level, pipe flow is linear in it: the square root has no slope [m]
SHORTEST_STEP = 1e-4  # [s]
MANY_STEPS = 300_000  # ten times what a job takes; beyond, one at odds with itself gets coarse steps, so that it ends
COARSE_STEP = 1.0  # [s]
SPILL_FILM = 1e-6  # no spill under this depth over a rim [m]
SPILL_COEFFICIENT = 1.66  # weir coefficient of a rim, SI; TxDOT ch. 10, eq. 10-30, SEEN [m^0.5/s]


def compiled(function: F) -> F:
    """The function compiled by numba, cached beside the module (or under ``NUMBA_CACHE_DIR``)."""
    from numba import njit

    return cast(F, njit(cache=True)(function))


surface_runoff = compiled(plane_runoff)  # rain over the yards


@compiled
def run_flow(
    h_from: float, z_from: float, h_to: float, z_to: float, diameter: float, conveyance: float, length: float,
    share: Floats1,
) -> tuple[float, float, float]:  # fmt: skip
    """Flow in a pipe from the higher level, and its derivatives by both levels: Q = K(y) sqrt(dh / L).

    ``y`` is the depth over the higher of the two inverts at the feeding end. The level at the far end is the water
    there, or, where the pipe falls free, the feeding depth, at most two thirds of the head over the far invert
    (critical outflow) and at most the crown. On a grade this is uniform flow; in a full pipe the grade line.
    """
    y = h_from - max(z_from, z_to)
    if y <= 0.0:
        return 0.0, 0.0, 0.0
    last = share.size - 1
    part = y / diameter * last
    if part >= last:
        k, dk = share[last], 0.0
    else:
        cell = int(part)
        dk = share[cell + 1] - share[cell]
        k = share[cell] + dk * (part - cell)
        dk *= last / diameter
    free, dfree = h_from - z_from, 1.0
    if free > diameter:
        free, dfree = diameter, 0.0
    critical = 2.0 / 3.0 * (h_from - z_to)
    if critical < free:
        free, dfree = critical, 2.0 / 3.0
    far, dfar_from, dfar_to = z_to + free, dfree, 0.0
    if h_to > far:
        far, dfar_from, dfar_to = h_to, 0.0, 1.0
    head = h_from - far
    if head <= 0.0:
        return 0.0, 0.0, 0.0
    if head > LINEAR_HEAD:
        root = np.sqrt(head / length)
        droot = 0.5 * root / head
    else:
        droot = 1.0 / np.sqrt(LINEAR_HEAD * length)
        root = head * droot
    return (
        conveyance * k * root,
        conveyance * (dk * root + k * droot * (1.0 - dfar_from)),
        -conveyance * k * droot * dfar_to,
    )


@compiled
def grate_flow(h_from: float, h_to: float, rim: float, weir: float, orifice: float) -> tuple[float, float, float]:
    """Flow through a grate from the higher level, and its derivatives: the smaller of weir and orifice.

    The head is the difference of level, from the rim where the lower side is below it.
    """
    far, dfar = rim, 0.0
    if h_to > rim:
        far, dfar = h_to, 1.0
    head = h_from - far
    if head <= 0.0:
        return 0.0, 0.0, 0.0
    root = np.sqrt(head)
    if weir * head <= orifice:
        slope = 1.5 * weir * root
        return weir * head * root, slope, -slope * dfar
    slope = 0.5 * orifice / root
    return orifice * root, slope, -slope * dfar


@compiled
def level_of(volume: float, stage: Floats1, stored: Floats1) -> tuple[float, float]:
    """Level at a volume, and its derivative, by straight lines between the table's rows; beyond, the last line."""
    low, high = 0, stored.size - 1
    while high - low > 1:
        middle = (low + high) // 2
        if stored[middle] <= volume:
            low = middle
        else:
            high = middle
    slope = (stage[low + 1] - stage[low]) / (stored[low + 1] - stored[low])
    return stage[low] + slope * (volume - stored[low]), slope


@compiled
def solve(matrix: Floats1, right: Floats1) -> None:
    """Solve an M-matrix system in place by elimination without pivoting; the answer is left in ``right``."""
    n = right.size
    for i in range(n):
        for r in range(i + 1, n):
            factor = matrix[r, i]
            if factor != 0.0:
                factor /= matrix[i, i]
                for c in range(i + 1, n):
                    matrix[r, c] -= factor * matrix[i, c]
                right[r] -= factor * right[i]
    for i in range(n - 1, -1, -1):
        total = right[i]
        for c in range(i + 1, n):
            total -= matrix[i, c] * right[c]
        right[i] = total / matrix[i, i]


@compiled
def step_storm(
    stage: Floats1, stored: Floats1, start: Floats1, rim: Floats1, spill_width: Floats1,
    upper: Whole, lower: Whole, z_upper: Floats1, z_lower: Floats1, diameter: Floats1, conveyance: Floats1,
    length: Floats1, outfall: Floats1, share: Floats1,
    pond: Whole, body: Whole, weir: Floats1, orifice: Floats1,
    seep_node: Whole, seep_by: Whole, seep_flow: Floats1, seep_drain: Floats1, seep_far: Floats1,
    edges: Floats1, inflow: Floats1,
    basin: Whole, off: Floats1, on: Floats1, second: Floats1, pump_levels: Floats1, pump_flows: Floats1,
    shared: Whole, pump_to: Whole, line: Floats1, cut_from: float, cut_to: float, battery: Floats1,
    house: Whole, slab: float, watch_from: float, level_step: float,
) -> tuple[Floats1, ...]:  # fmt: skip
    """Step the volumes of all nodes through the inflow series.

    Parameters
    ----------
    stage, stored : (nodes, rows)
        Levels and the volumes stored below them, both rising. [m], [m³]
    start : (nodes,), volumes at the start. [m³]
    rim, spill_width : (nodes,)
        Level over which water is lost, and the width of that weir; width zero: it is not lost there. [m]
    upper, lower : (runs,)
        Node at each end; lower -1: the run ends at a fixed level, ``outfall``.
    z_upper, z_lower, diameter, conveyance, length, outfall : (runs,)
        Inverts, inside diameter, full conveyance K of Q = K sqrt(S), length, level beyond the lower end. [m, m³/s]
    share : (rows,)
        Conveyance over full conveyance at evenly spaced depths from empty to full. [-]
    pond, body, weir, orifice : (grates,)
        Node above and below each grate; Q = weir h^1.5 and Q = orifice h^0.5; its rim is that of ``body``.
    seep_node, seep_by, seep_flow, seep_drain, seep_far : (drains,)
        Groundwater into ``seep_node``: full while the level of ``seep_by`` is at or below ``seep_drain``, less in a
        straight line to none at ``seep_far``; explicit in that level where it is another node's. [m³/s], [m]
    edges, inflow : (steps + 1,), (steps, nodes)
        Times, and the mean inflow between them. [s], [m³/s]
    basin, off, on, second : (stations,)
        Node of each basin and its volumes at the float levels. [m³]
    pump_levels, pump_flows : (stations, rows), (stations, states, 2 or more, rows)
        Flow of one pump, of both together, and (where there is a third row) on the battery, at evenly spaced basin
        levels, by what else runs. [m], [m³/s]
    shared : (stations, stations)
        The state of a station's table is the sum over the others of this weight times their pumps that run.
    pump_to, line : (stations,)
        Node where the discharge line ends (-1: out); volume that runs back from it at each stop. [m³]
    cut_from, cut_to, battery : float, float, (stations,)
        Power is out between these times; run time that a battery then gives. [s]
    house, slab, watch_from : (k,), float
        Nodes watched, the level watched for, and from when. [m], [s]
    level_step : float
        Greatest change of any level in one step. [m]

    Returns
    -------
    tuple
        Final volumes; highest levels; their times; volumes lost; volumes through the runs; rows of (end of step, out,
        and each station's level, volume in, volume lifted); rows of (time, station) of first pumps' starts; each
        station's (pumped, pump seconds, left in line); (in, out, time of ``slab`` or -1, steps, made up by clipping).
    """
    nodes, runs, grates, drains = start.size, upper.size, pond.size, seep_node.size
    links, stations = runs + grates, basin.size
    volume = start.copy()
    level, slope = np.zeros(nodes), np.zeros(nodes)
    net, change, jacobian, matrix = np.zeros(nodes), np.zeros(nodes), np.zeros((nodes, nodes)), np.zeros((nodes, nodes))
    q, q_a, q_b = np.zeros(links), np.zeros(links), np.zeros(links)  # flow a to b and its derivatives by level
    a, b = np.zeros(links, np.int64), np.zeros(links, np.int64)
    for i in range(runs):
        a[i], b[i] = upper[i], lower[i]
    for i in range(grates):
        a[runs + i], b[runs + i] = pond[i], body[i]
    spill, spill_h = np.zeros(nodes), np.zeros(nodes)
    seep, seep_h = np.zeros(drains), np.zeros(drains)
    highest, highest_at, lost, carried = np.full(nodes, -1e300), np.zeros(nodes), np.zeros(nodes), np.zeros(runs)
    before = np.full(nodes, 1e300)
    rows, count = np.zeros((4096, 2 + 3 * stations)), 0
    starts, begun = np.zeros((256, 2)), 0
    volume_in, volume_out, slab_at, clipped = 0.0, 0.0, -1.0, 0.0
    told = np.zeros((stations, 3))  # pumped, pump seconds, in the line
    running, left = np.zeros(stations, np.int64), battery.copy()
    pump, pump_h = np.zeros(stations), np.zeros(stations)
    time, before_time, steps = edges[0], edges[0], 0
    wanted = 1.0
    for period in range(edges.size - 1):
        end = edges[period + 1]
        while time < end:
            # Floats and power
            cut_now = cut_from <= time < cut_to
            for s in range(stations):
                node = basin[s]
                powered = not cut_now or left[s] > 0.0
                if running[s] > 0 and (not powered or volume[node] <= off[s]):
                    running[s] = 0
                    volume[node] += told[s, 2]
                    told[s, 2] = 0.0
                if powered and running[s] == 0 and volume[node] >= on[s]:
                    running[s] = 1
                    if begun == starts.shape[0]:
                        longer = np.zeros((2 * begun, 2))
                        longer[:begun] = starts
                        starts = longer
                    starts[begun, 0], starts[begun, 1] = time, s
                    begun += 1
                if powered and running[s] == 1 and volume[node] >= second[s]:
                    running[s] = 2
            # Levels
            for i in range(nodes):
                level[i], slope[i] = level_of(volume[i], stage[i], stored[i])
                if level[i] > highest[i]:
                    highest[i], highest_at[i] = level[i], time
            if slab_at < 0.0 and time >= watch_from:
                for i in house:
                    if level[i] >= slab:
                        reached = time
                        if before_time >= watch_from and before[i] < slab:
                            reached = before_time + (time - before_time) * (slab - before[i]) / (level[i] - before[i])
                        slab_at = reached if slab_at < 0.0 else min(slab_at, reached)
            # Flows and their derivatives
            net[:] = inflow[period]
            jacobian[:] = 0.0
            for i in range(drains):
                node, by = seep_node[i], level[seep_by[i]]
                seep[i], seep_h[i] = seep_flow[i], 0.0
                if by >= seep_far[i]:
                    seep[i] = 0.0
                elif by > seep_drain[i]:
                    seep_h[i] = -seep_flow[i] / (seep_far[i] - seep_drain[i])
                    seep[i] = seep_h[i] * (by - seep_far[i])
                if seep_by[i] != node:
                    seep_h[i] = 0.0
                net[node] += seep[i]
                jacobian[node, node] += seep_h[i] * slope[node]
            for i in range(links):
                from_, to = a[i], b[i]
                high, low = level[from_], level[to] if to >= 0 else outfall[i]
                onward = high >= low
                if not onward:
                    high, low = low, high
                if i < runs:
                    z_high, z_low = (z_upper[i], z_lower[i]) if onward else (z_lower[i], z_upper[i])
                    flow, by_high, by_low = run_flow(
                        high, z_high, low, z_low, diameter[i], conveyance[i], length[i], share
                    )
                else:
                    flow, by_high, by_low = grate_flow(high, low, rim[to], weir[i - runs], orifice[i - runs])
                if onward:
                    q[i], q_a[i], q_b[i] = flow, by_high, by_low
                else:
                    q[i], q_a[i], q_b[i] = -flow, -by_low, -by_high
                net[from_] -= q[i]
                jacobian[from_, from_] -= q_a[i] * slope[from_]
                if to >= 0:
                    net[to] += q[i]
                    jacobian[to, to] += q_b[i] * slope[to]
                    jacobian[to, from_] += q_a[i] * slope[from_]
                    jacobian[from_, to] -= q_b[i] * slope[to]
            for i in range(nodes):
                depth = level[i] - rim[i]
                spill[i], spill_h[i] = 0.0, 0.0
                if spill_width[i] > 0.0 and depth > SPILL_FILM:
                    spill_h[i] = 1.5 * SPILL_COEFFICIENT * spill_width[i] * np.sqrt(depth)
                    spill[i] = spill_h[i] * depth / 1.5
                    net[i] -= spill[i]
                    jacobian[i, i] -= spill_h[i] * slope[i]
            for s in range(stations):
                pump[s], pump_h[s] = 0.0, 0.0
                if running[s] > 0:
                    node, to, state = basin[s], pump_to[s], 0
                    for other in range(stations):
                        state += shared[s, other] * running[other]
                    row = 2 if cut_now and pump_flows.shape[2] > 2 else running[s] - 1
                    flows = pump_flows[s, state, row]
                    pitch = pump_levels[s, 1] - pump_levels[s, 0]
                    part = (level[node] - pump_levels[s, 0]) / pitch
                    cell = min(max(int(part), 0), flows.size - 2)
                    pump_h[s] = (flows[cell + 1] - flows[cell]) / pitch
                    pump[s] = flows[cell] + pump_h[s] * pitch * (part - cell)
                    net[node] -= pump[s]
                    jacobian[node, node] -= pump_h[s] * slope[node]
                    if to >= 0:
                        net[to] += pump[s]
                        jacobian[to, node] += pump_h[s] * slope[node]
            # The step, shorter until no level moves too far
            step = min(wanted, end - time)
            shortest = SHORTEST_STEP if steps < MANY_STEPS else COARSE_STEP
            shortened = False
            while True:
                for r in range(nodes):
                    for c in range(nodes):
                        matrix[r, c] = -step * jacobian[r, c]
                    matrix[r, r] += 1.0
                    change[r] = step * net[r]
                solve(matrix, change)
                moved, sound = 0.0, True
                for i in range(nodes):
                    after, _ = level_of(volume[i] + change[i], stage[i], stored[i])
                    moved = max(moved, abs(after - level[i]))
                    if volume[i] + change[i] < 0.0 or spill[i] + spill_h[i] * slope[i] * change[i] < 0.0:
                        sound = False
                if (moved <= level_step and sound) or step <= shortest:
                    break
                shortened = True
                step = max(shortest, step * (0.5 if moved <= level_step else max(0.1, 0.9 * level_step / moved)))
            ahead = max(shortest, step * min(2.0, 0.9 * level_step / max(moved, 1e-12)))
            longest = 60.0 if end - edges[period] < 120.0 else end - edges[period]
            wanted = min(longest, ahead if shortened or step < end - time else max(wanted, ahead))
            # Cut where a float switches or the battery ends
            cut, reaches, switching, spent = 1.0, -1.0, -1, -1
            for s in range(stations):
                goal, now, then = -1.0, volume[basin[s]], volume[basin[s]] + change[basin[s]]
                if running[s] > 0 and then < off[s]:
                    goal = off[s]
                elif running[s] == 0 and (not cut_now or left[s] > 0.0) and then > on[s]:
                    goal = on[s]
                elif running[s] == 1 and then > second[s]:
                    goal = second[s]
                if goal >= 0.0 and (goal - now) / (then - now) < cut:
                    cut, reaches, switching, spent = (goal - now) / (then - now), goal, s, -1
                if running[s] > 0 and cut_now and left[s] < cut * step:
                    cut, reaches, switching, spent = left[s] / step, -1.0, -1, s
            last = cut == 1.0 and step == end - time
            elapsed = cut * step
            # Book what moved
            out = 0.0
            for i in range(drains):
                node = seep_node[i]
                volume_in += elapsed * (seep[i] + seep_h[i] * slope[node] * change[node])
            for i in range(runs):
                through = q[i] + q_a[i] * slope[a[i]] * change[a[i]]
                if b[i] < 0:
                    out += elapsed * through
                else:
                    through += q_b[i] * slope[b[i]] * change[b[i]]
                carried[i] += elapsed * through
            for i in range(nodes):
                volume_in += elapsed * inflow[period, i]
                gone = elapsed * (spill[i] + spill_h[i] * slope[i] * change[i])
                lost[i] += gone
            if count == rows.shape[0]:
                taller = np.zeros((2 * count, rows.shape[1]))
                taller[:count] = rows
                rows = taller
            for s in range(stations):
                node, lifted = basin[s], 0.0
                if running[s] > 0:
                    lifted = elapsed * (pump[s] + pump_h[s] * slope[node] * change[node])
                    told[s, 0] += lifted
                    told[s, 1] += elapsed * running[s]
                    if cut_now:
                        left[s] = 0.0 if s == spent else max(0.0, left[s] - elapsed)
                    if pump_to[s] < 0:
                        fills = min(line[s] - told[s, 2], lifted)
                        told[s, 2] += fills
                        out += lifted - fills
                gone = elapsed * (spill[node] + spill_h[node] * slope[node] * change[node])
                rows[count, 3 + 3 * s] = cut * change[node] + lifted + gone
                rows[count, 4 + 3 * s] = lifted
            volume_out += out
            before[:] = level
            before_time = time
            for i in range(nodes):
                volume[i] += cut * change[i]
                if volume[i] < 0.0:
                    clipped -= volume[i]
                    volume[i] = 0.0
            if switching >= 0:
                volume[basin[switching]] = reaches
            time = end if last else time + elapsed
            steps += 1
            rows[count, 0], rows[count, 1] = time, out
            for s in range(stations):
                rows[count, 2 + 3 * s], _ = level_of(volume[basin[s]], stage[basin[s]], stored[basin[s]])
            count += 1
    for i in range(nodes):
        level[i], _ = level_of(volume[i], stage[i], stored[i])
        if level[i] > highest[i]:
            highest[i], highest_at[i] = level[i], time
    totals = np.array([volume_in, volume_out, slab_at, float(steps), clipped])
    return volume, highest, highest_at, lost, carried, rows[:count], starts[:begun], told, totals
