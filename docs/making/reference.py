"""The reference pages, written from what the program holds: commands, job file, checks, formulas, sources."""

from __future__ import annotations

import json
import re
from collections import defaultdict
from collections.abc import Iterator, Mapping
from typing import Any

import typer
from docs.making.marks import cell, code, plain, table
from typer.core import TyperGroup

import drainwright.design  # noqa: F401  (every formula is catalogued with it)
from drainwright.cli import app
from drainwright.findings import all_rules
from drainwright.job.schema import RECORDS, book_schema, job_schema, record_schema
from drainwright.sources import SOURCES
from drainwright.studies.reading import study_schema
from drainwright.worksheet import CATALOGUE


def commands() -> str:
    """The command reference, from the commands themselves."""
    root = typer.main.get_command(app)
    out = ["# Commands", "", "Every command reads and writes only the files that it names. Exit codes: 0 sound, 1 the "
           "design has findings that fail, 2 the input is wrong.", ""]  # fmt: skip
    context = typer.Context(root, info_name="drainwright")
    for path, command, inner in _walk(root, context):
        out += [f"## {' '.join(path)}", "", plain(command.help or ""), ""]
        usage = command.get_usage(inner).removeprefix("Usage: ")
        out += ["```text", usage.strip(), "```", ""]
        rows = []
        for param in command.get_params(inner):
            record = param.get_help_record(inner)
            if record is not None:
                rows.append((code(record[0]), cell(record[1])))
        if rows:
            out += [table(("What", "Means"), rows, "ll"), ""]
    return "\n".join(out)


def _walk(command: Any, context: typer.Context) -> Iterator[tuple[list[str], Any, typer.Context]]:
    for name in sorted(command.commands):
        inner = typer.Context(command.commands[name], info_name=name, parent=context)
        if isinstance(command.commands[name], TyperGroup):
            yield from _walk(command.commands[name], inner)
        else:
            yield inner.command_path.split(), command.commands[name], inner


def job_file() -> str:
    """Every key of the job document, from its JSON Schema."""
    told = job_schema()
    parts = Parts("job", told["$defs"])
    out = [
        "# The job file", "",
        "One YAML file holds all that was measured, seen, asked for and promised; `drainwright new` writes one with "
        "comments, `drainwright check` tells every mistake with its line, `drainwright schema` prints the JSON Schema "
        "from which this page is written (editors can check a file against it as it is typed). Numbers carry their "
        "units: `2 ft 6 in`, `0.76 m`, `12 gpm`. **Bold** keys must be given; all others may be left out, and then the "
        "default holds or the design finds the value.", "",
        "## The whole file", "", _keys(told, parts), *_parts(told, parts, "##"),
    ]  # fmt: skip
    return "\n".join(out)


def records() -> str:
    """Every key of the documents that stand beside a job, from their JSON Schemas."""
    out = [
        "# The files beside a job", "",
        "Each is a YAML file of its own (or JSON, by its ending), checked as the job file is. `drainwright schema "
        "proof` prints the JSON Schema of one, by the word in brackets. **Bold** keys must be given.", "",
    ]  # fmt: skip
    schemas = {"book": book_schema(), **{name: record_schema(name) for name in RECORDS}, "study": study_schema()}
    for name, told in schemas.items():
        parts = Parts(name, told.get("$defs", {}))
        title = str(told["title"]).removeprefix("Drainwright ")
        out += [f"## {title[:1].upper()}{title[1:]} (`{name}`)", "", plain(told.get("description", "")), ""]
        out += [_keys(told, parts), *_parts(told, parts, "###")]
    return "\n".join(out)


class Parts(dict[str, Any]):
    """The parts of a schema, and the page's word for them: parts of two files may have one name."""

    def __init__(self, page: str, parts: Mapping[str, Any]) -> None:
        super().__init__(parts)
        self.page = page


def _parts(told: Mapping[str, Any], parts: Parts, head: str) -> list[str]:
    out = []
    for name in _reached(told, parts):
        said = plain(parts[name].get("description", ""))
        out += [f"({_anchor(name, parts)})=", f"{head} {_spaced(name)}", "", said, ""]
        forms = [parts[name], *parts[name].get("anyOf", ())]
        mapping = next((form for form in forms if "properties" in form), None)
        if mapping is None:
            out += [_alone(parts[name], parts), ""]
            continue
        if mapping is not parts[name]:
            short = " or ".join(_kind(form, parts) for form in forms[1:] if form is not mapping)
            out += [f"Written in short ({short}), or with keys:", ""]
        out += [_keys(mapping, parts), ""]
    return out


