"""Runs that lie over the dig of another are laid when that is filled."""

from __future__ import annotations

import pytest

from tests.conftest import designed


@pytest.mark.parametrize(
    ("name", "held"),
    [
        ("two-basins", ["L1 only when the dig of east is filled up to it"]),
        (
            "long-house",
            ["L3 only when the dig of FD1 is filled up to it", "L9 only when the dig of FD5 is filled up to it"],
        ),
        ("block-wall-house", []),
    ],
)
def test_a_run_over_the_dig_of_another_is_held(name: str, held: list[str]) -> None:
    """L3 of the long house lies in FD1's trench, filled nine days before, and nobody said so."""
    tasks = {task.key: task for task in designed(f"{name}/job").build.plan.tasks}
    holds = [part for part in tasks["pipe-yard"].hold.split("; ") if "only when the dig of" in part]
    assert holds == held
    assert not any("only when the dig of" in task.hold for key, task in tasks.items() if key != "pipe-yard")
