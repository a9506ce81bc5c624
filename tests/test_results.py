from __future__ import annotations

import datetime
import json
from dataclasses import dataclass, replace
from decimal import Decimal
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainwright.design import Design
from drainwright.findings.model import Severity
from drainwright.job import read_job
from drainwright.job.reading import job_of
from drainwright.results import design_to_plain, indented, plain

EXAMPLES = Path(__file__).parents[1] / "examples"


@dataclass(frozen=True)
class Sample:
    series: np.ndarray
    money: Decimal
    day: datetime.date
    grade: Severity
    open_end: float


def test_records_become_json() -> None:
    record = Sample(
        series=np.array([1.0, 2.5]),
        money=Decimal("12.50"),
        day=datetime.date(2026, 3, 12),
        grade=Severity.FAILS,
        open_end=float("inf"),
    )
    expected = {
        "series": [1.0, 2.5],
        "money": "12.50",
        "day": "2026-03-12",
        "grade": "fails",
        "open_end": None,
    }
    assert json.loads(json.dumps(plain(record), allow_nan=False)) == expected


def test_what_has_no_plain_form_is_refused_and_not_dropped() -> None:
    with pytest.raises(TypeError, match="object has no plain form"):
        plain({"a": object()})


def test_numpy_scalars_and_keys_of_enums() -> None:
    assert plain({Severity.OK: np.float64(1.5), "n": np.int64(3)}) == {"ok": 1.5, "n": 3}


def test_worksheet_with_an_open_end_is_still_json(gravity: Design) -> None:
    """A gravity line with no water at its end enters the worksheet with a level of minus infinity."""
    open_end = replace(gravity.steps[3], inputs=dict.fromkeys(gravity.steps[3].inputs, float("-inf")))
    shown = design_to_plain(replace(gravity, steps=(open_end,)))["worksheet"]
    assert "null" in json.dumps(shown, allow_nan=False)


@given(
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
        lambda inside: st.lists(inside, max_size=4) | st.dictionaries(st.text(), inside, max_size=4),
    )
)
def test_json_is_written_as_the_library_writes_it(data: object) -> None:
    assert indented(data) == json.dumps(data, ensure_ascii=False, indent=1)


def test_no_json_holds_a_number_that_is_not_finite() -> None:
    for data in ([float("nan")], {"a": [{"b": float("inf")}]}):
        with pytest.raises(ValueError, match="not JSON compliant"):
            indented(data)


def test_a_job_s_own_copy_keeps_the_words_that_stand_for_none() -> None:
    """A dry hole and a line of unknown depth had no key in job.json and as-built.json: neither could be read again."""
    record = plain(read_job(EXAMPLES / "block-wall-house" / "job.yaml"))
    assert isinstance(record, dict)
    record["ground"]["dug_holes"] = [{"name": "P1", "at": "5 ft, 5 ft", "depth": "4 ft", "water": "dry"}]
    record["utilities"][0] |= {"depth": "unknown", "depth_uncertainty": None}
    job = job_of(record)
    copy = plain(job)
    assert isinstance(copy, dict)
    assert copy["ground"]["dug_holes"][0]["water"] == "dry"
    assert copy["utilities"][0]["depth"] == "unknown"
    assert job_of(copy) == job
