"""What the command line prints of price books, of actuals and of what was learnt."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from decimal import Decimal
from pathlib import Path

from rich.text import Text

from drainwright.build.book import Book, missing_shares
from drainwright.build.sizes import Odd, odd_sizes
from drainwright.build.stale import Aged, too_old
from drainwright.build.wording import money, signed_money
from drainwright.console import add_row, bullets, heading, new_console, new_table
from drainwright.job.book_file import BookDocument
from drainwright.job.firm import PriceBook
from drainwright.job.firm_book import Learning
from drainwright.learning.model import Comparison, ItemRow, Learnt, TaskRow
from drainwright.learning.resting import other_rates
from drainwright.learning.slips import without_words
from drainwright.quantities import percent

MOST = 12  # lines that are told of a long list


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def show_book(document: BookDocument, book: Book, on: datetime.date) -> None:
    """Print what a book has, what it leaves to the demonstration's, and what is old."""
    console = new_console()
    own = document.book
    heading(console, f"{own.name}, {own.dated.isoformat()}, {own.currency}")
    left = len(book.items) - len(own.items)
    lines = [f"{_count(len(own.items), 'price')} of its own; {left} more would be the demonstration's, all invented."]
    lines.append(f"{_count(len(own.rates), 'rate')} of its own of {len(book.rates)}.")
    if rates := other_rates(PriceBook(book=own)):
        more = f" and {len(rates) - MOST} more" if len(rates) > MOST else ""
        lines.append(
            f"Rates that still are invented: {', '.join(rates[:MOST])}{more} (all with --json). What share of a job's "
            "cost rests on them is in its cost sheet."
        )
    if own.invented:
        lines.append("The book says that it is invented itself.")
    elif missing := missing_shares(PriceBook(book=own)):
        them = "the demonstration's stands" if len(missing) == 1 else "the demonstration's stand"
        lines.append(f"Missing: {', '.join(missing)}; {them}, invented.")
    if own.learnt:
        last = own.learnt[-1]
        lines.append(
            f"{_count(len(own.learnt), 'job')} learnt from, last {last.job} on {last.when.isoformat()} ({last.id})."
        )
    bullets(console, lines)
    old = too_old(book, own.items, on)
    if old:
        heading(console, f"Older than allowed on {on.isoformat()}")
        bullets(console, [*map(_age, old[:MOST]), *([f"and {len(old) - MOST} more"] if len(old) > MOST else [])])
    odd = odd_sizes(book, own.items)
    if odd:
        show_odd(document, odd)
    console.print()


def show_odd(document: BookDocument, odd: Sequence[Odd]) -> None:
    """Print what is of another size than usual, each with its line."""
    console = new_console()
    heading(console, "Of another size than usual: look at the decimal point and the unit")
    lines = []
    for one in odd[:MOST]:
        spot = document.spots.get(one.where)
        place = document.name if spot is None else f"{document.name}:{spot.line}"
        lines.append(f"{place}: {one.where}: {one.figure}; usual is {one.usual}")
    bullets(console, [*lines, *([f"and {len(odd) - MOST} more"] if len(odd) > MOST else [])])


def _age(one: Aged) -> str:
    return f"{one.key}: {one.dated.isoformat()}, {one.days} days ({one.allowed} allowed)"


