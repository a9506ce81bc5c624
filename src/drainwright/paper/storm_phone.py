"""The failures' time lines as one narrow picture, to be read on a phone without turning or widening it."""

from __future__ import annotations

from dataclasses import replace

from drainwright.design import Design
from drainwright.paper.axes import Axes, round_step
from drainwright.paper.frame import words
from drainwright.paper.measure import wrap
from drainwright.paper.sheet import Mark, Polygon, Polyline, Sheet, TextMark
from drainwright.paper.storm_failures import ALARM, FailureRow, axis_hours, bar, bar_names, bell, failure_rows, words_of
from drainwright.paper.symbols import box, line

WIDTH = 100.0  # 390 pixels across a phone: 3.9 a millimetre, so that 3 mm are read as 12 [mm]
EDGE = 4.0  # [mm]
TITLE, BODY = 3.2, 3.0  # sizes of the words [mm]
LEAD = 1.26  # from line to line, over the size
BAR = 7.0  # room for a bar with the alarm's mark [mm]


def failures_phone(design: Design) -> Sheet | None:
    """Draw the picture.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    Sheet or None
        ``storm-failures-phone``, as high as its rows need; None where ``failures_drafts`` gives none.
    """
    rows = failure_rows(design)
    if all(row.case is None for row in rows):
        return None
    hours, parts, y = axis_hours(rows), list[Mark](), 0.0  # downwards from the top, below nothing
    for text in wrap(
        f"One thing broken at a time, in the {design.storm.storm.name}", WIDTH - 2 * EDGE, 3.8, "semibold"
    ):
        y -= 3.8 * LEAD
        parts.append(words("text", (EDGE, y), text, 3.8, weight="semibold"))
    y -= 4.0
    for row in rows:
        drawn, y = _row(row, hours, y)
        parts += drawn
    drawn, y = _key(design, hours, y)
    parts += drawn
    height = EDGE - y + EDGE
    return Sheet(
        name="storm-failures-phone", title="If something breaks", scale="none: a chart", width=WIDTH, height=height,
        description="Each failure in the storm: when the alarm's float rises, when water is at the floor, what helps.",
        marks=tuple(raised(mark, height - EDGE) for mark in parts),
    )  # fmt: skip


def _row(row: FailureRow, hours: float, y: float) -> tuple[list[Mark], float]:
    """One failure, from ``y`` down."""
    wet = row.case is not None and not row.case.dry
    width = WIDTH - 2 * EDGE
    marks: list[Mark] = [line("rule faint", (EDGE, y), (WIDTH - EDGE, y))]
    y -= 1.2
    for text in wrap(row.title, width, TITLE, "semibold"):
        y -= TITLE * LEAD
        marks.append(words("text", (EDGE, y), text, TITLE, weight="semibold"))
    y -= BAR
    marks += bar(row, _axes(hours, y), y + 2.0)
    for text in (part for told in row.meaning for part in wrap(told, width, BODY)):
        y -= BODY * LEAD
        marks.append(words("text warning" if wet else "text", (EDGE, y), text, BODY))
    helps = row.prevention if row.prevention.startswith("noth") else f"What would prevent it: {row.prevention}"
    for text in wrap(helps[:1].upper() + helps[1:], width, BODY):
        y -= BODY * LEAD
        marks.append(words("text soft", (EDGE, y), text, BODY))
    return marks, y - 2.6


def _axes(hours: float, bottom: float) -> Axes:
    return Axes(
        left=EDGE, bottom=bottom, width=WIDTH - 2 * EDGE - 2.0, height=1.0, x_low=0.0, x_high=hours, y_low=0.0,
        y_high=1.0,
    )  # fmt: skip


def _key(design: Design, hours: float, y: float) -> tuple[list[Mark], float]:
    """The scale of the bars and what they mean."""
    marks: list[Mark] = [line("rule", (EDGE, y), (WIDTH - EDGE, y))]
    scale = _axes(hours, y - 1.0).across(round_step(hours, 6), "", size=2.8)
    marks += [mark for mark in scale if mark.layer != "grid"]
    y -= 9.0
    marks.append(words("text", (WIDTH / 2, y), "hours from the failure, in the storm", BODY, "middle"))
    for layer, name in bar_names(design):
        y -= 4.6
        marks += [box(layer, EDGE, y, EDGE + 5.0, y + 2.2), words("text soft", (EDGE + 7.0, y), name, BODY)]
    if design.system.station is not None:
        marks.append(bell(EDGE + 2.5, y - 4.2))
        for text in wrap(ALARM, WIDTH - 2 * EDGE - 7.0, BODY):
            y -= 4.6
            marks.append(words("text soft", (EDGE + 7.0, y), text, BODY))
    y -= 2.0
    for text in wrap(words_of(design).dry, WIDTH - 2 * EDGE, BODY):
        y -= 4.6
        marks.append(words("text soft", (EDGE, y), text, BODY))
    return marks, y


def raised(mark: Mark, by: float) -> Mark:
    """A mark drawn below nothing, on the paper."""
    if isinstance(mark, TextMark):
        return replace(mark, at=(mark.at[0], mark.at[1] + by))
    if isinstance(mark, (Polygon, Polyline)):
        return replace(mark, points=tuple((x, y + by) for x, y in mark.points))
    raise TypeError(f"mark = {type(mark).__name__}: expected text, a line or a shape")


__all__ = ["failures_phone", "raised"]
