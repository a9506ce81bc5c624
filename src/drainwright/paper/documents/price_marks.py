"""Whose the prices of the cost sheet are, in words: line by line, and counted."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal
from functools import partial

from drainwright.build.book import book_for
from drainwright.build.whose import Marked, Whose, marked_lines, marked_shares
from drainwright.design import Design
from drainwright.findings.offer import brief_percent
from drainwright.findings.places import counted
from drainwright.learning.invented import entries
from drainwright.learning.resting import Resting, resting
from drainwright.paper.documents.blocks import Block, Column, Heading, Table
from drainwright.paper.documents.say import joined, money

FIRM: Whose = "firm's"
KINDS = {"labour": "labour", "material": "materials", "haul": "hauling", "hire": "hire", "permits": "permits"}


def mark_words(one: Marked) -> str:
    """``own, 2026-02-10``, ``OLD: own, 2025-02-10``, ``job's, 2026-03-12``, ``demonstration``."""
    if one.dated is not None:
        told = f"{'own' if one.whose == FIRM else one.whose}, {one.dated.isoformat()}"
        return f"OLD: {told}" if one.old else told
    return {"sheet's": "pump's sheet", "example's": "invented book"}.get(one.whose, "demonstration")


def tax_words(design: Design) -> str:
    """What is taxed and by how much: ``6.25 % on materials and hire``, or each rate with its kinds."""
    book = book_for(design.job.price_book)
    rates: dict[Decimal, list[str]] = {}
    for line in design.build.price.lines:
        if line.taxable and line.amount:
            kinds = rates.setdefault(book.tax_rates.get(line.category, book.sales_tax), [])
            if KINDS[line.category] not in kinds:
                kinds.append(KINDS[line.category])
    return "; ".join(f"{exact_percent(rate)} on {joined(kinds)}" for rate, kinds in rates.items())


def taxed_kinds(design: Design) -> str:
    """What is taxed, for the customer: ``materials and hire``; empty where nothing is."""
    kinds = dict.fromkeys(KINDS[line.category] for line in design.build.price.lines if line.taxable and line.amount)
    return joined(tuple(kinds)) if kinds else ""


def exact_percent(share: Decimal) -> str:
    """``6.25 %``: every digit that the share has."""
    return f"{(share * 100).normalize():f} %"


def price_words(design: Design, found: Resting | None = None) -> tuple[str, ...]:
    """How many prices are whose, how many of them old, and the same of the wage and the shares."""
    lines = marked_lines(design.job, design.build)
    count = Counter(one.whose for one in lines)
    named = {
        FIRM: "the firm's own", "job's": "the job's own", "sheet's": "of the pump's sheet",
        "example's": "of a book that says it is invented", "demonstration's": "of the demonstration book, invented",
    }  # fmt: skip
    told = ", ".join(f"{count[whose]} {words}" for whose, words in named.items() if count[whose])
    old = sum(one.old for one in lines)
    aged = f" {old} of them {'is' if old == 1 else 'are'} old: ask again." if old else ""
    own, other = (", ".join(name.replace("_", " ") for name in names) for names in marked_shares(design.job))
    shares = [f"the firm's own: {own}"] if own else []
    shares += [f"not the firm's, and invented: {other}"] if other else []
    return (
        f"Prices from {design.build.price.book}. Lines of what is bought, hired and paid: {len(lines)}; {told}.{aged}",
        f"Of the wage and the shares {'; '.join(shares)}.",
        *rest_words(design, found),
    )


def rest_words(design: Design, found: Resting | None = None) -> tuple[str, ...]:
    """How many rates and prices still are the demonstration's, and how much of the direct cost rests on them."""
    found, pay = resting(design) if found is None else found, partial(money, currency=design.build.price.currency)
    beside = []
    if found.waits:
        beside.append(f"Waits and hire rest on {counted(len(found.waits), 'figure')} of the demonstration's.")
    if found.surprises:
        beside.append(f"Prices of surprises rest on {counted(len(found.surprises), 'figure')} of the demonstration's.")
    if not found.rates and not found.prices:
        return tuple(beside)
    told = []
    if found.rates:
        told.append(
            f"Rates: {len(found.rates)} of the {found.used} that the hours hang on are not the firm's own: "
            f"{pay(found.labour)} of labour."
        )
    if found.prices:
        told.append(f"{counted(len(found.prices), 'price')} not the firm's own: {pay(found.bought)}.")
    whole = f"{pay(found.amount)}, {brief_percent(found.share)} of the direct cost, rests on invented rates or prices"
    return (f"{' '.join(told)} Together {whole}: put in the firm's own.", *beside)


def rest_table(design: Design, found: Resting | None = None) -> tuple[Block, ...]:
    """Each wage, share, price and rate that is not the firm's own: in plain words, its figure, its key in the book."""
    told = entries(design, found)
    if not told:
        return ()
    rows = tuple((one.words, one.figure, one.part, one.key) for one in told)
    return (
        Heading(text="Figures that are not the firm's own"),
        Table(
            columns=(
                Column(head="What", width=3.6), Column(head="Figure", width=2.4), Column(head="Counts in", width=1.5),
                Column(head="Key in the price book", width=2.5),
            ),
            rows=rows, size=0.78, tight=True,
        ),
    )  # fmt: skip


__all__ = ["exact_percent", "mark_words", "price_words", "rest_table", "rest_words", "tax_words", "taxed_kinds"]
