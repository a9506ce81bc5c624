"""FHWA HDS-2, Highway Hydrology, 2nd ed., FHWA-NHI-02-001, 2002: worked examples, seen in the manual's text."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from drainwright.hydraulics.openflow import full_flow, manning_velocity
from drainwright.job.values import Basis
from drainwright.water.paths import Reach, gathered_time, sheet_time_from_table
from drainwright.water.rain import SECONDS_A_YEAR, RainTable, mean_intensity
from drainwright.water.runoff import composite, rational_flow
from drainwright.water.storms import NRCS_CURVES, design_storm, nrcs_fraction, scaled_increments
from drainwright.water.travel import kinematic_time, shallow_velocity, travel_time

MM_PER_HOUR = 1 / 3.6e6  # m/s
TEN_YEARS = 10 * SECONDS_A_YEAR


def test_example_6_5_even_storm() -> None:
    """P. 6-32: 140 mm/h for 15 min, Baltimore, 10 years: a storm of 35 mm (5.5 in/h, 1.375 in)."""
    table = RainTable(
        durations=(900.0,), return_periods=(TEN_YEARS,), depths=((0.035,),), source="HDS-2", basis=Basis.MAPPED
    )
    storm = design_storm(table, TEN_YEARS, 900.0, "block", 300.0)
    assert storm.intensity == pytest.approx(np.full(3, 140 * MM_PER_HOUR))
    assert mean_intensity(1.375, 0.25) == pytest.approx(5.5)


def test_example_6_6_scaled_storm() -> None:
    """P. 6-35/36: 14.7 mm/h for 6 h is 88.2 mm; hourly fractions 0.05, 0.14, 0.78, 0.90, 0.97, 1.

    Printed to 0.1 mm, after rounding the cumulative depths: 0.1 mm of rounding each way.
    """
    depths = scaled_increments(np.array([0.05, 0.14, 0.78, 0.90, 0.97, 1.0]), 14.7e-3 * 6) * 1000
    assert sum(depths) == pytest.approx(88.2)
    assert depths == pytest.approx([4.4, 7.9, 56.5, 10.6, 6.2, 2.6], abs=0.11)
    assert np.cumsum(depths) == pytest.approx([4.4, 12.3, 68.8, 79.4, 85.6, 88.2], abs=0.06)


@pytest.mark.parametrize(
    ("hour", "one", "one_a", "two", "three"),
    [
        (0.5, 0.008, 0.010, 0.005, 0.005), (3, 0.055, 0.082, 0.035, 0.031), (6, 0.126, 0.206, 0.080, 0.072),
        (9, 0.254, 0.520, 0.147, 0.146), (9.5, 0.303, 0.550, 0.162, 0.166), (10, 0.515, 0.577, 0.181, 0.189),
        (11, 0.624, 0.624, 0.235, 0.250), (11.5, 0.655, 0.645, 0.283, 0.298), (12, 0.682, 0.664, 0.663, 0.500),
        (12.5, 0.706, 0.683, 0.735, 0.702), (13, 0.728, 0.701, 0.772, 0.750), (14, 0.766, 0.736, 0.820, 0.811),
        (18, 0.882, 0.858, 0.921, 0.928), (23, 0.983, 0.978, 0.989, 0.991), (24, 1.0, 1.0, 1.0, 1.0),
    ],
)  # fmt: skip
def test_table_6_5_nrcs_curves(hour: float, one: float, one_a: float, two: float, three: float) -> None:
    """Table 6.5, p. 6-35. Other printings differ by up to 0.002 (type II), so that is the tolerance."""
    for name, value in zip(("type I", "type IA", "type II", "type III"), (one, one_a, two, three), strict=True):
        assert nrcs_fraction(hour * 3600, name) == pytest.approx(value, abs=0.002)


def test_half_hours_left_out_are_straight() -> None:
    """The same table, type II, 1.5 and 2.5 h: 0.016 and 0.028; a public code sample prints 0.017 and 0.029."""
    assert nrcs_fraction(1.5 * 3600, "type II") == pytest.approx(0.0165, abs=0.0011)
    assert nrcs_fraction(2.5 * 3600, "type II") == pytest.approx(0.0285, abs=0.0011)


def test_curves_peak_where_the_manual_says() -> None:
    """Steepest at about 8 h (IA), 10 h (I) and 12 h (II and III)."""
    hours = np.arange(0.0, 24.01, 0.25)
    for name, peak in {"type I": 10.0, "type IA": 8.0, "type II": 12.0, "type III": 12.0}.items():
        steepest = int(np.argmax(np.diff(nrcs_fraction(hours * 3600, name))))
        assert abs(hours[steepest] + 0.125 - peak) <= 0.5, name
    assert all(np.all(np.diff(curve) > 0) for curve in NRCS_CURVES.values())


def test_example_5_5_rational() -> None:
    """P. 5-34/35: 43.7 ha of park, shops and houses; C = 0.32, Tc = 2,180 s, Q = 3.3 m³/s at 85 mm/h."""
    coefficient = composite([0.20, 0.95, 0.40], [21.8, 1.5, 20.4])
    assert coefficient == pytest.approx(0.32, abs=0.005)
    assert sum([90 / 0.30, 300 / 0.64, 650 / 0.46]) == pytest.approx(2180, rel=0.01)
    assert rational_flow(0.32, 85 * MM_PER_HOUR, 43.7e4) == pytest.approx(3.3, rel=0.01)


def test_example_2_1_travel_times() -> None:
    """P. 2-25/26, k from Table 2.2: 1,300 s before and 387 s after development; velocities as printed.

    The channel is printed 0.270 m/s; its own n, R and S give 0.267, 1.03 % less.
    """
    forest, waterway = shallow_velocity(0.76, 0.010), shallow_velocity(4.57, 0.008)
    channel = manning_velocity(0.3, 0.008, 0.15)
    assert forest == pytest.approx(0.076, rel=0.005)
    assert waterway == pytest.approx(0.409, rel=0.005)
    assert channel == pytest.approx(0.270, rel=0.011)
    assert 43 / forest + 79 / waterway + 146 / channel == pytest.approx(1300, rel=0.01)

    grass, paved = shallow_velocity(2.13, 0.01), shallow_velocity(6.19, 0.01)
    pipe = full_flow(0.38, 0.009, 0.011) / (np.pi * 0.38**2 / 4)
    assert grass == pytest.approx(0.213, rel=0.005)
    assert paved == pytest.approx(0.619, rel=0.005)
    assert pipe == pytest.approx(1.8, rel=0.01)
    assert 15 / grass + 15 / paved + 91 / waterway + 128 / pipe == pytest.approx(387, rel=0.01)


@pytest.mark.parametrize(("intensity", "minutes"), [(116, 17), (78, 20), (72, 20)])
def test_example_2_2_kinematic_time(intensity: float, minutes: float) -> None:
    """P. 2-26: n = 0.15, 50 m at 0.005; the manual's trials, printed to the minute (20.5 is printed 20)."""
    time = kinematic_time(0.15, 50.0, 0.005, intensity * MM_PER_HOUR)
    assert time / 60 == pytest.approx(minutes, abs=0.56)


