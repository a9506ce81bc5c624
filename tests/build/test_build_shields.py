"""Shields: what is deep with people in it, how many sets at once, and for how many days each is there."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from itertools import permutations
from typing import Any

import pytest
from hypothesis import given
from hypothesis.strategies import DrawFn, composite, floats, integers, sampled_from

from drainwright.build import build_side
from drainwright.build.book import book_for
from drainwright.build.guarded import GuardedPlace, guarded_places
from drainwright.build.handling import Rates
from drainwright.build.hire import (
    Stay,
    days_words,
    last_hours,
    needed_by_day,
    runs_of_days,
    sets_along,
    shield_hire,
    standing_by_day,
    stay_in,
)
from drainwright.build.hire_moving import with_moving
from drainwright.build.hire_terms import HireTerms, charged_days, hired_days
from drainwright.build.model import Build
from drainwright.build.panels import bared_lengths
from drainwright.build.passes import EVEN
from drainwright.build.schedule import Work, arrange
from drainwright.build.side import dig_plan, measured
from drainwright.build.trench import cuts
from drainwright.build.units import FOOT, INCH
from drainwright.build.uses import task_of
from drainwright.build.working_days import WorkingDays
from drainwright.job.firm import PriceBook
from drainwright.system.model import System

from .sample import GROUND, feet, make_node, make_run, make_site, make_system, make_utility, make_wall
from .test_build_panels import built

LIMIT = 5 * FOOT  # 29 CFR 1926.652(a)(1)(ii): less than 5 ft may do without, seen; 5 ft may not


def alone(*runs: Any) -> System:
    nodes = {
        name: make_node(name, "junction", feet(0, 0), GROUND - 1) for run in runs for name in (run.upper, run.lower)
    }
    return System(nodes=nodes, runs=runs, gravity=(), joined=None, discharge="OUT")


def places(system: System, walls: tuple[Any, ...] = (), **changes: Any) -> tuple[GuardedPlace, ...]:
    site = make_site(walls=walls, ground={"texture": "sandy loam, measured", "osha_type": "C, measured"}, **changes)
    digs = cuts(site, system)
    return guarded_places(site, system, digs, dig_plan(site, digs, ()))


def line_of(build: Build) -> Any:
    return next((line for line in build.takeoff.lines if line.key == "hire.shield"), None)


def sloped(low: float, high: float, length: float = 10.0) -> Any:
    """A run away from the house whose trench falls from one depth to another. [m]"""
    pipe_down = 0.075 * INCH + 2 * INCH
    return make_run(
        "DL", ((0.0, -20.0), (length, -20.0)), GROUND - low + pipe_down, GROUND - high + pipe_down, ends=("a", "b")
    )


@pytest.mark.parametrize(("low", "high"), [(1.2, 1.8), (1.4, 1.6), (1.0, 3.0)])
def test_only_what_is_deeper_than_five_feet_counts(low: float, high: float) -> None:
    """A bottom that falls in a straight line: deep is the part of its length beyond 5 ft."""
    [place] = places(alone(sloped(low, high)))
    assert place.length == pytest.approx(10.0 * (high - LIMIT) / (high - low), abs=1e-3)
    assert (place.kind, place.panel, place.at_walls) == ("run", 0, False)


def test_a_shallow_trench_needs_none_and_five_feet_do() -> None:
    assert places(alone(sloped(1.0, LIMIT - 0.001))) == ()
    [place] = places(alone(sloped(LIMIT, LIMIT)))
    assert place.length == pytest.approx(10.0)


@pytest.mark.parametrize(("kind", "live", "lengths"), [
    ("gas", True, [2.0, 4.0]), ("electric", True, [2.0, 4.0]), ("propane", True, [2.0, 4.0]),
    ("gas", False, [10.0]), ("sewer", True, [10.0]),
])  # fmt: skip
def test_no_shields_stand_where_a_live_dangerous_line_lies_along_inside(
    kind: str, live: bool, lengths: list[float]
) -> None:
    """29 CFR 1926.651(b)(4), seen as quoted: lines in an open excavation are protected, supported or removed."""
    line = make_utility("old line", kind, ((2.0, -20.1), (6.0, -20.1)), 1.0, live=live)
    found = places(alone(sloped(2.0, 2.0)), utilities=(line,))
    assert [place.length for place in found] == pytest.approx(lengths, abs=1e-3)


def test_where_no_shield_fits_none_is_hired_and_none_of_the_firm_s_goes_along() -> None:
    line = make_utility("gas service", "gas", ((-1.0, -20.1), (11.0, -20.1)), 1.0)
    for owned in ([], ["shields"]):
        changes = {"ground": {"texture": "sandy loam, measured", "osha_type": "C, measured"},
                   "equipment": {"owned": owned}}  # fmt: skip
        free = build_side(make_site(walls=(), **changes), alone(sloped(2.0, 2.0)))
        barred = build_side(make_site(walls=(), utilities=(line,), **changes), alone(sloped(2.0, 2.0)))
        assert free.shields is not None
        assert (line_of(free) is not None) == (owned == [])
        assert any(tool.key == "shields" for tool in free.takeoff.tools) == (owned != [])
        assert barred.shields is None
        assert line_of(barred) is None
        assert not any(tool.key == "shields" for tool in barred.takeoff.tools)


def test_shields_are_named_as_what_the_crew_can_set() -> None:
    """The order told a crew that digs by hand of shields that a machine lifts; the safe-dig sheet of panels."""
    for excavator in (False, True):
        for owned in ([], ["shields"]):
            changes = {"ground": {"texture": "sandy loam, measured", "osha_type": "C, measured"},
                       "equipment": {"excavator": excavator, "owned": owned}}  # fmt: skip
            build = build_side(make_site(walls=(), **changes), alone(sloped(2.0, 2.0)))
            tools = [tool.name for tool in build.takeoff.tools if tool.key == "shields"]
            [name] = tools if owned else [line_of(build).description]
            assert ("light panels or shores" in name) != excavator


def test_setting_and_pulling_takes_hours_of_the_work_that_digs() -> None:
    """20 m and 6 m deep throughout: 9 and 3 sets of 8 ft, an hour and a half each; the walls' dig in two passes."""
    yard, wall = (places(alone(sloped(2.0, 2.0, length)))[0] for length in (20.0, 6.0))
    second = replace(wall, kind="wall", work="open", panel=2, at_walls=True, passes=(EVEN,))
    works = tuple(Work(key=key, title=key, hours=10.0, quantity="1") for key in ("open", "open-even", "trench", "pipe"))
    rates = Rates(book_for(PriceBook(rates={"shield.set": 1.5})), "US")
    found = {work.key: work for work in with_moving(works, (yard, second), rates)}
    assert [found[key].hours for key in found] == pytest.approx([10.0, 10.0 + 3 * 1.5, 10.0 + 9 * 1.5, 10.0])
    assert "9 at 1.5 h/each" in found["trench"].quantity
    assert with_moving(works, (), rates) == works


