"""Texts of jobs as the store takes them: what they say, their faults, and edits that keep their comments."""

from __future__ import annotations

import copy
import hashlib
import json
import tempfile
from collections.abc import Mapping, Sequence
from contextlib import nullcontext
from dataclasses import dataclass, field
from difflib import SequenceMatcher
from functools import lru_cache
from pathlib import Path
from types import MappingProxyType
from typing import Any

from drainwright.errors import InputError, JobError
from drainwright.job.beside import lay_beside
from drainwright.job.loading import load
from drainwright.job.reading import read_text
from drainwright.job.versions import upgrade
from drainwright.job.writing import changed_text
from drainwright.office.store.comparing import Change, make_changes, nowhere, same
from drainwright.office.store.errors import StoreError
from drainwright.office.store.paths import Append, Named, Step, Steps, naming, parsed, place_in

NAME = "job.yaml"


class _Unsaid:
    """Of an operation: what stood there was not told."""


UNSAID = _Unsaid()


@dataclass(frozen=True, slots=True, kw_only=True)
class Operation:
    """One edit, as a browser sends it."""

    id: str  # its own, for ever: sent again it is not made again
    path: str  # house.walls[south].footing_bottom; [+] adds to a list
    value: Any  # None takes the part out
    was: Any = UNSAID  # what stood there when it was made; None: nothing

    def __post_init__(self) -> None:
        if not self.id or len(self.id) > 36:
            raise InputError(f"id: found {self.id!r}; expected 1 to 36 signs, such as a UUID")
        parsed(self.path)
        try:
            json.dumps(self.plain, allow_nan=False)
        except (TypeError, ValueError):
            raise InputError(f"{self.path}: found {self.value!r}; expected a value as JSON has them") from None

    @property
    def plain(self) -> dict[str, Any]:
        """As plain data."""
        told = {} if isinstance(self.was, _Unsaid) else {"was": self.was}
        return {"id": self.id, "path": self.path, "value": self.value, **told}

    @property
    def digest(self) -> str:
        """Of what it says."""
        return sha256(json.dumps(self.plain, sort_keys=True))


def sha256(text: str | bytes) -> str:
    """The digest of a text or of bytes."""
    return hashlib.sha256(text.encode("utf-8") if isinstance(text, str) else text).hexdigest()


def said(text: str) -> dict[str, Any]:
    """What a text says, in the current format where it tells its own.

    Raises
    ------
    JobError
        If it cannot be parsed.
    """
    record = load(text, NAME).record
    try:
        return dict(upgrade(record))
    except JobError:
        return record


def faults_of(text: str, files: Mapping[str, bytes] = MappingProxyType({})) -> tuple[str, ...]:
    """Why a text that can be parsed is no whole job yet; nothing if it is one.

    Parameters
    ----------
    text : str
        YAML.
    files : mapping of str to bytes
        What lies beside it, by the names that it has for them.

    Raises
    ------
    JobError
        If it cannot be parsed.
    """
    load(text, NAME)
    with tempfile.TemporaryDirectory(prefix="drainwright-") if files else nullcontext() as folder:
        try:
            if folder:
                lay_beside(files, Path(folder))
            read_text(text, NAME, Path(folder) if folder else None)
        except JobError as error:
            return tuple(str(problem) for problem in error.problems)
    return ()


def edited(text: str, changes: Sequence[Change], record: dict[str, Any]) -> str:
    """A text with changes made, comments kept; it then says the record given.

    Raises
    ------
    StoreError
        If the text cannot be made to say that.
    """
    return _sure(changed_text(text, lambda tree: make_changes(tree, changes)), record)


def operated(text: str, operations: Sequence[Operation], record: dict[str, Any]) -> str:
    """A text with operations made, comments kept; it then says the record given.

    Raises
    ------
    StoreError
        If the text cannot be made to say that.
    """
    return _sure(_operated(_Edits(text, tuple(one.digest for one in operations), tuple(operations))), record)


@dataclass(frozen=True, slots=True)
class _Edits:
    """A text and operations on it, told apart by their digests: an operation's value need not hash."""

    text: str
    digests: tuple[str, ...]
    operations: tuple[Operation, ...] = field(compare=False)


