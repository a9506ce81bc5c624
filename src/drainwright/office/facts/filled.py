"""A form with what a job says in it, and the edits by path that bring the job to what was typed."""

from __future__ import annotations

import json
import re
import uuid
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from drainwright.job.values import Basis, Fact
from drainwright.office.facts.model import Field, Group, Listed, Node
from drainwright.office.store.editing import Operation
from drainwright.office.store.paths import Named, Step, Steps, naming, written

MARKS = ("basis", "source", "date", "low", "high", "note")  # of a fact, beside its value
SMALL = 4  # fields of an entry that stands in one row
_NUMBER = re.compile(r"[-+]?[0-9]+")
_DECIMAL = re.compile(r"[-+]?[0-9]*\.?[0-9]+")
_BETWEEN = re.compile(r"\s*(?:\n|,(?![0-9]{3}(?![0-9])))\s*")  # entries of a list; 1,200 is one number


@dataclass(frozen=True, slots=True)
class At:
    """A part of the form: by path, by number as faults are told, and what stands there."""

    steps: Steps
    where: str
    raw: Any
    fresh: str = ""  # in place of the path, within an entry that is not there yet

    @property
    def name(self) -> str:
        """Of its entry in the form."""
        return self.fresh or written(self.steps)

    def key(self, key: str) -> At:
        """A member."""
        raw = self.raw.get(key) if isinstance(self.raw, Mapping) else None
        return At((*self.steps, key), f"{self.where}.{key}", raw, f"{self.fresh}.{key}" if self.fresh else "")


def at_path(record: Mapping[str, Any], path: str) -> At:
    """The part of a record at a path of keys."""
    first, *rest = path.split(".")
    found = At((first,), first, record.get(first))
    for key in rest:
        found = found.key(key)
    return found


def entries_of(at: At) -> list[At]:
    """The entries that a list has, by their names where these tell all apart."""
    raw = at.raw if isinstance(at.raw, list) else []
    field = naming(raw)
    found = []
    for number, one in enumerate(raw):
        step: Step = Named(one[field], field) if field else number
        inner = At((*at.steps, step), f"{at.where}[{number}]", one)
        found.append(At(inner.steps, inner.where, one, f"{at.fresh}[{number}]" if at.fresh else ""))
    return found


def is_small(node: Listed) -> bool:
    """Whether its entries stand in one row each."""
    return len(node.entry) <= SMALL and all(isinstance(one, Field) and not one.fact for one in node.entry)


def blanks_of(node: Listed, at: At, texts: Mapping[str, str]) -> list[At]:
    """Entries that are not there yet: empty ones to be filled in, and those that were."""
    there = len(at.raw) if isinstance(at.raw, list) else 0
    entry = re.compile(re.escape(f"{at.name}[+") + r"([0-9]{1,3})\]")
    sent = [int(one[1]) + 1 for one in map(entry.match, texts) if one]
    most = max([max(1, SMALL - there) if is_small(node) else 1, *sent])
    found, taken = [], there
    for number in range(most):
        one = At((*at.steps, there), f"{at.where}[{taken}]", None, f"{at.name}[+{number}]")
        taken += bool(built(node.entry, one, texts))
        found.append(one)
    return found


def parts_of(field: Field, raw: Any) -> dict[str, str]:
    """What a field says, in the parts in which it is typed; the value under the empty name.

    Examples
    --------
    >>> field = Field(key="depth", label="Depth", kind="quantity", fact=True)
    >>> parts_of(field, "3 ft, mapped")["basis"]
    'mapped'
    """
    if not field.fact:
        return {"": _text(field, raw)}
    marks = dict.fromkeys(MARKS, "")
    if isinstance(raw, Mapping):
        marks |= {name: _plain(raw.get(name)) for name in MARKS}
        value = raw.get("value")
    else:
        found = _split(raw)
        value, marks["basis"] = found if found else (raw, "")
    stated = "" if value is None else str(Basis.STATED)
    return {"": _text(field, value), **marks, "basis": marks["basis"] or stated}


def _split(raw: Any) -> tuple[str, str] | None:
    """A value and its mark, written in one."""
    if not isinstance(raw, str):
        return None
    told = Fact[str].model_validate(raw)
    return told.value, str(told.basis)


def _text(field: Field, raw: Any) -> str:
    if isinstance(raw, list):
        parts = [", ".join(map(_plain, one)) if isinstance(one, list) else _plain(one) for one in raw]
        return "\n".join(parts) if field.kind in ("place", "choice") else ", ".join(parts)
    return _plain(raw)


def _plain(raw: Any) -> str:
    if raw is None:
        return ""
    return str(raw).lower() if isinstance(raw, bool) else str(raw)


def typed(field: Field, at: At, texts: Mapping[str, str]) -> dict[str, str] | None:
    """What was sent of a field; None where the form did not have it."""
    if field.many and field.kind == "choice":
        if f"{at.name}:ticks" not in texts:
            return None
        return {"": "\n".join(one for one in field.choices if f"{at.name}:{one}" in texts)}
    if at.name not in texts:
        return None
    sent = texts[at.name].replace("\r\n", "\n").replace("\r", "\n")
    lines = "\n".join(" ".join(line.split()) for line in sent.split("\n")).strip()
    value = lines if field.many or field.kind == "long" else " ".join(sent.split())
    if not field.fact:
        return {"": value}
    marks = {name: " ".join(texts.get(f"{at.name}:{name}", "").split()) for name in MARKS}
    return {"": value, **(marks if value or any(marks[name] for name in MARKS[1:]) else dict.fromkeys(MARKS, ""))}


