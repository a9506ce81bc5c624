"""Hours that are paid and not worked: short days by hand, the way, crew sizes, and the cost sheet to the cent."""

from __future__ import annotations

import math
from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainwright.build import build_side
from drainwright.build.book import book_for, demonstration_book
from drainwright.build.model import Build
from drainwright.build.paid import hours_by_person, paid_days, paid_hours
from drainwright.build.price import UNWORKED, cents
from drainwright.design import Design
from drainwright.job.firm import PriceBook
from drainwright.job.firm_book import FirmBook
from drainwright.paper.documents.blocks import Table
from drainwright.paper.documents.cost_sheet import cost_sheet

BOOK = replace(demonstration_book(), least_paid_hours=4.0, travel_hours=0.5)


def test_three_hours_of_work_are_paid_as_four() -> None:
    assert paid_hours(3.0, 0.5, 4.0) == 4.0
    assert paid_hours(3.0, 0.0, 0.0) == 3.0
    assert paid_hours(8.0, 0.5, 4.0) == 8.5


def test_a_short_second_day_by_hand() -> None:
    """Two people for a full day of 8 h; on the next one person for 3 h and another for 1 h of them.

    Day 1: 16 h and 1 h of way. Day 2: 4 h worked, 1 h of way, each paid 4 h: 3 h are paid and not worked.
    """
    first, second = paid_days([(0.0, 8.0, 2), (8.0, 11.0, 1), (8.0, 9.0, 1)], 8.0, BOOK)
    assert (first.day, first.people, first.worked, first.travel, first.unworked) == (1, 2, 16.0, 1.0, 0.0)
    assert (second.day, second.people, second.worked, second.travel, second.unworked) == (2, 2, 4.0, 1.0, 3.0)


def test_a_day_on_which_all_cures_sends_nobody() -> None:
    assert [day.day for day in paid_days([(0.0, 4.0, 2), (16.0, 17.0, 2)], 8.0, BOOK)] == [1, 3]


@given(
    st.lists(st.tuples(st.floats(0, 20), st.floats(0.1, 9), st.integers(1, 4)), min_size=1, max_size=6),
    st.floats(0, 8),
    st.floats(0, 2),
)
def test_all_hours_are_somebody_s_and_nobody_is_paid_less(
    drawn: list[tuple[float, float, int]], least: float, travel: float
) -> None:
    spells = [(start, start + length, people) for start, length, people in drawn]
    worked = math.fsum((end - start) * people for start, end, people in spells)
    assert sum(hours_by_person(spells)) == pytest.approx(worked)
    book = replace(BOOK, least_paid_hours=least, travel_hours=travel)
    days = paid_days(spells, 8.0, book)
    assert sum(day.worked for day in days) == pytest.approx(worked, abs=1e-3)
    for day in days:
        assert day.worked + day.travel + day.unworked >= day.people * max(least, travel) - 1e-6
    none = paid_days(spells, 8.0, replace(book, least_paid_hours=0.0, travel_hours=0.0))
    assert all(day.travel == day.unworked == 0.0 for day in none)


def built(design: Design, people: int, **book: float) -> Build:
    own = design.job.price_book.model_copy(update=book)
    job = design.job.model_copy(update={"crew": design.job.crew.model_copy(update={"size": people}), "price_book": own})
    return build_side(replace(design.site, job=job), design.system)


def test_the_price_depends_on_how_many_people_come(gravity: Design) -> None:
    """Before, a crew of eight cost what a crew of two did."""
    builds = {people: built(gravity, people) for people in (2, 4, 8)}
    for people, build in builds.items():
        price, plan = build.price, build.plan
        lines = {line.key: line for line in price.lines}
        hour = cents(BOOK.wage * (1 + BOOK.burden))
        assert lines["labour.travel"].quantity == pytest.approx(0.5 * sum(day.people for day in plan.paid))
        assert sum(line.amount for line in price.lines if line.category == "labour") == price.labour
        assert float(price.labour) == pytest.approx(
            float(hour) * (plan.hours + plan.travel + plan.unworked), abs=0.01 * len(plan.tasks)
        )
        assert all(day.people <= people for day in plan.paid)
        [used] = [way for way in plan.ways if way.used]
        assert abs(used.labour - price.labour) < Decimal("0.50")
        assert plan.doubt is not None
        assert plan.doubt.labour_likely > cents(Decimal(str(plan.doubt.hours_likely)) * hour)
    assert len({build.price.total for build in builds.values()}) == 3
    assert builds[8].plan.unworked > builds[2].plan.unworked
    assert builds[8].plan.hours == pytest.approx(builds[2].plan.hours, rel=0.05)


def test_nought_turns_both_off(gravity: Design) -> None:
    build = built(gravity, 4, least_paid_hours=0.0, travel_hours=0.0)
    keys = {line.key for line in build.price.lines}
    assert not keys & {"labour.travel", "labour.unworked"}
    assert build.plan.travel == build.plan.unworked == 0.0


def test_the_firm_s_book_and_the_job_say_them() -> None:
    firm = {"schema_version": 1, "name": "Ours", "dated": "2026-03-01", "labour": {"least_paid_hours": 2}}
    book = book_for(PriceBook(book=FirmBook.model_validate(firm), travel_hours=0.25))
    assert (book.least_paid_hours, book.travel_hours) == (2.0, 0.25)
    assert (book_for(PriceBook()).least_paid_hours, book_for(PriceBook()).travel_hours) == (4.0, 0.5)


def test_the_cost_sheet_tells_them_on_lines_of_their_own(gravity: Design) -> None:
    build = built(gravity, 8)
    design = replace(gravity, build=build)
    [table] = [
        block for block in cost_sheet(design, {}).blocks
        if isinstance(block, Table) and block.columns[0].head == "Work" and block.columns[2].head == "Hours"
    ]  # fmt: skip
    rows = {str(row[0]): row for row in table.rows}
    assert UNWORKED in rows
    assert "The way to the job and back" in rows
    hours = [float(str(row[2]).replace(",", "")) for row in table.rows]
    money = [Decimal(str(row[3]).strip("$").replace(",", "")) for row in table.rows]
    assert hours[-1] == pytest.approx(build.plan.hours + build.plan.travel + build.plan.unworked, abs=0.0051)
    assert hours[-1] == pytest.approx(sum(hours[:-1]), abs=1e-6)  # what is shown adds
    assert sum(money[:-1]) == money[-1] == build.price.labour
