"""What the documents of a job share: paper, masthead, subject, the notices on the first page."""

from __future__ import annotations

import re
from collections.abc import Mapping
from typing import TypeAlias

from drainwright.design import Design
from drainwright.findings.model import Finding
from drainwright.job.model import Job
from drainwright.paper.documents.blocks import Block, Cell, Column, Document, Heading, Notice, Plate, Table
from drainwright.paper.documents.customer import meaning
from drainwright.paper.documents.say import day, failing, site_of
from drainwright.paper.frame import LEAF, on_leaf
from drainwright.paper.plan_page import PagePlan, kept_plan, page_plan
from drainwright.paper.sheet import Sheet
from drainwright.paper.svg import to_svg
from drainwright.paper.water_picture import water_draft

Sheets: TypeAlias = Mapping[str, tuple[Sheet, str]]  # drawings by name, each with its SVG

INVENTED = (
    "This job is a demonstration. The place, the people, the measurements, the rules and the prices are invented: "
    "nothing here may be built, bought or quoted from."
)
NOT_READY = "Not ready to build"
FEW = 4  # kinds of failing checks that a first page tells in full


def document(
    job: Job,
    *,
    name: str,
    kind: str,
    title: str,
    size: float,
    blocks: tuple[Block, ...],
    subject: tuple[str, ...] = (),
    drawings: tuple[tuple[str, str], ...] = (),
) -> Document:
    """A paper of this job, with the firm's masthead."""
    firm = job.firm
    contact = (firm.address, firm.phone, firm.email)
    masthead = (firm.name.strip() or "Contractor not named", *(text for text in contact if text.strip()))
    standing = " · ".join(
        text
        for text in (
            site_of(job),
            f"job {job.number}" if job.number.strip() else "",
            f"visit {day(job.date)}" if job.date else "",
        )
        if text
    )
    return Document(
        name=name,
        title=title,
        kind=kind,
        job=job.number,
        author=firm.name,
        masthead=masthead,
        subject=(*((standing,) if standing else ()), *subject),
        paper="us-letter" if job.units == "US" else "a4",
        size=size,
        invented=job.demonstration,
        blocks=blocks,
        drawings=drawings,
        accent=firm.colour,
        logo=firm.logo,
        told_as=f"{kind}: {title}" if title == job.title else "",
    )


SENTENCE = 3  # words: fewer are a name


def first_notices(design: Design) -> tuple[Block, ...]:
    """What must stand on a first page: that the job is invented, and that it is not ready."""
    blocks: list[Block] = []
    if design.job.demonstration:
        blocks.append(Notice(tone="invented", title="Invented demonstration", text=INVENTED))
    groups = failing(design.findings)
    if groups:
        count = sum(len(group) for group in groups)
        checks = "1 check fails" if count == 1 else f"{count} checks fail"
        told = len(groups) <= FEW
        items = tuple(_told(group) if told else _named(group) for group in groups)
        blocks.append(
            Notice(
                tone="fails",
                title=f"{NOT_READY}: {checks}",
                text="No contract is signed and no ground is opened until these are settled:",
                items=items,
            )
        )
    return tuple(blocks)


def _told(group: tuple[Finding, ...]) -> str:
    """A check that fails, with what was found."""
    shown = list(dict.fromkeys(finding.message for finding in group))
    more = f" And {len(shown) - 2} more of this kind." if len(shown) > 2 else ""
    return f"{group[0].title} ({group[0].id}): {' '.join(shown[:2])}{more}"


def _named(group: tuple[Finding, ...]) -> str:
    """A check that fails, by the first clause of what was found."""
    clause, *rest = re.split(r"[.:;](?=\s|$)", group[0].message, maxsplit=2)
    if rest and len(clause.split()) < SENTENCE:  # a name alone tells nothing
        clause = f"{clause}: {rest[0].strip()}"
    shown = len(dict.fromkeys(finding.message for finding in group))
    more = f", and {shown - 1} more of this kind" if shown > 1 else ""
    return f"{clause}{more} ({group[0].id})"


def failing_table(design: Design) -> tuple[Block, ...]:
    """What was found and what it means for the customer, where the first page could only name what fails."""
    groups = failing(design.findings)
    if len(groups) <= FEW:
        return ()
    rows = tuple(
        (
            Cell(text=f"{finding.title} ({finding.id})", weight="semibold"),
            finding.message,
            meaning(finding, design),
        )
        for group in groups
        for finding in group
    )
    columns = (
        Column(head="Check", width=2),
        Column(head="What was found", width=4),
        Column(head="What it means for you", width=4),
    )
    return (Heading(text="The checks that fail"), Table(columns=columns, rows=rows, size=0.84))


def plate(name: str, sheets: Sheets, title: str = "", *, whole: bool = False, note: str = "") -> tuple[Plate, ...]:
    """A drawing as a page, if there is such a drawing."""
    if name not in sheets:
        return ()
    sheet, _ = sheets[name]
    return (
        Plate(
            file=f"{name}.svg", title=title or sheet.title, alt=sheet.description, width=sheet.width,
            height=sheet.height, whole=whole, note=note,
        ),
    )  # fmt: skip


def plan_plate(design: Design, sheets: Sheets, title: str) -> tuple[tuple[Plate, ...], tuple[tuple[str, str], ...]]:
    """The plan laid out for one page, and its drawing; nothing where the job has no plan."""
    if "plan" not in sheets:
        return (), ()
    return _on_page(page_plan(design), title)


def kept_plate(design: Design, sheets: Sheets, title: str) -> tuple[tuple[Plate, ...], tuple[tuple[str, str], ...]]:
    """The plan of what lies in the ground for good, and its drawing; nothing where the job has no plan."""
    return _on_page(kept_plan(design), title) if "plan" in sheets else ((), ())


def _on_page(page: PagePlan, title: str) -> tuple[tuple[Plate, ...], tuple[tuple[str, str], ...]]:
    note = "The drawing set has the plan at a scale, with its tables. Trust written figures, never a ruler."
    if page.unplaced:
        note += " No room on the plan for: " + "; ".join(" ".join(label.lines) for label in page.unplaced) + "."
    sheet = page.sheet
    plate = Plate(
        file=f"{sheet.name}.svg", title=title, alt=sheet.description, width=sheet.width, height=sheet.height,
        upright=page.upright, note=note,
    )  # fmt: skip
    return (plate,), ((plate.file, to_svg(sheet)),)


def picture_plate(design: Design) -> tuple[tuple[Plate, ...], tuple[tuple[str, str], ...]]:
    """Where the customer's water goes, for one page, and its drawing."""
    sheet = on_leaf(water_draft(design, LEAF))
    plate = Plate(
        file=f"{sheet.name}.svg", title=sheet.title, alt=sheet.description, width=sheet.width, height=sheet.height
    )
    return (plate,), ((plate.file, to_svg(sheet)),)


def drawn(sheets: Sheets, *names: str) -> tuple[tuple[str, str], ...]:
    """The drawings that a document shows."""
    return tuple((f"{name}.svg", sheets[name][1]) for name in names if name in sheets)


__all__ = [
    "FEW",
    "INVENTED",
    "NOT_READY",
    "Sheets",
    "document",
    "drawn",
    "failing_table",
    "first_notices",
    "kept_plate",
    "picture_plate",
    "plan_plate",
    "plate",
]
