"""What a done job teaches the price book: proposed with reasons, taken over, taken back."""

from __future__ import annotations

import datetime
import hashlib
from typing import Annotated

from fastapi import APIRouter, HTTPException, Query, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import HTMLResponse, RedirectResponse, Response

from drainwright.errors import JobError
from drainwright.job.book_file import read_book_text
from drainwright.job.book_text import undone
from drainwright.office.answers.asking import Answered, Reply
from drainwright.office.pages.fields import Form, first_told
from drainwright.office.pages.job_frame import At, asked, at_job, job_page, without_answer
from drainwright.office.store.books import PRICES, StaleBook, save_the_book, the_book
from drainwright.office.store.records import BookRevision
from drainwright.office.taken import Taken, taken
from drainwright.office.views.taken import Proposed, proposed
from drainwright.office.who import Asker, OpenStore

router = APIRouter(prefix="/firm/learn/{id}", default_response_class=HTMLResponse, include_in_schema=False)

MOST_TAKEN = 200  # tasks and items that are asked for though they lie far off
Take = Annotated[list[str] | None, Query(max_length=MOST_TAKEN)]


@router.get("")
async def propose(
    request: Request, who: Asker, store: OpenStore, id: str, take: Take = None, saved: int | None = None,
    back: int | None = None,
) -> Response:  # fmt: skip
    """What the price book would learn of a job, entry by entry; or what it has learnt."""
    at = await run_in_threadpool(at_job, id, request, who, store)
    return await _page(at, who.firm, store, tuple(take or ()), saved=saved, back=back)


@router.post("")
async def accept(request: Request, who: Asker, store: OpenStore, id: str, form: Form) -> Response:
    """Take over what was proposed, if book and actuals are those that it was made of."""
    at = await run_in_threadpool(at_job, id, request, who, store)
    book = await run_in_threadpool(the_book, store, who.firm, PRICES)
    noted = await run_in_threadpool(taken, store, who.firm, id)
    take = tuple(name.removeprefix("take:") for name in form.texts if name.startswith("take:"))
    if book is None or noted is None:
        raise HTTPException(409, "There is nothing to learn from, or no price book to learn it.")
    if (book.number, noted.number) != (form.number("base"), form.number("noted")):
        return await _page(at, who.firm, store, take, 409, stale="The book or what the job took was changed since.")
    reply = await _proposal(at, book, noted, take)
    if not isinstance(reply, Answered):
        return without_answer(at, "hours", reply)
    if reply.shown.problems or not reply.shown.changes:
        return await _page(at, who.firm, store, take, 422)
    words = f"learnt {reply.shown.learning} from {at.job.number or at.job.title}"[:400]
    try:
        made = await run_in_threadpool(
            save_the_book, store, who.firm, PRICES, book.number, reply.shown.text, who.name, words
        )
    except StaleBook as stale:
        return await _page(at, who.firm, store, take, 409, stale=f"{stale}.")
    return RedirectResponse(f"/firm/learn/{id}?saved={made.number}", 303)


@router.post("/undo")
async def undo(request: Request, who: Asker, store: OpenStore, id: str, form: Form) -> Response:
    """Take a learning back: every entry that it changed is as it was, to the letter."""
    at = await run_in_threadpool(at_job, id, request, who, store)
    book = await run_in_threadpool(the_book, store, who.firm, PRICES)
    if book is None:
        raise HTTPException(409, "There is no price book.")
    try:
        before, learning = undone(read_book_text(book.text, "prices.yaml"), form.text("learning") or None)
        words = f"learning {learning.id} from {learning.job} taken back"
        made = await run_in_threadpool(
            save_the_book, store, who.firm, PRICES, form.number("base"), before.text, who.name, words
        )
    except JobError as error:
        return await _page(at, who.firm, store, (), 409, stale=first_told(error))
    except StaleBook as stale:
        return await _page(at, who.firm, store, (), 409, stale=f"{stale}.")
    return RedirectResponse(f"/firm/learn/{id}?back={made.number}", 303)


async def _proposal(at: At, book: BookRevision, noted: Taken, take: tuple[str, ...]) -> Reply[Proposed]:
    day = datetime.date.today()
    sums = hashlib.sha256(repr((book.text, noted.text, day, sorted(take))).encode()).hexdigest()
    return await asked(at, f"learn {sums}", proposed(book.text, noted.text, day, tuple(sorted(take))))


async def _page(
    at: At, firm: str, store: OpenStore, take: tuple[str, ...], status: int = 200, *, stale: str = "",
    saved: int | None = None, back: int | None = None,
) -> Response:  # fmt: skip
    book = await run_in_threadpool(the_book, store, firm, PRICES)
    noted = await run_in_threadpool(taken, store, firm, at.job.id)
    shown, learnt = Proposed(), None
    if book is not None:
        named = at.job.number or at.job.id
        learnt = next((one for one in read_book_text(book.text).book.learnt if one.job == named), None)
    if book is not None and noted is not None and learnt is None:
        reply = await _proposal(at, book, noted, take)
        if not isinstance(reply, Answered):
            return without_answer(at, "hours", reply)
        shown = reply.shown
    return job_page(
        at, "hours", "learning.html", status, shown=shown, learnt=learnt, take=take, stale=stale, saved=saved,
        back=back, base=book.number if book else 0, noted=noted.number if noted else 0,
    )  # fmt: skip


__all__ = ["router"]
