"""Trials of the rules of prices: their age, prices of nothing, prices and rates far from the usual."""

from __future__ import annotations

import datetime
from dataclasses import replace
from decimal import Decimal
from typing import Any

from drainwright.build.book import demonstration_book
from drainwright.build.price import cents
from drainwright.findings.rules import Case
from drainwright.job.firm import PriceBook
from drainwright.job.firm_book import FirmBook

from .change import Change, Trial, as_designed, every, job, put


def book(*, dated: str = "2026-03-01", rates: dict[str, Any] | None = None, **items: Any) -> Change:
    """A firm's book with prices for stone and the dump, priced anew."""
    prices = {"stone.57": 60, "dump.load": 65, **{key.replace("__", "."): value for key, value in items.items()}}
    firm = FirmBook.model_validate(
        {"schema_version": 1, "name": "A", "dated": dated, "items": prices, "rates": rates or {}}
    )

    def change(case: Case) -> Case:
        case = job("price_book", to=PriceBook(book=firm))(case)
        price = case.build.price
        lines = tuple(
            line
            if line.key not in firm.items
            else replace(
                line,
                unit_price=firm.items[line.key].price,
                amount=cents(Decimal(str(line.quantity)) * firm.items[line.key].price),
            )
            for line in price.lines
        )
        return replace(case, build=replace(case.build, price=replace(price, lines=lines)))

    return change


def elsewhere(few: int, **odd: float) -> Change:
    """A book in another money: so many prices of its own, twenty times the demonstration's, but for those given."""

    def change(case: Case) -> Case:
        known = {
            line.key: 20 * line.unit_price
            for line in case.build.price.lines
            if line.unit_price > 0 and line.key in demonstration_book().items
        }
        firm = FirmBook.model_validate({
            "schema_version": 1, "name": "A", "dated": "2026-03-01", "currency": "MXN",
            "items": {**dict(list(known.items())[:few]), **odd},
        })  # fmt: skip
        return job("price_book", to=PriceBook(book=firm))(case)

    return change


def shares(**own: float) -> Change:
    """The wage or shares that a job gives itself."""
    return job("price_book", to=PriceBook.model_validate(own))


def on(day: str | None) -> Change:
    return job("date", to=None if day is None else datetime.date.fromisoformat(day))


def entry(**fields: Any) -> dict[str, Any]:
    return {"price": 60, **fields}


UNSET = job("crew", "start", to=None)
NEVER = every(on(None), UNSET)
MIXED = every(job("demonstration", to=False), put("build", "price", "invented", to=True))
TRIALS = (
    Trial("PRC-01", None, as_designed),  # all invented, and said to be
    Trial("PRC-01", None, every(book(dated="2020-01-01"), NEVER)),
    Trial("PRC-01", "caution", every(book(dated="2062-11-26"), on("2026-03-12")), says="2 of the firm"),
    Trial("PRC-01", "caution", every(book(), on("2025-02-27"), UNSET), says="dated long after"),
    Trial("PRC-01", "ok", every(book(), on("2025-03-12"), UNSET)),  # the first of March 2026 is less than a year on
    Trial("PRC-01", "ok", every(book(), on("2026-08-28")), where="price_book"),  # 180 days after the first of March
    Trial("PRC-01", "caution", every(book(), on("2026-08-29")), says="181 days"),
    Trial("PRC-01", "caution", every(book(), on("2026-08-29")), says="2 of the firm's 2 prices"),
    Trial("PRC-01", "caution", every(book(stone__57=entry(dated="2025-01-01")), on("2026-03-12")), says="washed stone"),
    Trial("PRC-01", "ok", every(book(dated="2020-01-01", stone__57=60, dump__load=65), on("2020-02-01"))),
    Trial("PRC-02", None, as_designed),
    Trial("PRC-02", "ok", book()),
    Trial("PRC-02", "caution", book(stone__57=0), says="no price to washed stone"),
    Trial("PRC-02", "caution", book(dump__load=0), base="metric", says="0 for 1 of 2"),
    Trial("PRC-03", None, as_designed),
    Trial("PRC-03", "ok", book(stone__57=289)),
    Trial("PRC-03", "caution", book(stone__57=290), says="$290.00"),
    Trial("PRC-03", "ok", book(stone__57=11.61)),
    Trial("PRC-03", "caution", book(stone__57=11.60), base="metric", says="$11.60"),
    Trial("PRC-03", None, elsewhere(5)),  # too few to hold them against each other
    Trial("PRC-03", "ok", elsewhere(6), says="6 lines"),
    Trial("PRC-03", "ok", elsewhere(9), says="9 lines"),
    Trial("PRC-04", None, as_designed),
    Trial("PRC-04", "ok", book(rates={"coat": 450})),
    Trial("PRC-04", "caution", book(rates={"coat": 450.1}), says="coat"),
    Trial("PRC-04", "caution", book(rates={"dig.firm": 0.149}), says="dig firm"),
    Trial("PRC-05", None, as_designed),
    Trial("PRC-05", None, book()),  # neither wage nor shares of its own
    Trial("PRC-05", "ok", shares(labour=31.50)),
    Trial("PRC-05", "ok", shares(labour=96)),
    Trial("PRC-05", "caution", shares(labour=96.01), says="$96.01 an hour"),
    Trial("PRC-05", "caution", shares(labour=3150), says="$3,150.00 an hour", base="metric"),
    Trial("PRC-05", "caution", shares(labour=5.99), says="decimal point"),
    Trial("PRC-05", "caution", shares(labour=0), says="$0.00 an hour"),
    Trial("PRC-05", "ok", shares(overhead=0)),  # none at all is a choice
    Trial("PRC-05", "caution", shares(overhead=0.0018), says="overhead of 0.18 %"),
    Trial("PRC-05", "caution", shares(profit_margin=0.8), says="2 % to 50 %"),
    Trial("COM-02", "caution", every(MIXED, book()), says="of its cost before overhead, are the demonstration"),
    Trial("COM-02", "caution", every(MIXED, book()), says="the demonstration book gives"),
)  # fmt: skip