def test_stable_rock_needs_none() -> None:
    system, rock = alone(sloped(2.0, 2.0)), {"texture": "sandy loam, measured", "osha_type": "stable rock, measured"}
    site = make_site(walls=(), ground=rock)
    digs = cuts(site, system)
    assert guarded_places(site, system, digs, dig_plan(site, digs, ())) == ()


def test_an_assumed_footing_may_lie_half_a_foot_deeper() -> None:
    """29 CFR 1926.652(a)(1) asks for the depth dug; nobody measured this footing."""

    low = GROUND - LIMIT + 0.1 - 8 * INCH  # the footing's top, where the dig ends, is 0.1 m above the limit
    nothing = System(nodes={}, runs=(), gravity=(), joined=None, discharge="OUT")
    found = {}
    for basis in ("measured", "assumed"):
        wall = make_wall("front", feet(0, 0), feet(20, 0), footing=low, footing_bottom=f"{low} m, {basis}")
        found[basis] = sum(place.length for place in places(nothing, (wall,)))
    assert found == {"measured": 0.0, "assumed": pytest.approx(20 * FOOT)}


def test_a_wall_is_counted_by_its_bared_lengths_and_its_drain_not_again() -> None:
    """A wall of 20 ft, 9 ft deep, in lengths of 6 ft 8 in: three places, odd, even, odd; the drain lies in them."""
    deep = 9 * FOOT
    wall = make_wall(
        "front", feet(0, 0), feet(20, 0), footing=GROUND - deep, footing_bottom=f"{GROUND - deep} m, measured"
    )
    low = GROUND - deep + 2 * INCH + 0.002
    system = alone(make_run("FD", (feet(0, -1), feet(20, -1)), low, low, ends=("a", "b"), walls=("front",)))
    found = places(system, (wall,))
    lengths = bared_lengths(make_site(walls=(wall,)), system, 8 * FOOT)
    assert [(place.name, place.passes) for place in found] == [
        ("front, length 1", ("",)),
        ("front, length 2", (EVEN,)),
        ("front, length 3", ("",)),
    ]
    assert [place.length for place in found] == pytest.approx([item.end - item.start for item in lengths])
    assert all(place.at_walls and not place.stoned for place in found)


