"""How the chance was reckoned: shares of the inputs, ranges, samples and references, for who looks it over."""

from __future__ import annotations

from drainwright.findings.chance_words import PLAIN, shares
from drainwright.job.model import Job
from drainwright.paper.frame import Draft, papers, words
from drainwright.paper.measure import READ, wrap
from drainwright.paper.risk_chance import bar_axes, column, head, labelled
from drainwright.paper.sheet import Mark
from drainwright.quantities import percent
from drainwright.storm.chances.model import Chance
from drainwright.storm.chances.study import sources_of

MOST = 8  # inputs named
SMALL = READ  # [mm]


def basis_draft(job: Job, told: Chance) -> Draft:
    """Draw the shares, and say what the chance rests on.

    Parameters
    ----------
    job : Job
        For the paper.
    told : Chance
        Of the job.

    Returns
    -------
    Draft
        Named ``risk-basis``.
    """
    paper = papers(job.units)[0]
    left, bottom, right, top = paper.inner
    marks: list[Mark] = [
        words("text", (left, top - 3.4), "How the chance was reckoned", 3.4, weight="semibold")
    ]  # fmt: skip
    y = column(
        marks, (
            f"{told.method[:1].upper()}{told.method[1:]}. {told.samples} samples of what is not known, "
            f"{told.runs:,} runs, seed {told.seed}. Read with the sheet before; figures in full stand in chance.json.",
        ), left, top - 8.2, right - left, 2.5,
    )  # fmt: skip
    drivers = shares(told.wet_drivers) or shares(told.drivers)
    if drivers:
        what = "of whether water gets there" if shares(told.wet_drivers) else "of how high it comes"
        cut = (
            ", a storm of the table in which the power goes" if any(one.key == "cuts" for one in told.uncertain) else ""
        )
        y = head(marks, f"Share {what}, by input{cut}", left, y - 2.5)
        soft = "each together with the others, so that they add up to more than all; lines: nine times of ten"
        y = column(marks, (soft,), left, y + 0.6, right - left, SMALL)
        axes = bar_axes(left, right, y, len(drivers[:MOST]), 6.5)
        marks += axes.across(20.0, "share, %")
        for index, driver in enumerate(drivers[:MOST]):
            total = driver.total
            if total is None:
                continue
            low, middle, high = (min(1.0, max(0.0, end)) for end in (total.low, total.middle, total.high))
            text = f"{percent(middle)} ({percent(low)} to {percent(high)})"
            marks += labelled(axes, index, driver.name, (low, middle, high), text)
        marks += axes.frame()
        y = axes.bottom - 12.0
    if told.reasons:
        y = head(marks, "Rank correlation with the chance of the chief cause", left, y)
        texts = "; ".join(f"{PLAIN.get(one.key, one.name)} {one.rank:+.2f}" for one in told.reasons)
        y = column(marks, (f"{texts}.",), left, y, right - left, 2.3) - 2.0
    y = head(marks, "What it rests on", left, y)
    rows = [row for text in (*told.notes, sources_of()) for row in wrap(f"- {text}", right - left, SMALL)]
    room = max(0, int((y - bottom) / (1.3 * SMALL)))
    if len(rows) > room:
        rows = [*rows[: max(0, room - 1)], "More notes stand in chance.json."][:room]
    column(marks, rows, left, y, right - left, SMALL)
    return Draft(
        name="risk-basis", title="How the chance was reckoned", scale="none: a chart", paper=paper,
        marks=tuple(marks), description=f"Shares of the inputs and what {told.samples} samples rest on.",
    )  # fmt: skip


__all__ = ["basis_draft"]
