"""How often: the highest water of each year against its return period, with the law fitted to it."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np

from drainwright.findings.failure_words import Words
from drainwright.findings.years_words import storm_beside
from drainwright.job.model import Job
from drainwright.paper.axes import Axes, round_step
from drainwright.paper.frame import Draft, papers, words
from drainwright.paper.measure import CAP, wrap
from drainwright.paper.sheet import Circle, Mark
from drainwright.paper.storm_panels import curve
from drainwright.paper.symbols import box, line
from drainwright.paper.wording import Wording
from drainwright.quantities import Kind, convert, unit_label, write
from drainwright.storm.model import StormTest
from drainwright.storm.years.beside import beside_years
from drainwright.storm.years.model import FittedLaw, LongRun, Return

PERIODS = (1.1, 1.5, 2, 5, 10, 20, 50, 100, 200, 500, 1000)  # written along the axis [years]
HEAD, FOOT, LEFT, RIGHT = 24.0, 14.0, 16.0, 44.0  # round the plot [mm]
LEAST_YEARS = 2  # to draw points of


def reduced(period: float) -> float:
    """Gumbel's reduced variate of a return period above one year: on it a Gumbel law is a straight line. [-]"""
    return -math.log(-math.log1p(-1.0 / period))


def of_law(law: FittedLaw, period: float) -> float:
    """The maximum that a law reaches once in so many years, in the unit of the maxima (Hosking's shape)."""
    y = reduced(period)
    if law.shape == 0.0:
        return law.location + law.scale * y
    return law.location + law.scale / law.shape * -math.expm1(-law.shape * y)


def years_drafts(job: Job, run: LongRun, storm: StormTest | None = None) -> list[Draft]:
    """Draw a sheet for water at the house, and one for each other bad outcome that the years tell more of than a bound.

    Parameters
    ----------
    job : Job
        For units and paper.
    run : LongRun
        Decades of rain through the plant.
    storm : StormTest, optional
        The job's, to stand beside the years on the first sheet.

    Returns
    -------
    list of Draft
        ``risk-years``, ``risk-years-2`` and so on. Outcomes that lie beyond the years have no sheet but the first, on
        which they are named.
    """
    told = [each for each in run.returns if len(each.maxima) >= LEAST_YEARS]
    told.sort(key=lambda each: each.outcome.key != "slab")
    drawn = [each for number, each in enumerate(told) if number == 0 or not each.beyond]
    left_out = [each.outcome.title for each in told if each not in drawn]
    also = []
    beside = None if storm is None else beside_years(storm, run)
    if beside is not None:
        also.append(storm_beside(beside, Words(units=job.units, crawl=job.house.floor_kind == "crawl space")))
    if left_out:
        also.append(f"Not reached in these years, and so without a sheet: {'; '.join(left_out)}.")
    return [_draft(job, run, each, number, also if number == 1 else ()) for number, each in enumerate(drawn, start=1)]


