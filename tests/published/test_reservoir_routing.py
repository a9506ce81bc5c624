"""Stores with an outlet, filled and emptied by the stepper, against worked examples."""

from __future__ import annotations

from itertools import pairwise
from math import pi, sqrt

import numpy as np
import pytest

from drainwright.storm.engine.plant import OUT, Outlets, Stores
from drainwright.storm.engine.ready import forcing_of, plant_of, state_of
from drainwright.storm.engine.stepper import step

HOUR = 3600.0
NODE = np.zeros(1, np.int64)

# San Diego State University, online calculators, "onlinerouting01: linear reservoir routing" and "onlinerouting02:
# storage-indication reservoir routing (linear)", sample output: S = K O, K = 2 h, steps of 1 h; units of flow as given.
# SEEN http://onlinecalc.sdsu.edu/onlinerouting02example.html and onlinerouting01example.html.
INFLOW = (100, 150, 250, 400, 800, 1000, 900, 700, 550, 400, 300, 250, 200, 150, 120, 100)
OUTFLOW = (
    100, 110, 146, 217.6, 370.56, 582.336, 729.402, 757.641, 704.585, 612.751, 507.65, 414.59, 338.754, 273.252,
    217.951, 174.771,
)  # fmt: skip
K = 2.0 * HOUR


def routed(parts: int) -> tuple[np.ndarray, np.ndarray]:
    """Times [h] and outflows of the example, its inflow by straight lines cut into so many even parts an hour."""
    top = 20.0 * HOUR * 1000.0
    outlet = Outlets(NODE, np.zeros(1), np.ones(1), np.array([[0.0, top / K]]))
    plant = plant_of(Stores(np.array([[0.0, 1.0]]), np.array([[0.0, top]])), outlets=outlet)
    edges = np.arange(15 * parts + 1) / parts
    middles = 0.5 * (edges[1:] + edges[:-1])
    inflow = np.interp(middles, np.arange(16.0), INFLOW)[:, None]
    run = step(plant, forcing_of(edges * HOUR, NODE, inflow), state_of(plant, np.array([100.0 * K])), 1e-6, True, False)
    return run.trace[:, 0] / HOUR, run.trace[:, 1] * top / K


def test_storage_indication_example() -> None:
    """Outflows at each hour within 1.5 % of the greatest, the peak within 1 %, in the same hour.

    The example takes the mean of the outflows at both ends of each hour, half of the reservoir's time; the stepper
    follows the lines. The difference is that of the example's step: with shorter ones its own rule comes to the
    stepper (below).
    """
    times, flows = routed(60)
    found = np.interp(np.arange(16.0), times, flows)
    assert found == pytest.approx(OUTFLOW, abs=0.015 * max(OUTFLOW))
    assert flows.max() == pytest.approx(max(OUTFLOW), rel=0.01)
    assert times[np.argmax(flows)] == pytest.approx(OUTFLOW.index(max(OUTFLOW)), abs=0.5)
    assert max(found) * K == pytest.approx(max(OUTFLOW) * K, rel=0.01)  # storage


def by_rule(parts: int) -> np.ndarray:
    """Outflows at the hours by the example's rule, (2S/dt + O) from hand to hand, with steps of an hour's part."""
    inflow = np.interp(np.arange(15 * parts + 1) / parts, np.arange(16.0), INFLOW)
    dt, out = HOUR / parts, [100.0]
    for one, two in pairwise(inflow):
        out.append((one + two + (2.0 * K / dt - 1.0) * out[-1]) / (2.0 * K / dt + 1.0))
    return np.array(out)[::parts]


def test_the_examples_rule_comes_to_the_stepper_with_shorter_steps() -> None:
    """With its own step the rule gives the printed figures to their last digit; with a tenth of it, the stepper's."""
    assert by_rule(1) == pytest.approx(OUTFLOW, abs=0.001)
    times, flows = routed(240)
    exact = np.interp(np.arange(16.0), times, flows)
    far, near = (float(np.max(np.abs(by_rule(parts) - exact))) for parts in (1, 10))
    assert near < 0.03 * far
    assert near < 0.15


def test_a_round_tank_empties_through_its_orifice() -> None:
    """Chapra and Canale, Numerical Methods for Engineers, 6th ed., problem 25.20: a sphere of 3 m, filled to 2.75 m,
    Q = C A sqrt(2 g H), C = 0.55, orifice of 3 cm. SEEN (the problem) http://www.we-jia.com/en-us/textbooks/math/
    introductory-differential-equations-6-edition/chapter-25/; its answer by integrating (D H - H^2) / sqrt(H).
    """
    diameter, filled, g = 3.0, 2.75, 9.81
    outlet = 0.55 * pi * 0.03**2 / 4.0 * sqrt(2.0 * g)
    depth = np.linspace(0.0, 2.9, 1001)
    held = pi * (diameter * depth**2 / 2.0 - depth**3 / 3.0)
    flow = outlet * np.sqrt(np.linspace(0.0, 2.9, 20001))
    plant = plant_of(Stores(depth[None], held[None]), outlets=Outlets(NODE, np.zeros(1), np.array([2.9]), flow[None]))
    full = pi * (diameter * filled**2 / 2.0 - filled**3 / 3.0)

    def time_down_to(level: float) -> float:
        def upward(h: float) -> float:
            return pi * (2.0 / 3.0 * diameter * h**1.5 - 0.4 * h**2.5)

        return (upward(filled) - upward(level)) / outlet

    edges = np.array([0.0, 9000.0])
    run = step(plant, forcing_of(edges, NODE, np.zeros((1, 1))), state_of(plant, np.array([full])), 1e-5, True, False)
    for level in (2.0, 1.0, 0.5, 0.1):
        when = float(np.interp(-level, -run.trace[:, 1], run.trace[:, 0]))
        assert when == pytest.approx(time_down_to(level), rel=2e-3), level
    assert run.totals[OUT] == pytest.approx(full, rel=1e-3)
