"""Amounts of a job are in the money of its price book: a dollar's sign there is told, not taken for euros."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from drainwright.errors import JobError, Problem
from drainwright.job.reading import read_text

SMALL = Path(__file__).parent / "small.yaml"
PUMP = {"name": "P", "curve": [{"flow": "0 gpm", "head": "20 ft"}, {"flow": "40 gpm", "head": "5 ft"}]}
PRICES: dict[str, Any] = {"prices": {"stone.57": "$55"}}


def problems(currency: str, inner: dict[str, Any] | None = None, **changes: Any) -> tuple[Problem, ...]:
    """The small job with a book in some money, and parts of its own."""
    own: dict[str, Any] = changes.pop("price_book", {})
    book = {"schema_version": 1, "name": "Ours", "currency": currency, "dated": "2026-02-10", **(inner or {})}
    extra = {**changes, "price_book": {**own, "book": book}}
    try:
        read_text(_with(extra))
    except JobError as error:
        return error.problems
    return ()


def _with(extra: dict[str, Any]) -> str:
    return SMALL.read_text(encoding="utf-8") + "".join(f"\n{key}: {json.dumps(value)}" for key, value in extra.items())


@pytest.mark.parametrize(("changes", "where"), [
    ({"price_book": PRICES}, "price_book.prices.stone.57"),
    ({"price_book": {"labour": "$31.50"}}, "price_book.labour"),
    ({"offer": {"minimum_charge": "$900"}}, "offer.minimum_charge"),
    ({"pumps": [{**PUMP, "price": "$389"}]}, "pumps[0].price"),
    ({"rules": {"deposit_cap": {"value": "$1,000", "basis": "mapped"}}}, "rules.deposit_cap.value"),
    ({"inner": {"items": {"stone.57": "$55"}}}, "price_book.book.items.stone.57"),
])  # fmt: skip
def test_a_dollar_s_sign_is_refused_in_another_money(changes: dict[str, Any], where: str) -> None:
    (one,) = problems("EUR", **changes)
    assert one.where.endswith(where)
    assert one.found.startswith("'$")
    assert one.expected == "an amount in EUR"
    assert "without a sign" in one.hint
    assert problems("USD", **changes) == ()
    assert problems("CAD", **changes) == ()


def test_amounts_without_a_sign_are_taken_in_any_money() -> None:
    assert problems("EUR", price_book={"prices": {"stone.57": "55"}, "labour": 31.5}) == ()


def test_without_a_book_the_money_is_the_demonstration_s() -> None:
    assert read_text(_with({"price_book": PRICES})).job.price_book.book is None
