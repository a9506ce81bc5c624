"""Describe the job document as JSON Schema (draft 2020-12)."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any, cast

from pydantic import BaseModel
from pydantic.json_schema import GenerateJsonSchema, JsonSchemaValue
from pydantic_core import core_schema

from drainwright.job.firm_book import BOOK_VERSION, FirmBook
from drainwright.job.model import SCHEMA_VERSION, Job

PUBLISHED = Path(__file__).parent / f"job-{SCHEMA_VERSION}.schema.json"


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


def book_schema() -> dict[str, Any]:
    """The JSON Schema of a firm's price book."""
    schema = FirmBook.model_json_schema(by_alias=True, schema_generator=_Written, mode="validation")
    return {
        "$schema": GenerateJsonSchema.schema_dialect,
        "$id": f"urn:drainwright:book:{BOOK_VERSION}",
        **schema,
        "title": "Drainwright price book",
    }


__all__ = ["PUBLISHED", "book_schema", "job_schema"]
