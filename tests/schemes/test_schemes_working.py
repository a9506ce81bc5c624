"""One rule for all kinds: what does not work is refused, or shown for what it is where nothing works."""

from __future__ import annotations

from dataclasses import replace

import pytest
from scheme_lots import job, of_seed

from drainwright.design import Design
from drainwright.findings.model import Finding, Severity
from drainwright.job.model import Job
from drainwright.schemes import schemes
from drainwright.schemes import stage as stage_of_schemes
from drainwright.schemes.comparing import ends_of


def test_the_only_kind_that_can_be_laid_out_is_not_praised_while_the_floor_is_wet() -> None:
    found = of_seed(16)
    (only,) = found.schemes
    assert only.comparison.head_room is not None
    assert only.comparison.head_room < 0.0
    assert only.headline == "All pumped: does not work yet"
    assert "over the floor in the design storm, all working" in only.fault
    assert any("stronger pump" in text for text in only.helps)
    assert not any("before the others" in text for text in only.pros)
    assert "'All pumped' does not work yet" in found.verdict


def test_kinds_that_fail_the_same_check_are_all_refused_or_all_shown_as_not_working(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A check that every scheme fails: none is offered as working, and none is refused for it beside another."""
    failing = Finding(
        id="NET-01", title="Fall", severity=Severity.FAILS, where="works.runs.MD1", figure="0.50 %", limit="1.04 %",
        message="MD1 falls only 0.50 %.", advice="Raise its start.", source="common_practice",
    )  # fmt: skip
    given = job(fall=0.0, kind="storm line", below=3.0, floor=-2.0, water="97 ft")
    sound = schemes(given)
    assert {scheme.key for scheme in sound.schemes} >= {"split", "pumped"}
    assert all(scheme.works for scheme in sound.schemes)
    real = stage_of_schemes.design

    def all_fail(one: Job) -> Design:
        result = real(one)
        return replace(result, findings=(failing, *result.findings))

    monkeypatch.setattr(stage_of_schemes, "design", all_fail)
    found = schemes(given)
    assert {scheme.key for scheme in found.schemes} == {scheme.key for scheme in sound.schemes}
    assert not any(scheme.works for scheme in found.schemes)
    assert all(scheme.fault == "MD1 falls only 0.50 %" for scheme in found.schemes)
    assert not any("it does not work" in item.why for item in found.missing)

    def pumped_fails(one: Job) -> Design:
        result = all_fail(one)
        lifted = all(up for *_, up in ends_of(result))
        return result if lifted else replace(result, findings=result.findings[1:])

    monkeypatch.setattr(stage_of_schemes, "design", pumped_fails)
    found = schemes(given)
    assert found.scheme("split") is not None
    assert found.scheme("pumped") is None  # pumped or not, the same check
    assert (
        next(item.why for item in found.missing if item.key == "pumped")
        == "laid out, it does not work: MD1 falls only 0.50 %"
    )
    taken = found.laid_out("pumped")
    assert taken is not None
    assert not taken.works
