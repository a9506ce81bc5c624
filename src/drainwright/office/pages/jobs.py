"""The list of jobs, and how a job begins."""

from __future__ import annotations

from collections import defaultdict
from typing import Literal

from fastapi import APIRouter, HTTPException, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from drainwright.errors import JobError
from drainwright.job.loading import decode
from drainwright.job.starter import new_job_text
from drainwright.office.beginning import first_text
from drainwright.office.examples import begin_example, example_of, examples
from drainwright.office.pages.fields import Faults, Form, Sent, first_told
from drainwright.office.pages.shell import page
from drainwright.office.store.errors import NotThereError, StoreError
from drainwright.office.store.holding import plain
from drainwright.office.store.jobs import Listed, listed, open_job
from drainwright.office.store.opening import Store
from drainwright.office.store.packing import unpack
from drainwright.office.store.people import customers
from drainwright.office.store.records import STAGES, Customer, Stage
from drainwright.office.who import Asker, OpenStore, Who

router = APIRouter(default_response_class=HTMLResponse, include_in_schema=False)

STAGE_WORDS: dict[Stage, str] = {
    "called": "First call",
    "visited": "Visited",
    "designed": "Designed",
    "offered": "Offered",
    "accepted": "Accepted",
    "digging": "Being dug",
    "handed over": "Handed over",
    "serviced": "In service",
}
STARTERS = {"US": "Starter in feet and inches", "SI": "Starter in metres"}


@router.get("/")
def home(request: Request, who: Asker, store: OpenStore, q: str = "", away: bool = False) -> Response:
    """Every job by its stage, with what it waits for."""
    found = listed(store, who.firm, q[:200], archived=away)
    by_stage: dict[str, list[Listed]] = defaultdict(list)
    for one in found:
        by_stage[one.job.stage].append(one)
    stages = [(STAGE_WORDS[stage], by_stage[stage]) for stage in STAGES if by_stage[stage]]
    anything = bool(found) or bool(listed(store, who.firm, most=1))
    return page(request, "home.html", stages=stages, q=q, away=away, count=len(found), anything=anything)


@router.get("/jobs/new")
def new_job(request: Request, who: Asker, store: OpenStore, customer: str = "") -> Response:
    """The ways in which a job begins."""
    return _new_page(request, store, who, Sent({"customer": customer}, {}), Faults())


@router.post("/jobs/new")
def begin_job(request: Request, who: Asker, store: OpenStore, form: Form) -> Response:
    """Begin a job: from nothing, from a starter, from an example, or from a file."""
    faults = Faults()
    begin = BEGIN.get(form.text("from"))
    if begin is None:
        raise HTTPException(422, "from: expected nothing, starter, example or file")
    id = begin(store, who, form, faults)
    if id is None:
        return _new_page(request, store, who, form, faults, 422)
    return RedirectResponse(f"/jobs/{id}", 303)


def _from_nothing(store: Store, who: Who, form: Sent, faults: Faults) -> str | None:
    title = form.text("title")
    if not title:
        faults.add("title", "Found nothing; expected a few words by which the job is known.")
    for name in ("title", "address", "town", "number", "customer_name", "phone"):
        try:
            plain(name, form.text(name), 200)
        except StoreError as error:
            faults.add(name, f"{error}.")
    known = _customer(store, who, form)
    if faults:
        return None
    text = _text(store, who, form, known)
    return open_job(store, who.firm, text, who.name, customer=known.id if known else None).id


def _text(store: Store, who: Who, form: Sent, known: Customer | None) -> str:
    """The job's document as far as a first call tells it."""
    name = known.name if known else form.text("customer_name")
    phone = known.phone if known else form.text("phone")
    customer = {"name": name, "phone": phone, "email": known.email if known else ""}
    customer |= {"address": known.address if known else ""}
    units: Literal["US", "SI"] = "SI" if form.text("units") == "SI" else "US"
    place = {"address": form.text("address"), "town": form.text("town")}
    return first_text(
        store, who.firm, form.text("title"), units, number=form.text("number"), customer=customer, place=place,
        notes=form.lines("notes").strip(),
    )  # fmt: skip


def _customer(store: Store, who: Who, form: Sent) -> Customer | None:
    return next((one for one in customers(store, who.firm) if one.id == form.text("customer")), None)


def _from_starter(store: Store, who: Who, form: Sent, faults: Faults) -> str | None:
    if (units := form.text("starter")) not in STARTERS:
        faults.add("starter", "Found none chosen; expected one of these.")
        return None
    return open_job(store, who.firm, new_job_text(units), who.name, "the job was opened from a starter").id


def _from_example(store: Store, who: Who, form: Sent, faults: Faults) -> str | None:
    found = example_of(form.text("example"))
    if found is None:
        faults.add("example", "Found none chosen; expected one of these.")
        return None
    return begin_example(store, who, found).id


def _from_file(store: Store, who: Who, form: Sent, faults: Faults) -> str | None:
    brought = form.files.get("file")
    if brought is None:
        faults.add("file", "Found no file; expected a job's document (.yaml) or a whole job (.zip).")
        return None
    try:
        if brought.content.startswith(b"PK"):
            return unpack(store, who.firm, brought.content, who.name).id
        text = decode(brought.content, brought.name)
        return open_job(store, who.firm, text, who.name, f"the job was opened from the file {brought.name[:200]}").id
    except JobError as error:
        faults.add("file", first_told(error))
    except NotThereError:
        raise
    except StoreError as error:
        faults.add("file", str(error))
    return None


BEGIN = {"nothing": _from_nothing, "starter": _from_starter, "example": _from_example, "file": _from_file}


def _new_page(request: Request, store: Store, who: Who, form: Sent, faults: Faults, status: int = 200) -> Response:
    return page(
        request, "new_job.html", status, form=form, faults=faults, starters=STARTERS, examples=examples(),
        customers=[(one.id, one.name) for one in customers(store, who.firm)],
    )  # fmt: skip


__all__ = ["STAGE_WORDS", "router"]
