"""Words that read wrongly in the papers of the examples: one of several, nothing of a measure, the wrong number."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from drainwright.build.shown import counted_unit
from drainwright.build.wording import lengths_rule
from drainwright.findings import all_rules
from drainwright.findings.failure_words import Words, came_in, over_grates
from drainwright.findings.model import Severity
from drainwright.paper.documents.hazards import few
from drainwright.paper.documents.say import Say
from drainwright.paper.documents.spanish import Translator
from drainwright.paper.documents.told import view_of
from drainwright.paper.order_lists import pieces_words, stick_rows
from drainwright.paper.sheet import TextMark
from drainwright.paper.storm_chart import storm_draft
from drainwright.paper.storm_yard import yard_draft
from drainwright.paper.water_picture import water_draft
from drainwright.paper.wording import Wording

from ..conftest import designed
from ..findings.change import case_of
from .papers import text_of


def test_several_names_that_nothing_is_to_be_done_at() -> None:
    assert few(["SUMP", "DRIVE"], "or") == "SUMP or DRIVE"
    said = Translator(frozenset({"SUMP", "DRIVE"})).say(
        "Nobody enters SUMP or DRIVE unless shored or shielded: no room to slope."
    )
    assert said.startswith("Nadie entra en SUMP o DRIVE si no")
    packet = text_of(designed("two-basins/job"), "crew-packet")  # one has room to slope, the other none
    assert "Nobody enters SUMP unless shored or shielded" in packet
    assert "Nobody enters DRIVE unless sloped" in packet


def test_a_rule_for_one_wall_and_for_several() -> None:
    assert lengths_rule("6 ft").startswith("open it in lengths of 6 ft")
    assert lengths_rule("6 ft", 2).startswith("open each in lengths of 6 ft")
    for job in ("two-basins/job", "metric-basement/job"):
        for paper in ("crew-packet", "answers", "answers-crew"):
            assert not re.search(r"\w+ and \w+(?: walls)?: open it", text_of(designed(job), paper)), (job, paper)


def test_water_that_is_less_than_a_sixteenth_deep_is_a_film() -> None:
    """28 gal over a floor were told as 0 in."""
    design = designed("two-basins/job")
    (told,) = (one for one in design.findings if one.id == "STM-19")
    assert told.message.endswith("come in, a film over the whole floor.")
    shallow = [one for one in design.storm.every if one.entering is not None]
    assert shallow
    assert all(not came_in(one, Words(units="US", crawl=False)).endswith(" 0 in deep") for one in shallow)


def test_every_way_out_is_told_where_there_are_two() -> None:
    design = designed("long-house/job")
    assert design.system.ways_out == ("OUT1", "OUT2")
    drawn = " ".join(mark.text for mark in water_draft(design).marks if isinstance(mark, TextMark))
    assert "at OUT1 and OUT2" in drawn
    assert "OUT1 (daylight) and OUT2 (daylight)" in text_of(design, "proposal")
    assert designed("soak-lot/job").system.ways_out == ("SOAK",)
    assert designed("two-basins/job").system.ways_out == ("OUT",)


def test_the_answers_name_every_way_out() -> None:
    """The crew's sheet said that water leaves at OUT2 only, where half of it leaves at OUT1; only OUT2 was judged."""
    design = designed("long-house/job")
    for check in ("OUT-01", "OUT-03", "OUT-04", "OUT-05"):
        judged = [one.where for one in design.findings if one.id == check]
        assert judged == ["works.discharge.OUT1", "works.discharge.OUT2"], check
    assert "Your water leaves at OUT1 and OUT2 (daylight): allowed." in text_of(design, "answers")
    crew = text_of(design, "answers-crew")
    for words in (
        "Water leaves at OUT1 and OUT2 (daylight) only: allowed.", "End at OUT1 (daylight) and OUT2 (daylight) free",
        "OUT1 invert 91.50 ft. OUT2 invert 91.50 ft.", "OUT1 and OUT2 stay 5 ft from the boundary",
    ):  # fmt: skip
        assert words in crew, words
    verdicts = tuple(
        replace(one, lawful="forbidden") if one.discharge == "OUT1" else one for one in design.system.gravity
    )
    barred = replace(design, system=replace(design.system, gravity=verdicts))
    lawful = next(one for one in all_rules() if one.id == "OUT-01")
    found = {one.where: one.severity for one in lawful.judge(case_of(barred))}
    assert found == {"works.discharge.OUT1": Severity.FAILS, "works.discharge.OUT2": Severity.OK}
    assert "Your water leaves at OUT1 (daylight): forbidden. It leaves at OUT2 (daylight): allowed." in text_of(
        barred, "answers"
    )
    assert "No pipe to OUT1 before the office has the answer." in text_of(barred, "answers-crew")


