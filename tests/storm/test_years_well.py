"""A water table that moves as a well's record shows, and the long run under it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from storm_jobs import inflows, pumped_system, site
from test_years_run import YEAR, rain_of
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.errors import InputError
from drainwright.exchange.well_record import WellRecord, read_well_record
from drainwright.storm.engine.ready import NO_GROUND
from drainwright.storm.years.running import run_course
from drainwright.storm.years.telling import run_years
from drainwright.storm.years.water_table import lowest_shift, water_table

BEGINS = np.datetime64("2001-01-01T00:00:00", "s")
JOB = str(Path(__file__).resolve().parents[2] / "examples" / "metric-basement" / "job.yaml")
MIAMI = Path(__file__).resolve().parents[3] / "shared" / "data" / "groundwater" / "miami_well_G860_daily.csv.gz"


def well(levels: np.ndarray, first: str = "2001-01-01", days: int = 1) -> WellRecord:
    times = np.datetime64(first, "s") + days * np.arange(levels.size) * np.timedelta64(86400, "s")
    return WellRecord(name="well.csv", heading="level_m", times=times, levels=levels)


def test_a_twentieth_of_the_readings_stand_above_the_design_s_level() -> None:
    levels = 3.0 + np.sin(np.arange(1500) * 2.0 * np.pi / 365.25)
    levels[100:130] = np.nan
    table = water_table(well(levels), BEGINS)
    assert np.mean(table.shifts > 0.0) == pytest.approx(0.05, abs=0.002)
    assert np.max(table.shifts) - np.min(table.shifts) == pytest.approx(2.0, abs=1e-4)
    assert f"{-np.mean(table.shifts):.2f} m (" in table.notes[0]


def test_beyond_the_record_it_begins_anew_after_whole_years() -> None:
    levels = np.arange(800.0)  # two years and 70 days, rising by the day
    table = water_table(well(levels, "1990-06-01"), BEGINS)
    day, two = 86400.0, 2 * 365.25
    start = float(
        (BEGINS - np.datetime64("1990-06-01", "s")) / np.timedelta64(86400, "s")
    )  # days after the first reading
    into = start - two * np.floor(start / two)
    found = table.shift(np.array([0.0, 10.0 * day])) + np.quantile(levels, 0.95)
    assert found == pytest.approx([into, into + 10.0], abs=1e-6)
    inside = table.shift((np.array([0.0, 799.0]) - start) * day) + np.quantile(levels, 0.95)
    assert inside == pytest.approx([0.0, 799.0], abs=1e-6)


@pytest.mark.parametrize(
    ("record", "says"),
    [
        (well(np.ones(300)), "found readings over 299 days; expected a year or more"),
        (well(np.full(800, np.nan)), "found readings over 0 days"),
        (well(np.ones(20), days=60), "expected one a month or more"),
    ],
)
def test_records_that_tell_too_little_are_refused(record: WellRecord, says: str) -> None:
    with pytest.raises(InputError, match=says):
        water_table(record, BEGINS)


def test_a_still_well_changes_nothing_but_the_note() -> None:
    rain = rain_of([(30 * 86400.0, np.full(12, 0.001))])
    given = (site(), inflows(), pumped_system(), rain)
    still = run_years(*given)
    beside = run_years(*given, table=water_table(well(np.full(800, 2.0)), BEGINS))
    assert beside.stations[0].starts == pytest.approx(still.stations[0].starts, rel=2e-3)
    assert beside.stations[0].pumped == pytest.approx(still.stations[0].pumped, rel=2e-3)
    assert beside.worst_balance < 1e-6
    assert any("well.csv" in note for note in beside.notes)
    assert not any("all year" in note for note in beside.notes)


def test_a_table_under_the_drain_half_of_the_time_halves_the_pumping_and_takes_nothing_back() -> None:
    """A year high and a year 5 m lower by turns: ground drains and fills within weeks, and takes no drain's water."""
    levels = np.where((np.arange(1461) // 365) % 2 == 0, 3.0, -2.0)
    given = (site(), inflows(), pumped_system(), rain_of([], 4))
    high = run_course(*given)
    told = run_course(*given, table=water_table(well(levels), BEGINS))
    pumped = [float(year.pumped[0]) for year in told.years]
    full = float(high.years[0].pumped[0])
    assert pumped[0] == pytest.approx(full, rel=0.02)
    assert pumped[1] < 0.1 * full
    assert pumped[2] > 0.9 * full
    assert pumped[3] < 0.1 * full
    assert told.worst_balance < 1e-6
    assert sum(pumped) <= sum(float(year.pumped[0]) for year in high.years)


def test_the_far_water_falls_to_the_drain_and_no_further() -> None:
    """Its level of 9.6 m stands 0.35 m over the drain of the small plant."""
    assert lowest_shift(run_course(site(), inflows(), pumped_system(), rain_of([])).plant.ground) == pytest.approx(
        -0.35
    )
    assert lowest_shift(NO_GROUND) == 0.0


def test_a_public_well_makes_the_pump_rest() -> None:
    """USGS well G-860, Miami, 1973 to 2018, as in the shared data: its wet season lasts for months, not for years."""
    if not MIAMI.is_file():
        pytest.skip("the shared records are not beside this tree")
    given = (site(), inflows(), pumped_system(), rain_of([], 5))
    table = water_table(read_well_record(MIAMI), BEGINS)
    moving, still = run_years(*given, table=table), run_years(*given)
    assert 0.0 < moving.stations[0].seconds < still.stations[0].seconds
    assert moving.worst_balance < 1e-6
    assert moving.span == 5 * YEAR


def test_the_command_takes_a_well_and_refuses_a_wrong_one(tmp_path: Path) -> None:
    days = np.datetime64("2010-01-01") + np.arange(800)
    lines = [f"{day},{2.0 + 0.5 * np.sin(place / 58.0):.3f}" for place, day in enumerate(days)]
    good, short = tmp_path / "good.csv", tmp_path / "short.csv"
    good.write_text("\n".join(["date,level_m", *lines]), encoding="utf-8")
    short.write_text("\n".join(["date,level_m", *lines[:90]]), encoding="utf-8")
    rain = tmp_path / "rain.csv"
    rows = [f"2010-0{month}-03 0{hour}:00,{hour}.0" for month in range(1, 10) for hour in range(6)]
    rain.write_text("\n".join(["time,rain_mm", *rows]), encoding="utf-8")
    told = CliRunner().invoke(app, ["years", JOB, "--rain", str(rain), "--well", str(good), "--quiet"])
    assert told.exit_code == 0, told.output
    assert "good.csv" in told.output
    for wrong, says in ((short, "short.csv: found readings over 89 days"), (tmp_path / "none.csv", "none.csv")):
        told = CliRunner().invoke(app, ["years", JOB, "--rain", str(rain), "--well", str(wrong), "--quiet"])
        assert told.exit_code == 2, told.output
        assert says in told.output
        assert "expected" in told.output or "cannot be read (No such file" in told.output
