"""The offer on paper: what may be chosen, when what is paid, what a surprise costs; and the firm's own cost sheet."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from drainwright.build import build_side
from drainwright.build.book import book_for
from drainwright.build.price import cents
from drainwright.build.wording import money
from drainwright.design import Design, design
from drainwright.findings.offer import brief_percent
from drainwright.job import read_job
from drainwright.job.book_starter import new_book_text
from drainwright.job.firm import PriceBook
from drainwright.job.offer import Offer
from drainwright.job.schema import book_schema, job_schema
from drainwright.learning.resting import resting
from drainwright.paper.documents.acceptance_blocks import acceptance_blocks
from drainwright.paper.documents.blocks import Keep, Paragraph, Table
from drainwright.paper.documents.change_order import change_order
from drainwright.paper.documents.cost_sheet import cost_sheet
from drainwright.paper.documents.offer_blocks import (
    MILESTONE_WORDS,
    choice_boxes,
    invented_notice,
    milestone_words,
    option_blocks,
    payment_blocks,
    unforeseen_blocks,
    unforeseen_row,
)
from drainwright.paper.documents.price_marks import exact_percent
from drainwright.paper.documents.proposal import proposal
from drainwright.paper.documents.proposal_terms import price_blocks

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture(scope="module")
def house() -> Design:
    return design(read_job(EXAMPLES / "block-wall-house" / "job.yaml"))


@pytest.fixture(scope="module")
def basement() -> Design:
    return design(read_job(EXAMPLES / "metric-basement" / "job.yaml"))


def words_of(blocks: object) -> str:
    """All text of blocks, one after another."""
    return repr(blocks)


def test_a_job_without_options_offers_none(basement: Design) -> None:
    assert option_blocks(basement) == ()


def test_each_choice_has_a_box_a_price_and_what_more_it_costs(house: Design) -> None:
    blocks = option_blocks(house)
    table = next(block for block in blocks if isinstance(block, Table))
    assert table.rows[0][1] == money(house.build.price.total, "USD")
    assert table.rows[0][2] == ""
    assert all("$" in str(row[2]) for row in table.rows[1:])
    assert all(row[4] for row in table.rows[1:]), "each says what it does"
    (boxes,) = choice_boxes(house)
    assert isinstance(boxes, Table)
    assert [row[0] for row in boxes.rows] == ["☐"] * (1 + len(house.job.offer.options))
    assert [row[2] for row in boxes.rows] == [row[1] for row in table.rows]
    assert repr(boxes) in words_of(acceptance_blocks(house)), "they are ticked where both sign"
    told = words_of(blocks)
    assert "run off over the ground" in told  # what the battery is good for


def test_the_days_of_a_choice_are_the_likely_ones_that_the_schedule_tells(house: Design) -> None:
    table = next(block for block in option_blocks(house) if isinstance(block, Table))
    number = [column.head for column in table.columns].index("Likely days")
    plan = house.build.plan
    assert plan.doubt is not None
    assert plan.doubt.days_likely != plan.days
    assert table.rows[0][number] == str(plan.doubt.days_likely)


def test_payments_add_up_and_say_how_much_stands(house: Design) -> None:
    table = next(block for block in payment_blocks(house) if isinstance(block, Table))
    assert [row[0] for row in table.rows] == [MILESTONE_WORDS[item.when][0] for item in house.build.payments] + [
        "Together"
    ]
    assert [row[3] for row in table.rows] == [
        *(money(item.amount, "USD") for item in house.build.payments), money(house.build.price.total, "USD"),
    ]  # fmt: skip
    assert all(str(row[2]).endswith(" %") for row in table.rows[1:-1])


def test_the_deposit_is_told_by_the_job_s_own_share(house: Design) -> None:
    """The stages ask for a tenth where the place lets 30 % be asked; the place's rule is told where it sets the sum."""
    stages = Offer.model_validate(
        {"stages": [{"when": "signing", "share": "10 %"}, {"when": "completion", "share": "90 %"}]}
    )
    made = replace(house, job=house.job.model_copy(update={"offer": stages}))
    made = replace(made, build=build_side(replace(house.site, job=made.job), house.system))
    assert "deposit: 10 % of the total'" in words_of(payment_blocks(made))
    first = replace(made.build.payments[0], amount=made.build.price.deposit)
    most = replace(made, build=replace(made.build, payments=(first, *made.build.payments[1:])))
    assert f"deposit: {house.build.price.deposit_rule}" in words_of(payment_blocks(most))


