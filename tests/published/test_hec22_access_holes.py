"""HEC-22, Urban Drainage Design Manual: energy losses in access holes and where pipes join without one.

Equations and coefficients were SEEN second-hand, in a public transcription of the 4th ed. (2024), ch. 9, eq. 9.5, 9.6,
9.9 and 9.13 to 9.31: they are those of the 3rd ed., sec. 7.1.6, as remembered when the code was written. The benching
coefficients (Table 9.5) and the manual's worked example were not seen, so the equations are worked here by hand for a
common case, in the manual's customary units, and the code in SI must give the same.
"""

from __future__ import annotations

import math

import pytest

from drainwright.hydraulics.access_hole import BENCHING, EXIT, Inflow, access_hole, junction_rise

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


def test_the_coefficients_of_the_transcription() -> None:
    """SEEN: 9.15 K_i = 0.2; 9.17 E = D DI²; 9.18 E = 1.6 D DI^0.67; 9.22 C = 4.5 Q_j/Q_o cos(θ/2); 9.31 K_o = 0.4."""
    diameter, flow = 1.0, 2.0
    intensity = flow / (0.25 * math.pi * diameter**2 * math.sqrt(9.80665 * diameter))
    free = 1.6 * diameter * intensity**0.67  # little energy below: the entrance rules
    assert free > diameter * intensity**2
    assert access_hole(flow, diameter, 0.1, 0.1, []).energy == pytest.approx(free, rel=1e-4)
    fast = 8.0 / (0.25 * math.pi * math.sqrt(9.80665))
    assert access_hole(8.0, diameter, 0.1, 0.1, []).energy == pytest.approx(fast**2, rel=1e-4)
    straight = access_hole(flow, diameter, 3.0, 2.0, [Inflow(flow=flow)])
    assert straight.energy == pytest.approx(3.0 + 0.2 * 4.0 / (2.0 * 9.80665), rel=1e-4)
    for turn in (0.5, 1.0, math.pi / 2, 2.5):  # the manual's angle is measured from the outlet: 180° is straight on
        hole = access_hole(flow, diameter, 3.0, 2.0, [Inflow(flow=0.5 * flow, turn=turn)])
        wanted = 4.5 * 0.5 * math.cos((math.pi - turn) / 2.0) * straight.entrance
        assert hole.turning == pytest.approx(wanted, rel=1e-4)
    assert EXIT == 0.4


def test_the_junction_equation_of_the_transcription() -> None:
    """Eq. 9.9, SEEN: H_j = [Q_o V_o - Q_i V_i - Q_l V_l cos θ] / [0.5 g (A_o + A_i)] + h_i - h_o.

    3 and 1 cfs into 4, by hand: (4 x 2.2637 - 3 x 2.4450 - 1.2739 / 2) / (16.087 x 2.994) = 1.0830 / 48.164 ft.
    """
    gravity, outlet, main, lateral = 32.174, 1.767, 1.227, 0.785  # 18, 15 and 12 in, full [ft/s², ft²]
    speeds = 4.0 / outlet, 3.0 / main, 1.0 / lateral
    loss = (4.0 * speeds[0] - 3.0 * speeds[1] - speeds[2] * math.cos(math.pi / 3)) / (0.5 * gravity * (outlet + main))
    loss += speeds[1] ** 2 / (2.0 * gravity) - speeds[0] ** 2 / (2.0 * gravity)
    cfs, square = FOOT**3, FOOT**2
    rise = junction_rise(
        (4.0 * cfs, outlet * square), (3.0 * cfs, main * square), [(1.0 * cfs, lateral * square, math.pi / 3)]
    )
    heads = (speeds[1] ** 2 - speeds[0] ** 2) / (2.0 * gravity)
    assert rise / FOOT == pytest.approx(loss - heads, abs=1e-5)
    assert rise / FOOT == pytest.approx(1.0830 / 48.164, abs=5e-5)
