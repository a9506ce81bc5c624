"""A catalogue of the firm's own in a CSV file beside the job: what reading pumps and reading pipes have in common."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from drainwright.errors import JobError, Problem
from drainwright.job.beside import file_beside
from drainwright.job.csv_rows import csv_rows
from drainwright.job.loading import MOST_PROBLEMS, decode, read_bytes, refusal, short
from drainwright.job.model import Job

_HEADING = re.compile(r"(?P<word>[^()]*?)\s*(?P<number>\d+)?\s*(?:\((?P<unit>[^()]*)\))?")
Rows = Iterator[tuple[int, list[str]]]


@dataclass(frozen=True, slots=True)
class Heading:
    """What a column holds."""

    word: str
    number: int  # of several columns of one word; 0: none
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Catalogue:
    """A kind of catalogue: its part of the job and its columns."""

    part: str  # of the job: "pumps", which "pumps_file" fills
    rows: str  # what the file has besides its headings
    most: int  # in a job, its own and those of the file
    units: Mapping[str, str]  # by heading, how one with its unit is written; empty where it needs none
    numbered: frozenset[str] = frozenset()  # headings that may bear a number

    @property
    def where(self) -> str:
        """The key of the job that names the file."""
        return f"{self.part}_file"

    def problem(self, name: str, line: int, found: str, expected: str, hint: str = "") -> Problem:
        """What is wrong with a line of a file."""
        return Problem(where=self.where, found=found, expected=expected, hint=hint, file=name, line=line, column=1)

    def fill(self, job: Job, folder: Path | None, read: Callable[[str, str], Sequence[Any]]) -> Job:
        """The job with the entries of its file after its own, and the file's name cleared.

        Parameters
        ----------
        job : Job
            A validated job.
        folder : Path, optional
            The job file's folder; the catalogue lies in it or below.
        read : Callable
            From text and file name to the entries.

        Raises
        ------
        JobError
            If the file is missing, lies elsewhere, or is no such catalogue; each problem with its line.
        """
        name = getattr(job, self.where)
        if name is None:
            return job
        path = file_beside(name, folder, self.where, f"{self.part}.csv", f"'{self.part}'")
        every = (*getattr(job, self.part), *read(decode(read_bytes(path), name), name))
        if len(every) > self.most:
            found = f"{len(every)} {self.part} in the job and in {short(name)}"
            raise refusal(found, f"{self.most} at most", where=self.where)
        return job.model_copy(update={self.part: every, self.where: None})

    def opened(self, text: str, name: str) -> tuple[int, list[Heading], Rows]:
        """The line of the headings, the headings, and the rows after them.

        Raises
        ------
        JobError
            If the file is empty, or a heading is none of this catalogue's, lacks its unit, or stands there twice.
        """
        rows = csv_rows(text, name, self.where)
        try:
            line, cells = next(rows)
        except StopIteration:
            wanted = f"a line of headings, then {self.part}"
            raise refusal("an empty file", wanted, where=self.where, file=name) from None
        between = next((mark for mark in (";", "\t") if len(cells) == 1 and mark in cells[0]), None)
        if between is not None:
            said = "semicolons" if between == ";" else "tabs"
            hint = "save it with commas between cells and points in numbers (2.5, not 2,5)"
            wanted = "comma-separated values"
            raise JobError((self.problem(name, line, f"{said} between the headings", wanted, hint),))
        found, problems = [], []
        for cell in cells:
            match = _HEADING.fullmatch(cell.lower())
            word = match["word"].strip() if match else cell
            number = int(match["number"]) if match and match["number"] else 0
            unit = (match["unit"] or "").strip() if match else ""
            if word not in self.units or (number and word not in self.numbered):
                problems.append(
                    self.problem(name, line, f"the heading {short(cell)}", f"one of: {', '.join(self.units)}")
                )
            elif self.units[word] and not unit:
                said = f"the heading {short(cell)} without a unit"
                problems.append(self.problem(name, line, said, f"such as {self.units[word]!r}"))
            found.append(Heading(word, number, unit))
        seen = [(one.word, one.number) for one in found]
        for word, number in dict.fromkeys(key for key in seen if seen.count(key) > 1):
            shown = f"{word} {number}" if number else word
            problems.append(self.problem(name, line, f"the heading {shown!r} more than once", "each heading once"))
        if problems:
            raise JobError(tuple(problems))
        return line, found, rows

    def filled_rows(self, rows: Rows, headings: Sequence[Heading], problems: list[Problem], name: str) -> Rows:
        """Each row with a cell for each heading; one with more cells is told and passed over."""
        for line, cells in rows:
            if any(cells[len(headings) :]):
                wanted = f"{len(headings)}, as the headings"
                problems.append(self.problem(name, line, f"{len(cells)} cells", wanted))
            else:
                yield line, [*cells[: len(headings)], *[""] * (len(headings) - len(cells))]

    def told(self, problems: list[Problem], name: str, line: int, *, rows: bool) -> None:
        """Raise what was found, by line; a file without rows and without problems is one.

        Raises
        ------
        JobError
            Where there is anything.
        """
        if not rows and not problems:
            problems = [self.problem(name, line, "headings only", self.rows)]
        if problems:
            raise JobError(tuple(sorted(problems, key=lambda one: one.line or 0)[:MOST_PROBLEMS]))


__all__ = ["Catalogue", "Heading", "Rows"]
