"""Which roof area catches rain: plumbing codes and EN 12056-3, each seen in a public quotation."""

from __future__ import annotations

import math

import pytest

from drainwright.water.roofs import area_in_wind, area_with_wall


def test_half_of_a_wall() -> None:
    """IPC sec. 1106.4, seen quoted in a trade journal (Sidewall Runoff, 2019): one half of any vertical wall that
    diverts rainwater to the roof is added to the projected area. The other model code (UPC sec. 1103.4, seen in
    its training manual's text) adds 50 % for one wall as well; 35 % for two adjacent, which we leave to the reader.
    """  # fmt: skip
    assert area_with_wall(1000.0, 400.0) == 1200.0
    assert area_with_wall(1000.0, 0.0) == 1000.0


@pytest.mark.parametrize(("length", "plan", "rise"), [(10.0, 4.0, 4.0), (12.0, 5.0, 2.0), (8.0, 6.0, 0.0)])
def test_rain_at_26_degrees_to_the_vertical(length: float, plan: float, rise: float) -> None:
    """EN 12056-3, wind driven rain, seen in a public table: A = L (B + H/2); 26 degrees is two down for one along.

    With rain square to the roof the standard takes its surface L T, which is never less than the plan: for slopes to
    4 in 3 ours is the greater of the two.
    """
    area = area_in_wind(length * plan, rise / plan, 0.0)
    assert area == pytest.approx(length * (plan + rise / 2))
    assert area >= length * math.hypot(plan, rise) - 1e-9
    assert math.tan(math.radians(26.0)) == pytest.approx(0.5, abs=0.015)
