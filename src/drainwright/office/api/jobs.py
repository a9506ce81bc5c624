"""Jobs: listed, begun, moved on, laid away; a whole job out and in as one file."""

from __future__ import annotations

from typing import Annotated, Literal

from fastapi import APIRouter, HTTPException, Query, Request, Response
from pydantic import BaseModel, Field

from drainwright.job.starter import new_job_text
from drainwright.office.api.shared import Body, JobId, Line, LongText, Words, bytes_of, tagged
from drainwright.office.beginning import first_text
from drainwright.office.examples import begin_example, example_of, examples
from drainwright.office.people.roles import Act, may
from drainwright.office.store import diary, jobs
from drainwright.office.store.jobs import MOST_LISTED, Listed
from drainwright.office.store.packing import pack, unpack
from drainwright.office.store.records import Event, Job, Stage
from drainwright.office.who import Asker, OpenStore

router = APIRouter(tags=["jobs"])
ZIP = "application/zip"
OwnId = Annotated[str, Field(pattern=r"^[0-9a-f]{8}(-[0-9a-f]{4}){3}-[0-9a-f]{12}$")]


class FirstTold(Body):
    """What a first visit tells of a job."""

    title: Annotated[str, Field(min_length=1, max_length=200)]
    address: Line = ""
    units: Literal["US", "SI"] = "US"


class Begun(Body):
    """A job to begin."""

    id: OwnId | None = None  # its own for ever, where it began on a device; sent again no second job begins
    first: FirstTold | None = None  # in place of a text

    text: LongText | None = None  # the document; left out: a starter to fill in
    units: Literal["US", "SI"] = "US"  # of the starter
    example: Line = ""  # in place of a text: one of `/examples`
    customer: Annotated[str, Query(max_length=36)] | None = None
    stage: Stage = "called"


class StageOf(Body):
    """How far a job is."""

    stage: Stage
    note: Words = ""  # why; the diary keeps it


class Away(Body):
    """Whether a job is laid away."""

    archived: bool


class CustomerOf(Body):
    """Whose job it is."""

    customer: Annotated[str, Query(max_length=36)] | None


class Note(Body):
    """A line for the diary."""

    kind: Line = "note"
    words: Words


class JobNow(BaseModel):
    """A job, and what it waits for."""

    job: Job
    waits_for: tuple[str, ...]
    priced: tuple[str, ...]  # that its price book has gone on, or has prices that are too old


class ExampleTold(BaseModel):
    """An example job that comes with the program."""

    name: str
    title: str
    words: str


@router.get("/examples", summary="Example jobs to begin from")
def known(who: Asker) -> list[ExampleTold]:
    """Invented houses, each to show something."""
    return [ExampleTold(name=one.name, title=one.title, words=one.words) for one in examples()]


@router.get("/jobs", summary="Jobs, the last changed first")
def listed(
    who: Asker, store: OpenStore, words: Annotated[str, Query(max_length=200)] = "", stage: Stage | None = None,
    archived: bool = False, most: Annotated[int, Query(ge=1, le=MOST_LISTED)] = 100,
    skip: Annotated[int, Query(ge=0, le=1_000_000)] = 0,
) -> list[Listed]:  # fmt: skip
    """All words are looked for in title, number, customer, place and notes."""
    return list(jobs.listed(store, who.firm, words, stage, archived=archived, most=most, skip=skip))


@router.post("/jobs", status_code=201, summary="Begin a job")
def begin(who: Asker, store: OpenStore, body: Begun, response: Response) -> Job:
    """From a document, which may be no whole job yet, an example, or a starter; a crew begins one by `first`."""
    if not may(who.role, Act.EDIT, who.scope) and (body.first is None or body.model_fields_set - {"id", "first"}):
        raise HTTPException(403, f"The role {who.role} begins a job by `first` alone, with an `id` if it likes.")
    if body.example:
        found = example_of(body.example)
        if found is None or body.text is not None:
            raise HTTPException(422, f"example: found {body.example!r}; expected one of `/examples`, and no text")
        begun = begin_example(store, who, found)
        response.headers["location"] = f"/api/v1/jobs/{begun.id}"
        return begun
    if body.first is not None and body.text is not None:
        raise HTTPException(422, "first: found beside a text; expected one of them")
    if body.first is not None:
        told = body.first
        text = first_text(store, who.firm, told.title, told.units, place={"address": told.address})
    else:
        text = new_job_text(body.units) if body.text is None else body.text
    made = jobs.open_job(store, who.firm, text, who.name, customer=body.customer, stage=body.stage, id=body.id)
    response.headers["location"] = f"/api/v1/jobs/{made.id}"
    return made


@router.post(
    "/jobs/import", status_code=201, summary="Take in a whole job from one file",
    openapi_extra=bytes_of(ZIP),
)  # fmt: skip
async def take_in(request: Request, who: Asker, store: OpenStore, response: Response) -> Job:
    """What `/jobs/{job}/whole` gave; all of it or nothing."""
    from starlette.concurrency import run_in_threadpool

    made = await run_in_threadpool(unpack, store, who.firm, await request.body(), who.name)
    response.headers["location"] = f"/api/v1/jobs/{made.id}"
    return made


@router.get("/jobs/{job}", response_model=JobNow, summary="A job and what it waits for")
def read(request: Request, who: Asker, store: OpenStore, job: JobId) -> Response:
    """Its document is at `/jobs/{job}/document`."""
    found = jobs.one_listed(store, who.firm, job)
    return tagged(request, JobNow(job=found.job, waits_for=found.waits_for, priced=found.priced))


@router.get("/jobs/{job}/whole", summary="A whole job as one file", response_class=Response,
            responses={200: {"content": {ZIP: {}}, "description": "Text, revisions, attachments, diary."}})  # fmt: skip
def whole(who: Asker, store: OpenStore, job: JobId) -> Response:
    """With all its revisions and attachments; the same job gives the same bytes."""
    named = {"content-disposition": 'attachment; filename="job.zip"'}
    return Response(pack(store, who.firm, job), media_type=ZIP, headers=named)


@router.put("/jobs/{job}/stage", summary="Say how far a job is")
def stage(who: Asker, store: OpenStore, job: JobId, body: StageOf) -> Job:
    """Its diary tells it, and why."""
    return jobs.move_on(store, who.firm, job, body.stage, who.name, body.note)


@router.put("/jobs/{job}/archived", summary="Lay a job away, or take it out again")
def lay_away(who: Asker, store: OpenStore, job: JobId, body: Away) -> Job:
    """Nothing of it is lost."""
    return jobs.lay_away(store, who.firm, job, who.name, archived=body.archived)


@router.put("/jobs/{job}/customer", summary="Say whose job it is")
def customer(who: Asker, store: OpenStore, job: JobId, body: CustomerOf) -> Job:
    """One of the firm's customers, or nobody."""
    return jobs.give_customer(store, who.firm, job, body.customer, who.name)


@router.get("/jobs/{job}/diary", summary="What happened on a job, the newest first")
def events(who: Asker, store: OpenStore, job: JobId) -> list[Event]:
    """Written by the office itself and by people."""
    return list(diary.diary(store, who.firm, job))


@router.post("/jobs/{job}/diary", status_code=201, summary="Write a line into the diary")
def note(who: Asker, store: OpenStore, job: JobId, body: Note) -> Event:
    """It stays."""
    return diary.note(store, who.firm, job, who.name, body.kind, body.words)


__all__ = ["ZIP", "router"]
