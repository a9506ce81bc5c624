"""Made rain: its formulas against its own rain, its seeds, its spells, and what it refuses."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from drainwright.errors import InputError
from drainwright.job.values import Basis
from drainwright.water.rain import RainTable
from drainwright.water.rain_process import FittedProcess, StormKind, as_record, fit_process, fit_to_record, made_rain
from drainwright.water.rain_process.draws import all_cells
from drainwright.water.rain_process.fit import TOLD
from drainwright.water.rain_process.loops import greatest, lay_down
from drainwright.water.rain_process.model import YEAR
from drainwright.water.rain_process.moments import covariance, dry_share, faded, mean, yearly_chance
from drainwright.water.rain_process.rare import FixedDraws, of_period, reached, storm_greatest, yearly_greatest
from drainwright.water.rain_process.record_fit import statistics

COMMON = StormKind(
    rate=90 / YEAR, pace_shape=4.0, pace_time=5400.0, cells=0.5, storm_end=0.05, cell_depth=0.0008, tail=0.8
)
SHORT = StormKind(rate=15 / YEAR, pace_shape=6.0, pace_time=4500.0, cells=0.3, storm_end=0.3, cell_depth=0.004)
PINNED = (196, 1039, 1.8912565359999998)  # spells, start of the second, depth of all [m]
MIXED = FittedProcess(kinds=(COMMON, SHORT), misfit=(), assumed=(), notes=(), source="made up")


def flat_years(process: FittedProcess, years: int, seed: int) -> np.ndarray:
    """Every 5 min of so many years, in whole days, shape (years, steps)."""
    steps = np.zeros((years, 365 * 288))
    for year in range(years):
        cells = all_cells(process.kinds, seed, year)
        lay_down(cells.start, cells.end, cells.intensity, 300.0, steps[year])
    return steps


@pytest.fixture(scope="module")
def many_years() -> np.ndarray:
    return flat_years(MIXED, 400, 11)


@pytest.mark.parametrize("many", [1, 3, 12, 72, 288])
def test_made_rain_has_the_statistics_of_the_formulas(many_years: np.ndarray, many: int) -> None:
    """Mean, variance, lag-one correlation and dry share at 5 min, 15 min, 1 h, 6 h, 24 h, within four standard errors
    of 400 independent years."""
    rain, step = many_years.reshape(len(many_years), -1, many).sum(axis=2), 300.0 * many
    middle = mean(MIXED.kinds, step)
    told = {
        "mean": (rain.mean(axis=1), middle),
        "variance": (((rain - middle) ** 2).mean(axis=1), covariance(MIXED.kinds, step)),
        "lag": (((rain[:, 1:] - middle) * (rain[:, :-1] - middle)).mean(axis=1), covariance(MIXED.kinds, step, 1)),
        "dry": ((rain == 0.0).mean(axis=1), dry_share(MIXED.kinds, step)),
    }
    for name, (by_year, formula) in told.items():
        error = by_year.std(ddof=1) / math.sqrt(len(by_year))
        assert abs(by_year.mean() - formula) < 4.0 * error, name
        assert error < 0.06 * abs(formula), f"{name}: too few years to tell"


def test_variance_of_a_long_step_is_that_of_its_short_ones() -> None:
    """Exact: the variance of four steps together is 4 var + 6 cov1 + 4 cov2 + 2 cov3 of one."""
    one = [covariance(MIXED.kinds, 900.0, lag) for lag in range(4)]
    assert covariance(MIXED.kinds, 3600.0) == pytest.approx(4 * one[0] + 6 * one[1] + 4 * one[2] + 2 * one[3])


def test_single_cells_have_the_textbook_variance() -> None:
    """A Poisson process of lone pulses of one pace: variance 4 rate m² (h - (1 - exp(-pace h)) / pace) with the mean
    cell depth m = intensity / pace and exponential intensities (as the cluster formulas give without cells that
    follow)."""
    pace, step = 1 / 1200.0, 1800.0
    lone = StormKind(rate=1e-5, pace_shape=1e5, pace_time=1e5 / pace, cells=1e-12, storm_end=0.5, cell_depth=0.002)
    expected = 4.0 * 1e-5 * 0.002**2 * (step - (1.0 - math.exp(-pace * step)) / pace)
    assert covariance((lone,), step) == pytest.approx(expected, rel=1e-3)
    assert -math.log(dry_share((lone,), step)) == pytest.approx(1e-5 * (step + 1 / pace), rel=1e-3)


def test_faded_is_the_mean_over_the_law_of_pace() -> None:
    from scipy import integrate, stats

    law = stats.gamma(COMMON.pace_shape, scale=1 / COMMON.pace_time)
    found, _ = integrate.quad(lambda pace: law.pdf(pace) * -math.expm1(-pace * 3000.0) / pace, 0.0, law.ppf(1 - 1e-12))
    assert faded(COMMON, 3000.0) == pytest.approx(found, rel=1e-6)


def test_yearly_depth_is_rates_times_storms() -> None:
    assert MIXED.yearly_depth == pytest.approx(90 * 11 * 0.0008 + 15 * 2 * 0.004)
    assert MIXED.yearly_depth == pytest.approx(mean(MIXED.kinds, YEAR))


def test_a_year_is_the_same_alone_and_among_others() -> None:
    whole, alone = made_rain(MIXED, 4, 5), made_rain(MIXED, 1, 5, first_year=2)
    count = whole.steps_a_year
    third = [spell for spell in whole.spells if 2 * count <= spell.start < 3 * count]
    assert [spell.start - 2 * count for spell in third] == [spell.start for spell in alone.spells]
    assert all(np.array_equal(a.depths, b.depths) for a, b in zip(third, alone.spells, strict=True))
    other = made_rain(MIXED, 1, 6, first_year=2)
    assert [spell.start for spell in other.spells] != [spell.start for spell in alone.spells]


def test_a_seed_is_pinned() -> None:
    """A regression on our own rain: the same seed must give the same rain in years to come."""
    made = made_rain(MIXED, 2, 1)
    assert (len(made.spells), made.spells[1].start) == PINNED[:2]
    assert sum(float(spell.depths.sum()) for spell in made.spells) == pytest.approx(PINNED[2], abs=1e-9)


def test_spells_hold_all_rain_and_are_parted_by_dry_time() -> None:
    made = made_rain(MIXED, 3, 8)
    steps = flat_years(MIXED, 1, 8)[0]
    count = made.steps_a_year
    first = np.zeros(count)
    for spell in made.spells:
        assert min(spell.depths[0], spell.depths[-1]) > 0.0
        if spell.start < count:
            first[spell.start : spell.start + len(spell.depths)] = spell.depths
    assert first[: len(steps)] == pytest.approx(steps, abs=1e-9)
    for before, after in zip(made.spells[:-1], made.spells[1:], strict=True):
        if before.start // count == after.start // count:
            assert after.start - before.start - len(before.depths) >= 72


def test_finer_steps_hold_the_same_rain() -> None:
    coarse, fine = (sum(s.depths.sum() for s in made_rain(MIXED, 2, 3, step).spells) for step in (300.0, 60.0))
    assert fine == pytest.approx(coarse, rel=1e-5)


def test_greatest_window_of_two_cells() -> None:
    """By hand: 600 s of 1 mm/s and, 300 s later, 300 s of 2 mm/s. 300 s: 600 mm; 600 s: 600 mm; 900 s:
    300 s of the first, the gap, and all of the second: 900 mm; 1200 s: all, 1200 mm."""
    found = np.zeros(4)
    start, end, rate = np.array([0.0, 900.0]), np.array([600.0, 1200.0]), np.array([1.0, 2.0])
    greatest(start, end, rate, np.array([300.0, 600.0, 900.0, 1200.0]), found)
    assert found == pytest.approx([600.0, 600.0, 900.0, 1200.0])


def test_greatest_window_is_that_of_a_fine_clock() -> None:
    """Against running sums of a year in 10 s steps: never below, and above by less than a step's rain."""
    cells = all_cells(MIXED.kinds, 4, 0)
    steps = np.zeros(round(YEAR / 10.0))
    lay_down(cells.start, cells.end, cells.intensity, 10.0, steps)
    total = np.concatenate([[0.0], np.cumsum(steps)])
    durations = np.array([300.0, 3600.0, 86400.0])
    found = yearly_greatest(MIXED.kinds, 1, 4, durations)[:, 0]
    for duration, depth in zip(durations, found, strict=True):
        many = round(duration / 10.0)
        clock = float((total[many:] - total[:-many]).max())
        assert clock * (1 - 1e-9) <= depth <= clock + 2.0 * steps.max()


