"""The soil's whole way, link by link by hand, and hands against machines."""

from __future__ import annotations

import dataclasses
import math
from decimal import Decimal
from typing import Any

import pytest

from drainwright.build import build_side
from drainwright.build.book import demonstration_book
from drainwright.build.earth_chain import PRACTICE, aside_hours, load_hours, move_hours, stone_hours
from drainwright.build.handling import Kit, Rates, barrow_rate, carry_rate, dig_hours, hand_shares, root_shares
from drainwright.build.machine import CARRIER_GATE, EXCAVATOR_GATE
from drainwright.build.model import Build, WayToDig
from drainwright.build.parts import task_key
from drainwright.build.spoil import wheeled_aside
from drainwright.build.units import CUBIC_YARD, FOOT, INCH
from drainwright.build.uses import task_of
from drainwright.paper.documents.spanish import Translator

from .sample import feet, make_site, make_system, make_tree

BOOK = demonstration_book()
RATES = Rates(BOOK, "US")
OPEN = {"gate_width": "4 ft", "machine": True, "barrow_distance": "80 ft"}


def built(access: dict[str, Any] | None = None, **changes: Any) -> Build:
    if access is not None:
        changes["property"] = {"access": access}
    return build_side(make_site(**changes), make_system())


def way(build: Build, name: str) -> WayToDig:
    return next(item for item in build.plan.ways if item.name == name)


def test_the_chain_by_hand() -> None:
    """Each link from its own rate, and all of them in the tasks, none twice."""
    build = built()
    dig, earth = build.dig, build.plan.earth
    assert earth is not None
    hours = {link.name: link.hours for link in (*earth.out, *earth.back)}
    loose = dig.haul_volume / CUBIC_YARD
    way_out = make_site().job.property.access.barrow_distance
    assert hours["move"] == pytest.approx(loose / barrow_rate(way_out, RATES))
    assert hours["load"] == pytest.approx(loose / 1.75)
    assert hours["haul"] == pytest.approx(0.85 * dig.trailer_loads)
    assert hours["tip"] == pytest.approx(0.25 * dig.trailer_loads)
    tasks = {task.key: task.hours for task in build.plan.tasks}
    assert tasks["haul"] == pytest.approx(hours["move"] + hours["load"] + hours["haul"] + hours["tip"], abs=0.01)
    places = build.shields.places if build.shields else ()
    shields = sum(place.sets for place in places) * BOOK.rate("shield.set")
    dug = hours["dig"] + hours.get("lift out", 0.0)
    assert tasks["open"] + tasks["trench"] + tasks["trench-yard"] == pytest.approx(dug + shields, abs=0.02)
    filled = hours["backfill"] + hours.get("bought soil in", 0.0)
    assert tasks["backfill"] + tasks["backfill-yard"] == pytest.approx(filled, abs=0.01)
    leaves = loose / (1 + dig.swell)
    dug = (hours["dig"] + hours.get("lift out", 0.0)) / (dig.bank_volume / CUBIC_YARD)
    out = sum(hours[name] for name in ("move", "load", "haul", "tip")) / leaves
    assert earth.chain_rate / CUBIC_YARD == pytest.approx(1 / (dug + out))
    assert earth.share == pytest.approx(earth.chain_rate / earth.open_rate)


def test_the_chain_in_open_ground_lies_within_practice() -> None:
    """A third to 0.6 of the shallow digging rate: two accounts of contractors, common practice, no source."""
    earth = built().plan.earth
    assert earth is not None
    assert PRACTICE[0] <= earth.open_share <= PRACTICE[1]
    assert "two accounts" in earth.told


def test_depth_adds_lifting_and_no_more() -> None:
    """Dig and lift together are the tables' deeper rate for what lies below 5 ft (hand_dig_rates, seen)."""
    site = make_site()
    dig = built().dig
    wall = next(trench for trench in dig.trenches if trench.kind == "wall")
    deep = dataclasses.replace(wall, depth_mean=10 * FOOT)
    shares = hand_shares(dig, site, make_system())[wall.name]
    volume = deep.bank_volume / CUBIC_YARD
    hours = dig_hours(deep, shares, site, RATES)
    assert hours.all == pytest.approx(volume * (0.5 / 0.75 + 0.5 / 0.50))
    assert hours.dig == pytest.approx(volume / 0.75)
    assert dig_hours(wall, shares, site, RATES).lift == 0.0


