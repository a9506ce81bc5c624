"""Rain records: what a file may look like, and what is refused."""

from __future__ import annotations

import gzip
import os
from pathlib import Path

import numpy as np
import pytest
from scipy.stats import gumbel_r
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.errors import InputError
from drainwright.exchange.rain_record import RainRecord, read_rain_record
from drainwright.exchange.series import MISSING, MISSING_WORDS
from drainwright.water.record_maxima import fitted_depth, gumbel_depth, maxima_of, window_sums, yearly_maxima

HEAD = "time,precip_mm\n"


def read(folder: Path, text: str, **options: str) -> RainRecord:
    path = folder / "gauge.csv"
    path.write_text(text, encoding="utf-8")
    return read_rain_record(path, **options)  # type: ignore[arg-type]


def hours(depths: list[float], start: str = "2020-01-01T00") -> str:
    times = np.datetime64(start, "h") + np.arange(len(depths))
    return HEAD + "".join(
        f"{str(time)[:13].replace('T', ' ')}:00,{depth}\n" for time, depth in zip(times, depths, strict=True)
    )


def test_units_of_heading_and_option_are_metres_inside(tmp_path: Path) -> None:
    rows = "2020-01-01 00:00,0\n2020-01-01 00:15,2\n"
    assert read(tmp_path, f"Date,rain (mm)\n{rows}").depths.tolist() == [0.0, 0.002]
    assert read(tmp_path, f"TIMESTAMP,station,PRCP_in\n{rows.replace(',', ',X,')}").depths[1] == pytest.approx(0.0508)
    assert read(tmp_path, f"time,rain\n{rows}", unit="in").step == 900.0
    assert read(tmp_path, "﻿" + f"time,rain_mm\r\n{rows}".replace("\n", "\r\n")).depths[1] == 0.002
    told = "# station 7\n\n" + f"time,rain_mm\n# moved\n{rows}"
    assert read(tmp_path, told).depths.tolist() == [0.0, 0.002]
    with pytest.raises(InputError, match="line 6: found the rain 'x'"):
        read(tmp_path, told.replace(",2", ",x"))
    packed = tmp_path / "gauge.csv.gz"
    packed.write_bytes(gzip.compress(f"time,rain_mm\n{rows}".encode()))
    assert read_rain_record(packed).depths[1] == 0.002


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("", "found an empty file"),
        ("a,b\n1,2\n", "found the heading 'a,b'; expected a column 'time'"),
        ("time,rain\n2020-01-01,1\n2020-01-02,1\n", "found no unit in 'rain'"),
        ("time,rain_mm,rain_in\n2020-01-01,1,1\n", "found 2 columns of rain"),
        (HEAD + "2020-01-01,1\n", "found 1 rows"),
        (HEAD + "2020-01-01,1\n01/02/2020,1\n", "line 3: found the time '01/02/2020'"),
        (HEAD + "2020-01-01,1\n2020-02-30,1\n", "line 3: found '2020-02-30'; expected a time that exists"),
        (HEAD + "2020-01-02,1\n2020-01-01,1\n", "line 3: found a time before"),
        (HEAD + "2020-01-01,1\n2020-01-01,1\n", "line 3: found the same time"),
        (HEAD + "2020-01-01,1\n2020-01-02,-1\n", "line 3: found the rain '-1'"),
        (HEAD + "2020-01-01,1\n2020-01-02,wet\n", "line 3: found the rain 'wet'"),
        (HEAD + "2020-01-01,1\n2020-01-02,wet\n", "nothing, -, M, NA, NaN, null, none, -99, -999 or -9999"),
        (HEAD + "2020-01-01,1\n2020-01-02,1e400\n", "line 3: found the rain '1e400'"),
        (HEAD + "2020-01-01,1\n2020-01-02\x00,1\n", "or no text"),
        (HEAD + "2020-01-01,1\n2020-01-02,1e300\n", "line 3: found the rain '1e300'"),
        (HEAD + "2020-01-01,nan\n2020-01-02\n", "found no reading of rain"),
        (HEAD + "2020-01-01," + "1" * 200_000 + "\n", "cannot be read (field larger"),
    ],
)
def test_what_cannot_be_read_is_named(tmp_path: Path, text: str, found: str) -> None:
    with pytest.raises(InputError) as caught:
        read(tmp_path, text)
    assert found in str(caught.value)


def test_a_broken_archive_and_a_missing_file_are_named(tmp_path: Path) -> None:
    broken = tmp_path / "gauge.csv.gz"
    broken.write_bytes(gzip.compress(hours([1.0] * 500).encode())[:200])
    for path in (broken, tmp_path / "none.csv"):
        with pytest.raises(InputError, match="cannot be read"):
            read_rain_record(path)
    with pytest.raises(InputError, match="to agree"):
        read(tmp_path, hours([0.0, 1.0]), unit="in")


def test_a_pipe_and_a_folder_are_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.csv")
    for path, found in ((tmp_path / "pipe.csv", "no regular file"), (tmp_path, "a folder")):
        with pytest.raises(InputError, match=found):
            read_rain_record(path)
    (tmp_path / "gauge.csv").write_text(hours([1.0] * 30), encoding="utf-8")
    told = CliRunner().invoke(app, ["rain", str(tmp_path / "gauge.csv"), "--table", str(tmp_path / "pipe.csv")])
    assert told.exit_code == 2
    assert "no regular file" in told.output


