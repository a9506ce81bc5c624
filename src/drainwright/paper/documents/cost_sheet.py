"""The cost sheet: how the price is built, for the firm and not for the customer."""

from __future__ import annotations

from decimal import Decimal
from functools import partial
from itertools import accumulate

from drainwright.build.book import book_for
from drainwright.build.held import unpriced
from drainwright.build.hire import days_words as listed_days
from drainwright.build.model import Extra, PriceLine
from drainwright.build.shown import amount, said
from drainwright.build.whose import marked_lines
from drainwright.design import Design
from drainwright.field.words import Units
from drainwright.findings.model import Severity
from drainwright.findings.offer import brief_percent
from drainwright.findings.places import counted
from drainwright.learning.resting import Resting, resting
from drainwright.offer.basin import unpriced_words
from drainwright.offer.bill import bill_of, stage_taxes
from drainwright.paper.documents.blocks import (
    Block,
    Bullets,
    Cell,
    Column,
    Document,
    Facts,
    Heading,
    Keep,
    Notice,
    Table,
)
from drainwright.paper.documents.day_words import days_words
from drainwright.paper.documents.days_figures import doubt_blocks, machine_blocks, soil_blocks
from drainwright.paper.documents.governing import cited
from drainwright.paper.documents.offer_blocks import MILESTONE_WORDS, invented_notice
from drainwright.paper.documents.price_marks import (
    exact_percent,
    mark_words,
    price_words,
    rest_table,
    rest_words,
    tax_words,
)
from drainwright.paper.documents.proposal_terms import price_band
from drainwright.paper.documents.say import money
from drainwright.paper.documents.shell import Sheets, document, first_notices


def cost_sheet(design: Design, sheets: Sheets) -> Document:
    """Hours, materials, burden, overhead, contingency, profit: every part, and the sums.

    Parameters
    ----------
    design : Design
        The designed job.
    sheets : Sheets
        Not drawn here.

    Returns
    -------
    Document
        Margin is of the price, mark-up of the cost; both are told.
    """
    found = resting(design)
    blocks: tuple[Block, ...] = (
        Notice(tone="caution", title="For the firm", text="This sheet is not for the customer."),
        *first_notices(design),
        *invented_notice(design),
        *_rates_notice(design, found),
        *_build_up(design, found),
        Heading(text="Days and machines"),
        *doubt_blocks(design.build.plan, design),
        *soil_blocks(design.build.plan),
        *machine_blocks(design.build.plan, design),
        *_labour(design),
        *_materials(design),
        *_surprises(design),
        *_cash(design),
        *rest_table(design, found),
    )
    return document(design.job, name="cost-sheet", kind="Cost sheet", title=design.job.title, size=10.0, blocks=blocks)


def _rates_notice(design: Design, found: Resting) -> tuple[Block, ...]:
    """That rates are invented, where no other notice says that something is; for the office alone."""
    if design.build.price.invented or not (told := rest_words(design, found)):
        return ()
    return (Notice(tone="invented", title="Rates partly invented", text=" ".join(told)),)


