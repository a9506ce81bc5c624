"""Calls of the stepper on plain arrays, for tests."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from drainwright.storm.engine.plant import (
    FAR,
    FREE,
    IN,
    NEVER,
    OUT,
    STEPS,
    Floats,
    Grates,
    Ground,
    Overland,
    Pipes,
    Plant,
    Stations,
    Stores,
    Watches,
    Whole,
)  # fmt: skip
from drainwright.storm.engine.ready import forcing_of, plant_of, state_of
from drainwright.storm.engine.stepper import step as step_plant
from drainwright.storm.network import conveyance_share


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
    told: NDArray[np.float64]
    all_rows: NDArray[np.float64]
    all_starts: NDArray[np.float64]
    carried: NDArray[np.float64]


def shafts(areas: list[float], bottoms: list[float], top: float = 20.0) -> tuple[Any, Any]:
    """Stage and storage of straight shafts."""
    stage = np.array([[bottom, bottom + 1.0, top] for bottom in bottoms])
    return stage, (stage - stage[:, :1]) * np.array(areas)[:, None]


def plant(given: dict[str, Any]) -> Plant:
    """The plant of what is given; what is not given is absent: no runs, grates, groundwater, basin or rim."""
    nodes = len(given["start"])

    def rows(kind: Any, count: int, **others: Any) -> Any:
        """A named tuple of so many rows: what is given, else what stands in for it."""
        found = {}
        for field in kind._fields:
            value = others[field] if field == "rim" else given.get(field, others.get(field))
            found[field] = value if field == "share" else np.broadcast_to(value, (count, *np.shape(value)[1:]))
        return kind(**found)

    runs, grates = len(given.get("upper", ())), len(given.get("pond", ()))
    pipes = rows(
        Pipes, runs, upper=-1, lower=-1, z_upper=0.0, z_lower=0.0, diameter=0.1, conveyance=0.07, length=10.0,
        outfall=FREE, share=conveyance_share(),
    )  # fmt: skip
    width = np.asarray(given.get("spill_width", np.zeros(nodes)))
    spills = np.flatnonzero(width)
    rim = np.asarray(given.get("rim", np.full(nodes, 1e3)), float)
    body = np.asarray(given.get("body", ()), np.int64)
    drains = np.asarray(given.get("seep_by", given.get("seep_node", ())), np.int64)
    drain, far = (np.asarray(given.get(name, ()), float) for name in ("seep_drain", "seep_far"))
    basin = np.atleast_1d(np.asarray(given.get("basin", ()), np.int64))
    house = np.asarray(given.get("house", ()), np.int64)
    return plant_of(
        Stores(given["stage"], given["stored"]),
        pipes=pipes,
        grates=rows(Grates, grates, pond=0, body=0, rim=rim[body], weir=1.0, orifice=0.1),
        overland=Overland(spills, np.full(len(spills), -1), rim[spills], width[spills]),
        ground=Ground(
            drains, np.full(len(drains), -1), far, np.asarray(given.get("seep_flow", ()), float) / (far - drain), drain,
            np.full(len(drains), FREE),
        ),
        stations=_stations(given, basin),
        watches=Watches(house, np.full(len(house), given.get("slab", 1e3))),
    )  # fmt: skip


def _stations(given: dict[str, Any], basin: Whole) -> Stations:
    """A single basin's figures as those of one station; several basins give arrays of their own."""
    count = basin.size

    def each(name: str, other: float) -> Floats:
        return np.broadcast_to(np.asarray(given.get(name, other), float), (count,))

    levels = np.atleast_2d(given.get("pump_levels", [0.0, 1.0]))
    flows = np.asarray(given.get("pump_flows", np.zeros((2, 2))), float)
    flows = np.broadcast_to(flows, (count, 1, *flows.shape)) if flows.ndim == 2 else flows
    rows = [0, 1, min(2, flows.shape[2] - 1) if flows.shape[2] > 2 else 0]
    return Stations(
        node=basin, off=each("off", 0.0), on=each("on", NEVER), second=each("second", NEVER),
        low=np.broadcast_to(levels[:, 0], (count,)), high=np.broadcast_to(levels[:, -1], (count,)),
        flow=flows[:, :, rows], shared=np.asarray(given.get("shared", np.zeros((count, count))), np.int64),
        to=np.broadcast_to(np.asarray(given.get("pump_to", -1), np.int64), (count,)), line=each("line", 0.0),
        battery=each("battery", 0.0),
    )  # fmt: skip


def step(*, tolerance: float = 0.0005, **given: Any) -> Result:
    """Run the stepper on plain arrays."""
    nodes = len(given["start"])
    made = plant(given)
    cuts = [(given.get("cut_from", NEVER), given.get("cut_to", NEVER))]
    forcing = forcing_of(given["edges"], np.arange(nodes), given["inflow"], cuts=[c for c in cuts if c[0] < NEVER])
    run = step_plant(made, forcing, state_of(made, given["start"], given["edges"][0]), tolerance, True, False)
    trace, count = run.trace[1:], len(made.stations.node)
    every = np.column_stack([
        trace[:, 0], trace[:, 1 + nodes],
        *(
            column
            for s, node in enumerate(made.stations.node)
            for column in (trace[:, 1 + node], trace[:, 3 + nodes + 2 * s], trace[:, 4 + nodes + 2 * s])
        ),
    ])  # fmt: skip
    if count:
        rows = every[:, [0, 2, 3, 1]]
    else:  # without a basin all that goes out has arrived
        rows = np.column_stack([every[:, 0], 0.0 * every[:, 0], every[:, 1], every[:, 1]])
    lost = np.zeros(nodes)
    np.add.at(lost, made.overland.source, run.over)
    told = np.column_stack([run.pumped, run.pump_seconds, run.state.in_line])
    slab = float(np.min(run.reached, initial=NEVER))
    return Result(
        volume=run.state.volume, highest=run.highest, highest_at=run.highest_at, lost=lost, rows=rows,
        starts=run.starts[:, 0], volume_in=float(run.totals[IN] + run.totals[FAR]), volume_out=float(run.totals[OUT]),
        pumped=float(np.sum(run.pumped)), seconds=float(np.sum(run.pump_seconds)),
        in_line=float(np.sum(run.state.in_line)), slab_at=slab if slab < NEVER else -1.0,
        steps=float(run.totals[STEPS]), told=told, all_rows=every, all_starts=run.starts, carried=run.through_pipes,
    )  # fmt: skip


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
    given: dict[str, Any] = {
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
        given |= {
            "basin": nodes - 1, "off": 0.05 * area, "on": rng.uniform(0.1, 0.4) * area, "second": 0.6 * area,
            "pump_levels": np.array([bottoms[-1], bottoms[-1] + 3.0]),
            "pump_flows": np.array([[flow, 1.3 * flow], [1.7 * flow, 2.1 * flow]]),
            "line": float(rng.choice([0.0, 0.02])) * area, "cut_from": 1200.0, "cut_to": 1800.0,
            "battery": float(rng.choice([0.0, 100.0])),
        }  # fmt: skip
    return given
