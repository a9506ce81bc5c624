"""The keys of a document in words: all of them, whichever part is asked for."""

from __future__ import annotations

from typing import Any

import pytest
from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.errors import InputError
from drainwright.job.schema import RECORDS, book_schema, job_schema, record_schema
from drainwright.job.schema_words import _held, keys_in_words

SCHEMAS = {"job": job_schema(), "book": book_schema(), **{name: record_schema(name) for name in RECORDS}}


def paths(node: Any, schema: Any, at: str, depth: int = 4) -> list[tuple[str, list[str]]]:
    """Dotted paths of all that holds keys, with the keys."""
    properties = node.get("properties", {})
    found = [(at or ".", list(properties))] if properties else []
    for key, one in properties.items() if depth else ():
        found += paths(_held(one, schema), schema, f"{at}.{key}" if at else key, depth - 1)
    return found


@pytest.mark.parametrize("name", SCHEMAS)
def test_every_key_stands_under_its_path(name: str) -> None:
    schema = SCHEMAS[name]
    walked = paths(schema, schema, "")
    assert len(walked) >= 1
    for path, keys in walked:
        lines = keys_in_words(schema, path).splitlines()
        told = [
            line.split()[0].rstrip("*") for line in lines if line.startswith("  ") and not line.startswith("      ")
        ]
        assert told == keys, path


def test_what_must_be_given_is_marked_and_a_default_told() -> None:
    text = keys_in_words(SCHEMAS["job"], "works.runs")
    assert text.startswith("works.runs: A pipe from an upper end to a lower end")
    assert "  duty*   footing drain | yard drain | leader | discharge line | overflow\n" in text
    assert "  fabric   true or false   [left out: true]\n" in text
    assert "  firm >   keys\n" in keys_in_words(SCHEMAS["job"], ".")


def test_a_key_that_is_none_says_the_nearest() -> None:
    with pytest.raises(InputError, match=r"found no key 'rans' under works; did you mean runs\?"):
        keys_in_words(SCHEMAS["job"], "works.rans")
    with pytest.raises(InputError, match="at the top; expected one of"):
        keys_in_words(SCHEMAS["job"], "zzz")


def test_the_command_prints_it() -> None:
    done = CliRunner().invoke(app, ["schema", "--keys", "property.access"])
    assert done.exit_code == 0
    assert "by_hand   list of text" in done.output
    wrong = CliRunner().invoke(app, ["schema", "proof", "--keys", "nothing"])
    assert wrong.exit_code == 2
    assert "found no key 'nothing'" in wrong.output
