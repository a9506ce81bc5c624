"""After the job: its proof put in as a file or as text, with photographs, and what it comes to."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, HTTPException, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import HTMLResponse, RedirectResponse, Response

from drainwright.errors import InputError, JobError
from drainwright.job.loading import decode
from drainwright.office.after import SORTS, Recorded, Sort, keep, named_pictures, photographed, recorded
from drainwright.office.after_files import FILES, PDF, asked_of, digest, unrefused
from drainwright.office.answers.asking import Answered, Reply
from drainwright.office.pages.fields import Faults, Form, Sent, first_told
from drainwright.office.pages.job_frame import At, asked, at_job, job_page, without_answer
from drainwright.office.store.files import CameBetween
from drainwright.office.store.opening import Store
from drainwright.office.views.after import proof_page
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
            name = at.job.number or at.job.id
            number = await run_in_threadpool(photographed, store, who, id, name, checkpoint, brought.content, base)
            return RedirectResponse(f"/jobs/{id}/after/proof?saved={number}#photos", 303)
        except InputError as error:
            faults.add("photo", str(error))
        except CameBetween as late:
            return await _late(at, who, store, PROOF, form, late)
    return await _page(at, who, store, PROOF, faults, 422)


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
    reply = await _shown(at, who, store, kept)
    if not isinstance(reply, Answered):
        return without_answer(at, "after", reply)
    shown = reply.shown
    text = (typed.lines("text") if typed is not None else "") or (kept.text if kept else shown.to_prove.starter)
    return job_page(
        at, "after", f"after_{sort.key}.html", status, shown=shown, kept=kept, faults=faults, saved=saved, text=text,
        base=kept.number if kept else 0,
    )  # fmt: skip


async def _shown(at: At, who: Who, store: Store, kept: Recorded | None) -> Reply[Any]:
    text = kept.text if kept else ""
    named = tuple(sorted(await run_in_threadpool(named_pictures, store, who.firm, at.job.id, text)))
    return await asked(at, f"proof {digest(text, named)}", proof_page(text, named))


__all__ = ["router"]
