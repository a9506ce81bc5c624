"""Drift over visits: exact lines, scipy's own fit, and bands that hold the truth."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import curve_fit

from drainwright.errors import InputError
from drainwright.proving.drift import drift

YEAR = 31557600.0


def test_an_exact_line_comes_down_when_it_does() -> None:
    times = [0.0, YEAR, 2 * YEAR, 3 * YEAR]
    found = drift(times, [50.0, 48.0, 46.0, 44.0], [0.5] * 4, 40.0)
    assert found.likely / YEAR == pytest.approx(5.0)
    assert found.earliest < found.likely < found.latest
    assert found.falls
    assert not found.rough


def test_line_and_band_are_those_of_scipys_fit() -> None:
    noise = np.random.default_rng(3)
    times = np.arange(6) * YEAR
    values = 50.0 - 1.5 * np.arange(6) + noise.normal(0, 0.4, 6)
    errors = np.array([0.4, 0.4, 0.8, 0.4, 0.8, 0.4])
    best, spread = curve_fit(lambda t, a, b: a + b * t / YEAR, times, values, sigma=errors, absolute_sigma=True)
    found = drift(times, values, errors, 30.0)
    assert found.slope * YEAR == pytest.approx(best[1], rel=1e-6)
    assert found.slope_band * YEAR == pytest.approx(1.959964 * spread[1, 1] ** 0.5, rel=1e-5)
    assert found.likely / YEAR == pytest.approx((30.0 - best[0]) / best[1], rel=1e-6)
    for at in (found.earliest, found.latest):  # at the ends the line's own band just touches the limit
        row = np.array([1.0, at / YEAR])
        band = 1.959964 * (row @ spread @ row) ** 0.5
        assert abs(row @ best - 30.0) == pytest.approx(band, rel=1e-4)


def test_the_band_of_the_date_holds_the_truth() -> None:
    held = 0
    for seed in range(200):
        noise = np.random.default_rng(seed)
        times = np.arange(5) * YEAR
        values = 50.0 - 2.0 * np.arange(5) + noise.normal(0, 0.6, 5)
        found = drift(times, values, [0.6] * 5, 36.0)
        held += found.earliest <= 7.0 * YEAR <= found.latest
    assert 180 <= held <= 199  # 95 in 100 are wanted


def test_a_flow_that_does_not_fall_has_no_date() -> None:
    found = drift([0.0, YEAR, 2 * YEAR], [50.0, 50.1, 49.9], [0.5] * 3, 40.0)
    assert not found.falls
    assert np.isinf(found.latest)
    rising = drift([0.0, YEAR, 2 * YEAR], [50.0, 52.0, 54.0], [0.5] * 3, 40.0)
    assert np.isinf(rising.likely)


def test_below_the_limit_already_is_now() -> None:
    found = drift([0.0, YEAR, 2 * YEAR], [40.0, 35.0, 30.0], [0.5] * 3, 36.0)
    assert found.earliest == found.likely == found.latest == 2 * YEAR


@pytest.mark.parametrize("times", [[0.0, YEAR], [0.0, 0.0, YEAR]])
def test_too_few_readings_are_refused(times: list[float]) -> None:
    with pytest.raises(InputError):
        drift(times, [1.0] * len(times), [0.1] * len(times), 0.5)
