"""FHWA HDS-2, Highway Hydrology, 2nd ed. (FHWA-NHI-02-001, 2002): weir, trough and pipe in its examples.

SEEN in dustykat/ce-3354-webroot (FHWA-NHI-02-001.pdf).
"""

from __future__ import annotations

import pytest

from drainwright.hydraulics.inlets import weir_flow
from drainwright.hydraulics.openflow import manning_velocity
from drainwright.hydraulics.storage import stone_storage, trough_volume

FOOT = 0.3048


def test_high_stage_weir() -> None:
    """Example 8.7, p. 8-21: 0.81 m³/s at 0.6 m, Cw 0.37 on √(2g): L 1.06 m."""
    assert weir_flow(1.06, 0.6, 0.37 * (2 * 9.81) ** 0.5) == pytest.approx(0.92 - 0.11, rel=0.005)


def test_trough_storage() -> None:
    """Example 8.8, p. 8-22: L 200 m, W 100 m, 2:1, h 1.5 m: 30,900 m³; sloping ends are neglected."""
    assert trough_volume(200.0, 100.0, 2.0, 1.5) == pytest.approx(30900.0)
    assert stone_storage(200.0, 100.0, 2.0, 1.5, 0.4) == pytest.approx(0.4 * 30900.0)


def test_trough_storage_in_feet() -> None:
    """The same in feet: 656 by 328 ft, 4.9 ft: 1,086,000 ft³, printed from rounded sizes."""
    volume = trough_volume(656 * FOOT, 328 * FOOT, 2.0, 4.9 * FOOT) / FOOT**3
    assert volume == pytest.approx(1_086_000, rel=0.002)


def test_velocity_in_the_storm_pipe() -> None:
    """Example 2.1, p. 2-26: 380 mm, n 0.011, S 0.009, full: 1.8 m/s."""
    assert manning_velocity(0.380 / 4, 0.009, 0.011) == pytest.approx(1.8, abs=0.05)
