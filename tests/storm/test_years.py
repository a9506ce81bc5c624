"""Decades of rain through the plant: what is known exactly, public records, and the command."""

from __future__ import annotations

import json
import re
from pathlib import Path

import numpy as np
import pytest
from storm_jobs import inflows, pumped_system, site
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.errors import InputError
from drainwright.exchange.rain_record import RainRecord, read_rain_record
from drainwright.storm import storm_test
from drainwright.storm.series import storm_of
from drainwright.storm.years.merging import merged
from drainwright.storm.years.model import SpellRain
from drainwright.storm.years.running import run_course
from drainwright.storm.years.spells import YEAR, spells_of_record
from drainwright.storm.years.telling import run_years

DATA = Path(__file__).resolve().parents[3] / "shared" / "data" / "rain"
METRIC = Path(__file__).resolve().parents[2] / "examples" / "metric-basement" / "job.yaml"
DAY = np.timedelta64(86400, "s")


def record(days: list[float], depths: list[float], step: float = 300.0, span_days: int = 1095) -> RainRecord:
    """A record that is dry but for these steps; its first and last rows fix its span."""
    start = np.datetime64("2001-01-01T00:00:00", "s")
    times = [start + np.timedelta64(round(step), "s"), start + span_days * DAY]
    rows = dict.fromkeys(times, 0.0)
    for day, depth in zip(days, depths, strict=True):
        rows[start + np.timedelta64(round(day * 86400.0 + step), "s")] = depth
    stamps = np.array(sorted(rows))
    return RainRecord(
        name="hand.csv", times=stamps, depths=np.array([rows[time] for time in stamps]), step=step, wet_only=True,
        gaps=(), suspects=(),
    )  # fmt: skip


def burst(day: float, steps: int = 24, depth: float = 0.002) -> tuple[list[float], list[float]]:
    return [day + 300.0 * i / 86400.0 for i in range(steps)], [depth] * steps


def test_a_dry_record_tells_ground_water_s_own_starts() -> None:
    """q = 10 m of 1e-5 m²/s: pumped = q t; starts = volume over the band and the line that runs back, nothing else."""
    dry = spells_of_record(record(*burst(1090.0, 1, 1e-6)))
    found = run_years(site(), inflows(), pumped_system(), dry)
    pumped = found.stations[0].pumped
    assert found.volumes["ground"] == pytest.approx(found.volumes["out"], rel=1e-3)
    assert found.worst_balance < 1e-6
    assert found.steps < 3000  # three years of pumping, of which next to nothing was stepped
    cycles = found.stations[0].starts
    assert pumped / cycles == pytest.approx(pumped / round(cycles), rel=0.01)
    again = run_years(site(), inflows(), pumped_system(), dry)
    assert again.stations == found.stations


def test_one_storm_each_year_gives_the_same_year_again() -> None:
    days, depths = [], []
    for year in range(3):
        more_days, more_depths = burst(100.0 + 365.0 * year)
        days += more_days
        depths += more_depths
    found = run_years(site(), inflows(), pumped_system(), spells_of_record(record(days, depths)))
    levels = [year.highest for year in found.years if year.rain > 0.01]
    assert len(levels) == 3
    assert max(levels) - min(levels) < 0.02  # the floats stand in another phase each year: less than their band
    assert [round(year.rain, 6) for year in found.years if year.rain > 0.01] == [0.048] * 3
    assert found.worst_balance < 1e-9


def test_the_design_storm_as_a_record_gives_the_storm_test_s_peak() -> None:
    """The same rain in five-minute steps, on soil that dried for ten days: at most 60 mm lower, phase and all."""
    test = storm_of(site(), inflows())
    steps = int(300.0 / test.step)
    depth = (test.intensity * test.step).reshape(-1, steps).sum(axis=1)
    days = [10.0 + 300.0 * i / 86400.0 for i in range(depth.size)]
    found = run_years(site(), inflows(), pumped_system(), spells_of_record(record(days, depth.tolist())))
    sound = storm_test(site(), inflows(), pumped_system()).cases[0]
    assert found.highest is not None
    assert sound.highest_at_house is not None
    assert -0.06 < found.highest - sound.highest_at_house < 0.01
    assert found.stations[0].pumped > 0.5 * sound.volume_out


def test_badly_read_years_do_not_count() -> None:
    rain = spells_of_record(record(*burst(10.0), span_days=500))
    assert [year.share > 0.8 for year in rain.years] == [True, False]
    found = run_years(site(), inflows(), pumped_system(), rain)
    assert [year.counts for year in found.years] == [True, False]
    assert found.outcome("slab") is not None
    assert len(found.outcome("slab").maxima) == 1  # type: ignore[union-attr]


