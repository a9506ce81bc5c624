"""Options, payments and the prices of unforeseen work, as the customer reads them."""

from __future__ import annotations

from decimal import Decimal
from functools import partial

from drainwright.build.model import Build, Payment, Price, UnitPrice
from drainwright.build.passes import in_lengths
from drainwright.build.whose import marked_lines, marked_shares
from drainwright.build.wording import BASIS_WORDS
from drainwright.design import Design
from drainwright.findings.offer import brief_percent, paid_ahead
from drainwright.job.offer import Milestone
from drainwright.offer.model import OptionSet, Package
from drainwright.paper.documents.blocks import Block, Cell, Column, Heading, Keep, Notice, Paragraph, Table
from drainwright.paper.documents.say import money
from drainwright.paper.offer_designs import options_of

MILESTONE_WORDS: dict[Milestone, tuple[str, str]] = {
    "signing": ("On signing", "deposit"),
    "start": ("At the start", "crew and materials on site, lines marked"),
    "walls coated": ("Walls coated", "cleaned, repaired, coated; looked at together, photographed before covering"),
    "drains laid": ("Drains laid", "pipe and stone in place, falls read and photographed before covering"),
    "pump running": ("Pump running", "basin, pump and discharge tried"),
    "completion": ("On completion", "after the water test, with the as-built sheets handed over"),
}
#: Where walls are opened in lengths, one half closed before the other is opened, nobody sees all of them at once.
IN_LENGTHS = (
    "cleaned, repaired, coated; each length looked at together, or photographed with the date, before it is covered"
)
BOX = "\u2610"
MOST_GAINS = 4


def option_blocks(design: Design) -> tuple[Block, ...]:
    """What the customer may choose besides: each package designed as a whole, with a box to tick."""
    found = options_of(design)
    if found is None or len(found.every) == 1:
        return ()
    currency = design.build.price.currency
    rows = tuple(_option(one, currency) for one in found.every)
    columns = (
        Column(head="Choice", width=3.2), Column(head="Price with tax", align="right", width=1.4),
        Column(head="More", align="right", width=1.2),
        Column(head="Likely days", align="right", width=0.7), Column(head="What it does", width=5),
    )  # fmt: skip
    return (
        Heading(text="What you may choose"),
        Paragraph(
            text="Each choice is designed and tried in the storm as a whole. Its price is not a sum: two add-ons "
            "together may cost more or less than one and the other."
        ),
        Table(columns=columns, rows=rows, size=0.84),
        *_storm_matrix(found),
    )


def choice_boxes(design: Design) -> tuple[Block, ...]:
    """A box to tick for each choice, with its price, for where the customer signs; nothing where there is no choice."""
    found = options_of(design)
    if found is None or len(found.every) == 1:
        return ()
    currency = design.build.price.currency
    rows = tuple((BOX, _named(one), money(one.total, currency)) for one in found.every)
    columns = (
        Column(head="", width=0.4), Column(head="I choose", width=6),
        Column(head="Price with tax", align="right", width=1.6),
    )  # fmt: skip
    return (Table(columns=columns, rows=rows),)


def _option(one: Package, currency: str) -> tuple[str | Cell, ...]:
    more = "" if one.difference is None else more_words(one.difference.price.change, currency)
    plan = one.design.build.plan
    days = plan.days if plan.doubt is None else plan.doubt.days_likely
    return _named(one), money(one.total, currency), more, str(days), _gains(one)


def more_words(change: Decimal, currency: str) -> str:
    """What a choice adds to the price; of one that saves, how much less it is."""
    return f"{money(-change, currency)} less" if change < 0 else money(change, currency)


def _named(one: Package) -> Cell:
    name = one.title if one.role != "add-on" else f"Add-on: {one.title}"
    return Cell(text=name, weight="semibold" if one.role != "add-on" else "regular")


def _storm_matrix(found: OptionSet) -> tuple[Block, ...]:
    """The failures that come out otherwise with some choice: a row a failure, a column a choice."""
    keys = dict.fromkeys(
        case.key
        for one in found.every
        if one.difference
        for case in one.difference.storm
        if case.before != case.after and case.better is not None
    )
    if not keys:
        return ()
    told = {
        key: next(case for one in found.every if one.difference for case in one.difference.storm if case.key == key)
        for key in keys
    }
    rows = []
    for key, case in told.items():
        cells: list[str | Cell] = [Cell(text=case.title, weight="semibold"), case.before]
        for one in found.every[1:]:
            changed = None if one.difference is None else next(
                (item for item in one.difference.storm if item.key == key), None
            )  # fmt: skip
            cells.append("as proposed" if changed is None or changed.before == changed.after else changed.after)
        rows.append(tuple(cells))
    heads = ["If, in the design storm", "As proposed", *(_short(one) for one in found.every[1:])]
    columns = tuple(Column(head=head, width=1.8 if number == 0 else 1.4) for number, head in enumerate(heads))
    return (Heading(text="What the choices are good for", level=2), Table(columns=columns, rows=tuple(rows), size=0.8))


def _short(one: Package) -> str:
    return {"better": "Better", "best": "Best"}.get(one.role, one.title)


