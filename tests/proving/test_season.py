"""A soil's conductivity out of pump counts and rain: seasons whose truth is known, made by an ODE solver."""

from __future__ import annotations

from datetime import date
from functools import cache

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from drainwright.errors import InputError
from drainwright.proving.season import Learnt, Lot, ground_volumes, learn_conductivity, volumes_of
from drainwright.proving.words import oddities

LOT = Lot(length=30.0, reach=8.0, below=1.5, direct=60.0)
BAND, PUMP, DAY = 0.1, 0.0025, 86400.0
MIDDLE, FACTOR, POROSITY, DAYS = 5e-6, 10.0, 0.10, 90
DEVIATION = float(np.log(FACTOR) / 1.6449)


def rain_of(noise: np.random.Generator) -> np.ndarray:  # type: ignore[type-arg]
    """A day in four is wet, with 15 mm in the middle of an exponential law."""
    return np.asarray(np.where(noise.random(DAYS) < 0.25, noise.exponential(0.015, DAYS), 0.0))


def solved(rain: np.ndarray, k: float, s: float, c: float, first: float) -> np.ndarray:  # type: ignore[type-arg]
    """Ground water of each day by scipy's integrator, a day at a time. [m³]"""
    found, h = [], first

    def rate(depth: float):  # type: ignore[no-untyped-def]
        def of(_: float, y: np.ndarray) -> list[float]:  # type: ignore[type-arg]
            out = k * y[0] * (2 * LOT.below + y[0]) / (2 * LOT.reach)
            return [(c * depth / DAY * LOT.reach - out) / (np.pi / 4 * s * LOT.reach), 2 * LOT.length * out]

        return of

    for depth in rain:
        end = solve_ivp(rate(float(depth)), (0, DAY), [h, 0.0], method="LSODA", rtol=1e-6, atol=1e-9).y[:, -1]
        h = float(end[0])
        found.append(float(end[1]))
    return np.array(found)


@cache
def season(seed: int) -> tuple[float, np.ndarray, np.ndarray]:  # type: ignore[type-arg]
    """The true conductivity, rain and counts; the soil is drawn as it is believed to lie."""
    noise = np.random.default_rng(seed)
    k = MIDDLE * float(np.exp(DEVIATION * noise.normal()))
    s = POROSITY * float(np.exp(0.3 * noise.normal()))
    c = 1.0 / (1.0 + float(np.exp(-(np.log(0.3 / 0.7) + 0.6 * noise.normal()))))
    a = 0.85 + 0.1 * noise.normal()
    rain = rain_of(noise)
    first = c * 0.25 * 0.015 * LOT.reach / DAY * 2 * LOT.reach / k  # about what the mean rain holds up
    first = float(np.sqrt(LOT.below**2 + first) - LOT.below) * float(np.exp(0.3 * noise.normal()))
    volume = solved(rain, k, s, c, first) + LOT.direct * a * rain
    volume *= 1.0 + 0.05 * noise.normal(size=DAYS)
    cycles = np.cumsum(volume / (BAND / (1.0 - volume / DAY / PUMP)))
    return k, rain, np.diff(np.floor(cycles), prepend=0.0)


def learnt(rain: np.ndarray, starts: np.ndarray) -> Learnt:  # type: ignore[type-arg]
    before = (MIDDLE / FACTOR, MIDDLE, MIDDLE * FACTOR)
    return learn_conductivity(LOT, rain, starts, band=BAND, pump=PUMP, before=before, porosity=POROSITY)


def test_the_days_are_those_of_an_ode_solver() -> None:
    rain = rain_of(np.random.default_rng(2))[:30]
    for k, s in ((1e-6, 0.08), (1e-5, 0.15)):
        mine = ground_volumes(LOT, rain, np.array([k]), np.array([s]), np.array([0.3]), np.array([0.2]))[:, 0]
        theirs = solved(rain, k, s, 0.3, 0.2)
        assert mine.sum() == pytest.approx(theirs.sum(), rel=0.02)
        assert np.max(np.abs(mine - theirs)) < 0.12 * theirs.max()


def test_the_conductivity_lies_in_its_band_in_90_of_100_seasons() -> None:
    held, rough, spreads = 0, 0, []
    for seed in range(100):
        k, rain, starts = season(seed)
        found = learnt(rain, starts)
        rough += found.rough
        held += found.low <= k <= found.high
        spreads.append(found.spread / found.prior)
    assert held >= 90
    assert rough <= 5
    assert np.median(spreads) < 0.5  # and it is worth having: half as wide as before, or less


