"""The answer as pages: water, works, storm, dig, price, questions, worksheet; and the drawings on them."""

from __future__ import annotations

import json
from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException
from starlette.concurrency import run_in_threadpool
from starlette.responses import HTMLResponse, Response

from drainwright.office.answers.asking import Answered
from drainwright.office.pages.job_frame import At, answered, asked, at_job, marked, tag_of, unchanged
from drainwright.office.people.unpriced import blotted, sees_prices, without_costs
from drainwright.office.store.jobs import one_listed
from drainwright.office.views.answers import answers
from drainwright.office.views.dig import dig
from drainwright.office.views.drawings import svg_of
from drainwright.office.views.first import first
from drainwright.office.views.price import price
from drainwright.office.views.storm import storm
from drainwright.office.views.storm_play import played
from drainwright.office.views.system import system
from drainwright.office.views.water import water
from drainwright.office.views.worksheet import worksheet
from drainwright.office.who import Asker, OpenStore
from drainwright.results import plain

AtJob = Annotated[At, Depends(at_job)]
HEADS = {
    "water": "Where the water comes from", "system": "What is built", "dig": "The dig and the days",
    "price": "The price",
}  # fmt: skip

router = APIRouter(prefix="/jobs/{job}", default_response_class=HTMLResponse, include_in_schema=False)


@router.get("")
async def first_page(at: AtJob, who: Asker, store: OpenStore) -> Response:
    """What the job is, the answer, what is open, what it costs."""
    found = await run_in_threadpool(one_listed, store, who.firm, at.job.id)
    return await answered(at, "", "job.html", "first", first, waits=found.waits_for, priced=found.priced)


@router.get("/water")
async def water_page(at: AtJob) -> Response:
    """Where the water comes from, and how much."""
    return await answered(at, "water", "answer.html", "water", water, head=HEADS["water"])


@router.get("/system")
async def system_page(at: AtJob) -> Response:
    """What is built."""
    return await answered(at, "system", "answer.html", "system", system, head=HEADS["system"])


@router.get("/dig")
async def dig_page(at: AtJob) -> Response:
    """The digging and the days."""
    return await answered(at, "dig", "answer.html", "dig", dig, head=HEADS["dig"])


@router.get("/price")
async def price_page(at: AtJob) -> Response:
    """The price, for the firm."""
    return await answered(at, "price", "answer.html", "price", price, head=HEADS["price"])


@router.get("/storm")
async def storm_page(at: AtJob) -> Response:
    """The storm, with everything in order and with one thing broken."""
    return await answered(at, "storm", "storm.html", "storm", storm)


@router.get("/answers")
async def answers_page(at: AtJob) -> Response:
    """The 25 questions."""
    return await answered(at, "answers", "questions.html", "answers", answers)


@router.get("/worksheet")
async def worksheet_page(at: AtJob) -> Response:
    """Every formula with its numbers."""
    return await answered(at, "worksheet", "worksheet.html", "worksheet", worksheet)


@router.get("/storm/series")
async def series(at: AtJob, case: str = "sound") -> Response:
    """One case of the storm test, moment by moment, as JSON."""
    tag = tag_of(at, f"series {case}")
    same = unchanged(at, tag)
    if same is not None:
        return same
    reply = await asked(at, f"series {case}", played(case))
    if not isinstance(reply, Answered) or reply.shown is None:
        raise HTTPException(404, "There is nothing to play for this.")
    told = plain(reply.shown)
    body = json.dumps(told if sees_prices(at.request) else without_costs(told), allow_nan=False)
    return marked(Response(body, media_type="application/json"), tag)


@router.get("/drawings/{name}.svg")
async def drawing(at: AtJob, name: str) -> Response:
    """One drawing."""
    tag = tag_of(at, f"drawing {name}")
    same = unchanged(at, tag)
    if same is not None:
        return same
    reply = await asked(at, f"drawing {name}", svg_of(name))
    if not isinstance(reply, Answered) or reply.shown is None:
        raise HTTPException(404, "This job has no such drawing.")
    svg = reply.shown if sees_prices(at.request) else blotted(reply.shown)
    return marked(Response(svg, media_type="image/svg+xml"), tag)


__all__ = ["router"]