def show_comparison(found: Comparison, written: Path | None) -> None:
    """Print a job beside its plan."""
    console = new_console()
    heading(console, f"Job {found.job}, finished {found.finished.isoformat()}: hours")
    columns = ("planned", "taken", "times", "planned cost", "cost", "difference")
    table = new_table(("task", "left"), *((name, "right") for name in columns))
    for row in found.tasks:
        _task(table, row, found.currency)
    console.print(table)
    heading(console, "Bought, hired, paid for")
    of_items = tuple("times the cost" if name == "times" else name for name in columns)
    table = new_table(("item", "left"), *((name, "right") for name in of_items))
    for item in found.items:
        if item.bought is not None:
            _item(table, item, found.currency)
    console.print(table)
    if any(item.at_plan_price and item.bought_cost is not None for item in found.items):
        console.print(Text("* no purchase is noted: the amount at the plan's price"))
    if found.slips:
        heading(console, "Look again before anything is learnt of it")
        bullets(console, (f"{one.where}: {one.words}" for one in found.slips))
    heading(console, "In all")
    times = found.taken_hours / found.planned_hours if found.planned_hours > 0 else None
    lines = [
        f"{found.taken_hours:.1f} h for {found.planned_hours:.1f} h planned of the same tasks"
        + (f", {times:.2f} times." if times is not None else "."),
        f"{money(found.taken_cost, found.currency)} for {money(found.planned_cost, found.currency)} planned of the "
        f"same lines: {signed_money(found.difference, found.currency)}.",
        *without_words(found),
        f"{money(found.untold_cost, found.currency)} of the plan has nothing noted beside it and is in neither sum.",
    ]
    if found.days_worked is not None:
        lines.append(f"{found.days_worked} days worked for {found.planned_days} planned.")
    if found.lost_days:
        lines.append(f"{'1 day' if found.lost_days == 1 else f'{found.lost_days} days'} lost to the weather.")
    if found.free_days:
        listed = ", ".join(day.isoformat() for day in found.free_days)
        lines.append(f"Not counted as lost, since the crew's plan does not work then: {listed}.")
    bullets(console, lines)
    if found.dearest:
        heading(console, "What cost more than planned, the most first")
        bullets(
            console,
            (
                f"{_name(row)}: {signed_money(row.difference or Decimal(0), found.currency)}"
                for row in found.dearest[:5]
            ),
        )
    console.print()
    for words in found.invented_of:
        console.print(Text(words))
    if written is not None:
        console.print(Text(f"Wrote {written}"))


def _name(row: TaskRow | ItemRow) -> str:
    return row.title if isinstance(row, TaskRow) else row.description


def _task(table: object, row: TaskRow, currency: str) -> None:
    told = row.difference
    add_row(
        table,  # type: ignore[arg-type]
        row.title,
        f"{row.planned:.1f} h" if row.planned > 0 else "",
        "not noted" if row.taken is None else f"{row.taken:.1f} h",
        "" if row.ratio is None else f"{row.ratio:.2f}",
        money(row.planned_cost, currency),
        "" if row.taken_cost is None else money(row.taken_cost, currency),
        "" if told is None else signed_money(told, currency),
    )


def _item(table: object, row: ItemRow, currency: str) -> None:
    told = row.difference
    add_row(
        table,  # type: ignore[arg-type]
        row.description,
        f"{row.planned:g} {row.unit}" if row.planned > 0 else "",
        f"{row.bought:g} {row.unit}".strip(),
        "" if row.ratio is None else f"{row.ratio:.2f}",
        money(row.planned_cost, currency),
        ("" if row.bought_cost is None else money(row.bought_cost, currency)) + ("*" if row.at_plan_price else ""),
        "" if told is None else signed_money(told, currency),
    )


def show_learnt(found: Learnt, path: Path, *, dry: bool) -> None:
    """Print what a job taught, and why."""
    console = new_console()
    learning = found.learning
    lumped = {f"rates.{one.before.key}" for one in found.rates if not one.alone}
    if learning.changes:
        heading(console, f"{learning.id}: what job {learning.job} taught")
        table = new_table(
            ("entry", "left"), ("before", "right"), ("seen", "right"), ("weight", "right"), ("after", "right")
        )
        for change in learning.changes:
            apart = change.key not in lumped
            add_row(
                table, change.key, f"{change.before:.4g}", f"{change.observed:.4g}" if apart else "in a lump",
                percent(change.weight) if apart else "", f"{change.after:.4g}",
            )  # fmt: skip
        console.print(table)
        bullets(console, (f"{change.key}: {change.why}." for change in learning.changes))
    if learning.not_taken:
        heading(console, "Not taken")
        bullets(console, (f"{text}." for text in learning.not_taken))
    console.print()
    if dry:
        console.print(Text(f"Nothing was written; without --dry-run {path} would be changed."))
    elif learning.changes:
        console.print(Text(f"Wrote {path}. To take it back: drainwright book undo {path}"))
    else:
        console.print(Text(f"Nothing was taken; {path} is as it was."))


def show_undone(learning: Learning, path: Path) -> None:
    """Print what was taken back."""
    console = new_console()
    bullets(console, (f"{one.key}: {one.after:.4g} is {one.before:.4g} again" for one in learning.changes))
    console.print(Text(f"Took {learning.id} (job {learning.job}) back in {path}."))


__all__ = ["show_book", "show_comparison", "show_learnt", "show_odd", "show_undone"]