def misnoted(starts: np.ndarray, noise: np.random.Generator) -> np.ndarray:  # type: ignore[type-arg]
    """Three days noted wrongly: one left out, one far too many, one half."""
    none, many, half = noise.choice(len(starts), 3, replace=False)
    wrong = starts.copy()
    wrong[none], wrong[many], wrong[half] = 0.0, 2.0 * wrong[many] + 10.0, np.floor(wrong[half] / 2.0)
    return wrong


def test_the_band_holds_with_days_noted_wrongly_and_in_short_seasons() -> None:
    """Squares of all days alike held the truth in 85 of 100 seasons with three wrong days."""
    held = {"wrong days": 0, "25 days": 0}
    named = told = 0
    for seed in range(100):
        k, rain, starts = season(seed)
        bad = learnt(rain, misnoted(starts, np.random.default_rng(1000 + seed)))
        short = learnt(rain[:25], starts[:25])
        held["wrong days"] += bad.low <= k <= bad.high
        held["25 days"] += short.low <= k <= short.high
        named += bool(bad.left_out)
        told += bad.told
    assert min(held.values()) >= 90, held
    assert named >= 95
    assert told >= 90


@pytest.mark.parametrize("spread", [0.3, 0.5])
def test_rain_of_a_gauge_that_stands_elsewhere_is_told_and_widens_the_band(spread: float) -> None:
    """By the band of a sound season a gauge off by 0.3 had it in 89 of 100 other draws, one off by 0.5 in 85."""
    held = rough = wrongly_told = 0
    for seed in range(60):
        k, rain, starts = season(seed)
        found = learnt(rain * np.exp(spread * np.random.default_rng(3000 + seed).normal(size=DAYS)), starts)
        held += found.low <= k <= found.high
        wrongly_told += found.told and not found.low <= k <= found.high
        rough += found.rough
    assert held >= 54
    assert wrongly_told <= 6
    assert rough >= 30


def test_what_does_not_go_together_is_said() -> None:
    days = (date(2027, 3, 1), date(2027, 3, 4))
    assert oddities((), rough=False) == ""
    assert oddities(days[:1], rough=False).startswith("Left out, for this day fits no soil")
    assert oddities(days, rough=False).endswith("2027-03-01, 2027-03-04.")
    assert oddities((), rough=True).endswith("The band is widened by it.")
    assert oddities(days, rough=True) == f"{oddities(days, rough=False)} {oddities((), rough=True)}"


def test_counts_that_are_not_of_that_rain_teach_nothing() -> None:
    """Counts of a season beside the rain of others: whatever is learnt is not far from the truth, or not told."""
    wrong = 0
    for seed in range(20):
        k, _, starts = season(seed)
        found = learnt(rain_of(np.random.default_rng(500 + seed)), starts)
        wrong += found.told and not found.low / 2.0 <= k <= found.high * 2.0
    assert wrong <= 2


def test_a_sound_season_leaves_no_day_out() -> None:
    assert sum(len(learnt(*season(seed)[1:]).left_out) for seed in range(20)) == 0


def test_a_season_of_which_many_days_fit_no_soil_is_not_told() -> None:
    _, rain, starts = season(3)
    wrong = starts.copy()
    wrong[::6] = 3.0 * wrong[::6] + 40.0
    found = learnt(rain, wrong)
    assert len(found.left_out) > 9
    assert found.odd
    assert not found.told


def test_starts_are_turned_into_water_by_the_pumps_own_cycle() -> None:
    """Between starts the band fills by q and empties by Q - q: n = day q (1 - q / Q) / band."""
    q = 0.0006
    starts = DAY * q * (1.0 - q / PUMP) / BAND
    assert volumes_of([starts], BAND, PUMP)[0] == pytest.approx(q * DAY, rel=1e-9)
    with pytest.raises(InputError, match="or fewer a day"):
        volumes_of([DAY * PUMP / 4 / BAND + 1], BAND, PUMP)


def test_a_dry_season_tells_little() -> None:
    starts = np.zeros(DAYS)
    starts[::9] = 1.0
    assert not learnt(np.zeros(DAYS), starts).told


def test_what_cannot_be_used_is_refused() -> None:
    with pytest.raises(InputError, match="20 or more"):
        learnt(np.zeros(5), np.zeros(5))
    with pytest.raises(InputError, match="water came"):
        learnt(np.zeros(DAYS), np.zeros(DAYS))
