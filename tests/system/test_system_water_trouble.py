"""Whole jobs in trouble: what the checks of the water surface say of them, end to end."""

from __future__ import annotations

from typing import Any

from system_jobs import designed, document

from drainwright.findings.rules import RULES, Case
from drainwright.findings.water_line import carry_over, freeboard, held_full, leader_head


def case_of(data: dict[str, Any]) -> Case:
    """A case of which only site, inflows and system are asked."""
    site, inflows, system = designed(data)
    nothing: Any = None
    return Case(site=site, inflows=inflows, system=system, storm=nothing, build=nothing, moisture=nothing)


def drowned_outlet() -> dict[str, Any]:
    """The invented lot with its outlet standing in a ditch, two feet over the pipe."""
    data = document(0.02)
    data["works"]["discharge"][0]["tailwater"] = "99.6 ft"
    data["works"]["basin"] = "none"
    return data


def test_a_flooded_ditch_holds_the_pipes_full_and_the_grate_lets_its_water_pass() -> None:
    case = case_of(drowned_outlet())
    levels = {name: water.level for name, water in case.system.water.items()}
    assert min(levels.values()) >= 99.6 * 0.3048 - 1e-6
    said = [outcome for outcome in held_full(case) if outcome.severity == "caution"]
    assert said
    assert all("held full" in outcome.message for outcome in said)
    assert [outcome for outcome in freeboard(case) if outcome.severity == "fails"]
    assert "comes out there" in " ".join(outcome.message for outcome in freeboard(case))
    passed = [outcome for outcome in carry_over(case) if outcome.severity != "ok"]
    assert passed
    assert "Lower the water in its pipe first" in passed[0].advice
    assert {outcome.severity for outcome in leader_head(case)} >= {"fails"}


def test_the_same_lot_with_a_dry_ditch_has_no_such_trouble() -> None:
    """But where three pipes meet square at a downspout's foot: that holds one full, and is told with its place."""
    case = case_of(document(0.02))
    for check in (freeboard, carry_over):
        assert {outcome.severity for outcome in check(case)} == {"ok"}, check.__name__
    assert "fails" not in {outcome.severity for outcome in leader_head(case)}
    (held,) = (outcome for outcome in held_full(case) if outcome.severity != "ok")
    assert "by the water at DS1" in held.message
    assert case.system.water["DS1"].losses["junction"] > 0.05
    assert {"NET-20", "NET-21", "NET-22", "NET-23", "NET-24", "NET-25"} <= set(RULES)
