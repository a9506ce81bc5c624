"""The firm's side: who does it, with what, and at which prices."""

from __future__ import annotations

from pydantic import Field

from drainwright.job.values import (
    Count,
    Day,
    Fraction,
    Money,
    Number,
    PositiveMass,
    Record,
    ShortText,
    Text,
    Volume,
    si,
)


class Firm(Record):
    """The contractor, as the papers name it."""

    name: ShortText = ""
    address: ShortText = ""
    phone: ShortText = ""
    email: ShortText = ""
    licence: ShortText = ""
    insurance: ShortText = ""
    warranty: Text = ""
    terms: Text = ""


class Customer(Record):
    """Whom the work is for."""

    name: ShortText = ""
    phone: ShortText = ""
    email: ShortText = ""
    address: ShortText = ""


class Crew(Record):
    """The people and the day."""

    size: Count = Field(default=4, ge=1, le=30)
    hours_per_day: Number = Field(default=8.0, gt=0, le=16)
    start: Day | None = None


class Equipment(Record):
    """What carries the spoil and the stone."""

    barrow: Volume = Field(default=si(0.0991), description="soil that one round carries (3.5 ft3)")
    trailer_volume: Volume = Field(default=si(3.8228), description="heaped loose (5 yd3)")
    trailer_payload: PositiveMass = Field(default=si(3175.0), description="what it may lawfully carry (7,000 lb)")
    trailer_full: bool = Field(default=False, description="fill to the volume (true), or stop at the payload (false)")
    excavator: bool = False


class PriceBook(Record):
    """The firm's own prices and rates that replace the demonstration book's, by item key."""

    prices: dict[ShortText, Money] = Field(default_factory=dict, description="per unit of the item, by key")
    rates: dict[ShortText, Number] = Field(default_factory=dict, description="production rates, by key")
    labour: Money | None = Field(default=None, description="wage per hour before burden")
    burden: Fraction | None = None
    overhead: Fraction | None = Field(default=None, description="of direct cost")
    profit_margin: Fraction | None = Field(default=None, description="of the price, not of the cost")
    contingency: Fraction | None = None
    sales_tax: Fraction | None = None
    dated: Day | None = None


__all__ = ["Crew", "Customer", "Equipment", "Firm", "PriceBook"]
