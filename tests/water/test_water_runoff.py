"""Runoff, travel time and infiltration: laws that hold for every value, and what is refused."""

from __future__ import annotations

from typing import get_args

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from site_of import RAIN

from drainwright.errors import InputError
from drainwright.job.place import Rain
from drainwright.job.site import Surface, Texture
from drainwright.water.paths import Reach, sheet_time_from_table, way_time
from drainwright.water.rain import SECONDS_A_YEAR, rain_table
from drainwright.water.runoff import (
    composite,
    curve_number,
    curve_number_runoff,
    graphical_peak,
    rare_storm_factor,
    rational_flow,
    retention,
    runoff_coefficient,
    unconnected_curve_number,
)
from drainwright.water.soil import SOILS, green_ampt_excess, green_ampt_ponded, green_ampt_step
from drainwright.water.travel import kinematic_time

TABLE = rain_table(Rain.model_validate(RAIN))
TEN = 10 * SECONDS_A_YEAR
SURFACES: tuple[Surface, ...] = get_args(Surface)
TEXTURES: tuple[Texture, ...] = get_args(Texture)
SLOPES = st.floats(0.0, 0.3)


@given(st.sampled_from(SURFACES), st.sampled_from(TEXTURES), SLOPES, SLOPES)
def test_coefficients_are_fractions_that_rise_with_slope(
    surface: Surface, texture: Texture, one: float, other: float
) -> None:
    low, high = (runoff_coefficient(surface, texture, slope) for slope in sorted((one, other)))
    assert 0.0 < low <= high < 1.0
    assert low <= runoff_coefficient("concrete", texture, one)


def test_lawn_on_sand_sheds_less_than_on_clay() -> None:
    assert runoff_coefficient("lawn", "sand", 0.03) == 0.15
    assert runoff_coefficient("lawn", "clay", 0.03) == 0.22
    assert curve_number("lawn", "sand") < curve_number("lawn", "clay") < curve_number("concrete", "sand")


def test_every_texture_has_a_whole_row() -> None:
    assert set(SOILS) == set(TEXTURES)
    for soil in SOILS.values():
        assert 0.0 < soil.drainable_porosity < soil.effective_porosity <= soil.porosity < 1.0
        assert 2 * soil.infiltration_conductivity <= soil.saturated_conductivity * (1 + 1e-12)


@pytest.mark.parametrize(("years", "factor"), [(2, 1.0), (10, 1.0), (25, 1.1), (50, 1.2), (100, 1.25), (500, 1.25)])
def test_rare_storms_raise_the_coefficient(years: float, factor: float) -> None:
    assert rare_storm_factor(years * SECONDS_A_YEAR) == pytest.approx(factor)


@given(st.lists(st.tuples(st.floats(0.0, 1.0), st.floats(0.1, 100.0)), min_size=1, max_size=6))
def test_composite_lies_within_its_parts(parts: list[tuple[float, float]]) -> None:
    values, areas = [value for value, _ in parts], [area for _, area in parts]
    assert min(values) - 1e-12 <= composite(values, areas) <= max(values) + 1e-12


@given(st.floats(0.001, 0.5), st.floats(30.0, 100.0))
def test_no_more_runs_off_than_falls(rain: float, number: float) -> None:
    assert 0.0 <= curve_number_runoff(rain, retention(number)) <= rain * (1 + 1e-12)


@given(st.floats(40.0, 98.0), st.floats(0.0, 0.3))
def test_roofs_that_wet_the_lawn_lower_the_curve_number(pervious: float, share: float) -> None:
    joined = unconnected_curve_number(pervious, share, 0.0)
    assert joined == pytest.approx(composite([pervious, 98.0], [1.0 - share, share]))
    assert pervious - 1e-12 <= unconnected_curve_number(pervious, share, 1.0) <= joined + 1e-12


def sheet(length: float, slope: float, surface: Surface = "lawn") -> Reach:
    return Reach(kind="sheet", length=length, slope=slope, surface=surface)


def test_sheet_time_meets_its_own_rain() -> None:
    """The time found is the duration at whose intensity the kinematic formula gives that time (brentq beside it)."""
    from scipy.optimize import brentq

    found = sheet_time_from_table(TABLE, TEN, [sheet(30.0, 0.005)], least=300.0)
    root = brentq(
        lambda t: kinematic_time(0.24, 30.0, 0.005, TABLE.intensity(t, TEN)) - t, 300.0, 7200.0, xtol=1e-9
    )  # fmt: skip
    assert found == pytest.approx(root, rel=1e-9)
    assert found > 300.0


@given(st.floats(0.05, 0.95))
def test_a_sheet_told_in_two_parts_takes_no_longer(share: float) -> None:
    """Where to cut it is a matter of notes; NRCS sheet flow, summed, would take up to 32 % longer in two parts."""
    whole = sheet_time_from_table(TABLE, TEN, [sheet(30.0, 0.005)], least=300.0)
    parts = [sheet(30.0 * share, 0.005), sheet(30.0 * (1.0 - share), 0.005)]
    assert sheet_time_from_table(TABLE, TEN, parts, least=300.0) == pytest.approx(whole, rel=1e-9)


