"""The open-source library ``fluids`` (C. Bell and contributors, 1.x), its own implementations of the same laws."""

from __future__ import annotations

import fluids
import pytest
from fluids.friction import Colebrook, Swamee_Jain_1976
from fluids.open_flow import V_Manning

from drainwright.hydraulics.geometry import hydraulic_radius
from drainwright.hydraulics.openflow import manning_velocity
from drainwright.hydraulics.pressure import (
    VISCOSITY_20C,
    friction_factor,
    hazen_williams_head_loss,
    minor_loss,
    pipe_head_loss,
    swamee_jain_factor,
)

FOOT, INCH, GPM = 0.3048, 0.0254, 6.30901964e-5


@pytest.mark.parametrize("number", [3e3, 1e4, 1e5, 1e6, 1e7])
@pytest.mark.parametrize("roughness", [0.0, 1e-5, 1e-3, 2e-2])
def test_colebrook(number: float, roughness: float) -> None:
    """fluids.friction.Colebrook: exact, by Lambert's W."""
    assert friction_factor(number, roughness) == pytest.approx(Colebrook(number, roughness), rel=1e-9)


@pytest.mark.parametrize("number", [100.0, 1000.0, 2000.0])
def test_laminar(number: float) -> None:
    """fluids.friction_factor below its laminar limit: 64/Re."""
    assert friction_factor(number, 1e-4) == pytest.approx(fluids.friction_factor(number, 1e-4))


@pytest.mark.parametrize("number", [5e3, 1e5, 1e8])
def test_swamee_jain(number: float) -> None:
    """fluids.friction.Swamee_Jain_1976: it keeps 5.74/Re^0.9 as (6.97/Re)^0.9 with rounded figures."""
    assert swamee_jain_factor(number, 1e-4) == pytest.approx(Swamee_Jain_1976(number, 1e-4), rel=2e-3)


@pytest.mark.parametrize("share", [0.2, 0.5, 0.9])
def test_manning(share: float) -> None:
    """fluids.open_flow.V_Manning."""
    radius = float(hydraulic_radius(share * 0.1, 0.1))
    assert manning_velocity(radius, 0.01, 0.009) == pytest.approx(V_Manning(Rh=radius, S=0.01, n=0.009))


def test_minor_loss() -> None:
    """fluids.head_from_K, standard gravity."""
    assert minor_loss(1.7, 3.2) == pytest.approx(fluids.head_from_K(K=3.2, V=1.7))


@pytest.mark.parametrize(
    ("inches", "gpm", "hazen", "darcy"),
    [
        (1.610, 20, 2.46, 2.55),
        (1.610, 30, 5.21, 5.26),
        (1.610, 40, 8.88, 8.80),
        (1.610, 60, 18.8, 18.2),
        (2.067, 20, 0.73, 0.77),
        (2.067, 30, 1.54, 1.59),
        (2.067, 40, 2.63, 2.65),
        (2.067, 60, 5.57, 5.49),
        (3.068, 40, 0.384, 0.401),
        (3.068, 60, 0.814, 0.825),
    ],
)
def test_feet_of_friction(inches: float, gpm: float, hazen: float, darcy: float) -> None:
    """Feet in 100 ft made beforehand with C 150 and with fluids 1.3.1 (ε 0.0015 mm, 20 °C), 6 % apart at most."""
    flow, length, diameter = gpm * GPM, 100 * FOOT, inches * INCH
    ours_hazen = hazen_williams_head_loss(flow, length, diameter, 150.0) / FOOT
    ours_darcy = pipe_head_loss(flow, length, diameter, 1.5e-6, VISCOSITY_20C) / FOOT
    assert ours_hazen == pytest.approx(hazen, rel=0.007)
    assert ours_darcy == pytest.approx(darcy, rel=0.007)
    assert ours_hazen == pytest.approx(ours_darcy, rel=0.06)
