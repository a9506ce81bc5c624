"""Edits by path as the yard's devices send them: each is answered by itself, and sent again it does no harm."""

from __future__ import annotations

import copy
from dataclasses import asdict, dataclass, field
from typing import Annotated, Any, Literal

from fastapi import APIRouter, HTTPException
from pydantic import BaseModel, Field

from drainwright.errors import InputError, JobError, Problem
from drainwright.job.reading import read_text
from drainwright.office.api.after_operations import is_after, take_after
from drainwright.office.people.roles import may_write
from drainwright.office.store import comparing, editing, revisions
from drainwright.office.store.editing import Operation
from drainwright.office.store.errors import Conflict, StoreError
from drainwright.office.store.opening import Store
from drainwright.office.store.paths import Append, parsed, place_in
from drainwright.office.store.records import Revision
from drainwright.office.who import Asker, OpenStore, Who

router = APIRouter(tags=["yard"])

TRIES = 5  # how often others may be quicker
MOST = 100  # operations at once


class Sent(BaseModel):
    """One edit, as a device sends it."""

    id: Annotated[str, Field(min_length=1, max_length=36)]
    path: Annotated[str, Field(min_length=1, max_length=500)]
    value: Any = None
    was: Any = None
    made: Annotated[str, Field(max_length=40)] = ""


class Batch(BaseModel):
    """Edits in the order of typing."""

    operations: Annotated[list[Sent], Field(min_length=1, max_length=MOST)]


class Reply(BaseModel):
    """What became of one edit; which members it has hangs on the state."""

    id: str
    state: Literal["applied", "conflict", "refused"]
    revision: int | None = None
    theirs: Any = None
    who: str | None = None
    found: str | None = None
    expected: str | None = None
    hint: str | None = None


class Replies(BaseModel):
    """What became of each."""

    answers: list[Reply]


@dataclass(slots=True)
class _Round:
    """A batch as it falls on what stands."""

    record: dict[str, Any]  # with the edits that can be made
    clean: list[Operation] = field(default_factory=list)
    places: dict[str, str] = field(default_factory=dict)  # where each of these put its value, entries by their numbers
    replies: list[Reply] = field(default_factory=list)


@router.post("/jobs/{id}/operations", summary="Make edits by path; each is applied, in conflict, or refused")
def take(id: str, batch: Batch, who: Asker, store: OpenStore) -> Replies:
    """Make the edits that can be made, in their order, as one revision, and say of each what became of it.

    An edit whose ``was`` no longer stands there is a conflict; a value that cannot stand where it is put is refused.
    Edits of what comes after the job (``after.proof.run``) make a saving of their record.
    """
    given = [(one, _operation(one, who)) for one in batch.operations]
    if len({one.id for one, _ in given}) < len(given):
        raise HTTPException(422, "operations: found an id twice; expected each edit with its own")
    replies = [made for _, made in given if isinstance(made, Reply)]
    operations = [made for _, made in given if isinstance(made, Operation)]
    beyond = [one for one in operations if is_after(one.path)]
    if beyond:
        replies += [Reply(**asdict(one)) for one in take_after(store, who, id, beyond)]
        operations = [one for one in operations if not is_after(one.path)]
        if not operations:
            return Replies(answers=replies)
    for _ in range(TRIES):
        head = revisions.revision(store, who.firm, id)
        done, left = _known(store, who, id, operations)
        found = _fallen(head, left)
        try:
            if found.clean:
                made = revisions.apply(store, who.firm, id, head.number, found.clean, who.name)
                found.replies += [Reply(id=one.id, state="applied", revision=made.number) for one in found.clean]
        except Conflict:
            continue  # somebody was quicker: looked at again
        return Replies(answers=[*replies, *done, *found.replies])
    raise HTTPException(503, "The job is changed by others faster than this can be saved. Send it again.")


def _operation(one: Sent, who: Who) -> Operation | Reply:
    if not may_write(who.role, one.path):
        return _refused(one.id, f"an edit of {one.path}", f"one that the role {who.role} may make")
    try:
        return Operation(id=one.id, path=one.path, value=one.value, was=one.was)
    except InputError as error:
        return _refused(one.id, str(error))


