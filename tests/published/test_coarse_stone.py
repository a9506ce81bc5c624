"""Flow through coarse stone: Ergun 1952 and Wilkins 1956."""

from __future__ import annotations

import math

import numpy as np
import pytest
from fluids.packed_bed import Ergun

from drainwright.hydraulics.stone_flow import ergun_velocity, void_radius, wilkins_velocity

INCH, G = 0.0254, 9.80665


@pytest.mark.parametrize(
    ("velocity", "gradient_kpa"),
    [(0.06, 28.8194), (0.09, 59.6354), (0.12, 101.3889), (0.15, 154.0799), (0.18, 217.7083)],
)
def test_printed_table_of_a_packed_bed(velocity: float, gradient_kpa: float) -> None:
    """SEEN: a public page on the Ergun equation, table of velocity and total gradient (kPa/m); water 1000 kg/m³ and
    1 mPa s, voids 0.4, size 3 mm at sphericity 0.9, which the printed viscous and inertial parts imply.
    """  # fmt: skip
    gradient = gradient_kpa * 1000.0 / (1000.0 * G)
    assert ergun_velocity(gradient, 0.9 * 0.003, 0.4, 1e-6) == pytest.approx(velocity, rel=1e-5)


def test_general_library() -> None:
    """fluids 1.x, ``packed_bed.Ergun``: pressure lost over a metre at our velocity gives our gradient back."""
    for gradient, size, voids in ((0.001, 0.01, 0.4), (0.01, 0.019, 0.4), (0.2, 0.005, 0.35)):
        speed = float(ergun_velocity(gradient, size, voids, 1.307e-6))
        lost = Ergun(dp=size, voidage=voids, vs=speed, rho=999.7, mu=1.307e-6 * 999.7, L=1.0)
        assert lost / (999.7 * G) == pytest.approx(gradient, rel=1e-9)


def test_wilkins_in_inches_and_metres() -> None:
    """V = 32.9 m^0.5 i^0.54 in inches and seconds, 5.243 in metres; Wilkins 1956, from memory.

    32.9 √in/s is 5.243 √m/s: 32.9 x √0.0254 = 5.243.
    """
    assert 32.9 * math.sqrt(INCH) == pytest.approx(5.243, abs=0.001)
    radius = 0.1 * INCH
    by_inches = 0.4 * 32.9 * math.sqrt(0.1) * 0.02**0.54 * INCH
    assert wilkins_velocity(0.02, radius, 0.4) == pytest.approx(by_inches, rel=2e-4)


def test_the_two_laws_agree_for_drain_stone() -> None:
    """Two laws of different origin, for broken stone of 12 to 40 mm at grades of drains: 0.8 to 1.45 of each other.

    Wilkins has no creeping part: below 2 % in the finest stone it gives too much. The design takes the less.
    """
    sizes, gradients = np.meshgrid([0.012, 0.019, 0.025, 0.04], [0.002, 0.005, 0.01, 0.03])
    ratio = np.asarray(ergun_velocity(gradients, sizes)) / np.asarray(wilkins_velocity(gradients, void_radius(sizes)))
    assert np.all(ratio > 0.79)
    assert np.all(ratio < 1.45)
