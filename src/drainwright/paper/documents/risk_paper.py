"""How often and how likely: the long run and the chance as a document and pictures."""

from __future__ import annotations

from drainwright.job.model import Job
from drainwright.paper.documents.blocks import Document
from drainwright.paper.documents.shell import drawn, plate
from drainwright.paper.documents.typeset import to_pdf
from drainwright.paper.frame import finish
from drainwright.paper.risk_basis import basis_draft
from drainwright.paper.risk_chance import chance_draft
from drainwright.paper.risk_ways import ways_draft
from drainwright.paper.risk_years import years_drafts
from drainwright.paper.svg import to_svg
from drainwright.storm.chances.model import Chance
from drainwright.storm.model import StormTest
from drainwright.storm.years.model import LongRun


def risk_files(
    job: Job, *, run: LongRun | None = None, chance: Chance | None = None, storm: StormTest | None = None
) -> dict[str, bytes]:  # fmt: skip
    """The sheets as one PDF and an SVG each.

    Parameters
    ----------
    job : Job
        The job.
    run : LongRun, optional
        For ``risk-years.svg`` and so on; with it alone the PDF is ``years.pdf``.
    chance : Chance, optional
        For ``risk-chance.svg``; where it was told at all, how it was reckoned as ``risk-basis.svg``, and
        ``risk-ways.svg`` where that was in two ways; with it alone the PDF is ``chance.pdf``, with both ``risk.pdf``.
    storm : StormTest, optional
        The job's, to stand beside the years, and to tell how deep the chief cause of the chance gets.

    Returns
    -------
    dict
        File contents by name; equal records give equal bytes. Empty where there is nothing to draw.
    """
    drafts = [] if run is None else years_drafts(job, run, storm)
    name = "risk" if run is not None and chance is not None else "years" if chance is None else "chance"
    if chance is not None:
        drafts.append(chance_draft(job, chance, storm))
        if chance.at_house:
            drafts.append(basis_draft(job, chance))
        if chance.by_years is not None and chance.at_house:
            drafts.append(ways_draft(job, chance, chance.by_years))
    if not drafts:
        return {}
    sheets = {}
    for number, draft in enumerate(drafts, start=1):
        sheet = finish(draft, job, number, len(drafts))
        sheets[draft.name] = (sheet, to_svg(sheet))
    document = Document(
        name=name, title=f"How often water comes in: {job.title}", kind="Drawings", job=job.number,
        author=job.firm.name, masthead=(), subject=(), paper="us-letter" if job.units == "US" else "a4", size=10,
        invented=job.demonstration, blocks=tuple(page for each in sheets for page in plate(each, sheets, whole=True)),
        drawings=drawn(sheets, *sheets),
    )  # fmt: skip
    return {
        f"{name}.pdf": to_pdf(document, job.date),
        **{f"{each}.svg": svg.encode("utf-8", "replace") for each, (_, svg) in sheets.items()},
    }


__all__ = ["risk_files"]
