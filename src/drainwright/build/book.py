"""The price book: items with prices, production rates with their sources, waste, taxes and the firm's shares.

The demonstration book is invented. The firm's own book takes its place entry by entry, and a job's own entries theirs.
"""

from __future__ import annotations

import datetime
import difflib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from decimal import Decimal
from functools import cache
from types import MappingProxyType
from typing import Any

from drainwright.errors import InputError, JobError, Problem
from drainwright.job.demonstration import demonstration_data
from drainwright.job.firm import PriceBook
from drainwright.job.firm_book import (
    QUICKEST,
    SLOWEST,
    FirmBook,
    ItemEntry,
    PriceCategory,
    RateEntry,
    book_problems,
    unknown_key,
)
from drainwright.sources import cite

STALE = 180  # days after which a price is asked for again, where the firm says nothing: common practice, no source
ZERO = Decimal("0.00")


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One thing with a price."""

    key: str
    description: str
    category: PriceCategory
    unit: str
    price: Decimal  # per unit
    taxable: bool
    dated: datetime.date
    source: str = ""  # whose price it is, in the firm's words
    invented: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """One production rate."""

    key: str
    value: float  # in ``unit``, above zero
    unit: str  # "yd³/h", "h/each", "times"
    source: str  # key in drainwright.sources
    note: str
    title: str = ""  # what is done at it, in plain words
    own: bool = False  # the firm's
    spread: float | None = None  # relative standard deviation between jobs [-]
    unsure: float | None = None  # relative standard error of the value [-]
    tied: Mapping[str, float] = field(default_factory=dict)  # correlation of what this and another are off [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """Prices, rates and shares."""

    name: str
    dated: datetime.date
    invented: bool  # any of it
    invented_shares: bool  # the wage or a share, on which every price rests
    currency: str  # code of ISO 4217
    items: Mapping[str, Item]
    rates: Mapping[str, Rate]
    waste: Mapping[str, float]  # of what is bought, by item or takeoff category [-]
    # The same where the firm says nothing [-]: stone 5 to 10 %, more in ragged trenches, and fabric beyond its laps by
    # common practice; coatings 5 to 15 % for texture and 3 to 10 % for container and tools (coating_sheets).
    usual_waste: Mapping[str, float]
    tax_rates: Mapping[str, Decimal]  # by category of prices; empty: ``sales_tax`` on taxable items [-]
    stale_after: Mapping[str, int]  # days, by item, its first words or category, or "default"
    wage: Decimal  # per hour, before burden
    burden: Decimal  # on the wage [-]
    least_paid_hours: float  # to each person on each day that is worked; zero: what is worked alone [h]
    travel_hours: float  # to the job and back, paid to each person on each day [h]
    overhead: Decimal  # of direct cost [-]
    contingency: Decimal  # of direct cost with overhead [-]
    profit_margin: Decimal  # of the price before tax [-]
    sales_tax: Decimal  # on taxable materials [-]

    def item(self, key: str) -> Item:
        """The item of that key.

        Raises
        ------
        InputError
            If the book has no such item; the error offers the nearest.
        """
        if key not in self.items:
            raise InputError(f"key = {key!r}: expected an item of the price book{_nearest(key, self.items)}")
        return self.items[key]

    def rate(self, key: str) -> float:
        """The value of a production rate, in its trade unit.

        Raises
        ------
        InputError
            If the book has no such rate.
        """
        if key not in self.rates:
            raise InputError(f"key = {key!r}: expected a rate of the price book{_nearest(key, self.rates)}")
        return self.rates[key].value

    def waste_of(self, key: str, category: str) -> float:
        """What is bought beyond the net amount: the item's own, else its takeoff category's, else the usual. [-]"""
        for known in (self.waste, self.usual_waste):
            for name in (key, category):
                if name in known:
                    return known[name]
        return 0.0

    def days_good(self, key: str) -> int:
        """How old the price of an item may be: by its key, first words, category, or in general. [days]"""
        words = key.split(".")
        names = [".".join(words[:count]) for count in range(len(words), 0, -1)]
        names += [self.items[key].category] if key in self.items else []
        return next((self.stale_after[name] for name in (*names, "default") if name in self.stale_after), STALE)

    def taxes(self, category: str) -> bool:
        """Whether a category is taxed by the book's taxes; without any, items say so themselves."""
        return self.tax_rates.get(category, ZERO) > 0

    def tax(self, taxed: Iterable[tuple[str, Decimal]]) -> Decimal:
        """Tax on amounts that are taxable, by category of price; not rounded."""
        return sum((amount * self.tax_rates.get(category, self.sales_tax) for category, amount in taxed), ZERO)

    def invented_for(self, keys: Iterable[str]) -> bool:
        """Whether a price that uses these items rests on anything invented."""
        return self.invented_shares or any(self.items[key].invented for key in keys if key in self.items)


