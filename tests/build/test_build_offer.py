"""The offer's money: unit prices from the firm's rates, allowances, the least charge, and payments to the cent."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis.strategies import decimals, integers, lists

from drainwright.build import build_side
from drainwright.build.book import book_for, demonstration_book
from drainwright.build.extras import unit_prices
from drainwright.build.model import Build, CrewPlan, Takeoff, TakeoffLine, Task, UnitPrice
from drainwright.build.payments import FINAL, payments, progress
from drainwright.build.price import CENT, cents, price
from drainwright.errors import JobError
from drainwright.field.model import Site
from drainwright.job.offer import Offer, Stage
from drainwright.job.place import Rules

from ..conftest import designed
from .sample import make_site, make_system

BOOK = demonstration_book()
YARD = 0.9144
WORKS = (
    ("set-up", 4.0, ()), ("open", 30.0, ("set-up",)), ("clean", 5.0, ("open",)), ("coat-1", 3.0, ("clean",)),
    ("pipe", 12.0, ("open", "coat-1")), ("stone", 8.0, ("pipe",)), ("pump", 3.0, ("pipe",)),
    ("backfill", 10.0, ("stone", "pump")), ("finish", 4.0, ("backfill",)),
)  # fmt: skip


def unit(what: str, site: Site) -> UnitPrice:
    return next(one for one in unit_prices(site, book_for(site.job.price_book)) if one.extra.what == what)


def plan_of(hours: tuple[float, ...] = tuple(item[1] for item in WORKS)) -> CrewPlan:
    tasks = tuple(
        Task(key=key, title=key, hours=spent, day=1, quantity="", after=after)
        for (key, _, after), spent in zip(WORKS, hours, strict=True)
    )
    return CrewPlan(tasks=tasks, hours=sum(hours), days=1, crew=4)


def takeoff_of(stone: float = 6.0) -> Takeoff:
    line = TakeoffLine(
        key="stone.57", category="stone", description="stone", net=stone, quantity=stone, unit="yd³", where="FD1",
        waste=0.0,
    )  # fmt: skip
    return Takeoff(lines=(line,), holes=())


def small(**changes: object) -> Build:
    return build_side(make_site(**changes), make_system())


def test_a_unit_price_by_hand() -> None:
    """Stone: 1.08 yd³ at 58.00, 1/1.4 h at 32.40; overhead 18 %, margin 20 % of the price, tax 7 %."""
    site = make_site(price_book={"labour": "24.00", "burden": "35 %"})
    stone = unit("stone", site)
    assert (stone.labour, stone.items) == (Decimal("23.14"), Decimal("62.64"))  # 0.7143 h at 32.40; 8 % of waste
    assert stone.overhead == Decimal("15.44")
    assert stone.before_tax == Decimal("126.53")  # 101.22 / 0.8
    assert stone.tax == Decimal("4.38")
    assert stone.total == Decimal("130.91")


def test_a_yard_more_goes_the_whole_way_to_the_tip() -> None:
    """A yard of loam, 27 ft³ at 110 lb, is 0.424 of 7,000 lb though 1.25 yd³ fill a quarter of 5 yd³ only; it is
    dug at 0.75 with many roots, wheeled 95 ft at 2.8, shovelled up at 1.75, driven in 0.85 h and tipped in 0.25 h a
    load. A yard of rock, half as much again once broken, is 27 ft³ at 165 lb."""
    house = designed("block-wall-house/job")
    earth, rock = unit("earth", house.site), unit("rock", house.site)
    loads = 27 * 110 / 7000
    assert dict(earth.extra.items)["haul.load"] == dict(earth.extra.items)["dump.load"] == pytest.approx(loads)
    assert earth.extra.hours == pytest.approx(1.4 / 0.75 + 1.25 * (1 / 2.8 + 1 / 1.75) + loads * (0.85 + 0.25))
    heavy = 27 * 165 / 7000
    assert dict(rock.extra.items)["haul.load"] == pytest.approx(heavy)
    assert rock.extra.hours == pytest.approx(1 / 0.15 + 1.5 * (1 / 2.8 + 1 / 1.75) + heavy * (0.85 + 0.25))


def test_a_yard_more_is_hauled_at_no_less_than_the_job_s_own_spoil() -> None:
    """What the plan spends on a bank yard that leaves is the least that a yard more must bring."""
    for name in ("block-wall-house", "metric-basement", "sloping-lot", "two-basins"):
        house = designed(f"{name}/job")
        dig, earth = house.build.dig, unit("earth", house.site)
        leaves = dig.haul_volume / (1 + dig.swell)
        own = sum(task.hours for task in house.build.plan.tasks if task.key in ("haul", "haul-even")) / leaves
        dug = {"many": 1.4, "few": 1.1, "none": 1.0}[house.job.ground.roots] / 0.75
        unit_size = YARD**3 if house.job.units == "US" else 1.0
        part = dig.haul_mass / leaves / house.job.equipment.trailer_payload
        assert earth.extra.hours / unit_size - dug / YARD**3 == pytest.approx(own, rel=0.12), name  # whole loads
        assert dict(earth.extra.items)["haul.load"] / unit_size == pytest.approx(part), name


def test_one_more_coat_is_of_what_the_wall_gets() -> None:
    """Waterproofing, 20 ft² a gallon for its film of two coats: 1/40 gal a coat and 10 % of waste, at 186.00 a pail."""
    coat = unit("coat", designed("two-basins/job").site)
    ((key, pails),) = coat.extra.items
    assert key == "coating.waterproofing"
    assert pails == pytest.approx(1.1 / 40 / 5)
    assert coat.items == Decimal("1.02")
    damp = unit("coat", designed("block-wall-house/job").site)
    assert damp.extra.items == (("coating.damp-proofing", pytest.approx(1.1 / 45 / 5)),)


def test_more_fill_goes_the_way_of_the_drawn_fill() -> None:
    """A yard in place is 1.4 yd³ loose clay, 5 % more is bought at 34.00; it is told only where ground is shaped."""
    mended = designed("wrong-choices/mended").site
    fill = unit("fill", mended)
    ((key, yards),) = fill.extra.items
    assert (key, yards) == ("fill.clayey", pytest.approx(1.4 * 1.05))
    assert fill.items == Decimal("49.98")
    assert "fill" not in {one.extra.what for one in designed("soak-lot/job").build.unit_prices}
    with pytest.raises(JobError, match="no ground is shaped here"):
        small(offer={"allowances": [{"what": "fill", "quantity": 2}]})


def test_every_unit_price_is_its_parts() -> None:
    for one in unit_prices(make_site(), BOOK):
        assert one.total == one.labour + one.items + one.overhead + one.profit + one.tax
        assert one.total > 0
        assert all(part == part.quantize(CENT) for part in (one.labour, one.items, one.overhead, one.profit, one.tax))


def test_harder_ground_costs_more_a_yard() -> None:
    def earth(**ground: str) -> Decimal:
        site = make_site(ground={"texture": "sandy loam, measured", "osha_type": "C, measured", **ground})
        return next(one.total for one in unit_prices(site, BOOK) if one.extra.what == "earth")

    assert earth(roots="heavy") > earth(roots="few") > earth(roots="none")
    assert earth(texture="clay, measured") > earth(texture="sand, measured")


def test_an_allowance_is_in_the_price_at_its_unit_price() -> None:
    plain = small().price
    with_rock = small(offer={"allowances": [{"what": "rock", "quantity": 2}]})
    rock = next(one for one in with_rock.unit_prices if one.extra.what == "rock")
    assert rock.included == 2.0
    assert with_rock.price.allowances == 2 * rock.before_tax
    assert with_rock.price.total == plain.total + 2 * rock.total
    assert with_rock.price.profit == plain.profit


def test_an_allowance_that_does_not_apply_is_refused() -> None:
    with pytest.raises(JobError, match="no wall is opened"):
        build_side(make_site(walls=(), offer={"allowances": [{"what": "coat", "quantity": 10}]}), make_system())


def test_the_least_charge_raises_the_price_by_profit_alone() -> None:
    plain = small().price
    least = cents(plain.before_tax + 1000)
    raised = small(offer={"minimum_charge": str(least)}).price
    assert raised.before_tax == least == raised.minimum
    assert raised.cost == plain.cost
    assert raised.profit == plain.profit + 1000
    below = small(offer={"minimum_charge": "1.00"}).price
    assert below == plain
    assert below.minimum is None


HOURS = lists(decimals("0.00", "80.00", places=2), min_size=len(WORKS), max_size=len(WORKS))


@settings(max_examples=150, deadline=None)
@given(HOURS, decimals("0.00", "60.00", places=2), decimals("0.00", "1.00", places=3), integers(0, 4000))
def test_payments_make_the_price_and_never_run_ahead(
    hours: list[Decimal], stone: Decimal, share: Decimal, cap: int
) -> None:
    plan, takeoff = plan_of(tuple(float(item) for item in hours)), takeoff_of(float(stone))
    rules = Rules.model_validate({"deposit_fraction": f"{share * 100} %", "deposit_cap": cap})
    priced = price(takeoff, plan, BOOK, rules)
    made = payments(priced, plan, takeoff, rules)
    assert sum((item.amount for item in made), Decimal(0)) == priced.total
    assert made[-1].when == "completion"
    assert made[-1].paid == priced.total
    for item in made[:-1]:
        assert item.amount > 0
        assert item.amount == item.amount.quantize(CENT)
        if item.when == "signing":
            assert item.amount <= min(priced.total * share, Decimal(cap))
        else:
            assert item.paid <= max(made[0].paid, priced.total * item.done + CENT * 200)
            assert item.paid <= priced.total * (1 - FINAL)


@settings(max_examples=100, deadline=None)
@given(lists(integers(1, 1000), min_size=1, max_size=5), HOURS)
def test_the_job_s_own_stages_make_the_price_too(parts: list[int], hours: list[Decimal]) -> None:
    names = ("signing", "start", "walls coated", "drains laid", "pump running", "completion")
    whole = sum(parts)
    shares = [round(part / whole, 4) for part in parts[:-1]]
    last = float(Decimal(1) - sum((Decimal(str(share)) for share in shares), Decimal(0)))
    chosen = (*names[: len(parts) - 1], "completion")
    stages = tuple(
        Stage(when=when, share=f"{share * 100:.4f} %")  # type: ignore[arg-type]
        for when, share in zip(chosen, (*shares, last), strict=True)
    )
    plan, takeoff = plan_of(tuple(float(item) for item in hours)), takeoff_of()
    priced = price(takeoff, plan, BOOK, Rules())
    made = payments(priced, plan, takeoff, Rules(), stages)
    assert sum((item.amount for item in made), Decimal(0)) == priced.total
    assert tuple(item.when for item in made) == chosen


def test_what_is_done_by_a_milestone_by_hand() -> None:
    """Labour at 32.40 an hour: set-up, open, clean, coat are 42 h; with pipe and stone 62 h and 6 yd³ of stone."""
    plan, takeoff = plan_of(), takeoff_of()
    priced = price(takeoff, plan, BOOK, Rules())
    done = progress(plan, takeoff, priced)
    hour, stone = Decimal("32.40"), Decimal("348.00")
    direct = 79 * hour + stone
    assert done["signing"] == 0
    assert done["start"] == 4 * hour / direct
    assert done["walls coated"] == 42 * hour / direct
    assert done["drains laid"] == (62 * hour + stone) / direct
    assert done["pump running"] == (57 * hour) / direct
    assert done["completion"] == 1


@pytest.mark.parametrize(
    ("offer", "says"),
    [
        ({"stages": [{"when": "signing", "share": "30 %"}, {"when": "completion", "share": "60 %"}]}, "90 %"),
        ({"stages": [{"when": "completion", "share": "50 %"}, {"when": "signing", "share": "50 %"}]}, "in the order"),
        ({"stages": [{"when": "signing", "share": "100 %"}]}, "'completion'"),
        ({"allowances": [{"what": "rock", "quantity": 1}, {"what": "rock", "quantity": 2}]}, "twice"),
        ({"allowances": [{"what": "rock", "quantity": 0}]}, "greater than 0"),
        ({"options": [{"key": "A", "title": "a", "changes": {}}]}, "at least 1"),
        ({"options": [{"key": "A", "title": "a", "changes": {"x": 1}}] * 2}, "twice"),
        ({"minimum_charge": -5}, "greater than or equal to 0"),
    ],
)
def test_offers_that_make_no_sense_are_refused(offer: dict[str, object], says: str) -> None:
    with pytest.raises(ValueError, match=says):
        Offer.model_validate(offer)
