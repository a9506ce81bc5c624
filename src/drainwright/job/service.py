"""What was found at the visits to a job that is in service."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Literal

from pydantic import Field

from drainwright.errors import JobError, Problem
from drainwright.job.explain import record_of
from drainwright.job.loading import MOST_PROBLEMS, Spot, decode, load, placed, read_bytes
from drainwright.job.values import Day, Flow, Name, Record, ShortText, Size, Starts, Text

NOUN = "a record of visits"
Trouble = Literal["roots", "sand", "leaves"]


FULL = 0.4  # of a catch basin's trap: silt is taken out before; common practice, no source [-]


class Looked(Record):
    """What was read at one basin."""

    basin: Name
    flow: Flow | None = Field(default=None, gt=0.0, description="the pump's, by drawdown")
    flow_within: Flow | None = Field(default=None, gt=0.0, description="its standard error; left out: 3 % of it")
    starts: Starts | None = Field(default=None, description="of the pump's counter, from its first day")


class Silted(Record):
    """Silt in a catch basin's sump, as it was found."""

    inlet: Name
    depth: Size


class Visit(Record):
    """One visit."""

    on: Day
    by: ShortText = ""
    found: tuple[Trouble, ...] = Field(default=(), max_length=3)
    basins: tuple[Looked, ...] = Field(default=(), max_length=6)
    silt: tuple[Silted, ...] = Field(default=(), max_length=60)
    emptied: tuple[Name, ...] | None = Field(
        default=None, max_length=60, description="catch basins emptied at this visit; left out: each with its silt read"
    )
    done: tuple[ShortText, ...] = Field(default=(), max_length=40)
    new_pump: tuple[Name, ...] = Field(default=(), max_length=6, description="basins that got a new pump at this visit")
    note: Text = ""


class Service(Record):
    """The visits to one job, the first first."""

    schema_version: Literal[1]
    job: ShortText = Field(min_length=1, description="the job's number")
    in_service: Day = Field(description="the day on which it went to work")
    invented: bool = Field(default=False, description="an example")
    visits: tuple[Visit, ...] = Field(min_length=1, max_length=500)


@dataclass(frozen=True, slots=True, kw_only=True)
class ServiceDocument:
    """A record with the places of its parts."""

    service: Service
    name: str  # file name for errors
    spots: Mapping[str, Spot]

    def refused(self, problems: tuple[Problem, ...]) -> JobError:
        """The problems of a later stage, with file and line."""
        return JobError(placed(problems, self.name, self.spots)[:MOST_PROBLEMS])


def read_service(path: str | Path) -> ServiceDocument:
    """Read a record of visits, YAML or (by its ending) JSON.

    Raises
    ------
    JobError
        Lists every fault that was found, each with its line.
    """
    path = Path(path)
    return read_service_text(decode(read_bytes(path, f"{NOUN} (.yaml or .json)"), str(path)), str(path))


def read_service_text(text: str, name: str = "service.yaml") -> ServiceDocument:
    """Read a record of visits from text; ``name`` is what the errors call it.

    Raises
    ------
    JobError
        Lists every fault that was found, each with its line.
    """
    loaded = load(text, name, NOUN, "job")
    service = record_of(Service, loaded, name)
    document = ServiceDocument(service=service, name=name, spots=loaded.spots)
    days = [service.in_service, *(visit.on for visit in service.visits)]
    problems = tuple(
        Problem(
            where=f"visits[{number}].on", found=day.isoformat(),
            expected=f"visits in turn, this one after {before.isoformat()}",
        )
        for number, (before, day) in enumerate(pairwise(days))
        if day <= before
    )  # fmt: skip
    if problems:
        raise document.refused(problems)
    return document


__all__ = [
    "FULL",
    "Looked",
    "Service",
    "ServiceDocument",
    "Silted",
    "Trouble",
    "Visit",
    "read_service",
    "read_service_text",
]