def test_storms_alone_and_whole_years_agree_on_short_rare_rain() -> None:
    """Two ways to the same figure, by other draws: the rate of storms, and yearly maxima by Langbein's relation."""
    durations, periods = np.array([300.0, 900.0]), np.array([2.0, 5.0, 10.0])
    draws = [FixedDraws.of(8000, 3, number) for number in range(2)]
    storms = [storm_greatest(kind, each, durations) for kind, each in zip(MIXED.kinds, draws, strict=True)]
    alone = reached(storms, [kind.rate for kind in MIXED.kinds], periods * YEAR)
    whole = of_period(yearly_greatest(MIXED.kinds, 1000, 9, durations), periods)
    assert alone == pytest.approx(whole, rel=0.07)


def test_langbein_relation() -> None:
    """From memory, Langbein (1949): 2 years of partial duration are 2.54 of yearly maxima, 10 years 10.5."""
    assert 1.0 / yearly_chance(2.0) == pytest.approx(2.54, abs=0.01)
    assert 1.0 / yearly_chance(10.0) == pytest.approx(10.5, abs=0.01)


def test_record_of_made_rain_fits_back() -> None:
    """The second way of fitting, on rain whose process is known: variance and dry share return."""
    one = dataclasses.replace(COMMON, tail=1.0)
    process = FittedProcess(kinds=(one,), misfit=(), assumed=(), notes=(), source="made up")
    record = as_record(made_rain(process, 25, 2))
    assert (record.wet_only, record.step) == (True, 300.0)
    fitted = fit_to_record(record)
    assert fitted.yearly_depth == pytest.approx(process.yearly_depth, rel=0.08)
    for step in (300.0, 3600.0, 86400.0):
        seen = statistics(record, step)
        assert covariance(fitted.kinds, step) == pytest.approx(seen.variance, rel=0.05)
        assert 1 - dry_share(fitted.kinds, step) == pytest.approx(1 - seen.dry, rel=0.05)
    assert fitted.kinds[0].rate == pytest.approx(one.rate, rel=0.25)
    assert fitted.kinds[0].cell_depth == pytest.approx(one.cell_depth, rel=0.35)


