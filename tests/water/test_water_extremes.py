"""Laws of yearly maxima: public test values, SciPy's laws, the coverage of the band."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import genextreme, gumbel_r

from drainwright.errors import InputError
from drainwright.water.extremes import (
    FittedLaw,
    band,
    fit_maxima,
    never_reached,
    plotting_positions,
    return_of,
)  # fmt: skip

SAMPLE = np.array([2.0, 3.0, 4.0, 2.4, 5.5, 1.2, 5.4, 2.2, 7.1, 1.3, 1.5])  # of tests/published/test_l_moments.py


@pytest.mark.parametrize("shape", [-0.3, -0.1, 0.15, 0.4])
def test_levels_and_periods_are_those_of_scipy(shape: float) -> None:
    law = FittedLaw(name="generalised extreme value", location=3.0, scale=0.7, shape=shape, why="")
    for years in (1.5, 2.0, 10.0, 100.0, 1000.0):
        assert law.level(years) == pytest.approx(genextreme.isf(1.0 / years, shape, 3.0, 0.7), rel=1e-10)
        assert law.period(law.level(years)) == pytest.approx(years, rel=1e-9)
    flat = FittedLaw(name="Gumbel", location=3.0, scale=0.7, shape=0.0, why="")
    assert flat.level(50.0) == pytest.approx(gumbel_r.isf(0.02, 3.0, 0.7), rel=1e-12)
    assert flat.period(flat.level(50.0)) == pytest.approx(50.0, rel=1e-9)


def test_beyond_an_upper_end_never_and_below_a_lower_end_always() -> None:
    ended = FittedLaw(name="generalised extreme value", location=0.0, scale=1.0, shape=0.5, why="")
    assert ended.period(2.5) == math.inf  # its end is at 2
    heavy = FittedLaw(name="generalised extreme value", location=0.0, scale=1.0, shape=-0.5, why="")
    assert heavy.period(-2.5) == 1.0


def test_the_shape_is_told_where_the_sample_tells_it() -> None:
    heavy = genextreme.rvs(-0.4, size=400, random_state=1)
    law = fit_maxima(heavy.tolist())
    assert law is not None
    assert law.name == "generalised extreme value"
    assert law.shape == pytest.approx(-0.4, abs=0.12)


def test_the_band_covers_what_it_says() -> None:
    """300 samples of 30 years of a Gumbel law: the 90 % band of the 50-year level holds the true one in 82 to 95 %.

    The bootstrap is known to cover a little less than it says in small samples; 88 % was measured.
    """
    rng = np.random.Generator(np.random.PCG64(3))
    true, held = gumbel_r.isf(0.02, 0.0, 1.0), 0
    for number in range(300):
        law = fit_maxima(rng.gumbel(0.0, 1.0, 30).tolist())
        assert law is not None
        low, high = band(law, 30, [50.0], seed=number)
        held += bool(low[0] <= true <= high[0])
    assert 0.82 < held / 300 < 0.95


def test_plotting_positions_by_hand() -> None:
    assert plotting_positions(4).tolist() == pytest.approx([(i - 0.44) / 4.12 for i in (1, 2, 3, 4)])
    assert plotting_positions(4, "Cunnane").tolist() == pytest.approx([(i - 0.4) / 4.2 for i in (1, 2, 3, 4)])
    with pytest.raises(InputError, match="kind"):
        plotting_positions(4, "best")


def test_what_was_reached_is_told_by_rank_and_law() -> None:
    years = np.random.Generator(np.random.PCG64(9)).gumbel(10.0, 1.0, 40)
    found = return_of(years.tolist(), float(np.sort(years)[-4]))
    assert (found.reached, found.by_rank) == (4, 10.0)
    assert found.by_law is not None
    assert found.low is not None
    assert found.high is not None
    assert found.low < found.by_law < found.high
    assert max(found.plotted) == pytest.approx((40 + 0.12) / 0.56)
    assert found == return_of(years.tolist(), float(np.sort(years)[-4]))


def test_what_was_never_reached_gets_a_bound_and_no_end() -> None:
    years = np.random.Generator(np.random.PCG64(9)).gumbel(10.0, 1.0, 30)
    found = return_of(years.tolist(), 100.0)
    assert found.beyond
    assert found.by_rank is None
    assert found.high is None
    assert never_reached(30) == pytest.approx(1.0 / (1.0 - 0.05 ** (1.0 / 30.0)))
    assert found.low is not None
    assert found.low <= never_reached(30)


@pytest.mark.parametrize("values", [[1.0] * 30, [1.0, 2.0], [5.0] * 9])
def test_maxima_that_tell_nothing_fit_no_law(values: list[float]) -> None:
    found = return_of(values, 3.0)
    assert found.law is None
    assert found.by_law is None


def test_no_values_are_refused() -> None:
    with pytest.raises(InputError, match="none"):
        return_of([], 1.0)
    with pytest.raises(InputError, match="finite"):
        fit_maxima([1.0, math.nan])


def test_a_level_that_is_all_but_out_of_reach_has_no_period_and_warns_of_nothing() -> None:
    law = fit_maxima(SAMPLE.tolist())
    assert law is not None
    assert law.shape == 0.0
    assert law.period(law.location + 741.0 * law.scale) == math.inf  # its chance has no reciprocal among the floats
    assert return_of(SAMPLE.tolist(), law.location + 741.0 * law.scale).by_law is None
