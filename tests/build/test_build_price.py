"""Money: exact to the cent, margin and mark-up apart."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis.strategies import decimals

from drainwright.build import build_side
from drainwright.build.book import book_for, demonstration_book
from drainwright.build.model import Price
from drainwright.build.price import CENT, cents, deposit, price_by_margin
from drainwright.errors import InputError, JobError
from drainwright.job.firm import PriceBook

from .sample import make_site, make_system

AMOUNTS = decimals("0.00", "1000000.00", places=2)
SHARES = decimals("0.00", "0.90", places=2)


def small(**changes: object) -> Price:
    return build_side(make_site(**changes), make_system()).price


@given(AMOUNTS, SHARES)
def test_profit_is_the_margin_of_the_price(cost: Decimal, margin: Decimal) -> None:
    price = price_by_margin(cost, margin)
    assert price >= cost
    assert abs((price - cost) - margin * price) <= CENT / 2


@pytest.mark.parametrize(
    ("markup", "margin"),
    [("0.20", "0.167"), ("0.25", "0.20"), ("0.50", "0.333"), ("0.67", "0.40"), ("1.00", "0.50")],
)
def test_mark_up_and_margin_are_not_the_same(markup: str, margin: str) -> None:
    """SEEN in a contractors' accounting table (markup v. margin): 20-16.7, 25-20, 50-33.3, 67-40, 100-50 %."""
    price = price_by_margin(Decimal("10000.00"), Decimal(margin))
    assert float(price / 10000 - 1) == pytest.approx(float(markup), abs=0.004)


def test_every_sum_is_the_sum_of_its_parts() -> None:
    price = small()
    by_category = {
        name: sum((line.amount for line in price.lines if line.category == name), Decimal(0))
        for name in ("labour", "material", "haul", "hire", "permits")
    }
    assert price.labour == by_category["labour"]
    assert price.materials == by_category["material"]
    assert price.other == by_category["haul"] + by_category["hire"] + by_category["permits"]
    assert price.direct_cost == sum((line.amount for line in price.lines), Decimal(0))
    assert price.cost == price.direct_cost + price.overhead + price.contingency
    assert price.before_tax == price.cost + price.profit
    assert price.total == price.before_tax + price.tax
    for line in price.lines:
        assert line.amount == (Decimal(str(line.quantity)) * line.unit_price).quantize(CENT, rounding="ROUND_HALF_UP")
    for amount in (price.overhead, price.contingency, price.profit, price.tax, price.total, price.deposit, price.low):
        assert amount == amount.quantize(CENT)


def test_overhead_is_of_direct_cost_and_contingency_of_both() -> None:
    price = small(price_book={"overhead": "10 %", "contingency": "5 %"})
    assert price.overhead == cents(price.direct_cost * Decimal("0.10"))
    assert price.contingency == cents((price.direct_cost + price.overhead) * Decimal("0.05"))


def test_tax_is_on_taxable_materials_only() -> None:
    price = small(price_book={"sales_tax": "10 %"})
    taxable = sum((line.amount for line in price.lines if line.taxable), Decimal(0))
    assert price.tax == (taxable / 10).quantize(CENT, rounding="ROUND_HALF_UP")
    assert all(line.category == "material" for line in price.lines if line.taxable)
    assert small(price_book={"sales_tax": "0 %"}).tax == 0


def test_the_burden_is_on_the_wage() -> None:
    price = small(price_book={"labour": "20.00", "burden": "40 %"})
    assert {line.unit_price for line in price.lines if line.category == "labour"} == {Decimal("28.00")}


def test_the_band_is_no_contingency_and_twice_it() -> None:
    price = small()
    assert price.low < price.total < price.high
    assert abs((price.high - price.total) - (price.total - price.low)) <= Decimal("0.03")
    none = small(price_book={"contingency": "0 %"})
    assert none.low == none.total == none.high
    assert none.total == price.low


def test_margin_and_mark_up_are_told_apart() -> None:
    price = small(price_book={"profit_margin": "20 %"})
    assert price.margin == Decimal("0.2000")
    assert price.markup == Decimal("0.2500")


