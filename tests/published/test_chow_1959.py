"""V. T. Chow, Open-Channel Hydraulics (1959), Example 10-1. From memory."""

from __future__ import annotations

import numpy as np
import pytest

from drainwright.hydraulics.profile import Trapezoid, direct_step, friction_slope

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
