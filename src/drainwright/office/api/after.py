"""After the job: the records of its proof, its visits and a season, and what each comes to."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, HTTPException, Path, Request, Response
from pydantic import BaseModel, Field
from starlette.concurrency import run_in_threadpool

from drainwright.errors import JobError, Problem
from drainwright.office.after import SORTS, YAML, Recorded, keep, recorded
from drainwright.office.after_files import FILES, asked_of, digest, page_view, photos_of, plain_view, unrefused
from drainwright.office.api.shared import Body, JobId, LongText, asked, tagged, tagged_bytes
from drainwright.office.season_over import taken_over
from drainwright.office.store.errors import Conflict, NotThereError
from drainwright.office.store.files import CameBetween
from drainwright.office.store.opening import Store
from drainwright.office.who import Asker, OpenStore, Who

router = APIRouter(prefix="/jobs/{job}/after", tags=["after the job"])
Key = Literal["proof", "visits", "season"]


class RecordSaved(Body):
    """A record as the command line reads it."""

    base: Annotated[
        int | None,
        Field(
            ge=0, le=1_000_000_000, description="number of what it was made of, 0 for none; left out: whatever stands"
        ),
    ] = None
    text: LongText


class Saved(BaseModel):
    """What was saved."""

    number: int


@router.get("/{record}", summary="A record after the job", response_class=Response,
            responses={200: {"content": {YAML: {}}, "description": "As it was saved."}})  # fmt: skip
def saved(request: Request, who: Asker, store: OpenStore, job: JobId, record: Key) -> Response:
    """The newest, its number in the header `number`."""
    kept = _kept(store, who, job, record)
    return tagged_bytes(request, kept.text.encode(), YAML, number=str(kept.number))


@router.put("/{record}", status_code=201, summary="Save a record after the job")
def save(who: Asker, store: OpenStore, job: JobId, record: Key, body: RecordSaved) -> Saved:
    """Those before it stay, as attachments. Where another saving came between: 409."""
    try:
        return Saved(number=keep(store, who, job, SORTS[record], body.base, body.text))
    except CameBetween as late:
        raise HTTPException(409, f"{late}.") from None


class Into(Body):
    """Another job on the street of a season."""

    job: Annotated[str, Field(min_length=1, max_length=36, description="its id")]


@router.post("/season/into", status_code=201, summary="Let another job begin with what a season taught")
async def take_season_over(request: Request, who: Asker, store: OpenStore, job: JobId, body: Into) -> Saved:
    """Its `ground.conductivity` is then what the season's page has for the next job, as a revision of that job, whose
    number is told. 422 where the season teaches nothing, or the soil of that lot was measured; 409 where it was
    changed meanwhile.
    """
    kept = await run_in_threadpool(_kept, store, who, job, "season")
    view, name = page_view("season", kept.text, ()), f"season {digest(kept.text, ())}"
    shown = await asked(request, store, who, job, None, name, view)
    try:
        made = await run_in_threadpool(taken_over, store, who, job, body.job, shown.into)
    except Conflict:
        raise HTTPException(409, "That job was changed meanwhile. Nothing was written.") from None
    return Saved(number=made.number)


@router.get("/{record}/told", response_model=dict[str, Any], summary="What a record after the job comes to")
async def told(request: Request, who: Asker, store: OpenStore, job: JobId, record: Key) -> Response:
    """As the command line tells it with `--json`; a photograph that does not hang on the job proves nothing."""
    kept = await run_in_threadpool(_kept, store, who, job, record)
    photos = await run_in_threadpool(photos_of, store, who.firm, job, record, kept.text)
    view = plain_view(record, kept.text, photos)
    made = await asked(request, store, who, job, None, f"api {record} {digest(kept.text, photos)}", view)
    if "problems" in made:
        raise JobError(tuple(Problem(**one) for one in made["problems"]))
    return tagged(request, {"number": kept.number, **made})


@router.get("/files/{name}", summary="A form, a record or a paper after the job", response_class=Response,
            responses={200: {"content": {"*/*": {}}, "description": "Its bytes."}})  # fmt: skip
async def one_file(
    request: Request, who: Asker, store: OpenStore, job: JobId,
    name: Annotated[str, Path(min_length=1, max_length=100)],
) -> Response:  # fmt: skip
    """One of `proof-form.pdf`, `proof-form-es.pdf`, `proof-blank.yaml`, `proof.yaml`, `proof.pdf`, `as-built.json`,
    `service.yaml`, `service.pdf`, `service-checklist.pdf`, `service-checklist-es.pdf`, `season.yaml`.
    """
    found = await run_in_threadpool(asked_of, store, who.firm, job, name)
    content = None if found is None else found.content
    if found is not None and found.view is not None:
        content = unrefused(await asked(request, store, who, job, None, found.name, found.view))
    if content is None:
        raise HTTPException(404, f"Found no {name!r} after this job, or nothing to make it of yet.")
    return tagged_bytes(request, content, FILES[name].kind, **{"content-disposition": f'attachment; filename="{name}"'})


def _kept(store: Store, who: Who, job: str, record: str) -> Recorded:
    kept = recorded(store, who.firm, job, SORTS[record])
    if kept is None:
        raise NotThereError(SORTS[record].noun, job)
    return kept


__all__ = ["router"]
