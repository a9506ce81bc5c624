"""What a job took, held against its plan, and what that teaches the price book."""

from __future__ import annotations

import datetime
import hashlib
from typing import Annotated, Any

from fastapi import APIRouter, HTTPException, Query, Request, Response
from pydantic import BaseModel, Field
from starlette.concurrency import run_in_threadpool

from drainwright.errors import JobError
from drainwright.job.book_file import read_book_text
from drainwright.job.book_text import undone
from drainwright.office.api.shared import Body, JobId, Line, LongText, asked, tagged
from drainwright.office.store.books import PRICES, save_the_book, the_book
from drainwright.office.store.errors import NotThereError
from drainwright.office.store.opening import Store
from drainwright.office.store.records import BookRevision
from drainwright.office.taken import keep, reads_prices, taken, told
from drainwright.office.views.taken import Proposed, beside, proposed
from drainwright.office.who import Asker, OpenStore, Who

router = APIRouter(tags=["what a job took"])
Base = Annotated[int, Field(ge=0, le=1_000_000_000)]
Takes = Annotated[list[Line], Field(max_length=200, default_factory=list)]


class Taken(BaseModel):
    """What is noted of a job."""

    revision: int
    text: str


class TakenSaved(Body):
    """What a job took, as `drainwright actuals` reads it."""

    base: Annotated[Base, Field(description="the revision that it was made of; 0 where nothing was noted")]
    text: LongText


class Saved(BaseModel):
    """The new revision."""

    revision: int


class Accepted(Body):
    """A proposal that is taken over."""

    base: Annotated[Base, Field(description="the price book's revision that was proposed for")]
    noted: Annotated[Base, Field(description="the revision of what the job took")]
    take: Takes


class TakenBack(Body):
    """A learning that is taken back."""

    base: Annotated[Base, Field(description="the price book's newest revision")]
    learning: Annotated[Line, Field(description="its id; empty: the last")] = ""


@router.get("/jobs/{job}/hours", response_model=Taken, summary="What a job took")
def noted(request: Request, who: Asker, store: OpenStore, job: JobId) -> Response:
    """As `drainwright actuals` reads it; without purchases for who may not read prices."""
    kept = taken(store, who.firm, job)
    return tagged(request, Taken(revision=kept.number if kept else 0, text=told(who, kept)))


@router.put("/jobs/{job}/hours", status_code=201, summary="Note what a job took")
def note(who: Asker, store: OpenStore, job: JobId, body: TakenSaved) -> Saved:
    """Of who may not read prices the purchases stay as they were. Where another revision came between: 409."""
    return Saved(revision=keep(store, who, job, body.base, body.text).number)


@router.get("/jobs/{job}/hours/beside", response_model=dict[str, Any], summary="What a job took beside its plan")
async def held(request: Request, who: Asker, store: OpenStore, job: JobId) -> Response:
    """Line by line; costs only for who may read prices."""
    kept = await run_in_threadpool(taken, store, who.firm, job)
    if kept is None:
        raise NotThereError("actuals", job)
    prices = reads_prices(who)
    sums = hashlib.sha256(kept.text.encode()).hexdigest()
    found = await asked(request, store, who, job, None, f"beside {prices} {sums}", beside(kept.text, prices=prices))
    if found.problems:
        raise JobError(found.problems)
    return tagged(request, {"hours": found.hours, "bought": found.bought, "says": found.says})


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
        raise HTTPException(409, f"What the job took is revision {kept.number}; this was proposed of {body.noted}.")
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


def _both(store: Store, who: Who, job: str) -> tuple[BookRevision, BookRevision]:
    kept, book = taken(store, who.firm, job), the_book(store, who.firm, PRICES)
    if kept is None:
        raise NotThereError("actuals", job)
    if book is None:
        raise NotThereError("book", PRICES)
    return book, kept


async def _proposal(
    request: Request, store: Store, who: Who, job: str, book: BookRevision, kept: BookRevision, take: tuple[str, ...]
) -> Proposed:
    day, named = datetime.date.today(), tuple(sorted(take))
    sums = hashlib.sha256(repr((book.text, kept.text, day, named)).encode()).hexdigest()
    view = proposed(book.text, kept.text, day, named)
    found = await asked(request, store, who, job, None, f"learn {sums}", view)
    if found.problems:
        raise JobError(found.problems)
    return found


__all__ = ["router"]
