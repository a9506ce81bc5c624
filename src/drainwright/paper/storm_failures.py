"""What if something breaks: each failure in a row of its own, from its beginning, in words for the customer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from drainwright.design import Design
from drainwright.findings.failure_words import Words, came_in
from drainwright.paper.axes import Axes, round_step
from drainwright.paper.frame import Draft, Leaf, Paper, papers, words
from drainwright.paper.measure import CAP, READ, wrap, wrap_figures
from drainwright.paper.plan_marks import floor_underside
from drainwright.paper.sheet import Mark, Polygon, TextMark, Weight
from drainwright.paper.storm_panels import HOUR, span
from drainwright.paper.storm_remedies import remedies_of
from drainwright.paper.symbols import box, line
from drainwright.paper.wording import Wording
from drainwright.storm.model import StormCase

ON_LEAF = (2.5, 2.3, 2.1, 2.0)  # of the words, printed larger: the largest with which all fits [mm]
SIZE = READ  # of heads and legend [mm]
LEAD = 1.26  # from line to line, over the size
HEAD, FOOT = 16.0, 16.0  # above and below the rows [mm]
SHARES = (0.25, 0.30, 0.25, 0.20)  # of the width: what, when, what it means, what would prevent it
TELLING = 0.02  # a rise over the sound storm that is told [m]
ALARM = "The alarm's float rises. With the power out it sounds only on a battery of its own; it keeps nothing dry."


@dataclass(frozen=True, slots=True, kw_only=True)
class FailureRow:
    """One failure, or those that come to nothing together."""

    title: str
    case: StormCase | None  # None: several
    alarm: float | None  # from the failure, in a storm [s]
    wet: float | None  # from the failure to water at the floor's underside [s]
    meaning: tuple[str, ...]
    prevention: str


def failure_rows(design: Design) -> tuple[FailureRow, ...]:
    """The failures, the one that wets the floor soonest first, then those that stay dry by the room they leave.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    tuple of FailureRow
        One for each failure; dry ones that raise no water at the house share one row at the end.
    """
    say = words_of(design)
    word, under = Wording(design.job.units), floor_underside(design)
    sound, *failed = design.storm.every
    prices = remedies_of(design)
    rows: list[FailureRow] = []
    nothing: list[str] = []
    nothing_there = sound.highest_at_house is None and not sound.house_dry  # no drain and no basin at the house
    unknown = design.site.water_table is None and not nothing_there
    for case in sorted(failed, key=_order):
        alarm = alarm_after(design, case)
        meaning: tuple[str, ...]
        if case.dry:
            high, usual = case.highest_at_house, sound.highest_at_house
            raised = high is not None and (sound.house_dry or (usual is not None and high >= usual + TELLING))
            if not raised and case.title not in prices:
                nothing.append(case.title)
                continue
            meaning = ("The floor stays dry.",)
            if unknown:
                meaning = ("The floor stays dry by rain alone.", "How high ground water stands, nobody knows.")
            if raised and high is not None:
                meaning += (f"The water comes up to {word.small(case.slab_level - high)} below it.",)
            if case.title in prices:
                meaning += ("More water runs off over the ground.",)
        elif case.time_to_slab is None:
            meaning = (f"Not wet within {span(case.ended)},", "but the water still rises.")
        else:
            entering = came_in(case, say)
            meaning = (f"Water at the {under} after {say.hours(case.time_to_slab)}.",)
            if alarm is not None:
                meaning += (f"Time to act from the alarm: {say.hours(case.time_to_slab - alarm)}.",)
            if entering:
                amount, _, depth = entering.partition(", ")
                meaning += (f"Up to {amount} could come in{f', {depth}' if depth else ''}.",)
        rows.append(
            FailureRow(
                title=case.title, case=case, alarm=alarm, wet=case.time_to_slab, meaning=meaning,
                prevention=prices.get(case.title, "nothing needed" if case.dry and not unknown else "not known"),
            )
        )  # fmt: skip
    if nothing:
        meaning = ("The floor stays dry.", "The water at the house stands no higher than with everything in order.")
        if sound.house_dry:
            meaning = ("The floor stays dry, and so do the drains at the house.",)
        elif nothing_there:
            meaning = ("Nothing backs up at the house:", "it has no drain and no basin of this system.")
        if unknown:
            meaning += ("By rain alone: how high ground water stands, nobody knows.",)
        rows.append(_together(nothing, meaning, "not known" if unknown else "nothing needed"))
    return tuple(rows)


def words_of(design: Design) -> Words:
    """How the job tells its failures."""
    return Words(units=design.job.units, crawl=design.job.house.floor_kind == "crawl space")


def _together(titles: list[str], meaning: tuple[str, ...], prevention: str) -> FailureRow:
    """Failures that come to the same."""
    told = "; ".join([titles[0], *(_inside(title) for title in titles[1:])])
    return FailureRow(title=told, case=None, alarm=None, wet=None, meaning=meaning, prevention=prevention)


def _inside(title: str) -> str:
    """A title as it stands after a semicolon: its first word small, unless it is a name or in capitals."""
    first = title.split(" ", 1)[0]
    return f"{title[:1].lower()}{title[1:]}" if first.isalpha() and not first[1:2].isupper() else title


def alarm_after(design: Design, case: StormCase) -> float | None:
    """When the float of the house basin's alarm rises, from the failure; None: it does not, or there is none. [s]"""
    if case.time_to_slab is not None and case.alarm_to_slab is not None:
        return max(0.0, case.time_to_slab - case.alarm_to_slab)
    station, start = design.system.station, case.failure_at or 0.0
    if station is None or len(case.basin_level) != len(case.times):
        return None
    late = np.flatnonzero((case.times >= start) & (case.basin_level >= station.alarm))
    return float(case.times[late[0]]) - start if late.size else None


