"""The 25 questions, answered."""

from __future__ import annotations

from dataclasses import dataclass

from drainwright.design import Design
from drainwright.paper.documents.governing import figures_of
from drainwright.paper.documents.told import customer_answers


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One question with the answer for the customer, and what the office has beside it."""

    number: int
    question: str
    answer: str
    do: str
    rests_on: str
    limit: str
    missing: str
    worked_out: str  # figures with their steps
    office: str  # the answer as the office has it
    office_do: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Answers:
    """All questions."""

    job: str
    asked: tuple[Asked, ...]
    open: tuple[int, ...]  # numbers of those where something is missing
    sound: bool
    invented: bool


def answers(design: Design) -> Answers:
    """The page of the questions."""
    asked = tuple(
        Asked(
            number=told.number, question=told.question, answer=told.text, do=told.do, rests_on=told.rests_on,
            limit=told.limit, missing=told.missing, worked_out=figures_of(design, told.number), office=office.answer,
            office_do=office.do,
        )
        for told, office in zip(customer_answers(design), design.answers, strict=True)
    )  # fmt: skip
    return Answers(
        job=design.job.title, asked=asked, open=tuple(one.number for one in asked if one.missing), sound=design.sound,
        invented=design.job.demonstration,
    )  # fmt: skip


__all__ = ["Answers", "Asked", "answers"]