def _gains(one: Package) -> str:
    """What else a choice does, beside what the table of failures has."""
    told = set() if one.difference is None else {case.title for case in one.difference.storm}
    more = tuple(text for text in one.buys if not any(text.startswith(title) for title in told))
    return " ".join([one.words, *more[:MOST_GAINS]]).strip()


def payment_blocks(design: Design) -> tuple[Block, ...]:
    """When what is paid, and how much of the work stands by then."""
    price, rules = design.build.price, design.job.rules
    pay = partial(money, currency=price.currency)
    rows = [
        _payment(item, milestone_words(item.when, design.build), _deposit_words(item, price), pay(item.amount))
        for item in design.build.payments
    ]
    rows.append(("Together", "", "", pay(price.total)))
    follow = rules.payments_follow_work
    kept = follow.value and not any(paid_ahead(item) for item in design.build.payments)
    words = (
        "Apart from the deposit you pay for nothing that does not stand yet. Work is what is surely spent of our own "
        f"cost when a stage is reached ({BASIS_WORDS[follow.basis]} rule of the place)."
        if kept
        else "Work is what is surely spent of our own cost when a stage is reached."
    )
    return (
        Heading(text="Payment", level=2),
        Table(
            columns=(
                Column(head="When", width=1.5), Column(head="What", width=4.4),
                Column(head="Work by then", width=1.2, align="right"), Column(head="Amount", align="right", width=1.3),
            ),
            rows=tuple(rows), total=True,
        ),
        Paragraph(text=words, style="soft"),
    )  # fmt: skip


def milestone_words(when: Milestone, build: Build) -> tuple[str, str]:
    """A milestone's name, and what stands and was looked at by then, as the day plan lets it be."""
    name, what = MILESTONE_WORDS[when]
    if when == "walls coated" and in_lengths(task.key for task in build.plan.tasks):
        what = IN_LENGTHS
    return name, what


def _payment(item: Payment, words: tuple[str, str], deposit: str, paid: str) -> tuple[str, str, str, str]:
    name, what = words
    if item.when == "signing":
        what = f"{what}: {deposit}"
    done = "–" if item.when == "signing" else brief_percent(item.done)
    return name, what, done, paid


def _deposit_words(item: Payment, price: Price) -> str:
    """What the deposit is of: the place's rule where it is the most that allows, else the job's own share."""
    return price.deposit_rule if item.amount == price.deposit else f"{brief_percent(item.share)} of the total"


def unforeseen_blocks(design: Design) -> tuple[Block, ...]:
    """Unit prices of what nobody can see beforehand, and how a change is agreed."""
    currency = design.build.price.currency
    rows = tuple(unforeseen_row(one) for one in design.build.unit_prices)
    included = [one for one in design.build.unit_prices if one.included > 0]
    told = (
        "Already in the price: "
        + "; ".join(
            f"{one.extra.title[:1].lower()}{one.extra.title[1:]} ({one.included:g}{_unit(one)})" for one in included
        )
        + ". What is not needed of it is taken off at the same price."
        if included
        else "Nothing of it is in the price."
    )
    return (
        Keep(
            blocks=(
                Heading(text="If the ground holds a surprise", level=2),
                Paragraph(text="These are the prices of work that nobody can see beforehand, with tax. " + told),
                Table(
                    columns=(
                        Column(head="Work", width=3.2), Column(head="Counted", width=4.2),
                        Column(head="Unit", width=0.7),
                        Column(head=f"Price ({currency})", align="right", width=1.2),
                    ),
                    rows=rows, size=0.84, tight=True,
                ),
            )
        ),
        Paragraph(
            text="A change is written on a change order with what was found, where, a photograph, its amount, price "
            "and days, and is signed by you before the work is done. Without your signature we only make things safe."
        ),
    )  # fmt: skip


def _unit(one: UnitPrice) -> str:
    return "" if one.extra.unit == "each" else f" {one.extra.unit}"


def unforeseen_row(one: UnitPrice) -> tuple[str, str, str, str]:
    """Work, how it is counted, its unit and price."""
    return one.extra.title, one.extra.counts, one.extra.unit, f"{one.total:,.2f}"


def invented_notice(design: Design) -> tuple[Block, ...]:
    """That prices are invented, where they are: all of them, some, or what the price is made of them with."""
    if not design.build.price.invented:
        return ()
    whose = {one.whose for one in marked_lines(design.job, design.build)}
    if not whose & {"firm's", "job's"} and not marked_shares(design.job)[0]:
        title = "Invented prices"
        text = f"These prices are not the firm's own: they come from {design.build.price.book}."
    elif whose & {"demonstration's", "example's"}:
        title, text = "Prices partly invented", "Some of these prices are invented: they are not the firm's own."
    else:
        title = "Price partly invented"
        text = "The wage or a share that this price is made with comes from the demonstration book."
    return (Notice(tone="invented", title=title, text=text),)


__all__ = [
    "MILESTONE_WORDS", "choice_boxes", "invented_notice", "milestone_words", "more_words", "option_blocks",
    "payment_blocks", "unforeseen_blocks", "unforeseen_row",
]  # fmt: skip