def failures_drafts(design: Design, paper: Paper | None = None) -> list[Draft]:
    """Draw the sheets; none where no failure was run, or where all come to nothing.

    Parameters
    ----------
    design : Design
        The designed job.
    paper : Paper, optional
        Left out: the small paper of the place, and what dry means at the foot; a page tells it beside its drawing.

    Returns
    -------
    list of Draft
        ``storm-failures``, and ``storm-failures-2`` and so on where the rows need more sheets.
    """
    rows = failure_rows(design)
    if all(row.case is None for row in rows):
        return []
    foot = "" if paper else words_of(design).dry
    paper = paper or papers(design.job.units)[0]
    left, bottom, right, top = paper.inner
    edges = [left + (right - left) * sum(SHARES[:count]) for count in range(5)]
    room = top - bottom - HEAD - FOOT
    for size in ON_LEAF if isinstance(paper, Leaf) else (READ,):
        heights = [_height(row, edges, size) for row in rows]
        if sum(heights) <= room:
            break
    hours, waiting = axis_hours(rows), iter(rows)
    parts = [[next(waiting) for _ in range(count)] for count in even_pages(heights, room)]
    return [_draft(design, paper, edges, part, size, hours, number, foot) for number, part in enumerate(parts, start=1)]


def even_pages(heights: Sequence[float], room: float) -> list[int]:
    """How many rows stand on each of the fewest pages that hold them, none much fuller than another.

    Parameters
    ----------
    heights : Sequence of float
        Of the rows, in order. [mm]
    room : float
        On a page; a row that is higher has a page of its own. [mm]

    Returns
    -------
    list of int
        Rows of each page; the fullest is as little full as that many pages allow.
    """
    fewest, tallest = len(_filled(heights, room)), min(max(heights), room)
    sums = {
        sum(heights[start:end]) for start in range(len(heights)) for end in range(start + 1, len(heights) + 1)
    }  # fmt: skip
    tried = (most for most in sorted(sums) if tallest <= most <= room)
    least = next((most for most in tried if len(_filled(heights, most)) <= fewest), room)
    return _filled(heights, least)


def _filled(heights: Sequence[float], room: float) -> list[int]:
    """Page by page, as much as goes on each."""
    counts, filled = [0], 0.0
    for height in heights:
        if counts[-1] and filled + height > room + 1e-9:
            counts.append(0)
            filled = 0.0
        counts[-1] += 1
        filled += height
    return counts


def _height(row: FailureRow, edges: list[float], size: float) -> float:
    return LEAD * size * max(len(part) for part in _texts(row, edges, size)) + 2.2


def _draft(
    design: Design,
    paper: Paper,
    edges: list[float],
    rows: list[FailureRow],
    size: float,
    hours: float,
    number: int,
    foot: str,
) -> Draft:
    left, bottom, right, top = paper.inner
    heights = [_height(row, edges, size) for row in rows]
    spare = min(3.0, max(0.0, (top - bottom - HEAD - FOOT - sum(heights)) / len(rows)))
    heights = [height + spare for height in heights]
    marks = _heads(design, edges, top)
    axes = Axes(
        left=edges[1], bottom=top - HEAD - sum(heights), width=edges[2] - edges[1] - 5.0, height=sum(heights),
        x_low=0.0, x_high=hours, y_low=0.0, y_high=1.0,
    )  # fmt: skip
    marks += axes.across(round_step(hours, 7), "hours from the failure, in the storm")
    y = top - HEAD
    for row, height in zip(rows, heights, strict=True):
        marks.append(line("rule faint", (left, y), (right, y)))
        marks += _written(row, _texts(row, edges, size), edges, y - height / 2, size)
        marks += bar(row, axes, y - height / 2)
        y -= height
    marks.append(line("rule", (left, y), (right, y)))
    marks += _legend(design, edges, y - 6.0, foot)
    return Draft(
        name="storm-failures" if number == 1 else f"storm-failures-{number}", title="If something breaks",
        scale="none: a chart", paper=paper, marks=tuple(marks),
        description="Each failure in the storm: when the alarm's float rises, when water is at the floor, what helps.",
    )  # fmt: skip


def _order(case: StormCase) -> tuple[int, float]:
    if case.time_to_slab is not None:
        return (0, case.time_to_slab)
    return (1 if case.undecided else 2, -(case.highest_at_house or -1e9))


