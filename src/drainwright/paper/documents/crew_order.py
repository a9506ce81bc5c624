"""The crew's order of work: who does what on which day, what holds it up, and what hangs on what."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from drainwright.build.model import CrewPlan, Task
from drainwright.build.parts import task_key
from drainwright.build.short_days import short_days
from drainwright.design import Design
from drainwright.findings.model import Severity
from drainwright.paper.days_chart import ABREAST, days_pages
from drainwright.paper.documents.blocks import (
    Abreast,
    Block,
    Bullets,
    Cell,
    Column,
    Heading,
    Keep,
    Paragraph,
    Plate,
    Row,
    Table,
)
from drainwright.paper.documents.day_words import date_words, short_words, visits_words
from drainwright.paper.documents.hazards import test_holes_of
from drainwright.paper.documents.say import Say, day, joined
from drainwright.paper.svg import to_svg

INK = "#0e3f5f"
FEW = 12  # works of a short job, whose bars stand with the chain on one page
LOOKED_AT = "a licensed engineer has looked at it and said how it may be opened"
#: Which part of a work it is, at the end of its title: where several parts stand together, the work says it once.
PART = re.compile(
    r"(?: \((?:at|away from) the walls\))?(?:: [^()]+, beside the live line)?(?: \((?:odd|even) lengths[^()]*\))?$"
)


def order_of_work(
    design: Design, told: Callable[[str], str] = str
) -> tuple[tuple[Block, ...], tuple[tuple[str, str], ...]]:
    """The pages of the order of work.

    Parameters
    ----------
    design : Design
        The designed job.
    told : callable
        Says the words on the bars in the packet's language.

    Returns
    -------
    tuple of Block, tuple of (str, str)
        Day by day with people and holds, the bars, the chain that sets the last hour, the soil's way; and the
        drawing by file name.
    """
    plan, say = design.build.plan, Say(design.job.units)
    sheets = days_pages(design, told)
    plates = tuple(
        Plate(
            file=f"{sheet.name}.svg", title="Order of work by day", alt=sheet.description, width=sheet.width,
            height=sheet.height,
        )
        for sheet in sheets
    )  # fmt: skip
    bars = tuple(
        Abreast(
            title="Order of work by day", plates=plates[start : start + ABREAST],
            note="Working hours only: nights and days off are left out between the lines.",
        )
        for start in range(0, len(plates), ABREAST)
    )  # fmt: skip
    drawings = tuple((f"{sheet.name}.svg", to_svg(sheet)) for sheet in sheets)
    return (
        Heading(text="Order of work", new_page=True),
        *_moved(plan),
        _by_day(plan, say, [hole for hole, _ in _test_holes(design, say)]),
        Paragraph(
            text=f"{plan.hours:.1f} person-hours in all, by the price book's rates; {plan.peak} people at once at "
            "most. People at a work: the most at once.",
            style="soft",
        ),
        *_holds(design, say),
        *((Keep(blocks=(*_chain(plan), *bars)),) if len(plan.tasks) <= FEW else (*_chain(plan), *bars)),
    ), drawings


def _moved(plan: CrewPlan) -> tuple[Block, ...]:
    """That the start which is set is not worked."""
    if plan.moved is None:
        return ()
    words = f"The start is set for {day(plan.moved.asked)}, {plan.moved.why}: work begins on {day(plan.moved.first)}."
    return (Paragraph(text=words),)


def first_dig(plan: CrewPlan) -> int:
    """The day on which the first trench or wall is dug; 1 where none is."""
    return min((task.day for task in plan.tasks if task_key(task.key) in ("open", "trench")), default=1)


def _test_holes(design: Design, say: Say) -> list[tuple[str, str]]:
    """Each test hole to a footing that nobody measured, and what must be read in it before any trench is dug."""
    return [
        (
            f"test hole at {corner}",
            f"footing's bottom by rod: {say.level(level)} or lower; else no trench, call. From its edge: nobody "
            "in it where it is more than waist-deep, but shored",
        )
        for corner, level in test_holes_of(design).items()
    ]


def numbers(plan: CrewPlan) -> dict[str, int]:
    """The number of each work in the order of work, by its key: as it first comes in the days."""
    keys = (task.key for day in range(1, plan.days + 1) for task, _ in plan.on_day(day))
    return {key: number for number, key in enumerate(dict.fromkeys(keys), start=1)}


def _by_day(plan: CrewPlan, say: Say, holes: Sequence[str]) -> Table:
    columns = (
        Column(head="#", width=0.45, align="right"), Column(head="Work", width=5.3),
        Column(head="People", width=0.85, align="right"),
        Column(head="Person-hours today", width=1.1, align="right"),
        Column(head="Amount", width=4.1), Column(head="May wait", width=0.95, align="right"),
        Column(head="Done", width=0.75),
    )  # fmt: skip
    number_of = numbers(plan)
    critical = {link.key for link in plan.chain}
    short = {item.day: item for item in short_days(plan)}
    rows: list[Row] = []
    for number in range(1, plan.days + 1):
        at_work = plan.on_day(number)
        date = f", {date_words(plan.dates[number - 1])}" if number <= len(plan.dates) else ""
        people = sum(round(hands.hours, 1) for _, hands in at_work)  # of what the rows show
        told = f"  ({people:.1f} person-hours)" if at_work else ": nothing is worked at"
        first = f": first of all {joined(list(holes))}" if holes and number == first_dig(plan) else ""
        comes = visits_words(plan.visits_on(number))
        others = f". By today comes: {comes}" if comes else ""
        why = f". {short_words(short[number])}" if number in short else ""
        title = f"Day {number}{date}{told}{first}{why}{others}"
        rows.append((Cell(text=title, weight="semibold", colour=INK, span=len(columns)),))
        for task, hands in at_work:
            begins = task.day == number or task.by_day[0].day == number
            last = task.by_day[-1].day == number
            rows.append(
                (
                    f"{number_of[task.key]}",
                    Cell(text=task.title if begins else f"{PART.sub('', task.title)}, goes on", weight="semibold"),
                    f"{hands.people}",
                    f"{hands.hours:.1f}",
                    task.quantity if begins else "",
                    "" if not begins else "no" if task.key in critical else slack_words(task),
                    "☐" if last else "",
                )
            )
            if last and task.wait > 0:
                rows.append(
                    (Cell(text=f"Then wait {say.time(task.wait)}: {held_words(task, plan)}", span=len(columns)),)
                )
    return Table(columns=columns, rows=tuple(rows), tight=True)


def slack_words(task: Task) -> str:
    """How long a work may wait, in words."""
    return "no" if task.slack < 0.25 else f"{task.slack:.0f} h" if task.slack >= 1.0 else "under 1 h"


def held_words(task: Task, plan: CrewPlan) -> str:
    """What waits for a work's cure, and when it may begin, in words."""
    number = int(task.cured / plan.day_length + 1e-6)
    hours = task.cured - number * plan.day_length
    date = f", {date_words(plan.dates[number])}" if number < len(plan.dates) else ""
    when = "in the morning" if hours < 0.25 else f"{hours:.1f} h after the start"
    waiting = [f"#{number}" for key, number in numbers(plan).items() if key in task.held]
    return f"{joined(waiting)} not before day {number + 1}{date}, {when}; what does not hang on it may go on"