def _build_up(design: Design, found: Resting) -> tuple[Block, ...]:
    price = design.build.price
    book = book_for(design.job.price_book)
    pay = partial(money, currency=price.currency)

    def of(part: Decimal) -> str:
        return "–" if price.before_tax == 0 else brief_percent(part / price.before_tax)

    hour = book.wage * (1 + book.burden)
    paid = f"{pay(hour)}: {pay(book.wage)} wage, {exact_percent(book.burden)} burden"
    rows: list[tuple[str, str, str, str]] = [
        ("Labour", f"{_paid_hours(design):,.2f} h at {paid}",
         pay(price.labour), of(price.labour)),
        ("Materials", "with waste and whole packs", pay(price.materials), of(price.materials)),
        ("Haul, hire and permits", "", pay(price.other), of(price.other)),
        ("Direct cost", "", pay(price.direct_cost), of(price.direct_cost)),
        ("Overhead", f"{exact_percent(book.overhead)} of direct cost", pay(price.overhead), of(price.overhead)),
        ("Contingency", f"{exact_percent(book.contingency)} of direct cost with overhead",
         pay(price.contingency), of(price.contingency)),
        ("Cost", "", pay(price.cost), of(price.cost)),
        ("Profit",
         f"margin {brief_percent(price.margin)} of the price, mark-up {brief_percent(price.markup)} of the cost",
         pay(price.profit), of(price.profit)),
    ]  # fmt: skip
    if price.allowances:
        rows.append(
            ("Allowances", "unforeseen work that the price has in it", pay(price.allowances), of(price.allowances))
        )
    without = "without allowances, " if price.allowances else ""
    rows += [
        (
            "Before tax",
            _step(design, "build.price.price_by_margin", price.before_tax - price.allowances, without),
            pay(price.before_tax),
            of(price.before_tax),
        ),
        ("Sales tax", tax_words(design), pay(price.tax), "–"),
        ("Price", "", pay(price.total), "–"),
    ]
    strong = {"Direct cost", "Cost", "Before tax"}
    told = tuple(
        tuple(Cell(text=text, weight="semibold" if row[0] in strong else "regular") for text in row) for row in rows
    )
    notes = [
        "Overhead is a share of direct cost, whatever that is made of. Where it follows the crew's hours (trucks, a "
        "foreman), dear materials make a job carry more than its part: recover it in the wage's burden instead.",
        "Contingency is for what goes slower or wastes more than the rates say. Rock, roots and unmarked lines beyond "
        "the allowances are not in it: they go by the unit prices.",
        price_band(price),
        *price_words(design, found),
        *unpriced_words(design).values(),
    ]
    if beside := unpriced(design.build.dig):
        notes.insert(0, f"{beside}: ask its owner and whoever designs the shoring, and agree it apart.")
    if price.allowances:
        notes.insert(0, "The margin leaves out the profit within the allowances, which may be given back.")
    if price.minimum is not None:
        notes.insert(0, f"The least charge of {pay(price.minimum)} sets the price; the work alone comes to less.")
    return (
        Heading(text="From cost to price"),
        Table(
            columns=(
                Column(head="Part", width=2.0), Column(head="How", width=4.4),
                Column(head="Amount", align="right", width=1.4),
                Column(head="Of the price", align="right", width=1.0),
            ),
            rows=told, total=True,
        ),
        Bullets(items=tuple(notes)),
    )  # fmt: skip


def _step(design: Design, formula: str, amount: Decimal, what: str = "") -> str:
    """The worksheet's step that gave an amount: ``$24,690.00 (W 354)``; empty where none did."""
    shown = cited(design, money(amount, design.build.price.currency), formula, float(amount))
    return f"{what}{shown}" if "(W " in shown else ""


def _labour(design: Design) -> tuple[Block, ...]:
    price, plan = design.build.price, design.build.plan
    amounts = {line.key.removeprefix("labour."): line for line in price.lines if line.category == "labour"}
    rows = tuple(
        (
            task.title, task.quantity, f"{task.hours:,.2f}", money(amounts[task.key].amount, price.currency),
            "–" if price.labour == 0 else brief_percent(amounts[task.key].amount / price.labour),
        )
        for task in sorted(plan.tasks, key=lambda task: -task.hours)
    )  # fmt: skip
    beside = tuple(
        (
            amounts[key].description, told, f"{amounts[key].quantity:,.2f}", money(amounts[key].amount, price.currency),
            "–" if price.labour == 0 else brief_percent(amounts[key].amount / price.labour),
        )
        for key, told in (("travel", _travel(design)), ("unworked", _least(design))) if key in amounts
    )  # fmt: skip
    rows += beside
    total = ("Together", "", f"{_paid_hours(design):,.2f}", money(price.labour, price.currency), "")
    return (
        Heading(text="Labour, the largest first"),
        Table(
            columns=(
                Column(head="Work", width=3.6), Column(head="Amount and rate", width=3.2),
                Column(head="Hours", align="right", width=0.9), Column(head="Cost", align="right", width=1.3),
                Column(head="Of labour", align="right", width=1.0),
            ),
            rows=(*rows, total), total=True, size=0.84,
        ),
    )  # fmt: skip


def _paid_hours(design: Design) -> float:
    """Hours that are worked, on the way, and paid without work."""
    plan = design.build.plan
    return plan.hours + plan.travel + plan.unworked


def _travel(design: Design) -> str:
    """How often the crew comes: ``27 at 0.5 h for each person and day``."""
    visits = sum(day.people for day in design.build.plan.paid)
    return f"{visits} at {book_for(design.job.price_book).travel_hours:g} h for each person and day"


def _least(design: Design) -> str:
    """``days 7: 4 h at least for each person``."""
    days = [day.day for day in design.build.plan.paid if day.unworked > 0]
    least = book_for(design.job.price_book).least_paid_hours
    return f"day {listed_days(days)}: {least:g} h at least for each person and day"


