"""Describe the job document as JSON Schema (draft 2020-12)."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any, cast

from pydantic import BaseModel
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

from drainwright.job.firm_book import BOOK_VERSION, FirmBook
from drainwright.job.model import SCHEMA_VERSION, Job

PUBLISHED = Path(__file__).parent / f"job-{SCHEMA_VERSION}.schema.json"


#: Documents beside a job: what each is.
RECORDS = {
    "firm": "firm's settings", "actuals": "record of hours, loads and purchases", "proof": "record of commissioning",
    "service": "record of service visits", "season": "record of pump counts and rain",
}  # fmt: skip


@cache
def key_words() -> Mapping[str, Mapping[str, str]]:
    """What a key is for, by record and key, where the model does not say it beside the key itself.

    All kinds of facts (a value with its band, basis and source) are one record here, ``Fact``.
    """
    text = files("drainwright.job").joinpath("data", "key_words.json").read_text(encoding="utf-8")
    found: Mapping[str, Mapping[str, str]] = json.loads(text)
    return found


class _Written(GenerateJsonSchema):
    """Defaults as they would be written in a document: ``0.2032 m``, not the bare number held inside."""

    ignored_warning_kinds = {"non-serializable-default"}  # noqa: RUF012 (as in the base); ours are written below

    def model_schema(self, schema: core_schema.ModelSchema) -> JsonSchemaValue:
        described = super().model_schema(schema)
        model = cast(type[BaseModel], schema["cls"])
        required = {name for name, field in model.model_fields.items() if field.is_required()}
        written = model.model_construct().model_dump(mode="json", by_alias=True, exclude=required)
        for key, value in written.items():
            if key in described.get("properties", {}):
                described["properties"][key]["default"] = value
        words = key_words().get(model.__name__.partition("[")[0], {})
        for name, field in model.model_fields.items():
            key = field.alias or name
            if key in words and field.description is None and key in described.get("properties", {}):
                told = described["properties"][key]
                unit = told.get("description", "")
                told["description"] = f"{words[key]}; {unit}" if unit else words[key]
        return described


def job_schema() -> dict[str, Any]:
    """The JSON Schema of a job document.

    Returns
    -------
    dict[str, Any]
        With descriptions, choices, and every default as it would be written. Dates are strings.
    """
    schema = Job.model_json_schema(by_alias=True, schema_generator=_Written, mode="validation")
    schema = _renamed(schema)
    return {
        "$schema": GenerateJsonSchema.schema_dialect,
        "$id": f"urn:drainwright:job:{SCHEMA_VERSION}",
        **schema,
        "title": "Drainwright job document",
    }


def _renamed(schema: dict[str, Any]) -> dict[str, Any]:
    """The same schema with facts named by what they hold: ``FactOfLength``, not their Python types."""
    names: dict[str, str] = {}
    for old, definition in schema["$defs"].items():
        if "Fact" in old:
            value = definition["anyOf"][0]
            word = value.get("$ref", "").rpartition("/")[2] or value.get("description", value.get("type")).split()[0]
            word = "Choice" if "enum" in value else word.capitalize()
            new, number = f"FactOf{word}", 2
            while new in names.values():
                new, number = f"FactOf{word}{number}", number + 1
            names[old] = definition["anyOf"][-1]["title"] = new
    text = json.dumps(schema)
    for old in sorted(names, key=len, reverse=True):
        text = text.replace(f'"#/$defs/{old}"', f'"#/$defs/{names[old]}"')
    renamed: dict[str, Any] = json.loads(text)
    renamed["$defs"] = {names.get(old, old): definition for old, definition in renamed["$defs"].items()}
    return renamed


def described(model: type[BaseModel], name: str, title: str, version: int = 1) -> dict[str, Any]:
    """The JSON Schema of a document beside the job's: with descriptions, choices, and defaults as they are written."""
    schema = model.model_json_schema(by_alias=True, schema_generator=_Written, mode="validation")
    return {
        "$schema": GenerateJsonSchema.schema_dialect,
        "$id": f"urn:drainwright:{name}:{version}",
        **schema,
        "title": f"Drainwright {title}",
    }


def book_schema() -> dict[str, Any]:
    """The JSON Schema of a firm's price book."""
    return described(FirmBook, "book", "price book", BOOK_VERSION)


def record_schema(name: str) -> dict[str, Any]:
    """The JSON Schema of a document that stands beside a job, by one of ``RECORDS``."""
    from drainwright.job.actuals import Actuals
    from drainwright.job.firm import FirmFile
    from drainwright.job.proof import Proof
    from drainwright.job.season import Season
    from drainwright.job.service import Service

    models: dict[str, type[BaseModel]] = {
        "firm": FirmFile, "actuals": Actuals, "proof": Proof, "service": Service, "season": Season,
    }  # fmt: skip
    return described(models[name], name, RECORDS[name])


__all__ = ["PUBLISHED", "RECORDS", "book_schema", "described", "job_schema", "key_words", "record_schema"]
