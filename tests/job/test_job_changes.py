"""Changes by dotted key: an entry of a list is called by what tells it from the others."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from drainwright.errors import JobError
from drainwright.job.changes import changed_job, changed_record
from drainwright.job.reading import read_job
from drainwright.job.writing import to_json

HOUSE = to_json(read_job(Path(__file__).resolve().parents[2] / "examples" / "block-wall-house" / "job.yaml"))


def changed(key: str, value: Any) -> dict[str, Any]:
    return changed_record(json.loads(HOUSE), {key: value})


def hint(key: str) -> str:
    with pytest.raises(JobError) as caught:
        changed(key, 1)
    return caught.value.problems[0].hint


def test_an_allowance_is_called_by_what_it_is_for() -> None:
    job = changed_job(HOUSE, {"offer.allowances.root.quantity": 5})
    assert [(one.what, one.quantity) for one in job.offer.allowances] == [("root", 5.0), ("line", 1.0)]


@pytest.mark.parametrize(("key", "value", "where"), [
    ("offer.options.battery.title", "x", ("offer", "options", 0, "title")),
    ("moisture_tests.plastic on wall.where", "x", ("moisture_tests", 1, "where")),
    ("rules.outlets.street.boundary_setback", "9 ft", ("rules", "outlets", 1, "boundary_setback")),
    ("survey.level_book.G8.intermediate", "5 ft", ("survey", "level_book", 8, "intermediate")),
    ("utilities.water service.depth", "9 in, measured", ("utilities", 0, "depth")),
    ("house.walls.west.material", "stone", ("house", "walls", 0, "material")),
])  # fmt: skip
def test_entries_are_called_by_what_tells_them_apart(key: str, value: str, where: tuple[str | int, ...]) -> None:
    at: Any = changed(key, value)
    for part in where:
        at = at[part]
    assert at == value


def test_an_error_says_which_names_there_are() -> None:
    assert hint("offer.allowances.rock.quantity") == "there are: line, root"
    assert hint("offer.allowances.rooot.quantity") == "did you mean 'root'? there are: line, root"
    assert hint("works.runs.NONE.pipe").startswith("there are: DL, FD1")
    assert "FD2" in hint("works.runs.FD7.pipe")
    assert hint("works.more_basins.S9.depth") == "the list has no entry"


def test_a_name_that_several_have_is_refused() -> None:
    """The benchmark is read twice: at the first and at the last of the level book."""
    assert hint("survey.level_book.BM.backsight") == (
        "2 entries are called so: name one by its number, counted from 0, like [0]"
    )