def test_example_2_2_as_a_way() -> None:
    """The iteration itself, on a table that holds the manual's 72 mm/h at 20 min: 20 min, and one reach or two.

    The manual stops where 72 mm/h give 20.5 min; with the rain falling on beyond 20 min it comes to rest at 20.7.
    """
    minutes, rates = (10.0, 17.0, 20.0, 30.0), (116.0, 78.0, 72.0, 55.0)
    table = RainTable(
        durations=tuple(60 * m for m in minutes), return_periods=(TEN_YEARS,),
        depths=tuple((m / 60 * rate / 1000,) for m, rate in zip(minutes, rates, strict=True)),
        source="HDS-2", basis=Basis.MAPPED,
    )  # fmt: skip
    whole = Reach(kind="sheet", length=50.0, slope=0.005, surface="lawn", roughness=0.15)
    half = replace(whole, length=25.0)
    for reaches in ([whole], [half, half]):
        assert sheet_time_from_table(table, TEN_YEARS, reaches, 600.0) / 60 == pytest.approx(20, abs=0.7)


def test_example_2_1_as_ways() -> None:
    """Before development 1,300 s and the channel of it by its section; the manual's own k stands for the rest."""
    channel = Reach(kind="channel", length=146.0, slope=0.008, surface="lawn", roughness=0.15, radius=0.3)
    forest, waterway = shallow_velocity(0.76, 0.010), shallow_velocity(4.57, 0.008)
    assert travel_time(43, forest) + travel_time(79, waterway) + gathered_time(channel) == pytest.approx(1300, rel=0.01)
