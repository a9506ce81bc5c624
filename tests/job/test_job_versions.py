"""Older forms of the job document open for ever; a real file of each is kept under ``formats``."""

from __future__ import annotations

import copy
from pathlib import Path
from typing import Any

import pytest

from drainwright.errors import JobError
from drainwright.job import SCHEMA_VERSION, edit, read_document, read_job
from drainwright.job.versions import CURRENT, STEPS, upgrade

FORMATS = Path(__file__).parent / "formats"


def test_a_file_of_every_format_is_kept() -> None:
    assert sorted(path.name for path in FORMATS.iterdir()) == [f"format_{n}.yaml" for n in range(CURRENT + 1)]
    assert CURRENT == SCHEMA_VERSION
    assert sorted(STEPS) == list(range(CURRENT))


@pytest.mark.parametrize("number", range(CURRENT))
def test_old_files_give_the_same_job(number: int) -> None:
    assert read_job(FORMATS / f"format_{number}.yaml") == read_job(FORMATS / f"format_{CURRENT}.yaml")


def test_edit_brings_the_text_up_to_date_and_keeps_comments() -> None:
    document = read_document(FORMATS / "format_0.yaml")
    changed = edit(document, "house.walls[0].material", "stone")
    assert changed.job.house.walls[0].material == "stone"
    assert "schema_version: 1" in changed.text
    assert "wall_lines:" not in changed.text
    assert "# A job in the draft form" in changed.text


def test_input_is_left_alone() -> None:
    record: dict[str, Any] = {"schema_version": 0, "house": {"wall_lines": [1]}}
    before = copy.deepcopy(record)
    assert upgrade(record) == {"schema_version": 1, "house": {"walls": [1]}}
    assert record == before


def test_steps_are_taken_one_by_one() -> None:
    steps = {n: lambda record, n=n: {**record, "path": [*record.get("path", []), n]} for n in range(4)}
    assert upgrade({"schema_version": 1}, steps, 4) == {"schema_version": 4, "path": [1, 2, 3]}


@pytest.mark.parametrize("house", [None, [], "x", {"wall_lines": 1, "walls": 2}])
def test_odd_old_records_are_left_to_the_schema(house: object) -> None:
    assert upgrade({"schema_version": 0, "house": house}) == {"schema_version": 1, "house": house}


@pytest.mark.parametrize("version", [2, 10**30, -1, True, "1", 1.0, None, [1]])
def test_versions_refused(version: object) -> None:
    with pytest.raises(JobError):
        upgrade({"schema_version": version})


def test_newer_is_refused_politely() -> None:
    with pytest.raises(JobError, match="newer Drainwright: update this one"):
        upgrade({"schema_version": CURRENT + 1})
