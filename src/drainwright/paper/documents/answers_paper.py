"""The 25 questions, answered for this job: one paper for the customer, one for the crew lead."""

from __future__ import annotations

from dataclasses import replace

from drainwright.design import Design
from drainwright.paper.documents.blocks import (
    Block,
    Bullets,
    Cell,
    Column,
    Document,
    Heading,
    Keep,
    Notice,
    Paragraph,
    Row,
    Table,
)
from drainwright.paper.documents.governing import figures_of
from drainwright.paper.documents.shell import Sheets, document, first_notices
from drainwright.paper.documents.slips import crew_slips, customer_slips
from drainwright.paper.documents.storm_words import open_points
from drainwright.paper.documents.told import CrewTold, Told, crew_answers, customer_answers
from drainwright.sources import SOURCES, cite

QUIET = "#5d6a72"
WARNING = "#8f1d14"
PRACTICE = cite("common_practice")
LEAD = (
    "Each answer says what it means for you, what it rests on and what to do. What is marked as assumed or stated "
    "was not "
    "measured. Where nobody can tell yet, it says what to measure. W and a number is a step of the "
    "worksheet; the sources of limits stand at the end, by their numbers."
)


def answers_paper(design: Design, sheets: Sheets) -> Document:
    """What owners ask most, in plain words with this job's numbers.

    Parameters
    ----------
    design : Design
        The designed job.
    sheets : Sheets
        Not used: this paper has no drawings.

    Returns
    -------
    Document
        A part for each question.
    """
    told = customer_answers(design)
    open_ = [str(answer.number) for answer in told if answer.missing]
    lead = LEAD + (f" Something is still missing for {', '.join(open_)}." if open_ else "")
    blocks: list[Block] = [*first_notices(design), *customer_slips(design), Paragraph(text=lead)]
    limits, works = numbered_sources(tuple(answer.limit for answer in told))
    blocks += [
        _answer(replace(answer, limit=limit), figures_of(design, answer.number))
        for answer, limit in zip(told, limits, strict=True)
    ]
    blocks += open_points(design)
    if works:
        blocks += [Heading(text="Sources of the limits"), Bullets(items=works, numbered=True)]
    return document(
        design.job, name="answers", kind="Answers", title=f"Questions and answers: {design.job.title}", size=10,
        blocks=tuple(blocks),
    )  # fmt: skip


def numbered_sources(limits: tuple[str, ...]) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Limits with a number for each work that they cite, and those works in that order.

    Parameters
    ----------
    limits : tuple of str
        Limits with whole citations, as the findings give them.

    Returns
    -------
    tuple
        The limits, ``4 in or more below (source 3)``, and the works cited; common practice is named where it stands.
    """
    works: dict[str, int] = {}
    found = []
    for limit in limits:
        cited = sorted((limit.index(str(work)), str(work)) for work in SOURCES.values() if str(work) in limit)
        for _, work in cited:
            mark = "common practice" if work == PRACTICE else f"source {works.setdefault(work, len(works) + 1)}"
            limit = limit.replace(work, mark)
        found.append(limit)
    return tuple(found), tuple(works)


def _answer(answer: Told, figures: str) -> Block:
    rows: list[Row] = [(Cell(text="What to do", colour=QUIET), Cell(text=answer.do, weight="semibold"))]
    rows += [
        (Cell(text=name, colour=QUIET), text)
        for name, text in (("Rests on", answer.rests_on), ("Limit", answer.limit), ("Worked out", figures))
        if text.strip()
    ]
    if answer.missing.strip():
        rows.append((Cell(text="Missing", colour=WARNING), answer.missing))
    table = Table(columns=(Column(head="", width=1), Column(head="", width=6.4)), rows=tuple(rows), size=0.86)
    heading = Heading(text=f"{answer.number}. {answer.question}", level=2)
    return Keep(blocks=(heading, Paragraph(text=answer.text), table))


def crew_answers_paper(design: Design, sheets: Sheets) -> Document:
    """The same questions as far as they bear on the work: what to do, measures, when to stop.

    Parameters
    ----------
    design : Design
        The designed job.
    sheets : Sheets
        Not used: this paper has no drawings.

    Returns
    -------
    Document
        A table of what bears on the work; then the others, a line for those that have the same answer.
    """
    told = crew_answers(design)
    columns = (
        Column(head="Do", width=3.6), Column(head="Measures and limits", width=4.8),
        Column(head="Stop and call", width=2.4),
    )  # fmt: skip
    rows: list[Row] = []
    for answer in told:
        if not answer.work.office:
            work = answer.work
            rows.append((Cell(text=f"{answer.number}. {answer.question}", weight="semibold", span=len(columns)),))
            rows.append((" ".join(work.do), work.measure or "–", Cell(text=work.stop or "–", colour=WARNING)))
    lines: dict[str, list[CrewTold]] = {}
    for answer in told:
        if answer.work.office:
            lines.setdefault(" ".join(answer.work.do), []).append(answer)
    office: tuple[Row, ...] = tuple(
        (
            Cell(text=", ".join(str(answer.number) for answer in asked), weight="semibold"),
            " ".join(answer.question for answer in asked),
            line,
        )
        for line, asked in lines.items()
    )
    blocks: tuple[Block, ...] = (
        *first_notices(design),
        *crew_slips(design),
        Notice(
            tone="plain",
            title="The crew packet leads",
            text="This sheet gathers what is asked on the site. Risk sheet, cut sheets and safe-dig sheet of the crew "
            "packet come first; anyone may stop the work.",
        ),
        Heading(text="For the work"),
        Table(columns=columns, rows=tuple(rows), size=0.88),
        Heading(text="For the office"),
        Table(
            columns=(Column(head=""), Column(head="Asked", width=3), Column(head="In one line", width=4)), rows=office,
            size=0.88,
        ),
    )  # fmt: skip
    return document(
        design.job, name="answers-crew", kind="Answers for the crew", title=f"Asked on the site: {design.job.title}",
        size=10.5, blocks=blocks,
    )  # fmt: skip


__all__ = ["answers_paper", "crew_answers_paper", "numbered_sources"]
