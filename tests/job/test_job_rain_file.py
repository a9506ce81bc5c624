"""Rain tables as NOAA Atlas 14 serves them."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from drainwright.errors import JobError
from drainwright.job import job_from_json, read_document, read_job, read_text, to_json
from drainwright.job.rain_file import DepthTable, read_rain_table
from drainwright.job.values import Basis

HERE = Path(__file__).parent
SMALL = (HERE / "small.yaml").read_text(encoding="utf-8")
SHARED = Path(__file__).parents[3] / "shared" / "data" / "idf"
YEAR = 365.25 * 86400.0  # s
INCH = 0.0254  # m

needs_tables = pytest.mark.skipif(not SHARED.is_dir(), reason="the public rain tables are not beside the repository")

TABLE = """Point precipitation frequency estimates (inches)
NOAA Atlas 14 Volume 2 Version 3
Data type: Precipitation depth
Time series type: Partial duration
Project area: Nowhere
Location name (ESRI Maps): Exampleton, Nowhere, USA
Station Name: -
Latitude: 40.0°
Longitude: -88.0°
Elevation (USGS): None None


PRECIPITATION FREQUENCY ESTIMATES
by duration for ARI (years):, 2,10,25
5-min:, 0.40,0.60,0.70
60-min:, 1.50,2.10,2.50
24-hr:, 3.00,4.50,5.50

