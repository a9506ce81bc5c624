"""Short forms in which a record may be written, as its JSON Schema tells them."""

from __future__ import annotations

from typing import Any


def or_plain(schema: Any, handler: Any, name: str) -> dict[str, Any]:
    """The schema of a record that may be written as one of its values."""
    return _or(schema, handler, lambda mapping: mapping["properties"][name])


def or_listed(schema: Any, handler: Any) -> dict[str, Any]:
    """The schema of a record that may be written as a list of its values, in their order."""

    def listed(mapping: dict[str, Any]) -> dict[str, Any]:
        values = list(mapping["properties"].values())
        return {"type": "array", "prefixItems": values, "minItems": len(values), "maxItems": len(values)}

    return _or(schema, handler, listed)


def _or(schema: Any, handler: Any, form: Any) -> dict[str, Any]:
    described: dict[str, Any] = handler(schema)
    definition = handler.resolve_ref_schema(described)
    mapping = dict(definition)
    definition.clear()
    definition["anyOf"] = [form(mapping), mapping]
    return described


__all__ = ["or_listed", "or_plain"]
