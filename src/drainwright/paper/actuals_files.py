"""A job beside its plan as a table: CSV, or a workbook by the ending of its name."""

from __future__ import annotations

import csv
import io
from decimal import Decimal
from typing import Any

from drainwright.errors import InputError
from drainwright.learning.model import Comparison, ItemRow, TaskRow
from drainwright.paper.sheet import clean

HEADS = (
    "kind", "key", "what", "unit", "planned", "taken", "ratio", "planned cost", "cost", "difference", "work done [-]",
    "look again",
)  # fmt: skip
LONGEST = 32_000  # letters of a cell that the format can hold, with some room [-]


def comparison_file(found: Comparison, ending: str) -> bytes:
    """The lines of a comparison as a file.

    Parameters
    ----------
    found : Comparison
        The job beside its plan.
    ending : str
        ``.csv`` or ``.xlsx``.

    Returns
    -------
    bytes
        A row for each task and item; what was not noted is empty, never zero. Equal comparisons give equal bytes.

    Raises
    ------
    InputError
        For another ending.
    """
    if ending == ".csv":
        return _csv(found)
    if ending == ".xlsx":
        return _workbook(found)
    raise InputError(f"ending = {ending!r}: expected .csv or .xlsx")


def _rows(found: Comparison) -> list[tuple[Any, ...]]:
    rows: list[tuple[Any, ...]] = [(*_task(row), _look(found, row, ("hours",))) for row in found.tasks]
    return rows + [(*_item(row), _look(found, row, ("quantity", "price"))) for row in found.items]


def _look(found: Comparison, row: TaskRow | ItemRow, kinds: tuple[str, ...]) -> str | None:
    """What of a line looks like a slip of the pen."""
    return "; ".join(one.words for one in found.slips if one.kind in kinds and one.key == row.key) or None


def _task(row: TaskRow) -> tuple[Any, ...]:
    return (
        "hours", row.key, clean(row.title), "h", row.planned, row.taken, row.ratio, row.planned_cost, row.taken_cost,
        row.difference, row.done if row.taken is not None else None,
    )  # fmt: skip


def _item(row: ItemRow) -> tuple[Any, ...]:
    return (
        "bought", row.key, clean(row.description), row.unit, row.planned, row.bought, row.ratio, row.planned_cost,
        row.bought_cost, row.difference, None,
    )  # fmt: skip


def _csv(found: Comparison) -> bytes:
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(HEADS)
    writer.writerows([_cell(value) for value in row] for row in _rows(found))
    return stream.getvalue().encode()


def _cell(value: object) -> str:
    """A cell; one that a spreadsheet would take for a formula begins with a space."""
    if value is None:
        return ""
    if isinstance(value, float):
        return f"{value:.6g}"
    text = str(value)
    return f" {text}" if isinstance(value, str) and text[:1] in ("=", "+", "-", "@") else text


def _workbook(found: Comparison) -> bytes:
    import datetime

    import xlsxwriter

    target = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    with xlsxwriter.Workbook(target, options) as book:
        book.set_properties({"created": datetime.datetime.combine(found.finished, datetime.time())})
        bold, money = book.add_format({"bold": True, "text_wrap": True}), book.add_format({"num_format": "#,##0.00"})
        share = book.add_format({"num_format": "0.00"})
        sheet = book.add_worksheet("Plan and actual")
        for column, (head, width) in enumerate(zip(HEADS, (8, 26, 44, 14, 10, 10, 8, 13, 13, 13, 10, 40), strict=True)):
            sheet.set_column(column, column, width)
            sheet.write_string(0, column, head, bold)
        sheet.freeze_panes(1, 0)
        for number, row in enumerate(_rows(found), start=1):
            for column, value in enumerate(row):
                if isinstance(value, Decimal):
                    sheet.write_number(number, column, float(value), money)
                elif isinstance(value, float):
                    sheet.write_number(number, column, value, share)
                elif value is not None:
                    sheet.write_string(number, column, value[:LONGEST])
    return target.getvalue()


__all__ = ["HEADS", "comparison_file"]
