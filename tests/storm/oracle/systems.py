"""Five systems of growing size, all invented, for the stepper and the second writing to agree on.

What would chatter at empty is kept wet by a base flow: the second writing's solver cannot pass a node that runs dry.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from plants import even, forcing, plant, resting

from drainwright.hydraulics.openflow import full_flow
from drainwright.storm.engine.plant import FREE, NEVER, Floats, Forcing, Plant, State

ROUGH = 0.010


@dataclass
class Case:
    name: str
    plant: Plant
    forcing: Forcing
    state: State


def shaped(bottoms: list[float], areas: list[float], rooms: list[tuple[float, float, float]]) -> tuple[Floats, Floats]:
    """Shafts, each with a room of more area between two levels: (from, to, area), as pipes and stone give."""
    stage = np.array([[low, a, b, b + 1.0, b + 20.0] for low, (a, b, _) in zip(bottoms, rooms, strict=True)])
    width = np.array(areas)[:, None] + np.array([[0.0, area, 0.0, 0.0] for _, _, area in rooms])
    return stage, np.concatenate([np.zeros((len(bottoms), 1)), np.cumsum(np.diff(stage) * width, axis=1)], axis=1)


def conveyance(sizes: list[float]) -> list[float]:
    return [float(full_flow(size, 1.0, ROUGH)) for size in sizes]


def burst(minutes: int, peak_at: float, width: float, step: float = 60.0) -> tuple[Floats, Floats]:
    """Edges, and a bell of height one, even within each step."""
    edges = np.arange(minutes + 1) * step
    return edges, np.exp(-(((edges[:-1] + 0.5 * step - peak_at) / width) ** 2))


def one_basin() -> Case:
    """A basin, its pump with a falling curve, a second float, a line that runs back."""
    stage, stored = shaped([8.0], [0.25], [(8.2, 9.2, 0.05)])
    edges, bell = burst(90, 2400.0, 900.0)
    rows = 3.0e-3 + 2.0e-4 * np.linspace(0.0, 2.0, 9)
    made = plant(
        stage, stored,
        stations={"node": [0], "off": [0.06], "on": [0.16], "second": [0.24], "low": [8.0], "high": [10.0],
                  "flow": np.array([[[rows, 1.5 * rows, 0.7 * rows]]]), "line": [0.012]},
        watches={"node": [0, 0], "level": [8.75, 8.98]},
    )  # fmt: skip
    return Case("one basin with its pump", made, forcing(edges, (6e-4 + 4.6e-3 * bell)[:, None]), resting(made, [0.07]))


def tree() -> Case:
    """Six places on a tree of pipes that run part full to a free outfall."""
    bottoms = [10.0, 9.9, 9.75, 9.9, 9.6, 9.3]
    stage, stored = shaped(bottoms, [0.05, 0.05, 0.08, 0.05, 0.1, 0.2], [(b + 0.02, b + 0.12, 0.6) for b in bottoms])
    sizes = [0.1, 0.1, 0.1, 0.1, 0.15, 0.15]
    lower = [2, 2, 4, 4, 5, -1]
    z_lower = [9.77, 9.77, 9.62, 9.62, 9.32, 9.1]
    made = plant(
        stage, stored,
        pipes={"upper": range(6), "lower": lower, "z_upper": bottoms, "z_lower": z_lower, "diameter": sizes,
               "conveyance": conveyance(sizes), "length": [15.0, 12.0, 14.0, 18.0, 20.0, 12.0]},
        watches={"node": [4, 5], "level": [9.66, 9.37]},
    )  # fmt: skip
    edges, bell = burst(60, 1200.0, 500.0)
    base = np.array([1.0, 1.0, 0.5, 1.0, 0.5, 0.5]) * 3e-4
    inflow = base + bell[:, None] * np.array([1.0, 0.8, 0.3, 1.2, 0.6, 0.4]) * 2.5e-3
    start = [0.5 * v for v in stored[:, 1]]
    return Case("tree of part-full pipes", made, forcing(edges, inflow), resting(made, start))


def surcharged() -> Case:
    """Eight places, pipes drowned by a tailwater and by each other, and a ring in which the flow turns about."""
    bottoms = [10.0, 9.95, 9.9, 9.85, 9.8, 9.75, 9.7, 9.6]
    stage, stored = shaped(
        bottoms, [0.3, 0.2, 0.4, 0.2, 0.5, 0.2, 0.3, 0.6], [(b + 0.02, b + 0.15, 0.8) for b in bottoms]
    )
    upper, lower = [0, 1, 2, 3, 4, 5, 6, 7, 0], [1, 2, 3, 4, 5, 6, 7, -1, 4]
    sizes = [0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.075]
    made = plant(
        stage, stored,
        pipes={"upper": upper, "lower": lower, "z_upper": [bottoms[i] for i in upper],
               "z_lower": [*bottoms[1:], 9.5, 9.95], "diameter": sizes, "conveyance": conveyance(sizes),
               "length": [12.0, 10.0, 14.0, 9.0, 16.0, 11.0, 13.0, 8.0, 30.0], "outfall": [*[FREE] * 7, 10.1, FREE]},
        watches={"node": [0, 4], "level": [10.6, 10.4]},
    )  # fmt: skip
    edges, bell = burst(90, 1500.0, 400.0)
    late = np.exp(-(((edges[:-1] - 3300.0) / 300.0) ** 2))
    inflow = np.full((90, 8), 5e-5)
    inflow[:, 0] += 6e-3 * bell
    inflow[:, 2] += 3e-3 * bell
    inflow[:, 5] += 9e-3 * late  # from below: turns the flow of the pipes above it
    start = [float(np.interp(10.1, a, b)) for a, b in zip(stage, stored, strict=True)]
    return Case("drowned pipes, flow both ways, tailwater", made, forcing(edges, inflow), resting(made, start))


def ponds() -> Case:
    """Four ponds over clogged grates that run on from one to the next over the ground, pipes and a pumped basin."""
    bodies = [9.4, 9.3, 9.2, 9.1, 8.2]
    rims = [10.0, 9.9, 9.8, 9.7]
    body = shaped(bodies, [0.16, 0.16, 0.16, 0.16, 0.5], [(b + 0.02, b + 0.3, 0.3) for b in bodies])
    slopes = np.linspace(0.0, 0.3, 5)
    pond_stage = np.array(rims)[:, None] + slopes
    pond_stored = np.array([2.0, 3.0, 4.0, 5.0])[:, None] * (slopes + 30.0 * slopes**2)
    stage, stored = np.vstack([body[0], pond_stage]), np.vstack([body[1], pond_stored])
    sizes = [0.1, 0.1, 0.1, 0.15]
    open_share = np.array([0.5, 0.2, 0.6, 0.4])
    made = plant(
        stage, stored,
        pipes={"upper": [0, 1, 2, 3], "lower": [1, 2, 3, 4], "z_upper": bodies[:4], "z_lower": [9.32, 9.22, 9.12, 8.9],
               "diameter": sizes, "conveyance": conveyance(sizes), "length": [14.0, 12.0, 13.0, 9.0]},
        grates={"pond": [5, 6, 7, 8], "body": [0, 1, 2, 3], "rim": rims, "weir": 1.2 * open_share,
                "orifice": 0.09 * open_share},
        overland={"source": [5, 6, 7, 8, 4], "target": [6, 7, 8, -1, -1], "crest": [10.08, 9.98, 9.88, 9.80, 9.75],
                  "width": [2.0, 2.0, 3.0, 3.0, 1.5]},
        stations={"node": [4], "off": [0.2], "on": [0.4], "second": [0.6], "low": [8.2], "high": [10.2],
                  "flow": even(0.004), "line": [0.02]},
        watches={"node": [6, 4], "level": [9.96, 9.5]},
    )  # fmt: skip
    edges, bell = burst(75, 1800.0, 450.0)
    inflow = np.zeros((75, 9))
    inflow[:, :4] = 4e-5
    inflow[:, 5:] = 3e-5 + bell[:, None] * np.array([0.012, 0.016, 0.010, 0.008])
    start = [*(float(np.interp(b + 0.03, stage[i], stored[i])) for i, b in enumerate(bodies[:4])), 0.25,
             *(float(np.interp(r + 0.01, stage[5 + i], stored[5 + i])) for i, r in enumerate(rims))]  # fmt: skip
    return Case("ponds, clogged grates, carry-over", made, forcing(edges, inflow), resting(made, start))


def two_stations() -> Case:
    """Two stations in series, ground on both sides of a drain, a soakaway, a power cut with a battery on one pump."""
    # 0 drain, 1 house basin, 2 yard basin, 3 soakaway, 4 ground at the wall, 5 ground in the yard
    stage, stored = shaped(
        [9.0, 8.2, 8.0, 9.0, 8.5, 8.5], [0.05, 0.3, 0.4, 2.0, 6.0, 20.0],
        [(9.02, 9.3, 1.0), (8.4, 9.2, 0.1), (8.3, 9.3, 0.1), (9.5, 10.0, 0.5), (9.0, 11.0, 0.0), (9.0, 11.0, 0.0)],
    )  # fmt: skip
    one = np.linspace(0.0026, 0.0031, 5)
    made = plant(
        stage, stored,
        pipes={"upper": [0], "lower": [1], "z_upper": [9.0], "z_lower": [8.9], "diameter": [0.1],
               "conveyance": conveyance([0.1]), "length": [10.0]},
        overland={"source": [3, 2], "target": [-1, -1], "crest": [10.2, 10.0], "width": [1.0, 1.5]},
        ground={"a": [4, 5, 5], "b": [0, 4, -1], "far": [0.0, 0.0, 9.9], "conductance": [2e-3, 8e-4, 3e-4],
                "floor_a": [9.0, FREE, FREE], "floor_b": [9.0, FREE, FREE]},
        outlets={"node": [3], "low": [9.0], "high": [10.2], "flow": [1.2e-3 * np.linspace(0.0, 1.0, 13) ** 1.5]},
        stations={"node": [1, 2], "off": [0.08, 0.1], "on": [0.2, 0.3], "second": [NEVER, 0.5], "low": [8.2, 8.0],
                  "high": [10.2, 10.0],
                  "flow": np.array([[[one, one, 0.6 * one]] * 3, [[1.1 * one, 1.8 * one, 0.5 * one]] * 3]),
                  "shared": [[0, 1], [1, 0]], "to": [2, 3], "battery": [420.0, 0.0]},
        watches={"node": [0, 1, 4], "level": [9.1, 8.9, 9.55]},
    )  # fmt: skip
    # What the other pump takes away where both run in the same main
    made.stations.flow[0, 1:] *= 0.9
    made.stations.flow[1, 1:] *= 0.85
    edges, bell = burst(120, 2700.0, 900.0)
    inflow = np.zeros((120, 6))
    inflow[:, 0] = 1e-4
    inflow[:, 2] = 3e-4 + 1.5e-3 * bell
    inflow[:, 4] = 1.2e-3 * bell
    shift = 0.3 * np.minimum(edges[:-1] / 5000.0, 1.0)
    outside = forcing(edges, inflow, shift=shift, cuts=[[2130.0, 3900.0]])
    start = [0.03, 0.1, 0.15, 0.2, 6.0 * 0.8, 20.0 * 1.3]
    return Case("two stations, ground, soakaway, power cut", made, outside, resting(made, start))


ALL = (one_basin, tree, surcharged, ponds, two_stations)
