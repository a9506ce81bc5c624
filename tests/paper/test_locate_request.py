"""The locate request: dig areas in words that lead back to the places, and reminders that a strict reader takes."""

from __future__ import annotations

import datetime
import re
from dataclasses import replace

import pytest

from drainwright.build.exposure import DANGER, exposures
from drainwright.build.locates import ticket_days
from drainwright.build.repair_kits import RULES, repair_kit
from drainwright.build.shaping import TOPSOIL
from drainwright.build.usual_lines import USUAL
from drainwright.design import Design
from drainwright.job.locates import Locates
from drainwright.paper.calendar import reminders
from drainwright.paper.documents.blocks import Cell, Table
from drainwright.paper.documents.locate_request import locate_request
from drainwright.paper.documents.proposal_works import scope_blocks
from drainwright.paper.documents.safe_dig import safe_dig_blocks
from drainwright.paper.documents.say import Say, day
from drainwright.paper.white_marking import corner_words, dig_words

from ..conftest import designed
from .papers import text_of

FOOT, INCH = 0.3048, 0.0254


def metres(text: str) -> float:
    """A tape length read back."""
    feet, inches = re.search(r"(\d+) ft", text), re.search(r"(?<!/)\b(\d+) in", text)
    return (int(feet[1]) if feet else 0) * FOOT + (int(inches[1]) if inches else 0) * INCH


def test_words_lead_back_to_the_end_of_the_line(pumped: Design) -> None:
    """By hand from the words alone: corner A at the origin, the south wall along the plan's east."""
    text = next(item.text for item in dig_words(pumped) if item.name == "DL")
    first, *_, last = text.split("; to ")
    assert " from the south-west corner (A) along the wall line towards B" in first
    found = re.search(r"^(.*) from A towards B, then (.*) out", last)  # named just before
    assert found is not None
    a, b = (next(p for p in pumped.site.points.values() if p.name == name) for name in "AB")
    length = ((b.east - a.east) ** 2 + (b.north - a.north) ** 2) ** 0.5
    along = ((b.east - a.east) / length, (b.north - a.north) / length)
    x, y = metres(found[1]), metres(found[2])
    at = (a.east + along[0] * x + along[1] * y, a.north + along[1] * x - along[0] * y)
    end = pumped.system.nodes[pumped.system.discharge].at
    assert at == pytest.approx(end, abs=0.03)


def test_every_dig_is_described(pumped: Design, metric: Design) -> None:
    for design in (pumped, metric):
        assert [item.name for item in dig_words(design)] == [item.name for item in design.build.dig.trenches]
        assert all(item.text.endswith(".") for item in dig_words(design))
    assert not any(re.search(r"\bft\b|\d in\b", item.text) for item in dig_words(metric))


def test_an_infiltration_trench_is_told_from_end_to_end() -> None:
    """Whoever marks from the words must come past its whole length, not round the pipe's end alone."""
    made = designed("soak-lot/job")
    soak = made.system.soaks[0]
    text = next(item.text for item in dig_words(made) if item.name == soak.name)
    assert text.startswith("From ")
    first, last = text.split(". A strip")[0].split("; to ")
    assert first != last
    assert metres(text.split(". A strip ")[1].split(" long")[0]) == pytest.approx(soak.length, abs=INCH)


def test_corners_of_a_long_house_have_names_of_their_own() -> None:
    """72 ft by 26 ft: two corners called east would send a locator to either."""
    made = designed("two-basins/job")
    told = {name: corner_words(made, name) for name in "ABCD"}
    assert told == {
        "A": "south-west corner (A)",
        "B": "south-east corner (B)",
        "C": "north-east corner (C)",
        "D": "north-west corner (D)",
    }


def test_no_place_of_a_run_is_told_twice() -> None:
    """FD1 turns twice within 2 in at corner C: one place for whoever marks."""
    made = designed("two-basins/job")
    told = {item.name: item.text for item in dig_words(made)}
    assert told["FD1"].count("; to ") == 2
    assert told["FD2"].count("; to ") == 3


def test_shaped_ground_is_in_the_dig_area() -> None:
    """Stripping topsoil is digging: each strip is told with how far out it goes, banks and all, and how deep."""
    made = designed("wrong-choices/mended")
    told = {item.name: item.text for item in dig_words(made) if item.text.startswith("Shaped ground along")}
    assert len(made.site.shaped) == 2
    for strip in made.site.shaped:
        text = told[strip.wall.name]
        out = metres(text.split("out from the wall")[0].rsplit(", and ", 1)[1])
        assert out == pytest.approx(max(one.run + (one.bank or 0.0) for one in strip.sections), abs=INCH)
        assert metres(text.split("wall: topsoil is stripped, ")[1]) >= TOPSOIL - INCH / 2