def _materials(design: Design) -> tuple[Block, ...]:
    price, units = design.build.price, design.job.units
    lines = sorted(marked_lines(design.job, design.build), key=lambda one: -one.line.amount)
    rows = [
        (
            one.line.description, *_sold(one.line, units, price.currency), money(one.line.amount, price.currency),
            "yes" if one.line.taxable else "–", mark_words(one),
        )
        for one in lines
    ]  # fmt: skip
    total = ("Together", "", "", money(price.materials + price.other, price.currency), "", "")
    return (
        Heading(text="What is bought, hired and paid, the dearest first"),
        Table(
            columns=(
                Column(head="Item", width=3.8), Column(head="Quantity", width=2.2),
                Column(head="Each", align="right", width=1.3), Column(head="Cost", align="right", width=1.3),
                Column(head="Taxed", width=0.7), Column(head="Whose price", width=1.9),
            ),
            rows=(*rows, total), total=True, size=0.84,
        ),
    )  # fmt: skip


def _sold(line: PriceLine, units: Units, currency: str) -> tuple[str, str]:
    """How much is bought and what one costs; goods that the book sells by another unit are told in that one too."""
    shown, each = said(line.quantity, line.unit, units), money(line.unit_price, currency)
    if amount(line.quantity, line.unit, units) == line.quantity:
        return shown, each
    return f"{shown}, sold as {line.quantity:g} {line.unit}", f"{each} a {line.unit}"


def _hours(extra: Extra) -> str:
    """Hours of one unit of the work: ``0.4 h each``, ``8.76 h a yd³``; an hour of the crew is an hour."""
    hours = f"{extra.hours:.3g} h"
    if extra.unit == "h":
        return hours
    return f"{hours} each" if extra.unit == "each" else f"{hours} a {extra.unit}"


def _surprises(design: Design) -> tuple[Block, ...]:
    """How each unit price is built."""
    currency = design.build.price.currency
    rows = tuple(
        (
            one.extra.title, _hours(one.extra), *(
                f"{part:,.2f}" for part in (one.labour, one.items, one.overhead, one.profit, one.tax, one.total)
            ),
        )
        for one in design.build.unit_prices
    )  # fmt: skip
    heads = ("Labour", "Items", "Overhead", "Profit", "Tax", f"Price ({currency})")
    return (
        Keep(
            blocks=(
                Heading(text="Prices of surprises"),
                Table(
                    columns=(
                        Column(head="Work", width=3.4), Column(head="Hours", width=1.5),
                        *(Column(head=head, align="right", width=0.95) for head in heads),
                    ),
                    rows=rows, size=0.78,
                ),
            )
        ),
    )  # fmt: skip


def _cash(design: Design) -> tuple[Block, ...]:
    """What has come in and what has been spent at each stage."""
    price = design.build.price
    rows = []
    taxes = accumulate(stage_taxes(bill_of(design)))  # as the invoices have them
    for item, tax in zip(design.build.payments, taxes, strict=True):
        spent = (price.direct_cost * item.done).quantize(Decimal("0.01"))
        rows.append(
            (
                MILESTONE_WORDS[item.when][0], money(item.amount, price.currency), money(item.paid, price.currency),
                money(tax, price.currency), money(spent, price.currency),
                money(item.paid - tax - spent, price.currency),
            )
        )  # fmt: skip
    deposit = _step(design, "build.price.deposit", price.deposit)
    facts = [("Working days", str(design.build.plan.days)), ("Crew", str(design.build.plan.crew))]
    if design.build.plan.rock is not None:
        rock = design.build.plan.rock
        told = f"{counted(rock.days, 'day')}, {rock.hours:,.1f} h more; {days_words(rock)}"
        facts.append(("With the rock allowed for", told))
    if deposit:
        facts.insert(0, ("Deposit at most", deposit))
    checks = [
        item for item in design.findings if item.id.startswith(("OFF-", "PRC-")) and item.severity is not Severity.OK
    ]
    return (
        Heading(text="Money in and out"),
        Table(
            columns=(
                Column(head="Stage", width=1.8), Column(head="Comes in", align="right"),
                Column(head="In all", align="right"), Column(head="Sales tax in it", align="right"),
                Column(head="Direct cost spent", align="right"),
                Column(head="Left over", align="right"),
            ),
            rows=tuple(rows),
        ),
        *((Bullets(items=tuple(f"{item.id}: {item.message} {item.advice}" for item in checks)),) if checks else ()),
        Facts(items=tuple(facts)),
    )  # fmt: skip


__all__ = ["cost_sheet"]
