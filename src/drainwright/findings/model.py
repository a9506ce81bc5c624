"""Findings and answers."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from drainwright.job.values import Basis


class Severity(StrEnum):
    """How a check came out."""

    OK = "ok"
    CAUTION = "caution"
    FAILS = "fails"


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """The outcome of one check at one place."""

    id: str  # "OUT-01", never reused for another meaning
    title: str
    severity: Severity
    where: str  # place in the job: "runs.FD1", "basin"
    figure: str  # with its unit, in the job's units
    limit: str  # with its unit, in the job's units; what would be right
    message: str  # what was found, in plain words with the numbers
    advice: str  # what to do; empty where all is well
    source: str  # key in drainwright.sources
    basis: Basis = Basis.MEASURED  # weakest mark the figure rests on


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """One of the 25 questions, answered for this job."""

    number: int
    question: str
    answer: str
    rests_on: str  # measured, mapped, stated or assumed, and what
    limit: str  # the limit and its source, if there is one
    do: str  # what to do
    complete: bool
    missing: str = ""  # what to measure, or what is not worked out yet


__all__ = ["Answer", "Finding", "Severity"]
