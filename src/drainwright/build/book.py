"""The price book: items with prices, production rates with their sources, and the firm's shares.

The demonstration book is invented. A job's ``price_book`` replaces single prices and rates by key.
"""

from __future__ import annotations

import datetime
import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cache
from types import MappingProxyType
from typing import Any, Literal

from drainwright.errors import InputError, JobError, Problem
from drainwright.job.demonstration import demonstration_data
from drainwright.job.firm import PriceBook
from drainwright.sources import cite

PriceCategory = Literal["material", "haul", "hire", "permits"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One thing with a price."""

    key: str
    description: str
    category: PriceCategory
    unit: str
    price: Decimal  # per unit
    taxable: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """One production rate."""

    key: str
    value: float  # in ``unit``, above zero
    unit: str  # "yd³/h", "h/each", "times"
    source: str  # key in drainwright.sources
    note: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """Prices, rates and shares."""

    name: str
    dated: datetime.date
    invented: bool
    currency: str  # code of ISO 4217
    items: Mapping[str, Item]
    rates: Mapping[str, Rate]
    wage: Decimal  # per hour, before burden
    burden: Decimal  # on the wage [-]
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
    items = {
        key: Item(
            key=key,
            description=value["description"],
            category=value["category"],
            unit=value["unit"],
            price=Decimal(value["price"]),
            taxable=value["taxable"],
        )
        for key, value in data["items"].items()
    }
    rates = {
        key: Rate(key=key, value=value["value"], unit=value["unit"], source=value["source"], note=value["note"])
        for key, value in data["rates"].items()
    }
    for rate in rates.values():
        cite(rate.source)
    return Book(
        name=data["name"],
        dated=datetime.date.fromisoformat(data["dated"]),
        invented=data["invented"],
        currency=data["currency"],
        items=MappingProxyType(items),
        rates=MappingProxyType(rates),
        wage=Decimal(data["labour"]["wage"]),
        burden=Decimal(data["labour"]["burden"]),
        **{name: Decimal(value) for name, value in data["shares"].items()},
    )


def book_for(own: PriceBook) -> Book:
    """The demonstration book with the firm's own prices, rates and shares in place of the invented ones.

    Parameters
    ----------
    own : PriceBook
        From the job.

    Returns
    -------
    Book
        Stays marked ``invented`` unless every share, the wage and every price is the firm's own.

    Raises
    ------
    JobError
        For keys that the book does not have, prices below zero, rates not above zero, and shares out of range:
        all of them at once, each with its place.
    """
    base = demonstration_book()
    problems = [*_wrong_prices(own, base), *_wrong_rates(own, base), *_wrong_shares(own)]
    if problems:
        raise JobError(tuple(problems))
    items = dict(base.items)
    for key, price in own.prices.items():
        items[key] = replace(items[key], price=price)
    rates = dict(base.rates)
    for key, value in own.rates.items():
        rates[key] = replace(rates[key], value=value, source="common_practice", note="the firm's own")
    shares = {
        "wage": own.labour,
        "burden": own.burden,
        "overhead": own.overhead,
        "profit_margin": own.profit_margin,
        "contingency": own.contingency,
        "sales_tax": own.sales_tax,
    }
    given: dict[str, Any] = {name: Decimal(str(value)) for name, value in shares.items() if value is not None}
    any_own = bool(own.prices or given or own.rates)
    whole_own = len(given) == len(shares) and set(own.prices) == set(base.items)
    return replace(
        base,
        name="The firm's own prices" if whole_own else f"{base.name}, with the firm's own" if any_own else base.name,
        dated=own.dated or base.dated,
        invented=not whole_own,
        items=MappingProxyType(items),
        rates=MappingProxyType(rates),
        **given,
    )


def _wrong_prices(own: PriceBook, base: Book) -> Iterable[Problem]:
    for key, price in own.prices.items():
        where = f"price_book.prices.{key}"
        if key not in base.items:
            yield _unknown(where, key, base.items, "an item of the price book")
        elif not price.is_finite() or price < 0:
            yield Problem(where=where, found=str(price), expected="a price, zero or more")


def _wrong_rates(own: PriceBook, base: Book) -> Iterable[Problem]:
    for key, value in own.rates.items():
        where = f"price_book.rates.{key}"
        if key not in base.rates:
            yield _unknown(where, key, base.rates, "a rate of the price book")
        elif not 0 < value < float("inf"):
            yield Problem(where=where, found=str(value), expected=f"a rate above zero, in {base.rates[key].unit}")


def _wrong_shares(own: PriceBook) -> Iterable[Problem]:
    if own.profit_margin is not None and own.profit_margin >= 1:
        yield Problem(
            where="price_book.profit_margin",
            found=f"{own.profit_margin:g}",
            expected="a share of the price below 1",
            hint="a margin is of the price, a mark-up is of the cost: a mark-up of 25 % is a margin of 20 %",
        )
    if own.labour is not None and (not own.labour.is_finite() or own.labour < 0):
        yield Problem(where="price_book.labour", found=str(own.labour), expected="a wage per hour, zero or more")


def _unknown(where: str, key: str, known: Iterable[str], expected: str) -> Problem:
    near = difflib.get_close_matches(key, known, n=1, cutoff=0.6)
    return Problem(where=where, found=repr(key), expected=expected, hint=f"Did you mean {near[0]!r}?" if near else "")


__all__ = ["Book", "Item", "PriceCategory", "Rate", "book_for", "demonstration_book"]
