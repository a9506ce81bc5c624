"""The customer's page behind a private link, and where the firm makes such links."""

from __future__ import annotations

import datetime
from typing import Any

from fastapi import APIRouter, HTTPException, Request
from markupsafe import escape
from starlette.concurrency import run_in_threadpool
from starlette.responses import HTMLResponse, RedirectResponse, Response

from drainwright.office.answers.asking import Answered, Question
from drainwright.office.offering import USUAL, has_run_out, renew, stands_until
from drainwright.office.pages.fields import Faults, Form, Sent
from drainwright.office.pages.job_frame import asked, at_job, job_page, kept_of
from drainwright.office.pages.shell import page
from drainwright.office.questions import firm_words, question_on
from drainwright.office.store import jobs, links
from drainwright.office.store.editing import said
from drainwright.office.store.errors import StoreError
from drainwright.office.store.holding import plain
from drainwright.office.store.opening import Store
from drainwright.office.store.records import Link, Revision
from drainwright.office.store.revisions import revision
from drainwright.office.store.waiting import OFFER
from drainwright.office.views.drawings import svg_of
from drainwright.office.views.offer import Offer, accepting, offer
from drainwright.office.views.picking import part
from drainwright.office.who import Asker, OpenStore

router = APIRouter(default_response_class=HTMLResponse, include_in_schema=False)

LASTS = {"14": "14 days", "30": "30 days", "60": "60 days", "90": "90 days"}
CHANGED = "The offer was changed while this page was open. Read it again before you accept."


@router.get("/jobs/{id}/offer")
async def office_page(request: Request, who: Asker, store: OpenStore, id: str) -> Response:
    """The links of a job, and what was accepted."""
    return await _office(request, who, store, id)


@router.post("/jobs/{id}/offer")
async def make(request: Request, who: Asker, store: OpenStore, id: str, form: Form) -> Response:
    """Make a link, or take one back."""
    address = await run_in_threadpool(_made, request, who, store, id, form)
    return await _office(request, who, store, id, address) if address else RedirectResponse(f"/jobs/{id}/offer", 303)


def _made(request: Request, who: Asker, store: Store, id: str, form: Sent) -> str:
    """Do what the form asks; the address of a link that was made."""
    if taken := form.text("take_back"):
        if all(one.id != taken for one in links.links(store, who.firm, id)):
            raise HTTPException(404)
        links.take_back(store, who.firm, taken, who.name)
        return ""
    if form.text("do") == "renew":
        renew(store, who.firm, id, who.name)
        return ""
    days = form.text("days")
    if days not in LASTS:
        raise HTTPException(422, f"days: found {days!r}; expected one of {', '.join(LASTS)}")
    _, token = links.make_link(store, who.firm, id, OFFER, datetime.timedelta(days=int(days)), who.name)
    if jobs.job(store, who.firm, id).stage == "designed":
        jobs.move_on(store, who.firm, id, "offered", who.name)
    return f"{request.url.scheme}://{request.headers['host']}/c/{token}"


async def _office(request: Request, who: Asker, store: Store, id: str, address: str = "") -> Response:
    now, at = datetime.datetime.now(datetime.UTC), await run_in_threadpool(at_job, id, request, who, store)
    reply = await asked(at, "offer", offer)
    until = stands_until(said(at.now.text))
    made = await run_in_threadpool(links.links, store, who.firm, id)
    found = await run_in_threadpool(jobs.one_listed, store, who.firm, id)
    accepted = await run_in_threadpool(links.acceptances, store, who.firm, id)
    return job_page(
        at, "offer", "offer.html", address=address, lasts=LASTS, until=until, late=has_run_out(until), usual=USUAL,
        links=[(one, one.stands(now)) for one in made if one.purpose == OFFER], accepted=accepted,
        shown=reply.shown if isinstance(reply, Answered) else None, priced=found.priced,
    )  # fmt: skip


@router.get("/c/{token}")
async def customer_page(request: Request, store: OpenStore, token: str) -> Response:
    """The offer, or what was accepted."""
    found = await run_in_threadpool(_behind, store, token)
    if found is None:
        return await run_in_threadpool(_gone, request, store, token)
    return await _customer(request, store, token, found, Sent({}, {}), Faults())


