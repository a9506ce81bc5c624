"""All flows of the plant at given levels, and what each store gains by them. Compiled.

Links stand in one row: pipes, grates, overland, ground, outlets. A link takes from one store exactly what it gives
the other, so that water is kept to rounding.
"""

from __future__ import annotations

import numpy as np

from drainwright.storm.engine.compiling import compiled
from drainwright.storm.engine.laws import crest_flow, grate_flow, run_flow, table_flow
from drainwright.storm.engine.plant import FREE, Floats, Plant, Whole


@compiled
def link_ends(plant: Plant) -> tuple[Whole, Whole]:
    """The stores at both ends of each link; -1: outside."""
    a = np.concatenate((
        plant.pipes.upper, plant.grates.pond, plant.overland.source, plant.ground.a, plant.outlets.node
    ))  # fmt: skip
    b = np.concatenate((
        plant.pipes.lower, plant.grates.body, plant.overland.target, plant.ground.b,
        np.full(plant.outlets.node.size, -1, np.int64),
    ))  # fmt: skip
    return a, b


@compiled
def link_flows(
    plant: Plant, shift: float, level: Floats, a: Whole, b: Whole, q: Floats, by_a: Floats, by_b: Floats
) -> None:
    """Flow of each link from a to b, and its derivatives by both levels, into the three arrays."""
    pipes, grates, overland, ground, outlets = (
        plant.pipes, plant.grates, plant.overland, plant.ground, plant.outlets
    )  # fmt: skip
    place = 0
    for i in range(pipes.upper.size):
        high = level[a[place]]
        low = level[b[place]] if b[place] >= 0 else pipes.outfall[i]
        size, full, length = pipes.diameter[i], pipes.conveyance[i], pipes.length[i]
        z_a, z_b = pipes.z_upper[i], pipes.z_lower[i]
        if high >= low:
            q[place], by_a[place], by_b[place] = run_flow(high, z_a, low, z_b, size, full, length, pipes.share)
        else:
            flow, by_high, by_low = run_flow(low, z_b, high, z_a, size, full, length, pipes.share)
            q[place], by_a[place], by_b[place] = -flow, -by_low, -by_high
        place += 1
    for i in range(grates.pond.size):
        high, low = level[a[place]], level[b[place]]
        if high >= low:
            q[place], by_a[place], by_b[place] = grate_flow(high, low, grates.rim[i], grates.weir[i], grates.orifice[i])
        else:
            flow, by_high, by_low = grate_flow(low, high, grates.rim[i], grates.weir[i], grates.orifice[i])
            q[place], by_a[place], by_b[place] = -flow, -by_low, -by_high
        place += 1
    for i in range(overland.source.size):
        high, low = level[a[place]], level[b[place]] if b[place] >= 0 else FREE
        if high >= low:
            q[place], by_a[place], by_b[place] = crest_flow(high, low, overland.crest[i], overland.width[i])
        else:
            flow, by_high, by_low = crest_flow(low, high, overland.crest[i], overland.width[i])
            q[place], by_a[place], by_b[place] = -flow, -by_low, -by_high
        place += 1
    for i in range(ground.a.size):
        high, low = level[a[place]], level[b[place]] if b[place] >= 0 else ground.far[i] + shift
        by_a[place], by_b[place] = ground.conductance[i], -ground.conductance[i]
        if high <= ground.floor_a[i]:
            high, by_a[place] = ground.floor_a[i], 0.0
        if low <= ground.floor_b[i]:
            low, by_b[place] = ground.floor_b[i], 0.0
        q[place] = ground.conductance[i] * (high - low)
        place += 1
    for i in range(outlets.node.size):
        q[place], by_a[place] = table_flow(level[a[place]], outlets.low[i], outlets.high[i], outlets.flow[i])
        by_b[place] = 0.0
        place += 1


@compiled
def pump_flows(plant: Plant, level: Floats, running: Whole, power_out: bool, pump: Floats, by_level: Floats) -> None:
    """Flow of each station, by what runs there and elsewhere, and its derivative by its basin's level."""
    stations = plant.stations
    for s in range(stations.node.size):
        pump[s], by_level[s] = 0.0, 0.0
        if running[s] > 0:
            state = 0
            for other in range(stations.node.size):
                state += stations.shared[s, other] * running[other]
            row = 2 if power_out else running[s] - 1
            pump[s], by_level[s] = table_flow(
                level[stations.node[s]], stations.low[s], stations.high[s], stations.flow[s, state, row]
            )


@compiled
def gains(plant: Plant, a: Whole, b: Whole, q: Floats, pump: Floats, net: Floats) -> None:
    """What each store gains by links and pumps."""
    net[:] = 0.0
    for i in range(q.size):
        net[a[i]] -= q[i]
        if b[i] >= 0:
            net[b[i]] += q[i]
    for s in range(pump.size):
        net[plant.stations.node[s]] -= pump[s]
        if plant.stations.to[s] >= 0:
            net[plant.stations.to[s]] += pump[s]


@compiled
def jacobian(
    plant: Plant, a: Whole, b: Whole, slope: Floats, by_a: Floats, by_b: Floats, pump_by: Floats, found: Floats
) -> None:
    """Derivatives of the gains by the volumes, on the entries that the elimination knows."""
    row, column = plant.elimination.row, plant.elimination.column
    for i in range(row.size):
        found[row[i], column[i]] = 0.0
    for i in range(a.size):
        found[a[i], a[i]] -= by_a[i] * slope[a[i]]
        if b[i] >= 0:
            found[b[i], b[i]] += by_b[i] * slope[b[i]]
            found[b[i], a[i]] += by_a[i] * slope[a[i]]
            found[a[i], b[i]] -= by_b[i] * slope[b[i]]
    for s in range(pump_by.size):
        node, to = plant.stations.node[s], plant.stations.to[s]
        found[node, node] -= pump_by[s] * slope[node]
        if to >= 0:
            found[to, node] += pump_by[s] * slope[node]


__all__ = ["gains", "jacobian", "link_ends", "link_flows", "pump_flows"]
