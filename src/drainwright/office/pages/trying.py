"""Other ways and what-ifs: looked at, and taken over as a new revision of the job."""

from __future__ import annotations

import uuid
from collections.abc import Mapping
from typing import Annotated, Any

from fastapi import APIRouter, Depends, HTTPException
from starlette.responses import HTMLResponse, RedirectResponse, Response

from drainwright.job.writing import changed_text
from drainwright.office.answers.asking import Answered
from drainwright.office.pages.job_frame import (
    At,
    answered,
    asked,
    at_job,
    job_page,
    marked,
    tag_of,
    unchanged,
    without_answer,
)  # fmt: skip
from drainwright.office.store import revisions
from drainwright.office.store.editing import Operation
from drainwright.office.store.errors import Conflict
from drainwright.office.views.schemes import draft_of, ways
from drainwright.office.views.what_if import Knob, Knobs, knobs, tried
from drainwright.office.who import Asker, OpenStore

AtJob = Annotated[At, Depends(at_job)]

router = APIRouter(prefix="/jobs/{job}", default_response_class=HTMLResponse, include_in_schema=False)


@router.get("/schemes")
async def schemes_page(at: AtJob, now: bool = False) -> Response:
    """Other ways to drain the lot; their figures come after the page, or with it where ``now`` asks so."""
    if now:
        return await answered(at, "schemes", "schemes.html", "schemes", ways, late="")
    return await answered(at, "schemes", "schemes.html", "knobs", knobs, late=f"{at.way}/schemes/told")


@router.get("/schemes/told")
async def schemes_told(at: AtJob) -> Response:
    """The schemes side by side, as a part of a page."""
    return await answered(at, "schemes", "schemes_told.html", "schemes", ways)


@router.post("/schemes/taken")
async def take_scheme(at: AtJob, who: Asker, store: OpenStore) -> Response:
    """Make a scheme the job's newest revision."""
    form = await at.request.form()
    key, base = str(form.get("key", "")), _base(form)
    before = revisions.revision(store, who.firm, at.job.id, base)
    reply = await asked(at, f"draft {key}", draft_of(key))
    if not isinstance(reply, Answered):
        return without_answer(at, "schemes", reply)
    if reply.shown is None:
        raise HTTPException(404, "There is no such way to drain this lot.")
    if before.sha256 != at.now.sha256:
        return _came_between(at, "schemes", base)
    text = changed_text(before.text, reply.shown.write_into)
    try:
        revisions.save(store, who.firm, at.job.id, base, text, who.name, f"another way taken over: {key}")
    except Conflict:
        return _came_between(at, "schemes", base)
    return RedirectResponse(at.way, 303)


@router.get("/what-if")
async def what_if_page(at: AtJob) -> Response:
    """Sliders, and what comes of them."""
    return await _what_if(at, "what_if.html")


@router.get("/what-if/told")
async def what_if_told(at: AtJob) -> Response:
    """What comes of the sliders, as a part of a page."""
    return await _what_if(at, "what_if_told.html")


async def _what_if(at: At, template: str) -> Response:
    reply = await asked(at, "knobs", knobs)
    if not isinstance(reply, Answered):
        return without_answer(at, "what-if", reply)
    moved = _moved(reply.shown, at.request.query_params)
    tag = tag_of(at, template, sorted(moved.items()))
    same = unchanged(at, tag)
    if same is not None:
        return same
    outcome = None
    if moved:
        changes = {knob.key: knob.steps[moved[knob.name]].typed for knob in reply.shown.knobs if knob.name in moved}
        told = await asked(at, f"what-if {sorted(changes.items())!r}", tried(changes))
        if not isinstance(told, Answered):
            return without_answer(at, "what-if", told)
        outcome = told.shown
    shown = job_page(
        at, "what-if", template, shown=reply.shown, moved=moved, outcome=outcome, changed=_told(reply.shown, moved)
    )
    return marked(shown, tag)


@router.post("/what-if/taken")
async def take_what_if(at: AtJob, who: Asker, store: OpenStore) -> Response:
    """Make a what-if the job's newest revision."""
    form = await at.request.form()
    reply = await asked(at, "knobs", knobs)
    if not isinstance(reply, Answered):
        raise HTTPException(409, "The job cannot be designed as it stands now; open its first page.")
    base, shown = _base(form), reply.shown
    before = revisions.revision(store, who.firm, at.job.id, base)
    if before.sha256 != at.now.sha256:
        return _came_between(at, "what-if", base)
    moved = _moved(shown, {key: str(value) for key, value in form.items()})
    if not moved:
        return RedirectResponse(f"{at.way}/what-if", 303)
    edits = [
        Operation(id=str(uuid.uuid4()), path=knob.path, value=knob.steps[moved[knob.name]].typed)
        for knob in shown.knobs
        if knob.name in moved
    ]
    words = "; ".join(f"{title}: {then}" for title, _, then in _told(shown, moved))
    try:
        revisions.apply(store, who.firm, at.job.id, base, edits, who.name, f"what-if taken over. {words}"[:500])
    except Conflict:
        return _came_between(at, "what-if", base)
    return RedirectResponse(at.way, 303)


def _moved(shown: Knobs, asked_for: Mapping[str, str]) -> dict[str, int]:
    """The step of each input that was moved; what is no step of it is left out."""
    moved = {}
    for knob in shown.knobs:
        text = asked_for.get(knob.name, "")
        if text.isascii() and text.isdigit() and len(text) < 4:
            step = int(text)
            if step < len(knob.steps) and step != knob.now:
                moved[knob.name] = step
    return moved


def _told(shown: Knobs, moved: Mapping[str, int]) -> tuple[tuple[str, str, str], ...]:
    """What was moved, from what, to what."""

    def words(knob: Knob, step: int) -> str:
        return knob.steps[step].words

    return tuple(
        (knob.title, words(knob, knob.now), words(knob, moved[knob.name])) for knob in shown.knobs if knob.name in moved
    )


def _base(form: Mapping[str, Any]) -> int:
    text = str(form.get("base", ""))
    if not (text.isascii() and text.isdigit() and len(text) < 10):
        raise HTTPException(400, "The page sent no revision. Open it anew and send again.")
    return int(text)


def _came_between(at: At, here: str, base: int) -> Response:
    """Somebody saved meanwhile: nothing is taken over, and both can be looked at."""
    return job_page(at, here, "came_between.html", 409, base=base, back=f"{at.way}/{here}")


__all__ = ["router"]
