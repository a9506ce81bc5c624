"""Tapes between points: both ends bear names of the survey, and two of them."""

from __future__ import annotations

from pathlib import Path

import pytest

from drainwright.errors import JobError
from drainwright.job import read_text

SMALL = (Path(__file__).parent / "small.yaml").read_text(encoding="utf-8")


def told(tape: str) -> str:
    text = SMALL.replace("survey:\n", f"survey:\n  tapes:\n    - {tape}\n", 1)
    with pytest.raises(JobError) as caught:
        read_text(text)
    return str(caught.value)


def test_a_tape_between_two_corners_is_read() -> None:
    text = SMALL.replace("survey:\n", "survey:\n  tapes:\n    - {from: A, to: C, distance: 30 ft}\n", 1)
    (tape,) = read_text(text).job.survey.tapes
    assert (tape.from_, tape.to) == ("A", "C")
    assert tape.distance == pytest.approx(30 * 0.3048)


def test_a_tape_to_an_unknown_point_is_told() -> None:
    message = told("{from: A, to: ZZ, distance: 30 ft}")
    assert "survey.tapes[0].to" in message
    assert "'ZZ'" in message


def test_a_tape_from_a_point_to_itself_is_told() -> None:
    message = told("{from: A, to: A, distance: 30 ft}")
    assert "survey.tapes[0].to" in message
    assert "two different points" in message
