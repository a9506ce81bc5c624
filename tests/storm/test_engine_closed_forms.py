"""The stepper against closed forms, and the order at which it comes nearer to them."""

from __future__ import annotations

from math import exp, log, sqrt

import numpy as np
import pytest
from plants import even, forcing, plant, resting, shafts

from drainwright.storm.engine.stepper import step

AREA, K, LENGTH = 0.5, 0.05, 20.0


def drained(time: float, tolerance: float) -> float:
    """Level of a shaft over the tailwater that it drains to through a full pipe, from 1 m."""
    stage, stored = shafts([AREA], [8.0])
    made = plant(
        stage, stored,
        pipes={"upper": [0], "lower": [-1], "z_upper": [8.0], "z_lower": [7.9], "conveyance": [K], "length": [LENGTH],
               "outfall": [9.0]},
    )  # fmt: skip
    run = step(made, forcing([0.0, time]), resting(made, [2.0 * AREA]), tolerance, False, False)
    return 8.0 + float(run.state.volume[0]) / AREA - 9.0


def test_a_basin_drains_by_the_square_root_in_torricellis_time() -> None:
    """A dh/dt = -K sqrt(h/L): sqrt(h) falls evenly, to nothing at 2 A sqrt(L h0) / K."""
    empty = 2.0 * AREA * sqrt(LENGTH) / K
    for share in (0.25, 0.5, 0.75, 0.9):
        assert drained(share * empty, 1e-5) == pytest.approx((1.0 - share) ** 2, abs=1e-4)
    assert -1e-6 <= drained(1.3 * empty, 1e-5) < 2e-3  # the last millimetre is linear, by its law


def test_error_falls_as_the_two_thirds_power_of_the_tolerance() -> None:
    """Second order: the error of a step goes as h³ and that of the run as h², so as tolerance^(2/3)."""
    tolerances = np.array([1e-4, 1e-5, 1e-6, 1e-7])
    errors = [
        abs(drained(50.0, tolerance) - (1.0 - 50.0 * K / (2.0 * AREA * sqrt(LENGTH))) ** 2) for tolerance in tolerances
    ]
    slope = np.polyfit(np.log(tolerances), np.log(errors), 1)[0]
    assert 0.5 < slope < 1.1, (errors, slope)


@pytest.mark.parametrize("share", [0.1, 0.25, 0.5, 0.75])
def test_a_pump_cycles_as_the_manuals_say(share: float) -> None:
    """T = V/q + V/(D - q), least at q = D/2, where V = T D / 4; sources in ``test_stepper``, SEEN there."""
    volume, pump = 0.1, 0.0025
    stage, stored = shafts([0.25], [0.0])
    made = plant(stage, stored, stations={"node": [0], "off": [0.02], "on": [0.12], "flow": even(pump)})
    run = step(made, forcing([0.0, 14400.0], [[share * pump]]), resting(made, [0.02]), 1e-4, False, False)
    cycle = volume / (share * pump) + volume / (pump - share * pump)
    assert np.diff(run.starts[:, 0]) == pytest.approx(cycle, rel=5e-5)  # floats are met to a hundred-thousandth
    if share == 0.5:
        assert np.diff(run.starts[:, 0]) * pump / 4.0 == pytest.approx(volume, rel=5e-5)


def test_one_and_two_linear_reservoirs() -> None:
    """Ground cells that drain to one another: exp(-t/k), and k's alike in a cascade: t/k exp(-t/k)."""
    conductance, area = 1e-3, 2.0
    k = area / conductance
    stage, stored = shafts([area, area], [0.0, 0.0])
    made = plant(
        stage, stored,
        outlets={"node": [1], "low": [0.0], "high": [10.0], "flow": [[0.0, 10.0 * conductance]]},
        ground={"a": [0], "b": [-1], "far": [0.0], "conductance": [conductance]},
    )  # fmt: skip
    run = step(made, forcing([0.0, 1500.0]), resting(made, [2.0, 2.0]), 1e-6, False, False)
    assert run.state.volume == pytest.approx(2.0 * exp(-1500.0 / k), rel=1e-4)
    assert run.seeped[0] == pytest.approx(run.soaked[0], rel=1e-3)
    # A cascade: the first store's flow by its level alone (a soaking table) cannot enter a store, a pump's can.
    made = plant(
        stage, stored,
        outlets={"node": [1], "low": [0.0], "high": [10.0], "flow": [[0.0, 10.0 * conductance]]},
        stations={"node": [0], "off": [1e-9], "on": [2e-9], "low": [0.0], "high": [10.0], "to": [1],
                  "flow": [[[[0.0, 10.0 * conductance]] * 3]]},
    )  # fmt: skip
    for time in (1000.0, k, 4000.0):
        run = step(made, forcing([0.0, time]), resting(made, [2.0, 0.0]), 1e-6, False, False)
        assert run.state.volume[1] == pytest.approx(2.0 * time / k * exp(-time / k), rel=1e-3)


def test_ground_fills_exponentially_to_the_level_beyond() -> None:
    stage, stored = shafts([4.0], [8.0])
    made = plant(stage, stored, ground={"a": [0], "b": [-1], "far": [9.0], "conductance": [1e-3]})
    outside = forcing([0.0, 1800.0, 3600.0], shift=[0.0, 0.5])
    run = step(made, outside, resting(made, [0.0]), 1e-6, False, False)
    first = 1.0 - exp(-1800.0e-3 / 4.0)
    then = 1.5 - (1.5 - first) * exp(-1800.0e-3 / 4.0)
    assert run.highest[0] - 8.0 == pytest.approx(then, abs=5e-5)  # some tens of steps of 1e-6 add up
    assert run.totals[2] == pytest.approx(run.state.volume[0], rel=1e-12)


def test_constant_conductance_gives_the_order_of_the_step() -> None:
    """Against the tolerance on a linear reservoir the error falls by some 2/3 of its orders, never worse."""
    stage, stored = shafts([2.0], [0.0])
    made = plant(stage, stored, ground={"a": [0], "b": [-1], "far": [0.0], "conductance": [2e-3]})
    errors, steps = [], []
    for tolerance in (1e-4, 1e-6, 1e-8):
        run = step(made, forcing([0.0, 1000.0]), resting(made, [2.0]), tolerance, False, False)
        errors.append(abs(float(run.state.volume[0]) - 2.0 * exp(-1.0)))
        steps.append(float(run.totals[4]))
    order = log(errors[1] / errors[2]) / log(steps[2] / steps[1])
    assert 1.7 < order < 3.3, (errors, steps, order)
