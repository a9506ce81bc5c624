"""The 25 questions that owners, contractors and inspectors ask most, answered for one job.

Each answer carries what it rests on, the limit with its source, and what to do. Where the job does not hold
enough to tell, the answer says what to measure.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass

from drainwright.build.wording import BASIS_WORDS
from drainwright.errors import InputError
from drainwright.findings.model import Answer, Finding, Severity
from drainwright.findings.places import by_own_line
from drainwright.findings.rules import Case
from drainwright.job.values import Basis
from drainwright.sources import cite
from drainwright.water.model import Cause


@dataclass(frozen=True, slots=True, kw_only=True)
class Reply:
    """An answer before it is numbered."""

    text: str
    rests_on: str
    do: str
    limit: str = ""
    missing: str = ""
    complete: bool = True


Reader = Callable[[Case, "Findings"], Reply]


@dataclass(frozen=True, slots=True)
class Findings:
    """The findings of a case, by id."""

    all: tuple[Finding, ...]

    def of(self, *ids: str) -> tuple[Finding, ...]:
        """Findings of these ids, those that fail first."""
        order = (Severity.FAILS, Severity.CAUTION, Severity.OK)
        chosen = [finding for finding in self.all if finding.id in ids]
        return tuple(sorted(chosen, key=lambda finding: order.index(finding.severity)))

    def says(self, *ids: str, every: bool = False) -> str:
        """What the findings of these ids say: the bad ones, or all of them where all is well."""
        chosen = self.of(*ids)
        bad = [finding for finding in chosen if finding.severity is not Severity.OK]
        return " ".join(dict.fromkeys(finding.message for finding in (chosen if every or not bad else bad)))

    def advice(self, *ids: str) -> str:
        """The advice of these ids, each sentence once."""
        said = (part for finding in self.of(*ids) for part in re.split(r"(?<=\.) ", finding.advice or ""))
        return " ".join(dict.fromkeys(part for part in said if part))

    def limits(self, *ids: str) -> str:
        """The limits of these ids with their sources."""
        first: dict[str, str] = {}
        for finding in self.of(*ids):
            if finding.limit:
                first.setdefault(finding.id, f"{finding.limit} ({cite(finding.source)})")
        return "; ".join(list(dict.fromkeys(first.values()))[:2])

    def bad(self, *ids: str) -> bool:
        """Whether a finding of these ids is not ok."""
        return any(finding.severity is not Severity.OK for finding in self.of(*ids))


QUESTIONS: dict[int, tuple[str, Reader]] = {}


def question(number: int, text: str) -> Callable[[Reader], Reader]:
    """Register the function that answers a question.

    Raises
    ------
    InputError
        If the number is answered already.
    """

    def register(reader: Reader) -> Reader:
        if number in QUESTIONS:
            raise InputError(f"question {number}: expected one answer")
        QUESTIONS[number] = (text, reader)
        return reader

    return register


def marks(items: Iterable[tuple[str, Basis]]) -> str:
    """Say what an answer rests on: ``measured: footing depth; assumed: barrier``."""
    groups: dict[Basis, list[str]] = {}
    for name, basis in items:
        groups.setdefault(basis, []).append(name)
    return "; ".join(
        f"{BASIS_WORDS[basis].lower()}: {', '.join(dict.fromkeys(groups[basis]))}" for basis in Basis if basis in groups
    )


def sentences(*parts: str) -> str:
    """Join what there is to say, each part once."""
    return " ".join(dict.fromkeys(part.strip() for part in parts if part.strip()))


def entering(case: Case) -> tuple[Mapping[Cause, float], Mapping[str, float]]:
    """Design flows that come into the works by cause, and those that never do by their entry. [m³/s]"""
    apart = by_own_line(case.system, case.inflows)
    inside = dict.fromkeys(Cause, 0.0)
    for item in case.inflows.contributions:
        if item.entry not in apart:
            inside[item.cause] += item.flow
    return inside, apart


def answers(case: Case, findings: tuple[Finding, ...]) -> tuple[Answer, ...]:
    """Answer all 25 questions, in their order."""
    from drainwright.findings import answers_ground, answers_pump, answers_work  # noqa: F401  (they register)

    known = Findings(findings)
    result = []
    for number in sorted(QUESTIONS):
        text, reader = QUESTIONS[number]
        reply = reader(case, known)
        result.append(
            Answer(
                number=number,
                question=text,
                answer=reply.text,
                rests_on=reply.rests_on,
                limit=reply.limit,
                do=reply.do,
                complete=reply.complete,
                missing=reply.missing,
            )
        )
    return tuple(result)


__all__ = ["QUESTIONS", "Findings", "Reply", "answers", "entering", "marks", "question", "sentences"]