def test_true_north_turns_the_corner_words(pumped: Design) -> None:
    west = next(item.text for item in dig_words(pumped) if item.name == "west")
    assert "(west side)" in west
    lot = pumped.job.property.model_copy(update={"north": 3.14159265 / 2})  # true north is the plan's right
    turned = replace(pumped, job=pumped.job.model_copy(update={"property": lot}))
    assert "(south side)" in next(item.text for item in dig_words(turned) if item.name == "west")


def test_every_line_of_the_job_has_a_row_for_its_answer(pumped: Design, metric: Design) -> None:
    """A private line that no centre asks for, and a kind said absent, are told as that and not left out."""
    for made in (pumped, metric):
        tables = [block for block in locate_request(made) if isinstance(block, Table)]
        rows = next(table.rows for table in tables if "Answer" in [column.head for column in table.columns])
        named = {row[0].text for row in rows if isinstance(row[0], Cell)}
        assert named == {line.name for line in made.job.utilities} | set(made.job.utilities_absent)
        assert len(rows) == len(made.job.utilities) + len(made.job.utilities_absent)


def test_the_lines_to_ask_for_are_named_with_where_they_run(pumped: Design) -> None:
    dig = replace(pumped.build.dig, unlocated=("gas", "irrigation"))
    asked = str(locate_request(replace(pumped, build=replace(pumped.build, dig=dig))))
    assert "meter on the house wall" in asked
    assert "look first where the water service reaches the house" in asked
    assert "Lines that nobody entered" not in str(locate_request(replace(
        pumped, build=replace(pumped.build, dig=replace(dig, unlocated=()))
    )))  # fmt: skip


def test_the_last_day_of_the_request_is_the_one_with_bad_luck(pumped: Design) -> None:
    """The one-call centre was told the bare plan's last day, on which the proposal itself does not believe."""
    doubt = pumped.build.plan.doubt
    assert doubt is not None
    assert doubt.end_bad is not None
    assert doubt.end_bad > pumped.build.plan.dates[-1]
    assert f"('Last day', '{day(doubt.end_bad)}')" in str(locate_request(pumped))
    bare = replace(pumped, build=replace(pumped.build, plan=replace(pumped.build.plan, doubt=None)))
    assert f"('Last day', '{day(pumped.build.plan.dates[-1])}')" in str(locate_request(bare))


def test_lines_that_could_meet_the_pipe_are_exposed_first(pumped: Design) -> None:
    found = exposures(pumped.site, pumped.build.dig)
    assert len(found) == len(pumped.build.dig.crossings)
    assert [one.decides for one in found] == sorted((one.decides for one in found), reverse=True)
    for group in (True, False):
        ranks = [DANGER.index(one.meeting.kind) for one in found if one.decides is group]
        assert ranks == sorted(ranks)
    for one in found:
        doubt = one.line.utility.doubt
        assert one.down_most - one.down_least == pytest.approx(min(2 * doubt, one.down_most))


def test_no_crew_mends_what_kills() -> None:
    assert set(RULES) == set(USUAL) == set(DANGER)
    never = {kind for kind, rule in RULES.items() if not rule.repairs}
    assert {"gas", "electric", "propane", "oil", "communication", "reclaimed", "septic"} <= never
    assert all(not RULES[kind].kit for kind in never)


def test_a_kit_has_the_line_s_size_and_material(pumped: Design) -> None:
    line = next(item for item in pumped.job.utilities if item.kind == "water")
    copper = line.model_copy(update={"material": "copper"})
    assert "two repair couplings 1 in for copper" in repair_kit(copper, "1 in", metric=False)
    assert any("not known" in item for item in repair_kit(line, "1 in", metric=False))
    assert not any(" m of" in item for item in repair_kit(line, "1 in", metric=False))


# -- reminders, by a strict reader ---------------------------------------------------------------------------------


