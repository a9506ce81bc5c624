"""Calls of the stepper on plain arrays, for tests."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from drainwright.storm import kernel
from drainwright.storm.network import conveyance_share

NEVER = 1e30
FUNCTIONS = ("run_flow", "grate_flow", "level_of", "solve")


@dataclass
class Result:
    volume: NDArray[np.float64]
    highest: NDArray[np.float64]
    highest_at: NDArray[np.float64]
    lost: NDArray[np.float64]
    rows: NDArray[np.float64]
    starts: NDArray[np.float64]
    volume_in: float
    volume_out: float
    pumped: float
    seconds: float
    in_line: float
    slab_at: float
    steps: float
    clipped: float
    told: NDArray[np.float64]
    all_rows: NDArray[np.float64]
    all_starts: NDArray[np.float64]
    carried: NDArray[np.float64]


def shafts(areas: list[float], bottoms: list[float], top: float = 20.0) -> tuple[Any, Any]:
    """Stage and storage of straight shafts."""
    stage = np.array([[bottom, bottom + 1.0, top] for bottom in bottoms])
    return stage, (stage - stage[:, :1]) * np.array(areas)[:, None]


def step(function: Callable[..., Any] = kernel.step_storm, **given: Any) -> Result:
    """Run the stepper; what is not given is absent: no runs, grates, groundwater, basin or rim."""
    nodes = len(given["start"])
    none, whole = np.empty(0), np.empty(0, np.int64)
    runs, grates = len(given.get("upper", ())), len(given.get("pond", ()))
    values: dict[str, Any] = {
        "rim": np.full(nodes, 1e3), "spill_width": np.zeros(nodes),
        "upper": whole, "lower": whole, "z_upper": none, "z_lower": none, "diameter": np.full(runs, 0.1),
        "conveyance": np.full(runs, 0.07), "length": np.full(runs, 10.0), "outfall": np.full(runs, -1e3),
        "share": conveyance_share(),
        "pond": whole, "body": whole, "weir": np.full(grates, 1.0), "orifice": np.full(grates, 0.1),
        "seep_node": whole, "seep_by": given.get("seep_node", whole),
        "seep_flow": none, "seep_drain": none, "seep_far": none,
        "basin": none, "off": 0.0, "on": NEVER, "second": NEVER,
        "pump_levels": np.array([0.0, 1.0]), "pump_flows": np.zeros((2, 2)), "shared": None, "pump_to": -1,
        "line": 0.0, "cut_from": NEVER, "cut_to": NEVER, "battery": 0.0,
        "house": whole, "slab": 1e3, "watch_from": 0.0, "level_step": 0.01,
    }  # fmt: skip
    values |= given
    _stations(values)
    order = [
        "stage", "stored", "start", "rim", "spill_width", "upper", "lower", "z_upper", "z_lower", "diameter",
        "conveyance", "length", "outfall", "share", "pond", "body", "weir", "orifice", "seep_node", "seep_by",
        "seep_flow",
        "seep_drain", "seep_far", "edges", "inflow", "basin", "off", "on", "second", "pump_levels", "pump_flows",
        "shared", "pump_to", "line", "cut_from", "cut_to", "battery", "house", "slab", "watch_from", "level_step",
    ]  # fmt: skip
    assert set(order) == set(values)
    *arrays, carried, rows, starts, told, totals = function(*(_typed(name, values[name]) for name in order))
    if told.shape[0] == 0:  # without a basin all that goes out has arrived
        trace = np.column_stack([rows[:, 0], 0.0 * rows[:, 0], rows[:, 1], rows[:, 1]])
    else:
        trace = rows[:, [0, 2, 3, 1]]
    every = np.sum(told, axis=0) if told.size else np.zeros(3)
    volume_in, volume_out, *rest = (float(value) for value in totals)
    sums = (float(value) for value in every)
    return Result(*arrays, trace, starts[:, 0], volume_in, volume_out, *sums, *rest, told, rows, starts, carried)


def _stations(values: dict[str, Any]) -> None:
    """A single basin's figures as those of one station; several basins give arrays of their own."""
    values["basin"] = np.atleast_1d(np.asarray(values["basin"], np.int64))
    count = values["basin"].size
    for name in ("off", "on", "second", "line", "battery", "pump_to"):
        values[name] = np.broadcast_to(values[name], (count,))
    flows = np.asarray(values["pump_flows"], float)
    values["pump_levels"] = np.broadcast_to(values["pump_levels"], (count, np.shape(values["pump_levels"])[-1]))
    if flows.ndim == 2:
        values["pump_flows"] = np.broadcast_to(flows, (count, 1, *flows.shape))
    if values["shared"] is None:
        values["shared"] = np.zeros((count, count))


