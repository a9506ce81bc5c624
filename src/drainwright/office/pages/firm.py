"""The firm: what its papers say of it, visits of service that are due, the backup."""

from __future__ import annotations

import base64
import datetime
import json
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Annotated, Any

from fastapi import APIRouter, HTTPException, Query, Request
from starlette.background import BackgroundTask
from starlette.responses import FileResponse, HTMLResponse, RedirectResponse, Response

from drainwright.errors import JobError
from drainwright.exchange.logos import logo_of
from drainwright.exchange.shots import FileError
from drainwright.job.firm_file import read_firm_text
from drainwright.office.pages.fields import Faults, Form, Sent, sentence, told
from drainwright.office.pages.shell import page
from drainwright.office.store import diary, jobs
from drainwright.office.store.backing import back_up
from drainwright.office.store.books import SETTINGS, StaleBook, add_book, book_revision, books, save_book
from drainwright.office.store.errors import StoreError
from drainwright.office.store.opening import Store
from drainwright.office.store.records import BookRevision
from drainwright.office.who import Asker, OpenStore, Who

router = APIRouter(prefix="/firm", default_response_class=HTMLResponse, include_in_schema=False)

Asked = Annotated[str, Query(max_length=200)]
ONE_LINE = {
    "name": "Name of the firm", "address": "Address", "phone": "Phone", "email": "Email",
    "licence": "Licence", "insurance": "Insurance", "job_page": "Address of a job's page",
}  # fmt: skip
MANY_LINES = {
    "warranty": "Warranty, as the papers say it", "terms": "Terms", "cancellation": "Notice of cancellation",
}  # fmt: skip
EXCLUSIONS = "exclusions"
PICTURES = (("png", b"\x89PNG"), ("jpeg", b"\xff\xd8\xff"))


@router.get("")
def firm(request: Request, who: Asker, store: OpenStore) -> Response:
    """The ways to all that is the firm's."""
    due = [one for one in diary.reminders(store, who.firm) if one.due <= datetime.date.today()]
    return page(request, "firm.html", due=len(due), local=request.app.state.settings.local)


@router.get("/settings")
def settings(request: Request, who: Asker, store: OpenStore, saved: bool = False) -> Response:
    """What the papers say of the firm."""
    kept = _kept(store, who)
    values = _said(kept.text) if kept else {}
    return _page(request, store, who, Sent(values, {}), Faults(), kept.number if kept else 0, saved=saved)


@router.post("/settings")
def change(request: Request, who: Asker, store: OpenStore, form: Form) -> Response:
    """Keep what the papers say of the firm."""
    faults = Faults()
    kept = _kept(store, who)
    logo = _logo(form, faults, read_firm_text(kept.text).logo if kept else "")
    text = "".join(_lines(form, logo))
    try:
        read_firm_text(text)
    except JobError as error:
        for one in error.problems:
            name = one.where.partition("[")[0]
            faults.add(name, sentence(told(one)))
    if faults:
        return _page(request, store, who, form, faults, form.number("base"), 422)
    try:
        if kept is None:
            add_book(store, who.firm, SETTINGS, "Settings", text, who.name)
        else:
            save_book(store, who.firm, kept.book, form.number("base"), text, who.name)
    except StaleBook as stale:
        faults.add("name", f"{stale}. Yours is still here: look, and save again.")
        return _page(request, store, who, form, faults, stale.theirs.number, 409)
    return RedirectResponse("/firm/settings?saved=true", 303)


@router.get("/logo")
def logo(who: Asker, store: OpenStore) -> Response:
    """The firm's logo."""
    kept = _kept(store, who)
    uri = read_firm_text(kept.text).logo if kept else ""
    if not uri:
        raise HTTPException(404)
    head, _, data = uri.partition(",")
    return Response(base64.b64decode(data), media_type=head.removeprefix("data:").partition(";")[0])


@router.get("/service")
def service(
    request: Request, who: Asker, store: OpenStore, job: Asked = "", due: Asked = "", what: Asked = ""
) -> Response:  # fmt: skip
    """Visits of service, the first due first; a page of a job may say which visit is to be set."""
    return _service_page(request, store, who, Sent({"job": job, "due": due, "what": what}, {}), Faults())