def test_a_drain_beside_a_wall_that_stays_closed_is_counted_by_the_wall_s_lengths() -> None:
    deep = 9 * FOOT
    wall = make_wall("front", feet(0, 0), feet(20, 0), footing=GROUND - deep, open_and_coat=False)
    low = GROUND - deep + 2 * INCH
    system = alone(make_run("FD", (feet(0, -1), feet(20, -1)), low, low, ends=("a", "b"), walls=("front",)))
    found = places(system, (wall,))
    assert [(place.trench, place.panel) for place in found] == [("FD", 1), ("FD", 2), ("FD", 3)]
    assert sum(place.length for place in found) == pytest.approx(20 * FOOT)


def test_a_shallow_leader_in_a_deep_hole_takes_no_shield_of_its_own() -> None:
    """A leader a foot deep that runs through a wall's dig 9 ft deep: guarded as the hole is, and one shield."""
    deep = 9 * FOOT
    wall = make_wall(
        "front", feet(0, 0), feet(20, 0), footing=GROUND - deep, footing_bottom=f"{GROUND - deep} m, measured"
    )
    route = (feet(2, -1.5), feet(18, -1.5), feet(18, -10))
    for down, own in ((1.0 * FOOT, 0), (6.0 * FOOT, 1)):
        leader = make_run("L2", route, GROUND - down, GROUND - down, ends=("a", "b"), duty="leader", stone=0.0)
        found = places(alone(leader), (wall,))
        assert sum(place.trench == "L2" for place in found) == own
        assert sum(place.trench == "front" for place in found) == 3


def test_shields_are_hired_for_the_days_with_people_below_the_limit() -> None:
    build = built(9 * FOOT, coating={"kind": "damp-proofing", "coats": 2})
    assert build.shields is not None
    day = {task.key: task.day for task in build.plan.tasks}
    last = max(hands.day for task in build.plan.tasks if task.key == "backfill-even" for hands in task.by_day)
    on = {item.where: item.days for item in build.shields.places}
    assert on["front, length 1"][0] == day["open"]
    assert on["front, length 2"][0] == day["open" + EVEN]
    assert on["front, length 2"][-1] == last
    assert build.shields.days[0] == charged_days(last - day["open"] + 1, 4.0)
    assert line_of(build).quantity == build.shields.set_days
    assert line_of(built(3 * FOOT)) is None
    assert built(3 * FOOT).shields is None


def test_the_basin_s_hole_counts_only_while_it_stands_open() -> None:
    """Dug last, and stone brings it up: before, it was hired for from the first trench to the last backfill."""
    build = build_side(make_site(), make_system())
    assert build.shields is not None
    [place] = build.shields.places
    task = {item.key: item for item in build.plan.tasks}
    [trench] = [item for item in build.dig.trenches if item.kind == "basin"]
    assert (place.where, place.length) == ("SUMP", trench.width)
    first = int(task["trench"].end / build.plan.day_length - 1e-6) + 1
    assert place.days[0] in (first - 1, first)
    stone = max(task[key].end for key in task if key.startswith("stone"))
    assert place.days[-1] <= int(stone / build.plan.day_length - 1e-6) + 1
    assert (line_of(build).where, task_of(line_of(build), {})) == ("SUMP", "trench")
    assert task_of(line_of(built(9 * FOOT)), {}) == "open"
    assert task["trench"].title == "Dig the drains beyond the opened walls, the basin's hole last"


def test_a_set_s_length_and_least_days_are_the_book_s() -> None:
    def days(**rates: float) -> float:
        own = PriceBook.model_validate({"rates": {key.replace("_", "."): value for key, value in rates.items()}})
        rates_ = Rates(book_for(own), "US")
        places_ = measured(make_site(), make_system()).guarded
        works = [Work(key="trench", title="", hours=8.0, quantity=""),
                 Work(key="basin", title="", hours=8.0, quantity="", after=("trench",), most=2),
                 Work(key="backfill", title="", hours=1.0, quantity="", after=("basin",))]  # fmt: skip
        hire = shield_hire(places_, arrange(works, 2, 8.0), 8.0, 2.0, rates_)
        assert hire is not None
        return hire.set_days

    usual = days()
    assert days(shield_length=1.0) >= 3 * usual
    assert days(**{"shield_days-least": 30.0}) == 4 * 4.0 + 2.0  # four weeks and two days