def read_calendar(raw: bytes) -> list[dict[str, str]]:
    """Events of a calendar, read as RFC 5545 writes them (from memory): sections 3.1, 3.3.4, 3.3.11, 3.6, 3.6.1."""
    assert raw.endswith(b"\r\n")
    assert all(len(line) <= 75 for line in raw.split(b"\r\n"))
    lines = raw.replace(b"\r\n ", b"").decode("utf-8").split("\r\n")[:-1]
    assert lines[0] == "BEGIN:VCALENDAR"
    assert lines[-1] == "END:VCALENDAR"
    head, events, inside = {}, [], False
    for line in lines[1:-1]:
        match = re.fullmatch(r"([A-Z-]+)((?:;[A-Z-]+=[^:;]+)*):(.*)", line)
        assert match is not None, line
        name, parameters, value = match.groups()
        if name == "BEGIN":
            assert value == "VEVENT"
            assert not inside
            inside = True
            events.append({})
        elif name == "END":
            assert inside
            inside = False
        else:
            target = events[-1] if inside else head
            assert name not in target, f"{name} twice"
            if name in ("SUMMARY", "DESCRIPTION", "LOCATION"):
                assert not re.search(r"(?<!\\)[;,]", value), value
            if name in ("DTSTART", "DTEND"):
                assert parameters == ";VALUE=DATE"
                datetime.datetime.strptime(value, "%Y%m%d")
            if name == "DTSTAMP":
                datetime.datetime.strptime(value, "%Y%m%dT%H%M%SZ")
            target[name] = value
    assert {"VERSION", "PRODID"} <= set(head)
    assert all({"UID", "DTSTAMP", "DTSTART", "SUMMARY"} <= set(event) for event in events)
    assert all(event["DTEND"] > event["DTSTART"] for event in events)
    assert len({event["UID"] for event in events}) == len(events)
    return events


def dates(design: Design) -> dict[str, str]:
    return {event["SUMMARY"].split(":")[0]: event["DTSTART"] for event in read_calendar(reminders(design))}


def test_before_the_call_the_last_day_to_call_is_told(pumped: Design) -> None:
    """The first day is Monday 13 April 2026; three full working days before it are 8 to 10 April."""
    assert dates(pumped)["Ask for the locate ticket"] == "20260407"


def test_before_the_call_the_life_runs_from_the_last_day_to_call(pumped: Design) -> None:
    """Called on Tuesday 7 April, 15 working days end on Tuesday 28 April: renewed by the 23rd."""
    assert ticket_days(pumped.job, pumped.build.plan.dates).last_if_called == datetime.date(2026, 4, 28)
    assert dates(pumped)["Locate ticket runs out soon"] == "20260423"


def test_after_the_call_answers_and_renewal_are_told(pumped: Design) -> None:
    """Called on 1 April with 3 days' notice and 15 of life: answers by the 6th, renewed by the 17th for the 23rd."""
    ticket = Locates.model_validate({"called": "2026-04-01", "number": "T-1"})
    job = pumped.job.model_copy(update={"locates": ticket})
    told = dates(replace(pumped, job=job))
    assert "Ask for the locate ticket" not in told
    assert told["Answers to the locate ticket due"] == "20260406"
    assert told["Locate ticket runs out soon"] == "20260417"


def test_a_run_without_a_trench_of_its_own_is_told_where_it_lies(metric: Design) -> None:
    """Every run with a cut sheet is in the table of trenches and in the dig area."""
    dig = metric.build.dig
    assert dict(dig.laid_in).keys() == {run.name for run in metric.system.runs} - {item.name for item in dig.trenches}
    assert dig.laid_in == (("L1", "FD1"),)
    request = next(block for block in locate_request(metric) if isinstance(block, Table))
    assert request.rows[-1] == (Cell(text="L1", weight="semibold"), "No dig of its own, in that of FD1.")


def test_a_wall_laid_bare_without_a_coat_is_told_as_that(metric: Design) -> None:
    """FD1's trench runs along the south wall, which is neither cleaned nor coated; no paper calls it not opened."""
    (south,) = (wall for wall in metric.site.walls if wall.name == "south")
    assert not south.wall.open_and_coat
    assert "south" in metric.system.run("FD1").walls
    told = text_of(metric, "proposal")
    assert "Water through walls that are not opened: east." in told
    assert "Water through the south wall, which the trench of FD1 lays bare but which is not coated." in told
    assert "Walls not named above: east; cleaning and coating of the south wall" in told
    assert "Laid bare by FD1 and not coated: south." in str(safe_dig_blocks(metric))


def test_a_run_in_another_s_trench_has_its_depth(metric: Design) -> None:
    say, run = Say("SI"), metric.system.run("L1")
    deep = say.dug(max(station.cut for station in run.stations))
    assert deep == "0.32 m"
    for blocks, head, column in ((scope_blocks(metric), "Run", 4), (safe_dig_blocks(metric), "Trench", 3)):
        table = next(block for block in blocks if isinstance(block, Table) and block.columns[0].head == head)
        row = next(row for row in table.rows if isinstance(row[0], Cell) and row[0].text == "L1")
        assert row[column] == deep
