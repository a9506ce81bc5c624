"""The trench pump: on every day on which people may stand in ground water, and on no other."""

from __future__ import annotations

import datetime
import math
import re
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainwright.build import build_side
from drainwright.build.book import book_for
from drainwright.build.guarded import GuardedPlace
from drainwright.build.handling import Rates
from drainwright.build.model import Build
from drainwright.build.pumping import KEY, Pumping, pumped, wet_stays
from drainwright.build.schedule import Placed, Work, arrange
from drainwright.build.working_days import WorkingDays
from drainwright.design import Design
from drainwright.errors import InputError
from drainwright.field.model import Site
from drainwright.job.firm import PriceBook
from drainwright.paper.documents.blocks import Table
from drainwright.paper.documents.crew import crew_packet

from ..conftest import designed

WALL = GuardedPlace(
    trench="west", kind="wall", work="open", panel=0, length=2.0, at_walls=True, passes=("",), stoned=False
)
HOLE = GuardedPlace(
    trench="SUMP", kind="basin", work="trench", panel=0, length=2.0, at_walls=False, passes=("",), stoned=False
)


def plan(
    works: list[Work], place: GuardedPlace, people: int = 2, start: datetime.date | None = None, each: float = 1.5
) -> Pumping | None:
    calendar = WorkingDays(start=start)
    own = PriceBook.model_validate({"rates": {"extra.dewater": each}})
    return pumped(
        works, [place], lambda done: arrange(done, people, 8.0, calendar), people=people, day_length=8.0,
        calendar=calendar, pit_hours=8.0, rates=Rates(book_for(own), "US"),
    )  # fmt: skip


def pieces(found: Pumping) -> list[Placed]:
    return [item for item in found.placed if item.work.aside and item.work.hours > 0]


def test_a_wall_that_cures_over_a_weekend_is_pumped_on_the_days_with_people() -> None:
    """Thursday opens and coats, Friday cures, the weekend is off: Monday closes. Two days of 1.5 h."""
    works = [
        Work(key="open", title="", hours=10.0, quantity=""),
        Work(key="coat-1", title="", hours=2.0, quantity="", after=("open",), wait=72.0),
        Work(key="backfill", title="", hours=4.0, quantity="", after=("coat-1",)),
    ]
    found = plan(works, WALL, start=datetime.date(2026, 4, 16))
    assert found is not None
    assert found.days == (1, 3)
    assert found.hours == 3.0
    assert [(item.start, item.end) for item in pieces(found)] == [
        (0.0, 1.5),
        (pytest.approx(16.0), pytest.approx(17.5)),
    ]
    assert sum(work.hours for work in found.spread) == pytest.approx(16.0 + 3.0)


def test_a_hole_that_is_dug_last_is_pumped_from_then_on() -> None:
    works = [
        Work(key="trench", title="", hours=40.0, quantity=""),
        Work(key="basin", title="", hours=8.0, quantity="", after=("trench",)),
        Work(key="backfill", title="", hours=4.0, quantity="", after=("basin",)),
        Work(key="finish", title="", hours=20.0, quantity="", after=("backfill",)),
    ]
    found = plan(works, HOLE)
    assert found is not None
    assert found.days[0] == 3
    assert found.days[-1] == 4


def test_a_dig_that_is_not_dug_is_not_pumped_and_a_pump_that_takes_all_hands_is_refused() -> None:
    works = [Work(key="open", title="", hours=10.0, quantity="")]
    assert plan(works, HOLE) is None
    with pytest.raises(InputError, match=r"extra\.dewater = 16 h/day: expected less than the crew's 16 h a day"):
        plan(works, WALL, each=16.0)