def test_the_basin_s_hole_is_dug_in_the_last_hours_of_the_digging() -> None:
    [placed] = arrange([Work(key="trench", title="", hours=32.0, quantity="")], 4, 8.0)
    assert last_hours(placed, 6.0, 2) == pytest.approx(8.0 - 3.0)
    assert last_hours(placed, 60.0, 2) == 0.0


def test_waits_keep_the_set_where_it_stands() -> None:
    works = [
        Work(key="open", title="", hours=8.0, quantity=""),
        Work(key="coat-1", title="", hours=2.0, quantity="", after=("open",), wait=72.0),
        Work(key="backfill", title="", hours=4.0, quantity="", after=("coat-1",)),
    ]
    place = GuardedPlace(
        trench="west", kind="wall", work="open", panel=0, length=2.0, at_walls=True, passes=("",), stoned=False
    )
    hire = shield_hire([place], arrange(works, 1, 8.0), 8.0, 0.0, Rates(book_for(PriceBook()), "US"))
    assert hire is not None
    assert hire.needed == (1, 1, 1, 1, 1)  # it stays in while the coat cures
    assert hire.places[0].stands == (1, 5)
    assert hire.days == (4.0,)  # five days are charged as a week
    assert hire.places[0].days == (1, 2, 5)


def test_stone_that_brings_the_bottom_up_ends_the_need() -> None:
    works = [
        Work(key="trench", title="", hours=8.0, quantity=""),
        Work(key="basin", title="", hours=8.0, quantity="", after=("trench",)),
        Work(key="round", title="", hours=8.0, quantity="", after=("basin",)),
        Work(key="backfill", title="", hours=8.0, quantity="", after=("round",)),
    ]
    placed = arrange(works, 1, 8.0)
    pit = GuardedPlace(
        trench="SUMP", kind="basin", work="trench", panel=0, length=1.2, at_walls=False, passes=("",), stoned=True
    )
    assert stay_in(pit, 1, placed, 3.0).spells == (
        ("trench", 5.0, 8.0, 1), ("basin", 8.0, 16.0, 1), ("round", 16.0, 24.0, 1),
    )  # fmt: skip
    assert stay_in(replace(pit, stoned=False), 1, placed, 3.0).spells[-1] == ("backfill", 24.0, 32.0, 1)


KEYS = ("open", "clean", "bed")


@composite
def stays(draw: DrawFn) -> list[tuple[float, Stay]]:
    """Lengths and stays at works that go on at the same time, by few people, in several places. [m], [h]"""
    count = draw(integers(1, 4))
    works = {
        key: (start := draw(integers(0, 30)) / 2, start + draw(integers(1, 20)) / 2, draw(integers(1, 2)))
        for key in KEYS
    }
    found = []
    for _ in range(count):
        on = [key for key in KEYS if draw(integers(0, 1))]
        length = draw(floats(0.1, 9.0))
        found.append((length, Stay(0, tuple((key, *works[key]) for key in on))))
    return found


def most_length(at: float, places_: list[tuple[float, Stay]]) -> float:
    """The most metres that the people at work can be in, each placed in every way."""
    people: list[str] = []
    for key in KEYS:
        hands = {p for _, stay in places_ for k, a, b, p in stay.spells if k == key and a <= at < b}
        people += [key] * max(hands, default=0)
    open_ = [(length, {k for k, a, b, _ in stay.spells if a <= at < b}) for length, stay in places_]
    best = 0.0
    spots: list[int | None] = [*range(len(open_)), *([None] * len(people))]
    for order in permutations(spots, len(people)):
        if all(spot is None or who in open_[spot][1] for who, spot in zip(people, order, strict=True)):
            best = max(best, sum(open_[spot][0] for spot in order if spot is not None))
    return best


