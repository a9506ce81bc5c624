"""The chance of a wet floor over one year, ten and thirty, what it comes of, and what would lower it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from drainwright.build.book import book_for
from drainwright.findings.chance_words import (
    between,
    causes,
    choice_title,
    deep,
    headline,
    no_choices,
    one_in,
    over_years,
    price_words,
    reason_words,
    samples_words,
    upkeep_words,
    worth_words,
)
from drainwright.findings.failure_words import Words
from drainwright.job.model import Job
from drainwright.paper.axes import Axes, round_step
from drainwright.paper.frame import Draft, Paper, papers, words
from drainwright.paper.measure import CAP, fit, wrap
from drainwright.paper.sheet import Circle, Mark, Weight
from drainwright.paper.symbols import box, line
from drainwright.quantities import percent
from drainwright.storm.chances.model import NO_HOUSE, Chance
from drainwright.storm.model import StormTest

YEARS = (1, 10, 30)
ROW = 13.0  # [mm]
NAMES, SAYS = 52.0, 58.0  # left and right of the bars [mm]
SIZE, SMALL = 2.4, 2.1  # [mm]
SCALES = (1.3, 1.2, 1.1, 1.0, 0.9)  # of letters: the first with which all finds room
LEAST = 0.01  # the scale of chances ends no lower [-]
SAID = 0.0005  # a chance below this is said to be below it [-]
CHANCE = "chance, %"


def over(chance: float, years: int) -> float:
    """At least once in so many years, each with the same chance. [-]"""
    return 1.0 - (1.0 - chance) ** years


def chance_draft(job: Job, told: Chance, storm: StormTest | None = None) -> Draft:
    """Draw the chance, what it comes of and what would lower it: the sheet for the owner.

    Parameters
    ----------
    job : Job
        For the paper and its price book's currency.
    told : Chance
        Of the job.
    storm : StormTest, optional
        Of the same job, to tell how deep it gets.

    Returns
    -------
    Draft
        Named ``risk-chance``. Bars are the mean, lines what the inputs leave open, nine times of ten.
    """
    paper = papers(job.units)[0]
    for scale in SCALES:
        marks, y = _laid(job, told, storm, paper, scale)
        if y >= paper.inner[1]:
            break
    return Draft(
        name="risk-chance", title="Chance of a wet floor", scale="none: a chart", paper=paper, marks=tuple(marks),
        description=f"Water at the floor: {chance_words(told.per_year)} a year, {chance_words(told.over_30_years)} in "
        "30 years.",
    )  # fmt: skip


def _laid(job: Job, told: Chance, storm: StormTest | None, paper: Paper, scale: float) -> tuple[list[Mark], float]:
    """All marks, with letters so many times as large as the least that is read well; the height that is left below."""
    left, _, right, top = paper.inner
    floor, size = Words(units=job.units, crawl=job.house.floor_kind == "crawl space"), SIZE * scale
    marks: list[Mark] = []
    y = head(marks, f"Chance that water reaches the {floor.floor}", left, top - 3.4, 3.4)
    first = headline(told, floor) if told.at_house else NO_HOUSE
    y = column(marks, (first,), left, y, right - left, 1.2 * size, "semibold")
    if not told.at_house:
        return marks, y
    y = column(marks, (over_years(told), samples_words(told)), left, y - 0.6, right - left, size) - 1.0
    most = 100.0 * max(over(told.inputs.high, YEARS[-1]), told.over_30_years, LEAST)
    step = round_step(most, 5)
    axes = replace(bar_axes(left, right, y, len(YEARS), 8.0), x_high=min(100.0, step * math.ceil(most / step)))
    marks += axes.across(step, CHANCE)
    means = (told.per_year, told.over_10_years, told.over_30_years)
    for index, (years, mean) in enumerate(zip(YEARS, means, strict=True)):
        low, high = over(told.inputs.low, years), over(max(told.inputs.high, told.per_year), years)
        name = "in a year" if years == 1 else f"in {years} years"
        marks += labelled(axes, index, name, (low, mean, high), band_words(low, mean, high))
    marks += axes.frame()
    said = "Bars: the mean. Lines: as soil, rain and equipment may truly be, nine times of ten."
    y = column(marks, (said,), left, axes.bottom - 11.0, right - left, SMALL * scale) - 2.0
    rows = list(causes(told))
    if rows:
        y = head(marks, "What wets it, a year, and how far the samples leave that open", left, y, 1.15 * size)
        for cause, mean_words, band in rows:
            marks.append(words("text", (left, y), f"{cause[:1].upper()}{cause[1:]}", size))
            marks.append(words("text", (left + 70.0, y), f"{mean_words} ({band})", size))
            y -= 1.45 * size
        deeper = "" if storm is None else deep(told, storm, floor)
        y = column(marks, (reason_words(told), deeper), left, y - 0.6, right - left, size) - 2.0
        y = head(marks, "What would lower it", left, y, 1.15 * size)
        y = _remedies(marks, job, told, (left, right), y, scale) - 2.0
    lines = tuple(worth_words(told, book_for(job.price_book).currency))
    if lines:
        y = head(marks, "What one more test would tell", left, y, 1.15 * size)
        y = column(marks, lines, left, y, right - left, size) - 1.0
    last = "How it was reckoned, and what is assumed: the sheet after this one."
    return marks, column(marks, (last,), left, y, right - left, SMALL * scale)


def _remedies(
    marks: list[Mark], job: Job, told: Chance, across: tuple[float, float], y: float, scale: float
) -> float:  # fmt: skip
    """Each remedy with its size, the chance with it and its price; the height below."""
    floor = Words(units=job.units, crawl=job.house.floor_kind == "crawl space")
    book, (left, right), size = book_for(job.price_book), across, SIZE * scale
    if not told.choices:
        return column(marks, (no_choices(told),), left, y, right - left, size)
    rows = [("as drawn", one_in(told.per_year), between(told.sampling), "")]
    rows += [
        (choice_title(one, floor), one_in(one.per_year), between(one.sampling), price_words(one, book.currency))
        for one in sorted(told.choices, key=lambda one: one.per_year)
    ]
    chance_at, band_at, price_at = left + 120.0, left + 142.0, left + 210.0
    for at, text in ((chance_at, "a year"), (band_at, "nine times of ten")):
        marks.append(words("text soft", (at, y), text, SMALL * scale))
    marks.append(words("text soft", (price_at, y), "price", SMALL * scale, "end"))
    y -= 1.5 * size
    for name, chance, band, price in rows:
        marks.append(words("text", (chance_at, y), chance, size, weight="semibold"))
        marks.append(words("text", (band_at, y), band, size))
        marks.append(words("text", (price_at, y), price, size, "end"))
        y = column(marks, (f"{name[:1].upper()}{name[1:]}",), left, y, chance_at - left - 3.0, size) - 0.15 * size
    care = (
        f"{upkeep_words(invented=book.invented)} At a basin: circuit off and pump unplugged before a hand goes in, "
        "wiring by a licensed electrician, nobody enters it."
    )
    return column(marks, (care,), left, y - 0.6, right - left, SMALL * scale)


def head(marks: list[Mark], text: str, left: float, y: float, size: float = 2.8) -> float:
    """A heading; the height of what follows. [mm]"""
    marks.append(words("text", (left, y), text, size, weight="semibold"))
    return y - 1.6 * size


def column(
    marks: list[Mark], texts: Sequence[str], left: float, y: float, width: float, size: float,
    weight: Weight = "regular",
) -> float:  # fmt: skip
    """Paragraphs one under the other; the height below them. [mm]"""
    for text in filter(None, texts):
        for row in wrap(text, width, size, weight):
            marks.append(words("text", (left, y), row, size, weight=weight))
            y -= 1.3 * size
    return y


def chance_words(chance: float) -> str:
    """A chance in words: ``12 %``, ``0.4 %``, ``none seen``."""
    if chance <= 0.0:
        return "none seen"
    if chance < SAID:
        return "below 0.05 %"
    return percent(chance, 1) if chance < 0.1 else percent(chance)


def band_words(low: float, middle: float, high: float) -> str:
    """A chance and its band: ``2.0 % (between 0.4 % and 11 %)``, ``0.1 % (up to 1.5 %)``."""
    if high <= 0.0:
        return "none seen"
    if low < SAID:
        return f"{chance_words(middle) if middle > 0.0 else 'none seen in most samples'} (up to {chance_words(high)})"
    return f"{chance_words(middle)} (between {chance_words(low)} and {chance_words(high)})"


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


def labelled(axes: Axes, index: int, name: str, band: tuple[float, float, float], text: str) -> list[Mark]:
    """A bar with its name and what is said of it; low, middle and high as shares of one."""
    marks, y = bar_row(axes, index, *band, None)
    at = y - CAP * SIZE / 2
    marks.append(words("text", (axes.left - 2.0, at), fit(name, NAMES - 3.0, SIZE), SIZE, "end", "semibold"))
    return [*marks, words("text", (axes.right + 2.0, at), fit(text, SAYS - 2.0, SIZE), SIZE)]


__all__ = [
    "CHANCE", "SAYS", "SIZE", "band_words", "bar_axes", "bar_row", "chance_draft", "column", "head", "labelled", "over",
]  # fmt: skip
