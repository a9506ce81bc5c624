"""V. T. Chow, Open-Channel Hydraulics (1959), Example 10-1. From memory."""

from __future__ import annotations

import numpy as np
import pytest

from drainwright.hydraulics.conduit import OpenChannel, critical
from drainwright.hydraulics.profile import Trapezoid, direct_step, friction_slope
from drainwright.hydraulics.water_surface import water_surface

FOOT = 0.3048
CANAL = Trapezoid(width=20 * FOOT, side_slope=2.0)
FLOW = 400 * FOOT**3


def test_backwater_length() -> None:
    """Example 10-1: b 20 ft, z 2, S 0.0016, n 0.025, Q 400 cfs, α 1.10, 5.00 to 3.40 ft: about 2,370 ft."""
    depths = np.linspace(5.0, 3.4, 801) * FOOT
    length = direct_step(CANAL, FLOW, 0.0016, 0.025, depths, 1.10)[-1] / FOOT
    assert length == pytest.approx(2370, rel=0.01)


def test_normal_depth_of_the_example() -> None:
    """Example 10-1: normal depth 3.36 ft."""
    assert friction_slope(CANAL, 3.36 * FOOT, FLOW, 0.025) == pytest.approx(0.0016, rel=0.006)


def test_backwater_walked_up_from_the_dam() -> None:
    """Example 10-1 by standard steps, in the solver of the pipes: at 2,370 ft 3.40 ft; critical depth 2.22 ft.

    The solver has α = 1 where the example has 1.10: some 0.2 % of the depth.
    """
    places = np.linspace(0.0, 2370.0, 400) * FOOT
    section = OpenChannel(width=20 * FOOT, side_slope=2.0)
    found = water_surface(
        section, places.tolist(), (0.0016 * (places[-1] - places)).tolist(), [FLOW] * 400, 0.025, 5.0 * FOOT
    )
    assert found.depths[0] / FOOT == pytest.approx(3.40, rel=0.005)
    assert critical(section, FLOW) / FOOT == pytest.approx(2.22, rel=0.035)  # 2.22 holds α 1.10: 2.15 without