def _known(store: Store, who: Who, job: str, operations: list[Operation]) -> tuple[list[Reply], list[Operation]]:
    """Answers to what was made before, and what was not."""
    replies, left = [], []
    for one in operations:
        try:
            number = revisions.applied(store, who.firm, job, [one]).get(one.id)
        except StoreError:
            replies.append(_refused(one.id, "another edit under this id", "an id of its own"))
            continue
        if number is None:
            left.append(one)
        else:
            replies.append(Reply(id=one.id, state="applied", revision=number))
    return replies, left


def _fallen(head: Revision, operations: list[Operation]) -> _Round:
    """Make the edits in a copy of what stands, without those whose value cannot stand there."""
    bad: dict[str, Problem] = {}
    while True:
        found = _made(head, [one for one in operations if one.id not in bad])
        worse = _wrong(head, found)
        if not worse:
            break
        bad |= worse
    found.replies += [_refused(id, one.found, one.expected, one.hint) for id, one in bad.items()]
    return found


def _made(head: Revision, operations: list[Operation]) -> _Round:
    found = _Round(record=editing.said(head.text))
    for one in operations:
        now = _standing(found.record, one.path)
        if not any(comparing.same(now, value) for value in (one.was, one.value)):
            found.replies.append(
                Reply(id=one.id, state="conflict", revision=head.number, theirs=now, who=head.who or "somebody else")
            )
            continue
        after = copy.deepcopy(found.record)
        try:
            editing.perform(after, one)
        except InputError as error:
            found.replies.append(_refused(one.id, str(error)))
            continue
        if one.value is not None:  # what was taken out stands nowhere, and no value there is its fault
            found.places[one.id] = _numbered(after, one.path)
        found.record = after
        found.clean.append(one)
    return found


def _wrong(head: Revision, found: _Round) -> dict[str, Problem]:
    """Edits whose value cannot stand where it was put; that other parts, or what it names, are missing is no reason."""
    if not found.clean:
        return {}
    try:
        read_text(editing.operated(head.text, found.clean, found.record), editing.NAME)
    except JobError as error:
        bad: dict[str, Problem] = {}
        for problem in error.problems:
            if problem.found != "nothing" and not problem.later and _is_scalar(found.record, problem.where):
                bad |= {id: problem for id, place in found.places.items() if _within(problem.where, place)}
        return bad
    except StoreError as error:
        last = found.clean[-1]
        return {last.id: Problem(where=last.path, found=str(error), expected="values that a text can say")}
    return {}


def _within(where: str, place: str) -> bool:
    return where == place or where.startswith((f"{place}.", f"{place}["))


def _numbered(record: dict[str, Any], path: str) -> str:
    """A path with entries of lists by their numbers, as problems tell them."""
    told, at = "", record
    for step in parsed(path):
        place = place_in(at, step)
        if place is None and isinstance(at, list):
            before = step.before if isinstance(step, Append) else None
            place = len(at) - 1 if before is None else min(before, len(at) - 1)  # what was added at the end, or put in
        if place is None:
            return told
        told += f"[{place}]" if isinstance(place, int) else f".{place}" if told else place
        at = at[place]  # type: ignore[index]
    return told


def _is_scalar(record: dict[str, Any], path: str) -> bool:
    return isinstance(_standing(record, path), str | int | float)


def _standing(record: dict[str, Any], path: str) -> Any:
    """What stands at a path; None where nothing does, as in the place after the last of a list."""
    try:
        return comparing.reached(record, parsed(path))
    except InputError:
        return None


def _refused(
    id: str, found: str, expected: str = "a part of the job and a value that can stand there", hint: str = ""
) -> Reply:
    return Reply(id=id, state="refused", found=found, expected=expected, hint=hint)


__all__ = ["MOST", "Batch", "Replies", "Reply", "Sent", "router", "take"]
