"""What a job took, held against its plan, and what that teaches the price book."""

from __future__ import annotations

import datetime
import hashlib
from typing import Annotated, Any

from fastapi import APIRouter, HTTPException, Query, Request, Response
from pydantic import BaseModel, Field
from starlette.concurrency import run_in_threadpool

from drainwright.errors import JobError, Problem
from drainwright.job.book_file import read_book_text
from drainwright.job.book_text import undone
from drainwright.office.api import plain_views as views
from drainwright.office.api.shared import Body, JobId, Line, LongText, asked, tagged, tagged_bytes
from drainwright.office.store.books import PRICES, save_the_book, the_book
from drainwright.office.store.errors import NotThereError
from drainwright.office.store.files import CameBetween
from drainwright.office.store.opening import Store
from drainwright.office.store.records import BookRevision
from drainwright.office.taken import YAML, Taken, keep, reads_prices, taken, told
from drainwright.office.views.taken import Proposed, beside, proposed
from drainwright.office.who import Asker, OpenStore, Who

router = APIRouter(tags=["what a job took"])
Base = Annotated[int, Field(ge=0, le=1_000_000_000)]
Takes = Annotated[list[Line], Field(max_length=200, default_factory=list)]


class TakenSaved(Body):
    """What a job took, as `drainwright actuals` reads it."""

    base: Annotated[
        int | None,
        Field(ge=0, le=1_000_000_000, description="what it was made of; left out: whatever stands"),
    ] = None
    text: LongText


class Noted(BaseModel):
    """What was saved."""

    number: int


class Saved(BaseModel):
    """The price book's new revision."""

    revision: int


class Accepted(Body):
    """A proposal that is taken over."""

    base: Annotated[Base, Field(description="the price book's revision that was proposed for")]
    noted: Annotated[Base, Field(description="the number of what the job took")]
    take: Takes


class TakenBack(Body):
    """A learning that is taken back."""

    base: Annotated[Base, Field(description="the price book's newest revision")]
    learning: Annotated[Line, Field(description="its id; empty: the last")] = ""


@router.get("/jobs/{job}/hours", summary="What a job took", response_class=Response,
            responses={200: {"content": {YAML: {}}, "description": "Hours, loads and purchases."}})  # fmt: skip
def noted(request: Request, who: Asker, store: OpenStore, job: JobId) -> Response:
    """The newest of what was noted, its number in the header `number`; no purchases for who may not read prices."""
    kept = _kept(store, who, job)
    return tagged_bytes(request, told(who, kept).encode(), YAML, number=str(kept.number))


@router.put("/jobs/{job}/hours", status_code=201, summary="Note what a job took")
def note(who: Asker, store: OpenStore, job: JobId, body: TakenSaved) -> Noted:
    """Of who may not read prices the purchases stay as they were. Where another saving came between: 409."""
    try:
        return Noted(number=keep(store, who, job, body.base, body.text))
    except CameBetween as late:
        raise HTTPException(409, f"{late}.") from None


@router.get("/jobs/{job}/hours/beside", response_model=dict[str, Any], summary="What a job took beside its plan")
async def held(request: Request, who: Asker, store: OpenStore, job: JobId) -> Response:
    """Line by line, in words; costs only for who may read prices."""
    kept = await run_in_threadpool(_kept, store, who, job)
    prices = reads_prices(who)
    sums = hashlib.sha256(kept.text.encode()).hexdigest()
    found = await asked(request, store, who, job, None, f"beside {prices} {sums}", beside(kept.text, prices=prices))
    if found.problems:
        raise JobError(found.problems)
    return tagged(request, {"number": kept.number, "hours": found.hours, "bought": found.bought, "says": found.says})


@router.get("/jobs/{job}/hours/compared", response_model=dict[str, Any], summary="What a job took against its plan")
async def compared(request: Request, who: Asker, store: OpenStore, job: JobId) -> Response:
    """Line by line, as `drainwright actuals --json`; what was not noted is not counted as nothing."""
    kept = await run_in_threadpool(_kept, store, who, job)
    digest = hashlib.sha256(kept.text.encode()).hexdigest()
    made = await asked(request, store, who, job, None, f"api compared {digest}", views.compared(kept.text))
    if "problems" in made:
        raise JobError(tuple(Problem(**one) for one in made["problems"]))
    return tagged(request, made)


@router.get("/learn/{job}", response_model=dict[str, Any], summary="What a job would teach the price book")
async def propose(
    request: Request, who: Asker, store: OpenStore, job: JobId,
    take: Annotated[list[str] | None, Query(max_length=200)] = None,
) -> Response:  # fmt: skip
    """Each change with its reason, and what is left out because it lies far off; `take` names what to take of that."""
    book, kept = await run_in_threadpool(_both, store, who, job)
    found = await _proposal(request, store, who, job, book, kept, tuple(take or ()))
    changes = [one.model_dump(mode="json", exclude={"was", "now"}) for one in found.changes]
    left = [{"what": name, "why": words} for name, words in found.not_taken]
    return tagged(request, {"base": book.number, "noted": kept.number, "changes": changes, "not_taken": left})


@router.post("/learn/{job}", status_code=201, summary="Take over what a job teaches")
async def accept(request: Request, who: Asker, store: OpenStore, job: JobId, body: Accepted) -> Saved:
    """Where the book or what the job took was changed since: 409."""
    book, kept = await run_in_threadpool(_both, store, who, job)
    if body.noted != kept.number:
        raise HTTPException(409, f"What the job took is number {kept.number}; this was proposed of {body.noted}.")
    if body.base != book.number:
        raise HTTPException(409, f"The price book is revision {book.number}; this was proposed for {body.base}.")
    found = await _proposal(request, store, who, job, book, kept, tuple(body.take))
    if not found.changes:
        raise HTTPException(409, "Nothing of it is taken, so that there is nothing to learn.")
    words = f"learnt {found.learning}"
    made = await run_in_threadpool(save_the_book, store, who.firm, PRICES, body.base, found.text, who.name, words)
    return Saved(revision=made.number)


@router.post("/learn/{job}/undo", status_code=201, summary="Take back what was learnt")
def undo(who: Asker, store: OpenStore, job: JobId, body: TakenBack) -> Saved:
    """Every entry that it changed is as it was, to the letter; refused where one was changed since."""
    taken(store, who.firm, job)
    book = the_book(store, who.firm, PRICES)
    if book is None:
        raise NotThereError("book", PRICES)
    before, learning = undone(read_book_text(book.text), body.learning or None)
    words = f"learning {learning.id} from {learning.job} taken back"
    return Saved(revision=save_the_book(store, who.firm, PRICES, body.base, before.text, who.name, words).number)


def _kept(store: Store, who: Who, job: str) -> Taken:
    kept = taken(store, who.firm, job)
    if kept is None:
        raise NotThereError("actuals", job)
    return kept


def _both(store: Store, who: Who, job: str) -> tuple[BookRevision, Taken]:
    kept, book = _kept(store, who, job), the_book(store, who.firm, PRICES)
    if book is None:
        raise NotThereError("book", PRICES)
    return book, kept


async def _proposal(
    request: Request, store: Store, who: Who, job: str, book: BookRevision, kept: Taken, take: tuple[str, ...]
) -> Proposed:
    day, named = datetime.date.today(), tuple(sorted(take))
    sums = hashlib.sha256(repr((book.text, kept.text, day, named)).encode()).hexdigest()
    view = proposed(book.text, kept.text, day, named)
    found = await asked(request, store, who, job, None, f"learn {sums}", view)
    if found.problems:
        raise JobError(found.problems)
    return found


__all__ = ["router"]
