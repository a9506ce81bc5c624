"""The document of a job: read, saved on the revision it was made of, compared, restored."""

from __future__ import annotations

import datetime
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request, Response
from pydantic import BaseModel

from drainwright.office.api.shared import Body, JobId, LongText, Number, OfRevision, Words, tagged, tagged_bytes
from drainwright.office.store import revisions
from drainwright.office.store.records import Revision
from drainwright.office.who import Asker, OpenStore

router = APIRouter(tags=["document"])
YAML = "application/yaml"
Of = Annotated[int, Query(ge=1, le=1_000_000_000)]


class Saved(Body):
    """A document to save."""

    base: Annotated[int, Query(ge=1, le=1_000_000_000)]  # the revision that it was made of
    text: LongText
    what: Words = ""  # what changed, in words; left out: the paths that changed
    merge: bool = False  # bring it together with what came between, where the two do not overlap


class Restored(Body):
    """A revision to make the newest."""

    number: Annotated[int, Query(ge=1, le=1_000_000_000)]


class Told(BaseModel):
    """A revision without its text."""

    number: int
    parent: int | None
    merged: int | None
    sha256: str
    who: str
    at: datetime.datetime
    what: str
    problems: tuple[str, ...]


class Difference(BaseModel):
    """One part that differs."""

    path: str
    kind: str
    old: Any
    new: Any
    words: str


@router.get("/jobs/{job}/document", response_model=Revision, summary="The document of a job")
def document(request: Request, who: Asker, store: OpenStore, job: JobId, revision: OfRevision = None) -> Response:
    """With why it is no whole job yet, if it is none."""
    return tagged(request, revisions.revision(store, who.firm, job, revision))


@router.get("/jobs/{job}/document.yaml", summary="The document as it stands", response_class=Response,
            responses={200: {"content": {YAML: {}}, "description": "The text."}})  # fmt: skip
def text(request: Request, who: Asker, store: OpenStore, job: JobId, revision: OfRevision = None) -> Response:
    """The text alone, with its comments."""
    found = revisions.revision(store, who.firm, job, revision)
    return tagged_bytes(
        request, found.text.encode(), YAML, **{"content-disposition": 'attachment; filename="job.yaml"'}
    )


@router.put("/jobs/{job}/document", status_code=201, summary="Save the document")
def save(who: Asker, store: OpenStore, job: JobId, body: Saved, response: Response) -> Revision:
    """A new revision. Where another came between: 409 with `base`, `theirs`, `mine` and the paths that each changed.
    The same text again is no new revision (200).
    """
    keep = revisions.merge if body.merge else revisions.save
    made = keep(store, who.firm, job, body.base, body.text, who.name, body.what)
    if made.number == body.base:
        response.status_code = 200
    response.headers["location"] = f"/api/v1/jobs/{job}/revisions/{made.number}"
    return made


@router.get("/jobs/{job}/revisions", summary="All revisions, the newest first")
def history(who: Asker, store: OpenStore, job: JobId) -> list[Told]:
    """Without their texts."""
    names = Told.model_fields
    return [Told(**{name: getattr(one, name) for name in names}) for one in revisions.history(store, who.firm, job)]


@router.get("/jobs/{job}/revisions/{number}", response_model=Revision, summary="One revision with its text")
def one(request: Request, who: Asker, store: OpenStore, job: JobId, number: Number) -> Response:
    """It never changes."""
    return tagged(request, revisions.revision(store, who.firm, job, number))


@router.get("/jobs/{job}/compare", summary="What changed from one revision to another")
def compare(who: Asker, store: OpenStore, job: JobId, old: Of, new: Of) -> list[Difference]:
    """By path, with words for people."""
    found = revisions.compare(store, who.firm, job, old, new)
    return [Difference(path=one.path, kind=one.kind, old=one.old, new=one.new, words=str(one)) for one in found]


@router.post("/jobs/{job}/restore", status_code=201, summary="Make an old revision the newest")
def restore(who: Asker, store: OpenStore, job: JobId, body: Restored) -> Revision:
    """All that came between stays in the history."""
    return revisions.restore(store, who.firm, job, body.number, who.name)


__all__ = ["router"]
