"""The rain of a job as a file: sent in, and read back."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, HTTPException, Query, Request
from pydantic import BaseModel

from drainwright.office.api.shared import JobId, bytes_of
from drainwright.office.rain import ReadBack, bring, read_back
from drainwright.office.store import revisions
from drainwright.office.store.editing import said
from drainwright.office.store.opening import Store
from drainwright.office.who import Asker, OpenStore

router = APIRouter(tags=["document"])
CSV = "text/csv"


class Brought(BaseModel):
    """The file as it was read, and the revision that names it."""

    revision: int
    file: ReadBack


@router.put("/jobs/{job}/rain", summary="Bring the rain table as a file", openapi_extra=bytes_of(CSV))
async def put_rain(
    request: Request, who: Asker, store: OpenStore, job: JobId,
    name: Annotated[str, Query(min_length=1, max_length=200)] = "rain.csv",
) -> Brought:  # fmt: skip
    """The bytes alone are sent: a depth or intensity table as NOAA Atlas 14 serves it. It is kept with the job, whose
    document then names it in place of a table. What cannot be read is refused with its line and column.
    """
    from starlette.concurrency import run_in_threadpool

    data = await request.body()

    def keep() -> Brought:
        made = bring(store, who.firm, job, name, data, who.name)
        return Brought(revision=made.number, file=_found(store, who.firm, job))

    return await run_in_threadpool(keep)


@router.get("/jobs/{job}/rain", summary="The rain file as it was read")
def rain(who: Asker, store: OpenStore, job: JobId) -> ReadBack:
    """Its bytes are those of the attachment."""
    return _found(store, who.firm, job)


def _found(store: Store, firm: str, job: str) -> ReadBack:
    found = read_back(store, firm, job, said(revisions.revision(store, firm, job).text))
    if found is None:
        raise HTTPException(404, "The job names no rain file that is there and can be read.")
    return found


__all__ = ["router"]
