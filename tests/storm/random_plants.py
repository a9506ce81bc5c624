"""Random plants for the stepper: trees and rings, ponds, pumps, ground, soaking, batteries, cuts. Nodes may run dry."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from plants import forcing, plant, resting

from drainwright.storm.engine.plant import FREE, NEVER, Forcing, Plant, State

MINUTES = 90


@dataclass
class Drawn:
    plant: Plant
    forcing: Forcing
    state: State
    bodies: int
    ponds: int


def _tables(rng: np.random.Generator, bottoms: Any, areas: Any) -> tuple[Any, Any]:
    """Five rows each, the area changing at each row by a factor of up to twenty: pipes, stone, ponds."""
    n = len(bottoms)
    rows = np.cumsum(np.column_stack([np.zeros(n), rng.uniform(0.02, 0.3, (n, 3)), np.full(n, 20.0)]), axis=1)
    width = np.asarray(areas)[:, None] * rng.uniform(1.0, 20.0, (n, 4)) ** rng.integers(0, 2, (n, 4))
    return np.asarray(bottoms)[:, None] + rows, np.column_stack([np.zeros(n), np.cumsum(np.diff(rows) * width, axis=1)])


def random_plant(seed: int, pumps: bool = True, battery: bool = True) -> Drawn:
    """A plant with a burst of rain over an hour and a half; without ``pumps`` it is a monotone system."""
    rng = np.random.default_rng(seed)
    n = int(rng.integers(2, 9))
    ponds = int(rng.integers(0, min(n, 4)))
    cells = int(rng.integers(0, 3))
    bottoms = np.sort(rng.uniform(8.0, 9.5, n))[::-1]
    rims = bottoms + rng.uniform(0.5, 1.5, n)
    stage, stored = _tables(
        rng, [*bottoms, *rims[:ponds], *bottoms[:cells] - 0.5],
        [*rng.uniform(0.02, 0.6, n), *rng.uniform(1.0, 20.0, ponds), *rng.uniform(2.0, 20.0, cells)],
    )  # fmt: skip
    stations = int(rng.integers(0, 3)) if pumps else 0
    stations = min(stations, n - 1)
    upper = list(range(n - 1))
    lower = [int(rng.integers(i + 1, n)) for i in upper]
    if rng.random() < 0.4 and n > 2:  # a ring
        upper.append(0)
        lower.append(n - 1)
    if stations == 0 or rng.random() < 0.2:
        upper.append(n - 1)
        lower.append(-1)
    count = len(upper)
    z_upper = np.array([bottoms[i] + rng.choice([0.0, 0.1]) for i in upper])
    z_lower = np.array([bottoms[i] + rng.choice([0.0, 0.1, 0.3]) if i >= 0 else bottoms[-1] - 0.1 for i in lower])
    tail = bottoms[-1] + float(rng.uniform(0.0, 0.3))
    pipes = {
        "upper": upper, "lower": lower, "z_upper": z_upper, "z_lower": z_lower,
        "diameter": rng.uniform(0.05, 0.15, count), "conveyance": rng.uniform(0.01, 0.2, count),
        "length": rng.uniform(0.5, 30.0, count), "outfall": rng.choice([FREE, tail], count),
    }  # fmt: skip
    grates = {
        "pond": range(n, n + ponds), "body": range(ponds), "rim": rims[:ponds],
        "weir": rng.uniform(0.1, 2.0, ponds), "orifice": rng.uniform(0.01, 0.1, ponds),
    }  # fmt: skip
    onto = [int(rng.integers(i + 1, ponds)) if i + 1 < ponds else -1 for i in range(ponds)]
    # A crest lies over the ground on both its sides: else it would drain a pond that is already empty.
    lowest = np.array([max(rims[i], rims[t]) if t >= 0 else rims[i] for i, t in enumerate(onto)])
    over = {
        "source": [*range(n, n + ponds), *range(ponds, n)],
        "target": [*(n + t if t >= 0 else -1 for t in onto), *[-1] * (n - ponds)],
        "crest": [*lowest + rng.uniform(0.02, 0.15, ponds), *rims[ponds:]],
        "width": [*rng.uniform(0.5, 4.0, ponds), *np.full(n - ponds, 0.5)],
    }  # fmt: skip
    sees = bottoms[:cells] + 0.05
    ground = {
        "a": [*range(n + ponds, n + ponds + cells), *range(n + ponds, n + ponds + cells)],
        "b": [*range(cells), *[-1] * cells],
        "far": [*np.zeros(cells), *bottoms[:cells] + rng.uniform(-0.2, 0.6, cells)],
        "conductance": rng.uniform(1e-5, 2e-3, 2 * cells), "floor_a": [*sees, *bottoms[:cells] - 0.5],
        "floor_b": [*sees, *bottoms[:cells] - 0.5],
    }  # fmt: skip
    soaks = int(rng.integers(0, 2))
    rows = rng.uniform(0.0, 2e-3) * np.linspace(0.0, 1.0, 9) ** rng.uniform(0.5, 2.0)
    outlets = {
        "node": np.zeros(soaks, int), "low": np.full(soaks, bottoms[0]), "high": np.full(soaks, bottoms[0] + 0.8),
        "flow": np.tile(rows, (soaks, 1)),
    }  # fmt: skip
    if stations:
        nodes = [n - 1, n - 2][:stations]
        off = np.array([np.interp(bottoms[i] + 0.04, stage[i], stored[i]) for i in nodes])
        on = np.array([np.interp(bottoms[i] + rng.uniform(0.1, 0.4), stage[i], stored[i]) for i in nodes])
        second = np.where(rng.random(stations) < 0.5, 1.5 * on, NEVER)
        flow = rng.uniform(5e-4, 5e-3, stations)[:, None, None, None] * np.array([1.0, 1.7, 0.6])[None, None, :, None]
        flow = flow * np.linspace(1.0, rng.uniform(1.0, 1.5), 5)
        to = [-1, int(rng.choice([-1, n - 1]))][:stations]
        lifts = {
            "node": nodes, "off": off, "on": on, "second": second, "low": bottoms[nodes], "high": bottoms[nodes] + 2.0,
            "flow": np.concatenate([flow, 0.9 * flow, 0.8 * flow], axis=1),
            "shared": (1 - np.eye(stations, dtype=int)) * int(rng.integers(0, 2)), "to": to,
            "line": np.where(np.array(to) < 0, rng.choice([0.0, 0.3], stations) * (on - off), 0.0),
            "battery": rng.choice([0.0, 100.0, 1e4], stations) * battery,
        }  # fmt: skip
    else:
        lifts = {}
    watches = {"node": [0, n - 1], "level": [bottoms[0] + 0.3, bottoms[-1] + 0.4]}
    made = plant(stage, stored, pipes, grates, over, ground, outlets, lifts, watches)
    edges = np.arange(MINUTES + 1) * 60.0
    bell = np.exp(-(((edges[:-1] - 1500.0) / rng.uniform(120.0, 900.0)) ** 2))
    total = n + ponds + cells
    inflow = bell[:, None] * rng.uniform(0.0, 0.006, total) * (rng.random(total) < 0.6)
    inflow[60:] = 0.0
    cuts = [[1200.0, 1830.0], [2400.0, 3300.0]] if rng.random() < 0.5 else []
    start = np.where(rng.random(total) < 0.5, 0.0, stored[:, 1] * rng.random(total))
    shift = 0.2 * np.minimum(edges[:-1] / 3600.0, 1.0) * int(rng.integers(0, 2))
    return Drawn(made, forcing(edges, inflow, shift=shift, cuts=cuts), resting(made, start), n, ponds)
