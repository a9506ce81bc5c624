"""HEC-22, Urban Drainage Design Manual, 3rd ed., Table 7-5a: approximate junction losses. From memory, all of it."""

from __future__ import annotations

from math import radians

import pytest

from drainwright.hydraulics.junctions import junction_coefficient
from drainwright.hydraulics.pressure import minor_loss


@pytest.mark.parametrize(
    ("degrees", "inlet", "access_hole"),
    [(0, 0.50, 0.15), (22.5, 0.70, 0.45), (45, 1.10, 0.75), (60, 1.25, 0.85), (90, 1.50, 1.00)],
)
def test_coefficients(degrees: float, inlet: float, access_hole: float) -> None:
    """Table 7-5a, inlet and manhole rows."""
    assert junction_coefficient(radians(degrees), "inlet") == pytest.approx(inlet)
    assert junction_coefficient(radians(degrees), "access_hole") == pytest.approx(access_hole)


def test_loss_in_a_catch_basin_with_a_square_turn() -> None:
    """H = K v²/2g with 1 m/s leaving: 1.50 x 0.051 m."""
    assert minor_loss(1.0, junction_coefficient(radians(90.0))) == pytest.approx(0.0765, abs=0.0001)