def axis_hours(rows: Sequence[FailureRow]) -> float:
    """Length of the axis: the longest time to the floor, or the longest case where all stay dry."""
    wet = [row.wet for row in rows if row.wet is not None]
    if wet:
        return max(1.0, 1.12 * max(wet) / HOUR)
    ends = [row.case.ended - (row.case.failure_at or 0.0) for row in rows if row.case is not None]
    return max([1.0, *(end / HOUR for end in ends)])


def _texts(row: FailureRow, edges: list[float], size: float) -> tuple[tuple[str, ...], ...]:
    """The lines of each column but the drawn one."""
    widths = [edges[index + 1] - edges[index] - 3.0 for index in (0, 2, 3)]
    meaning = tuple(part for text in row.meaning for part in wrap_figures(text, widths[1], size, "semibold"))
    return wrap(row.title, widths[0], size), meaning, wrap(row.prevention, widths[2] + 3.0, size)


def _heads(design: Design, edges: list[float], top: float) -> list[Mark]:
    storm = design.storm.storm
    marks: list[Mark] = [
        words("text", (edges[0], top - 3.0), "One thing broken at a time, in the storm of the design", 3.0,
              weight="semibold"),
        words("text soft", (edges[0], top - 7.4), f"{storm.name}. The times count from the failure.", SIZE),
    ]  # fmt: skip
    names = ("If", "from the failure on", "then", "what would prevent it")
    return [
        *marks,
        *(words("text soft", (x, top - HEAD + 1.6), name, SIZE) for x, name in zip(edges, names, strict=False)),
    ]


def _written(
    row: FailureRow, parts: tuple[tuple[str, ...], ...], edges: list[float], middle: float, size: float
) -> list[Mark]:
    wet = row.case is not None and not row.case.dry
    marks: list[Mark] = []
    for number, (column, lines) in enumerate(zip((0, 2, 3), parts, strict=True)):
        for index, text in enumerate(lines):
            y = middle - CAP * size / 2 + LEAD * size * ((len(lines) - 1) / 2 - index)
            layer = "text warning" if wet and number == 1 else "text"
            weight: Weight = "semibold" if number == 1 and index == 0 else "regular"
            marks.append(TextMark(layer=layer, at=(edges[column], y), text=text, size=size, weight=weight))
    return marks


def bar(row: FailureRow, axes: Axes, middle: float) -> list[Mark]:
    """From the failure on: pale while the floor is dry, grey from the alarm, dark with water at the floor."""
    thick = 1.5

    def at(seconds: float) -> float:
        return min(axes.right, axes(seconds / HOUR, 0.0)[0])

    end = axes.right if row.wet is None else at(row.wet)
    if row.wet is None and row.case is not None:
        end = at(row.case.ended - (row.case.failure_at or 0.0))
    marks: list[Mark] = [box("bar dry", axes.left, middle - thick, end, middle + thick)]
    if row.wet is not None and row.alarm is not None:
        marks.append(box("bar", at(row.alarm), middle - thick, max(end, at(row.alarm) + 0.1), middle + thick))
    if row.wet is not None:
        marks.append(box("bar dark", end, middle - thick, axes.right, middle + thick))
    if row.alarm is not None and row.alarm / HOUR <= axes.x_high:
        marks.append(bell(at(row.alarm), middle + thick))
    return marks


def bell(x: float, y: float) -> Polygon:
    """The mark of the alarm, its tip at a place."""
    return Polygon(layer="limit mark", points=((x, y - 0.6), (x - 1.0, y + 1.2), (x + 1.0, y + 1.2)))


def bar_names(design: Design) -> list[tuple[str, str]]:
    """What the parts of a bar mean, by their layers; without a basin there is no alarm."""
    names = [
        ("bar dry", "dry"),
        ("bar", "dry, after the alarm"),
        ("bar dark", f"water at the {floor_underside(design)}"),
    ]
    return names if design.system.station is not None else [names[0], names[2]]


def _legend(design: Design, edges: list[float], y: float, foot: str) -> list[Mark]:
    """What the bars mean, under the first column; a word on alarms and what else is told, under the last two."""
    x = edges[0]
    marks: list[Mark] = []
    for index, (layer, name) in enumerate(bar_names(design)):
        low = y + 1.6 - 3.2 * index
        marks += [box(layer, x, low, x + 4, low + 1.7), words("text soft", (x + 5.2, low + 0.2), name, SIZE)]
    alarm = ALARM if design.system.station is not None else ""
    if alarm:
        marks.append(bell(edges[2] + 1.0, y + 2.6))
    lines = [text for told in (alarm, foot) if told for text in wrap(told, edges[4] - edges[2] - 4.0, SIZE)]
    for index, text in enumerate(lines):
        marks.append(words("text soft", (edges[2] + 3.2, y + 1.8 - 3.0 * index), text, SIZE))
    return marks


__all__ = [
    "ALARM", "FailureRow", "alarm_after", "axis_hours", "bar", "bar_names", "bell", "even_pages", "failure_rows",
    "failures_drafts", "words_of",
]  # fmt: skip
