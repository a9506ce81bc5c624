"""Towards the customer: private links, what is accepted, and service after it."""

from __future__ import annotations

import datetime
from typing import Annotated

from fastapi import APIRouter, HTTPException, Query, Request
from pydantic import BaseModel, ConfigDict, Field

from drainwright.office import offering
from drainwright.office.api import plain_views as views
from drainwright.office.api.shared import Body, Id, JobId, Line, asked
from drainwright.office.store import diary, links, revisions
from drainwright.office.store.editing import said
from drainwright.office.store.pricing import reprice
from drainwright.office.store.records import Acceptance, Link, Reminder, Revision
from drainwright.office.who import Asker, OpenStore

router = APIRouter(tags=["offer and after"])


class LinkMade(Body):
    """A link to make."""

    days: Annotated[int, Field(ge=1, le=366)] = 30


class Renewed(Body):
    """For how long an offer is renewed."""

    days: Annotated[int, Field(ge=1, le=366)] = offering.USUAL


class Standing(BaseModel):
    """Until when an offer stands."""

    until: datetime.date | None
    ran_out: bool


class FreshLink(BaseModel):
    """A link with its token, which is told this once."""

    link: Link
    token: str
    path: str


class Signed(Body):
    """What a customer accepts."""

    model_config = ConfigDict(extra="forbid", strict=False)  # dates come as text

    by: Annotated[str, Field(min_length=1, max_length=200)]
    on: datetime.date
    options: Annotated[list[Annotated[str, Field(max_length=100)]], Field(max_length=50, default_factory=list)]
    revision: Annotated[int, Field(ge=1, le=1_000_000_000)]
    demonstration_prices: Annotated[bool, Field(description="go on at the demonstration's prices, and mark it")] = False


class Visit(Body):
    """A visit of service to set."""

    model_config = ConfigDict(extra="forbid", strict=False)

    due: datetime.date
    what: Annotated[Line, Field(min_length=1)]


@router.get("/jobs/{job}/offer", summary="Until when a job's offer stands")
def standing(who: Asker, store: OpenStore, job: JobId) -> Standing:
    """From the day of the visit, for as many days as the document says."""
    until = offering.stands_until(said(revisions.revision(store, who.firm, job).text))
    return Standing(until=until, ran_out=offering.has_run_out(until))


@router.post("/jobs/{job}/offer/renewed", status_code=201, summary="Let a job's offer stand for some days from today")
def renewed(who: Asker, store: OpenStore, job: JobId, body: Renewed) -> Standing:
    """A new revision of the document; its price is that of the books as they are now."""
    made = offering.renew(store, who.firm, job, who.name, body.days)
    until = offering.stands_until(said(made.text))
    return Standing(until=until, ran_out=offering.has_run_out(until))


@router.post("/jobs/{job}/repriced", status_code=201, summary="Price a job with the newest price book")
def repriced(who: Asker, store: OpenStore, job: JobId) -> Revision:
    """A new revision of the same document; an accepted job keeps the prices of the book as it was."""
    return reprice(store, who.firm, job, who.name)


@router.get("/jobs/{job}/links", summary="All links that were made to a job")
def listed(who: Asker, store: OpenStore, job: JobId) -> list[Link]:
    """Those that ran out or were taken back, too."""
    return list(links.links(store, who.firm, job))


@router.post("/jobs/{job}/links", status_code=201, summary="A private link for the customer")
def make(who: Asker, store: OpenStore, job: JobId, body: LinkMade) -> FreshLink:
    """Its token is told this once and kept nowhere."""
    made, token = links.make_link(store, who.firm, job, "offer", datetime.timedelta(days=body.days), who.name)
    return FreshLink(link=made, token=token, path=f"/c/{token}")


@router.delete("/links/{id}", summary="Take a link back")
def take_back(who: Asker, store: OpenStore, id: Id) -> Link:
    """It leads nowhere from now on."""
    return links.take_back(store, who.firm, id, who.name)


@router.get("/jobs/{job}/acceptances", summary="What was accepted of a job")
def acceptances(who: Asker, store: OpenStore, job: JobId) -> list[Acceptance]:
    """With the mark of all that was offered."""
    return list(links.acceptances(store, who.firm, job))


@router.post("/jobs/{job}/acceptances", status_code=201, summary="Write down that the offer is accepted")
async def accept(request: Request, who: Asker, store: OpenStore, job: JobId, body: Signed) -> Acceptance:
    """Of the revision that was offered; written once."""
    from starlette.concurrency import run_in_threadpool

    chosen = tuple(body.options)
    name = f"api acceptance {body.by!r} {body.on} {chosen!r} {body.demonstration_prices}"
    view = views.acceptance_of(body.by, body.on.isoformat(), chosen, body.demonstration_prices)
    found = await asked(request, store, who, job, body.revision, name, view)
    if "refused" in found:
        raise HTTPException(422, f"{found['refused']}.")
    return await run_in_threadpool(links.accept, store, who.firm, job, body.revision, body.by, found["record"])


@router.get("/service", summary="Visits of service, the first due first")
def visits(
    who: Asker, store: OpenStore, job: Annotated[str | None, Query(max_length=36)] = None,
    until: datetime.date | None = None, done: bool = False,
) -> list[Reminder]:  # fmt: skip
    """Of one job or of all, up to a day; those done too if asked."""
    return list(diary.reminders(store, who.firm, job, until, done=done))


@router.post("/jobs/{job}/service", status_code=201, summary="Set a visit of service")
def remind(who: Asker, store: OpenStore, job: JobId, body: Visit) -> Reminder:
    """The diary tells it."""
    return diary.remind(store, who.firm, job, body.due, body.what, who.name)


@router.post("/service/{id}/done", summary="Say that a visit is done")
def served(who: Asker, store: OpenStore, id: Id) -> Reminder:
    """Said again it changes nothing."""
    return diary.served(store, who.firm, id, who.name)


__all__ = ["router"]
