"""The storm against water that stands at the way out, from the job as a person writes it."""

from __future__ import annotations

from pathlib import Path

import pytest

from drainwright.design import Design, design
from drainwright.job.reading import read_text

FOOT = 0.3048
INVERT = "invert: 97.00 ft\n"


def sloping(tailwater: str) -> Design:
    text = (Path(__file__).resolve().parents[2] / "examples/sloping-lot/job.yaml").read_text()
    assert text.count(INVERT) == 1
    return design(read_text(text.replace(INVERT, f"{INVERT}      tailwater: {tailwater}\n")).job)


@pytest.mark.parametrize(
    ("written", "meant"), [("97.60 ft", 97.60 * FOOT), ("29.70 m", 29.70), ("7 in above ground", None)]
)
def test_a_gravity_job_with_a_tailwater_is_tried_against_it(written: str, meant: float | None) -> None:
    drowned = sloping(written)
    level = drowned.system.nodes["OUT"].ground + 7 / 12 * FOOT if meant is None else meant
    assert not drowned.system.run("MD").pressure
    assert drowned.system.run("MD").tail == pytest.approx(level)
    low, high = (item.storm.cases[0].nodes["J1"].highest for item in (sloping("96.00 ft"), drowned))
    assert high > low
    assert abs(drowned.storm.cases[0].balance_error) < 1e-9