def test_soil_out_of_reach_is_wheeled_to_its_heap_and_back() -> None:
    """Out with the digging, back with the backfill, at the book's rates of loading and of 10 m by barrow."""
    dig = built().dig
    assert wheeled_aside(dig) == aside_hours(dig, RATES, Kit()) == 0.0
    far = dataclasses.replace(
        dig, trenches=tuple(dataclasses.replace(item, no_room=1.0, heap_way=10.0) for item in dig.trenches)
    )
    kept = dig.backfill_volume / CUBIC_YARD
    assert wheeled_aside(far) == pytest.approx(dig.backfill_volume, rel=1e-6)
    assert aside_hours(far, RATES, Kit()) == pytest.approx(kept / 8.2 + kept / 1.75)
    half = dataclasses.replace(far, trenches=(dataclasses.replace(far.trenches[0], no_room=0.5), *dig.trenches[1:]))
    part = half.trenches[0].bank_volume / dig.bank_volume / 2
    assert wheeled_aside(half) == pytest.approx(dig.backfill_volume * part)
    assert move_hours(make_site(), far, RATES, Kit()) == move_hours(make_site(), dig, RATES, Kit())
    assert load_hours(far, RATES) == load_hours(dig, RATES)


def test_stone_pays_for_its_way() -> None:
    near, at, far = (
        stone_hours(CUBIC_YARD, make_site(property={"access": {"barrow_distance": way_in}}), RATES, Kit())
        for way_in in ("30 ft", "100 ft", "200 ft")
    )
    assert at == pytest.approx(1 / 1.4)
    assert near == pytest.approx(1 / 1.4 + 1 / 8.2 - 1 / 2.8)
    assert far == pytest.approx(1 / 1.4 + 200 * FOOT / 50 / 2.8 - 1 / 2.8)


def test_a_carrier_is_never_slower_than_a_barrow() -> None:
    for distance in (5.0, 15.0, 30.0, 50.0, 90.0):
        assert carry_rate(distance, RATES, Kit(carrier=True)) >= barrow_rate(distance, RATES)
    assert carry_rate(100.0, RATES, Kit(carrier=True)) == pytest.approx(3.5)


def test_the_part_in_a_root_zone() -> None:
    """A tree beside the middle of a wall of 20 ft: the chord of its zone, by hand."""
    tree = make_tree("oak", feet(10, -6), 1.0)
    site = make_site(trees=(tree,))
    dig = build_side(site, make_system()).dig
    radius = next(item for item in site.trees).root_radius
    chord = 2 * math.sqrt(radius**2 - (6 * FOOT) ** 2)
    shares = root_shares(dig, site, make_system())
    wall = next(trench.name for trench in dig.trenches if trench.kind == "wall")
    assert shares[wall] == pytest.approx(min(1.0, chord / (20 * FOOT)), abs=0.01)


@pytest.mark.parametrize(("inches", "fits"), [(36, False), (41.9, False), (42.1, True)])
def test_a_small_excavator_needs_its_gate(inches: float, fits: bool) -> None:
    """About 42 in clear: a trade's page on digging at walls, common practice."""
    build = built({**OPEN, "gate_width": f"{inches} in"})
    assert (way(build, "with a small excavator").obstacles == ()) == fits
    assert way(build, "by hand").obstacles == ()
    assert EXCAVATOR_GATE == 42 * INCH > CARRIER_GATE


def test_an_unmeasured_gate_is_not_sure() -> None:
    build = built({"machine": True})
    assert "the gate is not measured" in way(build, "with a small excavator").unsure
    assert way(build, "with a small excavator").obstacles == ()


def test_a_deck_overhead_keeps_a_machine_out() -> None:
    house = {"outline": ["0 ft, 0 ft", "20 ft, 0 ft", "20 ft, 20 ft"], "floor_kind": "slab", "floor": "30 m"}
    build = built(OPEN, house={**house, "deck_overhead": True})
    assert any("deck" in text for text in way(build, "with a small excavator").obstacles)


def test_each_way_is_the_plan_that_would_be_made() -> None:
    """The comparison's days, hours and hire are those of the job designed with that kit; its labour is near it: the
    order of works is sought for the machines that are used, so that short days may be paid differently."""
    told = built(OPEN)
    hires = ("hire.excavator", "hire.carrier", "hire.delivery")
    for name, kit in (
        ("with a small excavator", {"excavator": True}),
        ("by hand, with a powered barrow", {"carrier": True}),
    ):
        made = built(OPEN, equipment=kit)
        assert [item.name for item in made.plan.ways if item.used] == [name]
        assert way(told, name).days == made.plan.days
        assert way(told, name).hours == pytest.approx(made.plan.hours)
        hire = sum((line.amount for line in made.price.lines if line.key in hires), Decimal(0))
        assert way(told, name).hire == hire > 0
        assert float(way(told, name).labour) == pytest.approx(float(made.price.labour), rel=0.04)
    assert way(told, "with a small excavator").hours < way(told, "by hand").hours


