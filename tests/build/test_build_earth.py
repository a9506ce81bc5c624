"""Volumes, swell and loads: by geometry and by laws."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis.strategies import floats, integers

from drainwright.build.earth import (
    BARROW_MASS,
    SOILS,
    average_end_area,
    barrow_load,
    hole_volume,
    loads,
    loose_density,
    loose_volume,
    prismoidal,
    volume_by_stations,
)
from drainwright.build.units import CUBIC_FOOT, POUND, whole
from drainwright.errors import InputError

SIDE = floats(0.1, 5.0)


@given(SIDE, SIDE, SIDE)
def test_both_rules_are_exact_for_a_prism(width: float, depth: float, length: float) -> None:
    area = width * depth
    assert average_end_area(area, area, length) == pytest.approx(width * depth * length)
    assert prismoidal(area, area, area, length) == pytest.approx(width * depth * length)


@given(SIDE, SIDE, SIDE, SIDE)
def test_both_rules_are_exact_for_a_wedge_of_even_width(
    width: float, first: float, second: float, length: float
) -> None:
    exact = width * (first + second) / 2 * length
    middle = width * (first + second) / 2
    assert average_end_area(width * first, width * second, length) == pytest.approx(exact)
    assert prismoidal(width * first, middle, width * second, length) == pytest.approx(exact)


@given(SIDE, SIDE, SIDE)
def test_a_frustum_is_exact_by_the_prismoidal_rule_and_too_large_by_end_areas(
    first: float, second: float, height: float
) -> None:
    areas = [math.pi * radius**2 for radius in (first, (first + second) / 2, second)]
    exact = math.pi * height / 3 * (first**2 + first * second + second**2)
    assert prismoidal(*areas, height) == pytest.approx(exact)
    assert average_end_area(areas[0], areas[2], height) >= exact * (1 - 1e-12)
    excess = math.pi * height / 6 * (first - second) ** 2
    assert average_end_area(areas[0], areas[2], height) - exact == pytest.approx(excess, abs=1e-9)


def test_a_cone_is_half_as_large_again_by_end_areas() -> None:
    assert average_end_area(3.0, 0.0, 2.0) / prismoidal(3.0, 0.75, 0.0, 2.0) == pytest.approx(1.5)


def test_stations_add_up() -> None:
    distances = np.array([0.0, 1.0, 3.0])
    assert volume_by_stations(distances, np.array([1.0, 2.0]), np.array([2.0, 4.0])) == pytest.approx(1.5 + 6.0)


def test_a_step_between_stretches_is_kept() -> None:
    distances = np.array([0.0, 1.0, 2.0])
    assert volume_by_stations(distances, np.array([1.0, 0.0]), np.array([1.0, 0.0])) == pytest.approx(1.0)


def test_stations_that_do_not_match_are_refused() -> None:
    with pytest.raises(InputError, match="one less than stations"):
        volume_by_stations(np.array([0.0, 1.0]), np.array([1.0, 2.0]), np.array([1.0, 2.0]))


@pytest.mark.parametrize("bad", [-1.0, math.nan, math.inf])
def test_wrong_values_are_refused(bad: float) -> None:
    for call in (
        lambda: average_end_area(bad, 1.0, 1.0),
        lambda: prismoidal(1.0, bad, 1.0, 1.0),
        lambda: loose_volume(bad, 0.2),
        lambda: hole_volume(bad, 1.0),
        lambda: loads(bad, 1.0),
    ):
        with pytest.raises(InputError, match="expected"):
            call()


@given(floats(0.1, 100.0), floats(0.0, 1.0), floats(1000.0, 2200.0))
def test_swelling_keeps_the_mass(bank: float, swell: float, density: float) -> None:
    assert loose_volume(bank, swell) * loose_density(density, swell) == pytest.approx(bank * density)


@given(integers(0, 500), floats(0.1, 10.0))
def test_whole_loads_are_not_rounded_up(count: int, one: float) -> None:
    assert loads(count * one, one) == count


@given(floats(0.0, 1000.0), floats(0.1, 10.0))
def test_loads_carry_it_all_and_none_is_spare(amount: float, one: float) -> None:
    number = loads(amount, one)
    assert number * one >= amount * (1 - 1e-8) - 1e-8
    assert (number - 1) * one < amount


def test_a_barrow_is_limited_by_weight_in_wet_soil() -> None:
    """Trade figure, no source: a full 6 ft³ of moist soil is 550 to 600 lb and cannot be pushed."""
    six = 6 * CUBIC_FOOT
    density = 575.0 * POUND / six
    assert barrow_load(six, density) == pytest.approx(BARROW_MASS / density)
    assert barrow_load(six, density) < 4 * CUBIC_FOOT
    assert barrow_load(3 * CUBIC_FOOT, density) == 3 * CUBIC_FOOT


def test_every_texture_has_its_soil() -> None:
    from typing import get_args

    from drainwright.job.site import Texture

    assert set(SOILS) == set(get_args(Texture))
    assert SOILS["clay"].swell > SOILS["loam"].swell > SOILS["sand"].swell


def test_packs_are_whole() -> None:
    assert whole(2.0000000000001) == 2.0
    assert whole(2.1, 0.5) == 2.5
    assert whole(0.0) == 0.0
