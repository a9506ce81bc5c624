"""A job's actuals beside its plan, its takeoff and its price, line by line."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal

from drainwright.build.book import Book, missing_shares
from drainwright.build.model import Build, PriceLine, Task
from drainwright.build.price import cents
from drainwright.build.working_days import working_days
from drainwright.errors import Problem
from drainwright.job.actuals import OTHER, Actuals, ActualsDocument, Purchase
from drainwright.job.firm_book import unknown_key
from drainwright.job.model import Job
from drainwright.learning.hangs_on import ALL, FIRST, kinds_of
from drainwright.learning.model import Comparison, ItemRow, TaskRow
from drainwright.learning.slips import slips

COUNTED = {2: "both", 3: "all three", 4: "all four"}
BY_LOADS = ("haul.load", "dump.load")  # things whose amount the count of loads tells
BESIDE = ("labour.travel", "labour.unworked")  # what is paid beside the work
ZERO = Decimal("0.00")
MOST_INVENTED = 5  # prices that are named


def compared(job: Job, build: Build, book: Book, document: ActualsDocument) -> Comparison:
    """What a job took beside what was planned.

    Parameters
    ----------
    job : Job
        For its number, the day of its visit and its crew's week.
    build : Build
        Plan, takeoff and price.
    book : Book
        That the price was made with.
    document : ActualsDocument
        What was noted.

    Returns
    -------
    Comparison
        Amounts in cents; every sum is the exact sum of its lines. What was not noted is not counted as nothing.

    Raises
    ------
    JobError
        If the actuals are another job's, lie before its visit, or name a task that the plan does not have, or an
        item that the book does not: all at once, with their lines.
    """
    actuals = document.actuals
    problems = tuple(_problems(job, build, book, actuals))
    if problems:
        raise document.refused(problems)
    days = {work.day for work in actuals.work if work.day is not None}
    worked = working_days(job.crew)
    tasks, items = tuple(_tasks(build, book, actuals)), tuple(_items(build, book, actuals))
    wet = sorted({day.date for day in actuals.weather_days})
    return Comparison(
        job=actuals.job,
        finished=actuals.finished,
        currency=book.currency,
        tasks=tasks,
        items=items,
        lost_days=sum(worked.works_on(day) for day in wet),
        free_days=tuple(day for day in wet if not worked.works_on(day)),
        planned_days=build.plan.days,
        days_worked=len(days) if days and all(work.day for work in actuals.work) else None,
        invented=actuals.invented or build.price.invented,
        invented_of=tuple(_invented(job, build, book, actuals)),
        beside=sum((line.amount for line in build.price.lines if line.key in BESIDE), ZERO),
        slips=tuple(slips(build, book, actuals, tasks, items)),
    )


def _invented(job: Job, build: Build, book: Book, actuals: Actuals) -> Iterator[str]:
    """What of it is invented, and nothing else: the actuals, the wage and shares, the prices that the plan uses."""
    if actuals.invented:
        yield "The actuals say that they are invented: an example."
    if book.invented_shares:
        told = missing_shares(job.price_book)
        names = ", ".join(told) if told else "the wage and the shares"
        yield f"Invented: {names}."
    used = {line.key: line for line in build.price.lines if line.key in book.items and book.items[line.key].invented}
    if used:
        most = sorted(used.values(), key=lambda line: -line.amount)
        first = "; ".join(f"{line.description} ({line.key})" for line in most[:MOST_INVENTED])
        more = f"; and {len(most) - MOST_INVENTED} more" if len(most) > MOST_INVENTED else ""
        count = f"{len(most)} prices of the plan are" if len(most) > 1 else "One price of the plan is"
        yield f"{count} invented, the dearest first: {first}{more}."


def _problems(job: Job, build: Build, book: Book, actuals: Actuals) -> Iterator[Problem]:
    if job.number and actuals.job != job.number:
        yield Problem(
            where="job", found=repr(actuals.job), expected=repr(job.number), hint="these are another job's actuals"
        )
    if job.date is not None:
        dated = [(f"work[{number}].day", work.day) for number, work in enumerate(actuals.work)]
        dated += [(f"weather_days[{number}].date", day.date) for number, day in enumerate(actuals.weather_days)]
        for where, day in (*dated, ("finished", actuals.finished)):
            if day is not None and day < job.date:
                visit = job.date.isoformat()
                yield Problem(where=where, found=day.isoformat(), expected=f"a day from {visit}, that of the visit, on")
    yield from _task_problems(build, actuals)
    for number, bought in enumerate(actuals.purchases):
        if bought.item is not None and bought.item not in book.items:
            expected = "an item of the price book, or 'what' in place of 'item'"
            yield unknown_key(f"purchases[{number}].item", bought.item, book.items, expected)
    if actuals.loads and any(bought.item in BY_LOADS for bought in actuals.purchases):
        for number, bought in enumerate(actuals.purchases):
            if bought.item in BY_LOADS and bought.quantity != actuals.loads:
                yield Problem(
                    where=f"purchases[{number}].quantity",
                    found=f"{bought.quantity:g} loads",
                    expected=f"{actuals.loads}, as 'loads' says, or 'loads' left out",
                )


def _task_problems(build: Build, actuals: Actuals) -> Iterator[Problem]:
    """Tasks that the plan does not have, and those of which it has several works and one cannot tell which is meant."""
    kinds = {kind: [part.key for part in parts] for kind, parts in kinds_of(build.plan.tasks).items()}
    several = {kind: keys for kind, keys in kinds.items() if len(keys) > 1}
    known = [key for keys in kinds.values() for key in keys]
    sums = [kind + ALL for kind in several]
    noted = {work.task for work in actuals.work}
    for number, work in enumerate(actuals.work):
        where, key = f"work[{number}].task", work.task
        if key == OTHER:
            continue
        if key not in (*known, *sums, *(kind + FIRST for kind in several)):
            listed = ", ".join((*known, *sums))
            yield unknown_key(where, key, (*known, *sums), f"a task of the plan ({listed}), or '{OTHER}' with 'what'")
            continue
        kind = next((one for one in several if key in (one + ALL, one + FIRST, *several[one])), None)
        if kind is None:
            continue
        listed = ", ".join(several[kind])
        parts = noted & {*several[kind], kind + FIRST}
        if key == kind + ALL and parts:
            yield Problem(
                where=where, found=f"{key!r} beside {', '.join(sorted(parts))}", expected="the sum or its parts"
            )
        elif key == kind and parts == {kind}:
            yield Problem(
                where=where,
                found=f"{key!r}, which the plan has as {len(several[kind])} works ({listed})",
                expected=f"'{kind}{ALL}' for the hours of all of them, the hours of each, or '{kind}{FIRST}' for those "
                "of the first alone",
            )


def _tasks(build: Build, book: Book, actuals: Actuals) -> Iterator[TaskRow]:
    hour = cents(book.wage * (1 + book.burden))
    for key, tasks in _held(build, actuals).items():
        cost = sum((_planned(_labour(build, task)) for task in tasks), ZERO)
        row = TaskRow(
            key=key, title=_titled(tasks), planned=sum(task.hours for task in tasks), taken=None, done=1.0,
            done_told=False, planned_cost=cost, taken_cost=None,
        )  # fmt: skip
        noted = [work for work in actuals.work if work.task in (key, key + FIRST)]
        if not noted:
            yield row
            continue
        hours = [Decimal(str(work.hours)) for work in noted]
        done = next((work.done for work in noted if work.done is not None), None)
        if done is None and key in ("haul", "haul" + ALL) and actuals.loads and len(tasks) == _works_of(build, "haul"):
            loads = sum(line.quantity for line in build.takeoff.lines if line.key == BY_LOADS[0])
            done = actuals.loads / loads if loads > 0 else None
        yield replace(
            row,
            taken=float(sum(hours)),
            done=1.0 if done is None else done,
            done_told=done is not None,
            taken_cost=cents(sum(hours, ZERO) * hour),
        )
    for work in actuals.work:
        if work.task == OTHER:
            yield TaskRow(
                key=OTHER, title=work.what, planned=0.0, taken=work.hours, done=1.0, done_told=False,
                planned_cost=ZERO, taken_cost=cents(Decimal(str(work.hours)) * hour),
            )  # fmt: skip


def _held(build: Build, actuals: Actuals) -> dict[str, list[Task]]:
    """The works that one line of hours is held against: those of a kind together, or each where parts were noted."""
    noted = {work.task for work in actuals.work}
    held: dict[str, list[Task]] = {}
    for kind, tasks in kinds_of(build.plan.tasks).items():
        if len(tasks) > 1 and not noted & {*(task.key for task in tasks), kind + FIRST}:
            held[kind + ALL] = tasks
        else:
            held |= {task.key: [task] for task in tasks}
    return held


def _titled(tasks: Sequence[Task]) -> str:
    """A work's own title; of several of a kind what they share, and how many they are."""
    if len(tasks) == 1:
        return tasks[0].title
    shared = re.sub(r"( \([^()]*\))+$", "", tasks[0].title)
    return f"{shared}, {COUNTED.get(len(tasks), f'all {len(tasks)}')} works"


