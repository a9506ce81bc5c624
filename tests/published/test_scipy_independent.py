"""Other ways to the same answer, with scipy 1.x: integration in place of steps, search in place of a root."""

from __future__ import annotations

from itertools import pairwise
from math import pi

import numpy as np
import pytest
from fluids.friction import Colebrook
from scipy.integrate import solve_ivp
from scipy.optimize import minimize_scalar

from drainwright.hydraulics.geometry import segment_area, top_width, wetted_perimeter
from drainwright.hydraulics.openflow import critical_depth, normal_depth
from drainwright.hydraulics.pressure import VISCOSITY_10C
from drainwright.hydraulics.profile import pipe_profile
from drainwright.hydraulics.pump import PressurePipe, PumpCurve, SystemCurve, operating_point
from drainwright.hydraulics.wetwell import basin_volume, cycle_time, drawdown_time

G = 9.80665


def surface_slope(depth: float, flow: float, diameter: float, slope: float, roughness: float) -> float:
    """dy/dx upstream of gradually varied flow in a circular pipe."""
    area = float(segment_area(depth, diameter))
    radius = area / float(wetted_perimeter(depth, diameter))
    friction = (flow * roughness / (area * radius ** (2 / 3))) ** 2
    froude_squared = flow**2 * float(top_width(depth, diameter)) / (G * area**3)
    return float(-(slope - friction) / (1.0 - froude_squared))


@pytest.mark.parametrize(
    ("flow", "diameter", "slope", "roughness", "tailwater", "length"),
    [
        (0.004, 0.15, 0.002, 0.011, 0.135, 40.0),  # backwater, M1
        (0.004, 0.15, 0.002, 0.011, 0.068, 40.0),  # draw-down, M2
        (0.0015, 0.1, 0.001, 0.009, 0.06, 30.0),
        (0.003, 0.15, 0.0, 0.012, 0.07, 20.0),  # level pipe
    ],
)
def test_water_surface_by_integration(
    flow: float, diameter: float, slope: float, roughness: float, tailwater: float, length: float
) -> None:
    """Gradually varied flow, dy/dx = (S0 − Sf)/(1 − Fr²), by scipy solve_ivp (Radau), against the standard step."""
    profile = pipe_profile(flow, diameter, length, 0.0, slope, roughness, tailwater, steps=400)
    answer = solve_ivp(
        lambda _x, y: [surface_slope(float(y[0]), flow, diameter, slope, roughness)],
        (0.0, length),
        [tailwater],
        method="Radau",
        t_eval=profile.stations,
        rtol=1e-8,
        atol=1e-11,
    )
    assert answer.success
    assert profile.depths == pytest.approx(answer.y[0], abs=2e-5)


@pytest.mark.parametrize("static", [2.0, 4.5, 6.5])
def test_operating_point_on_a_dense_grid(static: float) -> None:
    """Pump and line tabled at 400,001 flows; friction factor by fluids' Colebrook; the nearest crossing."""
    pump = PumpCurve(flows=(0.0, 0.001, 0.002, 0.003, 0.004), heads=(8.0, 7.4, 6.2, 4.3, 1.5))
    length, diameter, wall, k = 25.0, 0.0525, 1.5e-6, 7.2
    pipe = PressurePipe(length=length, diameter=diameter, roughness=wall, loss_coefficient=k, method="darcy_weisbach")
    point = operating_point(pump, SystemCurve(static_head=static, pipes=(pipe,)))

    coarse = np.linspace(1e-4, 0.004, 200)
    speed = 4 * coarse / (pi * diameter**2)
    numbers = speed * diameter / VISCOSITY_10C
    factor = np.array([Colebrook(float(re), wall / diameter) if re > 2300 else 64 / re for re in numbers])
    asked = static + (factor * length / diameter + k) * speed**2 / (2 * G)
    grid = np.linspace(1e-4, 0.004, 400_001)
    gap = np.abs(np.interp(grid, coarse, asked) - np.asarray(pump.head(grid)))
    best = grid[np.argmin(gap)]
    assert point.flow == pytest.approx(best, rel=5e-4)
    assert point.head == pytest.approx(float(np.interp(best, coarse, asked)), abs=2e-3)


@pytest.mark.parametrize("flow", [0.0005, 0.004, 0.012])
def test_critical_depth_by_least_energy(flow: float) -> None:
    """The depth of least y + Q²/2gA², by scipy minimize_scalar."""
    answer = minimize_scalar(
        lambda y: y + (flow / float(segment_area(y, 0.2))) ** 2 / (2 * G),
        bounds=(0.005, 0.1999),
        method="bounded",
        options={"xatol": 1e-9},
    )
    assert critical_depth(flow, 0.2) == pytest.approx(answer.x, abs=1e-6)


@pytest.mark.parametrize("flow", [0.001, 0.003, 0.006])
def test_normal_depth_by_settling(flow: float) -> None:
    """A very long draw-down integrated upstream settles at normal depth."""
    answer = solve_ivp(
        lambda _x, y: [surface_slope(float(y[0]), flow, 0.15, 0.002, 0.011)],
        (0.0, 2000.0),
        [float(critical_depth(flow, 0.15)) * 1.02],
        method="Radau",
        rtol=1e-9,
        atol=1e-12,
    )
    assert answer.y[0, -1] == pytest.approx(normal_depth(flow, 0.15, 0.002, 0.011), rel=1e-5)


def test_basin_cycle_by_integration() -> None:
    """Float basin stepped through fill and pump-down by solve_ivp with level events, against t = V/D [...]."""
    area = float(basin_volume(0.6, 1.0))
    pump, inflow, band = 0.0025, 0.0011, 0.35

    def run(outflow: float, start: float, stop: float) -> float:
        def reached(_t: float, y: np.ndarray) -> float:
            return float(y[0] - stop)

        reached.terminal = True  # type: ignore[attr-defined]
        answer = solve_ivp(lambda _t, _y: [(inflow - outflow) / area], (0.0, 1e5), [start], events=reached, rtol=1e-10)
        assert answer.t_events is not None
        return float(answer.t_events[0][0])

    filling, pumping = run(0.0, 0.0, band), run(pump, band, 0.0)
    assert drawdown_time(area * band, pump, inflow) == pytest.approx(pumping, rel=1e-6)
    assert cycle_time(area * band, pump, inflow) == pytest.approx(filling + pumping, rel=1e-6)


def test_drawdown_with_a_falling_pump_curve() -> None:
    """Pump-down with the flow following the level: solve_ivp against the sum of thin slices at the operating point."""
    pump = PumpCurve(flows=(0.0, 0.002, 0.004), heads=(8.0, 6.2, 1.5))
    pipe = PressurePipe(length=20.0, diameter=0.0525, roughness=150.0, loss_coefficient=6.0)
    area = float(basin_volume(0.75, 1.0))

    def flow(level: float) -> float:
        return operating_point(pump, SystemCurve(static_head=3.0 - level, pipes=(pipe,))).flow

    def low(_t: float, y: np.ndarray) -> float:
        return float(y[0] - 0.2)

    low.terminal = True  # type: ignore[attr-defined]
    answer = solve_ivp(lambda _t, y: [-flow(float(y[0])) / area], (0.0, 1e4), [0.9], events=low, rtol=1e-8)
    assert answer.t_events is not None
    edges = np.linspace(0.9, 0.2, 71)
    slices = sum(float(drawdown_time(area * (a - b), flow(0.5 * (a + b)))) for a, b in pairwise(edges))
    assert slices == pytest.approx(float(answer.t_events[0][0]), rel=1e-5)