def test_tax_is_labelled_by_what_is_taxed_and_at_which_rate(house: Design) -> None:
    made = _with_book(house, tax={"material": "6.25 %", "hire": "6.25 %"})
    assert "6.25 % on materials and hire" in words_of(cost_sheet(made, {}).blocks)
    assert "Sales tax on materials and hire" in words_of(price_blocks(made))
    two = _with_book(house, tax={"material": "6.25 %", "hire": "4 %"})
    assert "6.25 % on materials; 4 % on hire" in words_of(cost_sheet(two, {}).blocks)
    assert "Sales tax on materials'" in words_of(price_blocks(house))


def test_a_surprise_is_priced_in_the_job_s_units(house: Design, basement: Design) -> None:
    feet = {one.extra.what: unforeseen_row(one) for one in house.build.unit_prices}
    metres = {one.extra.what: unforeseen_row(one) for one in basement.build.unit_prices}
    assert (feet["stone"][2], metres["stone"][2]) == ("yd³", "m³")
    each = next(one for one in basement.build.unit_prices if one.extra.what == "stone").total
    dear = {one.extra.what: one.total for one in house.build.unit_prices}
    assert float(each) == pytest.approx(float(dear["stone"]) / 0.764554857984, rel=0.02)  # another soil, the same stone
    assert float(metres["stone"][3].replace(",", "")) == pytest.approx(float(each))
    assert "50 mm" in metres["root"][0]
    assert "2 in" in feet["root"][0]
    paragraph = next(block for block in _kept(unforeseen_blocks(house)) if isinstance(block, Paragraph))
    assert "Already in the price" in paragraph.text


def _kept(blocks: tuple[object, ...]) -> list[object]:
    return [inner for block in blocks for inner in getattr(block, "blocks", (block,))]


def test_the_customer_does_not_read_the_firm_s_profit(house: Design) -> None:
    told = words_of(proposal(house, {}).blocks)
    assert "'Profit'" not in told
    assert "Overhead" not in told
    assert money(house.build.price.profit, "USD") not in told


def test_what_the_job_has_is_not_offered_again(house: Design) -> None:
    """The demonstration has two pumps and an alarm."""
    told = words_of(proposal(house, {}).blocks)
    assert "Ask us for a second pump" not in told
    assert "Keep both pumps and the alarm in order" in told


def test_an_allowance_taken_off_is_what_was_charged(basement: Design) -> None:
    offer = Offer.model_validate({"allowances": [{"what": "rock", "quantity": 1}, {"what": "stone", "quantity": 2.5}]})
    with_it = design(basement.job.model_copy(update={"offer": offer}))
    prices = {one.extra.what: one for one in with_it.build.unit_prices}
    assert (prices["rock"].extra.unit, prices["rock"].included) == ("m³", 1.0)
    back = prices["rock"].total + prices["stone"].total * Decimal("2.5")
    assert abs(with_it.build.price.total - basement.build.price.total - back) <= Decimal("0.02")
    assert "(1 m³)" in words_of(proposal(with_it, {}).blocks)


def test_sales_tax_is_not_told_as_left_over(house: Design) -> None:
    """When all is paid, what is left over direct cost is overhead, contingency, profit and allowances, and no tax."""
    price = house.build.price
    table = next(
        block for block in cost_sheet(house, {}).blocks if isinstance(block, Table) and block.columns[0].head == "Stage"
    )
    left = price.overhead + price.contingency + price.profit + price.allowances
    assert price.tax > 0
    assert table.rows[-1][-1] == money(left, price.currency)
    assert table.rows[-1][3] == money(price.tax, price.currency)


@pytest.mark.parametrize("name", ["house", "basement"])
def test_what_is_bought_multiplies_out_as_it_is_told(name: str, request: pytest.FixtureRequest) -> None:
    """A reader who multiplies quantity and price of a line gets its cost, in metric jobs too."""
    made: Design = request.getfixturevalue(name)
    [table] = [
        block for block in cost_sheet(made, {}).blocks if isinstance(block, Table) and block.columns[0].head == "Item"
    ]
    for _, quantity, each, cost, *_ in table.rows[:-1]:
        count, price, told = (re.search(r"[\d,]*\.?\d+", str(text)) for text in (
            str(quantity).rpartition("sold as ")[2], each, cost,
        ))  # fmt: skip
        assert price is not None
        assert told is not None
        bought = Decimal(count[0].replace(",", "")) if count else Decimal(1)
        assert cents(bought * Decimal(price[0].replace(",", ""))) == Decimal(told[0].replace(",", "")), quantity


