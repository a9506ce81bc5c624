"""The photographs and files that hang on a job: seen, said something else of, taken off."""

from __future__ import annotations

from fastapi import APIRouter, HTTPException, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from drainwright.office.after import RECORDS
from drainwright.office.pages.fields import Form
from drainwright.office.pages.job_frame import at_job, job_page
from drainwright.office.store import files
from drainwright.office.store.beside import BESIDE, KEPT
from drainwright.office.store.records import Attachment
from drainwright.office.who import Asker, OpenStore

router = APIRouter(prefix="/jobs/{id}/photos", default_response_class=HTMLResponse, include_in_schema=False)

OWN_PLACES = frozenset({*RECORDS, BESIDE, KEPT, files.ACTUALS})  # kinds that have pages of their own
PICTURES = ("image/jpeg", "image/png", "image/webp")


def shown_here(one: Attachment) -> bool:
    """Whether an attachment stands on this page: photographs, sketches and papers, not the records of other pages."""
    return one.kind not in OWN_PLACES


@router.get("")
def photos(request: Request, who: Asker, store: OpenStore, id: str, off: bool = False) -> Response:
    """What hangs on the job, the newest first; ``off``: what was taken off."""
    hung = [one for one in files.attachments(store, who.firm, id, archived=True) if shown_here(one)]
    there = [one for one in reversed(hung) if one.archived is off]
    return job_page(
        at_job(id, request, who, store), "photos", "photos.html", off=off, pictured=PICTURES,
        pictures=[one for one in there if one.media_type in PICTURES],
        others=[one for one in there if one.media_type not in PICTURES],
        taken_off=sum(one.archived for one in hung),
    )  # fmt: skip


@router.post("")
def describe(who: Asker, store: OpenStore, id: str, form: Form) -> Response:
    """Say something else of one, take it off, or hang it up again."""
    one = files.attachment(store, who.firm, form.text("attachment"))
    if one.job != id or not shown_here(one):
        raise HTTPException(404, "There is no such photograph at this job.")
    away = form.text("away")
    if away in ("yes", "no"):
        files.describe(store, who.firm, one.id, who.name, archived=away == "yes")
        return RedirectResponse(f"/jobs/{id}/photos", 303)
    files.describe(store, who.firm, one.id, who.name, pin=form.text("pin"), note=form.text("note"))
    return RedirectResponse(f"/jobs/{id}/photos#{one.id}", 303)


__all__ = ["photos", "router"]
