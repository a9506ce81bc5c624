"""A job's first page: what it is, the answer, what must still be measured, what fails, the price."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.findings.model import Severity
from drainwright.office.views.model import Figure, First, Unmeasured
from drainwright.office.views.picking import check_of, part
from drainwright.office.views.price import price_figure
from drainwright.office.views.storm import storm_answer
from drainwright.paper.documents.assumed_blocks import assumed_rows
from drainwright.paper.documents.blocks import Cell
from drainwright.paper.documents.cause_words import cause_words
from drainwright.paper.documents.proposal_first import work_lines
from drainwright.paper.documents.say import Say, site_of


def first(design: Design) -> First:
    """The first page."""
    job, plan, say = design.job, design.build.plan, Say(design.job.units)
    house = f"{job.house.floor_kind}{f', built {job.property.year_built}' if job.property.year_built else ''}"
    works = work_lines(design)
    doubt = plan.doubt
    days = Figure(
        what="Working days", value=str(plan.days), why=f"{plan.hours:.0f} person-hours, a crew of {plan.crew}",
        band="" if doubt is None else f"likely {doubt.days_likely}, {doubt.days_bad} with bad luck", at=part("Digging"),
    )  # fmt: skip
    bad = [finding for finding in design.findings if finding.severity is Severity.FAILS]
    return First(
        job=job.title, what=". ".join(text for text in (site_of(job), house[:1].upper() + house[1:]) if text),
        says=(_sentence(cause_words(design)), works[-1], storm_answer(design)), works=works,
        price=price_figure(design), days=days, fails=tuple(check_of(finding, say) for finding in bad),
        cautions=sum(finding.severity is Severity.CAUTION for finding in design.findings),
        unmeasured=tuple(Unmeasured(what=a, taken=b, known=c, otherwise=d) for a, b, c, d in _rows(design)),
        missing=tuple((one.number, one.question, one.missing) for one in design.answers if one.missing),
        sound=design.sound, invented=job.demonstration,
    )  # fmt: skip


def _rows(design: Design) -> list[tuple[str, ...]]:
    return [tuple(cell.text if isinstance(cell, Cell) else cell for cell in row) for row in assumed_rows(design)]


def _sentence(text: str) -> str:
    """The first sentence."""
    head, mark, _ = text.partition(". ")
    return head + ("." if mark else "")


__all__ = ["first"]
