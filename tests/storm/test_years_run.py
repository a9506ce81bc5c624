"""Years of rain through a small plant: against the storm test, against cycles by hand, and against being cut."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from storm_jobs import gravity_system, inflows, pumped_system, site

from drainwright.exchange.rain_record import RainRecord
from drainwright.storm.cases import storm_test
from drainwright.storm.engine.plant import AWAY, FAR, IN, OUT
from drainwright.storm.series import storm_of
from drainwright.storm.years.merging import merged
from drainwright.storm.years.model import SpellRain, WetSpell, YearRead
from drainwright.storm.years.running import TOLERANCE, Told, run_course
from drainwright.storm.years.spells import spells_of_record
from drainwright.storm.years.telling import run_years
from drainwright.water.extremes import never_reached

YEAR = 365.0 * 86400.0
STEP = 300.0


def rain_of(spells: list[tuple[float, Any]], years: int = 1, step: float = STEP, shares: Any = None) -> SpellRain:
    """Rain of spells that begin at a time and bring so much in each step."""
    wet, place = [], 0
    for start, depths in spells:
        wet.append(
            WetSpell(first=place, last=place + len(depths) - 1, start=start, depth=float(np.sum(depths)))
        )  # fmt: skip
        place += len(depths)
    return SpellRain(
        name="test", begins=np.datetime64("2001-01-01T00:00:00", "s"), span=years * YEAR, step=step, apart=6 * 3600.0,
        depths=np.concatenate([np.asarray(depths, float) for _, depths in spells]) if spells else np.zeros(0),
        spells=tuple(wet),
        years=tuple(
            YearRead(year=2001 + k, start=k * YEAR, end=(k + 1) * YEAR, share=1.0 if shares is None else shares[k])
            for k in range(years)
        ),
        unread=np.zeros((0, 2)),
    )  # fmt: skip


def showers(count: int, seed: int, span: float) -> list[tuple[float, Any]]:
    """Showers of one to three hours, evenly strewn."""
    rng = np.random.default_rng(seed)
    starts = STEP * np.round((np.arange(count) + 0.3 * rng.random(count)) * span / count / STEP)
    return [(float(start), rng.gamma(0.5, 0.002, int(rng.integers(12, 36)))) for start in starts]


def balance(told: Told) -> float:
    totals = told.totals
    return float(totals[IN] + totals[FAR] - totals[OUT] - totals[AWAY] - told.stored)


@pytest.mark.parametrize(
    ("system", "place"), [(pumped_system(), "SUMP"), (gravity_system(), "CB1")], ids=["pumped", "gravity"]
)
def test_the_design_storm_each_year_gives_the_storm_tests_peak_each_year(system: Any, place: str) -> None:
    """Roof water alone: what a lawn sheds hangs on how far its soil has dried, which the design storm does not ask.

    At the house's lowest place: the drain's upper end, which the storm test takes in, carries no more than when dry.
    """
    water = inflows(yard=0.0)
    storm = storm_of(site(), water)
    peak = storm_test(site(), water, system).cases[0].nodes[place].highest
    depths = storm.intensity * storm.step
    run = run_years(
        site(), water, system, rain_of([(k * YEAR + 40 * 86400.0, depths) for k in range(3)], 3, storm.step)
    )
    assert [year.highest for year in run.years] == pytest.approx([peak] * 3, abs=0.002)
    assert run.worst_balance < 1e-9


def test_a_dry_record_costs_next_to_nothing_and_gives_ground_waters_starts() -> None:
    """Each cycle lifts the float band, less what runs back, and what comes while it runs: V - b + q V / (Q - q)."""
    system, years = pumped_system(), 30
    given = (site(), inflows(), system, rain_of([], years))
    told = run_course(*given)
    assert told.totals[4] < 2000 * years  # of 88,000 starts a year few are stepped
    stations, station = told.plant.stations, sum(year.starts[0] for year in told.years)
    seconds, pumped = (sum(getattr(year, name)[0] for year in told.years) for name in ("seconds", "pumped"))
    inflow = told.totals[FAR] / (years * YEAR)
    band, back, flow = stations.on[0] - stations.off[0], stations.line[0], pumped / seconds
    cycle = band - back + inflow * band / (flow - inflow)
    assert station == pytest.approx(years * YEAR * inflow / cycle, rel=0.01)
    assert abs(balance(told)) < 1e-6 * told.totals[FAR]


def test_where_years_are_cut_changes_no_more_than_the_tolerance() -> None:
    spells = showers(60, 3, 2 * YEAR)
    whole = rain_of(spells, 2)
    once = replace(whole, years=(YearRead(year=2001, start=0.0, end=2 * YEAR, share=1.0),))
    a, b = (run_course(site(), inflows(), pumped_system(), rain) for rain in (whole, once))
    assert sum(year.starts[0] for year in a.years) == pytest.approx(b.years[0].starts[0], rel=2e-3)
    assert sum(year.pumped[0] for year in a.years) == pytest.approx(b.years[0].pumped[0], rel=2e-3)
    highest = np.max([year.highest for year in a.years], axis=0)
    assert highest[a.network.house] == pytest.approx(b.years[0].highest[b.network.house], abs=5 * TOLERANCE)
    assert sum(year.rain for year in a.years) == pytest.approx(b.years[0].rain, rel=1e-12)


def test_water_is_kept_from_the_first_day_to_the_last() -> None:
    told = run_course(site(), inflows(), pumped_system(), rain_of(showers(40, 5, YEAR)))
    moved = told.totals[IN] + told.totals[FAR] + told.totals[OUT] + told.totals[AWAY]
    assert abs(balance(told)) < 1e-9 * moved
    assert told.totals[IN] == pytest.approx(told.ran, rel=1e-9)  # all that runs off comes in


def test_the_same_rain_gives_the_same_figures() -> None:
    rain = rain_of(showers(20, 7, YEAR))
    a, b = (run_years(site(), inflows(), pumped_system(), rain) for _ in range(2))
    assert a.years == b.years
    assert a.spells == b.spells
    assert a.volumes == b.volumes


def test_years_that_were_badly_read_do_not_count() -> None:
    years = 12
    spells = showers(36, 9, years * YEAR)
    run = run_years(site(), inflows(), pumped_system(), rain_of(spells, years, shares=[0.79, *[1.0] * (years - 1)]))
    assert [year.counts for year in run.years] == [False, *[True] * (years - 1)]
    for told in run.returns:
        assert told.years == tuple(range(2002, 2001 + years))
        assert len(told.maxima) == len(told.plotted) == years - 1


def test_a_wetter_year_is_told_as_the_wetter() -> None:
    quiet, wild = [(10 * 86400.0, np.full(12, 0.0002))], [(YEAR + 10 * 86400.0, np.full(12, 0.02))]
    run = run_years(site(), inflows(), pumped_system(), rain_of(quiet + wild, 2))
    first, second = run.years
    assert second.pond > first.pond
    assert second.spilled > first.spilled == 0.0
    assert (second.highest or 0.0) > (first.highest or 0.0)
    assert run.highest_spell == 1
    assert second.rain == pytest.approx(0.24)
    assert YEAR + 10 * 86400.0 <= (second.highest_at or 0.0) <= YEAR + 10 * 86400.0 + 6 * 3600.0


def test_steps_taken_together_keep_their_volumes_and_differ_little() -> None:
    rng = np.random.default_rng(2)
    edges = np.cumsum(rng.uniform(60.0, 600.0, 201)) - 30.0
    inflow = np.maximum(rng.normal(0.0, 2e-5, (200, 3)), 0.0)
    inflow[50:120] = 0.0
    times, means = merged(edges, inflow, 1e-5, 12)
    volume = np.sum(inflow * np.diff(edges)[:, None], axis=0)
    assert np.sum(means * np.diff(times)[:, None], axis=0) == pytest.approx(volume, rel=1e-12)
    assert len(means) < 150
    assert set(times) <= set(edges)
    groups = np.searchsorted(times, edges[:-1], side="right") - 1
    assert np.max(np.abs(means[groups] - inflow)) <= 2e-5 + 1e-12
    assert np.max(np.bincount(groups)) <= 12


def test_coarse_steps_are_told_with_what_the_clock_hides() -> None:
    """13 % for one step by the clock: the factor that NOAA Atlas 14 and WMO's manual give too, from memory."""
    stamps = np.datetime64("2001-01-01T00:00:00", "s") + 3600 * np.arange(1, 50) * np.timedelta64(1, "s")
    depths = np.zeros(stamps.size)
    depths[5] = 0.01
    hourly = RainRecord(name="h.csv", times=stamps, depths=depths, step=3600.0, wet_only=False, gaps=(), suspects=())
    fine = replace(hourly, step=300.0, times=stamps[0] + 300 * np.arange(stamps.size) * np.timedelta64(1, "s"))
    assert any("is 13 % more on the mean" in note for note in spells_of_record(hourly).notes)
    assert not any("hide the peaks" in note for note in spells_of_record(fine).notes)


def test_levels_that_differ_by_the_steppers_error_alone_get_no_law() -> None:
    """Every year the float's own level: what differs is no weather."""
    years = 12
    run = run_years(site(), inflows(), pumped_system(), rain_of(showers(36, 9, years * YEAR), years))
    slab = next(one for one in run.returns if one.outcome.key == "slab")
    spread = max(slab.maxima) - min(slab.maxima)
    assert slab.reached == 0
    assert (slab.law is None) == (spread <= 2.0 * TOLERANCE)
    dry = run_years(site(), inflows(), pumped_system(), rain_of([], years)).returns[0]
    assert dry.outcome.key == "slab"
    assert dry.law is None
    assert dry.low == pytest.approx(never_reached(years))