@router.post("/service")
def remind(request: Request, who: Asker, store: OpenStore, form: Form) -> Response:
    """Set a visit, or say that one is done."""
    if done := form.text("done"):
        diary.served(store, who.firm, done, who.name)
        return RedirectResponse("/firm/service", 303)
    faults = Faults()
    try:
        due = datetime.date.fromisoformat(form.text("due"))
    except ValueError:
        faults.add("due", f"Found {form.text('due')!r}; expected a day, like 2027-04-01.")
    if not form.text("what"):
        faults.add("what", "Found nothing; expected what is to be done.")
    if not faults:
        try:
            diary.remind(store, who.firm, form.text("job"), due, form.text("what"), who.name)
        except StoreError as error:
            faults.add("what", f"{error}.")
    if faults:
        return _service_page(request, store, who, form, faults, 422)
    return RedirectResponse("/firm/service", 303)


@router.post("/backup")
def backup(request: Request, who: Asker, store: OpenStore) -> Response:
    """The whole store as one file.

    Raises
    ------
    HTTPException
        403, where the store serves several firms: whoever runs it makes the backups.
    """
    if not request.app.state.settings.local:
        raise HTTPException(403, "Backups of this store are made by whoever runs it.")
    folder = tempfile.TemporaryDirectory(prefix="drainwright-backup-")
    name = f"drainwright-{datetime.datetime.now(datetime.UTC):%Y-%m-%d-%H%M}.sqlite"
    path = Path(folder.name) / name
    back_up(store, path)
    kind = "application/vnd.sqlite3"
    return FileResponse(path, media_type=kind, filename=name, background=BackgroundTask(folder.cleanup))


def _kept(store: Store, who: Who) -> BookRevision | None:
    found = books(store, who.firm, SETTINGS)
    return book_revision(store, who.firm, found[0].id) if found else None


def _said(text: str) -> dict[str, str]:
    """Settings as the fields of the form."""
    told = read_firm_text(text)
    values = {name: str(getattr(told, name)) for name in (*ONE_LINE, *MANY_LINES)}
    return values | {"colour": told.colour, EXCLUSIONS: "\n".join(told.exclusions)}


def _lines(form: Sent, logo: str) -> Iterator[str]:
    yield "schema_version: 1\n"
    values: dict[str, Any] = {name: form.text(name) for name in ONE_LINE}
    values |= {name: form.lines(name).strip() for name in MANY_LINES} | {"colour": form.text("colour"), "logo": logo}
    values[EXCLUSIONS] = [" ".join(line.split()) for line in form.lines(EXCLUSIONS).split("\n") if line.strip()]
    for name, value in values.items():
        if value or name == "name":
            yield f"{name}: {json.dumps(value, ensure_ascii=False)}\n"


def _logo(form: Sent, faults: Faults, before: str) -> str:
    """The new logo as a data URI, or the one that stands."""
    brought = form.files.get("logo")
    if form.text("no_logo"):
        return ""
    if brought is None:
        return before
    kind = next((kind for kind, start in PICTURES if brought.content.startswith(start)), "svg+xml")
    try:
        return logo_of(f"data:image/{kind};base64,{base64.b64encode(brought.content).decode()}")
    except FileError as error:
        faults.add("logo", sentence(told(error.problem)))
        return before


def _page(
    request: Request, store: Store, who: Who, form: Sent, faults: Faults, base: int, status: int = 200, *,
    saved: bool = False,
) -> Response:  # fmt: skip
    kept = _kept(store, who)
    return page(
        request, "settings.html", status, form=form, faults=faults, base=base, saved=saved, one_line=ONE_LINE,
        many_lines=MANY_LINES, has_logo=bool(kept and read_firm_text(kept.text).logo),
    )  # fmt: skip


def _service_page(request: Request, store: Store, who: Who, form: Sent, faults: Faults, status: int = 200) -> Response:
    every = {one.job.id: one.job for one in jobs.listed(store, who.firm)}
    every |= {one.job.id: one.job for one in jobs.listed(store, who.firm, archived=True)}
    rows = [(one, every.get(one.job)) for one in diary.reminders(store, who.firm)]
    chosen = [(id, " · ".join(filter(None, (one.title, one.place)))) for id, one in every.items() if not one.archived]
    return page(
        request, "service.html", status, rows=rows, jobs=chosen, today=datetime.date.today(), form=form, faults=faults
    )


__all__ = ["router"]
