"""Bytes to a plain record, safely: limits on size, depth and count; no anchors, tags or repeated keys.

The YAML is read as a stream of parser events, so that nothing is built before it is known to be harmless;
of every key and list entry its line is kept for the errors of later stages.
"""

from __future__ import annotations

import dataclasses
import json
import pickle
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any, NamedTuple, TypeAlias

from drainwright.errors import JobError, Problem

MOST_BYTES = 2_000_000  # a large job has about 50,000
MOST_NODES = 40_000  # keys, values, lists and mappings together; a large job has about 2,000, its shots 24,000
DEEPEST = 40  # lists and mappings within each other; a job has about 8
MOST_PROBLEMS = 100  # reported of one document
LAST = 32  # texts whose reading is kept: a save reads the same text several times
KEPT_BYTES = 200_000  # longer texts are read anew each time

Part: TypeAlias = str | int

JOB = "a job"
_INTEGER = re.compile(r"[-+]?[0-9]+")
_FLOAT = re.compile(r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?")
_SPECIAL = re.compile(r"[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN)")
_FORBIDDEN = re.compile("[\x00-\x08\x0b-\x1f\x7f\ud800-\udfff\ufffe\uffff]")


class Spot(NamedTuple):
    """Where a key or a list entry stands in the text, counted from 1."""

    line: int
    column: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Loaded:
    """A document as plain mappings, lists and scalars."""

    record: dict[str, Any]
    spots: Mapping[str, Spot]  # by path: "works.runs[2].pipe"


def join(path: str, part: Part) -> str:
    """Add a key or an index to a path: ``works.runs`` and 2 give ``works.runs[2]``."""
    if isinstance(part, int):
        return f"{path}[{part}]"
    return f"{path}.{part}" if path else part


def short(value: object, most: int = 60) -> str:
    """Show what was found in a few characters."""
    if value is None:
        return "nothing"
    if isinstance(value, dict):
        return "a mapping" if value else "an empty mapping"
    if isinstance(value, list | tuple):
        return "a list" if value else "an empty list"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int) and abs(value) >= 10**most:
        return "a very large number"
    text = repr(value) if isinstance(value, str) else str(value)
    return text if len(text) <= most else f"{text[: most - 4]}...{text[0] if isinstance(value, str) else ''}"


def refusal(
    found: str, expected: str, hint: str = "", *, where: str = "", file: str = "", spot: Any = None
) -> JobError:
    """One problem, ready to be raised."""
    line, column = (spot.line, spot.column) if spot else (None, None)
    return JobError(
        (Problem(where=where, found=found, expected=expected, hint=hint, file=file, line=line, column=column),)
    )


def read_bytes(path: Path, wanted: str = "a job file (.yaml or .json)") -> bytes:
    """The content of a regular file within the size limit; ``wanted`` says in the error what it should be.

    Raises
    ------
    JobError
        If there is no such file, it cannot be opened, or it is larger than ``MOST_BYTES``.
    """
    name = str(path)
    data = b""
    try:
        amiss = "" if path.is_file() else "a folder" if path.is_dir() else "no such file"
        if not amiss:
            with path.open("rb") as stream:
                data = stream.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:  # ValueError: a NUL in the path
        amiss = f"a file that cannot be read ({getattr(error, 'strerror', None) or error})"
    if amiss:
        raise refusal(amiss, wanted, file=name)
    return data


def decode(data: bytes, name: str) -> str:
    """UTF-8 text of a document within the size limit; binary content is refused.

    Raises
    ------
    JobError
        If the content is too large, holds a NUL, or is not UTF-8.
    """
    if len(data) > MOST_BYTES:
        raise refusal("a file that is too large", f"at most {MOST_BYTES:,} bytes", file=name)
    wanted = "plain text in UTF-8"
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise refusal("text in UTF-16", wanted, "save the file as UTF-8", file=name)
    if b"\x00" in data:
        line = data.count(b"\n", 0, data.index(b"\x00")) + 1
        raise refusal("binary content (a NUL byte)", wanted, file=name, spot=Spot(line, 1))
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = data.count(b"\n", 0, error.start) + 1
        found = f"a byte that is not UTF-8 (0x{data[error.start]:02x})"
        raise refusal(found, wanted, "save the file as UTF-8", file=name, spot=Spot(line, 1)) from None


def load(text: str, name: str, noun: str = JOB, first: str = "title") -> Loaded:
    """Read YAML, or JSON if the name ends in ``.json``, to a plain record with the lines of its parts.

    Parameters
    ----------
    text : str
        The document.
    name : str
        File name for the errors; its ending chooses the format.
    noun, first : str
        What the document is, and a key that it has, for the errors.

    Returns
    -------
    Loaded
        The record and the place of every part.

    Raises
    ------
    JobError
        If the text is empty, malformed, too large or too deep, is a list or several documents, or uses
        anchors, aliases, tags, repeated keys or control characters.
    """
    if len(text) > KEPT_BYTES:
        return _read(text, name, noun, first)
    record, spots = pickle.loads(_kept(text, name, noun, first))  # fresh mappings and lists: the caller may change them
    return Loaded(record=record, spots=spots)