@given(AMOUNTS, SHARES, AMOUNTS)
def test_a_deposit_keeps_both_limits(total: Decimal, share: Decimal, cap: Decimal) -> None:
    first = deposit(total, share, cap)
    assert first <= cap
    assert first <= total * share
    assert min(cap, total * share) - first < CENT


def test_a_capped_deposit_says_so() -> None:
    rules = {
        "deposit_fraction": {"value": "10 %", "basis": "mapped"},
        "deposit_cap": {"value": 100.0, "basis": "mapped"},
    }
    price = small(rules=rules)
    assert price.deposit == Decimal("100.00")
    assert price.deposit_rule == "10 % of the total, no more than $100.00 (from a map or record)"


def test_own_prices_change_their_line_alone() -> None:
    base, own = small(), small(price_book={"prices": {"stone.57": "100.00"}})
    changed = [new.key for old, new in zip(base.lines, own.lines, strict=True) if old.amount != new.amount]
    assert changed == ["stone.57"]
    assert own.invented


def test_own_rates_change_the_hours() -> None:
    slow = build_side(make_site(price_book={"rates": {"dig.firm": 0.2}}), make_system())
    assert slow.plan.hours > build_side(make_site(), make_system()).plan.hours


@pytest.mark.parametrize("rate", [0.0, 1e-6, 1e7])
def test_a_rate_at_which_no_work_would_end_is_refused(rate: float) -> None:
    """At a millionth of a foot an hour the days ran past the calendar."""
    with pytest.raises(JobError) as caught:
        book_for(PriceBook(rates={"pipe.rigid": rate}))
    [problem] = caught.value.problems
    assert problem.expected == "a rate from 0.001 to 1,000,000, in ft/h"
    assert book_for(PriceBook(rates={"pipe.rigid": 0.001}))


def test_unknown_keys_are_told_all_at_once_with_the_nearest() -> None:
    own = PriceBook(prices={"stome.57": Decimal(1)}, rates={"dig.firmly": 1.0, "coat": 0.0})
    with pytest.raises(JobError) as caught:
        book_for(own)
    problems = {problem.where: problem for problem in caught.value.problems}
    assert set(problems) == {
        "price_book.prices.stome.57", "price_book.rates.dig.firmly", "price_book.rates.coat",
    }  # fmt: skip
    with pytest.raises(ValueError, match="greater than or equal to 0"):
        PriceBook(prices={"alarm": Decimal(-1)})
    assert "stone.57" in problems["price_book.prices.stome.57"].hint
    assert "dig.firm" in problems["price_book.rates.dig.firmly"].hint


def test_a_margin_of_the_whole_price_is_refused() -> None:
    with pytest.raises(JobError, match="mark-up is of the cost"):
        small(price_book={"profit_margin": "100 %"})
    with pytest.raises(InputError, match="margin"):
        price_by_margin(Decimal(1), Decimal(1))


def test_a_missing_key_is_refused_with_the_nearest() -> None:
    with pytest.raises(InputError, match=r"did you mean 'stone\.57'"):
        demonstration_book().item("stone.5")
    with pytest.raises(InputError, match="a rate of the price book"):
        demonstration_book().rate("digging")


def test_the_demonstration_book_says_that_it_is_invented() -> None:
    book = demonstration_book()
    assert book.invented
    assert "invented" in book.name
    assert all(item.price > 0 for item in book.items.values())
    assert all(rate.value > 0 and rate.note for rate in book.rates.values())
    assert small().invented


def test_no_key_of_the_book_is_idle() -> None:
    """Every rate is asked for somewhere in the code, by its key or by a key that is put together."""
    from importlib.resources import files

    names = ("labour.py", "laying.py", "remedies.py", "handling.py", "earth_chain.py", "shaping.py",
             "hire.py")  # fmt: skip
    text = "".join((files("drainwright.build") / name).read_text("utf-8") for name in names)
    stems = {key.split(".")[0] for key in demonstration_book().rates}
    assert [stem for stem in sorted(stems) if stem not in text] == []