def _nearest(key: str, known: Iterable[str]) -> str:
    near = difflib.get_close_matches(key, known, n=1, cutoff=0.6)
    return f"; did you mean {near[0]!r}?" if near else ""


@cache
def demonstration_book() -> Book:
    """The invented book that comes with Drainwright.

    Returns
    -------
    Book
        Marked ``invented``.
    """
    data = demonstration_data()
    dated = datetime.date.fromisoformat(data["dated"])
    items = {
        key: Item(
            key=key,
            description=value["description"],
            category=value["category"],
            unit=value["unit"],
            price=Decimal(value["price"]),
            taxable=value["taxable"],
            dated=dated,
            invented=True,
        )
        for key, value in data["items"].items()
    }
    rates = {
        key: Rate(
            key=key,
            value=value["value"],
            unit=value["unit"],
            source=value["source"],
            note=value["note"],
            title=value["title"],
        )
        for key, value in data["rates"].items()
    }
    for rate in rates.values():
        cite(rate.source)
    return Book(
        name=data["name"],
        dated=dated,
        invented=data["invented"],
        invented_shares=data["invented"],
        currency=data["currency"],
        items=MappingProxyType(items),
        rates=MappingProxyType(rates),
        waste=MappingProxyType({}),
        usual_waste=MappingProxyType(data["waste"]),
        tax_rates=MappingProxyType({}),
        stale_after=MappingProxyType({}),
        wage=Decimal(data["labour"]["wage"]),
        burden=Decimal(data["labour"]["burden"]),
        least_paid_hours=data["labour"]["least_paid_hours"],
        travel_hours=data["labour"]["travel_hours"],
        **{name: Decimal(value) for name, value in data["shares"].items()},
    )


#: Hours of a day that are paid and not worked: common practice, no source; whoever says nothing has the usual ones.
PAID = ("least_paid_hours", "travel_hours")
SHARES = ("wage", "burden", "overhead", "contingency", "profit_margin", "sales_tax")


def book_for(own: PriceBook) -> Book:
    """The demonstration book with the firm's book in its place, and what the job gives itself in theirs.

    Parameters
    ----------
    own : PriceBook
        From the job, its file already read.

    Returns
    -------
    Book
        Marked ``invented`` unless every share, the wage and every price is the firm's own; ``invented_for`` asks the
        same of single items.

    Raises
    ------
    JobError
        For keys that the book does not have, prices below zero, rates beyond ``SLOWEST`` and ``QUICKEST``, and shares
        out of range: all of them at once, each with its place.
    """
    base = demonstration_book()
    firm = own.book
    problems: list[Problem] = []
    if firm is not None:
        problems += [replace(one, where=f"price_book.book.{one.where}") for one in book_problems(firm)]
        base = base if problems else _with_firm(base, firm)
    problems += [*_wrong_prices(own, base), *_wrong_rates(own, base), *_wrong_shares(own)]
    if problems:
        raise JobError(tuple(problems))
    dated = own.dated or base.dated
    items = dict(base.items)
    for key, price in own.prices.items():
        items[key] = replace(items[key], price=price, dated=dated, source="the job's own", invented=False)
    rates = dict(base.rates)
    for key, value in own.rates.items():
        rates[key] = replace(rates[key], value=value, source="common_practice", note="the firm's own", own=True)
    given: dict[str, Any] = _job_s(own)
    paid = {name: getattr(own, name) for name in PAID if getattr(own, name) is not None}
    invented_shares = len(own_shares(own)) < len(SHARES)
    invented = invented_shares or any(item.invented for item in items.values())
    any_own = bool(own.prices or given or own.rates or paid)
    return replace(
        base,
        name=_name(base, firm, any_own=any_own, whole=not invented),
        dated=dated,
        invented=invented,
        invented_shares=invented_shares,
        items=MappingProxyType(items),
        rates=MappingProxyType(rates),
        **given,
        **paid,
    )


def _name(base: Book, firm: FirmBook | None, *, any_own: bool, whole: bool) -> str:
    if firm is not None:
        return f"{firm.name}, with the job's own" if any_own else firm.name
    return "The firm's own prices" if whole else f"{base.name}, with the firm's own" if any_own else base.name


def own_shares(own: PriceBook) -> frozenset[str]:
    """Which of the wage and the shares the job or the firm's book gives; none of a book that says it is invented."""
    firm = own.book
    given = set() if firm is None or firm.invented else set(_given(firm))
    if firm is not None and not firm.invented and firm.tax and not _taxed_otherwise(firm):
        given.add("sales_tax")  # nothing is taxed by it
    return frozenset({*_job_s(own), *given})


def _taxed_otherwise(firm: FirmBook) -> bool:
    """Whether an item is taxed in a category that the firm's taxes do not have: by the common sales tax."""
    known = demonstration_book().items
    return any(
        entry.taxable and (known[key].category if key in known else entry.category or "material") not in firm.tax
        for key, entry in firm.items.items()
    )


