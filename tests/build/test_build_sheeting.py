"""Where a buried line lies across shields: the protection that is told is what is hired and counted in hours."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainwright.build.book import book_for
from drainwright.build.guarded import GuardedPlace
from drainwright.build.handling import Rates
from drainwright.build.hire import sets_along, shield_hire
from drainwright.build.hire_moving import with_moving
from drainwright.build.model import LineAtShields
from drainwright.build.schedule import Work, arrange
from drainwright.build.sheeting import CLEAR, clear_span, guard_of
from drainwright.design import Design
from drainwright.findings.rules import Severity
from drainwright.job.firm import PriceBook
from drainwright.paper.documents.say import Say
from drainwright.paper.documents.shield_paper import shield_blocks

from ..conftest import designed
from ..paper.test_spanish import texts

SET, BAY = 8.0, 4.0
RATES = Rates(book_for(PriceBook()), "US")


def place(length: float, *gaps: tuple[float, float], **changes: Any) -> GuardedPlace:
    """A bared length of a wall, or what the changes make of it, with lines across."""
    lines = tuple(LineAtShields(line=f"line {n}", across=True, span=gap) for n, gap in enumerate(gaps))
    given_: dict[str, Any] = {
        "trench": "north", "kind": "wall", "panel": 1, "length": length, "at_walls": True, "work": "open",
        "passes": ("",), "stoned": False, "lines": lines,
    }  # fmt: skip
    return GuardedPlace(**{**given_, **changes})


def test_a_length_shorter_than_a_set_with_a_line_across_is_sheeted_whole() -> None:
    assert guard_of(place(7.9, (3.0, 5.0)), SET, BAY) == (0, 7.9, 2)
    assert guard_of(place(7.9), SET, BAY) == (1, 0.0, 0)  # without the line, one set


def test_sets_stand_where_they_fit_and_the_rest_is_sheeted() -> None:
    # 20 ft, the line's clear room from 9 to 11: a set from 0 to 8, one from 12 to 20, 4 ft between them
    assert guard_of(place(20.0, (9.0, 11.0)), SET, BAY) == (2, 4.0, 1)
    # from 7 to 9: none fits before it, one behind
    assert guard_of(place(20.0, (7.0, 9.0)), SET, BAY) == (1, 12.0, 3)


def test_past_the_open_end_of_a_run_a_set_may_stand_over() -> None:
    run = {"kind": "run", "panel": 0, "trench": "FD1"}
    assert guard_of(place(12.0, (5.0, 7.0), **run), SET, BAY) == (2, 2.0, 1)
    # between two lines it may not: both its ends are shut there
    assert guard_of(place(20.0, (5.0, 7.0), (12.0, 14.0), **run), SET, BAY) == (2, 9.0, 3)


def test_a_hole_that_a_line_crosses_is_sheeted_on_all_its_sides() -> None:
    assert guard_of(place(5.0, (0.0, 5.0), kind="basin", panel=0, trench="SUMP"), SET, BAY) == (0, 5.0, 4)


@given(
    length=st.integers(1, 60),
    cuts=st.lists(st.tuples(st.integers(0, 60), st.integers(1, 6)), min_size=1, max_size=3),
)
def test_no_set_stands_over_a_line_and_every_foot_is_guarded(length: int, cuts: list[tuple[int, int]]) -> None:
    gaps = [(float(min(at, length)), float(min(at + wide, length))) for at, wide in cuts]
    guard = guard_of(place(float(length), *gaps), SET, BAY)
    # by brute force: the most whole sets that lie on free feet alone, each foot taken once
    free = [not any(a < foot + 1 and foot < b for a, b in gaps) for foot in range(length)]
    most, at = 0, 0
    while at + SET <= length:
        if all(free[at : at + int(SET)]):
            most, at = most + 1, at + int(SET)
        else:
            at += 1
    assert guard.sets == most
    assert guard.sheeted == pytest.approx(length - SET * most)
    assert guard.bays >= math.ceil(guard.sheeted / BAY - 1e-9)
    assert guard.bays <= math.ceil(guard.sheeted / BAY) + len(gaps)


def test_a_foot_is_kept_clear_on_both_sides_of_a_line() -> None:
    assert clear_span([5.0], 0.05, (2.0, 12.0)) == pytest.approx((3.0 - 0.05 - CLEAR, 3.0 + 0.05 + CLEAR))
    assert clear_span([5.0, 6.0], 0.0, (5.0, 6.0)) == (0.0, 1.0)


def metric() -> Design:
    """The half basement: the water main lies across length 11 of its drain's dig."""
    return designed("metric-basement/job")


def test_what_the_sheet_tells_is_hired_and_counted_in_hours() -> None:
    design = metric()
    hire = design.build.shields
    assert hire is not None
    [item] = [item for item in hire.places if any(met.across for met in item.lines)]
    assert (item.sets, item.bays) == (0, 2)  # 2.24 m, and a set has 2.44
    assert item.sheeted == item.length
    line = next(line for line in design.build.takeoff.lines if line.key == "hire.sheeting")
    assert line.quantity == hire.bay_days == sum(hire.bays)
    assert len(hire.bays) == 2
    assert line.where == item.where
    assert next(one for one in design.build.price.lines if one.key == "hire.sheeting").amount > 0
    task = next(task for task in design.build.plan.tasks if "bays of sheeting" in task.quantity)
    assert "2 at 1.5 h/each" in task.quantity
    assert "both sides of the water main before anyone goes in" in task.hold
    told = " ".join(texts(shield_blocks(design, Say(design.job.units))))
    assert "2 bays of sheeting" in told
    assert "not ordered" not in told
    [found] = [one for one in design.findings if one.id == "DIG-25"]
    assert found.severity is Severity.CAUTION
    assert "2 bays of sheets" in found.advice


def test_a_length_is_guarded_once() -> None:
    """Sets of the other places are those that were counted before, so that no set is hired where none fits."""
    hire = metric().build.shields
    assert hire is not None
    for item in hire.places:
        if not item.bays:
            assert item.sets == sets_along(item.length, hire.set_length)


def test_bays_take_their_hours_once() -> None:
    work = Work(key="open", title="Open", hours=10.0, quantity="1 yd³", hold="look")
    [done] = with_moving((work,), (place(20.0 * 0.3048, (7.0 * 0.3048, 9.0 * 0.3048)),), RATES)
    assert done.hours == pytest.approx(10.0 + 1 * 1.0 + 3 * 1.5)
    assert done.hold == "look; sheets and struts stand on both sides of the line 0 before anyone goes in there"


def test_sheets_may_stand_longer_than_any_set() -> None:
    """A place with sets is filled on the first day; one that is sheeted whole stands open to the fourth."""
    works = [
        Work(key="open", title="", hours=2.0, quantity=""),
        Work(key="stone", title="", hours=1.0, quantity="", after=("open",)),
        Work(key="trench", title="", hours=16.0, quantity="", after=("stone",)),
        Work(key="backfill", title="", hours=8.0, quantity="", after=("trench",)),
    ]
    sheeted = place(7.9 * 0.3048, (3.0 * 0.3048, 5.0 * 0.3048))
    early = place(2.0, trench="FD1", kind="run", panel=0, at_walls=False, work="open", stoned=True)
    hire = shield_hire([sheeted, early], arrange(works, 1, 8.0), 8.0, 0.0, RATES)
    assert hire is not None
    assert hire.bays == (4.0, 4.0)
    assert [item.stands for item in hire.places] == [(1, 4), (1, 1)]
