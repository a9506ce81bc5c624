"""The chance by years of rain: outages at their rates, storms where they fall, a job carried through its years."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.design import Design, design
from drainwright.errors import InputError
from drainwright.findings.chance_words import below
from drainwright.job.reading import read_document
from drainwright.storm.chances.by_years import Rains, Sets, by_years, record_rains
from drainwright.storm.chances.inputs import middles, uncertain_inputs
from drainwright.storm.chances.outages import drawn_outages, heavy_storms
from drainwright.storm.chances.study import chance
from drainwright.storm.chances.truth import YEAR, Base
from drainwright.storm.chances.yearly import NO_EVENTS, Events
from drainwright.storm.years.model import SpellRain, WetSpell, YearRead
from drainwright.storm.years.spells import years_of

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"
JOB = str(EXAMPLES / "wrong-choices" / "job.yaml")
HOUR = 3600.0


@cache
def made() -> Design:
    return design(read_document(EXAMPLES / "wrong-choices" / "job.yaml").job)


@cache
def base() -> Base:
    return Base.of(made().site, made().inflows, made().system)


def rain_of(*bursts: tuple[float, list[float]], years: int = 2, step: float = HOUR) -> SpellRain:
    """Rain of so many years: bursts at times, in steps. [s], [m]"""
    spells, depths = [], []
    for start, fallen in bursts:
        first = len(depths)
        depths += fallen
        spells.append(WetSpell(first=first, last=len(depths) - 1, start=start, depth=sum(fallen)))
    return SpellRain(
        name="bursts", begins=np.datetime64("2001-01-01T00:00:00", "s"), span=years * YEAR, step=step, apart=6 * HOUR,
        depths=np.array(depths), spells=tuple(spells), unread=np.zeros((0, 2)), made=False, notes=(),
        years=tuple(YearRead(year=2001 + n, start=n * YEAR, end=(n + 1) * YEAR, share=1.0) for n in range(years)),
    )  # fmt: skip


def test_the_heaviest_part_of_a_spell_is_found_and_lesser_spells_are_left_out() -> None:
    rain = rain_of((1000.0, [0.01, 0.0, 0.02, 0.03, 0.001]), (9e5, [0.02, 0.01]), (2e6, [0.05]))
    found = heavy_storms(rain, 2 * HOUR, 0.04)
    assert [(one.first, one.last, one.depth) for one in found] == [(2, 4, pytest.approx(0.05)), (0, 1, 0.05)]
    assert found[0].start == 1000.0 + 2 * HOUR
    assert found[0].over == 1000.0 + 5 * HOUR + 24 * HOUR
    assert len(heavy_storms(rain, 2 * HOUR, 0.03)) == 3


EVENTS = Events(
    cuts=1.5, cut_length=4 * HOUR, cut_with_storm=0.3, failures=0.2, unnoticed=10 * 86400.0, season=0.25
)  # fmt: skip


def test_outages_come_as_often_and_last_as_long_as_the_rates_say() -> None:
    """Poisson numbers with exponential lengths: those over a span come at rate times exp(-span / mean)."""
    years, span = 40000, 6 * HOUR
    drawn = drawn_outages(EVENTS, (), years * YEAR, 24 * HOUR, (1,))
    long_cuts = np.sum(drawn.cuts[:, 1] - drawn.cuts[:, 0] > span)
    wanted = EVENTS.season * EVENTS.cuts * math.exp(-span / EVENTS.cut_length) * years
    assert long_cuts == pytest.approx(wanted, abs=4.0 * math.sqrt(wanted))
    long_dead = np.sum(drawn.dead[:, 1] - drawn.dead[:, 0] > 5 * 86400.0)
    wanted = EVENTS.season * EVENTS.failures * math.exp(-0.5) * years
    assert long_dead == pytest.approx(wanted, abs=4.0 * math.sqrt(wanted))
    for spans in (drawn.cuts, drawn.dead):
        assert (spans[1:, 0] > spans[:-1, 1]).all()


def test_storms_bring_cuts_and_meet_dead_pumps_as_often_as_stated() -> None:
    bursts = [(n * YEAR / 10.0, [0.05]) for n in range(20000)]
    rain = rain_of(*bursts, years=2000)
    heavy = heavy_storms(rain, 24 * HOUR, 0.04)
    drawn = drawn_outages(replace(EVENTS, season=0.0), heavy, rain.span, 24 * HOUR, (2,))
    begun = drawn.cuts[:, 0]
    within = sum(bool(np.any((begun >= one.start) & (begun < one.start + 24 * HOUR))) for one in heavy)
    assert within / len(heavy) == pytest.approx(0.3, abs=4.0 * math.sqrt(0.21 / len(heavy)))
    assert len(begun) == pytest.approx(within, rel=0.01)
    starts = np.array([one.spell.start for one in heavy])
    dead = sum(int(np.sum((begin <= starts) & (starts < end))) for begin, end in drawn.dead.tolist())
    share = EVENTS.failures * EVENTS.unnoticed / YEAR  # of all time, the pump lies dead
    assert dead / len(heavy) == pytest.approx(share, rel=0.25)
    assert drawn_outages(NO_EVENTS, heavy, rain.span, 24 * HOUR, (2,)).cuts.shape == (0, 2)


def test_years_of_rain_taken_out_keep_their_spells() -> None:
    rain = rain_of((1000.0, [0.01]), (YEAR + 500.0, [0.02, 0.03]), (2 * YEAR + 7.0, [0.04]), years=3)
    told = years_of(rain, 1, 1)
    assert [(one.start, one.depth) for one in told.spells] == [(500.0, 0.05)]
    assert (told.span, told.years[0].year, told.years[0].start) == (YEAR, 2002, 0.0)
    with pytest.raises(InputError, match="among the 3"):
        years_of(rain, 2, 2)


def sets_of(rain: SpellRain, years: int = 2) -> Sets:
    return Sets.of(base(), record_rains(rain, years))


QUIET = {"cuts": 0.0, "cut with storm": 0.0, "failures": 0.0, "season": 1.0}


def test_a_sound_plant_in_light_rain_stays_dry_and_a_dead_pump_does_not() -> None:
    rain = rain_of((10 * 86400.0, [0.004] * 3), (YEAR + 86400.0, [0.005] * 2))
    sets = sets_of(rain)
    values = {**middles(uncertain_inputs(base().site, base().inflows, base().system)), **QUIET}
    assert sets.carry(values, rain, (1,)).causes == (None, None)
    dead = sets.carry({**values, "failures": 50.0, "unnoticed": 10 * YEAR}, rain, (1,))
    assert dead.causes == ("dead pump in dry weather", "dead pump in dry weather")


def test_a_storm_beyond_the_table_wets_the_floor_in_its_own_year_in_each_way_it_is_taken() -> None:
    rain = rain_of((YEAR + 50 * 86400.0, [0.02] * 8 + [0.15] * 4 + [0.02] * 8))
    values = {**middles(uncertain_inputs(base().site, base().inflows, base().system)), **QUIET}
    found = sets_of(rain).carry({**values, "cut with storm": 1.0, "cut length": 1e9}, rain, (1,))
    assert found.causes[0] is None
    assert found.causes[1] is not None
    assert len(found.storms) == 1
    assert found.storms[0].carried
    assert found.storms[0].rested


@cache
def told() -> tuple[object, object, list[tuple[int, int]]]:
    first = chance(made().site, made().inflows, made().system, samples=8, with_drivers=False)
    rain = rain_of((10 * 86400.0, [0.03] * 3), (YEAR + 86400.0, [0.05] * 4), years=3)
    steps: list[tuple[int, int]] = []
    return first, by_years(sets_of(rain), first, lambda done, of: steps.append((done, of))), steps


def test_equal_seeds_equal_answers_and_each_set_is_told() -> None:
    first, second, steps = told()
    assert steps == [(n, 8) for n in range(1, 9)]
    rain = rain_of((10 * 86400.0, [0.03] * 3), (YEAR + 86400.0, [0.05] * 4), years=3)
    again = by_years(sets_of(rain), first)  # type: ignore[arg-type]
    assert again == second
    assert again.counted.years == 16
    assert again.counted.wet == sum(again.by_cause.values())
    assert again.counted.band.high > 0.0
    assert again.tally.storms >= 8
    assert any("storms of the table" in text or "storm of the table" in text for text in again.why)


def test_the_command_tells_both_ways_and_refuses_odd_options(tmp_path: Path) -> None:
    lines = ["time,rain_mm"]
    for day in range(3 * 366):  # and three days of a fourth year, which do not count
        date = np.datetime64("2001-01-01") + day
        lines += [f"{date}T{hour:02d}:00:00,{4.0 if hour == 9 else 0.0}" for hour in range(24)]
    record = tmp_path / "rain.csv"
    record.write_text("\n".join(lines), encoding="utf-8")
    told = CliRunner().invoke(
        app, ["chance", JOB, "--samples", "8", "--years", "1", "--rain", str(record), "--to", str(tmp_path / "out")]
    )
    assert told.exit_code == 0, told.output
    assert "The same chance in two ways" in told.output
    assert "8 plants through 1 each, 8 in all" in told.output
    data = json.loads((tmp_path / "out" / "chance.json").read_text(encoding="utf-8"))
    assert data["by_years"]["counted"]["years"] == 8
    assert data["by_years"]["counted"]["band"]["high"] > 0.0
    for wrong in (["--years", "0"], ["--rain", str(record)], ["--years", "2", "--rain-unit", "mm"]):
        refused = CliRunner().invoke(app, ["chance", JOB, *wrong])
        assert refused.exit_code == 2
        assert "expected" in refused.output


def test_an_upper_bound_is_said_no_lower_than_it_is() -> None:
    assert [below(chance) for chance in (0.1173, 0.00234, 0.63)] == ["1 in 8", "1 in 427", "63 %"]


def test_a_record_too_short_is_refused() -> None:
    with pytest.raises(InputError, match="found 1 years"):
        record_rains(rain_of((1.0, [0.01]), years=1), 1)
    assert isinstance(record_rains(rain_of((1.0, [0.01])), 9), Rains)
