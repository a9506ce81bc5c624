"""TxDOT Hydraulic Design Manual: grates in a sag, and the friction slope of a full pipe.

SEEN txdot.gov manuals, ch. 10 sec. 6 (eq. 10-30, 10-31) and ch. 6 sec. 3 (eq. 6-23 to 6-26).
"""

from __future__ import annotations

import pytest

from drainwright.hydraulics.conduit import OpenChannel, momentum
from drainwright.hydraulics.inlets import grate_capacity, grate_orifice_flow, grate_weir_flow
from drainwright.hydraulics.openflow import full_friction_slope

FOOT = 0.3048


@pytest.mark.parametrize("depth", [0.1, 0.25, 0.4])
def test_weir_constant(depth: float) -> None:
    """Eq. 10-30: Q = 3.0 P h^1.5 in feet, given as 1.66 in SI; the print rounds 1.656 up by 0.23 %."""
    flow = grate_weir_flow(5.0 * FOOT, depth * FOOT, 0.0) / FOOT**3
    assert flow == pytest.approx(3.0 * 5.0 * depth**1.5, rel=0.003)


@pytest.mark.parametrize("depth", [0.5, 1.0, 1.4])
def test_orifice_constant(depth: float) -> None:
    """Eq. 10-31: Q = 0.67 A √(2 g h), g 32.2 ft/s²."""
    flow = grate_orifice_flow(2.0 * FOOT**2, depth * FOOT, 0.0) / FOOT**3
    assert flow == pytest.approx(0.67 * 2.0 * (64.4 * depth) ** 0.5, rel=0.001)


def test_half_for_safety_and_the_lower_governs() -> None:
    """Ch. 10 sec. 6: half of the perimeter and of the clear area; the smaller of the two flows."""
    for depth in (0.1, 0.5, 1.5):
        weir, orifice = 0.5 * 3.0 * 5.0 * depth**1.5, 0.5 * 0.67 * 2.0 * (64.4 * depth) ** 0.5
        flow = grate_capacity(5.0 * FOOT, 2.0 * FOOT**2, depth * FOOT) / FOOT**3
        assert flow == pytest.approx(min(weir, orifice), rel=0.003)


@pytest.mark.parametrize(("flow", "diameter"), [(0.004, 0.1), (0.05, 0.3), (1.0, 0.9)])
def test_friction_loss_of_a_full_pipe(flow: float, diameter: float) -> None:
    """Ch. 6 sec. 3: hf = L (Q n / (0.3116 D^(8/3)))² in SI; equation image not legible, form from its constant."""
    printed = 30.0 * (flow * 0.011 / (0.3116 * diameter ** (8 / 3))) ** 2
    assert 30.0 * full_friction_slope(flow, diameter, 0.011) == pytest.approx(printed, rel=0.001)


@pytest.mark.parametrize("froude", [1.5, 3.0, 6.0])
def test_sequent_depth_by_the_momentum_function(froude: float) -> None:
    """Ch. 8 sec. 3, eq. 8-22, M = Q²/(g A) + A ȳ, SEEN in words: equal before and after a jump; in a rectangle it
    gives Bélanger's y2/y1 = (√(1 + 8 Fr²) - 1)/2, from memory.
    """  # fmt: skip
    section, before = OpenChannel(width=1.3), 0.1
    flow = froude * (9.80665 * before) ** 0.5 * before * 1.3
    after = 0.5 * before * ((1.0 + 8.0 * froude**2) ** 0.5 - 1.0)
    assert momentum(section, after, flow) == pytest.approx(momentum(section, before, flow), rel=1e-12)