Date/time (GMT):  Mon Jan 01 00:00:00 2024
"""


def table(name: str) -> DepthTable:
    return read_rain_table((SHARED / name).read_text(encoding="utf-8"), name)


def refused(text: str) -> str:
    with pytest.raises(JobError) as caught:
        read_rain_table(text)
    assert caught.value.problems[0].where == "rain.file"
    return str(caught.value)


@needs_tables
@pytest.mark.parametrize(
    ("name", "title", "first", "last"),
    [
        ("champaign_il_depth_in.csv", "NOAA Atlas 14 Volume 2 Version 3, Champaign, Illinois, USA", 0.409, 27.5),
        ("ann_arbor_mi_depth_in_all.csv", "NOAA Atlas 14 Volume 8 Version 2, Ann Arbor, Michigan, USA", 0.321, 18.9),
        ("fort_myers_fl_depth_in.csv", "NOAA Atlas 14 Volume 9 Version 2", 0.553, 41.5),
    ],
)
def test_tables_as_served(name: str, title: str, first: float, last: float) -> None:
    """Corner values as printed in the files; of three blocks the first, the mean, is taken."""
    read = table(name)
    assert read.title == title
    assert read.return_periods == tuple(year * YEAR for year in (1, 2, 5, 10, 25, 50, 100, 200, 500, 1000))
    assert (len(read.rows), read.rows[0][0], read.rows[-1][0]) == (19, 300.0, 60 * 86400.0)
    assert read.rows[0][1][0] == pytest.approx(first * INCH, rel=1e-15)
    assert read.rows[-1][1][-1] == pytest.approx(last * INCH, rel=1e-15)


@needs_tables
@pytest.mark.parametrize("name", ["wasco_ca_depth_in_lower90.csv", "newbury_nh_depth_in_lower90.csv"])
def test_bounds_are_not_taken_for_the_mean(name: str) -> None:
    told = refused((SHARED / name).read_text(encoding="utf-8"))
    assert "only the lower bound of 90% confidence interval" in told
    assert "download the table of mean values" in told


@needs_tables
def test_job_with_a_served_table(tmp_path: Path) -> None:
    (tmp_path / "rain.csv").write_bytes((SHARED / "ann_arbor_mi_depth_in_all.csv").read_bytes())
    job = read_job(_job(tmp_path, "rain.csv"))
    assert (len(job.rain.table), len(job.rain.return_periods)) == (19, 10)
    assert job.rain.file is None
    assert job.rain.source == "NOAA Atlas 14 Volume 8 Version 2, Ann Arbor, Michigan, USA (file rain.csv)"
    assert job_from_json(to_json(job)) == job


def _job(folder: Path, file: str) -> Path:
    start, end = SMALL.index("  return_periods"), SMALL.index("roofs:")
    path = folder / "job.yaml"
    path.write_text(SMALL[:start] + f"  file: {file}\n" + SMALL[end:], encoding="utf-8")
    return path


def test_depth_in_inches() -> None:
    read = read_rain_table(TABLE)
    assert read.return_periods == (2 * YEAR, 10 * YEAR, 25 * YEAR)
    assert [duration for duration, _ in read.rows] == [300.0, 3600.0, 86400.0]
    assert read.rows[1][1] == pytest.approx((1.5 * INCH, 2.1 * INCH, 2.5 * INCH), rel=1e-15)


def test_depth_in_millimetres() -> None:
    read = read_rain_table(TABLE.replace("(inches)", "(millimeters)"))
    assert read.rows[1][1] == pytest.approx((0.0015, 0.0021, 0.0025), rel=1e-15)


def test_intensity() -> None:
    """An intensity times its duration is the depth: 0.6 in/h for 5 minutes is 0.05 in."""
    text = TABLE.replace("(inches)", "(inches/hour)").replace("Precipitation depth", "Precipitation intensity")
    read = read_rain_table(text)
    assert read.rows[0][1][1] == pytest.approx(0.05 * INCH, rel=1e-15)
    assert read.rows[2][1][0] == pytest.approx(72.0 * INCH, rel=1e-15)


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ("(inches)", "", "in the first line"),
        ("Precipitation depth", "Temperature", "the data type 'temperature'"),
        ("PRECIPITATION FREQUENCY ESTIMATES\n", "PRECIPITATION FREQUENCY ESTIMATES AT UPPER BOUND OF 90% X\n", "upper"),
        ("0.40,0.60,0.70", "0.40,0.60", "2 depths for 5-min"),
        ("0.40,0.60,0.70", "0.40,-0.60,0.70", "'-0.60'"),
        ("0.40,0.60,0.70", "0.40,1e999999999,0.70", "a number above zero"),
        ("0.40,0.60,0.70", "0.40,NaN,0.70", "'NaN'"),
        (" 2,10,25", " 2,10,2500", "years from 1 to 1000"),
        (" 2,10,25", "", "return periods"),
        ("60-min", "sixty minutes", "1 durations"),
        ("by duration", "by length", "no line 'by duration for ARI'"),
    ],
)
def test_odd_tables_are_refused(old: str, new: str, words: str) -> None:
    assert old in TABLE
    assert words in refused(TABLE.replace(old, new))


@pytest.mark.parametrize("text", ["", "\n", "a,b\n1,2\n", "<html>"])
def test_no_table(text: str) -> None:
    assert "no frequency table" in refused(text)


def test_latin_1_degree_sign(tmp_path: Path) -> None:
    (tmp_path / "rain.csv").write_bytes(TABLE.encode("latin-1"))
    rain = read_job(_job(tmp_path, "rain.csv")).rain
    assert rain.basis is Basis.MAPPED
    assert rain.table[2].depths == pytest.approx((3.0 * INCH, 4.5 * INCH, 5.5 * INCH), rel=1e-15)


def test_in_a_folder_below_with_its_own_basis(tmp_path: Path) -> None:
    (tmp_path / "data").mkdir()
    (tmp_path / "data" / "rain.csv").write_text(TABLE, encoding="utf-8")
    document = read_document(_job(tmp_path, "data/rain.csv\n  basis: assumed\n  source: a guess"))
    assert document.job.rain.basis is Basis.ASSUMED
    assert document.job.rain.source == "a guess (file data/rain.csv)"


@pytest.mark.parametrize("file", ["../rain.csv", "/etc/passwd", "data/../../rain.csv", "C:/rain.csv", "'..\\rain.csv'"])
def test_outside_the_folder(tmp_path: Path, file: str) -> None:
    (tmp_path / "rain.csv").write_text(TABLE, encoding="utf-8")
    (tmp_path / "job").mkdir()
    with pytest.raises(JobError, match="in the job's folder or below"):
        read_job(_job(tmp_path / "job", file))


def test_link_out_of_the_folder(tmp_path: Path) -> None:
    (tmp_path / "rain.csv").write_text(TABLE, encoding="utf-8")
    (tmp_path / "job").mkdir()
    os.symlink(tmp_path / "rain.csv", tmp_path / "job" / "rain.csv")
    with pytest.raises(JobError, match="in the job's folder or below"):
        read_job(_job(tmp_path / "job", "rain.csv"))


def test_absent_or_nowhere(tmp_path: Path) -> None:
    with pytest.raises(JobError, match=r"no file 'rain\.csv'"):
        read_job(_job(tmp_path, "rain.csv"))
    with pytest.raises(JobError, match="not read from a folder"):
        read_text(_job(tmp_path, "rain.csv").read_text(encoding="utf-8"))


def test_wrong_table_names_the_line_of_the_file_key(tmp_path: Path) -> None:
    (tmp_path / "rain.csv").write_text("nothing\n", encoding="utf-8")
    with pytest.raises(JobError) as caught:
        read_job(_job(tmp_path, "rain.csv"))
    problem = caught.value.problems[0]
    assert problem.line is not None
    assert "file: rain.csv" in _job(tmp_path, "rain.csv").read_text(encoding="utf-8").splitlines()[problem.line - 1]


BOUNDED = (
    TABLE.replace(
        "\nDate/time",
        """
