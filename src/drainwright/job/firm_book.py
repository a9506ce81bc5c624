"""The firm's price book as a document of its own: prices, rates, waste and taxes, with their dates and sources."""

from __future__ import annotations

import difflib
from collections.abc import Collection, Iterator
from typing import Annotated, Any, Literal

from pydantic import BeforeValidator, Field, StringConstraints, model_validator

from drainwright.errors import Problem
from drainwright.job.currency import currencies, read_currency
from drainwright.job.demonstration import demonstration_data
from drainwright.job.forms import or_plain
from drainwright.job.values import Day, Fraction, Money, Number, Record, ShortText, Text, no_boolean

BOOK_VERSION = 1
#: Takeoff categories that may be given a waste, and first words of items. That of pipe is spare sticks beside the
#: cutting list, by category alone: which length of stick is bought is the list's to choose.
WASTED = ("pipe", "fittings", "stone", "earth", "fabric", "coating")
WASTED_ITEMS = ("fitting", "stone", "fabric", "coating", "parge", "board", "restore", "fill", "mulch", "finish")
PriceCategory = Literal["material", "haul", "hire", "permits"]
TaxCategory = Literal["labour", "material", "haul", "hire", "permits"]

Days = Annotated[int, BeforeValidator(no_boolean), Field(ge=1, le=3650)]
SLOWEST, QUICKEST = 1e-3, 1e6  # a rate beyond these is a slip: no work would end, or take any time
RateValue = Annotated[float, BeforeValidator(no_boolean), Field(ge=SLOWEST, le=QUICKEST)]
Spread = Annotated[float, BeforeValidator(no_boolean), Field(gt=0, le=2)]
Tie = Annotated[float, BeforeValidator(no_boolean), Field(ge=-1, le=1)]
PaidHours = Annotated[float, BeforeValidator(no_boolean), Field(ge=0, le=12)]
Waste = Annotated[Fraction, Field(le=0.5)]
Currency = Annotated[str, BeforeValidator(read_currency), Field(json_schema_extra={"enum": list(currencies())})]


class ItemEntry(Record):
    """The price of one item: ``58.00``, or a mapping with its date and source; a new item says what it is."""

    price: Money = Field(description="per unit of the item")
    dated: Day | None = Field(default=None, description="left out: the date of the book")
    source: ShortText = Field(default="", description="whose price it is: a list, a quote, a receipt")
    note: ShortText = ""
    description: ShortText | None = Field(default=None, description="of an item that only this firm has")
    category: PriceCategory | None = None
    unit: ShortText | None = None
    taxable: bool | None = None

    @model_validator(mode="before")
    @classmethod
    def _plain(cls, data: object) -> object:
        return data if isinstance(data, dict | ItemEntry) or data is None else {"price": data}

    @classmethod
    def __get_pydantic_json_schema__(cls, schema: Any, handler: Any) -> dict[str, Any]:
        """Describe both written forms: the price alone, and the mapping."""
        return or_plain(schema, handler, "price")


class RateEntry(Record):
    """A production rate: ``0.62``, or a mapping with what it rests on."""

    value: RateValue = Field(description="in the unit of the rate")
    unit: ShortText | None = Field(default=None, description="to be held against the rate's own")
    dated: Day | None = None
    source: ShortText = ""
    note: ShortText = ""
    spread: Spread | None = Field(default=None, description="relative standard deviation of the rate between jobs")
    unsure: Spread | None = Field(default=None, description="relative standard error of the value itself")
    tied: dict[ShortText, Tie] = Field(
        default_factory=dict, max_length=100, description="correlation with other rates, kept by 'drainwright learn'"
    )
    learnt_from: tuple[ShortText, ...] = Field(default=(), max_length=1000, description="jobs, by number")

    @model_validator(mode="before")
    @classmethod
    def _plain(cls, data: object) -> object:
        return data if isinstance(data, dict | RateEntry) or data is None else {"value": data}

    @classmethod
    def __get_pydantic_json_schema__(cls, schema: Any, handler: Any) -> dict[str, Any]:
        """Describe both written forms: the value alone, and the mapping."""
        return or_plain(schema, handler, "value")


