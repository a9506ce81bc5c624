"""A case in which the water at the house still rises at the end of its record goes on, until it is known what comes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from storm_jobs import inflows, pumped_system, site

from drainwright.storm import storm_test
from drainwright.storm.cases import AFTER, LONGEST, RISING, slab_level
from drainwright.storm.model import StormCase


def ground_alone(per_length: float, far: float, key: str = "pump dead") -> StormCase:
    """A case without rain, by the ground water for each metre of drain [m²/s] and the water table [m]."""
    water = inflows()
    seepage = tuple(replace(item, per_length=per_length, far_level=far) for item in water.seepage)
    case = storm_test(site(), replace(water, contributions=(), seepage=seepage), pumped_system()).case(key)
    assert case is not None
    return case


@pytest.mark.parametrize("key", ["pump dead", "discharge blocked"])
def test_a_slow_rise_reaches_the_slab_hours_after_the_storm(key: str) -> None:
    case = ground_alone(2e-6, 10.0, key)
    usual = ground_alone(2e-6, 10.0, "sound").ended
    assert case.time_to_slab is not None
    assert case.time_to_slab > usual
    assert case.ended == pytest.approx(case.time_to_slab + AFTER, abs=60.0)
    assert not case.dry
    assert not case.undecided
    assert abs(case.balance_error) < 1e-9


def test_the_time_to_the_slab_goes_as_the_inflow() -> None:
    """All flows in proportion, so are the times: twice the ground water, half the time, to a level step's error."""
    slow, fast = ground_alone(2e-6, 10.0), ground_alone(4e-6, 10.0)
    assert slow.time_to_slab is not None
    assert fast.time_to_slab is not None
    assert slow.time_to_slab / fast.time_to_slab == pytest.approx(2.0, rel=0.02)


def test_a_rise_that_the_longest_record_does_not_end_is_undecided() -> None:
    case = ground_alone(2e-7, 10.0)
    assert case.time_to_slab is None
    assert case.ended == LONGEST
    assert case.rising > RISING
    assert case.undecided
    assert not case.dry
    level = case.basin_level
    an_hour = case.times >= LONGEST - 3600.0
    assert case.rising == pytest.approx((level[-1] - np.interp(LONGEST - 3600.0, case.times, level)) / 3600.0, rel=0.05)
    assert np.all(np.diff(level[an_hour]) > 0.0)


@pytest.mark.parametrize(("per_length", "above"), [(2e-9, 0.5), (3e-6, 0.0005)])
def test_a_creep_towards_a_water_table_above_the_slab_is_no_rest(per_length: float, above: float) -> None:
    """A little ground water, or nearly all of it come in: less than 1 mm in the last hour, and more to come."""
    case = ground_alone(per_length, slab_level(site()) + above)
    assert case.time_to_slab is None
    assert 0.0 < case.rising < RISING
    assert case.ended == LONGEST
    assert case.undecided
    assert not case.dry


def test_water_that_comes_to_rest_below_the_slab_leaves_the_floor_dry() -> None:
    case = ground_alone(1e-5, 9.6)
    assert case.highest_at_house == pytest.approx(9.6, abs=0.005)
    assert case.highest_at_house < slab_level(site())
    assert case.dry


def test_a_rise_towards_a_water_table_below_the_slab_leaves_the_floor_dry() -> None:
    """However slow: it can never come higher than the water table."""
    case = ground_alone(2e-7, 9.6)
    assert case.highest_at_house < 9.55
    assert case.rising == 0.0
    assert case.dry


def test_a_record_whose_level_falls_is_not_carried_on() -> None:
    case = ground_alone(1e-5, 10.0, "sound")
    assert case.ended < 12 * 3600.0
