"""The keys of a document in words, read off its JSON Schema."""

from __future__ import annotations

import difflib
import json
import textwrap
from collections.abc import Iterator, Mapping
from typing import Any

from drainwright.errors import InputError

WIDTH = 110
MOST_CHOICES = 12
TYPES = {"string": "text", "number": "number", "integer": "whole number", "boolean": "true or false", "object": "keys"}

Schema = Mapping[str, Any]


def keys_in_words(schema: Schema, path: str) -> str:
    """The keys under a dotted path, each with its form, what holds when it is left out, and what it means.

    Parameters
    ----------
    schema : mapping
        The JSON Schema of a document, its parts under ``$defs``.
    path : str
        Dotted keys without numbers, as ``works.runs``; a single dot is the whole document.

    Returns
    -------
    str
        A line or two for each key; ``*`` marks those that must be given, ``>`` those that hold keys of their own.

    Raises
    ------
    InputError
        If there is no such key: where, what was found, the nearest.
    """
    node, walked = _held(schema, schema), ""
    for key in [part for part in path.split(".") if part]:
        properties = node.get("properties", {})
        if key not in properties:
            near = difflib.get_close_matches(key, properties, 1)
            hint = f"did you mean {near[0]}?" if near else f"expected one of {', '.join(properties)}"
            raise InputError(f"--keys: found no key '{key}' {f'under {walked}' if walked else 'at the top'}; {hint}")
        walked = f"{walked}.{key}" if walked else key
        said = properties[key].get("description", "")
        node = {"description": said, **_held(properties[key], schema)}
    head = f"{walked or 'The whole document'}: {node.get('description', '')}".rstrip(": ")
    return "\n".join([*textwrap.wrap(head, WIDTH), "", *_lines(node, schema)])


def _lines(node: Schema, schema: Schema) -> Iterator[str]:
    properties = node.get("properties", {})
    if not properties:
        yield f"  {_form(node, schema)}"
        return
    needed = set(node.get("required", ()))
    for key, one in properties.items():
        inner = _held(one, schema)
        marks = ("*" if key in needed else "") + (" >" if "properties" in inner else "")
        yield f"  {key}{marks}   {_form(one, schema)}{_left_out(one, key in needed)}"
        said = one.get("description") or inner.get("description", "")
        yield from textwrap.wrap(said, WIDTH, initial_indent="      ", subsequent_indent="      ")


def _held(one: Schema, schema: Schema) -> Schema:
    """What a key holds: through references and lists to the part that has keys, where one has."""
    if "$ref" in one:
        return _held(schema["$defs"][str(one["$ref"]).rpartition("/")[2]], schema)
    if "properties" in one:
        return one
    for key in ("anyOf", "oneOf", "allOf"):
        for part in one.get(key, ()):
            held = _held(part, schema)
            if "properties" in held:
                return held
    items = one.get("items")
    return _held(items, schema) if isinstance(items, Mapping) else one


def _form(one: Schema, schema: Schema) -> str:
    """The form of a value: its choices, its kind, its list."""
    if "$ref" in one:
        part = schema["$defs"][str(one["$ref"]).rpartition("/")[2]]
        return "keys" if "properties" in part else _form(part, schema)
    if "const" in one:
        return str(one["const"])
    if "enum" in one:
        words = [str(word) for word in one["enum"]]
        return " | ".join(words[:MOST_CHOICES]) + (" | ..." if len(words) > MOST_CHOICES else "")
    for key in ("anyOf", "oneOf", "allOf"):
        if key in one:
            return " or ".join(dict.fromkeys(_form(part, schema) for part in one[key] if part.get("type") != "null"))
    if one.get("type") == "array":
        items = one.get("items")
        return f"list of {_form(items, schema)}" if isinstance(items, Mapping) else "list"
    shown = ", ".join(str(example) for example in one.get("examples", ())[:2])
    return TYPES.get(str(one.get("type")), "anything") + (f", as {shown}" if shown else "")


def _left_out(one: Schema, needed: bool) -> str:
    value = one.get("default")
    if needed or value is None or value in ("", [], {}) or isinstance(value, dict):
        return ""
    return f"   [left out: {value if isinstance(value, str) else json.dumps(value, ensure_ascii=False)}]"


__all__ = ["keys_in_words"]