@router.post("/c/{token}")
async def accept(request: Request, store: OpenStore, token: str, form: Form) -> Response:
    """Accept the offer that was read: by its mark, which any change of it changes."""
    found = await run_in_threadpool(_behind, store, token)
    if found is None:
        return await run_in_threadpool(_gone, request, store, token)
    link, now, question = found
    if await run_in_threadpool(_accepted, store, link):
        return RedirectResponse(f"/c/{token}", 303)
    reply = await kept_of(request).ask(question, "offer", offer)
    if (
        not isinstance(reply, Answered)
        or not reply.shown.sound
        or reply.shown.waits
        or has_run_out(stands_until(said(now.text)))
    ):
        return await _customer(request, store, token, found, form, Faults(), 409)
    faults = _faults(form, reply.shown)
    if faults:
        return await _customer(request, store, token, found, form, faults, 409 if faults["offer"] else 422)
    by, key, today = form.text("by"), form.text("choice"), datetime.datetime.now(datetime.UTC).date()
    record = await request.app.state.workers.ask(question, accepting(by, today, key))
    if not isinstance(record, Answered):
        raise HTTPException(500)
    await run_in_threadpool(_keep, store, link, now, by, record.shown)
    return RedirectResponse(f"/c/{token}", 303)


@router.get("/c/{token}/drawings/{name}.svg")
async def picture(request: Request, store: OpenStore, token: str, name: str) -> Response:
    """A picture of the offer."""
    found = await run_in_threadpool(_behind, store, token)
    if found is None:
        raise HTTPException(404)
    kept = kept_of(request)
    told = await kept.ask(found[2], "offer", offer)
    if not isinstance(told, Answered) or all(one.name != name for one in told.shown.pictures):
        raise HTTPException(404)
    reply = await kept.ask(found[2], f"drawing {name}", svg_of(name))
    if not isinstance(reply, Answered) or reply.shown is None:
        raise HTTPException(404)
    return Response(reply.shown, media_type="image/svg+xml")


def _behind(store: Store, token: str) -> tuple[Link, Revision, Question] | None:
    """The link of a token with the job's newest revision; None where it does not stand or leads elsewhere."""
    link = links.link_of(store, token)
    if link is None or link.purpose != OFFER:
        return None
    now = revision(store, link.firm, link.job)
    return link, now, question_on(store, link.firm, link.job, now.text)


def _gone(request: Request, store: Store, token: str) -> Response:
    """That a link leads nowhere; of one that ran out by itself also since when, and whom to ask for another."""
    link = links.link_ever(store, token)
    ran_out = link is not None and link.purpose == OFFER and link.revoked is None
    told = firm_words(store, link.firm) if link is not None and ran_out else None
    since = link.expires if link is not None and ran_out else None
    return page(request, "link_gone.html", 410, firm=told, since=since)


def _accepted(store: Store, link: Link) -> Any:
    """What came by this link, the newest."""
    return next((one for one in links.acceptances(store, link.firm, link.job) if one.link == link.id), None)


def _faults(form: Sent, told: Offer) -> Faults:
    faults = Faults()
    if form.text("mark") != told.mark:
        faults.add("offer", CHANGED)
    if form.text("choice") not in {one.key for one in told.choices}:
        faults.add("choice", "Found nothing chosen; expected one of these.")
    try:
        plain("by", form.text("by"), 200)
    except StoreError as error:
        faults.add("by", f"{error}.")
    if not form.text("by"):
        faults.add("by", "Found nothing; expected your full name, as you sign.")
    if form.text("agreed") != "yes":
        faults.add("agreed", "Tick this to accept.")
    if told.demonstration and form.text("invented") != "yes":
        faults.add("invented", "Tick this to go on with invented prices.")
    return faults


def _keep(store: Store, link: Link, now: Revision, by: str, record: dict[str, Any]) -> None:
    links.accept(store, link.firm, link.job, now.number, by, record, link.id)
    if jobs.job(store, link.firm, link.job).stage in ("designed", "offered"):
        jobs.move_on(store, link.firm, link.job, "accepted", by)


async def _customer(
    request: Request, store: Store, token: str, found: tuple[Link, Revision, Question], form: Sent, faults: Faults,
    status: int = 200,
) -> Response:  # fmt: skip
    link, now, question = found
    until = stands_until(said(now.text))
    done = await run_in_threadpool(_accepted, store, link)
    reply = await kept_of(request).ask(question, "offer", offer)
    if not isinstance(reply, Answered):
        return page(request, "offer_later.html", 503)
    return page(
        request, "customer_offer.html", status, shown=reply.shown, way=f"/c/{token}", link=link, accepted=done,
        until=until, late=has_run_out(until),
        form=form, faults=faults, cited=escape, kind_of=lambda block: type(block).__name__, part=part,
    )  # fmt: skip


__all__ = ["router"]
