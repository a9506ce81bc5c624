"""An allowance of rock moves the days as well as the price, by the hours that its unit price charges."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from drainwright.build.book import demonstration_book
from drainwright.build.extras import unit_prices
from drainwright.build.model import Build
from drainwright.build.rock_days import rock_days
from drainwright.build.schedule import Work
from drainwright.build.side import build_side
from drainwright.design import design
from drainwright.job.firm import Crew
from drainwright.job.offer import Offer
from drainwright.paper.documents.cost_sheet import cost_sheet
from drainwright.paper.documents.crew import crew_packet
from drainwright.paper.documents.crew_spanish import crew_packet_spanish
from drainwright.paper.documents.proposal import proposal

from ..conftest import designed
from .sample import make_site, make_system

BOOK = demonstration_book()


def built(quantity: float) -> Build:
    offer = {"allowances": [{"what": "rock", "quantity": quantity}]} if quantity else {}
    return build_side(make_site(offer=offer), make_system())


def test_by_hand() -> None:
    """40 h of digging by 4 people in days of 8 h are 1.25 days; rock of 30 h makes it 17.5 h, the third day."""
    rock = next(one for one in unit_prices(make_site(), BOOK) if one.extra.what == "rock")
    rock = replace(rock, extra=replace(rock.extra, hours=15.0), included=2.0)
    dig = Work(key="trench", title="Dig", hours=40.0, quantity="")
    told = rock_days((dig,), (rock,), Crew(size=4, hours_per_day=8.0), BOOK)
    assert told is not None
    assert told.hours == 30.0
    assert told.days == math.ceil(70.0 / 4 / 8) == 3
    assert rock_days((dig,), (replace(rock, included=0.0),), Crew(size=4), BOOK) is None


def test_the_rock_is_met_where_it_moves_the_end_most() -> None:
    """Each work has one person: rock in the wall's dig costs no day; in the trench it does."""
    rock = next(one for one in unit_prices(make_site(), BOOK) if one.extra.what == "rock")
    rock = replace(rock, extra=replace(rock.extra, hours=8.0), included=1.0)
    works = (
        Work(key="open", title="Open", hours=8.0, quantity="", most=1),
        Work(key="trench", title="Dig", hours=24.0, quantity="", most=1),
    )
    told = rock_days(works, (rock,), Crew(size=2, hours_per_day=8.0), BOOK)
    assert told is not None
    assert told.days == 4


def test_no_allowance_is_no_word() -> None:
    assert built(0).plan.rock is None


@pytest.mark.parametrize("quantity", [0.1, 1.0, 4.0, 12.0])
def test_rock_never_shortens_the_plan(quantity: float) -> None:
    plain, build = built(0), built(quantity)
    rock = build.plan.rock
    assert rock is not None
    assert replace(build.plan, rock=None) == plain.plan
    assert plain.plan.doubt is not None
    assert rock.days >= plain.plan.days
    assert rock.days_likely >= plain.plan.doubt.days_likely
    assert rock.days_bad >= max(rock.days_likely, plain.plan.doubt.days_bad)
    unit = next(one for one in build.unit_prices if one.extra.what == "rock")
    assert rock.hours == pytest.approx(quantity * unit.extra.hours)


def test_much_rock_takes_days_more() -> None:
    plain, build = built(0), built(12.0)
    assert build.plan.rock is not None
    least = build.plan.rock.hours / build.plan.crew / build.plan.day_length
    assert least > 1
    assert build.plan.rock.days >= plain.plan.days + math.floor(least)


def test_the_papers_tell_it() -> None:
    job = designed("block-wall-house/job").job
    offer = Offer.model_validate({"allowances": [{"what": "rock", "quantity": 4}]})
    made = design(job.model_copy(update={"offer": offer}))
    rock = made.build.plan.rock
    assert rock is not None
    assert rock.days > made.build.plan.days
    for paper in (proposal, cost_sheet, crew_packet):
        told = repr(paper(made, {}).blocks)
        assert "With the rock allowed for" in told, paper.__name__
        assert "rock allowed for" not in repr(paper(designed("block-wall-house/job"), {}).blocks)
    assert f"With the rock allowed for: likely {rock.days_likely} working days" in repr(proposal(made, {}).blocks)
    spanish = repr(crew_packet_spanish(made, {}).blocks)
    assert "Con la roca prevista" in spanish
    assert f"'{rock.days} días'" in spanish