class Labour(Record):
    """What an hour of work costs."""

    wage: Money | None = Field(default=None, description="per hour, before burden")
    burden: Fraction | None = Field(default=None, description="on the wage")
    least_paid_hours: PaidHours | None = Field(
        default=None, description="hours paid at least to each person on each day; 0: what is worked; left out: 4"
    )
    travel_hours: PaidHours | None = Field(
        default=None, description="hours to the job and back, paid to each person on each day; left out: 0.5"
    )


class Shares(Record):
    """From cost to price."""

    overhead: Fraction | None = Field(default=None, description="of direct cost")
    contingency: Fraction | None = None
    profit_margin: Fraction | None = Field(default=None, description="of the price, not of the cost")
    sales_tax: Fraction | None = Field(default=None, description="on what is taxable, where 'tax' says nothing else")


class Change(Record):
    """One entry that a learning changed, with its lines before and after, so that it can be undone."""

    key: ShortText = Field(description="'rates.dig.firm' or 'items.stone.57'")
    before: Number
    after: Number
    observed: Number
    weight: Fraction = Field(description="of what was observed, in what came out")
    why: Text
    was: Text | None = Field(
        default=None, description="its lines before; left out: it had none; empty: its section neither"
    )
    now: Text


class Learning(Record):
    """What one job taught."""

    id: Annotated[str, StringConstraints(pattern=r"^L[1-9][0-9]{0,5}$")]
    when: Day
    job: ShortText
    actuals: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
    changes: tuple[Change, ...] = Field(default=(), max_length=500)
    not_taken: tuple[Text, ...] = Field(default=(), max_length=500)


def _none(data: object) -> object:
    """A section of comments only is an empty one."""
    return {} if data is None else data


def _stale(data: object) -> object:
    return _none(data) if isinstance(data, dict) or data is None else {"default": data}


Taxes = dict[TaxCategory, Fraction]
Wastes = dict[ShortText, Waste]
Items = dict[ShortText, ItemEntry]
Rates = dict[ShortText, RateEntry]
Ages = dict[ShortText, Days]


class FirmBook(Record):
    """A firm's price book."""

    schema_version: Literal[1]
    name: ShortText = Field(min_length=1)
    currency: Currency = Field(default="USD", description="code of ISO 4217")
    dated: Day = Field(description="of every price and rate that has no date of its own")
    invented: bool = Field(default=False, description="an example: the papers say so")
    stale_after: Annotated[Ages, BeforeValidator(_stale, json_schema_input_type=Days | Ages | None)] = Field(
        default_factory=dict, description="days, by 'default', category, first word of an item, or item"
    )
    labour: Annotated[Labour, BeforeValidator(_none, json_schema_input_type=Labour | None)] = Labour()
    shares: Annotated[Shares, BeforeValidator(_none, json_schema_input_type=Shares | None)] = Shares()
    tax: Annotated[Taxes, BeforeValidator(_none, json_schema_input_type=Taxes | None)] = Field(
        default_factory=dict, description="rate by category; given, categories that are left out are not taxed"
    )
    waste: Annotated[Wastes, BeforeValidator(_none, json_schema_input_type=Wastes | None)] = Field(
        default_factory=dict, description="by takeoff category or item"
    )
    items: Annotated[Items, BeforeValidator(_none, json_schema_input_type=Items | None)] = Field(
        default_factory=dict, max_length=3000
    )
    rates: Annotated[Rates, BeforeValidator(_none, json_schema_input_type=Rates | None)] = Field(
        default_factory=dict, max_length=500
    )
    learnt: tuple[Learning, ...] = Field(default=(), max_length=2000)
    notes: Text = ""


