"""The order: what to buy by category, the pick list by day, the holes, as a workbook."""

from __future__ import annotations

import datetime
import io
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from drainwright.build.model import PriceLine, TakeoffLine
from drainwright.build.shown import sold
from drainwright.design import Design
from drainwright.paper.documents.crew_basin import clock_face
from drainwright.paper.documents.say import Say, site_of
from drainwright.paper.documents.typeset import NO_DATE
from drainwright.paper.order_lists import Head, Line, listed
from drainwright.paper.pick import noted, pick_list
from drainwright.paper.sheet import clean
from drainwright.system.catalogue import find_pipe
from drainwright.system.trade import pipe_words

LONGEST = 32_000  # letters of a cell that the format can hold, with some room [-]
MONEY = "#,##0.00"
FIRST = 5  # the row of the table's head, counted from 0


def order_workbook(design: Design) -> bytes:
    """The order as XLSX.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    bytes
        Sheets ``Order``, ``Pick list``, ``Holes``, and those of ``order_lists.listed``. Text is never taken for a
        formula; line totals and sums are formulas, with their values beside them. Equal designs give equal bytes.
    """
    import xlsxwriter

    day = design.job.date or NO_DATE
    target = io.BytesIO()
    options = {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False, "strings_to_numbers": False}
    with xlsxwriter.Workbook(target, options) as book:
        book.set_properties(
            {
                "title": text(f"Order: {design.job.title}"), "author": text(design.job.firm.name),
                "created": datetime.datetime.combine(day, datetime.time()),
            }
        )  # fmt: skip
        looks = {
            name: book.add_format(_in_currency(look, design.build.price.currency)) for name, look in _LOOKS.items()
        }
        _order(book.add_worksheet("Order"), design, looks)
        _pick(book.add_worksheet("Pick list"), design, looks)
        _holes(book.add_worksheet("Holes"), design, looks)
        for name, note, heads, rows in listed(design):
            _listed(book.add_worksheet(name), design, looks, name, note, heads, rows)
    return target.getvalue()


_LOOKS: dict[str, dict[str, Any]] = {
    "title": {"bold": True, "font_size": 14, "font_color": "#0e3f5f"},
    "soft": {"font_color": "#5d6a72"},
    "warning": {"bold": True, "font_color": "#8f1d14"},
    "head": {
        "bold": True,
        "bg_color": "#eef2f4",
        "bottom": 2,
        "bottom_color": "#0e3f5f",
        "text_wrap": True,
        "valign": "vcenter",
    },
    "group": {"bold": True, "bg_color": "#f6f8f9", "bottom": 1, "bottom_color": "#c9d0d4"},
    "text": {"text_wrap": True, "valign": "top", "bottom": 4, "bottom_color": "#c9d0d4"},
    "number": {"num_format": "General", "valign": "top", "bottom": 4, "bottom_color": "#c9d0d4"},
    "share": {"num_format": "0 %", "valign": "top", "bottom": 4, "bottom_color": "#c9d0d4"},
    "money": {"num_format": MONEY, "valign": "top", "bottom": 4, "bottom_color": "#c9d0d4"},
    "sum": {"num_format": MONEY, "bold": True, "top": 1},
    "sum text": {"bold": True, "top": 1},
    "box": {"border": 1, "border_color": "#5d6a72"},
}


def _in_currency(look: dict[str, Any], currency: str) -> dict[str, Any]:
    """The look with money in its currency: the sign before dollars, the code after any other."""
    if look.get("num_format") != MONEY:
        return look
    return {**look, "num_format": f'"$"{MONEY}' if currency == "USD" else f'{MONEY} "{currency}"'}


def text(value: str) -> str:
    """A text that a cell can hold."""
    return clean(value)[:LONGEST]


def _head(sheet: Any, design: Design, looks: dict[str, Any], title: str, note: str) -> None:
    job = design.job
    sheet.write_string(0, 0, text(title), looks["title"])
    where = " · ".join(part for part in (job.number, job.title, site_of(job)) if part.strip())
    sheet.write_string(1, 0, text(where), looks["soft"])
    sheet.write_string(2, 0, text(note), looks["soft"])
    if job.demonstration:
        sheet.write_string(3, 0, "Invented demonstration: do not order from this sheet.", looks["warning"])
    elif not design.sound:
        sheet.write_string(3, 0, "Not ready to build: checks fail. Order nothing yet.", looks["warning"])


def _columns(sheet: Any, heads: Sequence[tuple[str, float]], looks: dict[str, Any]) -> None:
    for column, (head, width) in enumerate(heads):
        sheet.set_column(column, column, width)
        sheet.write_string(FIRST, column, head, looks["head"])
    sheet.set_row(FIRST, 32)
    sheet.freeze_panes(FIRST + 1, 0)
    sheet.repeat_rows(FIRST)
    sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.set_margins(0.5, 0.5, 0.6, 0.7)


def _paper(sheet: Any, design: Design) -> None:
    sheet.set_paper(1 if design.job.units == "US" else 9)
    name = text(design.job.number or design.job.title)[:60].replace("&", "&&")
    sheet.set_footer(f"&L{name}&RPage &P of &N")


def _prices(design: Design) -> dict[TakeoffLine, PriceLine]:
    """The price of each line of the takeoff; two lines may share a key, as pumps of one label do."""
    bought = [line for line in design.build.price.lines if line.category != "labour"]
    return dict(zip(design.build.takeoff.lines, bought, strict=True))


