"""Remedies of a conflict: what they tell to write in the job is enough, and a height is said only where it is true."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from typing import Any, Literal

import pytest
from grading_lots import random_lot
from system_jobs import designed, document

from drainwright.job.reading import read_text
from drainwright.system.grading.clash_words import worded
from drainwright.system.grading.keys import _level
from drainwright.system.grading.model import Clash, Condition, Demand, GravityLine, Relief
from drainwright.system.model import System

RUN = {"name": "YD", "duty": "yard drain", "from": "CB1", "to": "OUT"}
HIGH = "97.07 ft"  # an outlet too high for both the cover and the fall


def laid(invert: str = HIGH, run: dict[str, Any] | None = None, criteria: dict[str, Any] | None = None) -> System:
    raw = document(runs=[RUN | (run or {})], invert=invert, basin="none")
    raw["criteria"] = criteria or {}
    return designed(raw)[2]


@pytest.mark.parametrize(
    ("value", "units", "up", "written"),
    [
        (1.2344, "SI", True, "1.235 m"), (1.2346, "SI", False, "1.234 m"), (1.234, "SI", True, "1.234 m"),
        (30.001 * 0.3048, "US", True, "30.01 ft"), (30.009 * 0.3048, "US", False, "30.00 ft"),
    ],
)  # fmt: skip
def test_a_level_to_write_in_the_job_is_rounded_to_the_safe_side(
    value: float, units: Literal["US", "SI"], up: bool, written: str
) -> None:
    """To a millimetre, or a hundredth of a foot: what a level book is kept to."""
    assert _level(value, units, up) == written


def told(system: System) -> dict[str, str]:
    """Key and figure of each remedy that has both."""
    said = " ".join(text for clash in system.clashes for text in clash.remedies)
    return dict(re.findall(r"\(in the job: (\S+): ([^)]+)\)", said))


def test_each_remedy_written_in_the_job_lets_all_be_kept() -> None:
    system = laid()
    assert system.conflicts
    keys = told(system)
    assert len(keys) == 3
    assert "works.discharge.OUT.invert" in keys
    for key, figure in keys.items():
        section, last = key.split(".", 1)[0], key.rsplit(".", 1)[1]
        if section == "criteria":
            eased = laid(criteria={last: figure})
        elif key.startswith("works.runs"):
            eased = laid(run={last: figure})
        else:
            eased = laid(invert=figure)
        assert eased.clashes == (), key
        assert eased.conflicts == (), key


@pytest.mark.parametrize(("amounts", "said"), [((0.0254, 0.0254), "together they want 1 in"), ((0.0254, 0.1), "")])
def test_one_height_is_said_only_where_all_remedies_have_it(amounts: tuple[float, float], said: str) -> None:
    members = tuple(Condition(kind=kind, name=kind) for kind in ("cover", "clearance"))
    reliefs = tuple(Relief(condition=one, amount=by, price=1.0) for one, by in zip(members, amounts, strict=True))
    words = worded(Clash(members=members, reliefs=reliefs), (), (), "US").words
    assert said in words
    assert ("more height than there is" in words) == bool(said)


def offered(kind: Demand, amount: float, *, lower: bool = False, invert: str = "96 ft") -> tuple[Relief, str]:
    """What is told of one relief of a yard drain whose upper end is fixed, with the job beside it."""
    raw = document(runs=[RUN | {"invert_from": "97.5 ft", "invert_to": invert}], invert=invert, basin="none")
    raw["works"]["inlets"] = [{"name": "CB1", "at": raw["works"]["inlets"][0]["at"], "rim": "98.5 ft"}]
    job = read_text(json.dumps(raw)).job
    line = replace(some_line(), name="YD", invert_upper=97.5 * 0.3048, ceiling=30.0)
    relief = Relief(condition=Condition(kind=kind, name="YD"), amount=amount, price=1.0, lower=lower)
    found = worded(Clash(members=(relief.condition,), reliefs=(relief,)), (line,), (), "US", job)
    return found.reliefs[0], found.remedies[0]


def some_line() -> GravityLine:
    return random_lot(3).lines[0]


def test_a_drain_is_never_asked_to_start_above_the_floor() -> None:
    """4 in below the floor can give way by 4 in and no more."""
    relief, said = offered("clearance", 0.05)
    assert relief.amount == 0.05
    assert said.endswith("(in the job: criteria.drain_below_floor: 2 in).")
    relief, said = offered("clearance", 0.1016)
    assert said.endswith("(in the job: criteria.drain_below_floor: 0 in).")
    relief, said = offered("clearance", 0.11)
    assert relief.amount is None
    assert said.endswith("cannot give way enough by itself.")


def test_an_end_is_never_asked_above_its_inlet_s_rim() -> None:
    relief, said = offered("fixed upper", 0.2)
    assert relief.amount == 0.2
    assert "works.runs.YD.invert_from: 98.1" in said
    relief, said = offered("fixed upper", 0.4)
    assert relief.amount is None
    assert said.endswith("cannot give way enough by itself.")
