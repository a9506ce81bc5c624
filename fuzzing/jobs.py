"""Whole jobs, right ones with a few entries changed: what the reading lets through must come to a first answer."""

from __future__ import annotations

import copy
import json
import random
import re
import time
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

from fuzzing.targets import ROOT, SMALL
from fuzzing.told import carried

NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
FACTORS = (0.0, 0.01, 0.1, 0.5, 0.9, 1.1, 2.0, 10.0, 100.0, -1.0)
OPERATIONS = ("scale", "other", "drop", "twice", "swap", "blank")
AT_ONCE = 25  # jobs tried between two looks at the clock
MOST_CHANGES = 4

Place = tuple[Any, ...]


@cache
def bases() -> tuple[str, ...]:
    """The jobs that are changed, as JSON."""
    from drainwright.job.loading import load

    paths = [SMALL, *sorted(path for path in (ROOT / "examples").glob("*/*.yaml") if path.name != "long.yaml")]
    records = [load(path.read_text("utf-8"), path.name).record for path in paths]
    return tuple(json.dumps(record) for record in records)


def leaves(value: Any, at: Place = ()) -> Iterator[tuple[Place, Any]]:
    """Every entry that is no mapping and no list, with its place."""
    if isinstance(value, dict):
        for key, part in value.items():
            yield from leaves(part, (*at, key))
    elif isinstance(value, list):
        for number, part in enumerate(value):
            yield from leaves(part, (*at, number))
    else:
        yield at, value


@cache
def alike() -> dict[Any, list[Any]]:
    """What stands under a key anywhere in the jobs."""
    found: dict[Any, list[Any]] = {}
    for text in bases():
        for place, value in leaves(json.loads(text)):
            key = next((part for part in reversed(place) if isinstance(part, str)), None)
            found.setdefault(key, []).append(value)
    return found


def changed(base: int, changes: list[tuple[int, str, int]]) -> dict[str, Any]:
    """A job with changes, each a leaf by its number, what is done to it, and a number that says how."""
    record: dict[str, Any] = json.loads(bases()[base % len(bases())])
    for number, operation, how in changes:
        places = list(leaves(record))
        if not places:
            break
        place, value = places[number % len(places)]
        _change(record, place, value, operation, how)
    return record


def _change(record: dict[str, Any], place: Place, value: Any, operation: str, how: int) -> None:
    holder: Any = record
    for part in place[:-1]:
        holder = holder[part]
    last = place[-1]
    if operation == "scale":
        holder[last] = _scaled(value, FACTORS[how % len(FACTORS)])
    elif operation == "other":
        key = next((part for part in reversed(place) if isinstance(part, str)), None)
        others = alike()[key]
        holder[last] = others[how % len(others)]
    elif operation == "blank":
        holder[last] = ("", None, [], {})[how % 4]
    elif operation == "drop":
        del holder[last]
    else:
        lists = [depth for depth, part in enumerate(place) if isinstance(part, int)]
        if lists:
            depth = lists[how % len(lists)]
            rows: Any = record
            for part in place[:depth]:
                rows = rows[part]
            _rearrange(rows, place[depth], operation, how)


def _rearrange(rows: list[Any], at: int, operation: str, how: int) -> None:
    if operation == "twice":
        rows.insert(at, copy.deepcopy(rows[at]))
    else:
        other = how % len(rows)
        rows[at], rows[other] = rows[other], rows[at]


def _scaled(value: Any, factor: float) -> Any:
    if isinstance(value, bool) or value is None:
        return value
    if isinstance(value, int | float):
        return value * factor
    return NUMBER.sub(lambda found: f"{float(found.group()) * factor:.6g}", str(value), count=1)


def answered(record: dict[str, Any]) -> bool:
    """Whether a job comes to a first answer; False where it is refused in words that help."""
    from drainwright.design import begin
    from drainwright.job.reading import read_record

    return carried(lambda: begin(read_record(record, "job.json").job))


def fuzz(seconds: float, out: Path, seed: int) -> tuple[int, int]:
    """Try changed jobs until the time is over.

    Returns
    -------
    tuple of int
        Jobs tried, and those among them that came to an answer.

    Raises
    ------
    Exception
        The first fault, shrunk; the job that did it is kept under ``out``.
    """
    from hypothesis import HealthCheck, given, settings
    from hypothesis import seed as of_seed
    from hypothesis import strategies as st

    tried = came = 0
    last: dict[str, Any] = {}
    change = st.tuples(st.integers(0, 10**4), st.sampled_from(OPERATIONS), st.integers(0, 10**4))

    def once(base: int, changes: list[tuple[int, str, int]]) -> None:
        nonlocal tried, came, last
        last = changed(base, changes)
        tried += 1
        came += answered(last)

    end = time.monotonic() + seconds
    dice = random.Random(seed)
    while time.monotonic() < end:
        rules = settings(max_examples=AT_ONCE, deadline=None, database=None, suppress_health_check=list(HealthCheck))
        drawn = given(st.integers(0, len(bases()) - 1), st.lists(change, min_size=1, max_size=MOST_CHANGES))
        try:
            of_seed(dice.getrandbits(32))(rules(drawn(once)))()
        except Exception:
            kept = out / "faults" / "jobs"
            kept.mkdir(parents=True, exist_ok=True)
            (kept / f"job-{tried}.json").write_text(json.dumps(last, indent=1), "utf-8")
            raise
    return tried, came


__all__ = ["answered", "changed", "fuzz"]
