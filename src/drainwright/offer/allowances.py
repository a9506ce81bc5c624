"""Unforeseen work of which so much is in the price."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from drainwright.build.model import UnitPrice

OF = "allowance of "


@dataclass(frozen=True, slots=True, kw_only=True)
class Allowed:
    """One kind of unforeseen work that the accepted price has in it."""

    what: str  # "rock"
    title: str
    unit: str
    quantity: Decimal  # in the price
    before_tax: Decimal  # a unit
    tax: Decimal  # a unit

    @property
    def number(self) -> str:
        """Its name in the account."""
        return f"{OF}{self.what}"

    def amount(self, quantity: Decimal) -> str:
        """So much of it in words: ``0.6 yd³``, ``2``."""
        return f"{quantity.normalize():f}" + ("" if self.unit == "each" else f" {self.unit}")


def allowances_of(prices: Sequence[UnitPrice]) -> tuple[Allowed, ...]:
    """What of a design's unforeseen work its price has in it."""
    return tuple(
        Allowed(
            what=one.extra.what, title=one.extra.title, unit=one.extra.unit, quantity=Decimal(str(one.included)),
            before_tax=one.before_tax, tax=one.tax,
        )
        for one in prices
        if one.included > 0
    )  # fmt: skip


def allowance_records(allowed: Sequence[Allowed]) -> list[dict[str, str]]:
    """Allowances as plain data, amounts as texts."""
    return [
        {"what": one.what, "title": one.title, "unit": one.unit, "quantity": str(one.quantity),
         "before tax": str(one.before_tax), "tax": str(one.tax)}
        for one in allowed
    ]  # fmt: skip


def allowances_from(records: Sequence[Mapping[str, Any]]) -> tuple[Allowed, ...]:
    """Allowances out of plain data; KeyError, TypeError or InvalidOperation where it is none."""
    return tuple(
        Allowed(
            what=str(one["what"]), title=str(one["title"]), unit=str(one["unit"]), quantity=Decimal(one["quantity"]),
            before_tax=Decimal(one["before tax"]), tax=Decimal(one["tax"]),
        )
        for one in records
    )  # fmt: skip


__all__ = ["Allowed", "allowance_records", "allowances_from", "allowances_of"]
