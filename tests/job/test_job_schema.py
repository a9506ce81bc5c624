"""The published JSON Schema is the one in use, and takes what the reader takes."""

from __future__ import annotations

import datetime
import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import pytest
from jsonschema import Draft202012Validator
from pydantic import BaseModel

from drainwright.job import read_text, to_json
from drainwright.job.actuals import Actuals
from drainwright.job.firm import FirmFile
from drainwright.job.firm_book import FirmBook
from drainwright.job.model import Job
from drainwright.job.proof import Proof
from drainwright.job.schema import PUBLISHED, RECORDS, book_schema, job_schema, key_words, record_schema
from drainwright.job.season import Season
from drainwright.job.service import Service
from drainwright.job.starter import new_job_text
from drainwright.job.versions import CURRENT
from drainwright.studies.reading import StudyFile, study_schema

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


def every() -> dict[str, dict[str, Any]]:
    return {"job": job_schema(), "book": book_schema(), "study": study_schema()} | {
        name: record_schema(name) for name in RECORDS
    }


def keys_of(schema: dict[str, Any]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    """Record, key and what is said of it, short forms left out."""
    for name, part in {**schema.get("$defs", {}), "": schema}.items():
        for form in (part, *part.get("anyOf", ())):
            for key, said in form.get("properties", {}).items():
                yield name, key, said


@pytest.mark.parametrize("name", sorted(every()))
def test_is_a_schema_and_every_key_has_its_words(name: str) -> None:
    schema = every()[name]
    Draft202012Validator.check_schema(schema)
    found = list(keys_of(schema))
    assert len(found) > 5
    assert [(record, key) for record, key, said in found if not said.get("description", "").strip()] == []
    assert [(record, key) for record, key, said in found if "its unit" in said["description"].partition(";")[0]] == []


def test_no_words_stand_for_a_key_that_is_gone_or_told_in_the_model() -> None:
    """Words of a key that has some beside it in the model would be told nowhere."""
    models: dict[str, type[BaseModel]] = {}

    def walk(kind: Any) -> None:
        if isinstance(kind, type) and issubclass(kind, BaseModel) and kind.__name__ not in models:
            models[kind.__name__] = kind
            for field in kind.model_fields.values():
                walk(field.annotation)
        for inner in get_args(kind):
            walk(inner)

    for top in (Job, FirmBook, StudyFile, FirmFile, Actuals, Proof, Service, Season):
        walk(top)
    fields = {
        (name.partition("[")[0], field.alias or key): field.description
        for name, model in models.items() for key, field in model.model_fields.items()
    }  # fmt: skip
    told = [(name, key) for name, keys in key_words().items() for key in keys]
    assert [one for one in told if one not in fields] == []
    assert [one for one in told if fields[one] is not None] == []


SHOWN = re.findall(r"```yaml\n(.*?)```", (ROOT / "docs" / "after.md").read_text(encoding="utf-8"), re.DOTALL)
BESIDE = [
    ("proof", next(text for text in SHOWN if "stretches:" in text)),
    ("service", next(text for text in SHOWN if "visits:" in text)),
    ("actuals", (ROOT / "examples/block-wall-house/book/actuals.yaml").read_text(encoding="utf-8")),
    ("firm", (ROOT / "examples/block-wall-house/firm/firm.yaml").read_text(encoding="utf-8")),
    ("study", (ROOT / "examples/leaves-study.yaml").read_text(encoding="utf-8")),
]


@pytest.mark.parametrize(("name", "text"), BESIDE, ids=[name for name, _ in BESIDE])
def test_records_beside_a_job_fit_their_schemas_and_a_strange_key_does_not(name: str, text: str) -> None:
    check, record = Draft202012Validator(every()[name]), plain(text)
    assert [f"{error.json_path}: {error.message}" for error in check.iter_errors(record)] == []
    assert list(check.iter_errors({**record, "strange": 1}))


def test_a_season_s_days_may_be_written_as_lists_or_with_keys() -> None:
    check = Draft202012Validator(every()["season"])
    days = [[f"2027-03-{day:02d}", "0.35 in", 14] for day in range(1, 22)]
    season = {"schema_version": 1, "job": "D-1", "basin": "SUMP", "days": days}
    assert not list(check.iter_errors(season))
    assert not list(check.iter_errors({**season, "days": [{"on": a, "rain": b, "starts": c} for a, b, c in days]}))
    assert list(check.iter_errors({**season, "days": [one[:2] for one in days]}))
    assert list(check.iter_errors({**season, "days": days[:5]}))


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
