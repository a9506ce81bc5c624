"""Digging that the excavator does not reach: dug by hand, priced so, and no machine beside it."""

from __future__ import annotations

from typing import Any

import pytest

from drainwright.build import build_side
from drainwright.build.book import demonstration_book
from drainwright.build.handling import HandShares, Kit, Rates, dig_hours, hand_shares
from drainwright.build.machine import machine_digs
from drainwright.build.model import Build
from drainwright.build.parts import dig_key
from drainwright.build.reach import reach_shares, set_by_hand, unknown_names
from drainwright.field.model import Site

from .sample import make_site, make_system

RATES = Rates(demonstration_book(), "US")
NARROW = {"gate_width": "3 ft", "machine": True, "barrow_distance": "80 ft"}
WALL = make_site().walls[0].name


def lot(*by_hand: str, **changes: Any) -> Site:
    return make_site(
        property={"access": {**NARROW, "by_hand": list(by_hand)}}, equipment={"excavator": True}, **changes
    )


def built(*by_hand: str) -> Build:
    return build_side(lot(*by_hand), make_system())


def digging(build: Build) -> float:
    return sum(task.hours for task in build.plan.tasks if dig_key(task.key) in ("open", "trench", "trench-yard"))


def test_a_named_dig_takes_the_hours_of_hands_and_no_other_does() -> None:
    site, system, dig = lot(), make_system(), built().dig
    wall = next(trench.name for trench in dig.trenches if trench.kind == "wall")
    before, after = (hand_shares(dig, one, system) for one in (site, lot(wall)))
    assert after[wall] == HandShares(before[wall].careful, 1.0)
    others = [trench for trench in dig.trenches if trench.name != wall and wall not in walls_of(system, trench.name)]
    assert others
    for trench in others:
        assert after[trench.name] == before[trench.name]
    trench = next(item for item in dig.trenches if item.name == wall)
    by_hand = dig_hours(trench, after[wall], site, RATES, Kit(excavator=True)).all
    assert by_hand == pytest.approx(dig_hours(trench, after[wall], site, RATES, Kit()).all)
    assert by_hand > dig_hours(trench, before[wall], site, RATES, Kit(excavator=True)).all


def walls_of(system: Any, name: str) -> tuple[str, ...]:
    return next((run.walls for run in system.runs if run.name == name), ())


def test_a_drain_beside_a_named_wall_is_by_hand_as_far_as_the_wall_goes() -> None:
    system, dig = make_system(), built().dig
    run = next(item for item in system.runs if item.walls)
    site = lot(run.walls[0])
    wall = next(item for item in site.walls if item.name == run.walls[0])
    assert reach_shares(dig, site, system)[run.name] == pytest.approx(min(1.0, wall.length / run.length))
    assert reach_shares(dig, lot(run.name), system)[run.name] == 1.0


def test_the_digging_lies_between_all_by_machine_and_all_by_hand() -> None:
    none, some = built(), built(WALL)
    names = [trench.name for trench in none.dig.trenches]
    every = built(*names)
    hands = build_side(make_site(property={"access": NARROW}), make_system())
    assert digging(none) < digging(some) < digging(every)
    assert digging(every) == pytest.approx(digging(hands), abs=0.02)


def test_the_gate_bars_no_machine_that_reaches_a_part() -> None:
    """A narrow gate bars the whole plan, until the visit says what lies behind it."""
    used = [way for way in built().plan.ways if way.used]
    assert "gate is 36 in wide" in used[0].obstacles[0]
    used = [way for way in built(WALL).plan.ways if way.used]
    assert used[0].obstacles == ()
    every = built(*[trench.name for trench in built().dig.trenches])
    used = [way for way in every.plan.ways if way.used]
    assert "out of its reach" in used[0].obstacles[0]


def test_the_machine_is_hired_for_what_it_digs() -> None:
    """Where the walls are opened by hand it comes for the yard, not before."""

    def days(build: Build) -> float:
        return next(line.quantity for line in build.takeoff.lines if line.key == "hire.excavator")

    behind = [trench.name for trench in built().dig.trenches if trench.work != "trench-yard"]
    assert behind
    part = built(*behind)
    yard = [task for task in part.plan.tasks if dig_key(task.key) == "trench-yard"]
    assert days(part) == max(hands.day for task in yard for hands in task.by_day) - min(task.day for task in yard) + 1
    dug = machine_digs(part.dig, hand_shares(part.dig, lot(*behind), make_system()))
    assert dug == {"trench-yard"}
    assert machine_digs(part.dig, hand_shares(part.dig, lot(), make_system())) > dug


def test_no_machine_stands_beside_a_dig_that_it_does_not_reach() -> None:
    ladders = [trench.name for trench in built().dig.trenches if trench.ladder]
    assert ladders
    near, far = built(), built(*ladders)
    for name in ladders:
        [one] = [trench for trench in near.dig.trenches if trench.name == name]
        [other] = [trench for trench in far.dig.trenches if trench.name == name]
        assert one.machines == ("the small excavator at work",)
        assert other.machines == ()


def test_shields_out_of_its_reach_are_carried() -> None:
    assert not set_by_hand(lot().job, [WALL, "SUMP"])
    assert not set_by_hand(lot("L1").job, [WALL, "SUMP"])
    assert set_by_hand(lot(WALL).job, [WALL, "SUMP"])
    assert set_by_hand(make_site().job, ["SUMP"])


def test_a_name_of_nothing_that_is_dug_is_found() -> None:
    dig, system = built().dig, make_system()
    assert unknown_names(lot(WALL, "nothing"), dig, system) == ("nothing",)
    assert unknown_names(lot(*[trench.name for trench in dig.trenches]), dig, system) == ()
