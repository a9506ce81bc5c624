"""Remedies of a conflict: what they tell to write in the job is enough, and a height is said only where it is true."""

from __future__ import annotations

import re
from typing import Any

import pytest
from system_jobs import designed, document

from drainwright.system.grading.clash_words import worded
from drainwright.system.grading.model import Clash, Condition, Relief
from drainwright.system.model import System

RUN = {"name": "YD", "duty": "yard drain", "from": "CB1", "to": "OUT"}
HIGH = "97.07 ft"  # an outlet too high for both the cover and the fall


def laid(invert: str = HIGH, run: dict[str, Any] | None = None, criteria: dict[str, Any] | None = None) -> System:
    raw = document(runs=[RUN | (run or {})], invert=invert, basin="none")
    raw["criteria"] = criteria or {}
    return designed(raw)[2]


def told(system: System) -> dict[str, str]:
    """Key and figure of each remedy that has both."""
    said = " ".join(text for clash in system.clashes for text in clash.remedies)
    return dict(re.findall(r"\(in the job: (\S+): ([^)]+)\)", said))


def test_each_remedy_written_in_the_job_lets_all_be_kept() -> None:
    system = laid()
    assert system.conflicts
    keys = told(system)
    assert len(keys) == 3
    assert "works.discharge[OUT].invert" in keys
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