def test_contingency_is_told_as_it_is_reckoned_wherever_it_is_told(house: Design) -> None:
    """The cost sheet had it on "both", the keys of job and book on direct cost alone: 450 of one job's 2,950 apart."""
    price, share = house.build.price, book_for(house.job.price_book).contingency
    base = "of direct cost with overhead"
    assert price.contingency == cents((price.direct_cost + price.overhead) * share)
    assert price.contingency > cents(price.direct_cost * share)
    assert f"{exact_percent(share)} {base}" in words_of(cost_sheet(house, {}).blocks)
    for schema in (job_schema(), book_schema()):
        told = re.findall(r'"description": "(share of direct cost[^"]*)"', json.dumps(schema))
        assert told
        assert all(base in one for one in told)
    assert re.search(rf"# contingency: .*# {base}$", new_book_text(date(2026, 11, 27)), re.MULTILINE)


def test_the_cost_sheet_has_every_part_to_the_cent(house: Design) -> None:
    price = house.build.price
    told = words_of(cost_sheet(house, {}).blocks)
    for amount in (
        price.labour, price.materials, price.other, price.direct_cost, price.overhead, price.contingency, price.cost,
        price.profit, price.allowances, price.before_tax, price.tax, price.total,
    ):  # fmt: skip
        assert money(amount, "USD") in told
    assert "not for the customer" in told
    assert "mark-up" in told
    assert "margin" in told


def _bought(made: Design) -> Table:
    """The table of what is bought, hired and paid."""
    return next(
        block
        for block in cost_sheet(made, {}).blocks
        if isinstance(block, Table) and block.columns[-1].head == "Whose price"
    )


def _with_book(made: Design, **more: object) -> Design:
    """The job priced by a firm's book of two prices, one of them asked for long ago."""
    book = {
        "schema_version": 1, "name": "Our price book", "dated": "2026-03-01", "labour": {"wage": 31.50},
        "items": {"stone.57": {"price": 60, "dated": "2020-01-01"}, "fabric.nonwoven": 0.25}, **more,
    }  # fmt: skip
    own = PriceBook.model_validate({"book": book, "prices": {"dump.load": 71}, "dated": "2026-03-10"})
    return design(made.job.model_copy(update={"price_book": own}))


def test_hours_of_surprises_are_counted_in_words(house: Design) -> None:
    table = next(
        block
        for whole in cost_sheet(house, {}).blocks
        for block in (whole.blocks if isinstance(whole, Keep) else (whole,))
        if isinstance(block, Table) and [column.head for column in block.columns][:2] == ["Work", "Hours"]
    )
    hours = {row[0]: row[1] for row in table.rows}
    assert hours["Crew held up by others"] == "1 h"
    assert hours["Root thicker than 2 in that may be cut"] == "0.4 h each"
    assert str(hours["Washed stone beyond the drawings"]).endswith("h a yd³")


def test_each_line_of_the_cost_sheet_says_whose_its_price_is(house: Design) -> None:
    made = _with_book(house)
    table = _bought(made)
    bought = [line for line in made.build.price.lines if line.category != "labour"]
    assert len(table.rows) == len(bought) + 1 > 26  # every line, and their sum
    last = str(table.rows[-1][3])
    assert last == money(sum((line.amount for line in bought), Decimal(0)), "USD")
    keys = {line.description: line.key for line in bought}
    marks = {keys[str(row[0])]: (str(row[2]), str(row[5])) for row in table.rows[:-1]}
    assert marks["stone.57"] == ("$60.00", "OLD: own, 2020-01-01")
    assert marks["fabric.nonwoven"] == ("$0.25", "own, 2026-03-01")
    assert marks["dump.load"] == ("$71.00", "job's, 2026-03-10")
    assert marks["haul.load"][1] == "demonstration"
    told = words_of(cost_sheet(made, {}).blocks)
    assert "Some of these prices are invented" in told
    assert "come from the demonstration book" not in told
    assert "2 the firm's own, 1 the job's own" in told
    assert "1 of them is old" in told
    assert "the firm's own: wage; not the firm's, and invented: burden, overhead" in told


