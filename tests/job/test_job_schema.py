"""The published JSON Schema is the one in use, and takes what the reader takes."""

from __future__ import annotations

import datetime
import json
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from drainwright.job import read_text, to_json
from drainwright.job.schema import PUBLISHED, job_schema
from drainwright.job.starter import new_job_text
from drainwright.job.versions import CURRENT

ROOT = Path(__file__).parents[2]
SMALL = (Path(__file__).parent / "small.yaml").read_text(encoding="utf-8")
EXAMPLES = sorted((ROOT / "examples").glob("*/*.yaml"))
VALIDATOR = Draft202012Validator(json.loads(PUBLISHED.read_text(encoding="utf-8")))


def plain(text: str) -> Any:
    """The document as JSON would hold it."""
    from ruamel.yaml import YAML

    def undated(value: object) -> object:
        if isinstance(value, dict):
            return {key: undated(inner) for key, inner in value.items()}
        if isinstance(value, list):
            return [undated(inner) for inner in value]
        return value.isoformat() if isinstance(value, datetime.date) else value

    return undated(YAML(typ="safe", pure=True).load(text))


def faults(record: object) -> list[str]:
    return [f"{error.json_path}: {error.message}" for error in VALIDATOR.iter_errors(record)]


def test_published_is_current() -> None:
    assert json.loads(PUBLISHED.read_text(encoding="utf-8")) == job_schema()
    assert PUBLISHED.name == f"job-{CURRENT}.schema.json"


def test_is_a_schema() -> None:
    Draft202012Validator.check_schema(job_schema())


def test_defaults_are_written_with_their_units() -> None:
    definitions = job_schema()["$defs"]
    criteria = definitions["Criteria"]["properties"]
    assert criteria["trench_width"]["default"] == "0.6096 m"
    assert criteria["power_cut"]["default"] == "14400.0 s"
    assert definitions["Wall"]["properties"]["footing_thickness"]["default"]["value"] == "0.2032 m"
    assert definitions["Rules"]["properties"]["tolerance_zone"]["default"]["basis"] == "assumed"
    assert definitions["Basin"]["properties"]["relief_hole"]["default"] == "0.0047625 m"


def test_every_key_of_the_reader_is_in_the_schema() -> None:
    text = json.dumps(job_schema())
    for key in (
        "from",
        "footing_bottom",
        "backsight",
        "return_periods",
        "other_roof",
        "price_book",
        "utilities_absent",
    ):
        assert f'"{key}"' in text


@pytest.mark.parametrize("text", [SMALL, new_job_text("US"), new_job_text("SI")], ids=["small", "US", "SI"])
def test_takes_the_starter_and_what_is_written_of_it(text: str) -> None:
    assert faults(plain(text)) == []
    assert faults(json.loads(to_json(read_text(text).job))) == []


@pytest.mark.parametrize("path", EXAMPLES, ids=[path.parent.name for path in EXAMPLES])
def test_takes_the_examples(path: Path) -> None:
    assert faults(plain(path.read_text(encoding="utf-8"))) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("texture: loam", "texture: lome"), ("depth: 4 ft", "depth: 4"), ("floor_kind: slab", "floor_kynd: slab"),
        ("      from: A\n", ""), ("schema_version: 1", "schema_version: 2"), ("outline: [A, B, C, D]", "outline: [A]"),
    ],
)  # fmt: skip
def test_refuses_what_the_reader_refuses(old: str, new: str) -> None:
    assert old in SMALL
    assert faults(plain(SMALL.replace(old, new)))