def test_two_sheets_of_different_ground_take_the_time_of_the_integral() -> None:
    """Water runs down a sheet whose flow is i x: dt = dx / (5/3 α y^(2/3)) with α y^(5/3) = i x, by scipy's quad;

    10 m of lawn above 8 m of concrete. HDS-2 rounds a constant of 6.99 to 6.9: 1.3 % of the difference is that.
    """
    from scipy.integrate import quad

    found = sheet_time_from_table(TABLE, TEN, [sheet(10.0, 0.02), sheet(8.0, 0.01, "concrete")], least=300.0)
    rain = TABLE.intensity(found, TEN)

    def slowness(x: float, alpha: float) -> float:
        return float(0.6 / (alpha * (rain * x / alpha) ** 0.4))

    exact = quad(slowness, 0.0, 10.0, args=(0.02**0.5 / 0.24,))[0] + quad(slowness, 10.0, 18.0, args=(0.1 / 0.011,))[0]
    assert found == pytest.approx(exact, rel=0.015)


@given(st.sampled_from(SURFACES), st.floats(1.0, 30.0), st.floats(0.0, 0.2))
def test_a_way_is_never_shorter_than_the_least(surface: Surface, length: float, slope: float) -> None:
    reach = sheet(length, slope, surface)
    time, gathered = way_time(TABLE, TEN, [reach], 300.0)
    assert time >= 300.0
    assert gathered == 0.0
    further = Reach(kind="shallow", length=10.0, slope=slope, surface=surface)
    longer, rest = way_time(TABLE, TEN, [reach, further], 300.0)
    assert longer == pytest.approx(time + rest)
    assert rest > 0.0


def test_gathered_water_alone_takes_the_least_time_too() -> None:
    swale = Reach(kind="channel", length=10.0, slope=0.02, surface="lawn", roughness=0.05, radius=0.1)
    assert way_time(TABLE, TEN, [swale], 300.0)[0] == 300.0


def test_ground_too_slow_for_the_table_is_refused() -> None:
    brief = rain_table(Rain.model_validate({**RAIN, "table": RAIN["table"][:2]}))
    with pytest.raises(InputError, match="which the rain table covers"):
        way_time(brief, TEN, [sheet(30.0, 0.0)], 300.0)


@pytest.mark.parametrize(
    "call",
    [
        lambda: rational_flow(1.2, 1e-5, 10.0),
        lambda: rational_flow(0.5, -1e-5, 10.0),
        lambda: composite([0.5], [0.0]),
        lambda: composite([0.5], [1.0, 2.0]),
        lambda: retention(0.0),
        lambda: retention(101.0),
        lambda: unconnected_curve_number(70.0, 0.4, 0.5),
        lambda: graphical_peak("type II", 0.1, 75.0, 300.0, 1e4),
        lambda: graphical_peak("type V", 0.1, 75.0, 600.0, 1e4),
        lambda: SOILS["loam"].deficit(1.1),
        lambda: green_ampt_excess([0.01, -0.01], 600.0, 1e-6, 0.1, 0.3),
        lambda: green_ampt_excess([0.01], 600.0, 0.0, 0.1, 0.3),
    ],
)
def test_values_that_cannot_be_used(call: object) -> None:
    with pytest.raises(InputError, match="expected"):
        call()  # type: ignore[operator]


@given(
    st.sampled_from(TEXTURES), st.lists(st.floats(0.0, 0.05), min_size=1, max_size=20), st.floats(60.0, 3600.0),
    st.floats(0.0, 1.0),
)  # fmt: skip
def test_infiltration_takes_no_more_than_rains(
    texture: Texture, depths: list[float], step: float, wetness: float
) -> None:
    soil = SOILS[texture]
    excess = green_ampt_excess(depths, step, soil.infiltration_conductivity, soil.suction, soil.deficit(wetness))
    assert np.all(excess >= 0.0)
    assert np.all(excess <= np.array(depths) + 1e-12)
    wetter = green_ampt_excess(depths, step, soil.infiltration_conductivity, soil.suction, 0.0)
    assert wetter.sum() >= excess.sum() - 1e-9


@given(st.sampled_from(TEXTURES), st.floats(0.0, 0.2), st.floats(1.0, 86400.0))
def test_ponded_depth_satisfies_the_equation(texture: Texture, before: float, time: float) -> None:
    soil = SOILS[texture]
    rate, store = soil.infiltration_conductivity, soil.suction * soil.deficit(0.3)
    total = green_ampt_ponded(before, time, rate, soil.suction, soil.deficit(0.3))
    left = total - before - store * np.log((total + store) / (before + store))
    assert left == pytest.approx(rate * time, rel=1e-6, abs=1e-14)


def test_two_short_steps_are_one_long_step() -> None:
    soil = SOILS["loam"]
    ground = (soil.infiltration_conductivity, soil.suction, soil.deficit(0.4))
    once = green_ampt_step(0.0, 0.03, 1200.0, *ground)
    twice = green_ampt_step(green_ampt_step(0.0, 0.015, 600.0, *ground), 0.015, 600.0, *ground)
    assert once == pytest.approx(twice, rel=1e-9)