def raw_of(field: Field, parts: Mapping[str, str]) -> Any:
    """What is typed as a document says it; None where nothing is."""
    value = _value(field, parts[""])
    if not field.fact:
        return value
    marks = {name: parts[name] for name in MARKS if parts[name]}
    if value is None and set(marks) <= {"basis"}:
        return None
    if set(marks) <= {"basis"}:
        basis = marks.get("basis", str(Basis.STATED))
        if basis == Basis.STATED:
            return value
        if isinstance(value, str):
            return f"{value}, {basis}"
    return {"value": value, **marks}


def _value(field: Field, text: str) -> Any:
    if not text:
        return None
    if field.many:
        lines = text.split("\n") if field.kind in ("place", "choice") else _BETWEEN.split(text)
        return [_one(field, line) for line in lines if line]
    return _one(field, text)


def _one(field: Field, text: str) -> Any:
    if field.kind == "truth" and text in ("true", "false"):
        return text == "true"
    if field.kind == "number":
        if _NUMBER.fullmatch(text):
            return int(text)
        return float(text) if _DECIMAL.fullmatch(text) else text
    return text


def built(nodes: tuple[Node, ...], at: At, texts: Mapping[str, str]) -> dict[str, Any]:
    """What was typed of a record that is not there yet; empty where nothing was."""
    made: dict[str, Any] = {}
    for node in nodes:
        inner = at.key(node.key)
        found: Any = None
        if isinstance(node, Field):
            parts = typed(node, inner, texts)
            found = None if parts is None else raw_of(node, parts)
        elif isinstance(node, Group):
            found = built(node.members, inner, texts) or None
        else:
            found = [one for blank in blanks_of(node, inner, texts) if (one := built(node.entry, blank, texts))] or None
        if found is not None:
            made[node.key] = found
    return made


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """One part of the job that is to say something else."""

    path: str
    where: str  # as faults tell it, before anything is taken out
    value: Any
    was: Any
    last: int = 0  # when it is made: 0 at once, 1 new names, 2 what is taken out
    names: tuple[str, ...] = ()  # entries of the form that it comes from

    def operation(self, form: str) -> Operation:
        """As the store takes it; sent twice from one form it has the same id."""
        told = json.dumps([self.path, self.value, self.where], ensure_ascii=False, default=str)
        return Operation(id=str(uuid.uuid5(_space(form), told)), path=self.path, value=self.value, was=self.was)


def _space(form: str) -> uuid.UUID:
    try:
        return uuid.UUID(form)
    except ValueError:
        return uuid.uuid4()


def edits_of(nodes: tuple[tuple[str, Node], ...], record: Mapping[str, Any], texts: Mapping[str, str]) -> list[Edit]:
    """The edits that bring a record to what was typed, in the order in which they can be made."""
    found = [edit for path, node in nodes for edit in _edits(node, at_path(record, path), texts)]
    kept = [one for one in found if one.last < 2]
    gone = [one for one in found if one.last == 2]
    return [*sorted(kept, key=lambda one: one.last), *reversed(gone)]


def _edits(node: Node, at: At, texts: Mapping[str, str]) -> Iterator[Edit]:
    if isinstance(node, Field):
        parts = typed(node, at, texts)
        if parts is not None and parts != parts_of(node, at.raw):
            yield Edit(path=at.name, where=at.where, value=raw_of(node, parts), was=at.raw, names=(at.name,))
    elif isinstance(node, Group):
        yield from _group_edits(node, at, texts)
    else:
        yield from _list_edits(node, at, texts)


def _group_edits(node: Group, at: At, texts: Mapping[str, str]) -> Iterator[Edit]:
    word = texts.get(f"{at.name}:word", "")
    if word:
        if word != at.raw and not (at.raw is None and word == node.usual):
            yield Edit(path=at.name, where=at.where, value=word, was=at.raw, names=(f"{at.name}:word",))
        return
    if isinstance(at.raw, Mapping):
        there = [one for one in texts if one.startswith(f"{at.name}.")]
        if node.optional and there and not built(node.members, at, texts):
            yield Edit(path=at.name, where=at.where, value=None, was=at.raw, last=2)
            return
        for one in node.members:
            yield from _edits(one, at.key(one.key), texts)
    elif made := built(node.members, at, texts):
        yield Edit(path=at.name, where=at.where, value=made, was=at.raw, names=(f"{at.name}.",))


def _list_edits(node: Listed, at: At, texts: Mapping[str, str]) -> Iterator[Edit]:
    for entry in entries_of(at):
        if f"{entry.name}:gone" in texts:
            yield Edit(path=entry.name, where=entry.where, value=None, was=entry.raw, last=2)
            continue
        step = entry.steps[-1]
        for one in node.entry:
            for edit in _edits(one, entry.key(one.key), texts):
                renamed = isinstance(step, Named) and one.key == step.field
                yield Edit(
                    path=edit.path, where=edit.where, value=edit.value, was=edit.was, last=max(edit.last, renamed),
                    names=edit.names,
                )  # fmt: skip
    for blank in blanks_of(node, at, texts):
        if made := built(node.entry, blank, texts):
            yield Edit(path=f"{at.name}[+]", where=blank.where, value=made, was=None, names=(f"{blank.name}.",))


def only_changed(
    nodes: tuple[tuple[str, Node], ...], record: Mapping[str, Any], texts: Mapping[str, str]
) -> dict[str, str]:
    """Of what was sent, the entries that were changed: the rest shows what stands by now."""
    names = tuple(name for edit in edits_of(nodes, record, texts) for name in edit.names)
    starts = tuple(name if name.endswith(".") else f"{name}:" for name in names)
    return {key: value for key, value in texts.items() if key in names or key.startswith(starts)}


__all__ = [
    "MARKS", "At", "Edit", "at_path", "blanks_of", "built", "edits_of", "entries_of", "is_small", "only_changed",
    "parts_of", "raw_of", "typed",
]  # fmt: skip
