"""Drafts and saves of the plan: edits by path on a revision, and the steps that can be undone."""

from __future__ import annotations

import copy
import json
import re
from collections.abc import Sequence
from dataclasses import asdict, dataclass, replace
from functools import lru_cache
from typing import Any, Literal

from drainwright.errors import Problem
from drainwright.office.answers.asking import Answered, Question, Refused, Reply
from drainwright.office.answers.workers import Workers
from drainwright.office.facts.spoken import spoken, told_apart
from drainwright.office.plan.bare import bare, known_points
from drainwright.office.plan.drawn import Drawn, drawn, drawn_early, drawn_laid
from drainwright.office.plan.things import lists_of, things_of
from drainwright.office.questions import question_on
from drainwright.office.store import revisions
from drainwright.office.store.comparing import same
from drainwright.office.store.editing import Operation, faults_of, operated, perform, said
from drainwright.office.store.errors import StoreError
from drainwright.office.store.opening import Store
from drainwright.office.store.records import Revision

Far = Literal["laid", "priced", "proven"]  # how far a draft is designed

STEPS = 200  # that can be undone after the page is opened anew
_STEP = re.compile(r"(?P<way>[dur])(?P<step>[0-9a-f]{12})\.[0-9a-f]{8}-[0-9]{1,4}(\.[0-9]{1,4})?")

Way = Literal["d", "u", "r"]  # done, undone, done again


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """Edits that were made at one stroke, and are undone at one."""

    id: str
    operations: tuple[dict[str, Any], ...]


@lru_cache(maxsize=64)
def _said(digest: str, text: str) -> dict[str, Any]:
    return said(text)


def record_of(revision: Revision) -> dict[str, Any]:
    """What a revision says; a copy of one's own."""
    return copy.deepcopy(_said(revision.sha256, revision.text))


def drafted(revision: Revision, operations: Sequence[Operation]) -> dict[str, Any]:
    """What a revision says with edits made.

    Raises
    ------
    InputError
        If a path leads nowhere.
    """
    record = record_of(revision)
    for one in operations:
        perform(record, one)
    return record


async def asked(
    store: Store, workers: Workers, firm: str, job: str, record: dict[str, Any], *, far: Far = "proven"
) -> Reply[Drawn]:
    """The design of a draft, as the plan shows it: as far as its lines, as its price, or whole."""
    question: Question = replace(question_on(store, firm, job, json.dumps(record)), name="job.json", made=True)
    if far == "laid":
        return await workers.ask_laid(question, drawn_laid)
    return await (workers.ask_early(question, drawn_early) if far == "priced" else workers.ask(question, drawn))


def shown(record: dict[str, Any], reply: Reply[Drawn]) -> dict[str, Any]:
    """A draft's answer in plain parts: the things and what was designed, or why it was not."""
    if isinstance(reply, Answered):
        known = {point.name: point.at for point in reply.shown.points}
        things = [asdict(thing) for thing in things_of(record, known)]
        return {"things": things, "lists": lists_of(record), "drawn": asdict(reply.shown)}
    if isinstance(reply, Refused):
        known = known_points(record)
        things = [asdict(thing) for thing in things_of(record, known)]
        problems = [_told(one, record) for one in told_apart(reply.problems)]
        return {"things": things, "lists": lists_of(record), "bare": bare(record, known), "problems": problems}
    return {"problems": [{"where": "", "found": "", "expected": "", "hint": _broken(reply)}]}


def _told(problem: Problem, record: dict[str, Any]) -> dict[str, str]:
    words = spoken(problem, record)
    return {
        "where": problem.where, "found": problem.found, "expected": problem.expected, "hint": problem.hint,
        "title": words.title, "words": words.words, "page": words.page,
    }  # fmt: skip


def _broken(reply: Any) -> str:
    if hasattr(reply, "seconds"):
        return f"No answer came in {reply.seconds:.0f} s. Undo the last change, or try again."
    return "The design broke down on this state. Undo the last change; nothing is lost."


def saved(
    store: Store, firm: str, job: str, base: int, operations: Sequence[Operation], who: str, what: str = ""
) -> Revision:
    """Save edits of the plan; where they lead back to what an earlier revision said, to its very text.

    Raises
    ------
    Conflict
        If somebody else changed the same.
    StoreError
        If the job would no longer be whole.
    """
    head = revisions.revision(store, firm, job)
    if head.number == base and any(one.id.startswith("u") for one in operations):
        record = drafted(head, operations)
        for older in revisions.history(store, firm, job)[1 : STEPS + 1]:
            if same(_said(older.sha256, older.text), record):
                return revisions.save(
                    store, firm, job, base, older.text, who, what or f"back to revision {older.number}", operations
                )
    if head.number == base:
        text = operated(head.text, operations, drafted(head, operations))
        files = {one.name: one.content for one in question_on(store, firm, job, text).files}
        faults = faults_of(text, files)
        if faults and not faults_of(head.text, files):
            raise StoreError(f"the job would no longer be whole: {faults[0]}")
    return revisions.apply(store, firm, job, base, operations, who, what)


def steps_of(store: Store, firm: str, job: str) -> tuple[list[Step], list[Step]]:
    """The steps that stand, the oldest first, and those that were undone, the next to do again last.

    Only what the plan did is told: a revision saved otherwise ends the list.
    """
    done: list[Step] = []
    undone: list[Step] = []
    for one in _with_steps(revisions.history(store, firm, job)):
        for way, step in _groups(one):
            match way:
                case "u" if done and done[-1].id == step.id:
                    undone.append(done.pop())
                case "r" if undone and undone[-1].id == step.id:
                    done.append(undone.pop())
                case _:
                    done.append(step)
                    undone.clear()
    return done[-STEPS:], undone[-STEPS:]


def _with_steps(newest_first: Sequence[Revision]) -> list[Revision]:
    """The newest revisions that the plan made, each on the one before, the oldest first."""
    found: list[Revision] = []
    for one in newest_first:
        ids = [str(operation.get("id", "")) for operation in one.operations]
        if not ids or not all(_STEP.fullmatch(id) for id in ids) or one.merged is not None:
            break
        found.append(one)
    return found[::-1]


def _groups(revision: Revision) -> list[tuple[str, Step]]:
    grouped: dict[str, tuple[str, str, list[dict[str, Any]]]] = {}
    for operation in revision.operations:
        id = str(operation["id"])
        match = _STEP.fullmatch(id)
        if match is None:
            continue
        key = id.rpartition("-")[0]
        grouped.setdefault(key, (match["way"], match["step"], []))[2].append(dict(operation))
    return [(way, Step(id=step, operations=tuple(made))) for way, step, made in grouped.values()]


__all__ = ["Step", "asked", "drafted", "record_of", "saved", "shown", "steps_of"]
