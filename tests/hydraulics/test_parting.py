"""A level run with a way out at both ends, and the laws of flow in the stone beside a pipe."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from drainwright.errors import InputError
from drainwright.hydraulics.conduit import RoundPipe
from drainwright.hydraulics.inlets import perforation_inflow
from drainwright.hydraulics.parting import parting
from drainwright.hydraulics.stone_flow import ergun_velocity, perforation_head, wilkins_velocity

PIPE = RoundPipe(diameter=0.1023)
PLACES, LEVEL = (0.0, 20.0), (0.0, 0.0)


def test_equal_ends_part_a_level_run_in_its_middle_and_the_water_falls_both_ways() -> None:
    half = parting(PIPE, PLACES, LEVEL, 0.002, 0.016, 0.06, 0.06)
    assert half.distance == pytest.approx(10.0, abs=0.01)
    assert half.level > 0.06


def test_the_higher_end_gets_less_and_nothing_is_lost() -> None:
    shares = [parting(PIPE, PLACES, LEVEL, 0.002, 0.016, 0.06, 0.06 + extra).second for extra in (0.0, 0.005, 0.01)]
    assert shares[0] > shares[1] > shares[2] > 0.0
    shifted = parting(PIPE, PLACES, LEVEL, 0.002, 0.016, 0.06, 0.065)
    assert shifted.first + shifted.second == pytest.approx(0.002)
    turned = parting(PIPE, PLACES, LEVEL, 0.002, 0.016, 0.065, 0.06)
    assert turned.distance == pytest.approx(20.0 - shifted.distance, abs=0.01)


def test_all_goes_one_way_down_a_fall_or_from_a_drowned_end() -> None:
    assert parting(PIPE, PLACES, (0.0, 0.4), 0.002, 0.016, 0.02, 0.02).first == pytest.approx(0.002, rel=0.02)
    drowned = parting(PIPE, PLACES, LEVEL, 0.002, 0.016, 0.06, 0.6)
    assert (drowned.distance, drowned.second) == (20.0, 0.0)
    other = parting(PIPE, PLACES, LEVEL, 0.002, 0.016, 0.6, 0.06)
    assert (other.distance, other.first) == (0.0, 0.0)


@pytest.mark.parametrize("high", [0.0, 0.006])
def test_both_surfaces_meet_at_the_divide_by_integration(high: float) -> None:
    """Spatially varied flow by solve_ivp from both ends to the divide: one level, to 0.3 mm."""
    found = parting(PIPE, PLACES, (0.0, high), 0.003, 0.012, 0.075, 0.08)
    assert 0.0 < found.distance < 20.0
    size, gain = PIPE.diameter, 0.003 / 20.0

    def bend(x: float, y: np.ndarray, fall: float) -> list[float]:
        parts = PIPE.parts(float(y[0]))
        flow = gain * x
        friction = (flow * 0.012 / (parts.area * (parts.area / parts.perimeter) ** (2 / 3))) ** 2
        froude = flow**2 * parts.width / (9.80665 * parts.area**3)
        return [(fall - friction - 2.0 * flow * gain / (9.80665 * parts.area**2)) / (1.0 - froude)]

    bed = high * found.distance / 20.0
    for part, level, end in ((found.distance, 0.075, 0.0), (20.0 - found.distance, 0.08, high)):
        solved = solve_ivp(
            bend, (part, 1e-4), [level - end], rtol=1e-9, atol=1e-12, max_step=0.1, args=((bed - end) / part,)
        )
        assert bed + solved.y[0, -1] == pytest.approx(found.level, abs=3e-4)
        assert solved.y[0, -1] < size


def test_no_water_cannot_part() -> None:
    with pytest.raises(InputError, match="inflow"):
        parting(PIPE, PLACES, LEVEL, 0.0, 0.016, 0.06, 0.06)


@given(st.floats(1e-6, 1e-3), st.floats(1e-4, 1e-2), st.floats(0.1, 1.0))
@settings(max_examples=50)
def test_head_over_the_holes_is_the_inverse_of_their_inflow(inflow: float, area: float, free: float) -> None:
    head = perforation_head(inflow, area, free)
    assert perforation_inflow(1.0, area, head, free) == pytest.approx(inflow, rel=1e-9)


def test_stone_flow_creeps_by_darcy_and_rushes_by_the_root_of_the_gradient() -> None:
    """Ergun's ends: Kozeny-Carman d² n³ g / (150 ν (1-n)²) for fine stone, i^0.5 for coarse."""
    slow = float(ergun_velocity(1e-4, 1e-4))
    darcy = 9.80665 * 0.4**3 * 1e-8 / (150 * 0.6**2 * 1.307e-6) * 1e-4
    assert slow == pytest.approx(darcy, rel=1e-3)
    assert float(ergun_velocity(4.0, 0.5)) / float(ergun_velocity(1.0, 0.5)) == pytest.approx(2.0, rel=1e-2)
    assert math.log2(float(wilkins_velocity(0.02, 0.002)) / float(wilkins_velocity(0.01, 0.002))) == pytest.approx(0.54)
