"""What a finding tells to write in the job is a key of the job, and each figure it offers is one that the job takes."""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from typing import Any, get_args

import pytest
from pydantic import BaseModel

from drainwright.errors import JobError
from drainwright.field import survey
from drainwright.job.changes import changed_job
from drainwright.job.model import Job
from drainwright.job.reading import read_job
from drainwright.job.writing import to_json
from drainwright.quantities import write
from drainwright.storm.failures.as_change import as_change
from drainwright.storm.failures.remedy import Remedy
from drainwright.system import lay_out
from drainwright.system.grading.model import Clash
from drainwright.water import inflows

from ..conftest import EXAMPLES, designed
from .change import case_of
from .test_rules import BASES, TRIALS

KEY = re.compile(rf"\b(?:{'|'.join(Job.model_fields)})\.[A-Za-z_][\w.-]*")
OFFERED = re.compile(r"\(in the job: ([^:()]+): ([^()]+)\)")
#: What makes conditions stand in each other's way: ways out at other heights, more cover, more fall, deeper drains.
SQUEEZED: dict[str, dict[str, Any]] = {
    "higher": {"works.discharge[0].invert": 1.5},
    "covered": {"criteria.minimum_cover": "5 ft", "criteria.traffic_cover": "6 ft"},
    "deep": {"criteria.drain_below_floor": "4 ft"},
    "none below": {"criteria.drain_below_floor": "0 in", "works.discharge[0].invert": 1.5},
}


@cache
def text_of(base: str) -> str:
    return to_json(read_job(EXAMPLES / f"{BASES[base]}.yaml"))


def squeezed(base: str, name: str) -> tuple[Job, tuple[Clash, ...]] | None:
    """A job whose conditions stand in each other's way, and how; None where that is no job."""
    changes = dict(SQUEEZED[name])
    shift = changes.get("works.discharge[0].invert")
    try:
        if shift is not None:
            level = survey(changed_job(text_of(base), {})).job.works.discharge[0].invert
            side, size = ("above" if level.offset + shift >= 0.0 else "below"), abs(level.offset + shift)
            said = write(size, "length", "SI", "m", 3)
            changes["works.discharge[0].invert"] = f"{said} {side} {level.reference}" if level.reference else said
        job = changed_job(text_of(base), changes)
        site = survey(job)
        return job, lay_out(site, inflows(site)).clashes
    except JobError:
        return None


def known(model: Any, parts: list[str]) -> bool:
    """Whether a dotted key leads somewhere in a model; names of a list's entries are skipped."""
    if not parts:
        return True
    if isinstance(model, type) and issubclass(model, BaseModel):
        names = {field.alias or name: field for name, field in model.model_fields.items()}
        if parts[0] in names:
            return known(names[parts[0]].annotation, parts[1:])
        return "value" in names and known(names["value"].annotation, parts)
    inner = get_args(model)
    listed = getattr(model, "__origin__", None) in (tuple, dict)
    return any(known(one, parts) or (listed and known(one, parts[1:])) for one in inner)


def keys_in(text: str) -> Iterator[str]:
    for found in KEY.findall(text):
        key = found.rstrip(".-")
        if not key.endswith((".yaml", ".csv")):
            yield key


def taken(job_text: str, text: str) -> int:
    """How many remedies of a text were offered; each is tried on the job."""
    offers = OFFERED.findall(text)
    for key, figure in offers:
        for one in key.split(" and "):
            changed_job(job_text, {one.strip(): figure})
    for key in keys_in(text):
        assert known(Job, key.split(".")), f"{key} is no key of a job: {text}"
    return len(offers)


@pytest.mark.parametrize("base", BASES)
def test_what_findings_of_the_examples_offer_is_taken(base: str) -> None:
    design = designed(BASES[base])
    for item in design.findings:
        taken(text_of(base), f"{item.message} {item.advice}")
    for answer in design.answers:
        taken(text_of(base), f"{answer.answer} {answer.do}")


def test_what_any_check_can_offer_is_taken() -> None:
    """Every rule on every changed job of its trials."""
    from drainwright.findings import all_rules

    rules = {rule.id: rule for rule in all_rules()}
    for trial in TRIALS:
        case = trial.change(case_of(designed(BASES[trial.base])))
        for item in rules[trial.rule].judge(case):
            taken(text_of(trial.base), f"{item.message} {item.advice}")


@pytest.mark.parametrize("base", ["gravity", "metric", "mended"])
def test_what_clashes_offer_is_taken(base: str) -> None:
    offered = 0
    for name in SQUEEZED:
        found = squeezed(base, name)
        for clash in found[1] if found else ():
            for relief, text in zip(clash.reliefs, clash.remedies, strict=True):
                offered += taken(to_json(found[0]), text)  # type: ignore[index]
                assert (relief.amount is None) == ("cannot give way enough by itself" in text)
    assert offered


@pytest.mark.parametrize("base", ["pumped", "metric", "stations", "wrong"])
def test_what_a_failure_s_remedy_changes_is_taken(base: str) -> None:
    design = designed(BASES[base])
    tried = 0
    for station in design.system.stations:
        for kind, size in (("second pump", 1.0), ("battery", 120.0)):
            change = as_change(Remedy(kind=kind, title=kind, where=station.name, size=size), design.site, design.system)  # type: ignore[arg-type]
            if change:
                changed_job(text_of(base), change)
                tried += 1
    assert tried
