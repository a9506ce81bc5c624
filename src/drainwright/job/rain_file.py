"""Rain tables in files beside the job: NOAA Atlas 14 point tables as they are served (CSV)."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import NoReturn

from drainwright.job.loading import MOST_BYTES, refusal, short
from drainwright.job.model import Job
from drainwright.job.place import Rain, RainRow
from drainwright.job.values import Basis, si

INCH = Fraction("0.0254")  # m, exact by definition
MILLIMETRE = Fraction("0.001")  # m
YEAR = 365.25 * 86400.0  # s, as the quantity reader counts a year
_NUMBER = re.compile(r"[0-9]{1,6}(?:\.[0-9]{0,6})?")
_DURATION = re.compile(r"(?P<count>[0-9]{1,3})-(?P<unit>min|hr|day)")
_SECONDS = {"min": 60, "hr": 3600, "day": 86400}
_WHERE = "rain.file"
_WANTED = "a NOAA Atlas 14 point table (CSV) of mean estimates"


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthTable:
    """A depth-duration-frequency table read from a file."""

    title: str  # "NOAA Atlas 14 Volume 2 Version 3, Champaign, Illinois, USA"
    return_periods: tuple[float, ...]  # [s]
    rows: tuple[tuple[float, tuple[float, ...]], ...]  # duration [s], depths [m]


def fill_rain(job: Job, folder: Path | None) -> Job:
    """The job with its rain table in it: a job that names a file gets the table read from there.

    Parameters
    ----------
    job : Job
        A validated job.
    folder : Path, optional
        The job file's folder; the rain file lies in it or below.

    Returns
    -------
    Job
        With ``rain.table`` filled and ``rain.file`` cleared; the file is named in ``rain.source``.

    Raises
    ------
    JobError
        If the file is missing, lies elsewhere, or is not a table of mean estimates.
    """
    if job.rain.file is None:
        return job
    path = _beside(job.rain.file, folder)
    table = read_rain_table(_text(path, job.rain.file), job.rain.file)
    said = job.rain.model_fields_set
    rain = Rain(
        source=f"{job.rain.source or table.title} (file {job.rain.file})"[:200],
        basis=job.rain.basis if "basis" in said else Basis.MAPPED,
        return_periods=tuple(si(period) for period in table.return_periods),
        table=tuple(
            RainRow(duration=si(duration), depths=tuple(si(depth) for depth in depths))
            for duration, depths in table.rows
        ),
        distribution=job.rain.distribution,
    )
    return job.model_copy(update={"rain": rain})


def _refuse(found: str, expected: str = _WANTED, hint: str = "") -> NoReturn:
    raise refusal(found, expected, hint, where=_WHERE)


def _beside(name: str, folder: Path | None) -> Path:
    """The path of a file in the job's folder or below; anything else is refused."""
    wanted = "a file in the job's folder or below, such as 'rain.csv'"
    if folder is None:
        _refuse(short(name), "a 'table' in the job: this document was not read from a folder")
    if not name.strip() or "\\" in name or ":" in name or Path(name).is_absolute():
        _refuse(short(name), wanted)
    root = folder.resolve()
    path = (root / name).resolve()
    if not path.is_relative_to(root):
        _refuse(short(name), wanted, "copy the file beside the job")
    if not path.is_file():
        _refuse(f"no file {short(name)}", wanted)
    return path


def _text(path: Path, name: str) -> str:
    try:
        with path.open("rb") as stream:
            data = stream.read(MOST_BYTES + 1)
    except OSError as error:
        _refuse(f"the file {short(name)} that cannot be read ({error.strerror})")
    if len(data) > MOST_BYTES or b"\x00" in data:
        _refuse(f"the file {short(name)}, too large or not text")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("latin-1")  # the degree sign of older files


