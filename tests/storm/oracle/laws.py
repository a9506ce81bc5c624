"""What flows at given levels, by the words of ``engine/plant.py`` and the handbooks, for all links at once.

Pipes: Q = K(y) sqrt(head / L), y the depth over the higher invert at the feeding end; the far level is the water there,
or, falling free, the feeding depth, at most the crown and at most two thirds of the head over the far invert. In the
first millimetre of head the flow is linear. Grates: the smaller of weir and orifice. Crests: broad weir, 1.66 w h^1.5
(TxDOT Hydraulic Design Manual ch. 10, eq. 10-30, SEEN, as ``storm/engine/laws.py`` cites it).
"""

from __future__ import annotations

from typing import Any

import numpy as np

from drainwright.storm.engine.plant import Floats, Plant

FIRST_HEAD = 0.001  # [m]
CREST = 1.66  # [m^0.5/s]


def levels(plant: Plant, volume: Floats) -> Floats:
    """Level of each node, by straight lines through its table, the end ones drawn on."""
    stage, stored = plant.stores
    row = np.clip(np.sum(stored <= volume[:, None], axis=1) - 1, 0, stored.shape[1] - 2)
    at = np.arange(len(volume))
    low, high = stored[at, row], stored[at, row + 1]
    part = (volume - low) / (high - low)
    return stage[at, row] + part * (stage[at, row + 1] - stage[at, row])


def at_end(h: Floats, node: Any, fixed: Any) -> Floats:
    """Levels at one end of links; the fixed ones where there is no node."""
    if len(h) == 0:
        return np.asarray(fixed, float)
    return np.where(node >= 0, h[np.maximum(node, 0)], fixed)


def pipe_flows(plant: Plant, h: Floats) -> Floats:
    p = plant.pipes
    up, down = at_end(h, p.upper, 0.0), at_end(h, p.lower, p.outfall)
    forward = up >= down
    feed, far = np.where(forward, up, down), np.where(forward, down, up)
    z_feed, z_far = np.where(forward, p.z_upper, p.z_lower), np.where(forward, p.z_lower, p.z_upper)
    depth = feed - np.maximum(z_feed, z_far)
    k = np.interp(np.clip(depth / p.diameter, 0.0, 1.0), np.linspace(0.0, 1.0, len(p.share)), p.share)
    free = np.minimum(np.minimum(feed - z_feed, p.diameter), 2.0 / 3.0 * (feed - z_far))
    head = np.maximum(feed - np.maximum(far, z_far + free), 0.0)
    root = np.where(
        head > FIRST_HEAD, np.sqrt(head / p.length), head / FIRST_HEAD * np.sqrt(FIRST_HEAD / p.length)
    )  # fmt: skip
    flow = np.where(depth > 0.0, p.conveyance * k * root, 0.0)
    return np.where(forward, flow, -flow)


def grate_flows(plant: Plant, h: Floats) -> Floats:
    g = plant.grates
    above, below = at_end(h, g.pond, 0.0), at_end(h, g.body, 0.0)
    head = np.maximum(np.maximum(above, below) - np.maximum(np.minimum(above, below), g.rim), 0.0)
    return np.sign(above - below) * np.minimum(g.weir * head**1.5, g.orifice * np.sqrt(head))


def overland_flows(plant: Plant, h: Floats) -> Floats:
    o = plant.overland
    here, there = at_end(h, o.source, 0.0), at_end(h, o.target, -1e9)
    head = np.maximum(np.maximum(here, there) - np.maximum(np.minimum(here, there), o.crest), 0.0)
    return np.sign(here - there) * CREST * o.width * head**1.5


def ground_flows(plant: Plant, h: Floats, shift: float) -> Floats:
    g = plant.ground
    here, there = at_end(h, g.a, 0.0), at_end(h, g.b, g.far + shift)
    return g.conductance * (np.maximum(here, g.floor_a) - np.maximum(there, g.floor_b))


def _table(level: float, low: float, high: float, flow: Floats) -> float:
    """Straight lines between even rows, the ends held."""
    return float(np.interp(level, np.linspace(low, high, len(flow)), flow))


def outlet_flows(plant: Plant, h: Floats) -> Floats:
    o = plant.outlets
    return np.array([_table(h[n], a, b, f) for n, a, b, f in zip(o.node, o.low, o.high, o.flow, strict=True)])


def pump_flows(plant: Plant, h: Floats, running: Any, cut: bool) -> Floats:
    s = plant.stations
    found = np.zeros(len(s.node))
    for i, node in enumerate(s.node):
        if running[i]:
            state = int(np.dot(s.shared[i], running))
            row = 2 if cut else int(running[i]) - 1
            found[i] = _table(h[node], s.low[i], s.high[i], s.flow[i, state, row])
    return found


def _give(net: Floats, node: Any, flow: Floats) -> None:
    inside = node >= 0
    np.add.at(net, node[inside], flow[inside])


def all_flows(plant: Plant, volume: Floats, shift: float, running: Any, cut: bool) -> dict[str, Floats]:
    h = levels(plant, volume)
    return {
        "pipes": pipe_flows(plant, h), "grates": grate_flows(plant, h), "overland": overland_flows(plant, h),
        "ground": ground_flows(plant, h, shift), "outlets": outlet_flows(plant, h),
        "pumps": pump_flows(plant, h, running, cut),
    }  # fmt: skip


def change(plant: Plant, volume: Floats, rain: Floats, shift: float, running: Any, cut: bool) -> Floats:
    """dV/dt of every node."""
    q = all_flows(plant, volume, shift, running, cut)
    net = rain.copy()
    for flow, source, target in (
        (q["pipes"], plant.pipes.upper, plant.pipes.lower), (q["grates"], plant.grates.pond, plant.grates.body),
        (q["overland"], plant.overland.source, plant.overland.target), (q["ground"], plant.ground.a, plant.ground.b),
        (q["pumps"], plant.stations.node, plant.stations.to),
    ):  # fmt: skip
        _give(net, source, -flow)
        _give(net, target, flow)
    _give(net, plant.outlets.node, -q["outlets"])
    return net