def missing_shares(own: PriceBook) -> tuple[str, ...]:
    """The wage and the shares that nobody gives, by their path in the firm's book, in its order."""
    given = own_shares(own)
    return tuple(
        f"{'labour' if name in ('wage', 'burden') else 'shares'}.{name}" for name in SHARES if name not in given
    )


def _job_s(own: PriceBook) -> dict[str, Decimal]:
    """The wage and the shares that a job gives itself."""
    told = {
        "wage": own.labour,
        "burden": own.burden,
        "overhead": own.overhead,
        "profit_margin": own.profit_margin,
        "contingency": own.contingency,
        "sales_tax": own.sales_tax,
    }
    return {name: Decimal(str(value)) for name, value in told.items() if value is not None}


def _given(firm: FirmBook) -> dict[str, Decimal]:
    """The wage and the shares that a firm's book gives."""
    told = {
        "wage": firm.labour.wage,
        "burden": firm.labour.burden,
        "overhead": firm.shares.overhead,
        "contingency": firm.shares.contingency,
        "profit_margin": firm.shares.profit_margin,
        "sales_tax": firm.shares.sales_tax,
    }
    return {name: Decimal(str(value)) for name, value in told.items() if value is not None}


def _with_firm(base: Book, firm: FirmBook) -> Book:
    """The demonstration book with a firm's book laid over it."""
    taxes: dict[str, Decimal] = {category: Decimal(str(rate)) for category, rate in firm.tax.items()}
    items = {
        key: _item(key, base.items.get(key), firm.items.get(key), firm, taxes) for key in {**base.items, **firm.items}
    }
    rates = {key: _rate(rate, firm.rates.get(key)) for key, rate in base.rates.items()}
    shares: dict[str, Any] = _given(firm)
    shares |= {name: getattr(firm.labour, name) for name in PAID if getattr(firm.labour, name) is not None}
    return replace(
        base,
        dated=firm.dated,
        currency=firm.currency,
        items=MappingProxyType(items),
        rates=MappingProxyType(rates),
        waste=MappingProxyType(dict(firm.waste)),
        tax_rates=MappingProxyType(taxes),
        stale_after=MappingProxyType(dict(firm.stale_after)),
        **shares,
    )


def _item(key: str, known: Item | None, entry: ItemEntry | None, firm: FirmBook, taxes: Mapping[str, Decimal]) -> Item:
    category = known.category if known is not None else entry.category if entry is not None else None
    assert category is not None  # held by ``book_problems``
    taxable = category in taxes if taxes else known.taxable if known is not None else category == "material"
    if entry is None:
        assert known is not None
        return replace(known, taxable=taxable)
    description = entry.description or (known.description if known is not None else "")
    return Item(
        key=key,
        description=description,
        category=category,
        unit=known.unit if known is not None else entry.unit or "",
        price=entry.price,
        taxable=taxable if entry.taxable is None else entry.taxable,
        dated=entry.dated or firm.dated,
        source=entry.source,
        invented=firm.invented,
    )


def _rate(known: Rate, entry: RateEntry | None) -> Rate:
    if entry is None:
        return known
    note = "; ".join(part for part in ("the firm's own", entry.source, entry.note) if part)
    return replace(
        known, value=entry.value, source="common_practice", note=note, own=True, spread=entry.spread,
        unsure=entry.unsure, tied=entry.tied,
    )  # fmt: skip


def _wrong_prices(own: PriceBook, base: Book) -> Iterator[Problem]:
    for key, price in own.prices.items():
        where = f"price_book.prices.{key}"
        if key not in base.items:
            yield unknown_key(where, key, base.items, "an item of the price book")
        elif not price.is_finite() or price < 0:
            yield Problem(where=where, found=str(price), expected="a price, zero or more")


def _wrong_rates(own: PriceBook, base: Book) -> Iterator[Problem]:
    for key, value in own.rates.items():
        where = f"price_book.rates.{key}"
        if key not in base.rates:
            yield unknown_key(where, key, base.rates, "a rate of the price book")
        elif not SLOWEST <= value <= QUICKEST:
            wanted = f"a rate from {SLOWEST:g} to {QUICKEST:,.0f}, in {base.rates[key].unit}"
            yield Problem(where=where, found=str(value), expected=wanted)


def _wrong_shares(own: PriceBook) -> Iterator[Problem]:
    if own.profit_margin is not None and own.profit_margin >= 1:
        yield Problem(
            where="price_book.profit_margin",
            found=f"{own.profit_margin:g}",
            expected="a share of the price below 1",
            hint="a margin is of the price, a mark-up is of the cost: a mark-up of 25 % is a margin of 20 %",
        )
    if own.labour is not None and (not own.labour.is_finite() or own.labour < 0):
        yield Problem(where="price_book.labour", found=str(own.labour), expected="a wage per hour, zero or more")


__all__ = [
    "SHARES",
    "STALE",
    "Book",
    "Item",
    "PriceCategory",
    "Rate",
    "book_for",
    "demonstration_book",
    "missing_shares",
    "own_shares",
]