def test_a_mean_of_a_year_needs_a_year(tmp_path: Path) -> None:
    (tmp_path / "gauge.csv").write_text(hours([1.0] * 30), encoding="utf-8")
    told = CliRunner().invoke(app, ["rain", str(tmp_path / "gauge.csv")])
    assert told.exit_code == 0
    assert "Shorter than a year: no yearly mean." in told.output


def test_gaps_and_missing_values_are_counted(tmp_path: Path) -> None:
    text = hours([0.0, 1.0, 0.0]) + "2020-01-01 06:00,2\n2020-01-01 07:00,\n2020-01-01 08:00,-999\n"
    got = read(tmp_path, text)
    assert [(str(gap.start)[11:13], str(gap.end)[11:13]) for gap in got.gaps] == [("02", "06")]
    assert got.missing == pytest.approx((3 + 2) / 9)  # three hours of the gap and two without a value, of nine
    assert np.isnan(got.depths).tolist() == [False, False, False, False, True, True]


def test_lone_giants_are_set_aside_and_a_great_storm_is_not(tmp_path: Path) -> None:
    rain = [0.0, 4.0, 7.0, 12.0, 20.0, 31.0] * 40
    assert read(tmp_path, hours(rain)).suspects == ()
    assert read(tmp_path, hours([*rain, 62.0])).suspects == ()  # twice the next: a storm
    spoilt = read(tmp_path, hours([*rain, 254.0, 253.0]))
    assert [round(suspect.depth * 1000) for suspect in spoilt.suspects] == [254, 253]
    assert spoilt.suspects[0].line == 242
    assert np.nanmax(spoilt.depths) == pytest.approx(0.031)


def test_rain_beyond_the_worlds_records_is_set_aside(tmp_path: Path) -> None:
    [suspect] = read(tmp_path, hours([0.0, 300.0, 450.0])).suspects  # 422 mm in an hour is the envelope
    assert suspect.depth == pytest.approx(0.45)
    assert "more than ever fell" in suspect.why


def test_windows_against_a_plain_loop(tmp_path: Path) -> None:
    rain = np.random.default_rng(3).exponential(2.0, 400) * (np.random.default_rng(4).random(400) < 0.2)
    got = read(tmp_path, hours(np.round(rain, 3).tolist()))
    for steps in (1, 3, 24):
        plain = [got.depths[max(0, end - steps + 1) : end + 1].sum() for end in range(len(rain))]
        assert window_sums(got, steps * 3600.0) == pytest.approx(np.array(plain), abs=1e-12)
    with pytest.raises(InputError, match="whole number"):
        window_sums(got, 5400.0)


def test_a_half_read_year_does_not_count(tmp_path: Path) -> None:
    days = np.arange(np.datetime64("2018-01-01"), np.datetime64("2020-05-01"))
    rows = "".join(f"{day},{1 + (n % 7 == 0) * n / 10:.1f}\n" for n, day in enumerate(days))
    got = read(tmp_path, "date,rain_mm\n" + rows + "2020-12-31,0\n")
    found = yearly_maxima(got, 86400.0)
    assert found.years == (2018, 2019)
    assert found.largest > max(found.depths)  # it fell in the year that does not count
    assert all(maxima.duration >= 86400.0 for maxima in maxima_of(got))
    assert fitted_depth(found, 10.0) is None


def test_gumbel_against_scipy() -> None:
    """scipy.stats.gumbel_r with the location and scale of the same moments, an independent library."""
    mean, deviation = 0.05, 0.015
    scale = deviation * np.sqrt(6.0) / np.pi
    location = mean - 0.5772156649015329 * scale
    for years in (2.0, 10.0, 100.0):
        expected = gumbel_r.ppf(1.0 - 1.0 / years, loc=location, scale=scale)
        assert gumbel_depth(mean, deviation, years) == pytest.approx(float(expected), rel=1e-9)
    with pytest.raises(InputError, match="above one year"):
        gumbel_depth(mean, deviation, 1.0)


def test_what_is_odd_is_told_in_the_units_asked_for_and_in_good_number(tmp_path: Path) -> None:
    """686 mm are 27.01 in."""
    depths = [0.0, 1.0, 2.0, 1.0] * 60
    path = tmp_path / "gauge.csv"
    path.write_text(hours([*depths, 686.0]))
    us, si = (CliRunner().invoke(app, ["rain", str(path), "--units", units]).output for units in ("US", "SI"))
    assert "1 value was set aside as a fault, 27.01 in at 2020-01-11 00:00 (line 242)" in us
    assert "mm" not in us.partition("\n")[2]
    assert "1 value was set aside as a fault, 686 mm" in si
    assert "table, 2-yr" not in us, "no table was given"
    path.write_text(hours([*depths, 686.0, 700.0]))
    assert (
        "2 values were set aside as faults, the first of 27.01 in"
        in CliRunner().invoke(app, ["rain", str(path)]).output
    )


def test_the_words_for_a_missing_value_are_the_words_that_are_told() -> None:
    told = {part.strip().lower() for part in MISSING_WORDS.replace(" or ", ", ").split(",")}
    assert {"" if word == "nothing" else word for word in told} | {"-999.0", "-9999.0"} == MISSING
