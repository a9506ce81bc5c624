"""Well records: units, missing levels, what is refused, and the command that reads one."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.errors import InputError
from drainwright.exchange.well_record import WellRecord, read_well_record

ROWS = "2020-01-01,1.50\n2020-01-02,\n2020-01-03,2.00\n"


def read(folder: Path, text: str, **options: str) -> WellRecord:
    path = folder / "well.csv"
    path.write_text(text, encoding="utf-8")
    return read_well_record(path, **options)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("heading", "options", "metres"),
    [("date,level_ft_NGVD29", {}, 0.4572), ("time,head (m)", {}, 1.5), ("date,water level cm", {}, 0.015),
     ("date,level", {"unit": "ft"}, 0.4572)],
)  # fmt: skip
def test_levels_are_metres_inside(tmp_path: Path, heading: str, options: dict[str, str], metres: float) -> None:
    got = read(tmp_path, f"{heading}\n{ROWS}", **options)
    assert got.levels[0] == pytest.approx(metres)
    assert (len(got.times), got.missing, bool(np.isnan(got.levels[1]))) == (3, 1, True)


@pytest.mark.parametrize(
    ("text", "options", "found"),
    [
        (
            f"date,depth below ground water level m\n{ROWS}",
            {},
            "expected levels, which count upwards. If these are depths below a mark, say so with --depths",
        ),
        (f"date,level\n{ROWS}", {}, "found no unit in 'level'"),
        (f"date,level_ft\n{ROWS}", {"unit": "m"}, "to agree"),
        (f"date,level_ft,head_ft\n{ROWS}", {}, "expected a column"),
        ("date,level_ft\n2020-01-01,high\n2020-01-02,1\n", {}, "line 2: found the level 'high'"),
        ("date,level_ft\n2020-01-01,dry\n2020-01-02,1\n", {}, "-99, -999 or -9999"),
        ("date,level_ft\n2020-01-01,1e9\n2020-01-02,1\n", {}, "line 2: found the level '1e9'"),
        ("date,level_ft\n03.01.2020,1\n2020-01-02,1\n", {}, "line 2: found the time '03.01.2020'"),
    ],
)
def test_what_cannot_be_read_is_named(tmp_path: Path, text: str, options: dict[str, str], found: str) -> None:
    with pytest.raises(InputError) as caught:
        read(tmp_path, text, **options)
    assert found in str(caught.value)


def test_the_command_tells_the_seasonal_high(tmp_path: Path) -> None:
    """A well that stands at 10 ft each April to June and at 7 ft else: the mean of the highest is 10 ft."""
    days = np.arange("2008-04-01", "2018-04-01", dtype="datetime64[D]")
    months = days.astype("datetime64[M]").astype(int) % 12 + 1
    levels = np.where((months >= 4) & (months <= 6), 10.0, 7.0)
    path = tmp_path / "well.csv"
    path.write_text("date,level_ft\n" + "".join(f"{day},{level}\n" for day, level in zip(days, levels, strict=True)))
    result = CliRunner().invoke(app, ["well", str(path), "--json"])
    found = json.loads(result.stdout)
    assert (result.exit_code, len(found["years"]), found["enough"]) == (0, 10, True)
    assert found["mean_highest"] == pytest.approx(10 * 0.3048)
    assert "10.00 ft" in CliRunner().invoke(app, ["well", str(path)]).stdout
    refused = CliRunner().invoke(app, ["well", str(path), "--unit", "yd"])
    assert (refused.exit_code, "--unit: found 'yd'; expected ft, m, cm" in refused.stderr) == (2, True)


def test_the_rain_command_prints_and_refuses(tmp_path: Path) -> None:
    path = tmp_path / "rain.csv"
    days = np.arange("2008-01-01", "2019-01-01", dtype="datetime64[D]")
    path.write_text("date,rain_in\n" + "".join(f"{day},{(n % 50) / 20}\n" for n, day in enumerate(days)))
    shown = CliRunner().invoke(app, ["rain", str(path)])
    assert (shown.exit_code, "2.45 in" in shown.stdout, "4,018 rows of 24 h" in shown.stdout) == (0, True, True)
    found = json.loads(CliRunner().invoke(app, ["rain", str(path), "--json"]).stdout)
    assert found["maxima"][0]["largest"] == pytest.approx(2.45 * 0.0254)
    missing = CliRunner().invoke(app, ["rain", str(tmp_path / "none.csv")])
    assert (
        missing.exit_code,
        "none.csv: cannot be read (No such file or directory); expected a CSV file" in missing.stderr,
    ) == (2, True)
    table = tmp_path / "table.csv"
    table.write_text("no table")
    wrong = CliRunner().invoke(app, ["rain", str(path), "--table", str(table)])
    assert (wrong.exit_code, "no frequency table in 'table.csv'" in wrong.stderr) == (2, True)
    table.write_bytes(b"Point precipitation\x00 frequency estimates (inches)")
    wrong = CliRunner().invoke(app, ["rain", str(path), "--table", str(table)])
    assert (wrong.exit_code, "not text" in wrong.stderr) == (2, True)


def test_depths_below_a_mark_count_downwards(tmp_path: Path) -> None:
    """The least depth is the highest water."""
    path = tmp_path / "well.csv"
    path.write_text("date,depth to water (ft)\n2020-05-01,2.50\n2020-05-02,M\n2020-05-03,4.00\n")
    got = read_well_record(path, depths=True)
    assert got.levels[[0, 2]] == pytest.approx([-0.762, -1.2192])
    assert read(tmp_path, f"date,depth_m\n{ROWS}", depths=True).levels[0] == -1.5  # type: ignore[arg-type]
    path.write_text("date,depth to water (ft)\n2020-05-01,2.50\n2020-05-02,M\n2020-05-03,4.00\n")
    refused = CliRunner().invoke(app, ["well", str(path)])
    assert refused.exit_code == 2
    assert "--depths" in refused.output
    told = CliRunner().invoke(app, ["well", str(path), "--depths"])
    assert told.exit_code == 0, told.output
    highest = next(row for row in told.output.splitlines() if "highest ever read" in row)
    assert highest.split()[-2:] == ["2.50", "ft"]
    assert "below the mark" in told.output
    assert "1 rows" not in told.output
