"""Brigham Young University, CE 544 Seepage and Slope Stability, worked sheets.

SEEN in njones61/ce544: units 05_analytical (dupuit_KEY.xlsx), 06_wells (radius_of_influence.xlsx),
02_darcy (slurrywall_KEY.xlsx).
"""

from __future__ import annotations

import pytest

from drainwright.hydraulics.seepage import (
    SICHARDT_RADIAL,
    darcy_flow,
    dupuit_flow,
    dupuit_head,
    kusakin_influence,
    kusakin_steady_influence,
    lembke_influence,
    sichardt_influence,
    weber_influence,
)

DAY = 86400.0


def test_dupuit_flow() -> None:
    """K 0.001 cm/s, D 100 m, 5 m to 1 m: 0.1037 m³/d for each metre."""
    assert dupuit_flow(1e-5, 5.0, 1.0, 100.0) * DAY == pytest.approx(0.1037, abs=5e-5)


@pytest.mark.parametrize(
    ("x", "h"),
    [(5, 4.8785), (10, 4.7539), (15, 4.6260), (20, 4.4944), (25, 4.3589), (30, 4.2190), (35, 4.0743)],
)
def test_dupuit_water_table(x: float, h: float) -> None:
    """The same sheet, heights at 5 m steps."""
    assert dupuit_head(x, 5.0, 1.0, 100.0) == pytest.approx(h, abs=5e-5)


def test_five_ranges_of_influence() -> None:
    """H 50 m, k 0.001 m/s, s 5 m, n 0.3, t 4.32e6 s; the course page misprints Kusakin's root as H/k."""
    assert sichardt_influence(5.0, 0.001, SICHARDT_RADIAL) == pytest.approx(474.34, abs=0.005)
    assert weber_influence(50.0, 0.001, 4.32e6, 0.3) == pytest.approx(2078.9, abs=0.05)
    assert kusakin_influence(50.0, 0.001, 4.32e6, 0.3) == pytest.approx(1612.2, abs=0.05)
    assert kusakin_steady_influence(5.0, 50.0, 0.001) == pytest.approx(642.87, abs=0.005)
    assert lembke_influence(50.0, 0.001, 0.2 / (365 * DAY)) == pytest.approx(14039, abs=0.5)


def test_darcy_through_a_barrier() -> None:
    """14 ft across 3 ft, K 1e-6 cm/s: i 4.6667 and 68.0357 d to pass at n 0.3; its K reads 0.0028 ft/d, 1.2 % low."""
    foot = 0.3048
    speed = darcy_flow(1e-8, 14 / 3, 1.0) / 0.3
    assert 3 * foot / speed / DAY == pytest.approx(68.0357, rel=0.013)
    rounded = darcy_flow(0.00283465 * foot / DAY, 14 / 3, 1.0) / 0.3
    assert 3 * foot / rounded / DAY == pytest.approx(68.0357, rel=0.001)
