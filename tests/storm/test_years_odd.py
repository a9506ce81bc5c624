"""Years of rain from bad and odd input: a right answer, or what was found where and what would be right."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path

import numpy as np
import pytest
from storm_jobs import inflows, pumped_system, site
from test_years_run import YEAR, rain_of
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.console import busy
from drainwright.errors import InputError
from drainwright.exchange.rain_record import RainRecord, read_rain_record
from drainwright.storm.years.spells import spells_of_record
from drainwright.storm.years.tables import spells_table, years_table
from drainwright.storm.years.telling import run_years

METRIC = Path(__file__).resolve().parents[2] / "examples" / "metric-basement" / "job.yaml"
RAIN = "time,rain_mm\n"


def told(*more: str) -> str:
    """What the command says to wrong input."""
    result = CliRunner().invoke(app, ["years", str(METRIC), *more, "--quiet"])
    assert result.exit_code == 2, result.output
    assert "Traceback" not in result.output
    assert "please report it" not in result.output  # it is the file that is wrong, and not the program
    return " ".join(result.output.split())


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "found an empty file; expected a heading"),
        (RAIN, "found 0 rows"),
        (f"{RAIN}2001-01-01 00:05,1\n", "found 1 rows"),
        (f"{RAIN}2001-01-01 00:05,0\n2001-01-01 00:10,0\n", "found no rain; expected some"),
        (f"{RAIN}2001-01-01 00:05,0\n2001-01-01 00:10,-1\n", "line 3: found the rain '-1'"),
        (f"{RAIN}2001-01-01 00:10,0\n2001-01-01 00:05,1\n", "line 3: found a time before"),
        (f"{RAIN}2001-01-01 00:10,0\n2001-01-01 00:10,1\n", "line 3: found the same time"),
        (f"{RAIN}2001-01-01T00:10+02:00,0\n2001-01-01T00:15+02:00,1\n", "line 2: found the time"),
        (f"{RAIN}2001-02-28 00:10,0\n2001-02-29 00:10,1\n", "line 3: found '2001-02-29 00:10'; expected a time that"),
        (f"{RAIN}2001-01-01,0\n2001-01-02,1\n2001-01-03,0\n", "found steps of 24 h; expected an hour or less"),
        ("time,rain_cm\n2001-01-01 00:05,0\n2001-01-01 00:10,1\n", "found no unit in 'rain_cm'"),
        ('{"rain": 1}\n', "expected a column 'time'"),
    ],
)
def test_a_record_that_cannot_be_used_is_blamed_and_not_the_program(text: str, says: str, tmp_path: Path) -> None:
    path = tmp_path / "rain.csv"
    path.write_text(text)
    found = told("--rain", str(path))
    assert says in found
    assert "rain.csv" in found


def test_a_wells_record_that_cannot_be_used_is_blamed_too(tmp_path: Path) -> None:
    rain, well = tmp_path / "rain.csv", tmp_path / "well.csv"
    rain.write_text(f"{RAIN}2001-01-01 00:05,0\n2001-01-01 00:10,1\n2001-01-01 00:15,0\n")
    well.write_text("time,level_m\n2001-01-01,1.0\n2001-02-01,1.2\n")
    assert "found readings over 31 days; expected a year or more" in told("--rain", str(rain), "--well", str(well))


def test_depths_to_water_are_taken_where_it_is_said(tmp_path: Path) -> None:
    rain, well = tmp_path / "rain.csv", tmp_path / "well.csv"
    rain.write_text(f"{RAIN}2001-01-01 00:05,0\n2001-01-01 00:10,1\n2001-01-01 00:15,0\n")
    months = "".join(f"{1999 + k // 12}-{1 + k % 12:02d}-01,{2.0 + 0.1 * (k % 12)}\n" for k in range(25))
    well.write_text(f"time,depth to water\n{months}")
    asked = ["--rain", str(rain), "--well", str(well)]
    assert "found no unit in 'depth to water'" in told(*asked, "--well-depths")
    assert "say so with --well-depths" in told(*asked, "--well-unit", "m")
    ok = [*asked, "--well-depths", "--well-unit", "m"]
    result = CliRunner().invoke(app, ["years", str(METRIC), *ok, "--quiet"])
    assert result.exit_code == 0, result.output
    assert "--well-unit without --well" in told("--rain", str(rain), "--well-unit", "m")


def test_an_out_that_is_a_file_is_refused_before_anything_is_computed(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_text("here")
    assert "which is a file; expected a folder. Nothing was computed." in told("--to", str(file), "--made", "1")


@pytest.mark.parametrize("asked", ["0", "-3", "10000"])
def test_years_out_of_reach_are_refused(asked: str) -> None:
    assert f"found {asked} and 1; expected 1 to 1000 years" in told("--made", asked)


def test_a_record_of_days_is_told_for_its_days_and_how_often_is_not(tmp_path: Path) -> None:
    """Two days of readings tell no year: nothing is multiplied by 180."""
    path = tmp_path / "rain.csv"
    rows = [f"{np.datetime64('2001-05-01T00:00') + 5 * k},{1 if k == 100 else 0}" for k in range(1, 577)]
    path.write_text(RAIN + "\n".join(rows).replace("T", " ") + "\n")
    result = CliRunner().invoke(app, ["years", str(METRIC), "--rain", str(path), "--quiet"])
    assert result.exit_code == 0, result.output
    text = " ".join(result.output.split())
    assert "2.0 days, 1 wet spell" in text
    assert "in 2.0 days" in text
    assert "in a year" not in text
    assert "no year was read well enough" in text


def rows_of(table: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(table.decode())))


def test_tables_speak_the_jobs_units_and_say_them() -> None:
    """The same run twice: 1 in = 25.4 mm, 1 ft = 0.3048 m, 1 gal = 3.785411784 L, by definition."""
    burst = (20 * 86400.0, np.full(6, 0.0127))
    run = run_years(site(), inflows(), pumped_system(), rain_of([burst, (YEAR + 864000.0, np.full(3, 0.001))], 2))
    us, si = rows_of(years_table(run, "US")), rows_of(years_table(run, "SI"))
    assert [row["year"] for row in us] == [row["year"] for row in si] == ["2001", "2002"]
    assert float(us[0]["rain [in]"]) == pytest.approx(3.0)
    assert float(si[0]["rain [mm]"]) == pytest.approx(76.2)
    year = run.years[0]
    assert year.highest is not None
    assert float(us[0]["highest at the house [ft]"]) == pytest.approx(year.highest / 0.3048, abs=6e-4)
    assert float(si[0]["highest at the house [m]"]) == pytest.approx(year.highest, abs=6e-4)
    assert float(us[0]["SUMP pumped [gal]"]) == pytest.approx(year.pumped / 3.785411784e-3, rel=1e-6)
    assert float(si[0]["SUMP pumped [L]"]) == pytest.approx(year.pumped * 1000.0, rel=1e-6)
    assert float(us[0]["SUMP run time [h]"]) == pytest.approx(year.pump_seconds / 3600.0, abs=1e-3)
    assert us[0]["SUMP energy [kWh]"] == ""  # the sheet does not say
    us, si = rows_of(spells_table(run, "US")), rows_of(spells_table(run, "SI"))
    assert float(us[0]["rain [in]"]) == pytest.approx(3.0)
    assert float(us[0]["most in a step [in]"]) == pytest.approx(0.5)
    assert us[0]["begins"] == "2001-01-21 00:00"
    assert float(us[1]["begins after [days]"]) == pytest.approx(375.0)
    assert float(si[0]["length [h]"]) == pytest.approx(run.spells[0].seconds / 3600.0, abs=1e-3)
    for heading in (*us[0], *si[0]):
        assert re.search(r"\[\w+\]$", heading) or heading in {"begins", "starts"}, heading


def record_of(text: str, tmp_path: Path, name: str = "rain.csv") -> RainRecord:
    path = tmp_path / name
    path.write_text(RAIN + text)
    return read_rain_record(path)


def rows(first: str, step: int, count: int, wet: int, depth: float = 1.0) -> str:
    """Rows of a step in minutes, every so many of them wet."""
    stamps = np.datetime64(first, "m") + step * np.arange(count)
    return "".join(f"{str(at).replace('T', ' ')},{0 if k % wet else depth}\n" for k, at in enumerate(stamps))


def test_a_year_of_minutes_at_an_end_of_a_record_is_none(tmp_path: Path) -> None:
    """A stamp ends its step: the first of a year brings the last minutes of the one before, and the last none."""
    whole = spells_of_record(record_of(rows("2001-01-01T00:00", 60, 8761, 50), tmp_path))
    assert [year.year for year in whole.years] == [2001]
    assert whole.years[0].share == pytest.approx(1.0, abs=1e-3)
    told = run_years(site(), inflows(), pumped_system(), whole)
    assert told.years[0].rain == pytest.approx(sum(spell.depth for spell in whole.spells))
    days = spells_of_record(record_of(rows("2000-12-30T00:05", 60, 8900, 50), tmp_path))
    assert [year.year for year in days.years] == [2000, 2001, 2002]
    short = spells_of_record(record_of(rows("2001-05-01T00:05", 5, 10, 3), tmp_path))
    assert [year.year for year in short.years] == [2001]


def test_leap_days_are_part_of_their_year(tmp_path: Path) -> None:
    leap = spells_of_record(record_of(rows("2004-01-01T01:00", 60, 366 * 24, 50), tmp_path))
    assert [(year.year, year.share) for year in leap.years] == [(2004, pytest.approx(1.0))]
    assert leap.years[0].end - leap.years[0].start == 366 * 86400.0


def test_a_record_of_two_steps_is_refused(tmp_path: Path) -> None:
    """Rain of an hour put into five minutes would fall twelve times as hard."""
    text = rows("2001-01-01T00:05", 5, 2000, 50, 0.2) + rows("2001-01-08T00:00", 60, 500, 20, 3.0)
    with pytest.raises(InputError, match=r"rows that follow after another time than its step of 5 min, as of 60 min"):
        spells_of_record(record_of(text, tmp_path))
    turned = rows("2001-01-01T00:00", 60, 300, 20, 0.5) + rows("2001-01-14T00:05", 5, 9000, 50, 0.2)
    with pytest.raises(InputError, match="another time than its step"):
        spells_of_record(record_of(turned, tmp_path))


def test_gaps_of_months_are_told_by_their_length_and_their_year_does_not_count(tmp_path: Path) -> None:
    text = rows("2001-01-01T01:00", 60, 4000, 50) + rows("2001-10-01T00:00", 60, 2208, 50, 0.0)
    record = record_of(text, tmp_path)
    rain = spells_of_record(record)
    assert rain.years[0].share == pytest.approx(6208 / 8760, abs=2e-3)
    assert any("1 stretch without readings, 29 % of the time, taken as dry" in note for note in rain.notes)
    fine = spells_of_record(record_of(rows("2001-01-01T01:00", 60, 400, 50), tmp_path))
    assert not any("stretch" in note for note in fine.notes)


def test_a_unit_that_cannot_be_right_is_told(tmp_path: Path) -> None:
    """Millimetres taken for inches: 25 times the rain of a year."""
    path = tmp_path / "rain.csv"
    path.write_text("time,rain_in\n" + rows("2001-01-01T01:00", 60, 9000, 12))
    result = CliRunner().invoke(app, ["years", str(METRIC), "--rain", str(path), "--quiet"])
    assert result.exit_code == 0, result.output
    assert "mm a year: look at the unit" in " ".join(result.output.split())


def test_one_year_is_told_as_one() -> None:
    result = CliRunner().invoke(app, ["years", str(METRIC), "--made", "1", "--quiet"])
    text = " ".join(result.output.split())
    assert "1 made year, seed 1" in text
    assert "rarer than 1 year" in text
    assert not re.search(r"\b1 (made )?years\b", text)


def test_the_chance_by_years_blames_the_record_too(tmp_path: Path) -> None:
    path = tmp_path / "rain.csv"
    path.write_text(RAIN + rows("2001-05-01T00:05", 5, 50, 7))
    result = CliRunner().invoke(app, ["chance", str(METRIC), "--years", "2", "--rain", str(path), "--quiet"])
    assert result.exit_code == 2, result.output
    assert "please report it" not in result.output
    assert "rain.csv: found 0 years" in " ".join(result.output.split())


@pytest.mark.parametrize(
    ("terminal", "quiet", "told"), [(True, False, True), (True, True, False), (False, False, False)]
)
def test_what_is_worked_at_is_told_on_a_terminal_alone(
    terminal: bool, quiet: bool, told: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = io.StringIO()
    monkeypatch.setattr(out, "isatty", lambda: terminal)
    monkeypatch.setattr("sys.stderr", out)
    monkeypatch.setenv("TERM", "xterm")
    with busy("Fitting", quiet=quiet):
        pass
    assert ("Fitting" in out.getvalue()) == told
