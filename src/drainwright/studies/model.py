"""What a study is: runs, and what each gave."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Literal, TypeAlias

from drainwright.errors import DrainError

if TYPE_CHECKING:
    from drainwright.storm.years.model import SpellRain

RESULTS = 4  # raise it when the figures of an unchanged run change: old results then count as missing

Kind: TypeAlias = Literal["storm", "design"]
Value: TypeAlias = float | int | str | bool | None


class StudyError(DrainError):
    """A study cannot go on: its folder is taken, the disk is full, the cluster is gone; what is done is kept."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """One run: a job, changes to it, a rain."""

    number: int  # from 1, in the order of the study
    job: str  # key of its text in ``Study.jobs``
    changes: Mapping[str, Any]  # by dotted key of the job document, as a person writes them
    rain: Mapping[str, Any]  # a storm of the job's table, or a year of a stretch; empty: as in the job
    key: str  # sha256 of all that its figures rest on; the same anywhere


@dataclass(frozen=True, slots=True, kw_only=True)
class Study:
    """A table of runs."""

    title: str
    kind: Kind
    jobs: Mapping[str, str]  # the jobs as JSON, files that they name read into them, by sha256
    job_names: Mapping[str, str]  # what each is called in the study file
    runs: tuple[Run, ...]
    keep: tuple[str, ...]  # figures; empty: all
    seed: int | None = None  # of the sample
    rains: Mapping[str, SpellRain] = field(default_factory=dict)  # years of rain in a row, by sha256


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a run gave: figures, or why there are none."""

    key: str
    figures: Mapping[str, Value] = field(default_factory=dict)  # SI, by "name [unit]"
    error: str = ""  # empty: it went well


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyResult:
    """A study, run."""

    study: Study
    outcomes: tuple[Outcome, ...]  # one a run, in the order of the runs
    fresh: int  # runs that were done now
    begun: str  # of this call, UTC
    ended: str
    notes: tuple[str, ...] = ()

    @property
    def failed(self) -> int:
        """Runs without figures."""
        return sum(bool(outcome.error) for outcome in self.outcomes)


def digest(value: object) -> str:
    """sha256 of a plain value, the same for the same content anywhere.

    Examples
    --------
    >>> digest({"b": 1, "a": 2}) == digest({"a": 2, "b": 1})
    True
    """
    text = value if isinstance(value, str) else json.dumps(value, sort_keys=True, ensure_ascii=True, allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()


def version() -> tuple[str, int]:
    """Version of the program and of its results."""
    from drainwright import __version__

    return __version__, RESULTS


def run_key(kind: Kind, job: str, changes: Mapping[str, Any], rain: Mapping[str, Any]) -> str:
    """Key of a run by its content: kind, job, changes, rain, and the version of the results."""
    program, results = version()
    return digest([results, program, kind, job, dict(changes), dict(rain)])


__all__ = [
    "RESULTS", "Kind", "Outcome", "Run", "Study", "StudyError", "StudyResult", "Value", "digest", "run_key", "version",
]  # fmt: skip
