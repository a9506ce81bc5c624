"""The money that a price book is in: an active alphabetic code of ISO 4217."""

from __future__ import annotations

import difflib
import json
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from importlib.resources import files
from typing import Any

from drainwright.errors import Problem
from drainwright.quantities import QuantityError
from drainwright.sources import cite

#: Money that is called a dollar, and written with its sign: names of ISO 4217, from memory.
DOLLARS = frozenset(
    {
        "AUD", "BBD", "BMD", "BND", "BSD", "BZD", "CAD", "FJD", "GYD", "HKD", "JMD", "KYD", "LRD", "NAD", "NZD", "SBD",
        "SGD", "SRD", "TTD", "TWD", "USD", "XCD",
    }
)  # fmt: skip
MONEY = frozenset({"price", "labour", "minimum_charge", "deposit_cap"})  # keys of a job that hold money
EXPECTED = "a code of ISO 4217 for money in use, such as USD or EUR"


HINT = "write it without a sign, in the book's money; or give the book the code of that dollar as its currency"


@cache
def _data() -> dict[str, Any]:
    cite("iso_4217")
    text = (files("drainwright.job") / "data" / "currencies.json").read_text("utf-8")
    data: dict[str, Any] = json.loads(text)
    return data


@cache
def currencies() -> tuple[str, ...]:
    """The codes of money that is in use, in the order of the alphabet."""
    return tuple(code for line in _data()["codes"] for code in line.split())


def read_currency(value: object) -> str:
    """A code as it stands in a book.

    Parameters
    ----------
    value : object
        What stands there.

    Returns
    -------
    str
        Three capital letters.

    Raises
    ------
    QuantityError
        If it is no active code; offers the one that followed a withdrawn code, that of a word or sign, or the nearest.
    """
    if isinstance(value, str) and value in currencies():
        return value
    shown = repr(value[:40]) if isinstance(value, str) else str(value)[:40]
    raise QuantityError(shown, EXPECTED, _meant(value.strip()) if isinstance(value, str) else "")


def signed_amounts(record: Mapping[str, Any], currency: str) -> Iterator[Problem]:
    """Amounts of a book with a dollar's sign, where its money is no dollar.

    Parameters
    ----------
    record : Mapping
        The book as it stands in its file.
    currency : str
        Its code.

    Yields
    ------
    Problem
        ``where`` is the path in the book.
    """
    items, labour = record.get("items") or {}, record.get("labour") or {}
    amounts = {}
    for key, entry in items.items() if isinstance(items, Mapping) else ():
        full = isinstance(entry, Mapping)
        amounts[f"items.{key}.price" if full else f"items.{key}"] = entry.get("price") if full else entry
    amounts["labour.wage"] = labour.get("wage") if isinstance(labour, Mapping) else None
    for where, amount in amounts.items():
        if isinstance(amount, str) and "$" in amount and currency not in DOLLARS:
            yield Problem(where=where, found=repr(amount), expected=f"an amount in {currency}", hint=HINT)


def signed_in_job(record: Mapping[str, Any], currency: str) -> Iterator[Problem]:
    """Amounts of a job with a dollar's sign, where its money is no dollar: its own prices and wage, pumps, limits.

    Parameters
    ----------
    record : Mapping
        The job as it stands in its file.
    currency : str
        The code of its price book.

    Yields
    ------
    Problem
        ``where`` is the path in the job.
    """
    if currency in DOLLARS:
        return
    own = record.get("price_book")
    book = own.get("book") if isinstance(own, Mapping) else None
    if isinstance(book, Mapping):
        for problem in signed_amounts(book, currency):
            yield replace(problem, where=f"price_book.book.{problem.where}")
    for where, amount in _amounts(record, ""):
        if isinstance(amount, str) and "$" in amount:
            yield Problem(where=where, found=repr(amount[:40]), expected=f"an amount in {currency}", hint=HINT)


def _amounts(part: Any, path: str) -> Iterator[tuple[str, Any]]:
    """What stands at each key of a job that holds money; the firm's book inside has its own check."""
    if isinstance(part, list):
        for number, one in enumerate(part):
            yield from _amounts(one, f"{path}[{number}]")
    elif isinstance(part, Mapping):
        for key, one in part.items():
            at = f"{path}.{key}" if path else str(key)
            if key in MONEY or path == "price_book.prices":
                inner = isinstance(one, Mapping) and "value" in one
                yield (f"{at}.value", one["value"]) if inner else (at, one)
            elif at != "price_book.book":
                yield from _amounts(one, at)


def _meant(text: str) -> str:
    upper = text.upper()
    if upper in _data()["withdrawn"]:
        return f"{upper} is withdrawn: {_data()['withdrawn'][upper]} took its place"
    near = [upper] if upper in currencies() else [_data()["words"].get(text.lower(), "")]
    if not near[0]:
        near = difflib.get_close_matches(upper[:12], currencies(), n=1, cutoff=0.6)
    return f"did you mean {near[0]!r}?" if near else ""


__all__ = ["DOLLARS", "EXPECTED", "HINT", "currencies", "read_currency", "signed_amounts", "signed_in_job"]
