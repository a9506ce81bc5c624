"""The checks: small rules that judge figures, and the answers in plain words."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from drainwright.build.model import Build
    from drainwright.field.model import Site
    from drainwright.findings.model import Answer, Finding
    from drainwright.findings.place_checks import PlaceCheck
    from drainwright.findings.rules import Rule
    from drainwright.storm.model import StormTest
    from drainwright.system.model import System
    from drainwright.water.model import Inflows
    from drainwright.water.moisture_model import MoistureSources


def all_rules() -> tuple[Rule, ...]:
    """All registered checks, in the order in which a job is thought through."""
    from drainwright.findings import (  # noqa: F401  (they register)
        basin,
        days,
        dig,
        drain_pipe,
        ends,
        failures,
        float_room,
        footing,
        grading,
        ground,
        ground_water,
        house,
        idle_basins,
        joined_lines,
        known,
        lift,
        locates,
        moisture,
        network,
        offer,
        outlet,
        pressure_line,
        prices,
        pumps,
        runs,
        shaping,
        slips,
        soak_places,
        soaks,
        spills,
        stone,
        storms,
        tested_ground,
        trench_room,
        trenches,
        wall_coat,
        water_line,
        ways_out,
    )
    from drainwright.findings.rules import RULES

    order = (
        "MOI",
        "OUT",
        "NET",
        "BED",
        "FTG",
        "GWT",
        "GRD",
        "LFT",
        "STM",
        "DIG",
        "DAY",
        "SUR",
        "SOI",
        "RAI",
        "SIZ",
        "PLA",
        "OFF",
        "PRC",
        "COM",
    )
    return tuple(sorted(RULES.values(), key=lambda rule: (order.index(rule.id[:3]), rule.id)))


def judge(
    site: Site, inflows: Inflows, system: System, storm: StormTest, build: Build, moisture: MoistureSources
) -> tuple[Finding, ...]:
    """Run every check on a job's results.

    Returns
    -------
    tuple of Finding
        In the order of the rules; a rule that does not apply gives none.
    """
    from drainwright.findings.rules import Case

    case = Case(site=site, inflows=inflows, system=system, storm=storm, build=build, moisture=moisture)
    return tuple(finding for rule in all_rules() for finding in rule.judge(case))


def judge_before_storm(
    site: Site, inflows: Inflows, system: System, build: Build | None, moisture: MoistureSources
) -> tuple[tuple[Finding, ...], tuple[str, ...]]:
    """Run the checks that look at no storm; with no ``build``, those that look at that neither.

    Returns
    -------
    tuple of Finding
        In the order of the rules, as ``judge`` gives them.
    tuple of str
        Ids of the checks that wait.
    """
    from drainwright.findings.before_storm import judged_before_storm

    return judged_before_storm(all_rules(), site, inflows, system, build, moisture)


def answer(
    site: Site,
    inflows: Inflows,
    system: System,
    storm: StormTest,
    build: Build,
    moisture: MoistureSources,
    findings: tuple[Finding, ...],
) -> tuple[Answer, ...]:
    """Answer the 25 questions with this job's numbers."""
    from drainwright.findings.answers import answers
    from drainwright.findings.rules import Case

    case = Case(site=site, inflows=inflows, system=system, storm=storm, build=build, moisture=moisture)
    return answers(case, findings)


def asked_of_the_place(
    site: Site, inflows: Inflows, system: System, storm: StormTest, build: Build, moisture: MoistureSources
) -> tuple[PlaceCheck, ...]:
    """What the place demands, or must be asked, before work begins."""
    from drainwright.findings.place_checks import place_checks
    from drainwright.findings.rules import Case

    return place_checks(Case(site=site, inflows=inflows, system=system, storm=storm, build=build, moisture=moisture))


__all__ = ["all_rules", "answer", "asked_of_the_place", "judge", "judge_before_storm"]
