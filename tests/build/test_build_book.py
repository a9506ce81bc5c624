"""The firm's book laid over the demonstration's: what is whose, how old, with which waste and taxes."""

from __future__ import annotations

import datetime
from decimal import Decimal
from typing import Any

import pytest

from drainwright.build import build_side
from drainwright.build.book import STALE, Book, book_for, demonstration_book
from drainwright.build.model import Build
from drainwright.build.price import cents
from drainwright.build.sizes import odd_prices, odd_shares
from drainwright.build.stale import too_old
from drainwright.errors import JobError
from drainwright.job.demonstration import demonstration_data
from drainwright.job.firm import PriceBook
from drainwright.job.firm_book import FirmBook

from .sample import make_site, make_system


def firm(**fields: Any) -> dict[str, Any]:
    return {"schema_version": 1, "name": "Firm", "dated": "2026-01-05", **fields}


def made(own: dict[str, Any] | None = None, **fields: Any) -> Book:
    return book_for(PriceBook.model_validate({"book": firm(**fields), **(own or {})}))


def built(**fields: Any) -> Build:
    return build_side(make_site(price_book={"book": firm(**fields)}), make_system())


SHARES = {"overhead": "10 %", "contingency": "5 %", "profit_margin": "20 %", "sales_tax": "7 %"}
LABOUR = {"wage": 30, "burden": "40 %"}


def test_entries_outrank_one_another() -> None:
    book = made(
        {"prices": {"alarm": 3}, "rates": {"coat": 70}, "overhead": "12 %"},
        items={"alarm": 2, "stone.57": {"price": 60, "source": "quarry"}}, rates={"coat": 75, "parge": 41},
        labour=LABOUR, shares=SHARES,
    )  # fmt: skip
    assert book.item("alarm").price == 3
    assert book.item("stone.57").price == 60
    assert book.item("stone.57").source == "quarry"
    assert book.item("inverter").price == demonstration_book().item("inverter").price
    assert (book.rate("coat"), book.rate("parge")) == (70, 41)
    assert book.overhead == Decimal("0.12")
    assert book.wage == 30
    assert book.name == "Firm, with the job's own"


def test_what_is_invented_is_known_item_by_item() -> None:
    book = made(items={"alarm": 2}, labour=LABOUR, shares=SHARES)
    assert not book.invented_shares
    assert book.invented
    assert not book.invented_for(["alarm"])
    assert book.invented_for(["alarm", "inverter"])
    assert made(items={"alarm": 2}).invented_for(["alarm"])  # wage and shares are the demonstration's
    assert made(items={"alarm": 2}, labour=LABOUR, shares=SHARES, invented=True).invented_for(["alarm"])


def test_a_price_rests_on_nothing_invented_where_all_that_it_uses_is_the_firm_s() -> None:
    used = {line.key: "10.00" for line in built().price.lines if line.category != "labour"}
    assert not built(items=used, labour=LABOUR, shares=SHARES).price.invented
    del used["stone.57"]
    assert built(items=used, labour=LABOUR, shares=SHARES).price.invented


def test_a_sales_tax_that_nothing_is_taxed_by_makes_no_price_invented() -> None:
    """The firm gives its taxes by category and no sales tax: only an item taxed outside them rests on that."""
    shares = {key: value for key, value in SHARES.items() if key != "sales_tax"}
    assert made(labour=LABOUR, shares=shares).invented_shares
    own = {"labour": LABOUR, "shares": shares, "tax": {"material": "6.25 %"}}
    assert not made(**own).invented_shares
    taxed = {"dump.load": {"price": 60, "taxable": True}}
    assert made(**own, items=taxed).invented_shares


def test_an_item_of_the_firm_s_own_has_its_place() -> None:
    book = made(items={"sand": {"price": 31, "description": "washed sand", "category": "material", "unit": "ton"}})
    assert book.item("sand").taxable
    assert book.item("sand").dated == datetime.date(2026, 1, 5)


def test_wrong_keys_of_a_book_within_the_job_are_told_with_the_job_s_own() -> None:
    with pytest.raises(JobError) as caught:
        made({"prices": {"stone.5": 1}}, items={"stome.57": 1}, rates={"dig": 1})
    places = {problem.where for problem in caught.value.problems}
    assert places == {
        "price_book.book.items.stome.57", "price_book.book.rates.dig", "price_book.prices.stone.5",
    }  # fmt: skip


# -- age ------------------------------------------------------------------------------------------------------


def test_a_price_keeps_for_as_long_as_the_nearest_word_says() -> None:
    book = made(stale_after={"default": 200, "stone": 60, "stone.57": 30, "haul": 90})
    assert [book.days_good(key) for key in ("stone.57", "stone.apron", "haul.load", "dump.load", "alarm")] == [
        30, 60, 90, 90, 200,
    ]  # fmt: skip
    assert made(stale_after=120).days_good("alarm") == 120
    assert made().days_good("alarm") == STALE == 180


def test_what_is_too_old_is_counted_to_the_day() -> None:
    book = made(items={"alarm": {"price": 1, "dated": "2025-12-01"}, "inverter": 1})
    limit = datetime.date(2025, 12, 1) + datetime.timedelta(days=180)
    assert too_old(book, ["alarm", "inverter", "stone.57"], limit) == ()
    (one,) = too_old(book, ["alarm", "alarm", "stone.57"], limit + datetime.timedelta(days=1))
    assert (one.key, one.days, one.allowed) == ("alarm", 181, 180)


# -- waste ----------------------------------------------------------------------------------------------------