def _order(sheet: Any, design: Design, looks: dict[str, Any]) -> None:
    price = design.build.price
    note = f"Waste and whole packs are in “to buy”. Prices from {price.book}, before tax."
    _head(sheet, design, looks, "Order", note)
    heads = (
        ("Item", 44), ("For", 24), ("Counted (in unit)", 11), ("Waste (%)", 8), ("To buy (in unit)", 10), ("Unit", 19),
        (f"Unit price ({price.currency})", 12), (f"Amount ({price.currency})", 13), ("Rests on", 11), ("Note", 34),
        ("Get", 7),
    )  # fmt: skip
    _columns(sheet, heads, looks)
    prices, units = _prices(design), design.job.units
    row = FIRST + 1
    sums: list[tuple[int, Decimal]] = []
    lines = design.build.takeoff.lines
    for category in dict.fromkeys(line.category for line in lines):
        sheet.merge_range(row, 0, row, len(heads) - 1, category.capitalize(), looks["group"])
        row += 1
        first, total = row, Decimal(0)
        for line in (line for line in lines if line.category == category):
            quantity, unit = sold(line, units)
            money = prices[line].amount
            total += money
            for column, value in (
                (0, line.description),
                (1, line.where),
                (5, unit),
                (8, line.basis.value),
                (9, noted(design, line)),
                (10, line.source),
            ):
                sheet.write_string(row, column, text(value), looks["text"])
            sheet.write_number(row, 2, round(line.net, 2), looks["number"])
            sheet.write_number(row, 3, line.waste, looks["share"])
            sheet.write_number(row, 4, quantity, looks["number"])
            sheet.write_number(row, 6, float(prices[line].unit_price), looks["money"])
            sheet.write_formula(row, 7, f"=ROUND(E{row + 1}*G{row + 1},2)", looks["money"], float(money))
            row += 1
        for column in range(len(heads)):
            sheet.write_blank(row, column, None, looks["sum text"])
        sheet.write_string(row, 0, f"{category.capitalize()}, together", looks["sum text"])
        sheet.write_formula(row, 7, f"=SUM(H{first + 1}:H{row})", looks["sum"], float(total))
        sums.append((row, total))
        row += 2
    cells = "+".join(f"H{place + 1}" for place, _ in sums) or "0"
    sheet.write_string(row, 0, "All together", looks["sum text"])
    sheet.write_formula(row, 7, f"={cells}", looks["sum"], float(sum((total for _, total in sums), Decimal(0))))
    for number, words in enumerate(design.build.takeoff.notes, start=2):
        sheet.write_string(row + number, 0, text(words), looks["soft"])
    _paper(sheet, design)


def _pick(sheet: Any, design: Design, looks: dict[str, Any]) -> None:
    _head(sheet, design, looks, "Pick list", "On site by the morning of the day named. Day 0 is before the first day.")
    _columns(
        sheet,
        (
            ("Day", 7),
            ("Category", 14),
            ("Item", 48),
            ("Amount (in unit)", 11),
            ("Unit", 19),
            ("For", 34),
            ("Loaded", 9),
        ),
        looks,
    )
    for row, pick in enumerate(pick_list(design), start=FIRST + 1):
        sheet.write_number(row, 0, pick.day, looks["number"])
        for column, value in ((1, pick.category), (2, pick.description), (4, pick.unit), (5, pick.where)):
            sheet.write_string(row, column, text(value), looks["text"])
        sheet.write_number(row, 3, pick.quantity, looks["number"])
        sheet.write_blank(row, 6, None, looks["box"])
    _paper(sheet, design)


def _listed(
    sheet: Any, design: Design, looks: dict[str, Any], name: str, note: str, heads: Sequence[Head], rows: Sequence[Line]
) -> None:
    _head(sheet, design, looks, name, note)
    _columns(sheet, heads, looks)
    for row, line in enumerate(rows, start=FIRST + 1):
        for column, value in enumerate(line):
            if isinstance(value, str):
                sheet.write_string(row, column, text(value), looks["text"])
            else:
                sheet.write_number(row, column, value, looks["number"])
    _paper(sheet, design)


def _holes(sheet: Any, design: Design, looks: dict[str, Any]) -> None:
    say = Say(design.job.units)
    unit = "in" if say.us else "mm"
    _head(
        sheet,
        design,
        looks,
        "Holes",
        "Heights from the inside floor to the hole's centre. Clock from above, 12:00 is up on the plan.",
    )
    heads = (
        ("In", 12), ("Run", 12), ("Pipe", 31), (f"Hole ({unit})", 12), ("Hole, written", 18),
        (f"Centre height ({unit})", 13), ("Height, written", 16), ("Clock (h:min)", 11), ("Cut", 8),
        (f"Pipe outside ({unit})", 12),
    )  # fmt: skip
    _columns(sheet, heads, looks)
    for row, hole in enumerate(design.build.takeoff.holes, start=FIRST + 1):
        for column, value in (
            (0, hole.node), (1, hole.run), (2, pipe_words(find_pipe(hole.pipe), say.units)),
            (4, say.saw(hole.diameter)), (6, say.small(hole.height)), (7, clock_face(hole.clock)),
        ):  # fmt: skip
            sheet.write_string(row, column, text(value), looks["text"])
        sheet.write_number(row, 3, round(say.small_number(hole.diameter), 3), looks["number"])
        sheet.write_number(row, 5, round(say.small_number(hole.height), 2), looks["number"])
        sheet.write_blank(row, 8, None, looks["box"])
        sheet.write_number(row, 9, round(say.small_number(hole.outside), 3), looks["number"])
    _paper(sheet, design)


__all__ = ["order_workbook"]
