"""The invoice of one stage."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping
from decimal import Decimal
from functools import partial
from typing import Any

from drainwright.design import Design
from drainwright.findings.offer import brief_percent
from drainwright.offer.bill import Bill
from drainwright.offer.invoicing import ChangeOrder, Due
from drainwright.paper.documents.blocks import Block, Column, Document, Facts, Heading, Keep, Notice, Paragraph, Table
from drainwright.paper.documents.offer_blocks import invented_notice, milestone_words
from drainwright.paper.documents.say import day, money, site_of
from drainwright.paper.documents.shell import INVENTED, document


def invoice(
    design: Design, bill: Bill, asked: Due, *, number: str, on: datetime.date, record: Mapping[str, Any] | None
) -> Document:
    """What a stage comes to, what is paid, and what is due.

    Parameters
    ----------
    design : Design
        The job, for its names and places.
    bill : Bill
        Its price as accepted.
    asked : Due
        The stage.
    number : str
        Of the invoice.
    on : datetime.date
        Its date.
    record : mapping, optional
        The acceptance.

    Returns
    -------
    Document
        Names the mark of what was accepted where there is a record.
    """
    job = design.job
    pay = partial(money, currency=bill.currency)
    name, what = milestone_words(asked.stage.when, design.build)
    facts = [
        ("Invoice", number), ("Date", day(on)), ("To", job.customer.name), ("Address", job.customer.address),
        ("Work at", site_of(job)), ("Licence", job.firm.licence),
    ]  # fmt: skip
    if record is not None:
        facts += [
            ("Accepted by", str(record["by"])),
            ("Accepted on", day(datetime.date.fromisoformat(str(record["on"])))),
            ("Options accepted", ", ".join(map(str, record["options"])) or "none"),
            ("Mark of the offer", str(record["mark"])[:12]),
        ]
    of_allowances = " and allowances" if any(one.allowance for one in asked.changes) else ""
    together = f"Change orders{of_allowances} together"
    rows = [
        ("Price with tax", pay(bill.total)),
        (f"Stage {asked.number} of {asked.of}, {name}: {what}", pay(asked.stage.amount)),
        ("    of this, sales tax as the offer has it", pay(asked.tax)),
        ("Stages before this one", pay(asked.before)),
        *(row for one in asked.changes for row in _change_rows(one, pay)),
        *(((f"{together}, with tax", pay(asked.changed)),) if len(asked.changes) > 1 else ()),
        ("Paid so far", pay(-asked.paid)),
        ("Due" if asked.due >= 0 else "To be paid back to you", pay(abs(asked.due))),
    ]
    stands = (
        "Nothing is built yet: this is the deposit."
        if asked.stage.when == "signing"
        else f"With this stage {brief_percent(asked.stage.done)} of the work stands, by its cost; with this payment "
        f"{brief_percent(asked.stage.share)} of the price is paid."
    )
    blocks: tuple[Block, ...] = (
        *((Notice(tone="invented", title="Invented demonstration", text=INVENTED),) if job.demonstration else ()),
        *_invented(design, bill),
        Facts(items=tuple((label, text) for label, text in facts if text.strip())),
        Keep(
            blocks=(
                Heading(text="What is due"),
                Table(
                    columns=(Column(head="What", width=3.4), Column(head="Amount", width=1, align="right")),
                    rows=tuple(rows), total=True, size=1.0,
                ),
                Paragraph(text=stands),
            )
        ),
        Paragraph(text="The law of the place on deposits, stages and liens comes before this paper.", style="soft"),
    )  # fmt: skip
    return document(job, name="invoice", kind="Invoice", title=f"Invoice {number}", size=10.5, blocks=blocks)


def _invented(design: Design, bill: Bill) -> tuple[Block, ...]:
    """That the price billed rests on invented prices, and that this was gone on with knowingly."""
    if not bill.invented:
        return ()
    title, text = "Invented prices", "Some of the prices that were accepted are invented: they are not the firm's own."
    first = invented_notice(design) or (Notice(tone="invented", title=title, text=text),)
    count = f"{len(bill.demonstration)} of its prices, rates and shares" if bill.demonstration else "Some of its prices"
    told = f"{count} are the demonstration's: nothing is to be paid on this invoice."
    return (*first, Notice(tone="invented", title="Demonstration prices", text=told))


def _change_rows(one: ChangeOrder, pay: Callable[[Decimal], str]) -> tuple[tuple[str, str], ...]:
    """The amount of a change order, or of what is taken off an allowance, and, where there is any, its tax."""
    named = "Allowance" if one.allowance else f"Change order {one.number}, signed {day(one.on)}"
    on = "what is taken off" if one.allowance else f"change order {one.number}"
    rows = ((f"{named}: {one.words}", pay(one.amount)),)
    return (*rows, (f"    sales tax on {on}", pay(one.tax))) if one.tax else rows


__all__ = ["invoice"]
