"""What a job took beside its plan, and what that teaches the price book."""

from __future__ import annotations

import datetime
from dataclasses import dataclass, replace
from functools import partial

from drainwright.build.book import book_for
from drainwright.build.wording import money, signed_money
from drainwright.design import Design
from drainwright.errors import JobError, Problem
from drainwright.job.actuals import read_actuals_text
from drainwright.job.book_file import read_book_text
from drainwright.job.firm_book import Change
from drainwright.learning.compare import compared
from drainwright.learning.hangs_on import ALL, kinds_of
from drainwright.learning.learn import learn
from drainwright.learning.model import Comparison, ItemRow, TaskRow
from drainwright.learning.slips import without_words
from drainwright.office.answers.asking import View
from drainwright.paper.actuals_files import comparison_file

ACTUALS = "actuals.yaml"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One task or thing: what was planned and what it took."""

    what: str
    planned: str
    taken: str  # "not noted" where nothing was
    times: str
    planned_cost: str = ""  # of those who may read prices
    cost: str = ""
    difference: str = ""
    over: bool = False  # it cost more, or took longer


@dataclass(frozen=True, slots=True, kw_only=True)
class Beside:
    """What a job took beside its plan."""

    tasks: tuple[tuple[str, str], ...]  # that hours may be noted for: key, words
    items: tuple[tuple[str, str], ...]  # of the price book: key, words
    hours: tuple[Line, ...] = ()
    bought: tuple[Line, ...] = ()
    says: tuple[str, ...] = ()
    look: tuple[str, ...] = ()  # figures that look like a slip of the pen
    problems: tuple[Problem, ...] = ()  # why there is no comparison
    invented: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposed:
    """What a job would teach the price book."""

    changes: tuple[Change, ...] = ()
    not_taken: tuple[tuple[str, str], ...] = ()  # task or item, why
    text: str = ""  # the book after it
    learning: str = ""  # its id
    problems: tuple[Problem, ...] = ()


def beside(text: str, *, prices: bool) -> View[Beside]:
    """The page of what a job took; ``text``: the actuals, empty where nothing is noted yet."""
    return partial(_beside, text=text, prices=prices)


def beside_file(text: str, ending: str) -> View[bytes]:
    """The comparison as a file, ``.csv`` or ``.xlsx``."""
    return partial(_file, text=text, ending=ending)


def proposed(book: str, text: str, when: datetime.date, take: tuple[str, ...]) -> View[Proposed]:
    """What the price book would learn; nothing is written."""
    return partial(_proposed, book=book, text=text, when=when, take=take)


def _beside(design: Design, text: str, prices: bool) -> Beside:
    book = book_for(design.job.price_book)
    items = {line.key: line.description for line in design.build.price.lines if line.category != "labour"}
    items |= {key: item.description for key, item in book.items.items() if key not in items}
    shown = Beside(tasks=tuple(_tasks(design)), items=tuple((key, f"{key}: {words}") for key, words in items.items()))
    if not text:
        return shown
    try:
        found = compared(design.job, design.build, book, read_actuals_text(text, ACTUALS))
    except JobError as error:
        return replace(shown, problems=error.problems)
    return replace(
        shown,
        hours=tuple(_hours(row, found.currency, prices) for row in found.tasks),
        bought=tuple(_bought(row, found.currency) for row in found.items if row.bought is not None) if prices else (),
        says=tuple(_says(found, prices)),
        look=tuple(one.words for one in found.slips if prices or one.kind == "hours"),
        invented=found.invented,
    )


def _tasks(design: Design) -> list[tuple[str, str]]:
    """The works of the plan by their keys; works of one kind also together."""
    told = []
    for kind, tasks in kinds_of(design.build.plan.tasks).items():
        told += [(task.key, f"{task.title}, {task.hours:.1f} h planned") for task in tasks]
        if len(tasks) > 1:
            told.append(
                (kind + ALL, f"{kind}: all {len(tasks)} works, {sum(task.hours for task in tasks):.1f} h planned")
            )
    return told


def _hours(row: TaskRow, currency: str, prices: bool) -> Line:
    line = Line(
        what=row.title, planned=f"{row.planned:.1f} h" if row.planned > 0 else "", over=(row.ratio or 0.0) > 1.0,
        taken="not noted" if row.taken is None else f"{row.taken:.1f} h",
        times="" if row.ratio is None else f"{row.ratio:.2f}",
    )  # fmt: skip
    return _priced(line, row, row.taken_cost is not None, currency) if prices else line


def _bought(row: ItemRow, currency: str) -> Line:
    line = Line(
        what=row.description, planned=f"{row.planned:g} {row.unit}" if row.planned > 0 else "",
        taken=f"{row.bought:g} {row.unit}".strip(), times="" if row.ratio is None else f"{row.ratio:.2f}",
        over=row.difference is not None and row.difference > 0,
    )  # fmt: skip
    return _priced(line, row, True, currency)


def _priced(line: Line, row: TaskRow | ItemRow, told: bool, currency: str) -> Line:
    cost = row.taken_cost if isinstance(row, TaskRow) else row.bought_cost
    difference = row.difference
    return replace(
        line,
        planned_cost=money(row.planned_cost, currency),
        cost=money(cost, currency) if told and cost is not None else "",
        difference="" if difference is None else signed_money(difference, currency),
    )


def _says(found: Comparison, prices: bool) -> list[str]:
    times = found.taken_hours / found.planned_hours if found.planned_hours > 0 else None
    said = [
        f"{found.taken_hours:.1f} h for {found.planned_hours:.1f} h planned of the same tasks"
        + (f", {times:.2f} times." if times is not None else ".")
    ]
    if prices:
        said += [
            f"{money(found.taken_cost, found.currency)} for {money(found.planned_cost, found.currency)} planned of the "
            f"same lines: {signed_money(found.difference, found.currency)}.",
            *without_words(found),
            f"{money(found.untold_cost, found.currency)} of the plan has nothing noted beside it: in neither sum.",
        ]
    if found.days_worked is not None:
        said.append(f"{found.days_worked} days worked for {found.planned_days} planned.")
    if found.lost_days:
        said.append(f"{found.lost_days} day{'' if found.lost_days == 1 else 's'} lost to the weather.")
    if found.free_days:
        listed = ", ".join(day.isoformat() for day in found.free_days)
        said.append(f"Not counted as lost, since the crew's plan does not work then: {listed}.")
    return said


def _file(design: Design, text: str, ending: str) -> bytes:
    book = book_for(design.job.price_book)
    return comparison_file(compared(design.job, design.build, book, read_actuals_text(text, ACTUALS)), ending)


def _proposed(design: Design, book: str, text: str, when: datetime.date, take: tuple[str, ...]) -> Proposed:
    try:
        found = learn(read_book_text(book, "prices.yaml"), design.job, read_actuals_text(text, ACTUALS), when, take)
    except JobError as error:
        return Proposed(problems=error.problems)
    learning = found.learning
    far = tuple((one.partition(":")[0], one) for one in learning.not_taken)
    return Proposed(changes=learning.changes, not_taken=far, text=found.document.text, learning=learning.id)


__all__ = ["Beside", "Line", "Proposed", "beside", "beside_file", "proposed"]
