"""Change a price book's text line by line, so that all else stays as it was typed and a learning can be undone.

An entry is the lines from its key to the next key that stands no deeper. Lines are counted from 0, without line ends.
"""

from __future__ import annotations

import datetime
import io
import json
import re
from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Any, NamedTuple

from drainwright.errors import JobError, Problem
from drainwright.job.book_file import BookDocument, read_book_text
from drainwright.job.firm_book import Learning
from drainwright.job.loading import Spot, refusal

SECTIONS = ("items", "rates")
Value = str | float | Decimal | datetime.date | Sequence[str] | Mapping[str, float]


class Span(NamedTuple):
    """Lines of a part: from ``first`` up to, not with, ``last``."""

    first: int
    last: int


class Edit(NamedTuple):
    """New fields of one entry."""

    section: str  # "items" or "rates"
    key: str
    fields: Mapping[str, Value]


class Lines:
    """A text as lines that remember how they ended."""

    def __init__(self, text: str) -> None:
        self.end = "\r\n" if "\r\n" in text else "\n"
        self.closed = text.endswith("\n") or not text
        self.lines = text.replace("\r\n", "\n").removesuffix("\n").split("\n") if text else []

    @property
    def text(self) -> str:
        """The whole, with the ends it came with."""
        return self.end.join(self.lines) + (self.end if self.closed and self.lines else "")


def span(lines: Sequence[str], spots: Mapping[str, Spot], path: str) -> Span:
    """The lines of a part that begins a line of its own.

    Raises
    ------
    JobError
        If it stands within braces or beside another.
    """
    spot = spots[path]
    first = spot.line - 1
    if lines[first][: spot.column - 1].strip() not in ("", "-"):
        raise refusal("an entry within braces or beside another", "each on a line of its own", where=path, spot=spot)
    inner = f"{path}." if path.endswith("]") else "\0"  # the keys of a list's entry stand where the entry begins
    later = (
        one.line - 1
        for name, one in spots.items()
        if one.line > spot.line and one.column <= spot.column and not name.startswith(inner)
    )
    last = min(later, default=len(lines))
    while last > first + 1 and _loose(lines[last - 1], spot.column - 1):
        last -= 1
    return Span(first, last)


def _loose(line: str, indent: int) -> bool:
    """Whether a line at the end of an entry is none of it: blank, or a comment that stands no deeper."""
    bare = line.lstrip()
    return not bare or (bare.startswith("#") and len(line) - len(bare) <= indent)


def entry_lines(document: BookDocument, section: str, key: str) -> str | None:
    """The lines of an entry as they stand, joined; None where the book has no such entry.

    Raises
    ------
    JobError
        If the entry stands within braces.
    """
    path = f"{section}.{key}"
    if key not in getattr(document.book, section):
        return None
    lines = Lines(document.text).lines
    place = span(lines, document.spots, path)
    return "\n".join(lines[place.first : place.last])


