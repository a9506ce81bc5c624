"""Rain tables in files beside the job: NOAA Atlas 14 point tables as they are served (CSV)."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from pathlib import Path
from typing import Any, NoReturn

from drainwright.errors import JobError, Problem
from drainwright.job.beside import file_beside
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


@dataclass(frozen=True, slots=True)
class Spot:
    """A place in the file: line and column as a spreadsheet shows them, from 1; column None: the whole line."""

    file: str
    line: int
    column: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DepthTable:
    """A depth-duration-frequency table read from a file."""

    title: str  # "NOAA Atlas 14 Volume 2 Version 3, Champaign, Illinois, USA"
    return_periods: tuple[float, ...]  # [s]
    rows: tuple[tuple[float, tuple[float, ...]], ...]  # duration [s], depths [m]
    low: tuple[tuple[float, ...], ...] = ()  # lower bounds of the 90 % interval, row by row; empty: not given [m]
    high: tuple[tuple[float, ...], ...] = ()  # upper bounds [m]

    def by_duration(self) -> Iterator[tuple[float, dict[str, tuple[float, ...]]]]:
        """Each duration [s] with its depths, and its bounds where there are any. [m]"""
        for number, (duration, depths) in enumerate(self.rows):
            bounds = {"low": self.low, "high": self.high}
            yield duration, {"depths": depths} | {name: rows[number] for name, rows in bounds.items() if rows}


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
    path = file_beside(job.rain.file, folder, _WHERE, "rain.csv", "a 'table'")
    table = read_rain_table(rain_text(path, job.rain.file), job.rain.file)
    said = job.rain.model_fields_set
    rain = Rain(
        source=f"{job.rain.source or table.title} (file {job.rain.file})"[:200],
        basis=job.rain.basis if "basis" in said else Basis.MAPPED,
        return_periods=tuple(si(period) for period in table.return_periods),
        table=tuple(
            RainRow(duration=si(duration), **{name: _held(values) for name, values in row.items()})
            for duration, row in table.by_duration()
        ),
        spread=None if job.rain.spread is None else si(job.rain.spread),
        distribution=job.rain.distribution,
    )
    return job.model_copy(update={"rain": rain})


def _refuse(found: str, expected: str = _WANTED, hint: str = "", at: Spot | None = None) -> NoReturn:
    if at is None:
        raise refusal(found, expected, hint, where=_WHERE)
    cell = f"{found} in column {at.column}" if at.column else found
    told = Problem(where=_WHERE, found=cell, expected=expected, hint=hint, file=at.file, line=at.line, column=at.column)
    raise JobError((told,))


def rain_text(path: Path, name: str) -> str:
    """The text of a rain table's file: UTF-8, or Latin-1 where it is not.

    Raises
    ------
    JobError
        If the file cannot be read, is too large, or holds no text.
    """
    try:
        with path.open("rb") as stream:
            data = stream.read(MOST_BYTES + 1)
    except OSError as error:
        _refuse(f"the file {short(name)} that cannot be read ({error.strerror})")
    return decoded(data, name)


def decoded(data: bytes, name: str) -> str:
    """The text of a rain table: UTF-8, or Latin-1 where it is not.

    Raises
    ------
    JobError
        If it is too large, or no text.
    """
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
        wanted = "'(inches)' or '(millimeters)' there, as the table is served"
        _refuse(f"{short(lines[0])} in the first line", wanted, at=Spot(name, 1))
    kind = _header(lines, "data type").lower()
    if "depth" not in kind and "intensity" not in kind:
        _refuse(f"the data type {short(kind)}", "precipitation depth or precipitation intensity")
    hours = "intensity" in kind
    start = _mean_block(lines, name)
    periods, rows = _block(lines, start, unit, hours, name)
    if len(rows) < 2:
        _refuse(f"{len(rows)} durations", "two or more, each like '5-min:' or '24-hr:'", at=Spot(name, start + 2))
    atlas = next((line for line in lines[:10] if line.startswith("NOAA Atlas")), "")
    title = ", ".join(part for part in (atlas, _header(lines, "location")) if part not in {"", "None", "-"})
    low, high = (_bound_block(lines, word, unit, hours, periods, rows, name) for word in ("lower", "upper"))
    return DepthTable(
        title=title or "depth table",
        return_periods=tuple(year * YEAR for year in periods),
        rows=tuple(rows),
        low=low,
        high=high,
    )


_Rows = list[tuple[float, tuple[float, ...]]]


def _block(lines: list[str], start: int, unit: Fraction, per_hour: bool, name: str) -> tuple[tuple[float, ...], _Rows]:
    """Return periods [years] and rows of the block whose line of return periods is given."""
    periods = _years(lines[start], Spot(name, start + 1))
    rows = []
    for number, line in enumerate(lines[start + 1 :], start + 2):
        label, _, rest = line.partition(":")
        match = _DURATION.fullmatch(label.strip().lower())
        if match is None:
            break
        duration = int(match["count"]) * _SECONDS[match["unit"]]
        first = 2 if rest.strip().startswith(",") else 1
        cells = enumerate(rest.strip().lstrip(",").split(","), first)
        values = [_number(cell, label, Spot(name, number, column)) for column, cell in cells]
        if len(values) != len(periods):
            wanted = f"{len(periods)}, one for each return period"
            _refuse(f"{len(values)} depths for {label}", wanted, at=Spot(name, number))
        hours = Fraction(duration, 3600) if per_hour else 1
        rows.append((float(duration), tuple(float(value * unit * hours) for value in values)))
    return periods, rows


def _bound_block(
    lines: list[str], word: str, unit: Fraction, per_hour: bool, periods: tuple[float, ...], rows: _Rows, name: str
) -> tuple[tuple[float, ...], ...]:
    """Bounds of the mean block's rows, where the file gives them; they must fit the mean block and lie around it."""
    for index, line in enumerate(lines[:-1]):
        if not line.lower().startswith(f"precipitation frequency estimates at {word} bound"):
            continue
        its_periods, its_rows = _block(lines, index + 1, unit, per_hour, name)
        if its_periods != periods or [row[0] for row in its_rows] != [row[0] for row in rows]:
            wanted = "the rows and columns of the mean block"
            _refuse(f"a block of {word} bounds with other rows or columns", wanted, at=Spot(name, index + 1))
        sign = 1 if word == "lower" else -1
        for number, ((duration, means), (_, bounds)) in enumerate(zip(rows, its_rows, strict=True), index + 3):
            for column, (bound, mean) in enumerate(zip(bounds, means, strict=True), 2):
                if sign * bound > sign * mean * (1 + 1e-9):
                    found = f"a {word} bound of {duration / 60:g} min beyond its mean"
                    _refuse(found, "lower <= mean <= upper", at=Spot(name, number, column))
        return tuple(bounds for _, bounds in its_rows)
    return ()


def _held(values: tuple[float, ...]) -> tuple[Any, ...]:
    return tuple(si(value) for value in values)


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
        _refuse("no line 'by duration for ARI' after the title", at=Spot(name, index + 2))
    _refuse(
        f"only the {bounds or 'bounds'} in {short(name)}",
        _WANTED,
        "a bound is not the estimate: download the table of mean values",
    )


def _years(line: str, at: Spot) -> tuple[float, ...]:
    cells = enumerate(line.partition(":")[2].split(",")[1:], 2)
    values = [_number(cell, "return periods", replace(at, column=column)) for column, cell in cells]
    if not values or any(not 1 <= value <= 1000 for value in values):
        _refuse(f"return periods {short(line)}", "years from 1 to 1000", at=at)
    return tuple(float(value) for value in values)


def _number(cell: str, label: str, at: Spot) -> Fraction:
    if not _NUMBER.fullmatch(cell.strip()) or not Fraction(cell.strip()):
        _refuse(f"{short(cell.strip())} in the line of {label.strip()}", "a number above zero", at=at)
    return Fraction(cell.strip())


__all__ = ["DepthTable", "decoded", "fill_rain", "rain_text", "read_rain_table"]