PRECIPITATION FREQUENCY ESTIMATES AT UPPER BOUND OF 90% CONFIDENCE INTERVAL
by duration for ARI (years):, 2,10,25
5-min:, 0.45,0.70,0.85
60-min:, 1.70,2.40,3.00
24-hr:, 3.30,5.10,6.60

PRECIPITATION FREQUENCY ESTIMATES AT LOWER BOUND OF 90% CONFIDENCE INTERVAL
by duration for ARI (years):, 2,10,25
5-min:, 0.35,0.50,0.55
60-min:, 1.30,1.80,2.00
24-hr:, 2.70,3.90,4.50

Date/time""",
    )
)  # fmt: skip


def test_bounds_of_the_three_blocks_are_kept(tmp_path: Path) -> None:
    read = read_rain_table(BOUNDED)
    assert [low[1] / INCH for low in read.low] == pytest.approx([0.5, 1.8, 3.9])
    assert [high[1] / INCH for high in read.high] == pytest.approx([0.7, 2.4, 5.1])
    (tmp_path / "rain.csv").write_text(BOUNDED, encoding="utf-8")
    start = SMALL.index("\nrain:")
    rest = SMALL[start + 1 :].split("\n", 1)[1]
    end = next((n for n, line in enumerate(rest.split("\n")) if line and not line.startswith((" ", "#"))), None)
    tail = "\n".join(rest.split("\n")[end:]) if end is not None else ""
    (tmp_path / "job.yaml").write_text(SMALL[:start] + "\nrain: {file: rain.csv}\n" + tail, encoding="utf-8")
    job = read_job(tmp_path / "job.yaml")
    assert job.rain.table[1].low == pytest.approx([1.3 * INCH, 1.8 * INCH, 2.0 * INCH])
    assert job_from_json(to_json(job)) == job


@pytest.mark.parametrize(
    ("old", "new", "found"),
    [
        ("5-min:, 0.35,0.50,0.55", "5-min:, 0.35,0.65,0.55", "a lower bound of 5 min beyond its mean"),
        ("60-min:, 1.70,2.40,3.00\n", "", "a block of upper bounds with other rows or columns"),
        ("24-hr:, 2.70,3.90,4.50", "24-hr:, 2.70,3.90", "2 depths for 24-hr"),
    ],
)
def test_bounds_that_do_not_fit_are_refused(old: str, new: str, found: str) -> None:
    assert old in BOUNDED
    assert found in refused(BOUNDED.replace(old, new))
