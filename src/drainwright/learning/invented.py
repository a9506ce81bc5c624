"""Which figures of a price are the demonstration's or an example's, each in words."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from drainwright.build.book import Book, book_for
from drainwright.build.whose import marked_shares
from drainwright.build.wording import money
from drainwright.design import Design
from drainwright.learning.resting import Resting, resting

Part = Literal["wage and shares", "prices", "rates", "waits and hire", "surprises"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One figure of the price that is not the firm's own."""

    part: Part
    key: str  # in the price book
    words: str  # what it is
    figure: str

    def __str__(self) -> str:
        return f"{self.words} ({self.key}): {self.figure}"


def entries(design: Design, found: Resting | None = None) -> tuple[Entry, ...]:
    """Each wage, share, price and rate of a design's price that is the demonstration's or an example's.

    Parameters
    ----------
    design : Design
        With its plan and price.
    found : Resting, optional
        What rests on it, where that is known already.

    Returns
    -------
    tuple of Entry
        None where the whole price is the firm's own.
    """
    found = resting(design) if found is None else found
    book = book_for(design.job.price_book)
    of_rates: dict[Part, tuple[str, ...]] = {
        "rates": found.rates, "waits and hire": found.waits, "surprises": found.surprises,
    }  # fmt: skip
    told = [
        Entry(part="wage and shares", key=name, words=name.replace("_", " "), figure=_share(book, name))
        for name in marked_shares(design.job)[1]
    ]
    told += [_entry("prices", key, book) for key in found.prices]
    return (*told, *(_entry(part, key, book) for part, keys in of_rates.items() for key in keys))


def _share(book: Book, name: str) -> str:
    value: Decimal = getattr(book, name)
    return f"{money(value, book.currency)} an hour" if name == "wage" else f"{(100 * value).normalize():f} %"


def _entry(part: Part, key: str, book: Book) -> Entry:
    if key in book.rates:
        rate = book.rates[key]
        return Entry(part=part, key=key, words=rate.title, figure=f"{rate.value:g} {rate.unit}")
    item = book.items[key]
    return Entry(
        part=part, key=key, words=item.description, figure=f"{money(item.price, book.currency)} per {item.unit}"
    )


__all__ = ["Entry", "entries"]
