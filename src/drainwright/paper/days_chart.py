"""The order of work as bars by day: one narrow picture, for the crew's packet and for a phone."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

from drainwright.build.model import CrewPlan, Task
from drainwright.design import Design
from drainwright.paper.frame import words
from drainwright.paper.measure import text_width, wrap
from drainwright.paper.sheet import Mark, Sheet
from drainwright.paper.storm_phone import raised
from drainwright.paper.symbols import box, line

WIDTH = 100.0  # 390 pixels across a phone: 3.9 a millimetre, so that 3 mm are read as 12 [mm]
EDGE = 4.0  # [mm]
TITLE, BODY = 3.8, 3.0  # sizes of the words [mm]
LEAD = 1.2  # from line to line, over the size
TALL = 200.0  # all rows of one picture on paper [mm]
ABREAST, SEVERAL = 2, 6  # pictures beside each other; works from which a picture is worth dividing
TALLEST = 2.6  # bar of the whole crew [mm]
LEAST = 0.05  # of a working day: shorter slack is not drawn [-]


def days_chart(design: Design) -> Sheet | None:
    """Draw the picture.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    Sheet or None
        ``days``, as high as its works need; None where there is no work.
    """
    plan = design.build.plan
    tasks = _in_time(plan)
    if not tasks:
        return None
    return _sheet(plan, tasks, "days", f"Order of work: {plan.days} days, {plan.crew} people")


def days_pages(design: Design, told: Callable[[str], str] = str) -> tuple[Sheet, ...]:
    """The same for paper: as many pictures as it needs, none taller than a page.

    Parameters
    ----------
    design : Design
        The designed job.
    told : callable
        Says each text in the paper's language.

    Returns
    -------
    tuple of Sheet
        ``days-1`` and so on, each with all days; the key stands once for those that stand beside each other. Empty
        where there is no work.
    """
    plan = design.build.plan
    plan = replace(plan, tasks=tuple(replace(task, title=told(task.title)) for task in plan.tasks))
    tasks = _in_time(plan)
    high = [-_row(plan, task, False, 0.0)[1] for task in tasks]
    whole = sum(high)
    count = max(1, math.ceil(whole / TALL))
    if len(tasks) >= SEVERAL:
        count += count % ABREAST  # two stand beside each other: one alone leaves half of the page empty
    key = -_key(plan, 0.0, told)[1]
    keyed = [number % ABREAST == ABREAST - 1 or number == count - 1 for number in range(count)]
    each = (whole + key * sum(keyed)) / count  # pages as tall as each other
    ends = [each * (number + 1) - key * sum(keyed[: number + 1]) for number in range(count)]
    parts: list[list[Task]] = [[]]
    low = 0.0
    for task, height in zip(tasks, high, strict=True):
        if parts[-1] and low + height / 2 > ends[len(parts) - 1]:
            parts.append([])
        parts[-1].append(task)
        low += height
    many = len(parts) if tasks else 0
    title = told(f"Order of work: {plan.days} days, {plan.crew} people")
    return tuple(
        _sheet(
            plan,
            part,
            f"days-{number}",
            title if many == 1 else f"{title} ({number}/{many})",
            told,
            keyed=keyed[number - 1] or number == many,
        )
        for number, part in enumerate(parts[:many], start=1)
    )


def _in_time(plan: CrewPlan) -> list[Task]:
    return sorted((task for task in plan.tasks if task.by_day), key=lambda item: (item.start, item.end))


def _sheet(
    plan: CrewPlan, tasks: Sequence[Task], name: str, title: str, told: Callable[[str], str] = str, *,
    keyed: bool = True,
) -> Sheet:  # fmt: skip
    parts: list[Mark] = []
    y = 0.0  # downwards from the top, below nothing
    for text in wrap(title, WIDTH - 2 * EDGE, TITLE, "semibold"):
        y -= TITLE * LEAD
        parts.append(words("text", (EDGE, y), text, TITLE, weight="semibold"))
    head = y - 1.5
    y = head - (7.6 if plan.dates else 4.4)
    critical = {link.key for link in plan.chain}
    rows: list[Mark] = []
    for task in tasks:
        drawn, y = _row(plan, task, task.key in critical, y)
        rows += drawn
    parts += _days(plan, head, y, told)
    parts += rows
    if keyed:
        drawn, y = _key(plan, y - 1.0, told)
        parts += drawn
    height = EDGE - y + EDGE / 2
    return Sheet(
        name=name, title="Order of work by day", scale="none: a chart", width=WIDTH, height=height,
        description="Each work as bars over the working days, as tall as its people are many; what sets the last hour "
        "is dark; dashes are waits for cure, thin lines how long a work may wait.",
        marks=tuple(raised(mark, height - EDGE) for mark in parts),
    )  # fmt: skip


def _at(plan: CrewPlan, hours: float) -> float:
    """A working hour across the picture. [mm]"""
    return EDGE + (WIDTH - 2 * EDGE) * hours / (plan.days * plan.day_length)


def _days(plan: CrewPlan, top: float, bottom: float, told: Callable[[str], str]) -> list[Mark]:
    """Lines between days, heavier where days off lie between; the days' numbers and dates."""
    marks: list[Mark] = []
    for day in range(plan.days + 1):
        x = _at(plan, day * plan.day_length)
        rest = bool(0 < day < len(plan.dates)) and (plan.dates[day] - plan.dates[day - 1]).days > 1
        marks.append(line("axis" if rest else "rule faint", (x, top), (x, bottom)))
    room = (WIDTH - 2 * EDGE) / plan.days
    every = next(step for step in range(1, plan.days + 1) if step * room >= 9.0 or step == plan.days)
    for day in range(0, plan.days, every):
        x = _at(plan, (day + 0.5) * plan.day_length)
        marks.append(words("text", (x, top - 3.0), f"{day + 1}", BODY, "middle", "semibold"))
        if plan.dates:
            date = plan.dates[day]
            weekday = told(f"{date:%a}")
            text = f"{weekday} {date.day}" if room * every >= text_width("Wed 30", BODY) + 1.0 else f"{date.day}"
            marks.append(words("text soft", (x, top - 6.4), text, BODY, "middle"))
    return marks


