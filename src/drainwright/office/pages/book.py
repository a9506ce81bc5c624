"""The firm's price book: every price and rate with its unit, day and source, edited entry by entry."""

from __future__ import annotations

import datetime
import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from fastapi import APIRouter, HTTPException, Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from drainwright.build.book import Book, book_for, missing_shares
from drainwright.build.sizes import odd_sizes
from drainwright.build.stale import too_old
from drainwright.errors import JobError
from drainwright.job.book_csv import price_edits, prices_csv
from drainwright.job.book_file import BookDocument, read_book_text
from drainwright.job.book_starter import new_book_text
from drainwright.job.book_text import Edit, Value, undone, with_entries
from drainwright.job.firm import PriceBook
from drainwright.job.loading import decode
from drainwright.office.pages.fields import Faults, Form, Sent, first_told, told
from drainwright.office.pages.history import attached
from drainwright.office.pages.shell import page
from drainwright.office.store.books import (
    PRICES,
    StaleBook,
    add_book,
    book_history,
    book_revision,
    books,
    save_book,
)
from drainwright.office.store.errors import NotThereError
from drainwright.office.store.opening import Store
from drainwright.office.store.records import BookRevision
from drainwright.office.who import Asker, OpenStore, Who
from drainwright.sources import cite

router = APIRouter(prefix="/firm/book", default_response_class=HTMLResponse, include_in_schema=False)