@given(places_=stays(), set_length=sampled_from([0.5, 1.8288, 2.4384, 4.0]), longer=floats(1.0, 3.0))
def test_sets_guard_all_that_people_can_be_in_on_every_day_and_longer_sets_are_never_more(
    places_: list[tuple[float, Stay]], set_length: float, longer: float
) -> None:
    def needed(each: float) -> tuple[int, ...]:
        return needed_by_day([stay._replace(sets=sets_along(length, each)) for length, stay in places_], 8.0)

    counts = needed(set_length)
    for half in range(60):
        at = half / 2
        day = int(at // 8.0)
        metres = counts[day] * set_length if day < len(counts) else 0.0
        assert metres >= most_length(at, places_) - 1e-6
    assert all(few <= many for few, many in zip(needed(set_length * longer), counts, strict=True))


@given(places_=stays(), set_length=sampled_from([0.5, 1.8288, 2.4384, 4.0]))
def test_every_place_has_its_own_sets_from_the_first_who_goes_in_to_the_last(
    places_: list[tuple[float, Stay]], set_length: float
) -> None:
    """Half hour by half hour, each place by itself; one set never guards two places."""
    all_ = [stay._replace(sets=sets_along(length, set_length)) for length, stay in places_]
    most: dict[int, int] = {}
    for half in range(120):
        at = half / 2
        here = sum(
            stay.sets
            for stay in all_
            if stay.spells and min(s[1] for s in stay.spells) <= at < max(s[2] for s in stay.spells)
        )
        most[int(at // 8.0)] = max(most.get(int(at // 8.0), 0), here)
    counts = standing_by_day(all_, 8.0)
    assert counts == tuple(most[day] for day in range(len(counts)))
    assert all(most[day] == 0 for day in range(len(counts), 7))


@given(set_length=floats(0.5, 20.0), longer=floats(1.0, 4.0), length=floats(0.01, 100.0))
def test_sets_reach_from_end_to_end(set_length: float, longer: float, length: float) -> None:
    assert sets_along(length, set_length) * set_length >= length - 1e-6
    assert sets_along(length, set_length * longer) <= sets_along(length, set_length)


def test_days_of_hire_by_hand() -> None:
    """Needed on days 2 to 4 and 6: five days; the second set on day 3 alone: one, or the hirer's least."""
    assert hired_days(2, 6, 1) == 5
    assert hired_days(3, 3, 1) == 1
    assert hired_days(3, 3, 4) == 4
    assert [(list(days), count) for days, count in runs_of_days((0, 1, 2, 2))] == [([1], 0), ([2], 1), ([3, 4], 2)]
    assert days_words((4,)) == "4"
    assert days_words((2, 4, 5, 6)) == "2, 4 to 6"


def test_a_hire_over_a_weekend_is_charged_by_the_calendar_and_a_week_by_its_price() -> None:
    """Thursday to Tuesday are six days, which cost a week's four; Thursday and Friday two.

    Without a week's price every day counts, weekends too."""
    assert [charged_days(days, 4.0) for days in (0, 1, 3, 4, 5, 7, 8, 11, 12, 14)] == [0, 1, 3, 4, 4, 4, 5, 8, 8, 8]
    assert [charged_days(days, 7.0) for days in (1, 6, 7, 8, 15)] == [1, 6, 7, 8, 15]
    assert charged_days(15, 9.0) == 15
    offsets = WorkingDays(start=date(2026, 4, 16)).offsets(10)  # a Thursday
    assert [HireTerms(offsets, 4.0).charged(1, last) for last in (1, 2, 3, 4, 6, 7)] == [1, 2, 4, 4, 5, 6]
    assert [HireTerms(offsets, 7.0).charged(1, last) for last in (2, 3, 6)] == [2, 5, 8]
    assert HireTerms(offsets, 7.0).charged(2, 2, 3.0) == 3


def test_shields_that_stand_over_a_weekend_are_hired_through_it() -> None:
    """Opened on Friday, closed on Monday: four days of the calendar, two of work. Before, two were paid for."""
    works = [
        Work(key="open", title="", hours=8.0, quantity=""),
        Work(key="backfill", title="", hours=4.0, quantity="", after=("open",)),
    ]
    place = GuardedPlace(
        trench="west", kind="wall", work="open", panel=0, length=2.0, at_walls=True, passes=("",), stoned=False
    )
    friday = WorkingDays(start=date(2026, 4, 17))
    placed = arrange(works, 1, 8.0, friday)
    for week, days in ((7.0, 4.0), (3.0, 3.0)):
        own = PriceBook.model_validate({"rates": {"hire.week": week}})
        hire = shield_hire([place], placed, 8.0, 0.0, Rates(book_for(own), "US"), friday)
        assert hire is not None
        assert hire.days == (days,)
        assert hire.needed == (1, 1)