def _reached(told: Mapping[str, Any], parts: Parts) -> list[str]:
    """Parts in the order in which a reader meets them."""
    found: dict[str, None] = {}
    waiting: list[Any] = [told.get("properties", {})]
    while waiting:
        node = waiting.pop(0)
        if isinstance(node, Mapping):
            name = str(node.get("$ref", "")).rpartition("/")[2]
            if name and name not in found:
                found[name] = None
                waiting.append(parts[name])
            waiting += [value for key, value in node.items() if key != "default"]
        elif isinstance(node, list):
            waiting += node
    return list(found)


def _spaced(name: str) -> str:
    return "".join(f" {letter.lower()}" if letter.isupper() else letter for letter in name).strip().capitalize()


def _anchor(name: str, parts: Parts) -> str:
    return f"{parts.page}-{name.lower()}"


def _keys(node: Mapping[str, Any], parts: Parts) -> str:
    needed = set(node.get("required", ()))
    rows = [
        (
            f"**{code(key)}**" if key in needed else code(key), _kind(one, parts),
            "" if key in needed or "default" not in one else _default(one["default"]),
            cell(_means(one, parts)),
        )
        for key, one in node.get("properties", {}).items()
    ]  # fmt: skip
    return table(("Key", "Value", "Left out", "Means"), rows, "llll") if rows else "No keys.\n"


def _means(one: Mapping[str, Any], parts: Parts) -> str:
    """What is said of a key, or else of the part that it holds; a note on a value's form belongs to its kind."""
    said = str(one.get("description", "")).removesuffix(_form(one)).removesuffix("; ")
    inner = one.get("items", one)
    name = str(inner.get("$ref", "")).rpartition("/")[2] if isinstance(inner, Mapping) else ""
    return said or (str(parts[name].get("description", "")) if name else "")


def _form(one: Mapping[str, Any]) -> str:
    """What is said of a value's form behind what it means: ``length with its unit, at most 328 ft (100 m)``."""
    found = re.search(r"(?:^|; )(\w+ with its unit.*)$", str(one.get("description", "")))
    return found.group(1) if found else ""


def _kind(one: Mapping[str, Any], parts: Parts) -> str:
    """The form of a value in words, its choices, its limits."""
    if "$ref" in one:
        name = str(one["$ref"]).rpartition("/")[2]
        return f"[{_spaced(name).lower()}](#{_anchor(name, parts)})"
    if "const" in one:
        return code(str(one["const"]))
    if "enum" in one:
        return ", ".join(code(str(word)) for word in one["enum"])
    for key in ("anyOf", "oneOf"):
        if key in one:
            kinds = dict.fromkeys(_kind(part, parts) for part in one[key] if part.get("type") != "null")
            return " or ".join(kinds)
    if "allOf" in one:
        return " and ".join(_kind(part, parts) for part in one["allOf"])
    if "prefixItems" in one:
        return f"list of {', '.join(_kind(part, parts) for part in one['prefixItems'])}"
    if one.get("type") == "array":
        inner = one.get("items") or {}
        return f"list of {_kind(inner, parts)}" if inner else "list"
    if one.get("type") == "object":
        return "keys and values"
    return _simple(one)


def _simple(one: Mapping[str, Any]) -> str:
    words = {"string": "text", "number": "number", "integer": "whole number", "boolean": "`true` or `false`"}
    kind = words.get(str(one.get("type")), "anything")
    if one.get("format") == "date":
        kind = "date, as `2026-03-12`"
    form = _form(one)
    if form:
        shown = ", ".join(code(str(example)) for example in one.get("examples", ())[:2])
        kind = cell(form) + (f", as {shown}" if shown else "")
    low = one.get("exclusiveMinimum", one.get("minimum", one.get("ge")))
    high = one.get("exclusiveMaximum", one.get("maximum", one.get("le")))
    if low is not None and high is not None:
        kind += f", {low:g} to {high:g}"
    elif low is not None:
        kind += f", {'over' if 'exclusiveMinimum' in one else 'at least'} {low:g}"
    elif high is not None:
        kind += f", at most {high:g}"
    return kind


