"""HEC-22, Urban Drainage Design Manual, 3rd ed., sec. 7.1.6: energy losses in access holes. From memory.

The manual's worked example was not seen: its printed equations are worked here by hand for a common case, in the
manual's customary units, and the code in SI must give the same. Nothing here shows that the equations are remembered
rightly.
"""

from __future__ import annotations

import math

import pytest

from drainwright.hydraulics.access_hole import BENCHING, Inflow, access_hole

FOOT = 0.3048


def test_a_hole_with_a_right_angle_and_a_grate_by_hand() -> None:
    """18 in outlet, 7 cfs full at 3.96 ft/s with 2.10 ft of energy; 5 cfs at 90 degrees, 2 cfs fall 6 ft from a grate.

    E_ai0 = 2.10 + 0.2 x 0.2437 = 2.149; DI = 7 / (1.767 x 6.95) = 0.5701 (with g = 32.174): submerged 0.487, free
    1.6 x 1.5 x 0.6862 = 1.647: outlet control. C_θ = 4.5 x 5/7 x sin 45° = 2.273; C_P = 2/7 x (6 - 2.149)/1.5 = 0.7336.
    E_a = 2.149 + (2.273 + 0.734) x 0.0487 = 2.295 ft.
    """
    cfs = FOOT**3
    hole = access_hole(
        7.0 * cfs, 1.5 * FOOT, 2.10 * FOOT, 3.96 * FOOT,
        [Inflow(flow=5.0 * cfs, turn=math.pi / 2), Inflow(flow=2.0 * cfs, height=6.0 * FOOT, grate=True)],
    )  # fmt: skip
    assert hole.entrance / FOOT == pytest.approx(0.0487, abs=0.0002)
    assert hole.turning / FOOT == pytest.approx(2.273 * 0.0487, abs=0.0007)
    assert hole.plunging / FOOT == pytest.approx(0.7336 * 0.0487, abs=0.0005)
    assert hole.energy / FOOT == pytest.approx(2.295, abs=0.001)


def test_benching_coefficients() -> None:
    """Table 7-6: submerged and unsubmerged; from memory."""
    assert BENCHING == {
        "flat": (-0.05, -0.05), "depressed": (0.0, 0.0), "half bench": (-0.05, -0.85), "full bench": (-0.25, -0.93),
    }  # fmt: skip
