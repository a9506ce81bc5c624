"""Answers 4 and 17: the causes in their order, and what comes first."""

from __future__ import annotations

from dataclasses import replace

import pytest

from drainwright.design import Design
from drainwright.findings.rules import Case
from drainwright.job.values import Basis

from ..conftest import designed
from .change import Change, case_of
from .test_answers import reply, well_said
from .test_rules import BASES
from .trials_moisture import DROPS, GUTTER, JOINT, POND, STEADY, SUMP, TURNS, told

TOLD: dict[str, Change] = {
    "drops": told(DROPS),
    "joint": told(JOINT),
    "pond": told(POND),
    "gutter": told(GUTTER),
    "steady": told(STEADY),
    "leak": told(STEADY, tests=TURNS),
    "nothing": told(),
    "no sign": told({"when": "always"}),
    "many": told(DROPS, JOINT, POND, GUTTER, STEADY, {}),
    "high damp": told({"sign": "damp band on wall", "height": "2 m", "when": "wet season"}),
}


@pytest.mark.parametrize("base", BASES)
@pytest.mark.parametrize("name", TOLD)
def test_answers_are_well_said_whatever_was_seen(base: str, name: str) -> None:
    case = TOLD[name](case_of(designed(BASES[base])))
    for number in (4, 17):
        well_said(reply(case, number), case.job.units)


def test_causes_stand_in_their_order_with_their_evidence(metric: Design) -> None:
    answer = reply(told(STEADY)(case_of(metric)), 4)
    case = told(STEADY)(case_of(metric))
    first, second = case.moisture.causes[:2]
    assert answer.complete
    assert answer.answer.index(f"{first.cause.value.capitalize()} (") < answer.answer.index(
        f"{second.cause.value.capitalize()} ("
    )
    assert first.evidence_for[0].text.split(" (")[0] in answer.answer
    assert "not measured chances" in answer.answer
    assert case.moisture.next_test is not None
    assert f"'{case.moisture.next_test.test}'" in answer.do
    assert "then leads" in answer.do


def test_where_no_test_would_change_what_comes_first_answer_4_and_the_terminal_say_so(
    metric: Design, capsys: pytest.CaptureFixture[str]
) -> None:
    from drainwright.terminal import _show_moisture, new_console

    case = told(GUTTER)(case_of(metric))
    assert case.moisture.next_test is None
    answer = reply(case, 4)
    assert answer.do.startswith("No cheap test would change what is done first. ")
    assert case.moisture.causes[0].remedy in answer.do
    _show_moisture(new_console(), replace(metric, moisture=case.moisture))
    out = capsys.readouterr().out
    assert "No cheap test would change what is done first." in out
    assert "Next test" not in out


def test_without_a_sign_answer_4_says_what_is_missing(pumped: Design) -> None:
    for change in (told(), told({"when": "always"})):
        answer = reply(change(case_of(pumped)), 4)
        assert not answer.complete
        assert "'sign'" in answer.missing


@pytest.mark.parametrize(
    ("base", "change", "begins"),
    [
        ("metric", told(JOINT, SUMP), "A drain: ground water leads"),
        ("metric", told(JOINT), "Not a drain yet: ground water leads"),
        ("pumped", told(POND), "Roof and grade first: surface water leads"),
        ("metric", told(GUTTER), "Roof and grade first: roof water leads"),
        ("pumped", told(DROPS), "Neither inside nor outside: condensation leads"),
        ("metric", told(STEADY), "Neither yet: capillary rise leads"),
        ("pumped", told(), "The causes are not ranked"),
    ],
)
def test_what_comes_first_follows_the_ranking(base: str, change: Change, begins: str) -> None:
    case: Case = change(case_of(designed(BASES[base])))
    assert reply(case, 17).answer.startswith(begins)


def test_what_was_told_is_not_measured(pumped: Design) -> None:
    assert "symptoms" in pumped.answers[3].rests_on.split(f"{Basis.STATED.value}")[1].split(";")[0]


def test_the_terminal_tells_the_causes_in_a_few_lines(pumped: Design, capsys: pytest.CaptureFixture[str]) -> None:
    from drainwright.terminal import show_design

    show_design(pumped, every=False)
    out = capsys.readouterr().out
    part = out[out.index("Where the moisture comes from") : out.index("Water at the design rain")]
    first, second = (item.cause.value for item in pumped.moisture.causes[:2])
    assert part.index(f"{first}  ") < part.index(f"{second}  ")
    assert pumped.moisture.next_test is not None
    assert f"Next test: {pumped.moisture.next_test.test}" in part
    assert len(part.splitlines()) < 16


def test_results_hold_the_ranking(pumped: Design) -> None:
    from drainwright.results import design_to_plain

    told = design_to_plain(pumped)["moisture"]
    assert [item["cause"] for item in told["causes"]] == [item.cause.value for item in pumped.moisture.causes]
    assert told["drainage_is_remedy"] is True
