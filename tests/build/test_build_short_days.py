"""Short days say what the rest waits for; machines for rock are hired for no longer than the digging lasts."""

from __future__ import annotations

from dataclasses import replace

from drainwright.build.crew_days import crew_plan
from drainwright.build.schedule import Work
from drainwright.build.short_days import ShortDay, short_days

DIG = Work(key="dig", title="Dig", hours=32.0, quantity="")
COAT = Work(key="coat", title="First coat", hours=4.0, quantity="", after=("dig",), wait=24.0, held=("second",))
SECOND = Work(key="second", title="Second coat", hours=4.0, quantity="", after=("coat",), wait=24.0, held=("fill",))
FILL = Work(key="fill", title="Fill", hours=30.0, quantity="", after=("second",))
END = Work(key="end", title="Clear up", hours=2.0, quantity="", after=("fill",))


def test_a_day_that_waits_for_a_cure_names_it() -> None:
    """Four people, eight hours: dug on the first day, coated on the second and the third, filled on the fourth."""
    plan = crew_plan((DIG, COAT, SECOND, FILL, END), 4, 8.0)
    assert [sum(hands.hours for _, hands in plan.on_day(day)) for day in (1, 2, 3)] == [32.0, 4.0, 4.0]
    assert short_days(plan) == (
        ShortDay(day=2, why="cure", title="First coat"),
        ShortDay(day=3, why="cure", title="Second coat"),
    )


def test_a_day_on_which_nothing_is_worked_at_names_it_too() -> None:
    plan = crew_plan((DIG, replace(COAT, wait=60.0), SECOND, FILL), 4, 8.0)
    empty = [day for day in range(1, plan.days + 1) if not plan.on_day(day)]
    assert empty
    told = {item.day: item for item in short_days(plan)}
    assert all(told[day].title == "First coat" for day in empty)


def test_work_with_room_for_one_is_named_where_nothing_cures() -> None:
    lone = Work(key="lone", title="Set the pump", hours=8.0, quantity="", after=("dig",), most=1)
    last = Work(key="last", title="Fill", hours=30.0, quantity="", after=("lone",))
    plan = crew_plan((DIG, lone, last), 4, 8.0)
    assert short_days(plan) == (ShortDay(day=2, why="alone", title="Set the pump"),)


def test_full_days_and_the_last_one_are_not_explained() -> None:
    plan = crew_plan((DIG, END), 4, 8.0)
    assert plan.days == 2
    assert short_days(plan) == ()
