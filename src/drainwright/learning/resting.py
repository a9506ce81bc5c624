"""How much of a job's cost rests on prices and rates that are the demonstration's or an example's, not the firm's."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from drainwright.build.book import book_for
from drainwright.build.extras import extras
from drainwright.build.machine import kit_of
from drainwright.build.price import cents
from drainwright.build.side import Amounts, measured
from drainwright.build.whose import marked_lines
from drainwright.design import Design
from drainwright.job.firm import PriceBook
from drainwright.learning.hangs_on import STEP, hangs_on

ZERO = Decimal("0.00")
INVENTED = ("demonstration's", "example's")
SHIELD, SHIELD_RATES = "hire.shield", ("shield.length", "shield.days-least")
SHEETING, SHEETING_RATES = "hire.sheeting", ("sheeting.length",)


@dataclass(frozen=True, slots=True, kw_only=True)
class Resting:
    """What of the direct cost rests on what is not the firm's own."""

    used: int  # rates that the hours hang on
    rates: tuple[str, ...]  # those of them that are not the firm's own
    prices: tuple[str, ...]  # items whose price is not the firm's, the job's or a data sheet's
    labour: Decimal  # cost of the hours that hang on these rates
    bought: Decimal  # cost at these prices
    waits: tuple[str, ...]  # rates of the days and the hire, no hours, that are not the firm's own either
    surprises: tuple[str, ...]  # rates and items of the prices of surprises alone that are not
    direct: Decimal

    @property
    def amount(self) -> Decimal:
        """Together."""
        return self.labour + self.bought

    @property
    def share(self) -> Decimal:
        """Of the direct cost. [-]"""
        return ZERO if self.direct == 0 else self.amount / self.direct


def other_rates(own: PriceBook) -> tuple[str, ...]:
    """Rates that neither the job nor the firm's book gives; all of a book that says it is invented."""
    example = own.book is not None and own.book.invented
    rates = book_for(own).rates.items()
    return tuple(key for key, rate in rates if key not in own.rates and (example or not rate.own))


def resting(design: Design) -> Resting:
    """What of a design's direct cost rests on the demonstration.

    Parameters
    ----------
    design : Design
        With its plan and price.

    Returns
    -------
    Resting
        Amounts in cents. A task that hangs on several such rates counts by the sum of their shares, at most whole.
    """
    own, build = design.job.price_book, design.build
    amounts = measured(design.site, design.system)
    shares = hangs_on(design.site, design.system, own, book_for(own).rates, build.plan, amounts)
    other = set(other_rates(own))
    labour = ZERO
    for line in build.price.lines:
        if line.category == "labour":
            on = shares.get(line.key.removeprefix("labour."), {})
            part = min(1.0, sum(share for key, share in on.items() if key in other))
            labour += cents(line.amount * Decimal(str(round(part, 4))))
    lines = [one.line for one in marked_lines(design.job, build) if one.whose in INVENTED]
    used = dict.fromkeys(key for on in shares.values() for key in on)
    waits = tuple(key for key in _waits(design, amounts) if key in other)
    return Resting(
        waits=waits, surprises=_surprises(design, {*other} - {*used, *waits}),
        used=len(used), rates=tuple(key for key in used if key in other),
        prices=tuple(dict.fromkeys(line.key for line in lines)), labour=labour,
        bought=sum((line.amount for line in lines), ZERO), direct=build.price.direct_cost,
    )  # fmt: skip


def _waits(design: Design, amounts: Amounts) -> tuple[str, ...]:
    """Rates that hold the works up, or say how many shields are hired and how long, by changing each."""
    own = design.job.price_book
    kit = kit_of(design.job.equipment)
    rates = book_for(own).rates
    base = [work.wait for work in amounts.works(book_for(own), kit)]
    found = []
    for key, rate in rates.items():
        if rate.unit == "h":
            changed = own.model_copy(update={"rates": {**own.rates, key: rate.value * STEP}})
            if [work.wait for work in amounts.works(book_for(changed), kit)] != base:
                found.append(key)
    bought = {line.key for line in design.build.price.lines}
    by_day = any(line.category == "hire" and line.unit == "day" for line in design.build.price.lines)
    return (
        *found,
        *(SHIELD_RATES if SHIELD in bought else ()),
        *(SHEETING_RATES if SHEETING in bought else ()),
        *(("hire.week",) if by_day else ()),
    )


def _surprises(design: Design, left: set[str]) -> tuple[str, ...]:
    """Of rates not told yet those that the prices of surprises hang on, and items that only these have."""
    own, site = design.job.price_book, design.site
    book = book_for(own)
    base = extras(site, book)
    found = []
    for key in sorted(left):
        changed = own.model_copy(update={"rates": {**own.rates, key: book.rates[key].value * STEP}})
        if extras(site, book_for(changed)) != base:
            found.append(key)
    bought = {line.key for line in design.build.price.lines}
    items = dict.fromkeys(key for one in design.build.unit_prices for key, _ in one.extra.items)
    invented = [key for key in items if book.items[key].invented and key not in own.prices and key not in bought]
    return (*found, *invented)


__all__ = ["Resting", "other_rates", "resting"]