def _draft(job: Job, run: LongRun, told: Return, number: int, also: Sequence[str]) -> Draft:
    paper = papers(job.units)[0]
    left, bottom, right, top = paper.inner
    unit, show = _units(job, told)
    marks: list[Mark] = [words("text", (left, top - 3.4), told.outcome.title, 3.4, weight="semibold")]
    y = top - 8.0
    for said in (told.words, *also):
        for text in wrap(said, right - left, 2.5):
            marks.append(words("text", (left, y), text, 2.5))
            y -= 3.2
    made = "made rain, not a gauge's record" if run.made else f"rain record: {run.record}"
    about = f"{len(told.years)} years that count, {told.years[0]} to {told.years[-1]}; {made}."
    marks.append(words("text soft", (left, y), about, 2.2))
    longest = _longest(told)
    values = [show(value) for value in told.maxima]
    limit = show(told.outcome.threshold)
    low, high = min(*values, limit), max(*values, limit)
    room = max(high - low, 1e-6)
    axes = Axes(
        left=left + LEFT, bottom=bottom + FOOT, width=right - left - LEFT - RIGHT,
        height=y - 4.0 - bottom - FOOT, x_low=reduced(PERIODS[0]), x_high=reduced(longest),
        y_low=max(0.0, low - 0.08 * room) if low >= 0.0 else low - 0.08 * room, y_high=high + 0.12 * room,
    )  # fmt: skip
    marks += _grid(axes, longest, unit)
    marks += _law(axes, told, show, longest)
    marks += _limit(axes, told, limit, longest, _threshold(job, told))
    for period, value in zip(told.plotted, values, strict=True):
        if PERIODS[0] <= period <= longest:
            marks.append(Circle(layer="point", centre=axes(reduced(period), value), radius=0.9))
    marks += axes.frame()
    return Draft(
        name="risk-years" if number == 1 else f"risk-years-{number}", title="How often", scale="none: a chart",
        paper=paper, marks=tuple(marks),
        description=f"{told.outcome.title}: the highest of each year by its return period. {told.words}",
    )  # fmt: skip


def _units(job: Job, told: Return) -> tuple[str, Callable[[float], float]]:
    """The unit along the axis, and how values come to it."""
    word = Wording(job.units)
    if told.outcome.unit == "m3":
        wet = "gal" if word.us else "L"
        return f"volume, {unit_label(Kind.VOLUME, job.units, wet)}", lambda value: convert(
            value, Kind.VOLUME, job.units, wet
        )
    if told.outcome.unit == "m":
        if told.outcome.key == "slab":
            return f"level, {word.level_unit}", word.distance
        small = "in" if word.us else "mm"
        return f"depth, {small}", lambda value: convert(value, Kind.LENGTH, job.units, small)
    return told.outcome.unit.replace("1/h", "starts in an hour"), lambda value: value


def _threshold(job: Job, told: Return) -> str:
    """The threshold in words, to stand on its line."""
    word, outcome = Wording(job.units), told.outcome
    if outcome.key == "slab":
        floor = "crawl-space soil" if job.house.floor_kind == "crawl space" else "underside of the floor"
        return f"{floor}, {word.level(outcome.threshold)}"
    if outcome.unit == "m3":
        return f"told from {write(outcome.threshold, Kind.VOLUME, job.units, 'gal' if word.us else 'L', 0)}"
    if outcome.unit == "m":
        return write(outcome.threshold, Kind.LENGTH, job.units, "in" if word.us else "mm", 0)
    return f"more than its sheet allows: {outcome.threshold:.0f}"


def _longest(told: Return) -> float:
    """Upper end of the axis: what was seen and the band, to a written period, within the written ones. [years]"""
    law = None if told.beyond else told.by_law  # a guess then, and not drawn
    wanted = max([20.0, *told.plotted, *(value for value in (law, told.low, told.high) if value is not None)])
    return float(next((period for period in PERIODS if period >= wanted), PERIODS[-1]))


def _grid(axes: Axes, longest: float, unit: str) -> list[Mark]:
    marks: list[Mark] = []
    for period in PERIODS:
        if period <= longest:
            x = axes(reduced(period), axes.y_low)[0]
            marks.append(line("grid", (x, axes.bottom), (x, axes.top)))
            marks.append(line("axis", (x, axes.bottom), (x, axes.bottom - 0.9)))
            marks.append(words("text soft", (x, axes.bottom - 3.4), f"{period:g}", 2.2, "middle"))
    x = axes.left + axes.width / 2
    marks.append(words("text", (x, axes.bottom - 7.4), "as high or higher once in so many years, on average", 2.4,
                       "middle"))  # fmt: skip
    return [*marks, *axes.up(round_step(axes.y_high - axes.y_low, 8), unit, room=12.0)]


