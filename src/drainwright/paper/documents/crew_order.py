"""The crew's order of work: who does what on which day, what holds it up, and what hangs on what."""

from __future__ import annotations

from drainwright.build.model import CrewPlan, EarthChain, Task
from drainwright.build.wording import money
from drainwright.design import Design
from drainwright.paper.days_chart import days_pages
from drainwright.paper.documents.blocks import (
    Block,
    Bullets,
    Cell,
    Column,
    Heading,
    Keep,
    NewPage,
    Notice,
    Paragraph,
    Plate,
    Row,
    Table,
)
from drainwright.paper.documents.day_words import date_words
from drainwright.paper.documents.say import Say
from drainwright.paper.svg import to_svg

INK = "#0e3f5f"


def order_of_work(design: Design) -> tuple[tuple[Block, ...], tuple[tuple[str, str], ...]]:
    """The pages of the order of work.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    tuple of Block, tuple of (str, str)
        Day by day with people and holds, the bars, the chain that sets the last hour, the soil's way, hands against
        machines; and the drawing by file name.
    """
    plan, say = design.build.plan, Say(design.job.units)
    sheets = days_pages(design)
    bars = tuple(
        Plate(
            file=f"{sheet.name}.svg", title="Order of work by day", alt=sheet.description, width=sheet.width,
            height=sheet.height, upright=True,
            note="Working hours only: nights and days off are left out between the lines.",
        )
        for sheet in sheets
    )  # fmt: skip
    drawings = tuple((f"{sheet.name}.svg", to_svg(sheet)) for sheet in sheets)
    return (
        Heading(text="Order of work", new_page=True),
        Paragraph(
            text="Each day with who works at what. A trench is looked at by the competent person before anyone enters: "
            "each morning, after rain, after anything that changes.",
            style="soft",
        ),
        _by_day(plan, say),
        Paragraph(
            text=f"{plan.hours:.0f} person-hours in all, by the rates of the price book; {plan.peak} people at once at "
            "most. People at a work: the most at once; they move on as a work ends.",
            style="soft",
        ),
        *bars,
        NewPage(),
        *_holds(plan, say),
        *_chain(plan),
        *_doubt(plan, design),
        *_soil(plan),
        *_machines(plan, design),
    ), drawings