def _works_of(build: Build, kind: str) -> int:
    return len(kinds_of(build.plan.tasks).get(kind, ()))


def _labour(build: Build, task: Task) -> Iterator[PriceLine]:
    return (line for line in build.price.lines if line.key == f"labour.{task.key}")


def _items(build: Build, book: Book, actuals: Actuals) -> Iterator[ItemRow]:
    lines: dict[str, list[PriceLine]] = {}
    for line in build.price.lines:
        if line.category != "labour":
            lines.setdefault(line.key, []).append(line)
    bought: dict[str, list[Purchase]] = {}
    for one in actuals.purchases:
        if one.item is not None:
            bought.setdefault(one.item, []).append(one)
    for key in dict.fromkeys((*lines, *bought)):
        planned = lines.get(key, [])
        item = book.item(key)
        noted = bought.get(key)
        row = ItemRow(
            key=key,
            description=planned[0].description if planned else item.description,
            unit=item.unit,
            planned=float(sum(Decimal(str(line.quantity)) for line in planned)),
            bought=None,
            planned_cost=_planned(planned),
            bought_cost=None,
        )
        if noted is not None:
            yield replace(row, bought=_amount(noted), bought_cost=_paid(noted))
        elif key in BY_LOADS and actuals.loads is not None:
            each = planned[0].unit_price if planned else item.price
            yield replace(row, bought=float(actuals.loads), bought_cost=cents(actuals.loads * each), at_plan_price=True)
        else:
            yield row
    for one in actuals.purchases:
        if one.item is None:
            yield ItemRow(
                key="", description=one.what, unit="", planned=0.0, bought=one.quantity, planned_cost=ZERO,
                bought_cost=_paid([one]),
            )  # fmt: skip


def _planned(lines: Iterator[PriceLine] | Sequence[PriceLine]) -> Decimal:
    return sum((line.amount for line in lines), ZERO)


def _amount(noted: Sequence[Purchase]) -> float:
    return float(sum(Decimal(str(one.quantity)) for one in noted))


def _paid(noted: Sequence[Purchase]) -> Decimal:
    return sum((cents(Decimal(str(one.quantity)) * one.price) for one in noted), ZERO)


__all__ = ["compared"]