@lru_cache(LAST)
def _kept(text: str, name: str, noun: str, first: str) -> bytes:
    found = _read(text, name, noun, first)
    return pickle.dumps((found.record, found.spots))


def _read(text: str, name: str, noun: str, first: str) -> Loaded:
    if len(text) > MOST_BYTES:
        raise refusal("a text that is too large", f"at most {MOST_BYTES:,} characters", file=name)
    is_json = name.lower().endswith(".json")
    record = _json(text, name) if is_json else None
    builder = _Builder(name, noun)
    example = f"lines such as '{first}: ...'"
    built = builder.document(text.replace("\t", " ") if is_json else text)
    if not is_json:
        record = built
    if record is None and not builder.problems:
        raise refusal("an empty document", f"{noun}: {example}", "begin with: schema_version: 1", file=name)
    if not isinstance(record, dict) and not builder.problems:
        wanted = f"{noun}: a mapping with {example}"
        raise refusal(f"{short(record)} at the top", wanted, file=name, spot=Spot(1, 1))
    builder.check_texts(record, "")
    if builder.problems:
        raise JobError(tuple(builder.problems[:MOST_PROBLEMS]))
    assert isinstance(record, dict)
    return Loaded(record=record, spots=builder.spots)


def loaded_record(record: dict[str, Any], name: str, noun: str = JOB) -> Loaded:
    """A plain record as ``load`` gives it, with no places; refused where its texts hold control characters."""
    builder = _Builder(name, noun)
    builder.check_texts(record, "")
    if builder.problems:
        raise JobError(tuple(builder.problems[:MOST_PROBLEMS]))
    return Loaded(record=record, spots={})


def _json(text: str, name: str) -> Any:
    if not text.strip():
        return None
    try:
        return json.loads(text)
    except json.JSONDecodeError as error:
        spot = Spot(error.lineno, error.colno)
        raise refusal(f"text that is not JSON ({error.msg})", "a JSON document", file=name, spot=spot) from None
    except RecursionError:
        raise _too_deep(name, None) from None
    except ValueError as error:  # an integer of thousands of digits
        raise refusal(f"a value that cannot be read ({short(str(error))})", "a JSON document", file=name) from None


def _too_deep(name: str, spot: Spot | None) -> JobError:
    return refusal(f"nesting deeper than {DEEPEST}", f"at most {DEEPEST} levels", file=name, spot=spot)


def _resolve(text: str) -> object:
    """The value of an unquoted YAML scalar (core schema of YAML 1.2; dates stay text)."""
    if text in {"", "~", "null", "Null", "NULL"}:
        return None
    if text in {"true", "True", "TRUE"}:
        return True
    if text in {"false", "False", "FALSE"}:
        return False
    if len(text) <= 400:
        if _INTEGER.fullmatch(text):
            return int(text)
        if _FLOAT.fullmatch(text):
            return float(text)
        if _SPECIAL.fullmatch(text):
            return float(text.replace(".", ""))
    return text