def with_entries(document: BookDocument, edits: Sequence[Edit]) -> tuple[BookDocument, list[tuple[str | None, str]]]:
    """The book with some entries changed or added, all other lines as they were typed.

    Parameters
    ----------
    document : BookDocument
        Left alone.
    edits : sequence of Edit
        Each entry once. Fields that are not named stay.

    Returns
    -------
    BookDocument
        Read again from the changed text.
    list of tuple
        For each edit the entry's lines before (None: there were none; empty: nor was there its section) and after.

    Raises
    ------
    JobError
        If the file is JSON, or an entry stands within braces.
    """
    if document.name.lower().endswith(".json"):
        raise refusal("a book in JSON", "a book in YAML, whose lines can be changed one by one", file=document.name)
    whole = Lines(document.text)
    lines, spots = whole.lines, document.spots
    for section in {edit.section for edit in edits} & set(spots):
        if not re.fullmatch(rf"{section}:\s*(#.*)?", lines[spots[section].line - 1]):
            raise refusal("a section within braces", "entries on lines below it", where=section, file=document.name)
    told: list[tuple[str | None, str]] = []
    splices: list[tuple[Span, list[str]]] = []
    fresh: dict[str, list[str]] = {}  # new entries, by section
    for edit in edits:
        known = getattr(document.book, edit.section)
        if edit.key in known:
            place = span(lines, spots, f"{edit.section}.{edit.key}")
            old = lines[place.first : place.last]
            new = _rewritten(old, edit)
            splices.append((place, new))
            told.append(("\n".join(old), "\n".join(new)))
        else:
            new = [_indent(lines, spots, edit.section, known) + _flow(edit)]
            fresh.setdefault(edit.section, []).extend(new)
            told.append((None if edit.section in spots else "", "\n".join(new)))
    for section, new in fresh.items():
        known = getattr(document.book, section)
        if known:
            end = max(span(lines, spots, f"{section}.{key}").last for key in known)
            splices.append((Span(end, end), new))
        elif section in spots:
            splices.append((Span(spots[section].line, spots[section].line), new))
        else:
            end = span(lines, spots, "learnt").first if "learnt" in spots else len(lines)
            splices.append((Span(end, end), [f"{section}:", *new]))
    for place, new in sorted(splices, key=lambda item: item[0], reverse=True):
        lines[place.first : place.last] = new
    after = read_book_text(whole.text, document.name)
    touched = {(edit.section, edit.key) for edit in edits}
    if _others(after, touched) != _others(document, touched):
        wanted = "each entry on lines of its own, indented below its section"
        raise refusal("entries that cannot be told apart by their lines", wanted, file=document.name)
    return after, told


def _others(document: BookDocument, touched: set[tuple[str, str]]) -> dict[tuple[str, str], object]:
    """All entries but some."""
    every = ((section, key, entry) for section in SECTIONS for key, entry in getattr(document.book, section).items())
    return {(section, key): entry for section, key, entry in every if (section, key) not in touched}


def _indent(lines: Sequence[str], spots: Mapping[str, Spot], section: str, known: Mapping[str, Any]) -> str:
    if not known:
        return "  "
    return " " * (spots[f"{section}.{next(iter(known))}"].column - 1)


def _rewritten(old: Sequence[str], edit: Edit) -> list[str]:
    """An entry with fields set, its comments kept."""
    yaml = _yaml()
    indent = len(old[0]) - len(old[0].lstrip(" "))
    tree = yaml.load("\n".join(line[indent:] for line in old) + "\n")
    name = next(iter(tree))
    held = tree[name]
    if not isinstance(held, dict):
        from ruamel.yaml.comments import CommentedMap

        tree[name] = held = CommentedMap()
        held.fa.set_flow_style()
    for field, value in edit.fields.items():
        held[field] = _scalar(yaml, value)
    stream = io.StringIO()
    yaml.dump(tree, stream)
    return [" " * indent + line if line else line for line in stream.getvalue().removesuffix("\n").split("\n")]


def _flow(edit: Edit) -> str:
    """An entry on one line."""
    from ruamel.yaml.comments import CommentedMap

    yaml = _yaml()
    held = CommentedMap({field: _scalar(yaml, value) for field, value in edit.fields.items()})
    held.fa.set_flow_style()
    stream = io.StringIO()
    yaml.dump(CommentedMap({edit.key: held}), stream)
    return stream.getvalue().removesuffix("\n")


def _scalar(yaml: Any, value: Value) -> Any:
    if isinstance(value, Decimal | float):
        return yaml.load(f"{value}")  # keeps its digits: 61.50
    if isinstance(value, str | datetime.date):
        return value
    from ruamel.yaml.comments import CommentedMap, CommentedSeq

    if isinstance(value, Mapping):
        held = CommentedMap(value)
        held.fa.set_flow_style()
        return held
    listed = CommentedSeq(value)
    listed.fa.set_flow_style()
    return listed


def _yaml() -> Any:
    from ruamel.yaml import YAML

    yaml = YAML(typ="rt")
    yaml.preserve_quotes = True
    yaml.width = 100_000
    yaml.allow_unicode = True
    return yaml


def with_learning(document: BookDocument, learning: Learning) -> BookDocument:
    """The book with a learning written at the end of its list."""
    whole = Lines(document.text)
    new = _learning_lines(learning)
    if document.book.learnt:
        last = f"learnt[{len(document.book.learnt) - 1}]"
        place = span(whole.lines, document.spots, last)
        dash = whole.lines[place.first].index("-")
        whole.lines[place.last : place.last] = [" " * dash + line.removeprefix("  ") for line in new]
    else:
        whole.lines += ["learnt:", *new]
    return read_book_text(whole.text, document.name)