@given(
    st.lists(st.floats(0.5, 30.0), min_size=4, max_size=4), st.integers(1, 5), st.sampled_from([0.0, 6.0, 24.0, 60.0]),
    st.floats(0.2, 6.0), st.booleans(),
)  # fmt: skip
def test_no_day_with_people_in_the_water_is_without_its_pump(
    hours: list[float], people: int, wait: float, each: float, dated: bool
) -> None:
    """The pieces are worked on the days of the plan, no more than the crew is at work, all hours are there once."""
    works = [
        Work(key="open", title="", hours=hours[0], quantity=""),
        Work(key="haul", title="", hours=hours[1], quantity="", after=("open",), most=3),
        Work(key="coat-1", title="", hours=hours[2], quantity="", after=("open",), wait=wait, most=2),
        Work(key="backfill", title="", hours=hours[3], quantity="", after=("coat-1", "haul")),
    ]
    found = plan(works, WALL, people, datetime.date(2026, 4, 16) if dated else None, each)
    assert found is not None
    others = [item for item in found.placed if not item.work.aside]
    stays, _ = wet_stays([WALL], others, 8.0, 8.0)
    assert set(stays) <= set(found.days)
    on = [{int((spell.start + 1e-6) // 8) + 1 for spell in item.spells} for item in pieces(found)]
    assert [min(days) for days in on] == list(found.days)
    assert all(len(days) == 1 for days in on)
    for moment in {spell.start for item in found.placed for spell in item.spells}:
        at_work = [s.people for item in found.placed for s in item.spells if s.start <= moment < s.end - 1e-9]
        assert sum(at_work) <= people
    assert math.fsum(item.work.hours for item in found.placed) == pytest.approx(sum(hours) + each * len(found.days))
    assert sum(work.hours for work in found.spread) == pytest.approx(sum(hours) + found.hours, abs=0.01)


def of(site: Site, design: Design) -> Build:
    return build_side(site, design.system)


def test_the_job_s_price_and_days_have_the_pump(pumped: Design) -> None:
    build = pumped.build
    [task] = [task for task in build.plan.tasks if task.key == KEY]
    wet = {trench.name for trench in build.dig.trenches if trench.water > 0}
    assert wet
    days = [hands.day for hands in task.by_day]
    assert all(hands.hours == pytest.approx(1.5) for hands in task.by_day)
    assert task.hours == pytest.approx(1.5 * len(days))
    [line] = [line for line in build.price.lines if line.key == f"labour.{KEY}"]
    assert line.quantity == task.hours
    assert task.quantity == f"{len(days)} days at 1.5 h/day"
    assert KEY not in {link.key for link in build.plan.chain}
    assert sum(one.hours for one in build.plan.tasks) == pytest.approx(build.plan.hours)
    [used] = [way for way in build.plan.ways if way.used]
    assert (used.days, used.hours) == (build.plan.days, pytest.approx(build.plan.hours))


def test_a_firm_without_a_pump_hires_it_for_those_days(pumped: Design) -> None:
    job = pumped.job
    lacking = job.model_copy(
        update={"equipment": job.equipment.model_copy(update={"lacks": (*job.equipment.lacks, "trench pump")})}
    )
    build = of(replace(pumped.site, job=lacking), pumped)
    [task] = [task for task in build.plan.tasks if task.key == KEY]
    [line] = [line for line in build.takeoff.lines if line.key == "hire.trench-pump"]
    days = [build.plan.dates[hands.day - 1] for hands in task.by_day]
    kept = (days[-1] - days[0]).days + 1
    assert line.quantity == 4 * (kept // 7) + min(kept % 7, 4)  # a week costs four days
    assert not [line for line in pumped.build.takeoff.lines if line.key == "hire.trench-pump"]


def test_a_dry_job_has_none(pumped: Design) -> None:
    build = of(replace(pumped.site, water_table=None), pumped)
    assert not [task for task in build.plan.tasks if task.key == KEY]
    assert build.plan.hours == pytest.approx(pumped.build.plan.hours - 10.5)


def test_the_crew_reads_of_it_on_each_day_and_where_its_water_goes(pumped: Design) -> None:
    text = str(crew_packet(pumped, {}))
    assert text.count("Set, run and move the trench pump") >= 7
    assert "it is written down where its water may lawfully go" in text


@pytest.mark.parametrize("name", ["pumped", "gravity", "metric"])
def test_a_day_s_total_is_the_sum_of_its_rows(name: str, request: pytest.FixtureRequest) -> None:
    """Before, the total was rounded by itself: 35.9 in rows were told as 36."""
    design = request.getfixturevalue(name)
    [table] = [
        block
        for block in crew_packet(design, {}).blocks
        if isinstance(block, Table) and any(column.head == "Person-hours today" for column in block.columns)
    ]
    told, shown = [], []
    for row in table.rows:
        if len(row) == 1 and (match := re.search(r"\(([\d.]+) person-hours\)", str(row[0]))):
            told.append(float(match[1]))
            shown.append(0.0)
        elif len(row) > 1:
            shown[-1] += float(str(row[3]))
    assert len(told) > 2
    assert told == pytest.approx(shown, abs=1e-6)


@pytest.mark.parametrize("example", ["long-house/job", "block-wall-house/job"])
def test_water_in_a_trench_stands_no_higher_than_the_ground(example: str) -> None:
    """Down a slope the water's level lies over the ground: a trench 2 ft deep had "7 ft 1 3/4 in" of it."""
    design = designed(example)
    table = design.site.water_table
    assert table is not None
    wet = [trench for trench in design.build.dig.trenches if trench.water > 0]
    assert wet
    assert all(trench.water <= trench.depth_greatest + 1e-9 for trench in wet)
    for run in design.system.runs:
        trench = next((one for one in wet if one.name == run.name), None)
        stations = [station for station in run.stations if station.ground <= table]
        if trench is not None and len(stations) == len(run.stations):  # all of it lies under that level
            assert trench.water == pytest.approx(trench.depth_greatest)
