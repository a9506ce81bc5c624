"""The crew's days."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis.strategies import floats, integers, lists

from drainwright.build import build_side
from drainwright.build.crew_days import crew_plan
from drainwright.build.schedule import Work, arrange
from drainwright.build.working_days import clock_hours, working_hours
from drainwright.errors import InputError
from tests.conftest import designed

from .sample import make_site, make_system


def work(key: str, hours: float, *after: str, most: int = 99, wait: float = 0.0, held: tuple[str, ...] = ()) -> Work:
    return Work(key=key, title=key, hours=hours, quantity="", after=after, most=most, wait=wait, held=held)


def times(works: list[Work], people: int = 4, day: float = 8.0) -> dict[str, tuple[float, float]]:
    return {item.work.key: (item.start, item.end) for item in arrange(works, people, day)}


def test_all_hands_share_one_work() -> None:
    assert times([work("dig", 16.0)]) == {"dig": (0.0, 4.0)}
    assert times([work("dig", 16.0, most=2)]) == {"dig": (0.0, 8.0)}


def test_what_can_go_on_together_does() -> None:
    found = times([work("a", 4.0, most=2), work("b", 4.0, most=2), work("c", 4.0, "a", "b")])
    assert found == {"a": (0.0, 2.0), "b": (0.0, 2.0), "c": (2.0, 3.0)}


def test_the_longest_chain_goes_first() -> None:
    found = times([work("short", 2.0), work("first", 2.0), work("last", 20.0, "first")], people=1)
    assert found["first"] == (0.0, 2.0)
    assert found["short"] == (22.0, 24.0)


def test_what_wants_two_waits_for_the_second() -> None:
    """One of two is busy for 4 h: the basin is let down by both after that, and not by the other alone."""
    works = (
        Work(key="dig", title="", hours=4.0, quantity="", most=1),
        Work(key="basin", title="", hours=2.0, quantity="", most=2, least=2),
    )
    dig, basin = arrange(works, 2, 9.0)
    assert (dig.start, dig.end) == (0.0, 4.0)
    assert (basin.start, basin.end, basin.spells[0].people) == (4.0, 5.0, 2)
    alone = arrange(works, 1, 9.0)  # a crew of one is told elsewhere: it is not left without a plan
    assert alone[1].end == pytest.approx(6.0)


@pytest.mark.parametrize("name", ["block-wall-house", "metric-basement", "two-basins"])
def test_nobody_sets_a_basin_alone(name: str) -> None:
    tasks = {task.key: task for task in designed(f"{name}/job").build.plan.tasks}
    for key in ("basin", "collar", "round"):
        assert all(people >= 2 for _, _, people in tasks[key].spells), key


def test_a_cure_of_a_day_ends_at_the_same_hour_next_morning() -> None:
    found = times([work("coat", 8.0, wait=24.0), work("fill", 4.0, "coat")])
    assert found["coat"] == (0.0, 2.0)
    assert found["fill"][0] == pytest.approx(10.0)  # 2 h into the second day of 8 h


def test_a_cure_that_ends_at_night_waits_for_the_morning() -> None:
    found = times([work("coat", 8.0, wait=12.0), work("fill", 4.0, "coat")])
    assert found["fill"][0] == pytest.approx(8.0)


def test_a_wait_holds_only_what_it_is_said_to_hold() -> None:
    works = [work("coat", 8.0, wait=24.0, held=("fill",)), work("pipe", 8.0, "coat"), work("fill", 4.0, "coat")]
    found = times(works)
    assert found["pipe"][0] == pytest.approx(2.0)
    assert found["fill"][0] == pytest.approx(10.0)


def test_works_in_a_ring_are_refused() -> None:
    with pytest.raises(InputError, match="ring"):
        arrange([work("a", 1.0, "b"), work("b", 1.0, "a")], 2, 8.0)
    with pytest.raises(InputError, match="each key once"):
        arrange([work("a", 1.0), work("a", 1.0)], 2, 8.0)


@given(lists(floats(0.1, 30.0), min_size=1, max_size=12), integers(1, 6), floats(4.0, 12.0))
def test_the_end_lies_between_the_work_shared_out_and_one_after_the_other(
    hours: list[float], people: int, day: float
) -> None:
    works = [work(f"w{index}", value, *([f"w{index - 2}"] if index > 1 else [])) for index, value in enumerate(hours)]
    end = max(item.end for item in arrange(works, people, day))
    assert end >= sum(hours) / people - 1e-6
    assert end <= sum(hours) + 1e-6


@given(floats(0.0, 100.0), floats(4.0, 12.0))
def test_the_clock_and_back(working: float, day: float) -> None:
    days = range(40)
    assert working_hours(clock_hours(working, day, days), day, days) == pytest.approx(working, abs=1e-6)


def test_every_task_follows_what_it_must() -> None:
    plan = build_side(make_site(), make_system()).plan
    by_key = {task.key: task for task in plan.tasks}
    for task in plan.tasks:
        assert all(by_key[name].day <= task.day for name in task.after)
    assert by_key["coat-2"].day > by_key["coat-1"].day
    assert by_key["backfill"].day > by_key["coat-2"].day
    assert plan.days >= max(task.day for task in plan.tasks)
    assert plan.hours == pytest.approx(sum(task.hours for task in plan.tasks))


@pytest.mark.parametrize("size", [4, 5])
def test_one_day_opens_cleans_and_hauls_the_next_coats_then_pipe_and_stone(size: int) -> None:
    """Common practice, no source: about 20 ft of wall 3 ft deep with its drain, by four or five.

    Practice pipes and stones on the second day, too; here the last coat cures first, which takes a day more.
    """
    plan = build_side(make_site(crew={"size": size, "hours_per_day": 9}), make_system()).plan
    day = {task.key: task.day for task in plan.tasks}
    assert {day[key] for key in ("open", "clean", "haul")} == {1}
    assert max(day[key] for key in ("coat-1", "coat-2")) <= 2
    assert max(day[key] for key in ("bed", "pipe", "stone")) <= 3
    assert plan.days <= 3


def test_more_people_are_not_slower() -> None:
    days = [build_side(make_site(crew={"size": size}), make_system()).plan.days for size in (1, 2, 4, 8)]
    assert days == sorted(days, reverse=True)


def test_an_empty_plan_is_a_day() -> None:
    assert crew_plan([], 4, 8.0).days == 1