def _learning_lines(learning: Learning) -> list[str]:
    lines = [
        f"  - id: {learning.id}",
        f"    when: {learning.when.isoformat()}",
        f"    job: {_quoted(learning.job)}",
        f"    actuals: {_quoted(learning.actuals)}",
    ]
    if learning.changes:
        lines.append("    changes:")
        lines += [f"      - {_change(change.model_dump())}" for change in learning.changes]
    if learning.not_taken:
        lines.append("    not_taken:")
        lines += [f"      - {_quoted(text)}" for text in learning.not_taken]
    return lines


def _change(fields: Mapping[str, Any]) -> str:
    parts = [
        f"{name}: {_quoted(value) if isinstance(value, str) else f'{value:.10g}'}"
        for name, value in fields.items()
        if value is not None
    ]
    return "{" + ", ".join(parts) + "}"


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def undone(document: BookDocument, wanted: str | None = None) -> tuple[BookDocument, Learning]:
    """The book as it was before a learning, to the letter where nothing else was changed since.

    Parameters
    ----------
    document : BookDocument
        Left alone.
    wanted : str, optional
        Id of the learning; left out: the last.

    Returns
    -------
    BookDocument
        Read again from the text.
    Learning
        What was undone.

    Raises
    ------
    JobError
        If nothing was learnt, no learning has that id, or an entry that it changed was changed again since, by hand
        or by a later learning; each entry is named.
    """
    learnt = document.book.learnt
    number = next((n for n, one in enumerate(learnt) if one.id == wanted), None) if wanted else len(learnt) - 1
    if number is None or number < 0:
        known = ", ".join(one.id for one in learnt)
        raise refusal(
            f"no learning {wanted}" if wanted and learnt else "nothing learnt",
            f"one of: {known}" if learnt else "a job learnt from before it is undone",
            "" if learnt else "nothing is there to take back", where="learnt", file=document.name,
        )  # fmt: skip
    learning = learnt[number]
    whole = Lines(document.text)
    lines, spots = whole.lines, document.spots
    told = span(lines, spots, f"learnt[{number}]")
    first = spots["learnt"].line - 1 if len(learnt) == 1 else told.first
    splices: list[tuple[Span, list[str]]] = [(Span(first, told.last), [])]
    problems: list[Problem] = []
    removed: dict[str, int] = {}
    for change in learning.changes:
        section, _, key = change.key.partition(".")
        later = any(other.key == change.key for one in learnt[number + 1 :] for other in one.changes)
        if later or entry_lines(document, section, key) != change.now:
            problems.append(_changed_since(document, number, change.key))
            continue
        place = span(lines, spots, change.key)
        splices.append((place, change.was.split("\n") if change.was else []))
        removed[section] = removed.get(section, 0) + (change.was == "")
    if problems:
        raise JobError(tuple(problems))
    for section, count in removed.items():
        if count and count == len(getattr(document.book, section)):
            here = spots[section].line - 1
            splices.append((Span(here, here + 1), []))
    for place, new in sorted(splices, key=lambda item: item[0], reverse=True):
        lines[place.first : place.last] = new
    return read_book_text(whole.text, document.name), learning


def _changed_since(document: BookDocument, number: int, key: str) -> Problem:
    later = [one.id for one in document.book.learnt[number + 1 :] if any(change.key == key for change in one.changes)]
    found = f"{key} changed again by {later[0]}" if later else f"{key} changed by hand since"
    hint = f"undo {later[-1]} first" if later else "put its lines back as 'now' has them, or correct the entry by hand"
    wanted = "it as the learning left it"
    spot = document.spots.get(key)
    return Problem(
        where=key, found=found, expected=wanted, hint=hint, file=document.name, line=spot and spot.line,
        column=spot and spot.column,
    )  # fmt: skip


__all__ = ["SECTIONS", "Edit", "entry_lines", "undone", "with_entries", "with_learning"]