def test_the_usual_waste_is_what_it_was() -> None:
    """Common practice, no source, but for coatings (coverage sheets): the figures that stood in the takeoff."""
    assert demonstration_data()["waste"] == {
        "stone.57": 0.08, "stone.67": 0.08, "stone.8": 0.08, "stone.own": 0.08,
        "stone.apron": 0.10, "fabric.nonwoven": 0.05, "coating.damp-proofing": 0.10,
        "coating.waterproofing": 0.10, "parge.bag": 0.10, "board.sheet": 0.05, "earth": 0.05,
    }  # fmt: skip
    lines = {line.key: line for line in built().takeoff.lines if line.category not in ("pipe", "fabric")}
    usual = demonstration_book().usual_waste
    own = {key: usual.get(key, usual.get(line.category, 0.0)) for key, line in lines.items()}
    assert {key: line.waste for key, line in lines.items()} == own
    assert own["stone.57"] == 0.08
    assert own["fill.cap"] == 0.05  # by its category, earth


def test_an_item_s_waste_outranks_its_category_s() -> None:
    book = made(waste={"stone": "12 %", "stone.57": "3 %", "coating": "20 %"})
    assert book.waste_of("stone.57", "stone") == 0.03
    assert book.waste_of("stone.apron", "stone") == 0.12
    assert book.waste_of("parge.bag", "coating") == 0.20
    assert book.waste_of("fabric.nonwoven", "fabric") == 0.05
    assert book.waste_of("alarm", "pump") == 0.0


@pytest.mark.parametrize(
    ("key", "category", "step"),
    [("stone.57", "stone", 0.5), ("restore.ft2", "sundries", 10.0)],
)
def test_waste_is_bought(key: str, category: str, step: float) -> None:
    line = next(line for line in built(waste={key: "50 %"}).takeoff.lines if line.key == key)
    assert line.category == category
    assert line.waste == 0.5
    assert 1.5 * line.net <= line.quantity < 1.5 * line.net + step


def test_fittings_may_have_a_waste() -> None:
    before = {line.key: line.quantity for line in built().takeoff.lines if line.category == "fittings"}
    after = {line.key: line.quantity for line in built(waste={"fittings": "50 %"}).takeoff.lines if line.key in before}
    assert all(after[key] >= 1.5 * count for key, count in before.items())


# -- taxes ----------------------------------------------------------------------------------------------------


def test_taxes_by_category_are_on_what_they_name() -> None:
    price = built(tax={"material": "7 %", "labour": "5 %", "haul": "2.5 %"}, shares=SHARES).price
    amounts = {name: sum((line.amount for line in price.lines if line.category == name), Decimal(0))
               for name in ("labour", "material", "haul", "hire", "permits")}  # fmt: skip
    taxed = amounts["material"] * Decimal("0.07") + amounts["labour"] * Decimal("0.05")
    assert price.tax == cents(taxed + amounts["haul"] * Decimal("0.025"))
    assert {line.category for line in price.lines if line.taxable} == {"material", "labour", "haul"}


def test_an_item_may_be_free_of_tax() -> None:
    item = {"price": 58, "taxable": False}
    one, other = built(items={"stone.57": 58}).price, built(items={"stone.57": item}).price
    stone = next(line.amount for line in one.lines if line.key == "stone.57")
    assert one.tax - other.tax == pytest.approx(stone * Decimal("0.07"), abs=Decimal("0.01"))


def test_without_taxes_the_sales_tax_is_on_taxable_items() -> None:
    assert built().price.tax == build_side(make_site(), make_system()).price.tax


def test_unit_prices_are_taxed_alike() -> None:
    plain = {one.extra.what: one for one in built().unit_prices}
    labour = {one.extra.what: one for one in built(tax={"labour": "10 %"}).unit_prices}
    assert plain["waiting"].tax == 0
    assert labour["waiting"].tax == cents(labour["waiting"].labour * Decimal("0.1"))


def test_in_another_money_a_price_is_held_against_the_firm_s_other_prices() -> None:
    """Prices of 150 to one, and one of them with its point elsewhere."""
    usual = demonstration_book().items
    keys = [key for key, item in usual.items() if item.price > 0][:8]
    yen = {key: int(usual[key].price * 150) + 1 for key in keys}
    assert list(odd_prices(made(currency="JPY", items=yen), keys)) == []
    slipped = {**yen, keys[0]: yen[keys[0]] * 10}
    (one,) = odd_prices(made(currency="JPY", items=slipped), keys)
    assert one.where == f"items.{keys[0]}"
    assert "by the firm's other prices" in one.usual
    few = {key: slipped[key] for key in keys[:5]}
    assert list(odd_prices(made(currency="JPY", items=few), keys)) == []


def test_the_model_is_frozen_and_whole() -> None:
    assert FirmBook.model_validate(firm(items=None, rates=None, tax=None, waste=None, labour=None, shares=None))


def test_sums_in_another_money_are_not_held_against_the_demonstration_s() -> None:
    """A wage of 4,000 and stone of 9,000 are slips in dollars, and may be plain prices elsewhere."""
    far = {"labour": {**LABOUR, "wage": 4000}, "items": {"stone.57": 9000}}
    dollars, yen = made(**far), made(currency="JPY", **far)
    assert [one.where for one in odd_prices(dollars, ["stone.57"])] == ["items.stone.57"]
    assert [one.where for one in odd_shares(dollars)] == ["labour.wage"]
    assert list(odd_prices(yen, ["stone.57"])) == []  # nothing of the firm's own beside it
    assert list(odd_shares(yen)) == []
    free = made(currency="JPY", labour={"wage": 0})
    assert [(one.where, one.usual) for one in odd_shares(free)] == [("labour.wage", "more than nothing")]
    assert [one.where for one in odd_shares(made(currency="JPY", labour={"burden": "2 %"}))] == ["labour.burden"]