def test_the_office_is_told_what_rests_on_rates_of_the_demonstration(house: Design) -> None:
    """Every price, the wage and all shares are the firm's own, of the rates one: what hangs on the others is told."""
    lines = [line for line in house.build.price.lines if line.category != "labour"]
    own = {
        "labour": {"wage": 31.50, "burden": "30 %"},
        "shares": {"overhead": "18 %", "contingency": "8 %", "profit_margin": "20 %", "sales_tax": "7 %"},
        "items": {line.key: {"price": str(line.unit_price)} for line in lines},
    }
    made = _with_book(house, **own, rates={"coat": {"value": 80, "unit": "ft²/h"}})
    assert not made.build.price.invented
    found = resting(made)
    assert "coat" not in found.rates
    assert "dig.firm" in found.rates
    assert found.bought == 0
    coats = [line.amount for line in made.build.price.lines if line.key in ("labour.coat-1", "labour.coat-2")]
    beside = [line.amount for line in made.build.price.lines if line.key in ("labour.travel", "labour.unworked")]
    assert found.labour == pytest.approx(made.build.price.labour - sum(coats) - sum(beside), rel=Decimal("0.02"))
    office = words_of(cost_sheet(made, {}).blocks)
    assert "Rates partly invented" in office
    assert f"{brief_percent(found.share)} of the direct cost" in office
    customer = words_of(proposal(made, {}).blocks)
    assert "nvented rates" not in customer
    assert "Rates partly" not in customer
    every = {key: {"value": rate.value, "unit": rate.unit} for key, rate in book_for(PriceBook()).rates.items()}
    assert resting(_with_book(house, **own, rates=every)).amount == 0


def test_a_price_is_told_in_the_unit_in_which_it_is_sold(basement: Design) -> None:
    stone = next(line for line in basement.build.price.lines if line.key == "stone.57")
    row = next(row for row in _bought(basement).rows if str(row[0]) == stone.description)
    assert (stone.quantity, stone.unit) == (11.0, "yd³")
    assert row[1:3] == ("8.4 m³, sold as 11 yd³", "$58.00 a yd³")


def test_a_book_of_the_demonstration_or_an_example_is_no_price_of_the_firm_s(house: Design) -> None:
    assert "not the firm's own: they come from" in words_of(invented_notice(house))
    example = _with_book(house, invented=True)
    marks = [str(row[5]) for row in _bought(example).rows]
    assert "invented book" in marks
    assert not any("own" in mark for mark in marks)


def test_the_least_charge_is_told_to_the_firm(basement: Design) -> None:
    least = Offer.model_validate({"minimum_charge": 90000})
    dear = design(basement.job.model_copy(update={"offer": least}))
    assert "sets the price" in words_of(cost_sheet(dear, {}).blocks)
    assert "our least charge" in words_of(proposal(dear, {}).blocks)


def test_a_change_order_has_the_agreed_prices_and_is_signed_before(house: Design) -> None:
    told = words_of(change_order(house, {}).blocks)
    for one in house.build.unit_prices:
        assert one.extra.title in told
    assert "Nothing of it is done before both have signed" in told
    assert "licensed person" in told


def test_coats_of_a_wall_in_lengths_are_looked_at_length_by_length(house: Design, basement: Design) -> None:
    """Odd lengths are covered before the even ones are opened: the stage once asked to see all at once."""
    told = {name: words_of(payment_blocks(one)) for name, one in (("house", house), ("basement", basement))}
    assert "each length looked at together, or photographed with the date, before it is covered" in told["basement"]
    assert milestone_words("walls coated", house.build) == MILESTONE_WORDS["walls coated"]
    [coated] = [item for item in basement.build.payments if item.when == "walls coated"]
    hours = {line.key: line.amount for line in basement.build.price.lines if line.category == "labour"}
    before = ("open", "coat-1", "coat-2", "backfill", "open-even", "coat-1-even", "coat-2-even")
    assert coated.done >= sum((hours[f"labour.{key}"] for key in before), Decimal(0)) / basement.build.price.direct_cost
