"""What the pages show of a design, without a browser: figures with their steps, the storm, what-ifs."""

from __future__ import annotations

import pickle
import re
from collections.abc import Iterator
from functools import cache

import pytest

from drainwright.design import Design, design
from drainwright.findings.model import Severity
from drainwright.job.reading import read_job
from drainwright.office.views.answers import answers
from drainwright.office.views.dig import dig
from drainwright.office.views.drawings import PAGES, of_kind, sheets, svg_of
from drainwright.office.views.first import first
from drainwright.office.views.model import Figure, Shown
from drainwright.office.views.papers import NAMES, paper
from drainwright.office.views.picking import ON_THE_PAGE, checks_of
from drainwright.office.views.price import price
from drainwright.office.views.storm import storm
from drainwright.office.views.storm_play import FRAMES, played
from drainwright.office.views.system import system
from drainwright.office.views.water import water
from drainwright.office.views.what_if import knobs, tried
from drainwright.office.views.worksheet import worksheet
from drainwright.paper.documents.blocks import Formula, Heading

from .stored import EXAMPLES

NAMED = ("block-wall-house", "two-basins", "soak-lot", "metric-basement")
WITHOUT_WINGS = {"COM", "PLA"}  # the place's own checks stand in the place sheet


@cache
def made(name: str) -> Design:
    return design(read_job(EXAMPLES / name / "job.yaml"))


def pages(found: Design) -> Iterator[Shown]:
    yield from (view(found) for view in (water, system, dig, price))
    yield storm(found).page


def figures(found: Design) -> Iterator[Figure]:
    for page in pages(found):
        yield from page.figures
    yield from (first(found).price, first(found).days)


@pytest.mark.parametrize("name", NAMED)
def test_every_figure_has_its_line_on_the_worksheet(name: str) -> None:
    sheet = worksheet(made(name))
    parts = {anchor for _, anchor in sheet.parts}
    steps = {f"step-{use.number}" for block in sheet.blocks if isinstance(block, Formula) for use in block.uses}
    assert len(steps) == sheet.steps == len(made(name).steps)
    assert {one.at for one in figures(made(name))} <= parts | steps
    cited = re.findall(r"\bW (\d+)\b", repr([*pages(made(name)), answers(made(name))]))
    assert cited
    assert {f"step-{number}" for number in cited} <= steps


@pytest.mark.parametrize("name", NAMED)
def test_a_step_that_is_cited_gave_the_figure_that_is_shown(name: str) -> None:
    found = made(name)
    for one in system(found).figures:
        if one.what == "Duty flow of one pump":
            step = found.steps[int(one.at.removeprefix("step-")) - 1]
            assert step.formula == "hydraulics.pump.operating_point"
            station = found.system.by_house[0]
            assert isinstance(step.result, dict)
            assert step.result["flow"] == pytest.approx(station.most_flow)


@pytest.mark.parametrize("name", NAMED)
def test_every_check_that_fails_or_warns_stands_on_one_page(name: str) -> None:
    found = made(name)
    shown = [(check.id, check.message) for page in pages(found) for check in page.checks]
    wanted = [
        (finding.id, finding.message)
        for finding in found.findings
        if finding.severity is not Severity.OK and finding.id.split("-")[0] not in WITHOUT_WINGS
    ]
    assert sorted(shown) == sorted(wanted)
    fails = [finding.id for finding in found.findings if finding.severity is Severity.FAILS]
    assert [check.id for check in first(found).fails] == fails


def test_what_fails_stands_first() -> None:
    for name in NAMED:
        checks, _ = checks_of(made(name), ("STM", "LFT", "OUT", "DIG", "NET"))
        kinds = [check.kind for check in checks]
        assert kinds == sorted(kinds, key=["fails", "caution"].index)


def test_pages_send_nobody_to_the_command_line() -> None:
    for name in NAMED:
        for page in pages(made(name)):
            assert "drainwright " not in repr([page.checks, page.figures, page.says])
    assert any(ON_THE_PAGE in check.do for check in storm(made("block-wall-house")).page.checks)


def test_what_a_page_says_to_do_is_in_whole_sentences() -> None:
    every, _ = checks_of(made("block-wall-house"), {"DIG", "FTG", "NET", "OUT", "STM", "SUR"})
    assert any(ON_THE_PAGE in check.do for check in every)
    assert [check.do for check in every if re.search(r"[a-z]{3}\. [a-z]", check.do)] == []


def test_the_first_page_tells_three_sentences_and_the_price_with_its_band() -> None:
    found = first(made("block-wall-house"))
    asked = made("block-wall-house").build.price
    assert len(found.says) == 3
    assert found.price.value == f"${asked.total:,.2f}"
    assert found.price.band.count("$") == 2
    assert {question for question, _, _ in found.missing} == {
        one.number for one in made("block-wall-house").answers if one.missing
    }


def test_pages_keep_no_part_that_only_paper_needs() -> None:
    kinds = {type(block).__name__ for page in pages(made("block-wall-house")) for block in page.blocks}
    assert kinds <= {"Heading", "Paragraph", "Bullets", "Checks", "Facts", "Notice", "Table", "Formula"}
    heads = [
        block.text for page in pages(made("metric-basement")) for block in page.blocks if isinstance(block, Heading)
    ]
    assert not any(re.match(r"\d+\. ", head) for head in heads)