def test_what_the_firm_owns_is_not_hired() -> None:
    mine = built(OPEN, equipment={"excavator": True, "owned": ["excavator"]})
    assert not any(line.key.startswith("hire.") and line.key != "hire.shield" for line in mine.takeoff.lines)
    assert way(mine, "with a small excavator").hire == 0
    hired = built(OPEN, equipment={"excavator": True})
    days = next(line.quantity for line in hired.takeoff.lines if line.key == "hire.excavator")
    digs = [task for task in hired.plan.tasks if task_key(task.key) in ("open", "trench")]
    assert days == max(hands.day for task in digs for hands in task.by_day) - min(task.day for task in digs) + 1


def test_what_the_firm_owns_is_brought() -> None:
    """The firm's own machines stood on no list: hired ones are on the order, these among the tools, with their days."""
    both = {"excavator": True, "carrier": True}

    def machines(**equipment: Any) -> dict[str, str]:
        found = [tool for tool in built(OPEN, equipment=equipment).takeoff.tools if tool.key in both]
        assert all(tool.count == 1 and tool.source == "own" for tool in found)
        return {tool.key: tool.why for tool in found}

    hired = {line.key: line.quantity for line in built(OPEN, equipment=both).takeoff.lines}
    assert machines(**both) == {}
    assert machines(owned=["excavator", "carrier"]) == {}  # owned, and not for this job
    assert list(machines(**both, owned=["carrier"])) == ["carrier"]
    mine = machines(**both, owned=["excavator", "carrier"])
    for key, why in mine.items():
        days = [int(word) for word in why.replace("day ", "").split(" to ")]
        assert hired[f"hire.{key}"] == days[-1] - days[0] + 1
    catalogue = Translator(frozenset())
    for tool in built(OPEN, equipment=both | {"owned": list(both)}).takeoff.tools:
        if tool.key in both:
            catalogue.say(tool.name)
            catalogue.say(tool.why)
    assert not catalogue.missing


def test_hands_keep_what_no_machine_may_dig() -> None:
    build = built(OPEN)
    assert 0 <= build.plan.careful_share <= build.plan.hand_share <= 1
    assert build.plan.hand_share > 0  # the soil at the wall's face


def test_an_inspection_holds_the_backfill() -> None:
    rules = {"open_trench_inspection": {"value": True, "basis": "stated"}}
    asked, free = built(rules=rules), built()
    assert not any(task.key == "inspect" for task in free.plan.tasks)
    tasks = {task.key: task for task in asked.plan.tasks}
    assert tasks["inspect"].start >= tasks["stone"].end - 1e-6
    assert min(tasks["backfill"].start, tasks["backfill-yard"].start) >= tasks["inspect"].cured - 1e-6
    assert "inspector" in tasks["inspect"].hold


def test_concrete_sets_before_soil_leans_on_it() -> None:
    """The collar once had the words and no wait."""
    system = make_system()
    assert system.station is not None
    collared = dataclasses.replace(system.station, collar=200.0, collar_width=9 * INCH, collar_height=4 * INCH)
    plan = build_side(make_site(), dataclasses.replace(system, stations=(collared,))).plan
    tasks = {task.key: task for task in plan.tasks}
    assert tasks["collar"].wait == 24 * 3600
    assert tasks["backfill-yard"].start >= tasks["collar"].cured - 1e-6


def test_backfill_follows_the_inspection_by_name() -> None:
    """Once it only did where a cure happened to last as long."""
    rules = {"open_trench_inspection": {"value": True, "basis": "stated"}}
    [backfill] = [task for task in built(rules=rules).plan.tasks if task.key == "backfill"]
    assert "inspect" in backfill.after


@pytest.mark.parametrize("by_hand", [(), ("front",)])
def test_a_hired_machine_is_needed_on_the_day_of_its_first_work(by_hand: tuple[str, ...]) -> None:
    """It was asked for on the first day of any digging, though the wall is dug by hand and it works days later."""
    build = built({**OPEN, "by_hand": by_hand}, equipment={"excavator": True})
    line = next(line for line in build.takeoff.lines if line.key == "hire.excavator")
    days = {task.key: task.day for task in build.plan.tasks}
    starts = {task.key: task.start for task in build.plan.tasks}
    first = "open" if not by_hand else min(("trench", "trench-yard"), key=lambda key: starts[key])
    assert task_of(line, days) == first
    assert f"day {days[first]}" in line.note
    delivery = next(line for line in build.takeoff.lines if line.key == "hire.delivery")
    assert days[task_of(delivery, days)] == days[first]
