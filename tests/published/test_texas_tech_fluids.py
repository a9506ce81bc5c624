"""Texas Tech University, CE 3305 Fluid Mechanics and CE 3354 Engineering Hydrology, course notes.

SEEN in dustykat/ce-3305-fluids (lessons 15 and 25) and dustykat/ce-3354-webroot.
"""

from __future__ import annotations

import numpy as np
import pytest

from drainwright.hydraulics.conduit import OpenChannel
from drainwright.hydraulics.fittings import FITTINGS
from drainwright.hydraulics.pressure import VISCOSITY_20C, friction_factor, pipe_head_loss, pipe_velocity, reynolds
from drainwright.hydraulics.profile import Trapezoid, direct_step
from drainwright.hydraulics.pump import PressurePipe, PumpCurve, SystemCurve, operating_point
from drainwright.hydraulics.seepage import capillary_rise_tube
from drainwright.hydraulics.water_surface import water_surface

FOOT, INCH = 0.3048, 0.0254
GPM = FOOT**3 / 7.48 / 60.0  # the lesson's 7.48 gallons in a cubic foot


def line() -> SystemCurve:
    pipe = PressurePipe(
        length=1000 * FOOT, diameter=10 * INCH, roughness=0.020, loss_coefficient=1.38, method="friction_factor"
    )
    return SystemCurve(static_head=10 * FOOT, pipes=(pipe,))


@pytest.mark.parametrize(
    ("gpm", "feet"),
    [
        (0, 10.0),
        (500, 11.6),
        (1000, 16.6),
        (1500, 24.8),
        (2000, 36.3),
        (2500, 51.1),
        (3000, 69.2),
        (3500, 90.6),
    ],
)
def test_system_curve(gpm: float, feet: float) -> None:
    """Lesson 15: static 10 ft, 1,000 ft of 10 in, f 0.020, K 0.03 + 0.35 + 1.0; printed to 0.1 ft."""
    assert line().head(gpm * GPM) / FOOT == pytest.approx(feet, abs=0.11)


def test_operating_point() -> None:
    """Lesson 15: "about 3,000 gpm at 70 ft", read off a plot; straight lines between its points give 2,951 at 67.3."""
    flows = (0, 500, 1000, 1500, 2000, 2500, 3000, 3500, 4000, 4500, 4900)
    heads = (76, 75, 74, 73, 72, 70, 67, 59, 50, 22, 0)
    pump = PumpCurve(flows=tuple(q * GPM for q in flows), heads=tuple(h * FOOT for h in heads))
    point = operating_point(pump, line())
    assert point.flow / GPM == pytest.approx(3000, rel=0.02)
    assert point.head / FOOT == pytest.approx(70, rel=0.04)
    assert point.flow / GPM == pytest.approx(2951, rel=0.002)


def test_m1_profile() -> None:
    """Lesson 25, after Koutitas (1983) p. 85: 5 m wide, S 0.001, n 0.02, Q 55.4, 8 m to 5 m: 11,393 m upstream.

    It takes the friction slope at the mean depth of each of 31 steps, ours the mean of two slopes: at such coarse
    steps beside normal depth (4.988 m) they part by 0.5 %. Fine steps of ours meet its own method's limit.
    """
    depths = np.linspace(8.0, 5.0, 32)
    section = Trapezoid(width=5.0)
    assert direct_step(section, 55.4, 0.001, 0.02, depths)[-1] == pytest.approx(11393.236, rel=0.006)

    def at_mean_depth(y: np.ndarray) -> float:
        mean = 0.5 * (y[1:] + y[:-1])
        slope = (0.02 * 55.4 / (5 * mean * (5 * mean / (5 + 2 * mean)) ** (2 / 3))) ** 2
        return float(np.sum(np.diff(y + (55.4 / (5 * y)) ** 2 / 19.6) / (slope - 0.001)))

    assert at_mean_depth(depths) == pytest.approx(11393.236, abs=0.001)
    fine = np.linspace(8.0, 5.0, 20001)
    assert direct_step(section, 55.4, 0.001, 0.02, fine)[-1] == pytest.approx(at_mean_depth(fine), rel=2e-4)


def test_m1_profile_walked_up() -> None:
    """The same lesson in the solver of the pipes: 11,393 m upstream of 8 m it has 5.010 m, where the lesson has 5 m.

    The lesson's 31 steps are coarse beside normal depth (4.988 m): its method in fine steps meets ours (above).
    """
    places = np.linspace(0.0, 11393.236, 1200)
    found = water_surface(
        OpenChannel(width=5.0), places.tolist(), (0.001 * (places[-1] - places)).tolist(), [55.4] * 1200, 0.02, 8.0
    )
    assert found.depths[0] == pytest.approx(5.0, abs=0.011)


def test_diameter_for_a_given_loss() -> None:
    """Q 37.5 cfs, 8,000 ft, hf 215 ft, ks 0.0008 ft, 68 °F: D 1.85 ft, f 0.0164."""
    flow, diameter, viscosity = 37.5 * FOOT**3, 1.85 * FOOT, 1.08e-5 * FOOT**2
    loss = pipe_head_loss(flow, 8000 * FOOT, diameter, 0.0008 * FOOT, viscosity) / FOOT
    assert loss == pytest.approx(215, rel=0.0135)  # 1.85 is rounded to 0.27 %, and the loss goes with D^5
    number = reynolds(pipe_velocity(flow, diameter), diameter, viscosity)
    assert friction_factor(number, 0.0008 / 1.85) == pytest.approx(0.0164, abs=0.00005)


def test_roughness_from_a_test() -> None:
    """D 25 mm, 3 m, 0.20 L/s, hf 52 mm, 20 °C: ks 0.000473 m, f 0.0514."""
    assert pipe_head_loss(0.2e-3, 3.0, 0.025, 0.000473, VISCOSITY_20C) == pytest.approx(0.052, abs=0.0005)
    number = reynolds(pipe_velocity(0.2e-3, 0.025), 0.025, VISCOSITY_20C)
    assert friction_factor(number, 0.000473 / 0.025) == pytest.approx(0.0514, rel=0.01)


def test_entrance_and_exit_of_the_system_curve_are_those_of_the_table() -> None:
    """K of the bell mouth 0.03 and of the exit 1.0, as the lesson takes them."""
    assert (FITTINGS["entrance_bell"].loss_coefficient, FITTINGS["exit"].loss_coefficient) == (0.03, 1.0)


def test_capillary_rise() -> None:
    """CE 3354 notebook: σ 0.0728 N/m, γ 9,790 N/m³, pore 0.074 mm: 0.402 m."""
    assert capillary_rise_tube(0.074e-3, 0.0728, 9790.0) == pytest.approx(0.402, abs=0.0005)
