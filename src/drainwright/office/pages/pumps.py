"""The firm's pumps: listed, added, changed, taken from a table and given out as one."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from drainwright.errors import JobError
from drainwright.job.loading import decode
from drainwright.job.pump_file import read_pumps
from drainwright.job.pump_table import (
    COLUMNS,
    POINT,
    Units,
    cells_of,
    merged,
    points_of,
    pump_of,
    pump_words,
    pumps_csv,
    units_of,
    with_pump,
)
from drainwright.job.works import Pump
from drainwright.office.pages.fields import Faults, Form, Sent, first_told, sentence, told
from drainwright.office.pages.history import attached
from drainwright.office.pages.shell import page
from drainwright.office.store.books import PUMPS, StaleBook, book_history, book_revision, save_the_book, the_book
from drainwright.office.store.errors import NotThereError
from drainwright.office.store.opening import Store
from drainwright.office.store.records import BookRevision
from drainwright.office.who import Asker, OpenStore, Who
from drainwright.quantities import Kind

router = APIRouter(prefix="/firm/pumps", default_response_class=HTMLResponse, include_in_schema=False)

NAME = "pumps.csv"
LABELS = {
    "power": "Power on its label", "port": "Discharge, nominal", "band": "On minus off, where the float fixes it",
    "off": "Water left at off", "starts": "Most starts",
    "switch": "Starts that its switch lasts", "current": "Current", "solids": "Largest solids",
    "weight": "Weight", "input": "Power drawn", "price": "Price",
}  # fmt: skip
UNITS = {"hp": "horsepower", "W": "watts", "in": "inches", "mm": "millimetres", "A": "amperes",
         "lb": "pounds", "kg": "kilograms"}  # fmt: skip
FLOATS = [("integral", "integral"), ("wide angle", "wide angle"), ("adjustable", "adjustable")]
_FIELDS = {field: word for word, field, *_ in COLUMNS} | {"curve": "points", "was": "name"}
_BARE = re.compile(r"[0-9][0-9./ -]*")


@router.get("")
def pumps(request: Request, who: Asker, store: OpenStore, saved: int | None = None) -> Response:
    """All pumps of the firm."""
    return _page(request, store, who, Sent({}, {}), Faults(), saved=saved)


@router.get("/one")
def one(request: Request, who: Asker, store: OpenStore, name: str = "") -> Response:
    """A pump to change, or a new one."""
    kept = the_book(store, who.firm, PUMPS)
    units = units_of(kept.text) if kept else "US"
    texts = {"base": str(kept.number if kept else 0), "was": name, "units": units}
    if name:
        found = next((each for each in _all(kept) if each.name == name), None)
        if found is None:
            raise NotThereError("pump", name)
        lines = "\n".join(", ".join(point) for point in points_of(found, units))
        texts |= {"name": found.name, "points": lines, **cells_of(found, units)}
    return _one_page(request, Sent(texts, {}), Faults(), kept is None)


@router.post("/one")
def keep(request: Request, who: Asker, store: OpenStore, form: Form) -> Response:
    """Keep a pump; all others stay as they are."""
    kept, faults = the_book(store, who.firm, PUMPS), Faults()
    units = units_of(kept.text) if kept else "SI" if form.text("units") == "SI" else "US"
    before, was = _all(kept), form.text("was")
    after: Sequence[Pump] = before
    try:
        if form.text("do") == "remove":
            after, words = [each for each in before if each.name != was], f"{was} taken out"
            if not after:
                faults.add("name", "Found no other pump; expected one to stay, as jobs name this catalogue.")
        else:
            made = pump_of(_values(form, units), units)
            after, words = with_pump(before, made, was), made.name
    except JobError as error:
        for each in error.problems:
            field = each.where.partition("[")[0].partition(".")[0]
            faults.add(_FIELDS.get(field, field), sentence(told(each)))
    if faults:
        return _one_page(request, form, faults, kept is None, 422)
    try:
        made_of = save_the_book(store, who.firm, PUMPS, form.number("base"), pumps_csv(after, units), who.name, words)
    except StaleBook as stale:
        faults.add("book", f"{stale}. Yours is still here: look, and save again.")
        again = Sent({**form.texts, "base": str(stale.theirs.number)}, {})
        return _one_page(request, again, faults, False, 409)
    return RedirectResponse(f"/firm/pumps?saved={made_of.number}", 303)


@router.post("/import")
def bring(request: Request, who: Asker, store: OpenStore, form: Form) -> Response:
    """Take pumps from a table: beside those that are there, or in place of them all."""
    kept, faults = the_book(store, who.firm, PUMPS), Faults()
    brought = form.files.get("file")
    if brought is None:
        faults.add("file", "Found no file; expected a table of pumps (.csv).")
        return _page(request, store, who, form, faults, 422)
    try:
        table = decode(brought.content, brought.name)
        come = read_pumps(table, brought.name, units_of(table))
    except JobError as error:
        faults.add("file", first_told(error))
        return _page(request, store, who, form, faults, 422)
    every = come if form.text("whole") else merged(_all(kept), come)
    units = units_of(kept.text if kept else table)
    words = f"{len(come)} pump{'' if len(come) == 1 else 's'} from {brought.name[:200]}"
    try:
        made = save_the_book(store, who.firm, PUMPS, form.number("base"), pumps_csv(every, units), who.name, words)
    except StaleBook as stale:
        faults.add("book", f"{stale}. Look, and take the table in again.")
        return _page(request, store, who, form, faults, 409)
    return RedirectResponse(f"/firm/pumps?saved={made.number}", 303)


@router.post("/restore")
def restore(who: Asker, store: OpenStore, form: Form) -> Response:
    """Make an old revision the newest again."""
    kept = the_book(store, who.firm, PUMPS)
    if kept is None:
        raise NotThereError("book", PUMPS)
    old = book_revision(store, who.firm, kept.book, form.number("number"))
    words = f"revision {old.number} restored"
    made = save_the_book(store, who.firm, PUMPS, form.number("base"), old.text, who.name, words)
    return RedirectResponse(f"/firm/pumps?saved={made.number}", 303)


@router.get("/pumps.csv")
def as_table(who: Asker, store: OpenStore, number: int | None = None) -> Response:
    """The table of the newest revision, or of an old one."""
    kept = the_book(store, who.firm, PUMPS)
    if kept is None:
        raise NotThereError("book", PUMPS)
    text = book_revision(store, who.firm, kept.book, number).text
    return attached(text.encode("utf-8"), "text/csv; charset=utf-8", NAME)


def _all(kept: BookRevision | None) -> tuple[Pump, ...]:
    return read_pumps(kept.text, NAME, units_of(kept.text)) if kept else ()


def _values(form: Sent, units: Units) -> dict[str, Any]:
    """The form as a pump's record; a bare number has the unit that stands in its hint."""
    system = 0 if units == "US" else 1
    values: dict[str, Any] = {"name": form.text("name"), "curve": list(_points(form, units))}
    for word, field, kind, styles in COLUMNS:
        typed = form.text(word)
        if word == "battery":
            values[field] = typed == "yes"
        elif word == "price" and _BARE.fullmatch(typed):
            values[field] = typed
        elif typed:
            values[field] = f"{typed} {styles[system]}" if kind and _BARE.fullmatch(typed) else typed
    return values


