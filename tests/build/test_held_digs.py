"""Digs that people may not enter: too deep without protection, and a live line leaves room for none."""

from __future__ import annotations

import json
import math

import pytest

from drainwright.build.parts import task_key
from drainwright.design import Design, design
from drainwright.errors import JobError
from drainwright.findings.model import Finding, Severity
from drainwright.job.reading import read_text
from drainwright.paper.documents.crew_spanish import translator_of
from drainwright.paper.documents.say import failing

from .held import SHORED, built, document


def says(job: Design, key: str, where: str) -> Finding:
    [found] = [item for item in job.findings if (item.id, item.where) == (key, where)]
    return found


def test_the_owner_s_agreement_on_holding_a_line_keeps_no_side_from_falling_in() -> None:
    held = built()
    assert says(held, "DIG-23", "utilities.gas line").severity is Severity.CAUTION
    found = says(held, "DIG-06", "house.walls.north")
    assert found.severity is Severity.FAILS
    assert "nobody enters it" in found.message
    assert "no other protection is planned" in found.message
    assert "works.protection" in found.advice
    assert failing(held.findings)
    assert "How people are kept safe in north" in held.answers[19].missing


def test_a_line_along_inside_is_told_of_the_dig_that_it_lies_in() -> None:
    """The drain in the wall's dig was called held too, and with it its piece far from the line."""
    digs = {trench.name: trench for trench in built().build.dig.trenches}
    assert digs["north"].bars == ("gas line",)
    assert digs["FD1"].bars == digs["FD1"].along == ()
    assert "FD1" not in says(built(), "DIG-23", "utilities.gas line").message
    shields = built().build.shields
    assert shields is None or not any(place.trench == "north" for place in shields.places)


def test_protection_that_is_named_is_quoted_with_its_date_and_no_longer_fails() -> None:
    found = says(built(shored=True), "DIG-06", "house.walls.north")
    assert found.severity is Severity.CAUTION
    assert "timber shoring, N. Ross, 2026-04-21: “sheets past the line”" in found.advice
    assert "nobody enters" not in found.message
    assert built(shored=True).answers[19].missing == ""


def test_a_dead_line_bars_nothing() -> None:
    assert says(built(live=False, agreed=False), "DIG-06", "house.walls.north").severity is Severity.CAUTION
    assert not any(trench.held for trench in built(live=False, agreed=False).build.dig.trenches)


def test_work_in_a_held_dig_stands_by_itself_in_the_order_of_work_with_its_reason() -> None:
    """The day plan sent the crew into it as into any other."""
    tasks = {task.key: task for task in built().build.plan.tasks}
    rule = (
        "Nobody goes in before the gas line is moved or dead by its owner's word, or shoring designed round it stands"
    )
    entered = ("open", "clean", "coat-1", "bed", "pipe", "stone", "backfill")
    for key in (f"{key}-held" for key in entered if key in tasks):
        assert rule in tasks[key].hold
        assert ": north, beside the live line" in tasks[key].title
    assert not any("Nobody goes in" in task.hold for key, task in tasks.items() if "-held" not in key)
    assert "open-held" not in tasks["trench"].after  # the rest of the job need not wait for it
    assert "open-held" in tasks["clean-held"].after
    assert "open" not in tasks["clean-held"].after
    assert "backfill-held" in tasks["finish"].after
    for task in tasks.values():
        assert all(tasks[name].end <= task.start + 1e-6 for name in task.after if name in tasks)
    assert any("beside the live line" in link.title for link in built().build.plan.chain)
    assert not any("held" in task.key for task in built(live=False, agreed=False).build.plan.tasks)
    assert any(SHORED["text"] in task.hold for task in built(shored=True).build.plan.tasks)


def test_what_is_set_apart_is_the_same_work() -> None:
    dead, held = (job.build for job in (built(live=False, agreed=False), built()))
    for key in ("clean", "coat", "board", "bed", "pipe", "stone", "backfill", "restore", "finish"):
        hours = [
            math.fsum(task.hours for task in build.plan.tasks if task_key(task.key).startswith(key))
            for build in (dead, held)
        ]
        assert hours[0] == pytest.approx(hours[1], abs=0.05)
    assert dead.dig.trailer_loads == held.dig.trailer_loads


def test_the_held_work_is_said_in_spanish() -> None:
    for job in (built(), built(shored=True)):
        spoken = translator_of(job)
        for task in job.build.plan.tasks:
            spoken.say(task.title)
            spoken.say(task.hold)
        assert spoken.missing == {}


def test_protection_of_a_dig_that_nobody_digs_is_refused() -> None:
    with pytest.raises(JobError, match=r"works\.protection"):
        read_text(json.dumps(document(protection=({**SHORED, "at": "nort"},))))


@pytest.mark.parametrize(
    ("key", "value", "says"),
    [
        ("on", "2027-04-20", "found 2027-04-20, after the first day of digging, 2026-"),
        ("text", "ok", "found 'ok'; expected what was given in writing, in a sentence"),
    ],
)
@pytest.mark.parametrize("where", ["utilities", "works.protection"])
def test_what_was_given_in_writing_is_in_hand_before_the_digging_and_says_something(
    where: str, key: str, value: str, says: str
) -> None:
    job = document(protection=(dict(SHORED),))
    job["crew"]["start"] = "2026-05-04"
    read_text(json.dumps(job))
    line = next(item for item in job["utilities"] if item.get("agreed"))
    line["agreed"] = dict(line["agreed"])
    given = line["agreed"] if where == "utilities" else job["works"]["protection"][0]
    given[key] = value
    with pytest.raises(JobError) as caught:
        read_text(json.dumps(job))
    assert says in str(caught.value)
    assert where in str(caught.value)


def test_shields_end_where_a_dig_begins_that_nobody_enters() -> None:
    """The set of the east wall ran on past the corner into the held dig of the north wall, close to the gas."""
    held, dead = built(), built(live=False, agreed=False)

    def at_east(job: Design) -> float:
        assert job.build.shields is not None
        return sum(place.length for place in job.build.shields.places if place.trench == "east")

    past = 0.3100  # the corner's part of the east wall's dig, from the north wall's face on, by the plan [m]
    assert at_east(dead) - at_east(held) == pytest.approx(
        past, abs=1e-2
    )  # so far as it is 5 ft deep: less, millimetres
    assert held.build.shields is not None
    [met] = [met for place in held.build.shields.places for met in place.lines if not met.across]
    assert (met.line, round(met.gap, 3)) == ("gas line", 0.505)
    found = says(held, "DIG-25", "utilities.gas line")
    assert found.severity is Severity.CAUTION
    assert "open there into a dig without shields" in found.message
    assert not any(item.id == "DIG-25" for item in dead.findings)


def test_a_live_line_that_ends_beside_a_wall_is_designed_with_and_told() -> None:
    """A service that turns in half way along the wall: no drain beside another wall has any of it in its dig."""
    job = document(agreed=False)
    gas = next(line for line in job["utilities"] if line["name"] == "gas line")
    gas["route"] = [*gas["route"][:1], "10 ft, 27.7 ft", "10 ft, 26 ft"]
    found = says(design(read_text(json.dumps(job)).job), "DIG-23", "utilities.gas line")
    assert found.severity is Severity.FAILS
