"""Prices to and from a table: a row for each item, to be filled in by a supplier or in a spreadsheet."""

from __future__ import annotations

import csv
import datetime
import io
import re
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from drainwright.errors import JobError, Problem
from drainwright.job.book_file import BookDocument
from drainwright.job.book_text import Edit, Value
from drainwright.job.csv_rows import csv_rows
from drainwright.job.currency import DOLLARS, HINT
from drainwright.job.demonstration import demonstration_data
from drainwright.job.firm_book import FirmBook, unknown_key
from drainwright.job.loading import MOST_PROBLEMS, refusal, short

COLUMNS = ("key", "description", "unit", "price", "dated", "source")
INVENTED = "invented"  # the source of a price that is the demonstration's
WHERE = "prices"
MOST_ROWS = 5000
_POWER = re.compile(r"(?<=[a-z])[23]$")  # ft2, yd3, as they are typed
_PRICE = re.compile(r"\$?(?P<number>[0-9]{1,8}(?:\.[0-9]{1,4})?)")


def prices_csv(book: FirmBook) -> str:
    """Every item with its price as CSV.

    Parameters
    ----------
    book : FirmBook
        The firm's.

    Returns
    -------
    str
        Columns ``COLUMNS``; items that the book does not price have the demonstration's price and ``invented`` as
        their source. A cell that a spreadsheet would take for a formula begins with a space.
    """
    known = demonstration_data()["items"]
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(COLUMNS)
    for key in {**known, **book.items}:
        entry, base = book.items.get(key), known.get(key, {})
        described = (entry.description if entry else None) or base.get("description", "")
        unit = base.get("unit") or (entry.unit if entry else "")
        row: list[str] = [key, described, unit or ""]
        if entry is None:
            row += [base["price"], "", INVENTED]
        else:
            source = INVENTED if book.invented else entry.source
            row += [f"{entry.price:f}", (entry.dated or book.dated).isoformat(), source]
        writer.writerow([_safe(cell) for cell in row])
    return stream.getvalue()


def _safe(cell: str) -> str:
    return f" {cell}" if cell[:1] in "=+-@" and cell else cell


def price_edits(
    document: BookDocument, text: str, name: str = "prices.csv", *, on: datetime.date | None = None, source: str = ""
) -> tuple[Edit, ...]:
    """What a table of prices changes in a book.

    Parameters
    ----------
    document : BookDocument
        The book.
    text : str
        CSV with headings: ``key``, ``price`` and ``dated``, and, in any order, ``unit``, ``source``, ``description``
        and ``category`` (the last two for items that are new). Rows with the source ``invented``, and rows that say
        what the book says, change nothing.
    name : str
        What the errors call the file.
    on, source : date and str, optional
        Date and source of every price that was changed and whose own cells were not: left blank, or as exported.

    Returns
    -------
    tuple of Edit
        In the order of the rows.

    Raises
    ------
    JobError
        Lists every fault that was found, with its line.
    """
    rows = csv_rows(text, name, WHERE)
    line, heads = next(rows, (1, []))
    heads = [head.lower() for head in heads]
    allowed = {*COLUMNS, "category"}
    problems = [
        Problem(where=WHERE, found=f"the heading {short(head)}", expected=f"one of: {', '.join(sorted(allowed))}",
                file=name, line=line)
        for head in heads
        if head not in allowed
    ]  # fmt: skip
    if missing := [head for head in ("key", "price", "dated") if head not in heads]:
        hint = "save it with commas between the cells" if len(heads) == 1 and ";" in heads[0] else ""
        raise refusal(
            f"headings without {', '.join(missing)}", "key, price and dated", hint, where=WHERE, file=name
        ) from None
    if len(set(heads)) < len(heads):
        problems.append(
            Problem(where=WHERE, found="a heading twice", expected="each heading once", file=name, line=line)
        )
    edits: dict[str, Edit] = {}
    for count, (line, cells) in enumerate(rows):
        if count >= MOST_ROWS:
            raise refusal(f"more than {MOST_ROWS:,} rows", "a table of prices", where=WHERE, file=name)
        if len(cells) > len(heads) and any(cells[len(heads) :]):
            found = f"{len(cells)} cells"
            problems.append(
                Problem(where=WHERE, found=found, expected=f"{len(heads)}, as the headings", file=name, line=line)
            )
            continue
        row = dict(zip(heads, [*cells, *[""] * len(heads)], strict=False))
        if "unit" in row:
            row["unit"] = _POWER.sub(lambda found: "²" if found[0] == "2" else "³", row["unit"])
        found_here, fields = _row(document.book, _filled(document.book, row, on, source))
        if row["key"] in edits:
            found_here.append(Problem(where=row["key"], found=f"{row['key']!r} again", expected="each item once"))
        problems += [_at(problem, name, line) for problem in found_here]
        if not found_here and fields:
            edits[row["key"]] = Edit("items", row["key"], fields)
    if problems:
        raise JobError(tuple(sorted(problems, key=lambda problem: problem.line or 0)[:MOST_PROBLEMS]))
    return tuple(edits.values())