def _law(axes: Axes, told: Return, show: Callable[[float], float], longest: float) -> list[Mark]:
    """The fitted law: a line as far as the years reach, dashed beyond where the years tell of the threshold."""
    if told.law is None:
        return []
    seen = min(longest, max(told.plotted))
    parts = [("curve", PERIODS[0], seen), *([] if told.beyond else [("curve dashed", seen, longest)])]
    marks: list[Mark] = []
    for layer, first, last in parts:
        if reduced(last) - reduced(first) > 1e-6:
            across = np.linspace(reduced(first), reduced(last), 60)
            up = np.array([show(of_law(told.law, _period(float(x)))) for x in across])
            inside = (up >= axes.y_low) & (up <= axes.y_high)
            if np.count_nonzero(inside) > 1:
                marks.append(curve(axes, layer, across[inside], up[inside]))
    limit = show(told.outcome.threshold)
    marks += _key(axes, 1, "curve", f"fitted: {told.law.name}", limit)
    return marks if told.beyond else [*marks, *_key(axes, 2, "curve dashed", "beyond the years seen", limit)]


def _period(variate: float) -> float:
    """Return period of a reduced variate. [years]"""
    return -1.0 / math.expm1(-math.exp(-variate))


def _limit(axes: Axes, told: Return, limit: float, longest: float, title: str) -> list[Mark]:
    """The threshold, with the band of its return period as a bar on it."""
    _, y = axes(0.0, limit)
    marks: list[Mark] = [
        line("limit", (axes.left, y), (axes.right, y)),
        words("text warning", (axes.left + 1.5, y + 1.2), title, 2.2),
    ]
    x = axes.right + 2.0
    for index, text in enumerate(_often(told)):
        marks.append(words("text warning", (x, y - CAP * 1.1 - 3.0 * index), text, 2.2))
    if told.low is not None and told.reached < len(told.years):

        def at(period: float) -> float:
            return axes(reduced(min(longest, max(PERIODS[0], period))), 0.0)[0]

        a, b = at(told.low), axes.right if told.high is None else at(told.high)
        marks.append(box("bar", a, y - 0.9, max(b, a + 0.3), y + 0.9))
        if told.by_law is not None and PERIODS[0] <= told.by_law <= longest and not told.beyond:
            marks.append(Circle(layer="solid", centre=(at(told.by_law), y), radius=0.8))
        marks += _key(axes, 3, "bar", "once in, nine times of ten", limit)
    return [*marks, *_key(axes, 0, "point", "highest of each year", limit)]


def _often(told: Return) -> tuple[str, ...]:
    """About once in N years, between A and B."""

    def years(value: float) -> str:
        return f"{value:,.0f}" if value >= 10 else f"{value:.1f}"

    if told.reached == len(told.years):
        return ("every year",)
    if told.by_law is None or told.beyond:
        first = "rarer than the years seen" if told.beyond else "cannot be told"
    else:
        first = f"about once in {years(told.by_law)} years"
    if told.low is None:
        return (first,)
    if told.high is None:
        return (first, f"(rarer than once in {years(told.low)})")
    return (first, f"(between {years(told.low)} and {years(told.high)})")


def _key(axes: Axes, row: int, layer: str, name: str, limit: float) -> Sequence[Mark]:
    """A line of the legend: at the foot of the right margin, at its head where the threshold's words stand there."""
    low = axes(0.0, limit)[1] < axes.bottom + 22.0
    x, y = axes.right + 2.0, (axes.top - 2.0 if low else axes.bottom + 12.0) - 4.0 * row
    text = words("text soft", (x + 7.0, y - 0.7), name, 2.1)
    if layer == "point":
        return (Circle(layer=layer, centre=(x + 2.5, y), radius=0.9), text)
    return (box(layer, x, y - 0.9, x + 5, y + 0.9) if layer == "bar" else line(layer, (x, y), (x + 5, y)), text)


__all__ = ["of_law", "reduced", "years_drafts"]
