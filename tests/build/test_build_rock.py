"""Stable rock needs no shields, and is not dug as soil: it is broken by hand at the rate of rock."""

from __future__ import annotations

import math

import pytest

from drainwright.build.book import demonstration_book
from drainwright.build.earth import ROCK_SWELL
from drainwright.build.hire_terms import charged_days
from drainwright.build.model import Build
from drainwright.build.parts import task_key
from drainwright.build.side import build_side
from drainwright.build.units import CUBIC_YARD

from .sample import make_site, make_system

BOOK = demonstration_book()


def built(kind: str, **changes: object) -> Build:
    ground = {"texture": "sandy loam, measured", "osha_type": f"{kind}, measured"}
    return build_side(make_site(walls=(), ground=ground, **changes), make_system())


def hours(build: Build, key: str) -> float:
    return sum(task.hours for task in build.plan.tasks if task_key(task.key) == key)


def test_rock_is_dug_at_the_rate_of_rock() -> None:
    """Whatever is dug over 0.15 yd³ an hour; the site has no roots and no lines that slow it further."""
    rock = built("stable rock", utilities=(), trees=())
    bank = rock.dig.bank_volume / CUBIC_YARD
    assert hours(rock, "trench") >= bank / BOOK.rate("extra.rock") * 0.99
    assert rock.dig.swell == ROCK_SWELL
    assert rock.dig.haul_mass > built("C", utilities=(), trees=()).dig.haul_mass


@pytest.mark.parametrize("kind", ["A", "B", "C"])
def test_rock_makes_no_job_cheaper_or_shorter(kind: str) -> None:
    rock, soil = built("stable rock"), built(kind)
    assert rock.price.total > soil.price.total
    assert rock.plan.days > soil.plan.days


def test_a_breaker_is_hired_for_rock_alone_and_no_longer_than_it_is_dug() -> None:
    """Each breaks a cubic yard a day, as the price of rock found by surprise has it; on hire while the plan digs."""
    build = built("stable rock")
    plan, bank = build.plan, build.dig.bank_volume / CUBIC_YARD
    line = next(one for one in build.takeoff.lines if one.key == "hire.breaker")
    digs = [task for task in plan.tasks if task_key(task.key) in ("open", "trench")]
    first = math.floor(min(task.start for task in digs) / plan.day_length) + 1
    last = math.ceil(max(task.end for task in digs) / plan.day_length)
    count = math.ceil(bank / (last - first + 1))
    assert bank > 1
    assert count <= plan.crew
    assert line.note.startswith(f"{count} at once from day {first} to {last} ")
    kept = last - first + 1 if not plan.dates else (plan.dates[last - 1] - plan.dates[first - 1]).days + 1
    assert line.quantity == pytest.approx(count * charged_days(float(kept), BOOK.rate("hire.week")))
    assert "hire.breaker" not in {line.key for line in built("C").takeoff.lines}


def test_an_excavator_breaks_no_rock() -> None:
    build = built("stable rock")
    ways = {way.name: way for way in build.plan.ways}
    assert ways["with a small excavator"].hours == pytest.approx(ways["by hand"].hours)
    assert any("stable rock" in told for told in ways["with a small excavator"].obstacles)
    assert not any("stable rock" in told for told in ways["by hand"].obstacles)