def _holds(design: Design, say: Say) -> tuple[Block, ...]:
    plan = design.build.plan
    rows: list[Row] = []
    for finding in design.findings:  # what the proposal promises of such a wall holds the first dig
        if finding.id == "FTG-08" and finding.severity is not Severity.OK:
            name = finding.where.removeprefix("house.walls.")
            rows.append(
                ("1", "", Cell(text=f"Before any digging: {name} wall", weight="semibold"), LOOKED_AT, "–", "☐")
            )
    for hole, read in _test_holes(design, say):
        rows.append((f"{first_dig(plan)}", "", Cell(text=f"First {hole}", weight="semibold"), read, "–", "☐"))
    number_of = numbers(plan)
    held: dict[tuple[str, str], list[Task]] = {}
    for task in sorted(plan.tasks, key=lambda item: item.start):
        if task.hold:
            held.setdefault((task.hold, say.time(task.wait) if task.wait > 0 else "–"), []).append(task)
    for (hold, wait), tasks in held.items():
        days = ", ".join(dict.fromkeys(f"{task.day}" for task in tasks))
        whole = len(tasks) == 1
        titles = dict.fromkeys(task.title if whole else PART.sub("", task.title) for task in tasks)
        which = ", ".join(f"{number_of[task.key]}" for task in tasks if task.key in number_of)
        rows.append((days, which, Cell(text="; ".join(titles), weight="semibold"), hold, wait, "☐"))
    if not rows:
        return ()
    columns = (
        Column(head="Day", width=0.7, align="right"), Column(head="#", width=0.8, align="right"),
        Column(head="Work", width=3.8),
        Column(head="Goes on only when", width=4.4), Column(head="Then wait", width=1.0),
        Column(head="Seen", width=0.7),
    )  # fmt: skip
    return (Heading(text="Hold points", level=2), Table(columns=columns, rows=tuple(rows), tight=True))


def _chain(plan: CrewPlan) -> tuple[Block, ...]:
    number_of = numbers(plan)
    words = {
        "start": "the job starts with it",
        "order": "it follows: {}",
        "cure": "it waits for the cure of: {}",
        "people": "its people were busy with: {}",
        "visit": "it waits for a visit on its agreed day",
    }
    items: list[str] = []
    before = ""
    for link in plan.chain:
        first = int(link.start / plan.day_length + 1e-6) + 1
        why = words[link.waited_for].format(f"#{number_of[link.on]}" if link.on in number_of else "")
        plain = link.waited_for == "order" and link.on == before
        items.append(
            f"{link.title} (#{number_of[link.key]}, day {first}, {link.end - link.start:.1f} h)"
            + ("." if plain else f": {why}.")
        )
        before = link.key
    if not items:
        return ()
    return (
        Heading(text="What sets the last hour", level=2),
        Paragraph(
            text="From the first hour to the last, each after the one above: an hour lost here is lost at the end, one "
            "gained elsewhere gains nothing.",
            style="soft",
        ),
        Bullets(items=tuple(items), numbered=True),
    )


__all__ = ["order_of_work"]