def table(**changes: object) -> RainTable:
    hours = (300.0, 900.0, 3600.0, 21600.0, 86400.0)
    two = (0.010, 0.020, 0.035, 0.055, 0.080)
    values = {
        "durations": hours,
        "return_periods": tuple(years * YEAR for years in (2.0, 10.0, 100.0)),
        "depths": tuple((depth, 1.45 * depth, 2.2 * depth) for depth in two),
        "source": "made up",
        "basis": Basis.STATED,
    }
    return RainTable(**(values | changes))  # type: ignore[arg-type]


def test_a_fit_meets_depth_and_number_and_tells_its_misfit() -> None:
    fitted = fit_process(table(), 0.9, 80.0)
    assert fitted.yearly_depth == pytest.approx(0.9)
    assert fitted.storms_a_year == pytest.approx(80.0)
    assert len(fitted.assumed) == 1  # only that it knows no seasons
    assert fitted.worst is not None
    far = [each for each in fitted.misfit if abs(each.share) > TOLD]
    assert bool(fitted.notes) == bool(far)
    assert np.mean([abs(each.share) for each in fitted.misfit]) < 0.06


def test_a_fit_is_the_same_each_time(monkeypatch: pytest.MonkeyPatch) -> None:
    from drainwright.water.rain_process import fit

    monkeypatch.setattr(fit, "_STORMS", (300, 600))
    monkeypatch.setattr(fit, "_ROUND_YEARS", 50)
    monkeypatch.setattr(fit, "_CHECK_YEARS", 50)
    assert fit_process(table(), 0.9, 80.0) == fit_process(table(), 0.9, 80.0)
    assert fit_process(table(), 0.9, 80.0) != fit_process(table(), 0.91, 80.0)


def test_a_table_of_yearly_maxima_means_more_frequent_rain() -> None:
    """The two-year rain of yearly maxima comes every 1.44 years on the mean."""
    from drainwright.water.rain_process import fit

    _, between, _ = fit._wanted(table(), annual_maxima=True)
    assert between[[0, 2, 5]] == pytest.approx([1.4427, 9.4912, 99.4992], abs=1e-4)
    assert fit._wanted(table(), annual_maxima=False)[1] == pytest.approx([2.0, 5.0, 10.0, 25.0, 50.0, 100.0])


def test_what_is_not_stated_is_marked_assumed() -> None:
    from drainwright.water.rain_process.fit import _stated

    depth, storms, assumed = _stated(table(), None, None)
    assert depth == pytest.approx(13.0 * 0.080)
    assert storms == pytest.approx(104.0)
    assert all("assumed" in words for words in assumed[:2])


@pytest.mark.parametrize(
    ("given", "word"),
    [
        ({"yearly_depth": -1.0}, "yearly_depth"),
        ({"yearly_depth": math.nan}, "yearly_depth"),
        ({"storms_a_year": 1.0}, "storms_a_year"),
    ],
)
def test_a_fit_refuses_what_cannot_be(given: dict[str, float], word: str) -> None:
    with pytest.raises(InputError, match=word):
        fit_process(table(), given.get("yearly_depth"), given.get("storms_a_year"))


def test_a_fit_refuses_a_table_of_too_little() -> None:
    with pytest.raises(InputError, match="three durations"):
        fit_process(table(durations=(3600.0,), depths=((0.03, 0.04, 0.06),)))


@pytest.mark.parametrize(
    "given", [{"years": 0}, {"seed": -1}, {"step": 0.0}, {"step": 700.0}, {"apart": 10.0}, {"first_year": -1}]
)
def test_made_rain_refuses_what_cannot_be(given: dict[str, float]) -> None:
    with pytest.raises(InputError):
        made_rain(MIXED, **({"years": 1, "seed": 1} | given))  # type: ignore[arg-type]


@pytest.mark.parametrize("given", [{"rate": 0.0}, {"pace_shape": 1.0}, {"storm_end": 1.0}, {"tail": math.inf}])
def test_a_kind_refuses_what_cannot_be(given: dict[str, float]) -> None:
    with pytest.raises(InputError, match=next(iter(given))):
        dataclasses.replace(COMMON, **given)
