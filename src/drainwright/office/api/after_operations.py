"""Entries after the job as devices send them from their queue: by what stood there, each answered by itself."""

from __future__ import annotations

import copy
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from fastapi import HTTPException

from drainwright.errors import JobError
from drainwright.job.loading import load
from drainwright.job.writing import changed_text
from drainwright.office.after import SORTS, Sort, blank_proof, called, keep
from drainwright.office.pages.after_entries import (
    PARTS,
    UNITS,
    Entry,
    Part,
    alike,
    blank_season,
    blank_visits,
    put,
    standing,
    take_out,
)
from drainwright.office.pages.fields import Sent
from drainwright.office.store import editing, revisions
from drainwright.office.store.editing import UNSAID, Operation
from drainwright.office.store.files import CameBetween, attachments, of_kind
from drainwright.office.store.jobs import job as stored_job
from drainwright.office.store.opening import Store
from drainwright.office.who import Who

TRIES = 5  # how often others may be quicker
MOST_FIELDS, MOST_SIGNS = 200, 20_000
MARK = "edits "  # begins the note of a saving, before the ids of the edits that it has
_PATH = re.compile(r"after\.(proof|visits|season)\.(\w+)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What became of one edit; the members are those of the API's answer."""

    id: str
    state: str  # applied, conflict or refused
    revision: int | None = None  # number of the saving that has it, or of the one that it is in conflict with
    theirs: Any = None
    who: str | None = None
    found: str | None = None
    expected: str | None = None
    hint: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class _Typed:
    """An edit as it is understood."""

    id: str
    part: Part
    entry: Entry | None  # None: taken out
    was: Entry | None
    in_service: str
    units: str


def is_after(path: str) -> bool:
    """Whether an edit is of a record after the job, and not of the job."""
    return re.match(r"after(?:\.|\[|$)", path) is not None


def take_after(store: Store, who: Who, job: str, operations: Sequence[Operation]) -> list[Taken]:
    """Make edits of the records after a job, and say of each what became of it.

    Parameters
    ----------
    store : Store
        Where.
    who : Who
        Sends them.
    job : str
        Id of the job.
    operations : sequence of Operation
        In the order of typing. The path is ``after.proof.run``; value and ``was`` are the fields of its form as they
        were typed, or None.

    Returns
    -------
    list of Taken
        In any order. The edits of one record make one saving, which keeps their ids.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    HTTPException
        503, where others save faster.
    """
    units = str(editing.said(revisions.revision(store, who.firm, job).text).get("units", "US"))
    replies: list[Taken] = []
    by_record: dict[str, list[_Typed]] = {}
    for one in operations:
        typed = _typed(one, units)
        if isinstance(typed, Taken):
            replies.append(typed)
        else:
            by_record.setdefault(typed.part.record, []).append(typed)
    for key, edits in by_record.items():
        replies += _saved(store, who, job, SORTS[key], edits)
    return replies


def _typed(one: Operation, units: str) -> _Typed | Taken:
    match = _PATH.fullmatch(one.path)
    part = PARTS.get(match[2]) if match else None
    if match is None or part is None or part.record != match[1]:
        names = ", ".join(f"after.{part.record}.{name}" for name, part in PARTS.items())
        return _refused(one.id, one.path, f"one of {names}")
    texts, was = _texts(one.value), _texts(None if one.was is UNSAID else one.was)
    if texts is None or was is None or not (texts or was):
        return _refused(one.id, "no fields", "the fields of a form, as text, in the value or in what was there")
    if not texts and not part.way:
        return _refused(one.id, "a season taken out", "its days, changed")
    given = (texts or was).get("units", "")
    units = given if given in UNITS else units
    return _Typed(
        id=one.id, part=part, units=units, in_service=texts.get("in_service", ""),
        entry=part.read(Sent(texts, {}), units) if texts else None,
        was=part.read(Sent(was, {}), units) if was else None,
    )  # fmt: skip


def _texts(value: Any) -> dict[str, str] | None:
    """Fields as text; empty where there are none, None where it is something else."""
    if value is None:
        return {}
    fits = isinstance(value, Mapping) and len(value) <= MOST_FIELDS
    if not fits or not all(isinstance(one, str) and len(one) <= MOST_SIGNS for part in value.items() for one in part):
        return None
    return dict(value)


def _saved(store: Store, who: Who, job: str, sort: Sort, edits: list[_Typed]) -> list[Taken]:
    for _ in range(TRIES):
        number, newest, data = of_kind(store, who.firm, job, sort.kind)
        known = _known(store, who, job, sort)
        done = [Taken(id=one.id, state="applied", revision=number) for one in edits if one.id in known]
        left = [one for one in edits if one.id not in known]
        text = data.decode("utf-8", "replace")
        author = "somebody else" if newest is None else newest.who
        made, others = _made(store, who, job, sort, text, left, number, author)
        if made == text:
            return [*done, *others]
        ids = [one.id for one in others if one.state == "applied"]
        try:
            saved = keep(store, who, job, sort, number, made, MARK + " ".join(ids))
        except CameBetween:
            continue  # somebody was quicker: looked at again
        told = [Taken(id=one, state="applied", revision=saved) for one in ids]
        return [*done, *told, *(one for one in others if one.state != "applied")]
    raise HTTPException(503, "The record is changed by others faster than this can be saved. Send it again.")


def _known(store: Store, who: Who, job: str, sort: Sort) -> frozenset[str]:
    """The ids of all edits that a saving of the record has."""
    notes = [
        one.note for one in attachments(store, who.firm, job, archived=True)
        if one.kind == sort.kind and one.note.startswith(MARK)
    ]  # fmt: skip
    return frozenset(id for note in notes for id in note.removeprefix(MARK).split())


def _made(
    store: Store, who: Who, job: str, sort: Sort, text: str, edits: list[_Typed], number: int, author: str
) -> tuple[str, list[Taken]]:  # fmt: skip
    """The text with the edits that can be made, and what became of each."""
    replies: list[Taken] = []
    if text:
        try:
            sort.read(text, sort.file)
        except JobError:
            found, expected = "a record that cannot be read", "one that is mended as text"
            return text, [_refused(one.id, found, expected) for one in edits]
    for one in edits:
        record = load(text, sort.file, sort.noun).record if text else {}
        named = one.entry if one.entry is not None else one.was
        there = standing(record, one.part, named or {})
        if alike(one.part, there, one.entry, one.units):
            replies.append(Taken(id=one.id, state="applied", revision=number))
            continue
        if not alike(one.part, there, one.was, one.units):
            theirs = (
                None if there is None else one.part.texts(there) if one.part.texts is not None else _as_texts(there)
            )
            replies.append(Taken(id=one.id, state="conflict", revision=number, theirs=theirs, who=author))
            continue
        try:
            text = _with(text or _blank(store, who, job, one), one)
            replies.append(Taken(id=one.id, state="applied", revision=number))
        except JobError as error:
            first = error.problems[0]
            replies.append(_refused(one.id, f"{first.where}: {first.found}", first.expected, first.hint))
    return text, replies


def _as_texts(entry: Entry) -> dict[str, str]:
    """An entry that has no form, as a device sends one: what a person chooses is then told as what stood there."""
    return {key: str(value) for key, value in entry.items()}


def _with(text: str, one: _Typed) -> str:
    """The record with an edit.

    Raises
    ------
    JobError
        If it is no record then.
    """

    def change(tree: Any) -> None:
        if one.entry is None:
            take_out(tree, one.part, one.was or {})
        else:
            put(tree, one.part, copy.deepcopy(one.entry))

    made = changed_text(text, change, is_job=False)
    sort = SORTS[one.part.record]
    sort.read(made, sort.file)
    return made


def _blank(store: Store, who: Who, job: str, one: _Typed) -> str:
    name = called(stored_job(store, who.firm, job))
    if one.part.record == "proof":
        return blank_proof(name)
    return blank_visits(name, one.in_service) if one.part.record == "visits" else blank_season(name)


def _refused(id: str, found: str, expected: str, hint: str = "") -> Taken:
    return Taken(id=id, state="refused", found=found, expected=expected, hint=hint)


__all__ = ["Taken", "is_after", "take_after"]
