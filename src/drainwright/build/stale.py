"""How old prices are on a day, against how old the firm lets them be."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from dataclasses import dataclass

from drainwright.build.book import Book


@dataclass(frozen=True, slots=True, kw_only=True)
class Aged:
    """A price that should be asked for again."""

    key: str
    dated: datetime.date
    days: int
    allowed: int


def too_old(book: Book, keys: Iterable[str], on: datetime.date) -> tuple[Aged, ...]:
    """The firm's prices that are older than the book allows, the oldest first.

    Parameters
    ----------
    book : Book
        With dates and ages.
    keys : iterable of str
        Items to look at; those that are invented are left out, and told as that.
    on : date
        The day.

    Returns
    -------
    tuple of Aged
        Each item once.
    """
    found = []
    for key in dict.fromkeys(keys):
        item = book.item(key)
        days, allowed = (on - item.dated).days, book.days_good(key)
        if not item.invented and days > allowed:
            found.append(Aged(key=key, dated=item.dated, days=days, allowed=allowed))
    return tuple(sorted(found, key=lambda one: -one.days))


__all__ = ["Aged", "too_old"]
