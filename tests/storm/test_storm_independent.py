"""The stepper against another solver and another writing of the physics: scipy's Runge-Kutta with float events."""

from __future__ import annotations

from math import acos, pi, sin, sqrt
from typing import Any

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from stepper import shafts, step

from drainwright.hydraulics.openflow import full_flow

DIAMETER, ROUGHNESS, LENGTH = 0.1, 0.010, 15.0
Z_BODY, Z_BASIN, FLOOR = 9.50, 9.20, 8.20
POND, BODY, BASIN = 4.0, 0.3, 0.4  # plan areas [m²]
RIM = 9.95
OFF, ON = 8.5, 8.8
END = 4800.0  # [s]
SEEP, DRAIN, FAR = 1e-4, 9.25, 9.6


def manning(depth: float, slope: float) -> float:
    """Q = A R^(2/3) S^(1/2) / n by the central angle, never more than full."""
    if depth <= 0.0:
        return 0.0

    def at(angle: float) -> float:
        area = DIAMETER**2 / 8.0 * (angle - sin(angle))
        return area * (area / (DIAMETER * angle / 2.0)) ** (2.0 / 3.0) * sqrt(slope) / ROUGHNESS

    full = at(2.0 * pi)
    if depth >= DIAMETER:
        return full
    angle = 2.0 * acos(1.0 - 2.0 * depth / DIAMETER)
    return full if angle > 4.5 else min(at(angle), full)  # 4.5 rad is 0.81 full, where the flow first passes full


def through_pipe(body: float, basin: float) -> float:
    depth = min(body - Z_BODY, DIAMETER)
    far = max(basin, Z_BASIN + min(depth, (body - Z_BASIN) * 2.0 / 3.0))
    return manning(depth, max(body - far, 0.0) / LENGTH) if body > far else 0.0


def through_grate(pond: float, body: float) -> float:
    head = pond - max(body, RIM)
    return min(0.8 * head**1.5, 0.05 * sqrt(head)) if head > 0.0 else 0.0


def lift(level: float) -> float:
    return 0.0030 + 0.0004 * (level - 8.2)


def rain(time: float) -> float:
    """Inflow to the pond, even within each minute."""
    minute = float(np.floor(time / 60.0)) * 60.0
    return 0.0003 + 0.0040 * float(np.exp(-(((minute - 1500.0) / 500.0) ** 2)))


def reference(end: float) -> dict[str, Any]:
    """Levels of pond, body and basin, and the pumped volume, by an adaptive Runge-Kutta of fifth order.

    The level of the pond is measured from the rim, and every store is kept a little wet at the start.
    """

    def slopes(time: float, state: Any, running: bool) -> list[float]:
        pond, body, basin, _, _ = state
        grate, pipe = through_grate(pond, body), through_pipe(body, basin)
        ground = SEEP * min(1.0, max(0.0, (FAR - max(basin, DRAIN)) / (FAR - DRAIN)))
        pump = lift(basin) if running else 0.0
        return [(rain(time) - grate) / POND, (grate - pipe) / BODY, (pipe + ground - pump) / BASIN, pump, ground]

    def reaches_off(_: float, state: Any, running: bool) -> float:
        return float(state[2] - OFF) if running else 1.0

    def reaches_on(_: float, state: Any, running: bool) -> float:
        return 1.0 if running else float(state[2] - ON)

    for event in (reaches_off, reaches_on):
        event.terminal = True  # type: ignore[attr-defined]
    time, state, running, starts = 0.0, [RIM + 0.01, 9.55, OFF + 0.05, 0.0, 0.0], False, 0
    peaks = np.array(state[:3])
    while time < end:
        minute = min(end, (np.floor(time / 60.0 + 1e-9) + 1.0) * 60.0)
        part = solve_ivp(
            slopes, (time, minute - 1e-9), state, args=(running,), rtol=1e-8, atol=1e-10, max_step=5.0,
            events=(reaches_off, reaches_on),
        )  # fmt: skip
        assert part.success
        peaks = np.maximum(peaks, part.y[:3].max(axis=1))
        state = part.y[:, -1].tolist()
        time = minute if part.status == 0 else float(part.t[-1])
        if part.status == 1:
            running = not running
            starts += running
            state[2] = ON if running else OFF
    return {"peaks": peaks, "state": state, "starts": starts, "pumped": state[3], "ground": state[4]}


@pytest.fixture(scope="module")
def other() -> dict[str, Any]:
    return reference(END)


@pytest.mark.parametrize(("tolerance", "millimetres", "share"), [(0.001, 2.0, 1e-3), (0.0002, 0.3, 1e-4)])
def test_two_solvers_agree(other: dict[str, Any], tolerance: float, millimetres: float, share: float) -> None:
    """At a tolerance of 1 mm in each step and at a fifth of it: the difference goes away with it.

    As many starts; groundwater within 0.1 %.
    """  # fmt: skip
    stage, stored = shafts([POND, BODY, BASIN], [RIM, Z_BODY, FLOOR])
    edges = np.arange(0.0, END + 1.0, 60.0)
    inflow = np.zeros((len(edges) - 1, 3))
    inflow[:, 0] = [rain(time) for time in edges[:-1]]
    own = step(
        stage=stage, stored=stored, start=[0.01 * POND, 0.05 * BODY, (OFF + 0.05 - FLOOR) * BASIN],
        rim=[1e3, RIM, 1e3], upper=[1], lower=[2], z_upper=[Z_BODY], z_lower=[Z_BASIN], diameter=[DIAMETER],
        conveyance=[float(full_flow(DIAMETER, 1.0, ROUGHNESS))], length=[LENGTH], pond=[0], body=[1], weir=[0.8],
        orifice=[0.05], seep_node=[2], seep_flow=[SEEP], seep_drain=[DRAIN], seep_far=[FAR], edges=edges, inflow=inflow,
        basin=2, off=(OFF - FLOOR) * BASIN, on=(ON - FLOOR) * BASIN, pump_levels=[8.2, 12.2],
        pump_flows=[[lift(8.2), lift(12.2)]] * 2, tolerance=tolerance,
    )  # fmt: skip
    assert other["peaks"][2] > Z_BASIN + DIAMETER  # the pipe's end was wholly under water: all regimes were met
    assert other["starts"] > 3
    assert own.highest == pytest.approx(other["peaks"], abs=millimetres / 1000.0)
    assert own.pumped == pytest.approx(other["pumped"], rel=share)
    assert len(own.starts) == other["starts"]
    assert own.volume_in - np.sum(inflow) * 60.0 == pytest.approx(other["ground"], rel=0.001)
