"""The chance a year in two ways, by design storms and by years of rain, on one scale, and where they part."""

from __future__ import annotations

import math
from dataclasses import replace

from drainwright.job.model import Job
from drainwright.paper.axes import round_step
from drainwright.paper.frame import Draft, papers, words
from drainwright.paper.measure import CAP, READ, fit, wrap
from drainwright.paper.risk_chance import CHANCE, SAYS, SIZE, band_words, bar_axes, bar_row, chance_words
from drainwright.paper.sheet import Mark
from drainwright.storm.chances.model import ByYears, Chance, Interval


def ways_draft(job: Job, told: Chance, second: ByYears) -> Draft:
    """Draw both ways, and say where they part.

    Parameters
    ----------
    job : Job
        For the paper.
    told : Chance
        By design storms.
    second : ByYears
        By years of rain.

    Returns
    -------
    Draft
        Named ``risk-ways``. Bars are the mean over all inputs, lines its band nine times of ten; where no wet year was
        counted there is no bar, and the line ends at the bound.
    """
    paper, counted = papers(job.units)[0], second.counted
    left, bottom, right, top = paper.inner
    marks: list[Mark] = [
        words("text", (left, top - 3.4), "The chance of a year in two ways", 3.4, weight="semibold")
    ]  # fmt: skip
    part = "have a part in common" if second.agree else "have no part in common"
    storms = "No storm of the design wets the floor"
    if told.per_year > 0.0:
        storms = f"{chance_words(told.per_year)} a year by design storms and how often they come"
        storms = f"{storms[:1].upper()}{storms[1:]}"
    first = (
        f"{storms}; of {counted.years:,} years of rain ({second.rain}) {counted.wet or 'none'} "
        f"{'was' if counted.wet < 2 else 'were'} wet. Lines: nine times of ten for the mean over all inputs; they "
        f"{part}."
    )
    y = top - 8.2
    for text in wrap(first, right - left, 2.5):
        marks.append(words("text", (left, y), text, 2.5))
        y -= 3.2
    most = 100.0 * max(told.sampling.high, counted.band.high, 1e-4)
    step = round_step(most, 5)
    axes = replace(bar_axes(left, right, y - 3.0, 2), x_high=min(100.0, step * math.ceil(most / step)))
    marks += axes.across(step, CHANCE)
    bound = f"none counted: below {chance_words(counted.band.high)}"
    for index, (name, band, text) in enumerate((
        ("by design storms", told.sampling, _band(told.sampling)),
        ("by years of rain", counted.band, _band(counted.band) if counted.wet else bound),
    )):  # fmt: skip
        row, middle = bar_row(axes, index, band.low, band.middle, band.high, None)
        marks += row
        at = middle - CAP * SIZE / 2
        marks.append(words("text", (axes.left - 2.0, at), name, SIZE, "end", "semibold"))
        marks.append(words("text", (axes.right + 2.0, at), fit(text, SAYS - 2.0, SIZE), SIZE))
    marks += axes.frame()
    y = axes.bottom - 13.0
    for title, texts in (("Where they part", second.why), ("By cause", _causes(told, second)), ("Notes", second.notes)):
        rows = [row for text in texts for row in wrap(text, right - left, READ)]
        room = max(0, int((y - bottom - 5.0) / 3.1))
        if len(rows) > room:
            rows = [*rows[: max(0, room - 1)], "More stands in chance.json."][:room]
        if not rows:
            continue
        marks.append(words("text", (left, y), title, 2.8, weight="semibold"))
        y -= 4.4
        for row_text in rows:
            marks.append(words("text soft", (left, y), row_text, 2.3))
            y -= 3.1
        y -= 2.5
    return Draft(
        name="risk-ways", title="Chance in two ways", scale="none: a chart", paper=paper, marks=tuple(marks),
        description=f"By design storms {chance_words(told.per_year)} a year; {counted.wet} of {counted.years} years "
        "wet.",
    )  # fmt: skip


def _band(band: Interval) -> str:
    return band_words(band.low, band.middle, band.high)


def _causes(told: Chance, second: ByYears) -> list[str]:
    """Each cause both ways."""
    causes = [cause for cause, rate in told.by_cause.items() if rate > 0.0 or second.by_cause.get(cause, 0)]
    return [
        f"{cause}: {chance_words(told.by_cause[cause])} a year by design storms; {second.by_cause.get(cause, 0)} of "
        f"{second.counted.years:,} years."
        for cause in causes
    ]


__all__ = ["ways_draft"]