class _Builder:
    """Builds a record from parser events, and collects what is wrong on the way."""

    def __init__(self, name: str, noun: str) -> None:
        self.name = name
        self.noun = noun
        self.spots: dict[str, Spot] = {}
        self.problems: list[Problem] = []
        self.count = 0

    def report(self, where: str, found: str, expected: str, hint: str = "", spot: Spot | None = None) -> None:
        spot = spot or self.spots.get(where)
        line, column = spot or (None, None)
        self.problems.append(
            Problem(where=where, found=found, expected=expected, hint=hint, file=self.name, line=line, column=column)
        )

    def document(self, text: str) -> Any:
        from ruamel.yaml import YAML
        from ruamel.yaml.error import MarkedYAMLError, YAMLError
        from ruamel.yaml.reader import ReaderError

        try:
            return self.only_document(YAML(typ="safe", pure=True).parse(text))
        except JobError:
            raise
        except MarkedYAMLError as error:
            mark = error.problem_mark or error.context_mark
            spot = Spot(mark.line + 1, mark.column + 1) if mark else None
            found, hint = _yaml_words(error, text, spot)
            raise refusal(found, "YAML", hint, file=self.name, spot=spot) from None
        except ReaderError as error:
            at = error.position
            spot = Spot(text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at))
            found = f"a control character ({error.character:#04x})"
            raise refusal(found, "plain text", file=self.name, spot=spot) from None
        except (YAMLError, ValueError, IndexError, AttributeError, AssertionError) as error:
            # the parser itself fails on some malformed text, without saying where
            raise refusal(f"text that is not YAML ({short(str(error))})", "YAML", file=self.name) from None

    def only_document(self, events: Iterable[Any]) -> Any:
        record: Any = None
        documents = 0
        stream = iter(events)
        for event in stream:
            kind = type(event).__name__
            if kind == "DocumentStartEvent":
                documents += 1
                if event.version or event.tags:
                    self.report("", "a directive (%)", "none", "remove the line", _spot(event))
                if documents > 1:
                    alone = f"one {self.noun.removeprefix('a ')} in a file"
                    raise refusal("a second document", alone, file=self.name, spot=_spot(event))
            elif kind not in {"StreamStartEvent", "StreamEndEvent", "DocumentEndEvent", "CommentEvent"}:
                record = self.value(event, stream, "", 0)
        return record

    def value(self, event: Any, stream: Iterator[Any], path: str, depth: int) -> Any:
        """Build the value that begins with ``event``."""
        kind = type(event).__name__
        spot = _spot(event)
        self.count += 1
        if self.count > MOST_NODES:
            raise refusal(f"more than {MOST_NODES:,} values", self.noun, file=self.name, spot=spot)
        if depth > DEEPEST:
            raise _too_deep(self.name, spot)
        if kind == "AliasEvent":
            self.report(path, f"an alias (*{event.anchor})", "the value itself", "write it out in full", spot)
            return None
        if event.anchor:
            self.report(path, f"an anchor (&{event.anchor})", "the value itself", "remove the anchor", spot)
        if event.tag:
            self.report(path, f"a tag ({short(str(event.tag))})", "a plain value", "remove the tag", spot)
        if kind == "SequenceStartEvent":
            return self.sequence(stream, path, depth)
        if kind == "MappingStartEvent":
            return self.mapping(stream, path, depth)
        return event.value if event.style else _resolve(event.value)

    def sequence(self, stream: Iterator[Any], path: str, depth: int) -> list[Any]:
        values: list[Any] = []
        for event in stream:
            if type(event).__name__ == "SequenceEndEvent":
                break
            where = join(path, len(values))
            self.spots[where] = _spot(event)
            values.append(self.value(event, stream, where, depth + 1))
        return values

    def mapping(self, stream: Iterator[Any], path: str, depth: int) -> dict[str, Any]:
        values: dict[str, Any] = {}
        for event in stream:
            if type(event).__name__ == "MappingEndEvent":
                break
            spot = _spot(event)
            if type(event).__name__ != "ScalarEvent":
                self.report(path, "a key that is not a word", "a key such as 'title'", spot=spot)
            key = self.value(event, stream, path, depth + 1)
            key = event.value if type(event).__name__ == "ScalarEvent" else short(key)
            where = join(path, key)
            if key in values:
                first = self.spots[where].line
                self.report(
                    where, f"the key {short(key)} again", "each key once", f"the first is on line {first}", spot
                )
            else:
                self.spots[where] = spot
            values[key] = self.value(next(stream), stream, where, depth + 1)
        return values

    def check_texts(self, value: object, path: str) -> None:
        """Report control characters and half surrogates that escapes brought in."""
        if isinstance(value, dict):
            for key, inner in value.items():
                self.check_texts(key, path)
                self.check_texts(inner, join(path, key))
        elif isinstance(value, list):
            for index, inner in enumerate(value):
                self.check_texts(inner, join(path, index))
        elif isinstance(value, str) and (match := _FORBIDDEN.search(value)):
            self.report(path, f"a control character (U+{ord(match[0]):04X})", "plain text")


def _spot(event: Any) -> Spot:
    return Spot(event.start_mark.line + 1, event.start_mark.column + 1)


def _yaml_words(error: Any, text: str, spot: Spot | None) -> tuple[str, str]:
    """What the parser found, and a hint for the usual mistakes."""
    found = short(f"{error.problem or error.context}", 90).strip('"')
    line = text.splitlines()[spot.line - 1] if spot and spot.line <= len(text.splitlines()) else ""
    if "\\t" in found or "\t" in line[: len(line) - len(line.lstrip())]:
        return "a tab in the indentation", "indent with spaces"
    if "mapping values are not allowed" in found:
        return "a second ':' in the line, or wrong indentation", "put a text that holds ': ' in quotes"
    return f"text that is not YAML ({found})", ""


def nearest(path: str, known: Mapping[str, Spot]) -> str:
    """The longest beginning of a path that stands in the document; empty if none does."""
    while path and path not in known:
        path = path[: max(path.rfind("."), path.rfind("["), 0)]
    return path


def placed(problems: tuple[Problem, ...], name: str, spots: Mapping[str, Spot]) -> tuple[Problem, ...]:
    """The problems with file and line, for those that have none, in the order of the document."""
    told = []
    for problem in problems:
        spot = spots.get(nearest(problem.where, spots))
        if problem.line is None and spot and problem.file in ("", name):  # of another file it says nothing
            problem = dataclasses.replace(problem, line=spot.line, column=spot.column)
        told.append(problem if problem.file else dataclasses.replace(problem, file=name))
    return tuple(sorted(told, key=lambda problem: (problem.line or 0, problem.column or 0)))


__all__ = [
    "DEEPEST", "MOST_BYTES", "MOST_NODES", "MOST_PROBLEMS", "Loaded", "Part", "Spot", "decode", "join", "load",
    "loaded_record", "nearest", "placed", "read_bytes", "refusal", "short",
]  # fmt: skip
