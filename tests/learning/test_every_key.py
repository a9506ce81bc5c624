"""A firm's book without a key: the cost sheet names the key and the demonstration's figure that stands in its place."""

from __future__ import annotations

import dataclasses
from collections.abc import Iterator
from functools import cache
from typing import Any

import pytest

from drainwright.build import book as books
from drainwright.build.book import Book, book_for, demonstration_book
from drainwright.build.side import build_side
from drainwright.design import Design
from drainwright.errors import JobError
from drainwright.job.firm import PriceBook
from drainwright.job.firm_book import FirmBook, book_problems
from drainwright.learning.invented import entries
from drainwright.paper.documents.blocks import Table
from drainwright.paper.documents.price_marks import rest_table, rest_words

from ..conftest import designed

BASE = "block-wall-house/job"
STEP = 1.5
#: Rates that are read beside the price: what a failure's remedy costs over years, and a machine that is not used here.
NOT_PRICED = ("clear", "visit")


def whole_book(**less: Any) -> dict[str, Any]:
    """A firm's book that has each key of the demonstration's, at the same figures."""
    usual = demonstration_book()
    return {
        "schema_version": 1, "name": "Whole", "dated": "2026-03-01", "labour": {"wage": 24, "burden": "30 %"},
        "shares": {"overhead": "18 %", "contingency": "10 %", "profit_margin": "20 %", "sales_tax": "7 %"},
        "items": {key: str(item.price) for key, item in usual.items.items() if key not in less.get("items", ())},
        "rates": {key: rate.value for key, rate in usual.rates.items() if key not in less.get("rates", ())},
    }  # fmt: skip


def without(items: tuple[str, ...] = (), rates: tuple[str, ...] = ()) -> Design:
    """The demonstration job priced by a book that lacks these keys; nothing of it is designed again."""
    base = designed(BASE)
    book = FirmBook.model_validate(whole_book(items=items, rates=rates), context={"document": True})
    assert list(book_problems(book)) == []
    job = base.job.model_copy(update={"price_book": PriceBook(book=book)})
    site = dataclasses.replace(base.site, job=job)
    return dataclasses.replace(base, job=job, site=site, build=build_side(site, base.system))


@cache
def told_of_all() -> str:
    """What the cost sheet tells where the book has no item and no rate at all."""
    usual = demonstration_book()
    return named(without(tuple(usual.items), tuple(usual.rates)))


def named(design: Design) -> str:
    """Each figure that is not the firm's own, its key before it."""
    return " ".join(f"{one.key} {one.figure}" for one in entries(design))


def rates_that_matter() -> Iterator[str]:
    """Rates that are read while the job is built and priced, and that move its price, days or prices of surprises."""
    read: set[str] = set()
    get = Book.rate

    def noted(self: Book, key: str) -> float:
        read.add(key)
        return get(self, key)

    base = without()
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(books.Book, "rate", noted)
        build_side(base.site, base.system)
    for key in sorted(read):
        own = base.job.price_book
        changed = own.model_copy(update={"rates": {key: demonstration_book().rates[key].value * STEP}})
        job = base.job.model_copy(update={"price_book": changed})
        after = build_side(dataclasses.replace(base.site, job=job), base.system)
        same = (after.price.total, after.plan.days, [one.total for one in after.unit_prices])
        if same != (base.build.price.total, base.build.plan.days, [one.total for one in base.build.unit_prices]):
            yield key


def test_a_book_with_every_key_has_nothing_to_tell() -> None:
    assert rest_words(without()) == ()
    assert rest_table(without()) == ()


def test_each_rate_that_moves_the_price_is_named_with_its_figure() -> None:
    told, usual = told_of_all(), demonstration_book()
    matter = [key for key in rates_that_matter() if key not in NOT_PRICED]
    assert len(matter) > 25
    untold = [key for key in matter if f"{key} {usual.rates[key].value:g} {usual.rates[key].unit}" not in told]
    assert untold == []


def test_each_price_that_is_used_is_named_with_its_figure() -> None:
    told, usual, design = told_of_all(), demonstration_book(), designed(BASE)
    keys = {line.key for line in design.build.price.lines if line.key in usual.items}
    keys |= {key for one in design.build.unit_prices for key, _ in one.extra.items}
    own = {line.price_key for line in design.build.takeoff.lines if line.own_price is not None}
    assert len(keys) > 40
    assert [key for key in sorted(keys - own) if f"{key} ${usual.items[key].price:,.2f}" not in told] == []


@pytest.mark.parametrize("key", ["shield.length", "shield.days-least", "shield.set", "recoat-wait", "extra.rock"])
def test_a_book_that_lacks_one_new_rate_says_so(key: str) -> None:
    rate = demonstration_book().rates[key]
    told = named(without(rates=(key,)))
    assert f"{key} {rate.value:g} {rate.unit}" in told
    assert "extra.root" not in told


@pytest.mark.parametrize("key", ["hire.shield", "haul.load"])
def test_a_book_that_lacks_one_price_says_so(key: str) -> None:
    told = named(without(items=(key,)))
    assert f"{key} ${demonstration_book().items[key].price:,.2f}" in told
    assert "stone.57" not in told


def test_a_key_that_no_book_has_is_refused_by_name() -> None:
    with pytest.raises(JobError, match=r"shield\.lenght"):
        book_for(PriceBook(rates={"shield.lenght": 8.0}))


def test_keys_stand_in_their_own_column_and_in_no_sentence() -> None:
    """The cost sheet is read by people: plain words first, the key of the price book beside them."""
    design = without(("haul.load", "stone.57"), ("dig.firm", "cure-wait", "extra.rock"))
    told = rest_words(design)
    keys = ("haul.load", "stone.57", "dig.firm", "cure-wait", "extra.rock")
    assert told
    assert not [key for key in keys if key in " ".join(told)]
    _, table = rest_table(design)
    assert isinstance(table, Table)
    rows = {str(row[3]): row for row in table.rows}
    assert set(rows) == set(keys)
    assert rows["dig.firm"][:3] == ("shallow digging by hand, firm ground", "0.75 yd³/h", "rates")
    assert rows["cure-wait"][2] == "waits and hire"
    assert rows["extra.rock"][2] == "surprises"