def read_rain_table(text: str, name: str = "rain file") -> DepthTable:
    """Read a point table as NOAA's server hands it out.

    Parameters
    ----------
    text : str
        Header lines, then one block (mean), or three (mean, upper and lower bound). Inches or millimetres,
        depths or intensities.
    name : str
        What the errors call it.

    Returns
    -------
    DepthTable
        The mean estimates as depths, SI.

    Raises
    ------
    JobError
        If the file holds bounds only, has no units, or its rows cannot be read.

    Notes
    -----
    The format was learnt from six files as served (volumes 2, 6, 8, 9 and 10); there is no published grammar.
    """
    lines = [line.strip() for line in text.splitlines()]
    head = " ".join(lines[:20]).lower()
    if "precipitation frequency estimates" not in head:
        _refuse(f"no frequency table in {short(name)}")
    first = lines[0].lower()
    unit = INCH if "inch" in first else MILLIMETRE if "millim" in first or "(mm" in first else None
    if unit is None:
        _refuse(f"{short(lines[0])} in the first line", "'(inches)' or '(millimeters)' there, as the table is served")
    kind = _header(lines, "data type").lower()
    if "depth" not in kind and "intensity" not in kind:
        _refuse(f"the data type {short(kind)}", "precipitation depth or precipitation intensity")
    start = _mean_block(lines, name)
    periods = _years(lines[start])
    rows = []
    for line in lines[start + 1 :]:
        label, _, rest = line.partition(":")
        match = _DURATION.fullmatch(label.strip().lower())
        if match is None:
            break
        duration = int(match["count"]) * _SECONDS[match["unit"]]
        values = [_number(cell, label) for cell in rest.strip().lstrip(",").split(",")]
        if len(values) != len(periods):
            _refuse(f"{len(values)} depths for {label}", f"{len(periods)}, one for each return period")
        hours = Fraction(duration, 3600) if "intensity" in kind else 1
        rows.append((float(duration), tuple(float(value * unit * hours) for value in values)))
    if len(rows) < 2:
        _refuse(f"{len(rows)} durations in {short(name)}", "two or more")
    atlas = next((line for line in lines[:10] if line.startswith("NOAA Atlas")), "")
    title = ", ".join(part for part in (atlas, _header(lines, "location")) if part not in {"", "None", "-"})
    return DepthTable(
        title=title or "depth table", return_periods=tuple(year * YEAR for year in periods), rows=tuple(rows)
    )


def _header(lines: list[str], begins: str) -> str:
    for line in lines[:15]:
        key, colon, value = line.partition(":")
        if colon and key.lower().startswith(begins):
            return value.strip()
    return ""


def _mean_block(lines: list[str], name: str) -> int:
    """Index of the mean block's line of return periods; files of bounds only are refused."""
    bounds = ""
    for index, line in enumerate(lines):
        words = line.lower()
        if not words.startswith("precipitation frequency estimates"):
            continue
        if "bound" in words:
            bounds = bounds or words.removeprefix("precipitation frequency estimates at ").strip()
            continue
        if index + 1 < len(lines) and lines[index + 1].lower().startswith("by duration"):
            return index + 1
        _refuse(f"no line 'by duration for ARI' after the title in {short(name)}")
    _refuse(
        f"only the {bounds or 'bounds'} in {short(name)}",
        _WANTED,
        "a bound is not the estimate: download the table of mean values",
    )


def _years(line: str) -> tuple[float, ...]:
    values = [_number(cell, "return periods") for cell in line.partition(":")[2].split(",")[1:]]
    if not values or any(not 1 <= value <= 1000 for value in values):
        _refuse(f"return periods {short(line)}", "years from 1 to 1000")
    return tuple(float(value) for value in values)


def _number(cell: str, label: str) -> Fraction:
    if not _NUMBER.fullmatch(cell.strip()) or not Fraction(cell.strip()):
        _refuse(f"{short(cell.strip())} in the line of {label.strip()}", "a number above zero")
    return Fraction(cell.strip())


__all__ = ["DepthTable", "fill_rain", "read_rain_table"]
