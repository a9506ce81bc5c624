"""The 25 questions, answered for this job."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.findings.model import Answer
from drainwright.paper.documents.blocks import (
    Block,
    Cell,
    Column,
    Contents,
    Document,
    Heading,
    Keep,
    NewPage,
    Paragraph,
    Row,
    Table,
)
from drainwright.paper.documents.shell import Sheets, document, first_notices

_QUIET = "#5d6a72"
TOGETHER = 1800  # letters of an answer that stays on one page


def answers_paper(design: Design, sheets: Sheets) -> Document:
    """What owners and inspectors ask most, with this job's numbers.

    Parameters
    ----------
    design : Design
        The designed job.
    sheets : Sheets
        Not used: this paper has no drawings.

    Returns
    -------
    Document
        One part a question.
    """
    open_ = [f"{answer.number}" for answer in design.answers if not answer.complete]
    lead = "Each answer says what it rests on, the limit with its source, and what to do."
    if open_:
        lead += f" Not answered in full yet: {', '.join(open_)}. They say what to measure."
    blocks: list[Block] = [*first_notices(design), Paragraph(text=lead), Contents(depth=1)]
    for number, answer in enumerate(design.answers):
        blocks += _answer(answer, new_page=number == 0)
    return document(
        design.job, name="answers", kind="Answers", title=f"Questions and answers: {design.job.title}", size=10.5,
        blocks=tuple(blocks),
    )  # fmt: skip


def _answer(answer: Answer, *, new_page: bool) -> list[Block]:
    rows: list[Row] = [
        (Cell(text=name, colour=_QUIET), text)
        for name, text in (("Rests on", answer.rests_on), ("Limit", answer.limit))
        if text.strip()
    ]
    if answer.do.strip():
        rows.append((Cell(text="What to do", colour=_QUIET), Cell(text=answer.do, weight="semibold")))
    if answer.missing.strip():
        rows.append((Cell(text="Missing", colour="#8f1d14"), answer.missing))
    table = Table(columns=(Column(head="", width=1), Column(head="", width=6)), rows=tuple(rows), size=0.9)
    heading = Heading(text=f"{answer.number}. {answer.question}")
    said: tuple[Block, ...] = (heading, Paragraph(text=answer.answer), *((table,) if rows else ()))
    length = sum(len(text) for text in (answer.answer, answer.rests_on, answer.limit, answer.do, answer.missing))
    together: list[Block] = [Keep(blocks=said)] if length < TOGETHER else list(said)
    return [*([NewPage()] if new_page else []), *together]


__all__ = ["answers_paper"]