def _typed(name: str, value: Any) -> Any:
    if name in ("upper", "lower", "pond", "body", "seep_node", "seep_by", "house", "basin", "pump_to", "shared"):
        return np.ascontiguousarray(value, np.int64)
    return float(value) if isinstance(value, (int, float)) else np.ascontiguousarray(value, np.float64)


def random_plant(seed: int) -> dict[str, Any]:
    """A random tree of shafts, pipes and grates that ends in a pumped basin or an outfall, with a burst of rain."""
    rng = np.random.default_rng(seed)
    pumped = bool(rng.random() < 0.6)
    nodes, ponds = int(rng.integers(2, 7)), int(rng.integers(0, 3))
    ponds = min(ponds, nodes - 1)
    bottoms = np.sort(rng.uniform(8.0, 9.5, nodes))[::-1].copy()
    areas = rng.uniform(0.01, 0.6, nodes)
    rims = bottoms + rng.uniform(0.3, 2.0, nodes)
    upper = list(range(nodes - 1))
    lower = [int(rng.integers(i + 1, nodes)) for i in upper]
    if not pumped:
        upper.append(nodes - 1)
        lower.append(-1)
    z_upper = np.array([bottoms[i] + rng.choice([0.0, 0.1]) for i in upper])
    z_lower = np.array([bottoms[i] + rng.choice([0.0, 0.1, 0.3]) if i >= 0 else bottoms.min() - 0.1 for i in lower])
    stage, stored = shafts([*areas, *rng.uniform(1.0, 40.0, ponds)], [*bottoms, *rims[:ponds]])
    spill_width = np.concatenate([np.where(np.arange(nodes) < ponds, 0.0, 0.5), np.full(ponds, 3.0)])
    edges = np.linspace(0.0, 3600.0, 61)
    burst = np.exp(-(((edges[:-1] - 1200.0) / rng.uniform(120.0, 600.0)) ** 2))
    inflow = burst[:, None] * rng.uniform(0.0, 0.006, nodes + ponds) * (rng.random(nodes + ponds) < 0.7)
    plant: dict[str, Any] = {
        "stage": stage, "stored": stored, "start": np.zeros(nodes + ponds),
        "rim": np.concatenate([rims, rims[:ponds] + 0.15]), "spill_width": spill_width,
        "upper": upper, "lower": lower, "z_upper": z_upper, "z_lower": z_lower,
        "diameter": rng.uniform(0.05, 0.15, len(upper)), "conveyance": rng.uniform(0.01, 0.2, len(upper)),
        "length": rng.uniform(0.5, 30.0, len(upper)),
        "pond": range(nodes, nodes + ponds), "body": range(ponds),
        "weir": rng.uniform(0.2, 2.0, ponds), "orifice": rng.uniform(0.01, 0.1, ponds),
        "seep_node": [0], "seep_by": [(nodes - 1) * (seed % 2)], "seep_flow": [rng.uniform(0.0, 3e-4)],
        "seep_drain": [bottoms[(nodes - 1) * (seed % 2)]], "seep_far": [bottoms[(nodes - 1) * (seed % 2)] + 0.5],
        "edges": edges, "inflow": inflow, "house": [0], "slab": float(rims[0]) - 0.1,
    }  # fmt: skip
    if pumped:
        area = areas[nodes - 1]
        flow = rng.uniform(0.0005, 0.005)
        plant |= {
            "basin": nodes - 1, "off": 0.05 * area, "on": rng.uniform(0.1, 0.4) * area, "second": 0.6 * area,
            "pump_levels": np.array([bottoms[-1], bottoms[-1] + 3.0]),
            "pump_flows": np.array([[flow, 1.3 * flow], [1.7 * flow, 2.1 * flow]]),
            "line": float(rng.choice([0.0, 0.02])) * area, "cut_from": 1200.0, "cut_to": 1800.0,
            "battery": float(rng.choice([0.0, 100.0])),
        }  # fmt: skip
    return plant
