"""After the job: its proof, its visits and a season, put in as files, as text or typed, and what they come to."""

from __future__ import annotations

import datetime
import json
from collections.abc import Callable
from typing import Any

from fastapi import APIRouter, HTTPException, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import HTMLResponse, RedirectResponse, Response

from drainwright.errors import InputError, JobError
from drainwright.job.loading import decode, load
from drainwright.office.after import (
    SORTS,
    Recorded,
    Sort,
    blank_proof,
    called,
    edit,
    keep,
    photographed,
    recorded,
    stage_that_follows,
)
from drainwright.office.after_files import FILES, PDF, asked_of, digest, page_view, photos_of, unrefused
from drainwright.office.answers.asking import Answered, Reply
from drainwright.office.pages.after_entries import (
    MORE_FIELDS,
    PARTS,
    UNITS,
    Part,
    blank_season,
    blank_visits,
    label_of,
    noted,
    put,
    season_texts,
    standing,
    take_out,
)
from drainwright.office.pages.fields import Faults, Form, Sent, first_told
from drainwright.office.pages.job_frame import At, asked, at_job, job_page, without_answer
from drainwright.office.pages.jobs import STAGE_WORDS
from drainwright.office.pages.spoken import in_language, language_of
from drainwright.office.season_over import next_jobs, taken_over
from drainwright.office.store.errors import Conflict
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
    request: Request, who: Asker, store: OpenStore, id: str, key: str, saved: int | None = None, change: str = "",
    which: str = "", into: str = "",
) -> Response:  # fmt: skip
    """What the record comes to, and the ways to put it in; with the form of one entry as it was noted."""
    sort = _sort(key)
    at = await run_in_threadpool(at_job, id, request, who, store)
    return await _page(at, who, store, sort, Faults(), saved=saved, chosen=(change, which), into=into)


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


@router.post("/{key}/one")
async def noted_one(request: Request, who: Asker, store: OpenStore, id: str, key: str, form: Form) -> Response:
    """Note one thing of a record, or take it out again."""
    sort = _sort(key)
    at = await run_in_threadpool(at_job, id, request, who, store)
    part, units = PARTS.get(form.text("part")), form.text("units")
    if part is None or part.record != key:
        names = ", ".join(name for name, one in PARTS.items() if one.record == key)
        raise HTTPException(422, f"part: found {form.text('part')!r}; expected one of {names}")
    if units not in UNITS:
        raise HTTPException(422, f"units: found {units!r}; expected US or SI")
    blanks = {
        "proof": blank_proof(called(at.job)), "visits": blank_visits(called(at.job), form.text("in_service")),
        "season": blank_season(called(at.job)),
    }  # fmt: skip
    return await _typed(at, who, store, sort, form, blanks[key], _change(part, form, units))


def _change(part: Part, form: Sent, units: str) -> Callable[[Any], None]:
    entry = part.read(form, units)
    if form.text("out") == "yes" and part.way:
        return lambda tree: take_out(tree, part, entry)
    return lambda tree: put(tree, part, entry)


@router.post("/season/into")
async def take_season_over(request: Request, who: Asker, store: OpenStore, id: str, form: Form) -> Response:
    """Let another job on that street begin with what the season taught."""
    at = await run_in_threadpool(at_job, id, request, who, store)
    sort, into, faults = SORTS["season"], form.text("job"), Faults()
    kept = await run_in_threadpool(recorded, store, who.firm, id, sort)
    reply = await _shown(at, who, store, sort, kept)
    if not isinstance(reply, Answered):
        return without_answer(at, "after", reply)
    try:
        await run_in_threadpool(taken_over, store, who, id, into, reply.shown.into)
        return RedirectResponse(f"/jobs/{id}/after/season?into={into}", 303)
    except JobError as error:
        faults.add("into", first_told(error))
    except Conflict:
        faults.add("into", "Somebody changed that job meanwhile. Look at it, and take it over again.")
    return await _page(at, who, store, sort, faults, 409)


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
                photographed, store, who, id, called(at.job), checkpoint, brought.content, base
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
    typed: Sent | None = None, saved: int | None = None, chosen: tuple[str, str] = ("", ""), into: str = "",
) -> Response:  # fmt: skip
    kept = await run_in_threadpool(recorded, store, who.firm, at.job.id, sort)
    reply = await _shown(at, who, store, sort, kept)
    if not isinstance(reply, Answered):
        missing = without_answer(at, "after", reply)
        missing.status_code = max(status, missing.status_code)  # what was sent and not saved is not told as done
        return missing
    shown = reply.shown
    starter = shown.to_prove.starter if sort.key == "proof" else shown.starter
    text = (typed.lines("text") if typed is not None else "") or (kept.text if kept else starter)
    entries = noted(record := _read(sort, kept), sort.key)
    season = standing(record, PARTS["season"], {}) if sort.key == "season" else None
    opened = next((one for one in entries if (one.part, one.which) == chosen and one.changes), None)
    today = datetime.date.today().isoformat()
    texts = {"on": today, "by": who.name} | (season_texts(season) if season else {})
    form = typed or Sent(texts if opened is None else opened.texts, {})
    next_to_it = await run_in_threadpool(next_jobs, store, who.firm, at.job.id) if season and shown.entry else ()
    others = {one.id: ", ".join(filter(None, (one.title or one.id, one.place))) for one in next_to_it}
    names = shown.to_prove.names if sort.key == "proof" else shown.names
    stage = stage_that_follows(at.job.stage, sort.key, record, passes=getattr(shown, "whole", False))
    return job_page(
        at, "after", f"after_{sort.key}.html", status, shown=shown, kept=kept, faults=faults, saved=saved, text=text,
        names=names.union(others.values(), {who.name}), base=kept.number if kept else 0,
        into=(into, others[into]) if into in others else None,
        twice=lambda names: [(name, name) for name in names],
        form=form, day=today if form.texts is texts else "", noted=entries,
        open_part=form.text("part") if faults["typed"] else opened.part if opened else "",
        season=season_texts(season) if season else None, others=others, dumps=json.dumps,
        parts=_parts(sort, in_language(language_of(at.request))),
        stage=None if stage is None else (stage, STAGE_WORDS[stage], STAGE_WORDS[at.job.stage]),
    )  # fmt: skip


def _parts(sort: Sort, say: Callable[[str], str]) -> dict[str, Any]:
    """What the script of a page tells of the entries of its forms."""
    mine = ((name, one) for name, one in PARTS.items() if one.record == sort.key)
    return {
        name: {"names": one.names, "title": say(one.title), "labels": _labels(name, one, say)} for name, one in mine
    }


def _labels(name: str, part: Part, say: Callable[[str], str]) -> dict[str, str]:
    return {key: say(label_of(name, key)) for key in (*part.keys, *MORE_FIELDS)}


def _read(sort: Sort, kept: Recorded | None) -> dict[str, Any]:
    """The record as plain data; empty where there is none that can be read, and the page says why."""
    if kept is None:
        return {}
    try:
        sort.read(kept.text, sort.file)
    except JobError:
        return {}
    return load(kept.text, sort.file, sort.noun).record


async def _shown(at: At, who: Who, store: Store, sort: Sort, kept: Recorded | None) -> Reply[Any]:
    text = kept.text if kept else ""
    photos = await run_in_threadpool(photos_of, store, who.firm, at.job.id, sort.key, text)
    return await asked(at, f"{sort.key} {digest(text, photos)}", page_view(sort.key, text, photos))


__all__ = ["router"]