def test_a_share_that_is_hardly_anything_is_not_none() -> None:
    """1.5 gpm of ground water were told as 0 %."""
    drawn = " ".join(mark.text for mark in water_draft(designed("long-house/job")).marks if isinstance(mark, TextMark))
    assert "1.5 gpm, under 1 %" in drawn
    assert ", 0 %" not in drawn


def test_numbers_of_things_to_buy() -> None:
    assert counted_unit(1.0, "pint") == "1 pint"
    assert counted_unit(3.0, "pint") == "3 pints"
    assert counted_unit(5.0, "stick 10 ft") == "5 sticks 10 ft"
    assert counted_unit(12.5, "yd³") == "12.5 yd³"
    assert counted_unit(4.0, "each") == "4 each"
    packet = text_of(designed("block-wall-house/job"), "crew-packet")
    assert "3 pints" in packet
    assert not re.search(r"\b(?!1 )\d+ (pint|load|stick|bag|pail|sheet)\b", packet)


@pytest.mark.parametrize("job", ["metric-basement/job", "two-basins/job"])
def test_levels_are_told_to_the_same_digits_everywhere(job: str) -> None:
    """Findings gave metric levels to the centimetre where the drawings have the millimetre."""
    design = designed(job)
    case = view_of(design).case
    for level in (49.42, 97.166):
        assert case.level(level) == Wording(design.job.units).level(level)
        assert Words(units=design.job.units, crawl=False).level(level) == case.level(level)


def test_the_storm_s_chart_has_the_floats_as_they_are_set() -> None:
    """It had the alarm as reckoned, 95.60 ft, where the basin's section has the tape's mark, 95.61 ft."""
    design = designed("two-basins/job")
    say = Wording("US")
    texts = [
        mark.text
        for draft in (storm_draft(design), yard_draft(design))
        if draft is not None
        for mark in draft.marks
        if isinstance(mark, TextMark)
    ]
    for station in design.system.by_house:
        assert f"alarm {say.level_number(station.float_levels['alarm'])}" in texts
        assert f"pump on {say.level_number(station.float_levels['on'])}" in texts


def test_what_guards_against_a_dead_pump_beside_a_second_one() -> None:
    """A yearly visit alone was told of a storm that two pumps do not hold."""
    (told,) = (one for one in designed("block-wall-house/job").findings if one.id == "STM-05")
    assert "; an overflow by gravity above the floats, if there is any fall." in told.advice
    assert "For the price of an overflow see 'If something breaks'" in text_of(
        designed("block-wall-house/job"), "answers"
    )


def test_a_place_to_go_to_is_told_without_quotes() -> None:
    for told in designed("block-wall-house/job").findings:
        if told.id == "GRD-07":
            assert '"' not in told.advice


def test_sticks_that_are_cut_alike_are_told_once() -> None:
    """The metric cutting list had seven rows of one length. How many are alike moves with the lengths of wall."""
    design = designed("metric-basement/job")
    say = Say(design.job.units)
    rows = stick_rows(design)
    assert sorted(cut.number for alike in rows for cut in alike if cut.pipe == rows[0][0].pipe) == list(
        range(1, 1 + sum(cut.pipe == rows[0][0].pipe for cut in design.build.takeoff.cuts))
    )
    assert len(rows) < len(design.build.takeoff.cuts)
    for alike in rows:
        for cut in alike:
            assert [say.length(piece.length) for piece in cut.pieces] == [
                say.length(piece.length) for piece in alike[0].pieces
            ]
            assert all(f"#{'-'.join(map(str, piece.openings))}" in pieces_words(alike, say)
                       for piece in cut.pieces if piece.openings)  # fmt: skip
    told = [(alike[0].pipe, alike[0].length, re.sub(r"( #[\d-]+,?)+|, rest .*", "", pieces_words(alike, say)))
            for alike in rows]  # fmt: skip
    assert len(told) == len(set(told))
    spoken = Translator(frozenset({"FD1"})).say("FD1 #2, #3, #9 2.24 m, rest 0.80 m")
    assert spoken == "FD1 #2, #3, #9 2.24 m, sobra 0.80 m"


def test_water_over_many_grates_is_told_in_a_line() -> None:
    """Ten grates with their depths filled half a page of the proposal, and broke a row over two pages."""
    assert over_grates([("CB1", 0.03), ("CB2", 0.05)], "{:.2f} m".format) == ["0.03 m over CB1", "0.05 m over CB2"]
    ponds = [(f"CB{n}", 0.02 + 0.01 * n) for n in range(1, 7)]
    assert over_grates(ponds, "{:.2f} m".format, " deep") == ["0.03 m to 0.08 m deep over 6 grates (most over CB6)"]
    assert over_grates([(name, 0.04) for name, _ in ponds], "{:.2f} m".format)[0].startswith("0.04 m over 6 grates")
    told = text_of(designed("long-house/job"), "proposal")
    assert "over 10 grates (most over CB9)" in told
    assert told.count("coarse stone") == 1
    assert "where the water comes out at OUT1 and OUT2, against scour" in told
    assert "over CB8, " not in told
