"""The plan of a job: the page, and what its script asks."""

from __future__ import annotations

import base64
from dataclasses import asdict
from typing import Annotated, Any

from fastapi import APIRouter, Depends, HTTPException, Path, Request
from pydantic import BaseModel, ConfigDict, Field
from starlette.concurrency import run_in_threadpool
from starlette.responses import JSONResponse, Response

from drainwright.office.answers.asking import Answered
from drainwright.office.answers.workers import Workers
from drainwright.office.errors import answer
from drainwright.office.pages.job_frame import At, at_job, job_page
from drainwright.office.people.unpriced import job_without_costs, sees_prices, without_costs
from drainwright.office.plan.drafts import Far, asked, drafted, record_of, saved, shown, steps_of
from drainwright.office.plan.drawn import picture_of
from drainwright.office.questions import question_of
from drainwright.office.store.comparing import reached
from drainwright.office.store.editing import UNSAID, Operation, said
from drainwright.office.store.errors import Conflict, NotThereError, StoreError
from drainwright.office.store.jobs import job as job_of
from drainwright.office.store.paths import parsed
from drainwright.office.store.revisions import MOST_OPERATIONS, revision
from drainwright.office.who import Asker, OpenStore, Who
from drainwright.paper.looks import UTILITY

router = APIRouter(include_in_schema=False)
JobId = Annotated[str, Path(max_length=64)]


class Edit(BaseModel):
    """One edit, by path."""

    model_config = ConfigDict(extra="forbid")
    id: str = Field(min_length=1, max_length=36)
    path: str = Field(min_length=1, max_length=300)
    value: Any = None
    was: Any = UNSAID

    def operation(self) -> Operation:
        """As the store takes it."""
        told = {"was": self.was} if "was" in self.model_fields_set else {}
        return Operation(id=self.id, path=self.path, value=self.value, **told)


class Edits(BaseModel):
    """Edits made on a revision."""

    model_config = ConfigDict(extra="forbid")
    base: int = Field(ge=1, le=10_000_000)
    operations: list[Edit] = Field(max_length=MOST_OPERATIONS)


class Tried(Edits):
    """Edits that are not saved."""

    far: Far = Field(default="proven", description="how far it is designed: lines and grades, the price too, or all")


def _workers(request: Request) -> Workers:
    workers: Workers = request.app.state.workers
    return workers


AtWork = Annotated[Workers, Depends(_workers)]


def _there(store: OpenStore, who: Who, id: str) -> None:
    try:
        job_of(store, who.firm, id)
    except NotThereError:
        raise HTTPException(404, "There is no such job in this firm.") from None


def _seen(request: Request, told: dict[str, Any]) -> dict[str, Any]:
    """What is told of a plan, to whoever asks: of the job's own texts none is changed, since edits must fit on them."""
    if sees_prices(request):
        return told
    plain: dict[str, Any] = job_without_costs(told)
    return {**plain, "drawn": without_costs(plain["drawn"])} if "drawn" in plain else plain


@router.get("/jobs/{job}/plan", include_in_schema=False)
def plan(at: Annotated[At, Depends(at_job)]) -> Response:
    """The page; its script draws."""
    return job_page(at, "plan", "plan.html")


@router.get("/api/v1/jobs/{id}/plan", summary="The plan of a job: its things, the design, and the steps to undo")
async def state(request: Request, id: JobId, store: OpenStore, workers: AtWork, who: Asker) -> JSONResponse:
    """All that the plan page begins with."""
    _there(store, who, id)
    head = revision(store, who.firm, id)
    record = record_of(head)
    reply = await asked(store, workers, who.firm, id, record)
    done, undone = steps_of(store, who.firm, id)
    told = await run_in_threadpool(shown, record, reply)
    body = {
        "revision": head.number, "units": record.get("units", "US"),
        "record": record, "utilities": UTILITY,
        "done": [asdict(one) for one in done], "undone": [asdict(one) for one in undone], **told,
    }  # fmt: skip
    return JSONResponse(_seen(request, body))


@router.post("/api/v1/jobs/{id}/plan/draft", summary="The design with edits that are not saved")
async def draft(
    id: JobId, edits: Tried, request: Request, store: OpenStore, workers: AtWork, who: Asker
) -> JSONResponse:
    """What the plan would show; nothing is saved."""
    _there(store, who, id)
    try:
        before = revision(store, who.firm, id, edits.base)
    except NotThereError:
        raise HTTPException(404, f"The job has no revision {edits.base}.") from None
    record = drafted(before, [one.operation() for one in edits.operations])
    if await request.is_disconnected():  # a later draft is on its way
        return JSONResponse({"superseded": True})
    reply = await asked(store, workers, who.firm, id, record, far=edits.far)
    told = await run_in_threadpool(shown, record, reply)
    return JSONResponse(_seen(request, told))


@router.post("/api/v1/jobs/{id}/plan/save", summary="Save edits of the plan as a revision")
def save(id: JobId, edits: Edits, request: Request, store: OpenStore, who: Asker) -> Response:
    """Save; 409 with both sides where somebody else changed the same."""
    _there(store, who, id)
    try:
        made = saved(store, who.firm, id, edits.base, [one.operation() for one in edits.operations], who.name)
    except Conflict as conflict:
        theirs = said(conflict.theirs.text)
        both = [
            {"path": path, "theirs": _stands(theirs, path), "mine": _asked(edits, path)}
            for path in conflict.overlapping
        ]
        return answer(
            request, 409, f"{conflict.theirs.who} saved revision {conflict.theirs.number} meanwhile.",
            revision=conflict.theirs.number, who=conflict.theirs.who, both=both,
        )  # fmt: skip
    except StoreError as error:
        return answer(request, 422, str(error))
    return JSONResponse({"revision": made.number})


@router.get("/jobs/{id}/plan/picture", include_in_schema=False)
async def picture(id: JobId, store: OpenStore, workers: AtWork, who: Asker) -> Response:
    """The picture under the plan."""
    _there(store, who, id)
    reply = await workers.ask(question_of(store, who.firm, id), picture_of)
    if not isinstance(reply, Answered) or reply.shown is None:
        raise HTTPException(404, "This job has no picture under its plan.")
    kind, _, content = reply.shown.removeprefix("data:").partition(";base64,")
    return Response(base64.b64decode(content), media_type=kind)


def _stands(record: dict[str, Any], path: str) -> Any:
    try:
        return reached(record, parsed(path))
    except ValueError:
        return None


def _asked(edits: Edits, path: str) -> Any:
    found = [one.value for one in edits.operations if one.path == path]
    return found[-1] if found else None


__all__ = ["router"]
