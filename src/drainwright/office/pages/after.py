"""After the job: its proof, its visits and a season, put in as files, as text or typed, and what they come to."""

from __future__ import annotations

import contextlib
import datetime
import json
from collections.abc import Callable
from typing import Any

from fastapi import APIRouter, HTTPException, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import HTMLResponse, RedirectResponse, Response

from drainwright.errors import InputError, JobError
from drainwright.job.loading import decode, load
from drainwright.office.after import SORTS, Recorded, Sort, blank_proof, edit, keep, photographed, recorded
from drainwright.office.after_files import FILES, PDF, asked_of, digest, page_view, photos_of, unrefused
from drainwright.office.answers.asking import Answered, Reply
from drainwright.office.pages.after_entries import (
    UNITS,
    blank_visits,
    proof_entry,
    season_of,
    season_texts,
    visit_of,
    with_proof,
    with_season,
    with_visit,
)
from drainwright.office.pages.fields import Faults, Form, Sent, first_told
from drainwright.office.pages.job_frame import At, asked, at_job, job_page, without_answer
from drainwright.office.store.files import CameBetween
from drainwright.office.store.opening import Store
from drainwright.office.who import Asker, OpenStore, Who

router = APIRouter(prefix="/jobs/{id}/after", default_response_class=HTMLResponse, include_in_schema=False)
PROOF = SORTS["proof"]


@router.get("")
async def first(request: Request, who: Asker, store: OpenStore, id: str) -> Response:
    """What there is of it."""
    at = await run_in_threadpool(at_job, id, request, who, store)
    saved = {key: await run_in_threadpool(recorded, store, who.firm, id, sort) for key, sort in SORTS.items()}
    return job_page(at, "after", "after.html", saved=saved)


@router.get("/files/{name}")
async def one_file(request: Request, who: Asker, store: OpenStore, id: str, name: str) -> Response:
    """A form to fill in, a record as it was saved, or a paper of it."""
    at = await run_in_threadpool(at_job, id, request, who, store)
    found = await run_in_threadpool(asked_of, store, who.firm, id, name)
    content = None if found is None else found.content
    if found is not None and found.view is not None:
        reply = await asked(at, found.name, found.view)
        if not isinstance(reply, Answered):
            return without_answer(at, "after", reply)
        content = unrefused(reply.shown)
    if content is None:
        raise HTTPException(404, "There is no such file after this job, or nothing to make it of yet.")
    kind = FILES[name].kind
    headers = {"content-disposition": f'{"inline" if kind == PDF else "attachment"}; filename="{name}"'}
    return Response(content, media_type=kind, headers={**headers, "cache-control": "private, no-cache"})


@router.get("/{key}")
async def record_page(
    request: Request, who: Asker, store: OpenStore, id: str, key: str, saved: int | None = None
) -> Response:
    """What the record comes to, and the ways to put it in."""
    sort = _sort(key)
    at = await run_in_threadpool(at_job, id, request, who, store)
    return await _page(at, who, store, sort, Faults(), saved=saved)


@router.post("/{key}")
async def put_in(request: Request, who: Asker, store: OpenStore, id: str, key: str, form: Form) -> Response:
    """Save the record, from a file or as it stands in the field."""
    sort = _sort(key)
    at = await run_in_threadpool(at_job, id, request, who, store)
    faults, brought = Faults(), form.files.get("file")
    field = "text" if brought is None else "file"
    try:
        text = form.lines("text") if brought is None else decode(brought.content, brought.name)
        number = await run_in_threadpool(keep, store, who, id, sort, form.number("base"), text)
        return RedirectResponse(f"/jobs/{id}/after/{key}?saved={number}", 303)
    except JobError as error:
        faults.add(field, first_told(error))
    except CameBetween as late:
        return await _late(at, who, store, sort, form, late)
    return await _page(at, who, store, sort, faults, 422, typed=form)


@router.post("/visits/one")
async def visited(request: Request, who: Asker, store: OpenStore, id: str, form: Form) -> Response:
    """Note one visit among the others."""
    at = await run_in_threadpool(at_job, id, request, who, store)
    visit = visit_of(form, _units(form))
    blank = blank_visits(_called(at), form.text("in_service"))
    return await _typed(at, who, store, SORTS["visits"], form, blank, lambda tree: with_visit(tree, visit))


@router.post("/proof/one")
async def proved(request: Request, who: Asker, store: OpenStore, id: str, form: Form) -> Response:
    """Note one thing of the proof: a basin's test, a hose, a run, floats, ground, who signed."""
    at = await run_in_threadpool(at_job, id, request, who, store)
    part = form.text("part")
    entry = proof_entry(form, part, _units(form))
    return await _typed(
        at, who, store, PROOF, form, blank_proof(_called(at)), lambda tree: with_proof(tree, part, entry)
    )


