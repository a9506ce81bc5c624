"""The job's document as text, saved on the revision it was made of; where two changed the same, a person chooses."""

from __future__ import annotations

import tempfile
import threading
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from drainwright.errors import JobError, Problem
from drainwright.job.beside import lay_beside
from drainwright.job.reading import read_text
from drainwright.office.answers.asking import Question
from drainwright.office.answers.worker import digest
from drainwright.office.pages.fields import Form
from drainwright.office.pages.history import part_words, value_words
from drainwright.office.pages.job_frame import at_job, job_page
from drainwright.office.questions import question_on
from drainwright.office.store import comparing, editing, revisions
from drainwright.office.store.errors import Conflict
from drainwright.office.store.opening import Store
from drainwright.office.store.records import Revision
from drainwright.office.who import Asker, OpenStore, Who

router = APIRouter(prefix="/jobs/{id}", default_response_class=HTMLResponse, include_in_schema=False)

MOST_KNOWN = 256
_KNOWN: dict[str, tuple[Problem, ...]] = {}  # by document and files
_LOCK = threading.Lock()


@dataclass(frozen=True, slots=True)
class Side:
    """One part that two people changed: what stood, what somebody else made of it, and what is to be saved."""

    path: str
    words: str
    base: str
    theirs: str
    mine: str


@router.get("/text")
def text(request: Request, who: Asker, store: OpenStore, id: str, saved: int | None = None) -> Response:
    """The newest revision's document, with its problems beside it."""
    found = revisions.revision(store, who.firm, id)
    return _text_page(request, store, who, id, found.text, found.number, saved=saved)


@router.post("/text")
def save(request: Request, who: Asker, store: OpenStore, id: str, form: Form) -> Response:
    """Save the document, check it without saving, or settle a conflict."""
    typed, base = form.lines("text"), form.number("base")
    if form.text("do") == "check":
        return _text_page(request, store, who, id, typed, base, what=form.text("what"))
    try:
        if form.text("do") == "chosen":
            made = _settle(store, who, id, form, typed, base)
        else:
            made = revisions.merge(store, who.firm, id, base, typed, who.name, form.text("what"))
    except JobError as error:
        return _text_page(request, store, who, id, typed, base, 422, what=form.text("what"), unread=error.problems)
    except Conflict as conflict:
        return _conflict_page(request, store, who, id, conflict)
    return RedirectResponse(f"/jobs/{id}/text?saved={made.number}", 303)


def _text_page(
    request: Request, store: Store, who: Who, id: str, typed: str, base: int, status: int = 200, *, what: str = "",
    saved: int | None = None, unread: tuple[Problem, ...] = (),
) -> Response:  # fmt: skip
    problems = unread or problems_of(question_on(store, who.firm, id, typed))
    return job_page(
        at_job(id, request, who, store), "text", "text.html", status, text=typed, base=base, what=what, saved=saved,
        problems=problems, unread=bool(unread), lines=[*typed.split("\n"), ""],
    )  # fmt: skip


def problems_of(question: Question) -> tuple[Problem, ...]:
    """What keeps a document from being a whole job, by its lines; the files that it names lie beside it."""
    name = digest(question)
    with _LOCK:
        known = _KNOWN.pop(name, None)
    found = _read(question) if known is None else known
    with _LOCK:
        _KNOWN[name] = found
        while len(_KNOWN) > MOST_KNOWN:
            _KNOWN.pop(next(iter(_KNOWN)))  # asked for longest ago
    return found


def _read(question: Question) -> tuple[Problem, ...]:
    with tempfile.TemporaryDirectory(prefix="drainwright-") as folder:
        try:
            lay_beside({one.name: one.content for one in question.files}, Path(folder))
            read_text(question.text, question.name, Path(folder))
        except JobError as error:
            return tuple(sorted(error.problems, key=lambda one: (one.line is None, one.line or 0)))
    return ()


def _conflict_page(request: Request, store: Store, who: Who, id: str, conflict: Conflict) -> Response:
    return job_page(
        at_job(id, request, who, store), "text", "conflict.html", 409, base=conflict.base, theirs=conflict.theirs,
        mine=conflict.mine, sides=sides_of(conflict), theirs_only=_only(conflict.theirs_changed, conflict),
        mine_only=_only(conflict.mine_changed, conflict),
    )  # fmt: skip


def _only(paths: tuple[str, ...], conflict: Conflict) -> list[str]:
    both = set(conflict.overlapping)
    return [part_words(path) for path in paths if path not in both]


def sides_of(conflict: Conflict) -> list[Side]:
    """The parts that both changed, each as it stood, as it stands, and as it was to be."""
    records = [editing.said(text) for text in (conflict.base.text, conflict.theirs.text, conflict.mine)]
    found = []
    for path in conflict.overlapping:
        told = [value_words(_at(record, path)) if _there(record, path) else "" for record in records]
        found.append(Side(path, part_words(path), *told))
    return found


def _at(record: Mapping[str, object], path: str) -> object:
    return comparing.reached(record, editing.settled(record, path))


def _there(record: Mapping[str, object], path: str) -> bool:
    try:
        _at(record, path)
    except ValueError:
        return False
    return True


def _settle(store: Store, who: Who, id: str, form: Form, mine: str, base: int) -> Revision:
    """Save what the person chose by path.

    Raises
    ------
    Conflict
        If somebody saved once more while the person was choosing.
    """
    paths = {name.removeprefix("path"): path for name, path in form.texts.items() if name.startswith("path")}
    chosen = {path: form.text(f"side{number}") == "mine" for number, path in paths.items()}
    return revisions.settle(store, who.firm, id, base, form.number("theirs"), mine, chosen, who.name)


__all__ = ["problems_of", "router", "sides_of"]
