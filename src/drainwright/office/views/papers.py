"""The papers of a job, by who reads them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial

from drainwright.design import Design

READERS = (  # who, then file name and what it is
    ("The customer", (
        ("water-analysis.pdf", "Where the water comes from, given before any contract"),
        ("proposal.pdf", "The proposal, with terms and lines to sign"),
        ("answers.pdf", "25 questions and answers in plain words"),
        ("handover.pdf", "What was built, and how it is kept"),
    )),
    ("The crew", (
        ("crew-packet.pdf", "Risks, order of work, cut sheets, safe digging"),
        ("crew-packet-es.pdf", "The same in Spanish"),
        ("answers-crew.pdf", "What is asked on the site"),
        ("drawings-crew.pdf", "The drawings to build from, without amounts"),
        ("drawings.pdf", "The whole drawing set, with storms, curves and remedies"),
        ("change-order.pdf", "To write down what was found otherwise"),
    )),
    ("The town and the engineer", (
        ("permit-set.pdf", "The permit set"),
        ("place-sheet.pdf", "What the place demands or must be asked"),
        ("site-report.pdf", "Ground and water"),
        ("worksheet.pdf", "Every formula with its numbers and sources"),
    )),
    ("The office", (
        ("cost-sheet.pdf", "How the price is built; not for the customer"),
        ("order.xlsx", "The order as a workbook"),
        ("order.csv", "The order as a table for other programs"),
        ("drawing.dxf", "The plan for a drawing program, in three dimensions"),
        ("profiles.dxf", "The profiles for a drawing program, at true size"),
        ("sections.dxf", "Trenches, basins, holes and outlets alike"),
        ("results.json", "Every result, in SI"),
        ("job.json", "The job document as it was read"),
    )),
)  # fmt: skip
NAMES = tuple(name for _, papers in READERS for name, _ in papers)


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """One paper, made."""

    name: str
    content: bytes


def paper(name: str) -> partial[Made | None]:
    """The view that makes one paper; None where there is none of that name."""
    return partial(_paper, name=name)


def _paper(design: Design, *, name: str) -> Made | None:
    from drainwright.paper.documents.writing import one_paper

    content = one_paper(design, name)
    return None if content is None else Made(name=name, content=content)


__all__ = ["NAMES", "READERS", "Made", "paper"]