def book_problems(book: FirmBook) -> Iterator[Problem]:
    """What is wrong in a book against the keys that a takeoff and a plan ask for.

    Parameters
    ----------
    book : FirmBook
        A book whose parts are in themselves right.

    Yields
    ------
    Problem
        ``where`` is the path in the book.
    """
    data = demonstration_data()
    items: dict[str, Any] = data["items"]
    for key, entry in book.items.items():
        yield from _item(f"items.{key}", key, entry, items)
    for key, rate in book.rates.items():
        where = f"rates.{key}"
        if key not in data["rates"]:
            yield unknown_key(where, key, data["rates"], "a rate that the plan uses")
        elif rate.unit is not None and rate.unit != data["rates"][key]["unit"]:
            yield Problem(where=f"{where}.unit", found=repr(rate.unit), expected=repr(data["rates"][key]["unit"]))
        for other in rate.tied:
            if other not in data["rates"] or other == key:
                yield unknown_key(f"{where}.tied.{other}", other, data["rates"], "another rate that the plan uses")
    every = {*items, *book.items}
    words = {key.split(".")[0] for key in every}
    wasted = [*WASTED, *(key for key in items if key.split(".")[0] in WASTED_ITEMS)]
    for key in book.waste:
        if key in every and key not in wasted:
            listed = ", ".join((*WASTED, *WASTED_ITEMS))
            yield Problem(
                where=f"waste.{key}", found=f"a waste for {key}, which is counted piece by piece", expected="none",
                hint=f"waste is for {listed}",
            )  # fmt: skip
        elif key not in wasted:
            yield unknown_key(f"waste.{key}", key, wasted, f"an item, or one of: {', '.join(WASTED)}")
    for key in book.stale_after:
        if key not in {"default", "material", "haul", "hire", "permits"} | every | words:
            known = ["default", "material", "haul", "hire", "permits", *sorted(words), *items]
            expected = "default, a category, an item or the first word of one"
            yield unknown_key(f"stale_after.{key}", key, known, expected)
    if book.shares.profit_margin is not None and book.shares.profit_margin >= 1:
        yield Problem(
            where="shares.profit_margin",
            found=f"{book.shares.profit_margin:g}",
            expected="a share of the price below 1",
            hint="a margin is of the price, a mark-up is of the cost: a mark-up of 25 % is a margin of 20 %",
        )
    seen: set[str] = set()
    for number, one in enumerate(book.learnt):
        if one.id in seen:
            yield Problem(where=f"learnt[{number}].id", found=f"{one.id} again", expected="each id once")
        seen.add(one.id)


def _item(where: str, key: str, entry: ItemEntry, items: dict[str, Any]) -> Iterator[Problem]:
    told = {"description": entry.description, "category": entry.category, "unit": entry.unit}
    if key in items:
        for name in ("category", "unit"):
            if told[name] is not None and told[name] != items[key][name]:
                hint = "give the price for that unit" if name == "unit" else ""
                yield Problem(
                    where=f"{where}.{name}", found=repr(told[name]), expected=repr(items[key][name]), hint=hint
                )
        return
    missing = [name for name, value in told.items() if not value]
    if len(missing) == len(told):
        yield unknown_key(where, key, items, "an item that a takeoff uses, or a description, category and unit with it")
    elif missing:
        yield Problem(
            where=where, found=f"a new item without {' and '.join(missing)}", expected="description, category and unit"
        )


def unknown_key(where: str, key: str, known: Collection[str], expected: str) -> Problem:
    """The problem of a key that nothing bears, with the nearest that something does."""
    near = difflib.get_close_matches(key, known, n=1, cutoff=0.6)
    return Problem(where=where, found=repr(key), expected=expected, hint=f"did you mean {near[0]!r}?" if near else "")


__all__ = [
    "BOOK_VERSION", "WASTED", "Change", "FirmBook", "ItemEntry", "Labour", "Learning", "PaidHours", "PriceCategory",
    "RateEntry", "Shares", "TaxCategory", "book_problems", "unknown_key",
]  # fmt: skip
