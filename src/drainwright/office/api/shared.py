"""What the routers of the API share: how refusals are documented, tags, answers of the workers."""

from __future__ import annotations

import hashlib
import json
from typing import Annotated, Any

from fastapi import HTTPException, Path, Query, Request, Response
from fastapi.encoders import jsonable_encoder
from pydantic import BaseModel, ConfigDict, StringConstraints

from drainwright.errors import JobError
from drainwright.office.answers.asking import Answered, Refused, Shown, TooLong, View
from drainwright.office.answers.shown import Kept
from drainwright.office.people.signing import WINDOW
from drainwright.office.people.unpriced import sees_prices, without_costs
from drainwright.office.questions import question_of
from drainwright.office.store.limits import tried
from drainwright.office.store.opening import Store
from drainwright.office.who import Who

MOST_ASKED = 600  # designs that one person has made in a quarter of an hour
JobId = Annotated[str, Path(min_length=1, max_length=36, description="id of a job")]
Id = Annotated[str, Path(min_length=1, max_length=36)]
Number = Annotated[int, Path(ge=1, le=1_000_000_000, description="of a revision")]
OfRevision = Annotated[int | None, Query(ge=1, le=1_000_000_000, description="left out: the newest")]
Line = Annotated[str, StringConstraints(max_length=200)]
Words = Annotated[str, StringConstraints(max_length=4000)]
LongText = Annotated[str, StringConstraints(max_length=2_000_000)]


class Body(BaseModel):
    """What is sent as JSON; names that are not known are refused."""

    model_config = ConfigDict(extra="forbid", strict=True)


class Fault(BaseModel):
    """One thing that is wrong with what was sent."""

    where: str
    found: str = ""
    expected: str
    hint: str = ""
    file: str = ""  # where it is not the job's document
    line: int | None = None  # counted from 1
    column: int | None = None


class Problem(BaseModel):
    """Problem details (RFC 9457)."""

    type: str
    title: str
    status: int
    detail: str
    errors: list[Fault] = []


_WORDS = {
    400: "What was sent is no JSON.",
    401: "Nobody has signed in, or the token does not stand.",
    403: "The form token is missing, or the role or the token does not allow it.",
    404: "The firm has no such thing.",
    409: "Something came between, or stands against it; where it is a text, with the base, theirs, mine and the paths.",
    413: "More than is taken.",
    415: "A kind of file that is not taken.",
    422: "Some of it cannot be used; `errors` says where, what was found and what would be right.",
    429: "Too often; `retry-after` says how long to wait.",
    503: "The design took too long, and was stopped.",
}
REFUSALS: dict[int | str, dict[str, Any]] = {
    status: {
        "description": words,
        "model": Problem,
        "content": {"application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}}},
    }
    for status, words in _WORDS.items()
}


def bytes_of(media_type: str) -> dict[str, Any]:
    """How a body that is no JSON is documented."""
    content = {media_type: {"schema": {"type": "string", "format": "binary"}}}
    return {"requestBody": {"required": True, "content": content}}


def tagged(request: Request, record: Any) -> Response:
    """A record as JSON with its tag, without costs for who may not see them; 304 where the asker has it."""
    told = jsonable_encoder(record)
    if not sees_prices(request):
        told = without_costs(told)
    body = json.dumps(told, ensure_ascii=False, separators=(",", ":"), allow_nan=False).encode()
    return tagged_bytes(request, body, "application/json")


def tagged_bytes(request: Request, body: bytes, media_type: str, **headers: str) -> Response:
    """Bytes with their tag; 304 where the asker has them."""
    tag = f'"{hashlib.sha256(body).hexdigest()[:32]}"'
    kept = {"etag": tag, "cache-control": "private, no-cache", **headers}
    known = {one.strip().removeprefix("W/") for one in request.headers.get("if-none-match", "").split(",")}
    if tag in known or "*" in known:
        return Response(status_code=304, headers=kept)
    return Response(body, media_type=media_type, headers=kept)


async def asked(
    request: Request, store: Store, who: Who, job: str, revision: int | None, name: str, view: View[Shown]
) -> Shown:
    """What a job's design shows, kept or made by a worker.

    Raises
    ------
    HTTPException
        429 after too many, 500 where the design broke, 503 where it took too long.
    JobError
        If the document cannot be designed as it stands.
    NotThereError
        If the firm has no such job or revision.
    """
    from starlette.concurrency import run_in_threadpool

    question = await run_in_threadpool(question_of, store, who.firm, job, revision)
    kept = kept_answers(request)
    if kept.has(question, name) is None and not request.app.state.settings.local:
        wait = await run_in_threadpool(tried, store, f"designs of {who.person}", MOST_ASKED, WINDOW)
        if wait:
            raise HTTPException(429, "Too many designs were asked for.", {"retry-after": str(wait)})
    reply = await kept.ask(question, name, view)
    if isinstance(reply, Answered):
        return reply.shown
    if isinstance(reply, Refused):
        raise JobError(reply.problems)
    if isinstance(reply, TooLong):
        raise HTTPException(503, f"The design took longer than {reply.seconds:g} s and was stopped.")
    raise HTTPException(500, f"The program broke at {reply.stage or 'this design'}; the document may be right.")


def kept_answers(request: Request) -> Kept:
    """The app's kept answers, the same that the pages have."""
    from drainwright.office.pages.job_frame import kept_of

    return kept_of(request)


__all__ = [
    "REFUSALS", "Body", "Id", "JobId", "Line", "LongText", "Number", "OfRevision", "Problem", "Words", "asked",
    "bytes_of", "kept_answers", "tagged", "tagged_bytes",
]  # fmt: skip