def _by_day(plan: CrewPlan, say: Say) -> Table:
    columns = (
        Column(head="Work", width=5), Column(head="People", align="right"), Column(head="Hours today", align="right"),
        Column(head="Amount", width=3.2), Column(head="May wait", width=1.2, align="right"), Column(head="Done"),
    )  # fmt: skip
    critical = {link.key for link in plan.chain}
    rows: list[Row] = []
    for number in range(1, plan.days + 1):
        at_work = plan.on_day(number)
        date = f", {date_words(plan.dates[number - 1])}" if number <= len(plan.dates) else ""
        note = "" if at_work else ": nothing can go on, it cures"
        people = sum(hands.hours for _, hands in at_work)
        told = f"  ({people:.0f} person-hours)" if at_work else ""
        rows.append((Cell(text=f"Day {number}{date}{note}{told}", weight="semibold", colour=INK, span=len(columns)),))
        for task, hands in at_work:
            begins = task.day == number or task.by_day[0].day == number
            last = task.by_day[-1].day == number
            rows.append(
                (
                    Cell(text=task.title if begins else f"{task.title}, goes on", weight="semibold"),
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
    return Table(columns=columns, rows=tuple(rows))


def slack_words(task: Task) -> str:
    """How long a work may wait, in words."""
    return "no" if task.slack < 0.25 else f"{task.slack:.0f} h" if task.slack >= 1.0 else "under 1 h"


def held_words(task: Task, plan: CrewPlan) -> str:
    """When what waits may go on, in words."""
    number = int(task.cured / plan.day_length + 1e-6)
    hours = task.cured - number * plan.day_length
    date = f", {date_words(plan.dates[number])}" if number < len(plan.dates) else ""
    when = "in the morning" if hours < 0.25 else f"{hours:.1f} h after the start"
    return f"goes on from day {number + 1}{date}, {when}"


def _holds(plan: CrewPlan, say: Say) -> tuple[Block, ...]:
    rows: list[Row] = []
    for task in sorted(plan.tasks, key=lambda item: item.start):
        if task.hold:
            wait = say.time(task.wait) if task.wait > 0 else "–"
            rows.append((f"{task.day}", Cell(text=task.title, weight="semibold"), task.hold, wait, "☐"))
    if not rows:
        return ()
    columns = (
        Column(head="Day", align="right"), Column(head="Work", width=3), Column(head="Goes on only when", width=4),
        Column(head="Then wait", width=1.3), Column(head="Seen"),
    )  # fmt: skip
    return (Heading(text="Hold points", level=2), Table(columns=columns, rows=tuple(rows)))


def _chain(plan: CrewPlan) -> tuple[Block, ...]:
    titles = {task.key: task.title for task in plan.tasks}
    words = {
        "start": "the job starts with it",
        "order": "it follows: {}",
        "cure": "it waits for the cure of: {}",
        "people": "its people were busy with: {}",
    }
    items = []
    for link in plan.chain:
        first = int(link.start / plan.day_length + 1e-6) + 1
        why = words[link.waited_for].format(titles.get(link.on, ""))
        items.append(f"{link.title} (day {first}, {link.end - link.start:.1f} h): {why}.")
    if not items:
        return ()
    return (
        Keep(
            blocks=(
                Heading(text="What sets the last hour", level=2),
                Paragraph(
                    text="From the first hour to the last. An hour lost here is one lost at the end; an hour gained "
                    "anywhere else gains nothing, unless it frees people.",
                    style="soft",
                ),
                Bullets(items=tuple(items), numbered=True),
            )
        ),
    )


def _doubt(plan: CrewPlan, design: Design) -> tuple[Block, ...]:
    doubt = plan.doubt
    if doubt is None:
        return ()
    say = design.build.price.currency
    largest = "; ".join(f"{name} {100 * share:.0f} %" for name, share in doubt.drivers[:4])
    rows: tuple[Row, ...] = (
        ("Working days", f"{plan.days}", f"{doubt.days_mean:.1f}", f"{doubt.days_likely}", f"{doubt.days_bad}"),
        ("With days lost to weather", "–", "–", f"{doubt.booked_likely}", f"{doubt.booked_bad}"),
        (
            "Person-hours", f"{plan.hours:.0f}", f"{doubt.hours_mean:.0f}", f"{doubt.hours_likely:.0f}",
            f"{doubt.hours_bad:.0f}",
        ),
        (
            "Labour", money(design.build.price.labour, say, digits=0), "–", money(doubt.labour_likely, say, digits=0),
            money(doubt.labour_bad, say, digits=0),
        ),
    )  # fmt: skip
    columns = (
        Column(head="", width=3), Column(head="Plan", width=1.5, align="right"),
        Column(head="Mean", width=1.5, align="right"), Column(head="Half of all cases", width=2, align="right"),
        Column(head="Eight of ten", width=2, align="right"),
    )  # fmt: skip
    return (
        Keep(
            blocks=(
                Heading(text="How sure the days are", level=2),
                Table(columns=columns, rows=rows),
                Paragraph(
                    text=f"{doubt.trials} cases drawn from the ranges of the rates and of what nobody knows for sure; "
                    f"the plan counts the likely hours. What makes the hours differ: {largest}.",
                    style="soft",
                ),
            )
        ),
    )


def _soil(plan: CrewPlan) -> tuple[Block, ...]:
    chain: EarthChain | None = plan.earth
    if chain is None:
        return ()
    columns = (
        Column(head="Link", width=1.5), Column(head="Amount", width=5), Column(head="Person-hours", align="right")
    )  # fmt: skip
    rows: list[Row] = [(link.name, link.amount, f"{link.hours:.1f}") for link in (*chain.out, *chain.back)]
    return (
        Keep(
            blocks=(
                Heading(text="The soil's whole way", level=2),
                Table(columns=columns, rows=tuple(rows)),
                Paragraph(text=chain.told, style="soft"),
            )
        ),
    )


def _machines(plan: CrewPlan, design: Design) -> tuple[Block, ...]:
    if not plan.ways:
        return ()
    say = design.build.price.currency
    columns = (
        Column(head="Way", width=3), Column(head="Days", align="right"), Column(head="Hours", align="right"),
        Column(head="Labour", width=1.3, align="right"), Column(head="Hire", width=1.3, align="right"),
        Column(head="What speaks against it", width=3.6),
    )  # fmt: skip
    rows: list[Row] = [
        (
            Cell(text=way.name + (" (this plan)" if way.used else ""), weight="semibold" if way.used else "regular"),
            f"{way.days}", f"{way.hours:.0f}", money(way.labour, say, digits=0), money(way.hire, say, digits=0),
            "; ".join((*way.obstacles, *way.unsure)) or "–",
        )
        for way in plan.ways
    ]  # fmt: skip
    blocked = [way for way in plan.ways if way.used and way.obstacles]
    notice: tuple[Block, ...] = (
        (Notice(tone="caution", title="The machine of this plan may not get in", items=blocked[0].obstacles),)
        if blocked
        else ()
    )
    return (
        Keep(
            blocks=(
                Heading(text="By hand or by machine", level=2),
                *notice,
                Table(columns=columns, rows=tuple(rows)),
                Paragraph(
                    text=f"Of the soil {100 * plan.careful_share:.0f} % lies in tolerance zones of buried lines, and "
                    f"{100 * plan.hand_share:.0f} % stays hand work with any machine: there, in root zones and "
                    "at the walls' faces. Machines that the firm does not own are hired by the working day.",
                    style="soft",
                ),
            )
        ),
    )


__all__ = ["order_of_work"]
