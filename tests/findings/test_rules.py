"""Every registered rule on changed jobs: one that trips it, for each severity, and a twin that does not."""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Callable, Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from drainwright import findings
from drainwright.design import Design
from drainwright.findings import all_rules, rules
from drainwright.findings.model import Finding
from drainwright.findings.rules import RULES, Outcome
from drainwright.findings.shaping import shaped_at
from drainwright.sources import SOURCES

from ..conftest import designed
from .change import Expected, Trial, case_of
from .trials_days import TRIALS as DAYS
from .trials_dig import TRIALS as DIG
from .trials_failures import TRIALS as FAILURES
from .trials_footing_room import TRIALS as FOOTING_ROOM
from .trials_grading import TRIALS as GRADING
from .trials_ground import TRIALS as GROUND
from .trials_ground import bored
from .trials_lift import TRIALS as LIFT
from .trials_line import TRIALS as LINE
from .trials_moisture import TRIALS as MOISTURE
from .trials_network import TRIALS as NETWORK
from .trials_offer import TRIALS as OFFER
from .trials_prices import TRIALS as PRICES
from .trials_pumps import TRIALS as PUMPS
from .trials_shaping import TRIALS as SHAPING
from .trials_shaping import strips
from .trials_slips import TRIALS as SLIPS
from .trials_spills import TRIALS as SPILLS
from .trials_stone import TRIALS as STONE
from .trials_terrain import TRIALS as TERRAIN
from .trials_water import TRIALS as WATER
from .trials_water_line import TRIALS as WATER_LINE
from .trials_ways_out import TRIALS as WAYS_OUT

TRIALS = (
    *NETWORK,
    *WATER,
    *GRADING,
    *FOOTING_ROOM,
    *WATER_LINE,
    *GROUND,
    *TERRAIN,
    *SHAPING,
    *SLIPS,
    *STONE,
    *LIFT,
    *PUMPS,
    *FAILURES,
    *SPILLS,
    *LINE,
    *DIG,
    *DAYS,
    *MOISTURE,
    *OFFER,
    *PRICES,
    *WAYS_OUT,
)
BASES = {
    "pumped": "block-wall-house/job",
    "gravity": "sloping-lot/job",
    "wrong": "wrong-choices/job",
    "mended": "wrong-choices/mended",
    "metric": "metric-basement/job",
    "soak": "soak-lot/job",
    "stations": "two-basins/job",
}
PLACES = (
    "works.runs", "works.inlets.", "works.discharge.", "works.basin", "works.more_basins.", "works.shaping.",
    "house.", "storm", "property.access.", "pumps[", "criteria.", "yards.",
    "utilities", "trees.",
    "equipment", "crew.size", "crew.start", "crew.visits[", "crew.hours_per_day", "survey.", "ground.", "rain",
    "locates", "roofs", "rules", "price_book",
    "property.boundary", "offer", "symptoms", "moisture_tests",
)  # fmt: skip
TRADE_SIZES = {  # nominal pipe sizes, drills and what is sold stay in inches, beside SI
    "NET-08", "NET-10", "LFT-08", "LFT-17", "PRC-01", "PRC-02", "PRC-03",
}  # fmt: skip

SEVERITIES = ("ok", "caution", "fails")
FILES = sorted(Path(findings.__file__).parent.glob("*.py"))
ONCE_A_PLACE = {"DIG-22"}


def name(trial: Trial) -> str:
    return f"{trial.rule}-{trial.expected or 'nothing'}"


def judged(trial: Trial) -> tuple[tuple[Finding, ...], str]:
    case = trial.change(case_of(designed(BASES[trial.base])))
    found = {rule.id: rule for rule in all_rules()}[trial.rule].judge(case)
    return tuple(item for item in found if not trial.where or item.where == trial.where), case.job.units


@pytest.mark.parametrize("trial", TRIALS, ids=name)
def test_rule_says_what_it_must(trial: Trial) -> None:
    found, units = judged(trial)
    severities = [item.severity.value for item in found]
    if trial.expected is None:
        assert severities == []
    elif trial.expected == "ok":
        assert severities
        assert set(severities) == {"ok"}
    else:
        assert trial.expected in severities
    told = [f"{item.message} {item.figure} {item.limit} {item.advice}" for item in found]
    assert not trial.says or any(trial.says in text for text in told), told
    for item in found:
        well_worded(item, units)


