"""Faults of a job in plain words, with the form or page where each is mended."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from drainwright.errors import Problem
from drainwright.job.model import Job
from drainwright.office.facts.model import Field, Group, label_of, nodes_of
from drainwright.office.facts.sheets import ELSEWHERE, SHEETS, sheet_of
from drainwright.office.facts.words import HELP, NAMES
from drainwright.office.store.editing import NAME

_ENTRY = re.compile(r"\[[^\]]*\]")
_QUOTED = re.compile(r"'([a-z][a-z0-9_]*)'|\b([a-z_]+(?:\.[a-z_]+)+)\b")
_STEP = re.compile(r"\[(?P<entry>[^\]]*)\]|(?P<key>[^.\[\]]+)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Spoken:
    """A fault as a person reads it."""

    title: str  # "Foundation walls, wall south: Bottom of the footing"
    words: str
    missing: bool
    page: str  # below the job, with the place on it: "facts/walls#house.walls[0].footing_bottom"
    at: str  # name of that page


def spoken(problem: Problem, record: Mapping[str, Any] | None = None) -> Spoken:
    """A fault in plain words; with the record, entries of lists are called by their names.

    Examples
    --------
    >>> told = spoken(Problem(where="house", found="nothing", expected="the key 'house', which is required here"))
    >>> told.title, told.words, told.page
    ('House', 'Not told yet.', 'facts/house')
    """
    where = problem.where
    key = plain(where)
    missing = problem.found == "nothing" and "required here" in problem.expected
    title = title_of(where, record or {}) or "The job"
    if missing:
        help_ = HELP.get(key, "")
        words = f"Not told yet.{f' {help_}.' if help_ else ''}"
    else:
        found = "nothing" if problem.found == "nothing" else in_words(problem.found, key)
        spot = f"{problem.file}, line {problem.line}: found" if _elsewhere(problem) else "Found"
        words = f"{spot} {found}; expected {in_words(problem.expected, key)}."
        if problem.hint:
            words += f" {problem.hint[:1].upper()}{in_words(problem.hint[1:], key)}."
    page, at = page_of(where)
    return Spoken(title=title, words=words, missing=missing, page=page, at=at)


def _elsewhere(problem: Problem) -> bool:
    """Whether a fault lies at a line of a file beside the job."""
    return problem.line is not None and problem.file not in ("", NAME, "job.json")


def plain(where: str) -> str:
    """A path without names and numbers."""
    return _ENTRY.sub("", where).removesuffix(".value")


def title_of(where: str, record: Mapping[str, Any]) -> str:
    """A path in the words of the forms."""
    parts: list[str] = []
    path, at = "", record or None
    for step in _STEP.finditer(where.removesuffix(".value")):
        if step["key"] is not None:
            path = f"{path}.{step['key']}" if path else step["key"]
            parts.append(label_of(path))
            at = at.get(step["key"]) if isinstance(at, Mapping) else None
            continue
        entry = step["entry"]
        one = NAMES.get(path, label_of(path).removesuffix("s").lower())
        number = int(entry) if entry.isdigit() else None
        known = isinstance(at, list) and number is not None and number < len(at)
        at = at[number] if known else None  # type: ignore[index]
        name = at.get("name") if isinstance(at, Mapping) else None
        parts[-1:] = [f"{one[:1].upper()}{one[1:]} {name or (number + 1 if number is not None else entry)}"]
    return ", ".join([*parts[:1], *(f"{one[:1].lower()}{one[1:]}" for one in parts[1:])])


def in_words(text: str, key: str) -> str:
    """A text in which keys are quoted, with what the forms call them."""

    def said(found: re.Match[str]) -> str:
        name = found[1] or found[2]
        known = next((one for one in (f"{key}.{name}", f"{key.rpartition('.')[0]}.{name}", name) if _knows(one)), "")
        return f"“{label_of(known)}”" if known else found[0]

    return _QUOTED.sub(said, text)


def _knows(path: str) -> bool:
    members = nodes_of(Job)
    for number, key in enumerate(keys := path.strip(".").split(".")):
        found = next((one for one in members if one.key == key), None)
        if found is None:
            return False
        if isinstance(found, Field):
            return number == len(keys) - 1
        members = found.members if isinstance(found, Group) else found.entry
    return True


def page_of(where: str) -> tuple[str, str]:
    """Where a part is told: the page below the job with the place on it, and its name; empty where on none."""
    if sheet := sheet_of(where):
        whole = any(part == where for part in SHEETS[sheet].parts)
        return f"facts/{sheet}" + ("" if whole else f"#{where.removesuffix('.value')}"), SHEETS[sheet].title
    return ELSEWHERE.get(re.split(r"[.\[]", where, maxsplit=1)[0], ("", ""))


def told_apart(problems: Sequence[Problem]) -> tuple[Problem, ...]:
    """Faults with a record that is missing as a whole told by the fields that it must have."""
    found: list[Problem] = []
    for one in problems:
        node = next((member for member in nodes_of(Job) if member.key == one.where), None)
        if one.found != "nothing" or not isinstance(node, Group):
            found.append(one)
            continue
        needed = [member for member in node.members if getattr(member, "required", False)]
        found += [
            Problem(
                where=f"{one.where}.{member.key}", found="nothing",
                expected=f"the key '{member.key}', which is required here", line=one.line,
            )
            for member in needed
        ] or [one]  # fmt: skip
    return tuple(found)


__all__ = ["Spoken", "in_words", "page_of", "plain", "spoken", "title_of", "told_apart"]
