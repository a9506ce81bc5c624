"""The pipes that the firm lays, in a CSV file beside the job: a row for each pipe of the catalogue."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence
from pathlib import Path

from pydantic import ValidationError

from drainwright.errors import JobError, Problem
from drainwright.job.beside import file_beside
from drainwright.job.csv_rows import csv_rows
from drainwright.job.firm import FirmPipe
from drainwright.job.loading import MOST_PROBLEMS, decode, read_bytes, refusal, short
from drainwright.job.model import Job
from drainwright.quantities import convert

WHERE = "pipes_file"
MOST_PIPES = 100  # in a job, its own and those of the file
_HEADING = re.compile(r"(?P<word>[^()]*?)\s*(?:\((?P<unit>[^()]*)\))?")
_WORDS = ("pipe", "lengths", "hole")


def fill_pipes(job: Job, folder: Path | None) -> Job:
    """The job with the pipes of its file among its own.

    Parameters
    ----------
    job : Job
        A validated job.
    folder : Path, optional
        The job file's folder; the pipes' file lies in it or below.

    Returns
    -------
    Job
        With ``pipes`` filled and ``pipes_file`` cleared.

    Raises
    ------
    JobError
        If the file is missing, lies elsewhere, or is no table of pipes; each problem with its line.
    """
    if job.pipes_file is None:
        return job
    name = job.pipes_file
    path = file_beside(name, folder, WHERE, "pipes.csv", "'pipes'")
    pipes = read_pipes(decode(read_bytes(path), name), name)
    if len(job.pipes) + len(pipes) > MOST_PIPES:
        found = f"{len(job.pipes) + len(pipes)} pipes in the job and its file"
        raise refusal(found, f"{MOST_PIPES} at most", where=WHERE)
    return job.model_copy(update={"pipes": (*job.pipes, *pipes), "pipes_file": None})


def read_pipes(text: str, name: str = "pipes.csv") -> tuple[FirmPipe, ...]:
    r"""Read a table of pipes.

    Parameters
    ----------
    text : str
        Comma-separated values with the headings ``pipe``, ``lengths (ft)`` and ``hole (in)``, the last two with any
        unit of length and in any order; they may be left out, or their cells empty. Several lengths stand in one
        cell with spaces between them. Empty lines, and lines that begin with #, are skipped.
    name : str
        What the errors call the file.

    Returns
    -------
    tuple of FirmPipe
        In the file's order. Whether the catalogue has such pipes is asked by the design.

    Raises
    ------
    JobError
        Lists every problem that was found, with its line.

    Examples
    --------
    >>> pipe, = read_pipes("pipe,lengths (ft)\nd3034 4 in,10 20\n")
    >>> pipe.pipe, len(pipe.lengths)
    ('d3034 4 in', 2)
    """
    rows = csv_rows(text, name, WHERE)
    try:
        line, cells = next(rows)
    except StopIteration:
        raise refusal("an empty file", "a line of headings, then pipes", where=WHERE, file=name) from None
    columns = _headings(cells, name, line)
    problems: list[Problem] = []
    pipes: list[FirmPipe] = []
    for line, cells in rows:
        if len(cells) > len(columns) and any(cells[len(columns) :]):
            problems.append(_problem(name, line, f"{len(cells)} cells", f"{len(columns)}, as the headings"))
            continue
        values = {word: cell for (word, _), cell in zip(columns, cells, strict=False) if cell}
        units = dict(columns)
        key = values.get("pipe", "")
        if not key:
            problems.append(_problem(name, line, "a row without a pipe", "its key in the catalogue, like 'd3034 4 in'"))
            continue
        record = {
            "pipe": key,
            "lengths": [f"{number} {units['lengths']}" for number in values.get("lengths", "").split()],
            "hole": f"{values['hole']} {units['hole']}" if "hole" in values else None,
        }
        try:
            pipes.append(FirmPipe.model_validate(record))
        except ValidationError as error:
            for item in error.errors():
                wanted = item["msg"].removeprefix("Value error, ").rpartition("expected ")[2]
                found = f"{short(item['input'])} as {item['loc'][0]} of {short(key)}"
                problems.append(_problem(name, line, found, wanted))
    if not pipes and not problems:
        problems.append(_problem(name, line, "headings only", "a row for each pipe"))
    if problems:
        raise JobError(tuple(problems[:MOST_PROBLEMS]))
    return tuple(pipes)


def pipes_csv(pipes: Sequence[FirmPipe]) -> str:
    """A table of pipes that reads back as these, lengths in feet and holes in inches as the trade names them."""
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(["pipe", "lengths (ft)", "hole (in)"])
    for one in pipes:
        lengths = " ".join(f"{convert(length, 'length', 'US', 'ft'):.6g}" for length in one.lengths)
        hole = "" if one.hole is None else f"{convert(one.hole, 'length', 'US', 'in'):.6g}"
        writer.writerow([one.pipe, lengths, hole])
    return stream.getvalue()


def _problem(name: str, line: int, found: str, expected: str) -> Problem:
    return Problem(where=WHERE, found=found, expected=expected, file=name, line=line, column=1)


def _headings(cells: list[str], name: str, line: int) -> list[tuple[str, str]]:
    """The word and the unit of each column."""
    columns: list[tuple[str, str]] = []
    problems = []
    for cell in cells:
        match = _HEADING.fullmatch(cell.lower())
        word, unit = (match["word"].strip(), (match["unit"] or "").strip()) if match else (cell, "")
        if word not in _WORDS:
            problems.append(_problem(name, line, f"the heading {short(cell)}", f"one of: {', '.join(_WORDS)}"))
        elif word != "pipe" and not unit:
            said = f"the heading {short(cell)} without a unit"
            problems.append(_problem(name, line, said, "such as 'lengths (ft)' or 'hole (in)'"))
        elif word in dict(columns):
            problems.append(_problem(name, line, f"the heading {word!r} more than once", "each heading once"))
        columns.append((word, unit))
    if not problems and "pipe" not in dict(columns):
        problems.append(_problem(name, line, "headings without pipe", "pipe, and then lengths and hole"))
    if problems:
        raise JobError(tuple(problems))
    return columns


__all__ = ["fill_pipes", "pipes_csv", "read_pipes"]