@pytest.mark.parametrize(("hole", "said", "unsaid"), [
    ((-1.0, -1.0, 0.3), "ends ", "from the house"), ((-8.0, -1.0, 2.5), "from the house", "ends "),
])  # fmt: skip
def test_a_test_hole_is_blamed_for_what_is_wrong_with_it_alone(
    hole: tuple[float, float, float], said: str, unsaid: str
) -> None:
    """A hole too far off was said to end above the drain, had the comparison been turned: no trial read both."""
    (found,), _ = judged(Trial("GWT-06", "caution", change=bored(*hole)))
    blame = found.message.partition(", which ")[2]
    assert said in blame
    assert unsaid not in blame


def test_shaped_ground_is_that_of_its_own_wall() -> None:
    case = strips()(case_of(designed(BASES["mended"])))
    (strip,) = case.site.shaped
    along = strip.sections[len(strip.sections) // 2].station
    assert shaped_at(case, strip.wall.name, along) is not None
    assert {wall.name for wall in case.site.walls} > {strip.wall.name}
    for wall in ("a", "zzz", *(wall.name for wall in case.site.walls if wall.name != strip.wall.name)):
        assert shaped_at(case, wall, along) is None


def test_a_finding_names_its_place_once() -> None:
    """Two strips of shaped ground over one tree's roots are one finding: the reader counts trees."""
    twice = {}
    for trial in TRIALS:
        if trial.rule in ONCE_A_PLACE:
            found, _ = judged(replace(trial, where=""))
            twice[name(trial)] = [item.where for item in found if [one.where for one in found].count(item.where) > 1]
    assert twice
    assert not any(twice.values()), twice


def well_worded(item: Finding, units: str) -> None:
    texts = {"message": item.message, "figure": item.figure, "limit": item.limit, "advice": item.advice}
    assert item.message.endswith(".")
    assert item.where.startswith(PLACES), item.where
    assert bool(item.advice) == (item.severity.value != "ok")
    assert not item.advice or item.advice.endswith(".")
    for part in ("figure", "limit"):
        assert re.search(r"[A-Za-z%]", texts[part]), f"{part} is bare: {texts[part]!r}"
    for text in texts.values():
        assert not re.search(r"\b(None|nan|inf|NaN|Infinity)\b", text), text
        assert "  " not in text
        assert ".." not in text
        assert text == text.strip()
        assert not re.search(r"\b[a-z]+\.[a-z]+\(|\bFact\(|<[A-Z]", text), text
        if units == "SI":
            assert not re.search(r"\d (ft|feet|gpm|gal|lb|hp|yd³|ft²|cfs|pcf)\b", text), text
            if item.id not in TRADE_SIZES:
                assert not re.search(r"\d in\b", text), text


@pytest.mark.parametrize("base", BASES)
def test_examples_are_well_worded(base: str) -> None:
    result = designed(BASES[base])
    assert result.findings
    for item in result.findings:
        well_worded(item, result.job.units)


def unpaired(trials: Iterable[Trial]) -> set[str]:
    """Rules without a trip that has a twin: the same example at the same place, where it is silent or content.

    A twin on another job, or at another place, may be silent for want of the thing that the rule looks at.
    """
    trials = tuple(trials)

    def twin_of(trip: Trial, other: Trial) -> bool:
        same_place = not trip.where or not other.where or trip.where == other.where
        return other.rule == trip.rule and other.base == trip.base and other.expected in ("ok", None) and same_place

    trips = [trial for trial in trials if trial.expected in ("caution", "fails")]
    paired = {trip.rule for trip in trips if any(twin_of(trip, other) for other in trials)}
    return {rule.id for rule in all_rules()} - paired


def test_every_rule_has_a_trip_and_a_twin() -> None:
    trips = {trial.rule for trial in TRIALS if trial.expected in ("caution", "fails")}
    twins = {trial.rule for trial in TRIALS if trial.expected in ("ok", None)}
    known = {rule.id for rule in all_rules()}
    assert known - trips == set()
    assert known - twins == set()
    assert trips | twins == known


def test_the_twin_of_a_trip_is_the_same_example_at_the_same_place() -> None:
    assert unpaired(TRIALS) == set()


@pytest.mark.parametrize("lost", [("ok", None), ("caution", "fails")])
def test_a_rule_without_a_twin_or_a_trip_is_told(lost: tuple[Expected, ...]) -> None:
    for rule in all_rules():
        assert unpaired(one for one in TRIALS if one.rule != rule.id or one.expected not in lost) == {rule.id}
    far = [replace(one, base="nowhere") if one.rule == "NET-24" and one.expected in lost else one for one in TRIALS]
    assert unpaired(far) == {"NET-24"}


def test_every_rule_that_is_written_is_in_the_catalogue() -> None:
    """By the text of the files: a file that the catalogue does not import would be judged by nobody."""
    written = {key for file in FILES for key in re.findall(r'@rule\(\s*"([A-Z]{3}-\d\d)"', file.read_text("utf-8"))}
    assert len(written) > 100
    assert written - {rule.id for rule in all_rules()} == set()


def test_rules_are_told_apart() -> None:
    rules = all_rules()
    assert len({rule.id for rule in rules}) == len(rules)
    assert len({rule.title for rule in rules}) == len(rules)
    assert all(re.fullmatch(r"[A-Z]{3}-\d\d", rule.id) for rule in rules)
    assert all(rule.source in SOURCES for rule in rules)
    assert all(rule.check.__doc__ or rule.id.startswith("STM") for rule in rules)
    assert {rule.id for rule in rules} == set(RULES)


def outcomes() -> set[tuple[str, int, str]]:
    """Where the rules' files make an outcome: file, line and severity, of ``(fails if x else caution)(...)`` both."""
    found = set()
    for file in FILES:
        for node in ast.walk(ast.parse(file.read_text("utf-8"))):
            if isinstance(node, ast.Call):
                made = [node.func.body, node.func.orelse] if isinstance(node.func, ast.IfExp) else [node.func]
                names = [one.id for one in made if isinstance(one, ast.Name) and one.id in SEVERITIES]
                found |= {(file.name, node.lineno, one) for one in names}
    return found


def test_every_outcome_that_a_rule_can_give_is_given_by_a_trial(monkeypatch: pytest.MonkeyPatch) -> None:
    """By running all: four of some six hundred were never given while each severity of each rule was tried."""
    given = set()

    def spied(severity: str) -> Callable[..., Outcome]:
        real = getattr(rules, severity)

        def make(*words: str, **more: Any) -> Outcome:
            here = sys._getframe(1)
            given.add((Path(here.f_code.co_filename).name, here.f_lineno, severity))
            return real(*words, **more)  # type: ignore[no-any-return]

        return make

    all_rules()
    for name in SEVERITIES:
        spy, real = spied(name), getattr(rules, name)
        for file in FILES:
            module = sys.modules.get(f"drainwright.findings.{file.stem}")
            if module is not rules and getattr(module, name, None) is real:
                monkeypatch.setattr(module, name, spy)
    for trial in TRIALS:
        judged(trial)
    assert len(outcomes()) > 500
    assert outcomes() - given == set()


@pytest.mark.parametrize("base", ["pumped", "gravity", "mended", "metric", "stations"])
def test_clean_examples_have_no_false_alarm(base: str) -> None:
    failing = [item for item in designed(BASES[base]).findings if item.severity.value == "fails"]
    assert failing == []


def test_rain_that_is_assumed_marks_what_rests_on_it(pumped: Design) -> None:
    """The example's rain table is invented: nothing that leans on it may pass for measured."""
    leaning = ("LFT-01", "STM-01", "STM-03", "STM-04", "NET-13")
    marks = {item.id: item.basis.value for item in pumped.findings if item.id in leaning}
    assert set(marks) == set(leaning)
    assert set(marks.values()) == {"assumed"}