def _points(form: Sent, units: Units) -> Iterator[dict[str, str]]:
    for line in form.lines("points").split("\n"):
        if line.strip():
            cells = [cell.strip() for cell in re.split(r"[,;\t]|\bat\b", line)]
            named = zip(POINT[units], [*cells, ""], strict=False)
            yield {word: f"{cell} {unit}" if _BARE.fullmatch(cell) else cell for (word, _, unit), cell in named}


def _hints(units: Units) -> dict[str, str]:
    system = 0 if units == "US" else 1
    found = {
        word: "an hour" if kind is Kind.RATE else f"in {UNITS[styles[system]]}"
        for word, _, kind, styles in COLUMNS
        if kind
    }
    found["switch"] = "by its sheet; left out: 100,000, assumed"
    return found | {"port": "like 1-1/2 in", "price": "in the jobs’ currency; to rank it, and for the price"}


def _one_page(request: Request, form: Sent, faults: Faults, first: bool, status: int = 200) -> Response:
    units: Units = "SI" if form.text("units") == "SI" else "US"
    return page(
        request, "pump.html", status, form=form, faults=faults, first=first, units=units, labels=LABELS,
        hints=_hints(units), floats=FLOATS, was=form.text("was"), heads=[unit for *_, unit in POINT[units]],
    )  # fmt: skip


def _page(
    request: Request, store: Store, who: Who, form: Sent, faults: Faults, status: int = 200, *,
    saved: int | None = None,
) -> Response:  # fmt: skip
    kept = the_book(store, who.firm, PUMPS)
    units = units_of(kept.text) if kept else "US"
    rows = [(each, pump_words(each, units), cells_of(each, units)) for each in _all(kept)]
    return page(
        request, "pumps.html", status, rows=rows, power_unit="hp" if units == "US" else "W",
        base=kept.number if kept else 0, faults=faults, form=form, saved=saved,
        history=book_history(store, who.firm, kept.book) if kept else (),
    )  # fmt: skip


__all__ = ["router"]
