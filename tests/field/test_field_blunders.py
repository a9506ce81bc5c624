"""Shots that their neighbours contradict, and sights too long: named, and no false alarm."""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

import pytest
from field_yard import document
from hypothesis import given
from hypothesis import strategies as st

from drainwright.field import survey
from drainwright.field.blunders import AROUND, FEWEST, STEP, long_sights, odd_shots
from drainwright.field.model import SitePoint
from drainwright.job import read_job
from drainwright.job.model import Job
from drainwright.job.survey import LevelRow

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*/*.yaml"))


def shot(name: str, east: float, level: float) -> SitePoint:
    return SitePoint(name=name, east=east, north=0.0, level=level)


def row(point: str, **written: str) -> LevelRow:
    return LevelRow.model_validate({"point": point, "intermediate": "1 m"} | written)


def test_a_reading_of_14_for_4_names_the_point_and_its_row() -> None:
    data: dict[str, Any] = copy.deepcopy(document())
    assert data["survey"]["level_book"][6]["point"] == "P1"
    data["survey"]["level_book"][6]["intermediate"] = "17.40 ft"
    notes = [note for note in survey(Job.model_validate(data)).notes if "slip" in note]
    assert len(notes) == 1
    assert notes[0].startswith("P1 lies 12.")
    assert "row 7 of the level book" in notes[0]


@pytest.mark.parametrize("path", EXAMPLES, ids=[f"{path.parent.name}-{path.stem}" for path in EXAMPLES])
def test_the_examples_raise_no_alarm(path: Path) -> None:
    assert not [note for note in survey(read_job(path)).notes if "slip" in note or "poorly" in note]


def test_there_are_examples() -> None:
    assert len(EXAMPLES) >= 4


@pytest.mark.parametrize(("off", "told"), [(STEP + 0.01, 1), (STEP - 0.01, 0), (-STEP - 0.01, 1), (40.0, 1)])
def test_one_shot_off_is_told_and_never_its_neighbours(off: float, told: int) -> None:
    shots = [shot(name, 2.0 * n, 30.0) for n, name in enumerate("ABCD")] + [shot("X", 3.0, 30.0 + off)]
    notes = odd_shots(shots, [], "SI")
    assert len(notes) == told
    assert all(note.startswith("X lies") and "its 'level'" in note for note in notes)


def test_a_shot_with_few_or_far_neighbours_is_not_judged() -> None:
    near = [shot(name, 2.0 * n, 30.0) for n, name in enumerate("ABC")][: FEWEST - 1]
    assert odd_shots([*near, shot("X", 1.0, 60.0)], [], "SI") == []
    ring = [shot(name, 2.0 * n, 30.0) for n, name in enumerate("ABC")]
    assert odd_shots([*ring, shot("X", 4.0 + AROUND + 0.1, 60.0)], [], "SI") == []


@given(st.lists(st.floats(-10.0, 10.0), min_size=1, max_size=12), st.floats(-0.12, 0.12))
def test_an_even_slope_is_never_a_slip(easts: list[float], grade: float) -> None:
    shots = [shot(f"P{n}", east, 30.0 + grade * east) for n, east in enumerate(easts)]
    assert odd_shots(shots, [], "US") == []


@pytest.mark.parametrize(("units", "fits", "long", "limit"), [
    ("US", "300 ft", "301 ft", "300 ft"), ("SI", "100 m", "100.5 m", "100 m"),
])  # fmt: skip
def test_long_sights_are_named(units: Any, fits: str, long: str, limit: str) -> None:
    assert long_sights([row("A", distance=fits), row("B")], units) == []
    assert long_sights([row("A", distance=fits), row("B", distance=long)], units) == [
        f"Sights longer than {limit} read a rod poorly: B (row 2)."
    ]
