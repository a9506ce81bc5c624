"""Why gravity does not reach a way out is told as it is: lack of level, of ground over the pipe, of fall on the way."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from drainwright.design import Design, design
from drainwright.job.reading import read_text
from drainwright.paper.documents.against_causes import without_a_pump

JOB = Path(__file__).resolve().parents[2] / "docs" / "tutorial" / "job.yaml"
WRITTEN = "invert: at BANK"  # the foot of the bank, 93.80 ft


@cache
def ending_at(invert: str) -> Design:
    text = JOB.read_text(encoding="utf-8")
    assert WRITTEN in text
    return design(read_text(text.replace(WRITTEN, f"invert: {invert}")).job)


def test_an_end_over_the_ground_is_no_lack_of_level() -> None:
    """At 94.30 ft it lies 6 in over the ground of 93.80 ft; 97.32 ft would do by level. It was called too high."""
    made = ending_at("94.30 ft")
    (verdict,) = made.system.gravity
    assert not verdict.reaches
    assert verdict.available < verdict.needed
    assert verdict.lacks == "ground"
    assert verdict.above_ground == pytest.approx(0.5 * 0.3048)
    (found,) = [item for item in made.findings if item.id == "OUT-02"]
    assert found.severity.value == "caution"
    assert "it lies 6 in above the ground there" in found.message
    assert "at 93.80 ft or lower" in found.advice
    note = next(note for note in made.system.notes if note.startswith("The shortest way"))
    assert "6 in above the ground" in note
    assert "too little fall" not in note
    assert "too high" not in without_a_pump(made)


def test_the_cure_that_is_told_cures_it() -> None:
    (verdict,) = ending_at("93.80 ft").system.gravity
    assert verdict.reaches
    assert verdict.lacks == ""
    assert not ending_at("93.80 ft").system.stations


def test_a_way_out_over_all_that_gravity_gives_lacks_level() -> None:
    (verdict,) = ending_at("97.50 ft").system.gravity
    assert verdict.lacks == "level"
    assert verdict.above_ground == 0.0
