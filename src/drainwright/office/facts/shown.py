"""A form as its page shows it: every entry with what stands in it, what is wrong with it, what is still missing."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from dataclasses import field as made
from typing import Any

from drainwright.errors import Problem
from drainwright.office.facts.filled import (
    MARKS,
    At,
    at_path,
    blanks_of,
    built,
    entries_of,
    is_small,
    parts_of,
    typed,
)  # fmt: skip
from drainwright.office.facts.model import Field, Group, Listed, Node, example_of, usual_of
from drainwright.office.facts.spoken import spoken
from drainwright.quantities.writing import System


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part of the form. sort: field, group, list, entry."""

    sort: str
    name: str
    id: str
    label: str
    hint: str = ""
    field: Field | None = None
    value: str = ""
    marks: Mapping[str, str] = made(default_factory=dict)
    example: str = ""
    usual: str = ""
    wrong: tuple[str, ...] = ()
    lacks: bool = False
    members: tuple[Part, ...] = ()
    folds: bool = False  # it may be left shut
    open: bool = False
    small: bool = False
    words: tuple[str, ...] = ()
    word: str = ""
    fresh: bool = False
    suggests: bool = False  # from the measured points
    line: str = ""  # of an entry that is shut: what it is, and how much of it is missing


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What a form is filled from."""

    record: Mapping[str, Any]
    texts: Mapping[str, str]  # as sent; empty: as the record says
    problems: Sequence[Problem]
    units: System
    notes: Mapping[str, str] = made(default_factory=dict)  # by path: what somebody else made of it meanwhile
    lines: Mapping[str, str] = made(default_factory=dict)  # by where it is: what an entry is, in a word or two


def shown(nodes: tuple[tuple[str, Node], ...], told: Told) -> tuple[Part, ...]:
    """The parts of a form."""
    return tuple(_part(node, at_path(told.record, path), told) for path, node in nodes)


def _part(node: Node, at: At, told: Told) -> Part:
    if isinstance(node, Field):
        return _field(node, at, told)
    if isinstance(node, Group):
        members = tuple(_part(one, at.key(one.key), told) for one in node.members)
        word = told.texts.get(f"{at.name}:word")
        if word is None:
            word = at.raw if isinstance(at.raw, str) else node.usual if at.raw is None else ""
        there = isinstance(at.raw, Mapping) or bool(built(node.members, at, told.texts))
        wrong, _ = _faults(at, told, alone=True)
        return Part(
            sort="group", name=at.name, id=at.where, label=node.label, hint=node.hint, members=members, wrong=wrong,
            folds=node.optional and not node.words, open=there or any(map(_troubled, members)), words=node.words,
            word=str(word),
        )  # fmt: skip
    return _list(node, at, told)


def _list(node: Listed, at: At, told: Told) -> Part:
    small = is_small(node)
    entries = [*((one, False) for one in entries_of(at)), *((one, True) for one in blanks_of(node, at, told.texts))]
    members = []
    for entry, fresh in entries:
        parts = tuple(_part(one, entry.key(one.key), told) for one in node.entry)
        name = entry.raw.get("name") if isinstance(entry.raw, Mapping) else None
        wrong, _ = _faults(entry, told, alone=True)
        troubled = bool(wrong) or any(map(_troubled, parts))
        some = bool(built(node.entry, entry, told.texts)) if fresh else troubled or bool(told.texts)
        missing = sum(map(_missing, parts))
        words = (told.lines.get(entry.where, ""), f"{missing} missing" if missing else "")
        label = f"{node.one} {name}" if name else f"{'another' if at.raw else 'a'} {node.one}" if fresh else node.one
        members.append(
            Part(
                sort="entry", name=entry.name, id=entry.fresh or entry.where, members=parts, wrong=wrong, fresh=fresh,
                label=f"{label[:1].upper()}{label[1:]}", folds=fresh, small=small,
                line="" if fresh else ", ".join(filter(None, words)),
                open=some or (fresh and not at.raw and not entry.fresh.count("[+", 0, -4)),
            )
        )  # fmt: skip
    wrong, lacks = _faults(at, told, alone=True)
    return Part(
        sort="list", name=at.name, id=at.where, label=node.label, hint=node.hint, members=tuple(members), wrong=wrong,
        lacks=lacks, small=small,
    )  # fmt: skip


def _field(node: Field, at: At, told: Told) -> Part:
    sent = typed(node, at, told.texts)
    parts = sent if sent is not None else parts_of(node, at.raw)
    wrong, lacks = _faults(at, told)
    note = told.notes.get(at.name)
    return Part(
        sort="field", name=at.name, id=at.fresh or at.where, label=node.label, hint=node.hint, field=node,
        value=parts[""], marks={name: parts.get(name, "") for name in MARKS}, example=example_of(node, told.units),
        usual=usual_of(node, told.units), wrong=(*((note,) if note else ()), *wrong),
        lacks=lacks or (node.required and not parts[""] and _whole_missing(at, told)),
        suggests=node.kind == "place" or (node.key in ("from", "to") and node.kind == "text"),
    )  # fmt: skip


def _faults(at: At, told: Told, *, alone: bool = False) -> tuple[tuple[str, ...], bool]:
    """What is wrong at a part, and whether it is missing; ``alone``: without what is wrong within it."""
    if at.fresh and not told.texts:
        return (), False
    wrong, lacks = [], False
    for one in told.problems:
        within = one.where == at.where or (not alone and one.where.startswith((f"{at.where}.", f"{at.where}[")))
        if within and one.found == "nothing":
            lacks = True
        elif within:
            wrong.append(spoken(one).words)
    return tuple(wrong), lacks


def _whole_missing(at: At, told: Told) -> bool:
    """Whether a record that must be there, and that the field is part of, is missing as a whole."""
    above = at.where.rpartition(".")[0]
    return any(one.found == "nothing" and one.where == above for one in told.problems)


def _troubled(part: Part) -> bool:
    return bool(part.wrong or part.lacks or any(map(_troubled, part.members)))


def _missing(part: Part) -> int:
    return part.lacks + sum(map(_missing, part.members))


__all__ = ["Part", "Told", "shown"]
