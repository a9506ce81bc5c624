"""Photos and papers that hang on a job: checked by what is in them, pictures made anew."""

from __future__ import annotations

import datetime
from pathlib import PurePosixPath
from typing import Annotated

from fastapi import APIRouter, HTTPException, Query, Request, Response
from pydantic import BaseModel

from drainwright.office.after import RECORDS
from drainwright.office.api.shared import Body, Id, JobId, Line, Words, bytes_of, tagged_bytes
from drainwright.office.people.roles import Act, may
from drainwright.office.people.unpriced import sees_prices
from drainwright.office.store import files
from drainwright.office.store.beside import BESIDE, KEPT
from drainwright.office.store.records import Attachment
from drainwright.office.uploads import Upload, checked_upload
from drainwright.office.who import Asker, OpenStore, Who

router = APIRouter(tags=["attachments"])
ANY = "application/octet-stream"
Short = Annotated[str, Query(max_length=200)]


class Hung(BaseModel):
    """What hangs on the job now."""

    attachment: Attachment
    taken: datetime.datetime | None  # by the camera's clock; only where it was asked to be kept
    place: tuple[float, float] | None  # latitude and longitude, likewise


class Described(Body):
    """What is said of an attachment; what is left out stays."""

    pin: Words | None = None
    note: Words | None = None
    kind: Line | None = None
    archived: bool | None = None


@router.get("/jobs/{job}/attachments", summary="What hangs on a job")
def listed(who: Asker, store: OpenStore, job: JobId, archived: bool = False) -> list[Attachment]:
    """The oldest first; what was taken off too, if asked."""
    return list(files.attachments(store, who.firm, job, archived=archived))


@router.post(
    "/jobs/{job}/attachments", status_code=201, summary="Hang a file on a job",
    openapi_extra=bytes_of(ANY),
)  # fmt: skip
async def attach(
    request: Request, who: Asker, store: OpenStore, job: JobId,
    name: Annotated[str, Query(min_length=1, max_length=200)],
    kind: Annotated[str, Query(min_length=1, max_length=40)] = "photo", pin: Short = "",
    note: Annotated[str, Query(max_length=3500)] = "", keep_time: bool = False, keep_place: bool = False,
) -> Hung:  # fmt: skip
    """The bytes alone are sent. JPEG, PNG and WebP are turned upright and encoded anew without what the camera wrote;
    when and where it was taken is kept in the note, and only if asked. PDF and plain text stay as they are.
    """
    from starlette.concurrency import run_in_threadpool

    data = await request.body()
    _not_kept_elsewhere(who, kind)

    def keep() -> Hung:
        found = checked_upload(data, keep_time=keep_time, keep_place=keep_place)
        made = files.attach(
            store, who.firm, job, found.data, name=own_name(name, found), media_type=found.media_type, who=who.name,
            kind=kind, pin=pin, note=noted(note, found),
        )  # fmt: skip
        return Hung(attachment=made, taken=found.taken, place=found.place)

    return await run_in_threadpool(keep)


@router.get("/attachments/{id}", summary="The bytes of an attachment", response_class=Response,
            responses={200: {"content": {ANY: {}}, "description": "As they were kept."}})  # fmt: skip
def content(request: Request, who: Asker, store: OpenStore, id: Id) -> Response:
    """Never run by a browser: pictures are shown, all else is saved."""
    found = files.attachment(store, who.firm, id)
    if found.kind in (BESIDE, KEPT, files.ACTUALS) and not sees_prices(request):
        raise HTTPException(403, f"It takes leave to {Act.PRICES}, which the role {who.role} does not give.")
    shown = "inline" if found.media_type in ("image/jpeg", "image/png") else "attachment"
    kept = {"content-disposition": shown, "content-security-policy": "default-src 'none'; sandbox"}
    return tagged_bytes(request, files.content(store, who.firm, id), found.media_type, **kept)


@router.patch("/attachments/{id}", summary="Say something else of an attachment, or take it off")
def describe(who: Asker, store: OpenStore, id: Id, body: Described) -> Attachment:
    """It stays in the store."""
    _not_kept_elsewhere(who, files.attachment(store, who.firm, id).kind)
    _not_kept_elsewhere(who, body.kind or "")
    return files.describe(store, who.firm, id, who.name, **body.model_dump(exclude_none=True))


def _not_kept_elsewhere(who: Who, kind: str) -> None:
    """What a job took, and what was recorded after it, have addresses of their own; the files that a document names,
    prices among them, are no crew's.
    """
    if kind == files.ACTUALS:
        raise HTTPException(422, "What a job took is noted at `hours` of the job.")
    if kind in RECORDS:
        raise HTTPException(422, "A record of the finished job is saved at `after` of the job.")
    if kind == KEPT:
        raise HTTPException(
            422, "The price book that a job keeps is hung there by the office; `repriced` takes the newest."
        )
    if kind == BESIDE and not may(who.role, Act.EDIT, who.scope):
        raise HTTPException(403, f"It takes leave to {Act.EDIT}, which the role {who.role} does not give.")


def own_name(name: str, found: Upload) -> str:
    """A name that ends as what is in it; of a path only what a job may name: no way up or out."""
    parts = [part for part in PurePosixPath(name.replace("\\", "/")).parts if part not in ("/", "..", ".")]
    plain = "/".join(parts) or "file"
    if found.is_picture or found.media_type == "application/pdf":
        return str(PurePosixPath(plain).with_suffix(found.ending))
    return plain


def noted(note: str, found: Upload) -> str:
    """The note, and below it when and where a picture was taken, where that is kept."""
    lines = [note] if note else []
    if found.taken is not None:
        lines.append(f"Taken {found.taken:%Y-%m-%d %H:%M} by the camera's clock.")
    if found.place is not None:
        lines.append(f"Taken at latitude {found.place[0]}, longitude {found.place[1]}.")
    return "\n".join(lines)


__all__ = ["noted", "own_name", "router"]
