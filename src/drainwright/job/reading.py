"""Read a job document: text to a checked ``Job``, with the line of every part."""

from __future__ import annotations

import dataclasses
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from drainwright.errors import JobError
from drainwright.job.book_file import fill_book
from drainwright.job.cross import cross_check
from drainwright.job.currency import signed_in_job
from drainwright.job.explain import problems_of
from drainwright.job.firm_file import fill_firm
from drainwright.job.ground_reading import fill_ground
from drainwright.job.loading import Loaded, Spot, decode, load, loaded_record, nearest, placed, read_bytes
from drainwright.job.model import Job
from drainwright.job.names import parts_of
from drainwright.job.pipe_file import fill_pipes
from drainwright.job.pump_file import fill_pumps
from drainwright.job.rain_file import fill_rain
from drainwright.job.versions import upgrade


@dataclass(frozen=True, slots=True, kw_only=True)
class Document:
    """A job with the text it was read from."""

    job: Job
    text: str  # as read, with its comments
    name: str  # file name for errors; ".json" marks the format
    folder: Path | None  # where files named in the job are looked for
    spots: Mapping[str, Spot]  # line and column of every key and list entry, by path

    @property
    def path(self) -> Path | None:
        """The file, if the document was read from one."""
        return self.folder / Path(self.name).name if self.folder else None

    @property
    def is_json(self) -> bool:
        """Whether the text is JSON rather than YAML."""
        return self.name.lower().endswith(".json")

    @property
    def tree(self) -> Any:
        """A fresh tree of the text in the current format, comments kept; changing it leaves the document alone."""
        from drainwright.job.writing import tree_of

        return tree_of(self)

    def line_of(self, where: str) -> int | None:
        """Line of a part such as ``works.runs[2].pipe``, or of its nearest part that stands in the text."""
        spot = self.spots.get(nearest(where, self.spots))
        return spot.line if spot else None

    def with_lines(self, error: JobError) -> JobError:
        """The error of a later stage, with file and line added to each problem that has none."""
        problems = tuple(
            dataclasses.replace(problem, where=_numbered(problem.where, self.job)) for problem in error.problems
        )
        return JobError(placed(problems, self.name, self.spots))


def read_document(path: str | Path) -> Document:
    """Read a job file, YAML or (by its ending) JSON.

    Parameters
    ----------
    path : str | Path
        The file. Files that the job names are looked for beside it.

    Returns
    -------
    Document
        The job, and what is needed to edit it and to name lines.

    Raises
    ------
    JobError
        Lists every fault that was found.
    """
    path = Path(path)
    return read_text(decode(read_bytes(path), str(path)), str(path), folder=path.parent)


def read_text(text: str, name: str = "job.yaml", folder: Path | None = None) -> Document:
    """Read a job from text.

    Parameters
    ----------
    text : str
        YAML, or JSON if ``name`` ends in ``.json``.
    name : str
        What the errors call it.
    folder : Path, optional
        Where files that the job names are looked for; without it such a name is refused.

    Returns
    -------
    Document
        The job with the text.

    Raises
    ------
    JobError
        Lists every fault that was found.
    """
    loaded = load(text, name)
    job = _checked(loaded, name, folder)
    return Document(job=job, text=text, name=name, folder=folder, spots=loaded.spots)


def read_record(record: dict[str, Any], name: str = "job.json", folder: Path | None = None) -> Document:
    """Read a job from a plain record that the program made: as ``read_text``, but faults have no lines, and sooner.

    Raises
    ------
    JobError
        Lists every fault that was found.
    """
    job = _checked(loaded_record(record, name), name, folder)
    return Document(job=job, text="", name=name, folder=folder, spots={})


def job_of(record: dict[str, Any], name: str = "job.json") -> Job:
    """The job of a plain record that was never text, such as one changed by the program: its faults have no lines.

    Raises
    ------
    JobError
        Lists every fault that was found, as for a file.
    """
    return _checked(loaded_record(record, name), name, None)


def _checked(loaded: Loaded, name: str, folder: Path | None) -> Job:
    try:
        record = upgrade(loaded.record)
        job = _validate(record, loaded, name)
        job = fill_rain(job, folder)
        job = fill_ground(job, folder)
        job = fill_pumps(job, folder)
        job = fill_pipes(job, folder)
        job = fill_book(job, folder)
        job = fill_firm(job, folder)
        book = job.price_book.book
        signed = tuple(signed_in_job(record, "USD" if book is None else book.currency))
        if signed:
            raise JobError(signed)
        cross_check(job)
    except JobError as error:
        raise JobError(placed(error.problems, name, loaded.spots)) from None
    return job


def read_job(path: str | Path) -> Job:
    """Read a job file; see ``read_document``."""
    return read_document(path).job


def _validate(record: Mapping[str, Any], loaded: Loaded, name: str) -> Job:
    try:
        return Job.model_validate(record, context={"document": True})
    except ValidationError as error:
        raise JobError(problems_of(error, Job, record, name, loaded.spots)) from None


def _numbered(where: str, job: Job) -> str:
    """The path with numbers: later stages name ``yards.west lawn.from_ground``, which stands at ``yards[0]``."""
    best, number = "", ""
    for path, part in parts_of(job):
        listed, bracket, _ = path.rpartition("[")
        named = f"{listed}.{getattr(part, 'name', None)}" if bracket and path.endswith("]") else ""
        if named and len(named) > len(best) and f"{where}.".startswith(f"{named}."):
            best, number = named, path
    return number + where[len(best) :]


__all__ = ["Document", "job_of", "read_document", "read_job", "read_record", "read_text"]
