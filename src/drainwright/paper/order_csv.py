"""The order as one CSV file for any supplier: a row a thing, its category as a column."""

from __future__ import annotations

import csv
import io

from drainwright.build.shown import sold
from drainwright.build.uses import task_of
from drainwright.design import Design
from drainwright.paper.pick import noted
from drainwright.paper.sheet import clean

HEADS = (
    "category", "key", "item", "for", "counted", "waste", "to buy", "unit", "unit price", "amount", "currency",
    "source", "needed on day", "rests on", "note",
)  # fmt: skip

_FORMULA = frozenset("=+-@\uff1d\uff0b\uff0d\uff20")  # also in their wide forms


def order_csv(design: Design) -> bytes:
    """The order as CSV (UTF-8 with its mark, so that spreadsheets read it as such).

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    bytes
        Quantities in the unit sold, with the job's beside it; the waste as a share. Tools come last, without a price
        where they are the firm's own. A cell that a spreadsheet would take for a formula begins with a space. Equal
        designs give equal bytes.
    """
    target = io.StringIO(newline="")
    writer = csv.writer(target)
    writer.writerow(HEADS)
    price, units = design.build.price, design.job.units
    days = {task.key: task.day for task in design.build.plan.tasks}
    bought = [line for line in price.lines if line.category != "labour"]
    for line, cost in sorted(
        zip(design.build.takeoff.lines, bought, strict=True), key=lambda pair: _order(design, pair[0].category)
    ):
        quantity, unit = sold(line, units)
        writer.writerow(
            [
                line.category, cell(line.key), cell(line.description), cell(line.where),
                f"{round(line.net, 3):g}", f"{line.waste:.3f}", f"{quantity:g}", cell(unit),
                str(cost.unit_price), str(cost.amount), price.currency, line.source,
                str(days.get(task_of(line, days), 0)),
                line.basis.value, cell(noted(design, line)),
            ]
        )  # fmt: skip
    for tool in design.build.takeoff.tools:
        if tool.source == "own":
            writer.writerow(
                ["tools", cell(tool.key), cell(tool.name), "", tool.count, "0.000", tool.count, "each", "", "", "",
                 "own", "", tool.basis.value, cell(tool.why)]
            )  # fmt: skip
    return target.getvalue().encode("utf-8-sig")


def cell(value: str) -> str:
    """A cell; one that a spreadsheet would take for a formula begins with a space, and a line's end is one."""
    text = " ".join(clean(value).split())
    return f" {text}" if text[:1] in _FORMULA else text


def _order(design: Design, category: str) -> int:
    """Categories in the order in which the takeoff first names them."""
    names: list[str] = list(dict.fromkeys(line.category for line in design.build.takeoff.lines))
    return names.index(category)


__all__ = ["HEADS", "cell", "order_csv"]
