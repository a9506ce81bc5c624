"""The chance of a wet floor over one year, ten and thirty, and what matters most for it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from drainwright.job.model import Job
from drainwright.paper.axes import Axes, round_step
from drainwright.paper.frame import Draft, papers, words
from drainwright.paper.measure import CAP, fit, wrap
from drainwright.paper.sheet import Circle, Mark
from drainwright.paper.symbols import box, line
from drainwright.storm.chances.model import NO_HOUSE, Chance, Driver

YEARS = (1, 10, 30)
ROW = 13.0  # [mm]
NAMES, SAYS = 52.0, 58.0  # left and right of the bars [mm]
MOST = 6  # inputs named
WIDE = 1.0  # a band of a share wider than all there is tells nothing [-]
SIZE = 2.4  # [mm]
LEAST = 0.01  # the scale of chances ends no lower [-]
SAID = 0.0005  # a chance below this is said to be below it [-]
CHANCE = "chance, %"


def over(chance: float, years: int) -> float:
    """At least once in so many years, each with the same chance. [-]"""
    return 1.0 - (1.0 - chance) ** years


def chance_draft(job: Job, told: Chance) -> Draft:
    """Draw the chances and what matters.

    Parameters
    ----------
    job : Job
        For the paper.
    told : Chance
        Of the job.

    Returns
    -------
    Draft
        Named ``risk-chance``. Bars are the middle of what the inputs leave open, with the band nine times of ten; a
        point is the mean where it is known.
    """
    paper = papers(job.units)[0]
    left, bottom, right, top = paper.inner
    marks: list[Mark] = [
        words("text", (left, top - 3.4), "Chance that water reaches the floor", 3.4, weight="semibold")
    ]
    y = top - 8.2
    for text in wrap(_first_words(told), right - left, 2.5):
        marks.append(words("text", (left, y), text, 2.5))
        y -= 3.2
    y -= 3.0
    if told.at_house:
        most = 100.0 * max(over(told.inputs.high, YEARS[-1]), told.over_30_years, LEAST)
        step = round_step(most, 5)
        axes = replace(bar_axes(left, right, y, len(YEARS)), x_high=min(100.0, step * math.ceil(most / step)))
        marks += axes.across(step, CHANCE)
        for index, years in enumerate(YEARS):
            means = {1: told.per_year, 30: told.over_30_years}
            marks += _bar(axes, index, years, told, means.get(years))
        marks += axes.frame()
        y = axes.bottom - 13.0
    drivers = _worth_telling(told.wet_drivers) or _worth_telling(told.drivers)
    heading = "What matters most" if _worth_telling(told.wet_drivers) else "What the highest water hangs on most"
    if drivers:
        marks.append(words("text", (left, y), heading, 2.8, weight="semibold"))
        soft = "share of the differences that each makes, together with the others; the line: nine times of ten"
        marks.append(words("text soft", (left, y - 4.0), soft, 2.1))
        lower = bar_axes(left, right, y - 8.0, len(drivers), 9.0)
        marks += lower.across(20.0, "share, %")
        for index, driver in enumerate(drivers):
            marks += _driver(lower, index, driver)
        marks += lower.frame()
        y = lower.bottom - 12.0
    notes = [row for text in _last_words(told) for row in wrap(text, right - left, 2.1)]
    room = max(0, int((y - bottom) / 2.8))
    if len(notes) > room:
        notes = [*notes[: max(0, room - 1)], "More notes stand in chance.json."][:room]
    for row in notes:
        marks.append(words("text soft", (left, y), row, 2.1))
        y -= 2.8
    return Draft(
        name="risk-chance", title="Chance of a wet floor", scale="none: a chart", paper=paper, marks=tuple(marks),
        description=f"Water at the floor: {percent(told.per_year)} a year, {percent(told.over_30_years)} in 30 years.",
    )  # fmt: skip


def percent(chance: float) -> str:
    """A chance in words: ``12 %``, ``0.4 %``, ``none seen``."""
    if chance <= 0.0:
        return "none seen"
    if chance < SAID:
        return "below 0.05 %"
    return f"{chance:.1%}".replace("%", " %") if chance < 0.1 else f"{chance:.0%}".replace("%", " %")


def band_words(low: float, middle: float, high: float) -> str:
    """A chance and its band: ``2.0 % (between 0.4 % and 11 %)``, ``0.1 % (up to 1.5 %)``."""
    if high <= 0.0:
        return "none seen"
    if low < SAID:
        return f"{percent(middle) if middle > 0.0 else 'none seen in most samples'} (up to {percent(high)})"
    return f"{percent(middle)} (between {percent(low)} and {percent(high)})"


def _first_words(told: Chance) -> str:
    if not told.at_house:
        return NO_HOUSE
    if told.per_year <= 0.0:
        return f"In none of {told.samples} samples of what is not known for sure did the water reach the floor."
    causes = [f"{cause} {percent(rate)}" for cause, rate in told.by_cause.items() if rate > 0.0]
    by = f" By cause, a year: {', '.join(causes)}." if causes else ""
    return (
        f"On average {percent(told.per_year)} a year and {percent(told.over_30_years)} in 30 years, over all that is "
        f"not known for sure.{by}"
    )


def _last_words(told: Chance) -> list[str]:
    found = [
        "Bars: the middle of what the inputs leave open. Lines: nine times of ten. Points: the mean.",
        f"{told.samples} samples, {told.runs} storms run. {told.method[:1].upper()}{told.method[1:]}.",
        *told.notes,
    ]
    return [f"{text[:1].upper()}{text[1:].rstrip('.')}." for text in found]


def bar_axes(left: float, right: float, top: float, rows: int, row: float = ROW) -> Axes:
    """Room for rows of bars, with their names and what is said of them at the sides."""
    return Axes(
        left=left + NAMES, bottom=top - rows * row, width=right - left - NAMES - SAYS, height=rows * row,
        x_low=0.0, x_high=100.0, y_low=0.0, y_high=float(rows),
    )  # fmt: skip


def bar_row(
    axes: Axes, index: int, low: float, middle: float, high: float, mean: float | None
) -> tuple[list[Mark], float]:
    """A bar to the middle, a line over its band, a point at the mean; its middle height."""
    _, y = axes(0.0, axes.y_high - index - 0.5)

    def at(share: float) -> float:
        return axes(min(axes.x_high, 100.0 * max(0.0, share)), 0.0)[0]

    marks: list[Mark] = [box("bar", axes.left, y - 1.8, max(axes.left + 0.2, at(middle)), y + 1.8)]
    marks += [line("axis", (at(low), y), (at(high), y))]
    marks += [line("axis", (at(end), y - 1.0), (at(end), y + 1.0)) for end in (low, high)]
    if mean is not None:
        marks.append(Circle(layer="point", centre=(at(mean), y), radius=0.9))
    return marks, y


def _bar(axes: Axes, index: int, years: int, told: Chance, mean: float | None) -> list[Mark]:
    band = [over(value, years) for value in (told.inputs.low, told.inputs.middle, told.inputs.high)]
    marks, y = bar_row(axes, index, band[0], band[1], band[2], mean)
    name = "in a year" if years == 1 else f"in {years} years"
    marks.append(words("text", (axes.left - 2.0, y - CAP * SIZE / 2), name, SIZE, "end", "semibold"))
    text = band_words(*band)
    return [*marks, words("text", (axes.right + 2.0, y - CAP * SIZE / 2), fit(text, SAYS - 2.0, SIZE), SIZE)]


def _worth_telling(drivers: Sequence[Driver]) -> list[Driver]:
    """Those whose share is known well enough, the greatest first."""
    known = [one for one in drivers if one.total is not None and one.total.high - one.total.low <= WIDE]
    known.sort(key=lambda one: -(one.total.middle if one.total is not None else 0.0))
    return [one for one in known if one.total is not None and one.total.middle > 0.01][:MOST]


def _driver(axes: Axes, index: int, driver: Driver) -> list[Mark]:
    if driver.total is None:
        return []
    total = driver.total
    marks, y = bar_row(axes, index, total.low, total.middle, total.high, None)
    name = fit(driver.name, NAMES - 3.0, 2.2)
    marks.append(words("text", (axes.left - 2.0, y - CAP * 1.1), name, 2.2, "end"))
    share = f"{max(total.middle, 0.0):.0%}".replace("%", " %")
    return [*marks, words("text", (axes.right + 2.0, y - CAP * 1.1), share, 2.2)]


__all__ = ["CHANCE", "SAYS", "SIZE", "band_words", "bar_axes", "bar_row", "chance_draft", "over", "percent"]