def _default(value: object) -> str:
    if value is None or value in ("", [], {}):
        return "nothing"
    if isinstance(value, bool):
        return code("true" if value else "false")
    if isinstance(value, dict):
        return "its own defaults"
    return code(str(value) if not isinstance(value, list) else json.dumps(value, ensure_ascii=False))


def _alone(node: Mapping[str, Any], parts: Parts) -> str:
    shown = ", ".join(code(str(one)) for one in node.get("examples", ()))
    return f"{_kind(node, parts)}{f'. Examples: {shown}' if shown else ''}\n"


#: What the letters of a check's number stand for, in the order in which a job is thought through.
SUBJECTS = {
    "MOI": "Where the moisture comes from", "OUT": "The way out", "NET": "The runs", "BED": "Stone, fabric and pipe",
    "FTG": "Footing and walls", "GWT": "Ground water", "GRD": "The ground's surface", "LFT": "Basin and pump",
    "STM": "Storm and failures", "DIG": "Safe digging", "DAY": "The days", "SUR": "The survey", "SOI": "Soil",
    "RAI": "Rain", "SIZ": "Sizes", "PLA": "The place", "OFF": "The offer", "PRC": "Prices", "COM": "Completeness",
}  # fmt: skip


def checks() -> str:
    """Every check of a design, by subject, with its source."""
    rules = all_rules()
    out = [
        "# Checks", "",
        f"`drainwright design` makes {len(rules)} checks. Each comes out in order, with a caution or as a fault, tells "
        "what was found, the limit and what to do, and carries the mark of the weakest value that it rests on. Every "
        "one has a case in the tests that trips it and a twin that does not. Numbers are never used again for "
        "something else.",
        "",
    ]  # fmt: skip
    by_subject: dict[str, list[tuple[str, str, str, str]]] = defaultdict(list)
    for one in rules:
        says = " ".join((one.check.__doc__ or "").split("\n\n")[0].split())
        by_subject[one.id[:3]].append((code(one.id), cell(one.title), cell(says), cell(str(SOURCES[one.source]))))
    for letters, rows in by_subject.items():
        out += [f"## {SUBJECTS[letters]}", "", table(("Check", "Title", "What it judges", "Source"), rows, "llll"), ""]
    return "\n".join(out)


def formulas() -> str:
    """Every formula of the worksheet, by the part of the program that holds it."""
    out = [
        "# Formulas", "",
        f"The {len(CATALOGUE)} formulas and procedures whose steps the worksheet prints, each with its numbers, its "
        "place and its source. Units are SI inside; a worksheet writes them in the job's.", "",
    ]  # fmt: skip
    by_part: dict[str, list[tuple[str, ...]]] = defaultdict(list)
    for name, entry in sorted(CATALOGUE.items()):
        card = entry.card
        units = ", ".join(f"{key} [{unit}]" for key, unit in card.units.items())
        part = name.rpartition(".")[0]
        said = (
            code(f"{card.symbol} = {card.expression}") if card.expression_kind == "formula" else cell(card.expression)
        )
        by_part[part].append((cell(card.title), said, cell(units), cell(str(SOURCES[card.source]))))
    for part, rows in by_part.items():
        out += [f"## {part}", "", table(("What", "Formula or method", "Units", "Source"), rows, "llll"), ""]
    return "\n".join(out)


def sources() -> str:
    """Every source that a formula or a check cites, with how it was seen."""
    rows = [
        (cell(one.title), cell(one.edition), cell(one.where), cell(one.seen))
        for one in sorted(SOURCES.values(), key=lambda one: one.title.lower())
    ]
    counts = {word: sum(one.seen == word for one in SOURCES.values()) for word in ("seen", "from memory")}
    return (
        "# Sources\n\nWhat formulas, limits and checks cite, and how each was seen: **seen**, in its text or in a "
        "public quotation of it, while the tool was written; **from memory**, recalled and not looked up, to be "
        f"confirmed before anybody leans on it. {counts['seen']} were seen, {counts['from memory']} from memory.\n\n"
        + table(("Work", "Edition", "Where", "How seen"), rows, "llll")
    )


__all__ = ["checks", "commands", "formulas", "job_file", "sources"]