def test_steps_that_are_taken_together_keep_their_water() -> None:
    rng = np.random.default_rng(2)
    inflow = rng.gamma(0.3, 1e-4, (500, 3))
    edges = 300.0 * np.arange(501.0)
    times, means = merged(edges, inflow, 1e-5, 12)
    assert np.sum(means * np.diff(times)[:, None], axis=0) == pytest.approx(np.sum(inflow * 300.0, axis=0), rel=1e-12)
    assert len(times) < len(edges)
    assert np.diff(times).max() <= 3600.0
    assert merged(edges, np.zeros((500, 3)), 1e-5, 12)[0][-1] == edges[-1]


def test_spells_of_a_record_by_hand() -> None:
    """Rain on day 1 for 10 min, an hour later once more, and on day 3: two spells, the dry hour inside the first."""
    minute = 1.0 / 1440.0
    rain: SpellRain = spells_of_record(record([1.0, 1.0 + 5 * minute, 1.0 + 70 * minute, 3.0], [1e-3] * 4))
    assert [spell.depth for spell in rain.spells] == pytest.approx([3e-3, 1e-3])
    assert [spell.last - spell.first + 1 for spell in rain.spells] == [15, 1]
    assert rain.spells[1].start - rain.spells[0].start == pytest.approx(2 * 86400.0)


def test_records_that_tell_nothing_are_refused() -> None:
    with pytest.raises(InputError, match="an hour or less"):
        spells_of_record(record([1.0], [0.01], step=86400.0))
    with pytest.raises(InputError, match="no rain"):
        spells_of_record(record([], []))


@pytest.mark.parametrize(
    ("name", "years"),
    [
        ("greece_5min_1954_1956.csv.gz", 3),
        ("boston_logan_hourly.csv.gz", 20),
        ("southeast_us_15min_nonzero.csv.gz", 20),
    ],
)
def test_public_records_run_and_keep_their_water(name: str, years: int) -> None:
    path = DATA / name
    if not path.exists():
        pytest.skip("the public records are not beside the checkout")
    read = read_rain_record(path)
    rain = spells_of_record(read)
    assert sum(spell.depth for spell in rain.spells) == pytest.approx(float(np.nansum(read.depths)), rel=1e-9)
    told = run_course(site(), inflows(), pumped_system(), rain)
    assert told.worst_balance < 1e-6
    assert len(told.years) == years
    assert rain.span / YEAR > 1.0


def test_the_command_tells_and_writes(tmp_path: Path) -> None:
    runner = CliRunner()
    result = runner.invoke(app, ["years", str(METRIC), "--made", "2", "--seed", "3", "--to", str(tmp_path), "--quiet"])
    assert result.exit_code == 0, result.output
    said = " ".join(result.output.split())
    assert said.startswith(
        "Damp half basement at 7 Quarry Close With everything working no water came to the floor in 2"
    )
    assert "The design storm (30-year storm, nested, 6 h) beside them" in said
    assert "the power never goes out in them. 'chance' counts both." in said
    assert said.index("Water not accounted for") > said.index("Taken for granted")
    assert (
        "SUMP: hours and energy are those of the likely ground water, 1.5 L/min; at the high end of its range" in said
    )
    assert "upper ends" not in said
    worn = re.search(
        r"SUMP in a year (\d+) starts, .*?; the 100,000 starts that a switch lasts in about (\d+) years", said
    )
    assert worn is not None
    assert int(worn[2]) == int(100_000 / int(worn[1]))
    data = json.loads((tmp_path / "years.json").read_text())
    assert len(data["years"]) == 2
    assert data["design_storm"]["verdict"] == "both dry"
    assert (tmp_path / "years.csv").read_text().count("\n") == 3
    assert (tmp_path / "years.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("more", "says"),
    [
        (["--made", "0"], "expected 1 to"),
        (["--rain", "nowhere.csv"], "nowhere.csv"),
        (["--rain-unit", "ft"], "expected in, mm"),
        (["--yearly-rain", "900 in"], "expected 2 in"),
        (["--yearly-rain", "much"], "--yearly-rain"),
        (["--yearly-rain", "45"], "write '45' with its unit, like '45 in'"),
        (["--rain", "gauge.csv", "--made", "30"], "--made beside --rain"),
        (["--rain", "gauge.csv", "--seed", "1", "--yearly-rain", "45 in"], "--seed, --yearly-rain beside --rain"),
    ],
)
def test_bad_options_are_refused_in_words(more: list[str], says: str) -> None:
    result = CliRunner().invoke(app, ["years", str(METRIC), *more, "--quiet"])
    assert result.exit_code == 2
    assert says in result.output
    assert "Traceback" not in result.output
    assert "fault of Drainwright" not in result.output