@router.post("/season/days")
async def counted(request: Request, who: Asker, store: OpenStore, id: str, form: Form) -> Response:
    """Note a season's rain and counts."""
    at = await run_in_threadpool(at_job, id, request, who, store)
    season = season_of(form, _units(form))
    blank = f"schema_version: 1\njob: {json.dumps(_called(at), ensure_ascii=False)}\n"
    return await _typed(at, who, store, SORTS["season"], form, blank, lambda tree: with_season(tree, season))


@router.post("/proof/photos")
async def photograph(request: Request, who: Asker, store: OpenStore, id: str, form: Form) -> Response:
    """Hang a photograph on the job, and name it in the record at its checkpoint."""
    at = await run_in_threadpool(at_job, id, request, who, store)
    faults, brought = Faults(), form.files.get("photo")
    if brought is None:
        faults.add("photo", "Found no picture; expected a photograph (JPEG, PNG or WebP).")
    else:
        try:
            checkpoint, base = form.number("checkpoint"), form.number("base")
            number = await run_in_threadpool(
                photographed, store, who, id, _called(at), checkpoint, brought.content, base
            )
            return RedirectResponse(f"/jobs/{id}/after/proof?saved={number}#photos", 303)
        except JobError as error:
            faults.add("photo", first_told(error))
        except InputError as error:
            faults.add("photo", str(error))
        except CameBetween as late:
            return await _late(at, who, store, PROOF, form, late)
    return await _page(at, who, store, PROOF, faults, 422)


async def _typed(
    at: At, who: Who, store: Store, sort: Sort, form: Sent, blank: str, change: Callable[[Any], None]
) -> Response:  # fmt: skip
    """Save what was typed as a change of the record."""
    faults = Faults()
    try:
        number = await run_in_threadpool(edit, store, who, at.job.id, sort, form.number("base"), blank, change)
        return RedirectResponse(f"{at.way}/after/{sort.key}?saved={number}", 303)
    except JobError as error:
        faults.add("typed", first_told(error))
    except CameBetween as late:
        return await _late(at, who, store, sort, form, late)
    return await _page(at, who, store, sort, faults, 422, typed=form)


def _units(form: Sent) -> str:
    units = form.text("units")
    if units not in UNITS:
        raise HTTPException(422, f"units: found {units!r}; expected US or SI")
    return units


def _called(at: At) -> str:
    """What the records of a job call it."""
    return at.job.number or at.job.id


async def _late(at: At, who: Who, store: Store, sort: Sort, form: Sent, late: CameBetween) -> Response:
    faults = Faults()
    faults.add("late", f"{late}. Look at what stands now, and save again.")
    return await _page(at, who, store, sort, faults, 409, typed=form)


def _sort(key: str) -> Sort:
    if key not in SORTS:
        raise HTTPException(404, "There is no such page after a job.")
    return SORTS[key]


async def _page(
    at: At, who: Who, store: Store, sort: Sort, faults: Faults, status: int = 200, *,
    typed: Sent | None = None, saved: int | None = None,
) -> Response:  # fmt: skip
    kept = await run_in_threadpool(recorded, store, who.firm, at.job.id, sort)
    reply = await _shown(at, who, store, sort, kept)
    if not isinstance(reply, Answered):
        return without_answer(at, "after", reply)
    shown = reply.shown
    starter = shown.to_prove.starter if sort.key == "proof" else shown.starter
    text = (typed.lines("text") if typed is not None else "") or (kept.text if kept else starter)
    return job_page(
        at, "after", f"after_{sort.key}.html", status, shown=shown, kept=kept, faults=faults, saved=saved, text=text,
        base=kept.number if kept else 0, twice=lambda names: [(name, name) for name in names],
        form=typed or Sent(_texts(who, sort, kept), {}),
    )  # fmt: skip


def _texts(who: Who, sort: Sort, kept: Recorded | None) -> dict[str, str]:
    """The typed form as it opens."""
    if sort.key == "season" and kept is not None:
        with contextlib.suppress(JobError):  # of what cannot be read the form stays empty, and the page says why
            sort.read(kept.text, sort.file)
            return season_texts(load(kept.text, sort.file, sort.noun).record)
    return {"on": datetime.date.today().isoformat(), "by": who.name}


async def _shown(at: At, who: Who, store: Store, sort: Sort, kept: Recorded | None) -> Reply[Any]:
    text = kept.text if kept else ""
    photos = await run_in_threadpool(photos_of, store, who.firm, at.job.id, sort.key, text)
    return await asked(at, f"{sort.key} {digest(text, photos)}", page_view(sort.key, text, photos))


__all__ = ["router"]