def _row(plan: CrewPlan, task: Task, critical: bool, y: float) -> tuple[list[Mark], float]:
    """One work, from ``y`` down: its name, its bars below."""
    marks: list[Mark] = [line("rule faint", (EDGE, y), (WIDTH - EDGE, y))]
    for text in wrap(task.title, WIDTH - 2 * EDGE, BODY, "semibold" if critical else "regular"):
        y -= BODY * LEAD
        width = text_width(text, BODY, "semibold" if critical else "regular")
        marks.append(box("mask", EDGE, y - 0.6, EDGE + width, y + 2.4))
        marks.append(words("text", (EDGE, y), text, BODY, weight="semibold" if critical else "regular"))
    bottom = y - 1.0 - TALLEST
    layer = "bar dark" if critical else "bar"
    middle = bottom + 1.1
    if task.wait > 0:
        cured = min(task.cured, plan.days * plan.day_length)
        marks.append(line("curve dashed", (_at(plan, task.end), middle), (_at(plan, cured), middle)))
    elif task.slack > LEAST * plan.day_length and not critical:
        last = min(task.end + task.slack, plan.days * plan.day_length)
        marks.append(line("curve soft", (_at(plan, task.end), middle), (_at(plan, last), middle)))
    for start, end, people in task.spells:
        left, right = _at(plan, start), max(_at(plan, end), _at(plan, start) + 0.6)
        high = max(1.2, TALLEST * people / plan.crew)
        marks.append(box(layer, left, bottom, right, bottom + high))
    first = task.spells[0] if task.spells else (task.start, task.end, 0)
    most = max((people for _, _, people in task.spells), default=0)
    if most:
        told = f"{most}"
        width = text_width(told, BODY)
        left, low = _at(plan, first[0]) - 0.8 - width, bottom + 0.4
        if left < EDGE:
            left = _at(plan, task.spells[-1][1]) + 0.8
        marks.append(box("mask", left - 0.3, low - 0.3, left + width + 0.3, low + 2.3))
        marks.append(words("text", (left, low), told, BODY))
    return marks, bottom - 0.8


def _key(plan: CrewPlan, y: float, told: Callable[[str], str]) -> tuple[list[Mark], float]:
    """What the marks mean."""
    marks: list[Mark] = [line("rule", (EDGE, y), (WIDTH - EDGE, y))]
    rows: Sequence[tuple[str, str]] = (
        ("bar dark", "sets the last hour: later here is later at the end"),
        ("bar", "others; a bar's height and its number: people at most"),
        ("curve dashed", "cure or set, nobody goes on with what it holds"),
        ("curve soft", "may wait so long, as far as the order goes"),
    )
    for layer, text in rows:
        y -= 4.6
        if layer.startswith("bar"):
            marks.append(box(layer, EDGE, y, EDGE + 6.0, y + 2.2))
        else:
            marks.append(line(layer, (EDGE, y + 1.1), (EDGE + 6.0, y + 1.1)))
        marks.append(words("text soft", (EDGE + 8.0, y), told(text), BODY))
    if any((b - a).days > 1 for a, b in zip(plan.dates, plan.dates[1:], strict=False)):
        y -= 4.6
        marks.append(line("axis", (EDGE + 3.0, y - 0.6), (EDGE + 3.0, y + 2.8)))
        marks.append(words("text soft", (EDGE + 8.0, y), told("days off between"), BODY))
    return marks, y


__all__ = ["ABREAST", "SEVERAL", "days_chart", "days_pages"]