# The storm


@pytest.mark.parametrize("name", NAMED)
def test_every_case_can_be_played_and_its_highest_water_is_that_of_the_test(name: str) -> None:
    found = made(name)
    to_unit = 1 / 0.3048 if found.job.units == "US" else 1.0
    for key, _ in storm(found).cases:
        shown, case = played(key)(found), found.storm.case(key)
        assert shown is not None
        assert case is not None
        assert len(shown.seconds) == len(shown.rain) == FRAMES + 1
        assert shown.seconds[-1] == case.times[-1]
        for basin in shown.basins:
            ran = case.station(basin.name)
            assert ran is not None
            assert len(basin.level) == len(basin.pumping) == FRAMES + 1
            assert max(basin.level) <= ran.highest * to_unit + 0.001
        for run in shown.runs:
            assert all(0.0 <= share <= 1.0 for share in (*run.upper, *run.lower))
        assert (shown.wet is None) == (case.time_to_slab is None)
    assert played("no such case")(found) is None


def test_a_pump_that_is_dead_never_runs() -> None:
    sound, dead = (played(key)(made("block-wall-house")) for key in ("sound", "pump dead"))
    assert sound is not None
    assert dead is not None
    assert any(sound.basins[0].pumping)
    assert sum(dead.basins[0].pumping) < sum(sound.basins[0].pumping) or not dead.basins[0].pumping[0]


def test_failures_that_wet_the_floor_stand_first_by_time() -> None:
    for name in NAMED:
        told = storm(made(name)).failures
        assert len(told) == len(made(name).storm.every) - 1
        wet = [one.wet for one in told if one.wet is not None]
        assert wet == sorted(wet)
        assert [one.dry for one in told] == sorted(one.dry for one in told)


# What if


def test_each_knob_stands_where_the_job_is() -> None:
    for name in NAMED:
        found = knobs(made(name))
        assert len({knob.name for knob in found.knobs}) == len(found.knobs)
        for knob in found.knobs:
            assert knob.steps[knob.now].typed is None
            assert sum(step.typed is None for step in knob.steps) == 1


def test_a_job_without_a_pump_is_not_asked_about_power_cuts() -> None:
    """Nothing came of the slider there."""
    for name in NAMED:
        found = made(name)
        assert any(knob.name == "cut" for knob in knobs(found).knobs) == bool(found.system.stations)
    assert not made("soak-lot").system.stations


def test_drawings_laid_out_for_a_phone_are_known_by_their_width() -> None:
    shown = {one.name: one.narrow for page in PAGES for one in of_kind(made("block-wall-house"), page)}
    assert {name for name, narrow in shown.items() if narrow} == {"days", "storm-failures-phone"}


def test_a_larger_storm_is_told_with_its_price_and_checks() -> None:
    base = made("block-wall-house")
    knob = next(knob for knob in knobs(base).knobs if knob.name == "storm")
    outcome = tried({knob.key: knob.steps[-1].typed})(base)
    assert knob.steps[-1].words == "100-year"
    assert not outcome.why_not
    assert not outcome.nothing
    assert outcome.storm
    assert outcome.asked == ("criteria.storm_return_period = 100 yr",)


def test_more_open_soil_brings_more_ground_water_and_is_marked_as_assumed() -> None:
    base = made("block-wall-house")
    knob = next(knob for knob in knobs(base).knobs if knob.name == "soil")
    last = knob.steps[-1].typed
    assert last["basis"] == "assumed"
    assert last["value"] == "20 ft/day"  # ten times the 2 ft/day of the job
    outcome = tried({knob.key: last})(base)
    assert {run for run, _, _ in outcome.flows} >= {"FD1", "FD2"}


def test_what_cannot_be_designed_says_why() -> None:
    outcome = tried({"works.runs.FD1.pipe": "a hose"})(made("block-wall-house"))
    assert "a hose" in outcome.why_not
    assert not outcome.price


# Drawings and papers


def test_drawings_that_pages_name_can_be_had() -> None:
    for name in NAMED:
        named = [one.name for page in pages(made(name)) for one in page.drawings]
        assert len(named) == len(set(named))
        assert set(named) <= set(sheets(made(name)))
        shown = svg_of(named[0])(made(name))
        assert shown is not None
        assert shown.startswith("<svg ")
    assert svg_of("no such drawing")(made("soak-lot")) is None


def test_a_paper_is_the_one_that_is_written_with_all_others() -> None:
    found = paper("order.csv")(made("block-wall-house"))
    assert found is not None
    assert found.content.startswith(b"\xef\xbb\xbfcategory,")
    answers_sheet = paper("answers.pdf")(made("block-wall-house"))
    assert answers_sheet is not None
    assert answers_sheet.content.startswith(b"%PDF-")
    assert paper("no-such.pdf")(made("block-wall-house")) is None
    assert len(set(NAMES)) == len(NAMES)


def test_what_is_shown_goes_from_process_to_process() -> None:
    found = made("two-basins")
    for view in (first, water, system, storm, dig, price, answers, worksheet, knobs):
        assert pickle.loads(pickle.dumps(view(found))) == view(found)
