"""The pipes that the firm lays, in a CSV file beside the job: a row for each pipe of the catalogue."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from pathlib import Path

from pydantic import ValidationError

from drainwright.errors import JobError, Problem
from drainwright.job.catalogue_file import Catalogue
from drainwright.job.firm import FirmPipe
from drainwright.job.loading import short
from drainwright.job.model import Job
from drainwright.quantities import convert

PIPES = Catalogue(
    part="pipes", rows="a row for each pipe", most=100,
    units={"pipe": "", "lengths": "lengths (ft)", "hole": "hole (in)"},
)  # fmt: skip


def fill_pipes(job: Job, folder: Path | None) -> Job:
    """The job with the pipes of its file among its own: those written in the job come first.

    Raises
    ------
    JobError
        If the file is missing, lies elsewhere, or is no table of pipes; each problem with its line.
    """
    return PIPES.fill(job, folder, read_pipes)


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
    line, headings, rows = PIPES.opened(text, name)
    units = {one.word: one.unit for one in headings}
    if "pipe" not in units:
        raise JobError((PIPES.problem(name, line, "headings without pipe", "pipe, and then lengths and hole"),))
    problems: list[Problem] = []
    pipes: list[FirmPipe] = []
    for line, cells in PIPES.filled_rows(rows, headings, problems, name):
        values = {one.word: cell for one, cell in zip(headings, cells, strict=True) if cell}
        key = values.get("pipe", "")
        if not key:
            wanted = "its key in the catalogue, like 'd3034 4 in'"
            problems.append(PIPES.problem(name, line, "a row without a pipe", wanted))
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
                problems.append(PIPES.problem(name, line, found, wanted))
    PIPES.told(problems, name, line, rows=bool(pipes))
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


__all__ = ["fill_pipes", "pipes_csv", "read_pipes"]
