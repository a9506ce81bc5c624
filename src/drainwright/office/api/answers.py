"""The answer: what a job's design tells, its papers, what else could be done and what if."""

from __future__ import annotations

import json
import re
from typing import Annotated, Any, Literal

from fastapi import APIRouter, HTTPException, Path, Request, Response
from pydantic import Field

from drainwright.office.api import plain_views as views
from drainwright.office.api.shared import Body, JobId, OfRevision, asked, tagged, tagged_bytes
from drainwright.office.people.unpriced import OTHERS, blotted, may_read_paper, reads_paper, sees_prices
from drainwright.office.views.papers import paper
from drainwright.office.who import Asker, OpenStore

router = APIRouter(prefix="/jobs/{job}", tags=["answer"])
TYPES = {
    ".pdf": "application/pdf", ".svg": "image/svg+xml", ".dxf": "image/vnd.dxf", ".csv": "text/csv; charset=utf-8",
    ".json": "application/json", ".ics": "text/calendar; charset=utf-8",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
}  # fmt: skip
Key = Annotated[str, Field(min_length=1, max_length=200)]


class Changes(Body):
    """What to try: values by dotted key, as they would be typed in the document."""

    changes: Annotated[dict[Key, Any], Field(min_length=1, max_length=20)]
    revision: Annotated[int, Field(ge=1, le=1_000_000_000)] | None = None


@router.get("/design", response_model=dict[str, Any], summary="Sound or not, price, what fails, what is to be measured")
async def summary(request: Request, who: Asker, store: OpenStore, job: JobId, revision: OfRevision = None) -> Response:
    """In words as the first page has them; all figures are at `results`."""
    return tagged(request, await asked(request, store, who, job, revision, "api summary", views.summary))


@router.get("/results", response_model=dict[str, Any], summary="Every result, in SI")
async def results(request: Request, who: Asker, store: OpenStore, job: JobId, revision: OfRevision = None) -> Response:
    """What `drainwright design --json` prints."""
    return tagged(request, await asked(request, store, who, job, revision, "api results", views.results))


@router.get("/findings", response_model=list[Any], summary="All checks of the design")
async def findings(request: Request, who: Asker, store: OpenStore, job: JobId, revision: OfRevision = None) -> Response:
    """Those that came out well, too."""
    return tagged(request, await asked(request, store, who, job, revision, "api findings", views.findings))


@router.get("/answers", response_model=list[Any], summary="25 questions and their answers")
async def answers(
    request: Request, who: Asker, store: OpenStore, job: JobId, revision: OfRevision = None,
    reader: Literal["office", "customer", "crew"] = "office",
) -> Response:  # fmt: skip
    """As one of three readers is told them."""
    name = f"api answers {reader}"
    return tagged(request, await asked(request, store, who, job, revision, name, views.answers(reader)))


@router.get("/storm", response_model=list[Any], summary="The storm test: all cases, without their series")
async def storm(request: Request, who: Asker, store: OpenStore, job: JobId, revision: OfRevision = None) -> Response:
    """Nothing broken, then one thing broken at a time."""
    return tagged(request, await asked(request, store, who, job, revision, "api storm", views.storm))


@router.get(
    "/storm/{key}", response_model=dict[str, Any], summary="One case with its series, and what would prevent it"
)
async def storm_case(
    request: Request, who: Asker, store: OpenStore, job: JobId,
    key: Annotated[str, Path(min_length=1, max_length=100)], revision: OfRevision = None,
) -> Response:  # fmt: skip
    """By its key, like `pump dead`."""
    found = await asked(request, store, who, job, revision, f"api storm {key!r}", views.storm_case(key))
    if found is None:
        raise HTTPException(404, f"Found no case {key!r} of this storm test; expected one that it lists.")
    return tagged(request, found)


@router.get("/options", response_model=dict[str, Any], summary="The options of the offer, each designed")
async def options(request: Request, who: Asker, store: OpenStore, job: JobId, revision: OfRevision = None) -> Response:
    """What each costs more, and what it is good for."""
    return tagged(request, await asked(request, store, who, job, revision, "api options", views.options))


@router.get("/schemes", response_model=dict[str, Any], summary="Really different ways to drain the lot, side by side")
async def schemes(
    request: Request, who: Asker, store: OpenStore, job: JobId, revision: OfRevision = None, redraw: bool = False
) -> Response:
    """With `redraw`, laid out anew though runs are drawn."""
    name = f"api schemes {redraw}"
    return tagged(request, await asked(request, store, who, job, revision, name, views.schemes(redraw)))


@router.post("/what-if", response_model=dict[str, Any], summary="What a change of any input does")
async def what_if(request: Request, who: Asker, store: OpenStore, job: JobId, body: Changes) -> Response:
    """Nothing is saved."""
    name = f"api what if {json.dumps(body.changes, sort_keys=True)}"
    return tagged(request, await asked(request, store, who, job, body.revision, name, views.changed(body.changes)))


@router.get("/days", response_model=list[str], summary="The crew's working days")
async def days(request: Request, who: Asker, store: OpenStore, job: JobId, revision: OfRevision = None) -> Response:
    """None where no first day is set."""
    return tagged(request, await asked(request, store, who, job, revision, "api days", views.days))


@router.get("/papers", response_model=list[str], summary="The papers by file name")
async def papers(request: Request, who: Asker, store: OpenStore, job: JobId, revision: OfRevision = None) -> Response:
    """Documents, drawings, the order, results; those without prices for who may not see them."""
    names = await asked(request, store, who, job, revision, "api papers", views.paper_names)
    return tagged(request, [name for name in names if reads_paper(request, name)])


@router.get("/papers/{name}", summary="One paper", response_class=Response,
            responses={200: {"content": {"*/*": {}}, "description": "Its bytes."}})  # fmt: skip
async def one_paper(
    request: Request, who: Asker, store: OpenStore, job: JobId,
    name: Annotated[str, Path(min_length=1, max_length=100)], revision: OfRevision = None,
) -> Response:  # fmt: skip
    """The same bytes that `drainwright papers` writes."""
    may_read_paper(request, name)
    kind = TYPES.get(name[name.rfind(".") :]) if re.fullmatch(r"[a-z0-9-]+\.[a-z]+", name) else None
    made = None if kind is None else await asked(request, store, who, job, revision, f"paper {name}", paper(name))
    if made is None or kind is None:
        raise HTTPException(404, f"Found no paper {name!r} of this job; expected one that it lists.")
    kept = {"content-disposition": f'attachment; filename="{name}"'}
    if kind == TYPES[".svg"]:
        kept["content-security-policy"] = "default-src 'none'; style-src 'unsafe-inline'; sandbox"
    content = made.content
    if name.endswith(OTHERS) and not sees_prices(request):
        content = blotted(content.decode()).encode()
    return tagged_bytes(request, content, kind, **kept)


__all__ = ["TYPES", "router"]
