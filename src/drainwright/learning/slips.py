"""What was noted of a job and is many times its plan, or a small part of it: mostly a point that moved."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from drainwright.build.book import Book
from drainwright.build.model import Build
from drainwright.build.wording import money, signed_money
from drainwright.job.actuals import Actuals
from drainwright.learning.model import Comparison, ItemRow, Slip, TaskRow

TIMES = 5.0  # a point that moved makes ten; what the plan itself was off may halve or double that [-]


def slips(
    build: Build, book: Book, actuals: Actuals, tasks: Sequence[TaskRow], items: Sequence[ItemRow]
) -> Iterator[Slip]:
    """Hours, amounts and prices at least ``TIMES`` times off the plan, either way.

    Parameters
    ----------
    build : Build
        For the price that each thing was planned at; one that was not planned is held against the book's.
    book : Book
        That the plan was made with.
    actuals : Actuals
        What was noted.
    tasks, items : sequences of TaskRow and ItemRow
        The same beside the plan.

    Yields
    ------
    Slip
        Hours by task, amounts by item, prices by purchase.
    """
    for row in tasks:
        if row.taken is not None and off(row.taken, planned := row.planned * row.done):
            words = f"found {row.taken:g} h, planned {planned:.3g} h: {_times(row.taken, planned)}"
            yield Slip(kind="hours", key=row.key, where=f"work, {row.key}", words=f"{row.title}: {words}")
    for item in items:
        if item.key and item.bought is not None and off(item.bought, item.planned):
            words = (
                f"found {item.bought:g}, planned {item.planned:g} ({item.unit}): {_times(item.bought, item.planned)}"
            )
            where = f"purchases, {item.key}" if not item.at_plan_price else "loads"
            yield Slip(kind="quantity", key=item.key, where=where, words=f"{item.description}: {words}")
    planned_at = {line.key: line.unit_price for line in build.price.lines}
    for number, bought in enumerate(actuals.purchases):
        if bought.item is None:
            continue
        known = book.item(bought.item)
        usual = planned_at.get(bought.item, known.price)
        if not off(bought.price, usual):
            continue
        each = f"found {_money(bought.price, book)}, planned {_money(usual, book)} per {known.unit}"
        yield Slip(
            kind="price", key=bought.item, where=f"purchases[{number}].price",
            words=f"{known.description}: {each}: {_times(bought.price, usual)}",
        )  # fmt: skip


def without_words(found: Comparison) -> tuple[str, ...]:
    """The cost beside the plan without the lines that look like a slip, in words; nothing where there are none."""
    if not found.slips:
        return ()
    sure, currency = found.without_slips, found.currency
    return (
        f"Without the lines to look at again: {money(sure.taken_cost, currency)} for "
        f"{money(sure.planned_cost, currency)} planned: {signed_money(sure.difference, currency)}.",
    )


def off(found: float | Decimal, planned: float | Decimal) -> bool:
    """Whether a figure is ``TIMES`` times another or that part of it; nothing is off from nothing."""
    times = float(found) / float(planned) if planned > 0 else 1.0
    return times > 0 and not 1.0 / TIMES < times < TIMES


def _times(found: float | Decimal, planned: float | Decimal) -> str:
    times = float(found) / float(planned)
    return f"{max(times, 1 / times):.3g} times {'more' if times > 1 else 'less'}; a slip of the point, or another unit?"


def _money(amount: Decimal, book: Book) -> str:
    return money(amount, book.currency) if amount == round(amount, 2) else f"{amount.normalize():f} {book.currency}"


__all__ = ["TIMES", "off", "slips", "without_words"]
