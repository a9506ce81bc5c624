"""Visits on agreed days push what waits for them: against networkx's longest path, and in whole jobs."""

from __future__ import annotations

import datetime
from dataclasses import replace
from functools import cache
from typing import Any

import networkx as nx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drainwright.build.booked import KEY, with_booked
from drainwright.build.critical import earliest_starts
from drainwright.build.schedule import Work, arrange
from drainwright.build.short_days import short_days
from drainwright.build.working_days import WorkingDays
from drainwright.design import Design
from drainwright.errors import JobError
from drainwright.job.firm import BookedVisit
from drainwright.offer import what_if
from drainwright.paper.documents.crew_spanish import translator_of
from drainwright.paper.documents.day_words import short_words
from tests.conftest import designed

from .test_build_days import ROUND_THE_CLOCK, nets

FIRST = datetime.date(2026, 4, 13)
EVERY_DAY = WorkingDays(start=FIRST, week=frozenset(range(7)))
NAMES = ("inspect", "pump", "backfill")


def renamed(works: list[Work]) -> list[Work]:
    """The last works of a net under names that visits hold."""
    names = {work.key: name for work, name in zip(reversed(works), NAMES, strict=False)}
    return [
        replace(work, key=names.get(work.key, work.key), after=tuple(names.get(name, name) for name in work.after))
        for work in works
    ]


@settings(max_examples=60, deadline=None)
@given(nets(), st.integers(0, 6), st.integers(0, 6))
def test_enough_people_make_the_longest_path_with_visits(works: list[Work], seen: int, wired: int) -> None:
    """A visit is an edge from the start to its work, as long as the clock runs until its morning."""
    works = renamed(works)
    visits = (
        BookedVisit(who="inspector", on=FIRST + datetime.timedelta(days=seen)),
        BookedVisit(who="electrician", on=FIRST + datetime.timedelta(days=wired)),
    )
    keys = {work.key for work in works}
    shown = "inspect" if "inspect" in keys else "backfill"
    least = {shown: 24.0 * seen, "pump": 24.0 * (wired + 1)}
    people = sum(work.most for work in works)
    graph = nx.DiGraph()
    for work in works:
        graph.add_edge((work.key, 0), (work.key, 1), length=work.hours / min(work.most, people))
        graph.add_edge("start", (work.key, 0), length=least.get(work.key, 0.0))
        for name in work.after:
            graph.add_edge((name, 1), (work.key, 0), length=next(one.wait for one in works if one.key == name))
    held = with_booked(works, visits, replace(base().build.dig, crossings=()), EVERY_DAY)
    placed = {item.work.key: item for item in arrange(held, people, ROUND_THE_CLOCK, EVERY_DAY)}
    early = earliest_starts(held, people, ROUND_THE_CLOCK, EVERY_DAY)
    for work in works:
        before = graph.subgraph(nx.ancestors(graph, (work.key, 0)) | {(work.key, 0)})
        longest = nx.dag_longest_path_length(before, weight="length")
        assert placed[work.key].start == pytest.approx(longest, abs=1e-6)
        assert early[work.key] == pytest.approx(longest, abs=1e-6)


@cache
def base() -> Design:
    return what_if(designed("soak-lot/job"), {"crew.start": "2026-06-15"})[0]


def with_visits(job: str, *visits: dict[str, Any], **more: Any) -> Design:
    changes = {"crew.start": "2026-06-15", "crew.visits": list(visits), **more}
    return what_if(designed(job), changes)[0]


def test_a_late_inspector_holds_the_backfill_and_the_end() -> None:
    late = with_visits("soak-lot/job", {"who": "inspector", "on": "2026-07-01"})
    plan = late.build.plan
    held = min((task for task in plan.tasks if task.key.startswith("backfill")), key=lambda task: task.start)
    assert plan.dates[held.day - 1] == datetime.date(2026, 7, 1)
    assert plan.days > base().build.plan.days
    assert not any(task.key.startswith(KEY) for task in plan.tasks)
    assert not any(KEY in name for task in plan.tasks for name in task.after)
    assert any(link.waited_for == "visit" for link in plan.chain)
    assert plan.doubt is not None
    assert plan.doubt.end_likely is not None
    assert plan.doubt.end_likely >= datetime.date(2026, 7, 1)
    (found,) = [item for item in late.findings if item.id == "DAY-08"]
    assert found.severity.value == "ok"
    idle = [short for short in short_days(plan) if short.why == "visit"]
    assert {short.title for short in idle} == {"Visit of the place's inspector"}
    assert idle[-1].day == held.day - 1
    say = translator_of(late).say
    assert say(short_words(idle[0])) == "Lo demás espera: “Visita del inspector del lugar”"


def test_the_electrician_is_a_working_day_before_the_pump() -> None:
    made = with_visits("block-wall-house/job", {"who": "electrician", "on": "2026-07-09"})
    plan = made.build.plan
    pump = next(task for task in plan.tasks if task.key == "pump")
    assert plan.dates[pump.day - 1] == datetime.date(2026, 7, 10)


def test_an_inspector_who_comes_too_early_is_told() -> None:
    made = with_visits("soak-lot/job", {"who": "inspector", "on": "2026-06-15"})
    (found,) = [item for item in made.findings if item.id == "DAY-08"]
    assert found.severity.value == "fails"
    assert "nothing to see yet" in found.message
    assert made.build.plan.days == base().build.plan.days


def test_a_visit_for_nothing_is_told() -> None:
    made = with_visits("soak-lot/job", {"who": "electrician", "on": "2026-06-16"})
    (found,) = [item for item in made.findings if item.id == "DAY-08"]
    assert found.severity.value == "caution"


def test_a_line_s_owner_holds_the_digging_that_meets_it() -> None:
    plain = designed("long-house/job")
    met = {item.utility for item in plain.build.dig.crossings}
    assert "service cable" in met
    made = with_visits("long-house/job", {"who": "line's owner", "line": "service cable", "on": "2026-06-18"})
    plan = made.build.plan
    works = {trench.name: trench.work for trench in made.build.dig.trenches}
    dug = {works[item.run] for item in made.build.dig.crossings if item.utility == "service cable"}
    assert dug
    for key in dug:
        task = next(task for task in plan.tasks if task.key == key)
        assert plan.dates[task.day - 1] >= datetime.date(2026, 6, 18)


@pytest.mark.parametrize(
    ("visit", "start", "where"),
    [
        ({"who": "inspector", "on": "2026-06-12"}, "2026-06-15", "crew.visits[0].on"),
        ({"who": "inspector", "on": "2026-06-17"}, None, "crew.visits[0].on"),
        ({"who": "line's owner", "on": "2026-06-17", "line": "nowhere"}, "2026-06-15", "crew.visits[0].line"),
    ],
)
def test_a_visit_that_cannot_be_is_refused(visit: dict[str, str], start: str | None, where: str) -> None:
    with pytest.raises(JobError) as caught:
        what_if(designed("soak-lot/job"), {"crew.start": start, "crew.visits": [visit]})
    assert [problem.where for problem in caught.value.problems] == [where]