def _at(problem: Problem, name: str, line: int) -> Problem:
    where = f"{WHERE}.{problem.where}" if problem.where else WHERE
    return Problem(
        where=where, found=problem.found, expected=problem.expected, hint=problem.hint, file=name, line=line, column=1
    )


def _price_before(book: FirmBook, key: str) -> Decimal | None:
    """The price that an item goes out with."""
    known: dict[str, Any] = demonstration_data()["items"]
    return book.items[key].price if key in book.items else Decimal(known[key]["price"]) if key in known else None


def _filled(book: FirmBook, row: Mapping[str, str], on: datetime.date | None, source: str) -> Mapping[str, str]:
    """A row whose price was changed, with the date and source of the whole table where it has none of its own."""
    match = _PRICE.fullmatch(row["price"])
    if match is None or Decimal(match["number"]) == _price_before(book, row["key"]):
        return row
    entry = book.items.get(row["key"])
    dates = {"", *([(entry.dated or book.dated).isoformat()] if entry else [])}
    sources = {"", INVENTED, *([entry.source.lower()] if entry else [])}
    filled = dict(row)
    if on is not None and row["dated"] in dates:
        filled["dated"] = on.isoformat()
    if source and row.get("source", "").lower() in sources:
        filled["source"] = source
    return filled


def _row(book: FirmBook, row: Mapping[str, str]) -> tuple[list[Problem], dict[str, Value]]:
    """What is wrong with a row, or the fields that it changes; none where it says what the book says."""
    key = row["key"]
    known: dict[str, Any] = demonstration_data()["items"]
    entry = book.items.get(key)
    problems: list[Problem] = []
    if row.get("source", "").lower() == INVENTED:
        before = _price_before(book, key)
        match = _PRICE.fullmatch(row["price"])
        if before is None or match is None or Decimal(match["number"]) != before:
            said = f"the price {short(row['price'])} with the source 'invented'"
            hint = "--source gives it for all changed rows"
            problems.append(
                Problem(where=key, found=said, expected="whose price it is, in place of 'invented'", hint=hint)
            )
        return problems, {}
    new: dict[str, Value] = {}
    unit = known[key]["unit"] if key in known else entry.unit if entry else None
    if unit is None:
        new = {name: row.get(name, "") for name in ("description", "category", "unit")}
        if not key or not all(new.values()):
            wanted = "an item of the price book, or a new one with description, category and unit"
            problems.append(unknown_key(key, key, {**known, **book.items}, wanted))
        elif new["category"] not in ("material", "haul", "hire", "permits"):
            problems.append(
                Problem(where=key, found=f"the category {short(new['category'])}",
                        expected="material, haul, hire or permits")
            )  # fmt: skip
    elif row.get("unit") and row["unit"] != unit:
        problems.append(
            Problem(where=key, found=f"the unit {short(row['unit'])}", expected=repr(unit),
                    hint="give the price for that unit")
        )  # fmt: skip
    match = _PRICE.fullmatch(row["price"])
    if match is None or Decimal(match["number"]) > 10_000_000:
        hint = "a point, not a comma, and no sign but $" if row["price"] else ""
        problems.append(
            Problem(where=key, found=f"the price {short(row['price'])}", expected="an amount such as 12.50", hint=hint)
        )
        return problems, {}
    if row["price"].startswith("$") and book.currency not in DOLLARS:
        said = f"the price {short(row['price'])}"
        return [Problem(where=key, found=said, expected=f"an amount in {book.currency}", hint=HINT)], {}
    price = Decimal(match["number"])
    dated = _day(row["dated"])
    if dated is None:
        problems.append(
            Problem(
                where=key,
                found=f"the date {short(row['dated'])}",
                expected="a date written like 2026-03-02",
                hint="" if row["dated"] else "--on gives it for all changed rows",
            )
        )
        return problems, {}
    if len(row.get("source", "")) > 200 or len(row.get("description", "")) > 200:
        problems.append(Problem(where=key, found="a text that is too long", expected="at most 200 characters"))
    source = row.get("source", "")
    if entry is not None and (price, dated) == (entry.price, entry.dated or book.dated) and source == entry.source:
        return problems, {}
    told: dict[str, Value] = {"price": price, "dated": dated}
    return problems, {**new, **told, **({"source": source} if source else {})}


def _day(text: str) -> datetime.date | None:
    try:
        day = datetime.date.fromisoformat(text)
    except ValueError:
        return None
    return day if 1900 <= day.year <= 2100 else None


__all__ = ["COLUMNS", "price_edits", "prices_csv"]
