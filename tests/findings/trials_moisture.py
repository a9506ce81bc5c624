"""Cases for the rules of the diagnosis."""

from __future__ import annotations

from typing import Any

from drainwright.findings.rules import Case
from drainwright.job.moisture import MoistureTest, Symptom
from drainwright.water.house_facts import house_facts
from drainwright.water.moisture import rank_causes

from .change import Change, Trial, as_designed, every, job, put


def told(*symptoms: dict[str, Any], tests: tuple[tuple[str, str], ...] = ()) -> Change:
    """These symptoms and tests, and the ranking that follows from them at this house."""
    seen = tuple(Symptom.model_validate({"what": "seen", **item}) for item in symptoms)
    done = tuple(MoistureTest.model_validate({"kind": kind, "result": result}) for kind, result in tests)

    def change(case: Case) -> Case:
        found = rank_causes(seen, done, house_facts(case.site, case.inflows), case.job.units)
        return every(job("symptoms", to=seen), job("moisture_tests", to=done), put("moisture", to=found))(case)

    return change


DROPS = {"sign": "drops on cold surfaces", "when": "humid weather"}
JOINT = {"sign": "joint leaks", "when": "days after rain", "spot": "floor edge"}
POND = {"sign": "puddle against house", "when": "during rain"}
GUTTER = {"sign": "gutter overflows", "when": "during rain", "spot": "one corner"}
SUMP = {"sign": "sump runs", "when": "days after rain"}
STEADY = {"sign": "damp floor", "when": "always", "spot": "floor middle"}
TURNS = (("meter with taps shut", "turns"),)
SHUT = every(*(put("site", "walls", number, "wall", "open_and_coat", to=False) for number in range(3)))


def without(duty: str) -> Change:
    """No run of this duty."""
    return lambda case: put("system", "runs", to=tuple(run for run in case.system.runs if run.duty != duty))(case)


def no_way_from_downspouts(case: Case) -> Case:
    """No run begins at a downspout."""
    spouts = {spout.name for spout in case.job.downspouts}
    return put("system", "runs", to=tuple(run for run in case.system.runs if run.upper not in spouts))(case)


def graded(fall: float) -> Change:
    """Every wall's ground falls away so far over its run; negative: to the wall."""

    def change(case: Case) -> Case:
        slopes = case.site.terrain.wall_slopes  # type: ignore[union-attr]
        for number, slope in enumerate(slopes):
            levels = tuple(fall for _ in slope.fall)
            case = put("site", "terrain", "wall_slopes", number, "fall", to=levels)(case)
        return case

    return change


TRIALS = (
    Trial("MOI-01", "ok", change=told(JOINT, SUMP), says="drainage takes it"),
    Trial("MOI-01", "caution", change=told(JOINT), says="does not reach the floor"),
    Trial("MOI-01", "caution", change=told(DROPS), where="symptoms", says="Dry the air"),
    Trial("MOI-01", "caution", base="metric", change=told(STEADY), says="answer 4 says how"),
    Trial("MOI-01", "fails", change=told(DROPS, tests=TURNS), where="moisture_tests", says="Have a plumber"),
    Trial("MOI-01", None, change=every(told(DROPS, tests=TURNS), SHUT), where="moisture_tests"),
    Trial("MOI-01", None, change=told()),
    Trial("MOI-02", "ok", base="metric", change=told(JOINT)),
    Trial("MOI-02", "caution", change=told(STEADY), says="Do the test 'meter with taps shut'"),
    Trial("MOI-02", None, change=told()),
    Trial("MOI-03", "ok", change=as_designed),
    Trial("MOI-03", "caution", change=told(JOINT, {"when": "always"}), says="Symptom 2 has no sign"),
    Trial("MOI-03", "caution", change=told({}, JOINT, {}), says="Symptoms 1 and 3 have no sign"),
    Trial("MOI-03", None, change=told()),
    Trial("MOI-04", "ok", change=told(JOINT), says="a drain at the footing"),
    Trial("MOI-04", "caution", change=every(told(JOINT), without("footing drain")), says="Plan a footing drain"),
    Trial("MOI-04", "ok", base="metric", change=told(GUTTER), says="led away"),
    Trial("MOI-04", "caution", base="metric", change=every(told(GUTTER), no_way_from_downspouts),
          says="pipe of their own"),
    Trial("MOI-04", "ok", change=told(POND), says="an inlet"),
    Trial("MOI-04", "caution", change=every(told(POND), job("works", "inlets", to=()), graded(-0.1)),
          says="Shape the ground"),
    Trial("MOI-04", "ok", change=every(told(POND), job("works", "inlets", to=()), graded(0.1)), says="falls away"),
    Trial("MOI-04", None, change=told({"sign": "warm spot on floor", "when": "always"})),
    Trial("MOI-05", "caution", change=told({**JOINT, "where": "back wall"}), where="symptoms[0]", says="names no wall"),
    Trial("MOI-05", None, change=told({**JOINT, "where": "South and west walls"}, {**POND, "where": "laundry"})),
)  # fmt: skip