@lru_cache(8)
def _operated(edits: _Edits) -> str:
    """Kept, as an edit is tried before it is made."""

    def change(tree: Any) -> None:
        for operation in edits.operations:
            perform(tree, operation)

    return changed_text(edits.text, change)


def _sure(text: str, record: dict[str, Any]) -> str:
    try:
        right = same(said(text), record)
    except JobError as error:
        raise StoreError(f"the changed text cannot be read: {error}") from None
    if not right:
        raise StoreError("the text cannot be changed so and keep all else; expected values as YAML has them")
    return text


def perform(record: Any, operation: Operation) -> None:
    """Make one edit in a record or a tree, in place; mappings and lists on the way are made where there are none.

    Raises
    ------
    InputError
        If the path leads nowhere.
    """
    steps = parsed(operation.path)
    at, last = record, steps[-1]
    for number, step in enumerate(steps[:-1]):
        place = place_in(at, step)
        if (place is None or at[place] is None) and operation.value is None:
            return
        if place is None or at[place] is None:
            if not isinstance(at, dict) or not isinstance(step, str):
                raise nowhere(steps[: number + 1])
            at[step] = {} if isinstance(steps[number + 1], str) else []
            place = step
        at = at[place]
    if operation.value is None:
        place = place_in(at, last)
        if place is not None:
            del at[place]
        return
    make_changes(at, (Change(steps=(last,), kind="changed", new=operation.value),))


def settled(record: Any, path: str) -> Steps:
    """The steps of a path with entries by their names wherever the lists have names for them."""
    made: list[Step] = []
    at = record
    for step in parsed(path):
        place = place_in(at, step)
        if isinstance(at, list) and place is not None:
            field = naming(at)
            made.append(Named(at[int(place)][field], field) if field else place)
        else:
            made.append(step)
        at = None if place is None else at[place]
    return tuple(made)


def touches(change: Change, steps: Steps) -> bool:
    """Whether a change and an edit bear on the same part: one lies within the other."""
    if change.kind == "order" and len(steps) > len(change.steps):
        return False  # entries stay what they are
    pairs = zip(change.steps, steps, strict=False)
    if not all(_alike(one, other) for one, other in pairs):
        return False
    return len(change.steps) < len(steps) or not isinstance(steps[-1], Append)


def _alike(one: Step, other: Step) -> bool:
    names = [step.name if isinstance(step, Named) else step for step in (one, other)]
    return names[0] == names[1] and not isinstance(one, Append)


def merged_lines(base: str, one: str, other: str) -> str | None:
    """The lines of two texts made of a base, comments of both kept; None where both changed lines side by side."""
    old, lines, more = (text.splitlines(keepends=True) for text in (base, one, other))
    blocks = []
    for new in (lines, more):
        steps = SequenceMatcher(None, old, new, autojunk=False).get_opcodes()
        blocks += [(a, b, new[c:d]) for tag, a, b, c, d in steps if tag != "equal"]
    made: list[str] = []
    at = 0
    last: tuple[int, int, list[str]] | None = None
    for block in sorted(blocks, key=lambda block: (block[0], block[1], block[2])):
        if block == last:
            continue
        low, high, new = block
        if last is not None and low <= last[1]:
            return None
        made += [*old[at:low], *new]
        at, last = high, block
    return "".join([*made, *old[at:]])


def with_both(base: str, theirs: str, mine: str, record: dict[str, Any], changes: Sequence[Change]) -> str:
    """A text that says a merged record: line by line where that does it, else their text with the changes made.

    Raises
    ------
    StoreError
        If no text can be made to say that.
    """
    lines = merged_lines(base, theirs, mine)
    if lines is not None:
        try:
            return _sure(lines, record)
        except StoreError:
            pass
    return edited(theirs, changes, record)


def tried(text: str, operations: Sequence[Operation]) -> str:
    """A text with those operations made that it takes, to be shown to a person."""
    record = said(text)
    taken = []
    for operation in operations:
        after = copy.deepcopy(record)
        try:
            perform(after, operation)
        except InputError:
            continue
        record = after
        taken.append(operation)
    return operated(text, taken, record)


__all__ = [
    "NAME", "UNSAID", "Operation", "edited", "faults_of", "merged_lines", "operated", "perform", "said",
    "settled", "sha256", "touches", "tried", "with_both",
]  # fmt: skip
