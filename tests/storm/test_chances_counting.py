"""Wet years counted in sets: against closed forms, the truth within the band as often as stated."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import binomtest

from drainwright.errors import InputError
from drainwright.job.values import Basis
from drainwright.storm.chances.counting import counted
from drainwright.storm.chances.model import Law, Uncertain
from drainwright.storm.chances.sampling import unit_sample, values_of

SCALE, THRESHOLD = 0.12, 1.0  # of Gumbel's law of the yearly maxima, and the slab [m]


def inputs(spread: float) -> Uncertain:
    """The law's location, which nobody knows for sure."""
    law: Law = "normal"
    return Uncertain(
        key="x", name="x", law=law, low=0.6 - spread, middle=0.6, high=0.6 + spread, unit="m", basis=Basis.ASSUMED,
        why="test",
    )  # fmt: skip


def passing(location: np.ndarray) -> np.ndarray:
    """Chance that the maximum of a year passes the threshold, in closed form."""
    return -np.expm1(-np.exp(-(THRESHOLD - location) / SCALE))


def truth(spread: float) -> float:
    fine = (np.arange(20000) + 0.5) / 20000
    return float(passing(values_of(inputs(spread), fine)).mean())


def tried(
    spread: float, sets: int, years: int, seed: int, *, record: bool = False, strata: bool = False
) -> tuple[np.ndarray, np.ndarray]:
    """Wet years of sampled sets, their maxima drawn from the law by its inverse; a record's years are shared."""
    unit = unit_sample(sets, 1, seed)[:, 0] if strata else np.random.default_rng(seed).random(sets)
    location = values_of(inputs(spread), unit)
    unit = np.random.default_rng(seed + 10**6).random((1 if record else sets, years))
    maxima = location[:, None] - SCALE * np.log(-np.log(unit))
    which = np.broadcast_to(np.arange(years), maxima.shape).astype(np.int64)
    return (maxima >= THRESHOLD).astype(np.float64), which


CASES = [(0.0, 40, 10, False), (0.2, 40, 10, False), (0.2, 200, 2, False), (0.3, 24, 30, False), (0.2, 40, 60, True)]


@pytest.mark.parametrize("strata", [False, True])
@pytest.mark.parametrize(("spread", "sets", "years", "record"), CASES)
def test_the_truth_lies_within_the_band_nine_times_of_ten(
    spread: float, sets: int, years: int, record: bool, strata: bool
) -> None:
    """Nine of ten, or more: exact bands cover somewhat more, and strata make sets tell more than the band counts on."""
    known, inside, estimates = truth(spread), 0, []
    for seed in range(400):
        wet, which = tried(spread, sets, years, seed, record=record, strata=strata)
        told = counted(wet, which if record else None)
        inside += told.band.low <= known <= told.band.high
        estimates.append(told.band.middle)
    assert inside / 400 >= 0.87
    assert strata or inside / 400 <= 0.97
    assert np.mean(estimates) == pytest.approx(known, abs=4.0 * float(np.std(estimates)) / 20.0)


def test_years_counted_as_independent_would_cover_too_seldom() -> None:
    """The check that the clusters matter: sets drawn freely, whose years have much in common."""
    dice, known, naive, inside = np.random.default_rng(3), 0.1, 0, 0
    for _ in range(400):
        chances = np.where(dice.random(40) < 0.125, 0.8, 0.0)
        wet = (dice.random((40, 20)) < chances[:, None]).astype(np.float64)
        told = counted(wet)
        inside += told.band.low <= known <= told.band.high
        alone = binomtest(int(wet.sum()), wet.size).proportion_ci(0.9, method="exact")
        naive += alone.low <= known <= alone.high
    assert naive / 400 < 0.6
    assert inside / 400 >= 0.86


def test_sets_of_one_year_each_are_nearly_counted_one_by_one() -> None:
    wet = np.zeros((2000, 1))
    wet[:20] = 1.0
    told, alone = counted(wet), binomtest(20, 2000).proportion_ci(0.9, method="exact")
    assert (told.band.low, told.band.high) == pytest.approx((alone.low, alone.high), rel=0.01)
    assert told.worth == pytest.approx(2000.0, rel=0.01)


def test_none_counted_is_an_upper_bound_and_never_nothing() -> None:
    told = counted(np.zeros((60, 5)))
    assert told.band.low == 0.0
    assert told.band.high == pytest.approx(1.0 - 0.05 ** (1 / 60))
    assert told.band.high == pytest.approx(3.0 / 60, rel=0.03)
    assert told.alike == pytest.approx(1.0 - 0.05 ** (1 / 300))
    assert counted(np.ones((60, 5))).band.low == pytest.approx(0.05 ** (1 / 60))
    years = np.broadcast_to(np.arange(5), (60, 5)).astype(np.int64)
    assert counted(np.zeros((60, 5)), years).band.high == pytest.approx(1.0 - 0.05 ** (1 / 5))


def test_the_bound_of_none_counted_holds_however_alike_the_years_of_a_set_are() -> None:
    """Sets wet in all years or in none: with a chance at the bound, none is counted once in twenty."""
    bound = counted(np.zeros((30, 10))).band.high
    assert (1.0 - bound) ** 30 == pytest.approx(0.05)
    dice = np.random.default_rng(4)
    none = np.mean([not (dice.random(30) < bound).any() for _ in range(4000)])
    assert none == pytest.approx(0.05, abs=0.012)


def test_years_that_do_not_count_are_left_out() -> None:
    wet = np.array([[1.0, math.nan], [0.0, 0.0], [0.0, 1.0]])
    told = counted(wet)
    assert (told.years, told.wet, told.sets) == (5, 2, 3)


@pytest.mark.parametrize("wrong", [np.zeros((1, 5)), np.full((3, 2), 0.5), np.full((3, 2), math.nan)])
def test_too_few_sets_and_half_years_are_refused(wrong: np.ndarray) -> None:
    with pytest.raises(InputError, match="expected"):
        counted(wrong)