NAME = "prices.yaml"
PARTS = {"items": ("price", "dated", "source"), "rates": ("value", "dated", "source")}
_PRICE = re.compile(r"[0-9]{1,9}(\.[0-9]{1,2})?")
_RATE = re.compile(r"[0-9]{1,7}(\.[0-9]{1,6})?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One price or rate as the page shows it."""

    field: str  # of the form: "items:pipe.sch40-4in"
    words: str
    unit: str
    figure: str
    dated: str
    source: str
    own: bool  # else the demonstration's
    flag: str  # what to look at
    group: str
    wrong: str = ""


@router.get("")
def book(
    request: Request, who: Asker, store: OpenStore, q: str = "", look: bool = False, saved: int | None = None
) -> Response:
    """The newest revision of the book, or how one begins."""
    kept = _kept(store, who)
    if kept is None:
        return _begin_page(request, Faults())
    return _page(request, store, who, kept, Sent({}, {}), Faults(), q=q, look=look, saved=saved)


@router.post("/begin")
def begin(request: Request, who: Asker, store: OpenStore, form: Form) -> Response:
    """Begin a book: empty, or from a file."""
    faults = Faults()
    text = new_book_text(datetime.date.today())
    if form.text("from") == "file":
        text = _text_of(form, faults)
    if faults:
        return _begin_page(request, faults)
    if _kept(store, who) is None:
        add_book(store, who.firm, PRICES, "Price book", text, who.name)
    return RedirectResponse("/firm/book", 303)


@router.post("")
def change(request: Request, who: Asker, store: OpenStore, form: Form) -> Response:
    """Keep the entries that were changed; all other lines of the book stay as they were typed."""
    kept, base = _must(store, who), form.number("base")
    faults = Faults()
    before = read_book_text(kept.text, NAME)
    whole = book_for(PriceBook(book=before.book))
    edits = [edit for section in PARTS for edit in _edits(form, section, before, whole, faults)]
    after = None
    if not faults and edits:
        try:
            after, _ = with_entries(before, edits)
        except JobError as error:
            for one in error.problems:
                section, _, key = one.where.partition(".")
                faults.add(_field_of(f"{section}.{key}", edits), f"{told(one)}.")
    if faults:
        return _page(request, store, who, kept, form, faults, 422, base=base)
    if after is None:
        return RedirectResponse("/firm/book", 303)
    words = ", ".join(edit.key for edit in edits[:4]) + (f" and {len(edits) - 4} more" if len(edits) > 4 else "")
    return _saved(request, store, who, kept, base, after.text, words, form)


@router.post("/import")
def bring(request: Request, who: Asker, store: OpenStore, form: Form) -> Response:
    """Take prices from a table (CSV), or a whole book (YAML)."""
    kept, faults = _must(store, who), Faults()
    brought = form.files.get("file")
    text, words = kept.text, ""
    if brought is not None and brought.name.lower().endswith(".csv"):
        try:
            day = datetime.date.fromisoformat(form.text("on")) if form.text("on") else None
        except ValueError:
            faults.add("on", f"Found {form.text('on')!r}; expected a day, like 2026-03-02.")
            day = None
        before = read_book_text(kept.text, NAME)
        try:
            table = decode(brought.content, brought.name)
            edits = price_edits(before, table, brought.name, on=day, source=form.text("from_whom"))
            text = with_entries(before, edits)[0].text if edits else text
            words = f"{len(edits)} price{'' if len(edits) == 1 else 's'} from {brought.name}"
        except JobError as error:
            faults.add("file", first_told(error))
    else:
        text = _text_of(form, faults)
        words = f"the book of the file {brought.name}" if brought else ""
    if faults:
        return _page(request, store, who, kept, form, faults, 422)
    return _saved(request, store, who, kept, form.number("base"), text, words[:400], form)


@router.post("/restore")
def restore(request: Request, who: Asker, store: OpenStore, form: Form) -> Response:
    """Make an old revision the newest, or take the last learning back."""
    kept = _must(store, who)
    if form.text("do") == "unlearn":
        try:
            before, learning = undone(read_book_text(kept.text, NAME))
        except JobError as error:
            raise HTTPException(409, first_told(error)) from None
        text, words = before.text, f"learning {learning.id} from {learning.job} taken back"
    else:
        old = book_revision(store, who.firm, kept.book, form.number("number"))
        text, words = old.text, f"revision {old.number} restored"
    save_book(store, who.firm, kept.book, kept.number, text, who.name, words)
    return RedirectResponse("/firm/book", 303)


@router.get("/prices.csv")
def as_table(who: Asker, store: OpenStore) -> Response:
    """Every price as a table."""
    table = prices_csv(read_book_text(_must(store, who).text, NAME).book)
    return attached(table.encode("utf-8"), "text/csv; charset=utf-8", "prices.csv")


@router.get("/prices.yaml")
def as_document(who: Asker, store: OpenStore, number: int | None = None) -> Response:
    """The book itself, the newest or an old revision."""
    kept = book_revision(store, who.firm, _must(store, who).book, number)
    return attached(kept.text.encode("utf-8"), "application/yaml", NAME)


@router.get("/text")
def text(request: Request, who: Asker, store: OpenStore) -> Response:
    """The book as text: wage, shares and taxes are told there too."""
    kept = _must(store, who)
    return page(request, "book_text.html", text=kept.text, base=kept.number, problems=())


@router.post("/text")
def save_text(request: Request, who: Asker, store: OpenStore, form: Form) -> Response:
    """Save the book's text."""
    kept, typed = _must(store, who), form.lines("text")
    try:
        read_book_text(typed, NAME)
        made = save_book(store, who.firm, kept.book, form.number("base"), typed, who.name, "by hand, as text")
    except JobError as error:
        return page(request, "book_text.html", 422, text=typed, base=form.number("base"), problems=error.problems)
    except StaleBook as stale:
        words = f"{stale.theirs.who} saved revision {stale.theirs.number} meanwhile"
        return page(request, "book_text.html", 409, text=typed, base=stale.theirs.number, problems=(), stale=words)
    return RedirectResponse(f"/firm/book?saved={made.number}", 303)


def _saved(
    request: Request, store: Store, who: Who, kept: BookRevision, base: int, text: str, words: str, form: Sent
) -> Response:
    if text == kept.text:
        return RedirectResponse("/firm/book", 303)
    try:
        made = save_book(store, who.firm, kept.book, base, text, who.name, words)
    except StaleBook as stale:
        now = stale.theirs
        note = f"{now.who} saved revision {now.number} while you worked on revision {base}. Look, and save again."
        return _page(request, store, who, now, form, Faults({"book": note}), 409, base=now.number)
    return RedirectResponse(f"/firm/book?saved={made.number}", 303)


def _edits(form: Sent, section: str, before: BookDocument, whole: Book, faults: Faults) -> Iterator[Edit]:
    """The entries of a section whose fields say something else than the book."""
    figure = PARTS[section][0]
    entries = {**before.book.items} if section == "items" else {**before.book.rates}
    for key in whole.items if section == "items" else whole.rates:
        name = f"{section}:{key}"
        if f"{name}:{figure}" not in form.texts:
            continue
        given = {part: form.text(f"{name}:{part}") for part in PARTS[section]}
        stands = _stands(section, key, before, whole)
        if given == stands:
            continue
        fields: dict[str, Value] = {}
        pattern, wanted = (_PRICE, "a price to the cent, like 58.00") if section == "items" else (_RATE, "a number")
        if not pattern.fullmatch(given[figure]):
            faults.add(name, f"Found {given[figure]!r}; expected {wanted}.")
            continue
        if given[figure] != stands[figure] or key not in entries:
            fields[figure] = Decimal(given[figure]) if section == "items" else float(given[figure])
        fresh = given[figure] != stands[figure] and given["dated"] == stands["dated"]
        day = datetime.date.today().isoformat() if fresh else given["dated"]
        if day != stands["dated"] or key not in entries:
            try:
                fields["dated"] = datetime.date.fromisoformat(day)
            except ValueError:
                faults.add(name, f"Found {day!r}; expected a day, like 2026-03-02.")
                continue
        if given["source"] != stands["source"]:
            fields["source"] = given["source"]
        yield Edit(section, key, fields)


def _stands(section: str, key: str, document: BookDocument, whole: Book) -> dict[str, str]:
    """What the fields of an entry show as the book stands."""
    own = document.book
    if section == "items":
        item = whole.item(key)
        dated = "" if item.invented and key not in own.items else item.dated.isoformat()
        return {
            "price": f"{item.price:.2f}",
            "dated": dated,
            "source": own.items[key].source if key in own.items else "",
        }
    rate, entry = whole.rates[key], own.rates.get(key)
    dated = "" if entry is None else (entry.dated or own.dated).isoformat()
    return {"value": f"{rate.value:g}", "dated": dated, "source": entry.source if entry else ""}


def _rows(document: BookDocument, form: Sent, faults: Faults, section: str) -> Iterator[Row]:
    own = document.book
    whole = book_for(PriceBook(book=own))
    old = {one.key: one for one in too_old(whole, own.items, datetime.date.today())}
    odd = {one.where: one for one in odd_sizes(whole, own.items)}
    for key in whole.items if section == "items" else whole.rates:
        name = f"{section}:{key}"
        shown = {part: form.text(f"{name}:{part}") if f"{name}:{part}" in form.texts else value
                 for part, value in _stands(section, key, document, whole).items()}  # fmt: skip
        mine = key in (own.items if section == "items" else own.rates)
        flag = ""
        if section == "items" and not mine:
            flag = "invented: not a price of ours"
        elif section == "items" and key in old:
            flag = f"{old[key].days} days old, {old[key].allowed} allowed"
        elif f"{section}.{key}" in odd:
            flag = f"another size than usual, which is {odd[f'{section}.{key}'].usual}"
        if section == "items":
            words, unit = whole.items[key].description, whole.items[key].unit
        else:
            words, unit = whole.rates[key].note or key, whole.rates[key].unit
        yield Row(
            field=name, words=words, unit=unit, figure=shown["price" if section == "items" else "value"],
            dated=shown["dated"], source=shown["source"], own=mine, flag=flag, group=key.split(".")[0],
            wrong=faults[name],
        )  # fmt: skip


def _page(
    request: Request, store: Store, who: Who, kept: BookRevision, form: Sent, faults: Faults, status: int = 200, *,
    base: int | None = None, q: str = "", look: bool = False, saved: int | None = None,
) -> Response:  # fmt: skip
    document = read_book_text(kept.text, NAME)
    own = document.book
    whole = book_for(PriceBook(book=own))
    items, rates = (tuple(_rows(document, form, faults, section)) for section in PARTS)
    wanted = q.lower().split()[:20]
    flagged = sum(bool(one.flag) for one in items if one.own)
    groups: dict[str, list[Row]] = {}
    for one in items:
        text = f"{one.field} {one.words} {one.source}".lower()
        if (all(word in text for word in wanted) and (not look or (one.own and one.flag))) or one.wrong:
            groups.setdefault(one.group, []).append(one)
    shown_rates = [
        one for one in rates if not look and all(word in f"{one.field} {one.words}".lower() for word in wanted)
    ]
    return page(
        request, "book.html", status, book=own, whole=whole, groups=groups, rates=shown_rates, q=q, look=look,
        flagged=flagged, ours=len(own.items), base=kept.number if base is None else base, faults=faults, form=form,
        saved=saved, missing=() if own.invented else missing_shares(PriceBook(book=own)), sources=_sources(whole),
        history=book_history(store, who.firm, kept.book), today=datetime.date.today(),
    )  # fmt: skip


def _sources(whole: Book) -> dict[str, str]:
    """Where the rates that are not the firm's come from."""
    return {f"rates:{key}": cite(rate.source) for key, rate in whole.rates.items() if not rate.own and rate.source}


def _begin_page(request: Request, faults: Faults) -> Response:
    return page(request, "book_begin.html", 422 if faults else 200, faults=faults)


def _text_of(form: Sent, faults: Faults) -> str:
    """A book's text from the file that was brought."""
    brought = form.files.get("file")
    if brought is None:
        faults.add("file", "Found no file; expected a price book (.yaml) or, for prices, a table (.csv).")
        return ""
    try:
        text = decode(brought.content, brought.name)
        read_book_text(text, NAME)
    except JobError as error:
        faults.add("file", first_told(error))
        return ""
    return text


def _field_of(where: str, edits: list[Edit]) -> str:
    """The field whose entry a problem is about."""
    for edit in edits:
        if where == f"{edit.section}.{edit.key}" or where.startswith(f"{edit.section}.{edit.key}."):
            return f"{edit.section}:{edit.key}"
    return "book"


def _kept(store: Store, who: Who) -> BookRevision | None:
    found = books(store, who.firm, PRICES)
    return book_revision(store, who.firm, found[0].id) if found else None


def _must(store: Store, who: Who) -> BookRevision:
    kept = _kept(store, who)
    if kept is None:
        raise NotThereError("book", "prices")
    return kept


__all__ = ["router"]
