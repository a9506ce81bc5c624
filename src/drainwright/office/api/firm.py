"""What belongs to the firm as a whole: customers, price books and catalogues, and who works there."""

from __future__ import annotations

import datetime
from typing import Annotated, Literal

from fastapi import APIRouter, Query, Request, Response
from pydantic import BaseModel, Field

from drainwright.job.book_csv import prices_csv
from drainwright.job.book_file import read_book_text
from drainwright.office.api import catalogues
from drainwright.office.api.shared import Body, Id, Line, LongText, OfRevision, Words, tagged, tagged_bytes
from drainwright.office.store import books, people
from drainwright.office.store.errors import NotThereError, StoreError
from drainwright.office.store.records import Book, BookRevision, Customer
from drainwright.office.who import Asker, OpenStore

router = APIRouter(tags=["firm"])
CSV = "text/csv"


class NewCustomer(Body):
    """Who has work done."""

    name: Annotated[Line, Field(min_length=1)]
    address: Line = ""
    phone: Annotated[str, Field(max_length=60)] = ""
    email: Line = ""
    note: Words = ""


class OtherCustomer(Body):
    """What is to be told of a customer; what is left out stays."""

    name: Annotated[Line, Field(min_length=1)] | None = None
    address: Line | None = None
    phone: Annotated[str, Field(max_length=60)] | None = None
    email: Line | None = None
    note: Words | None = None
    archived: bool | None = None


class NewBook(Body):
    """A book with its first text."""

    kind: Literal["price book", "pumps", "pipes"]
    name: Annotated[Line, Field(min_length=1)]
    text: LongText


class SavedBook(Body):
    """A book to save."""

    base: Annotated[int, Field(ge=1, le=1_000_000_000)]
    text: LongText
    what: Words = ""


class Me(BaseModel):
    """Who asks."""

    firm: str
    person: str
    name: str
    role: str
    scope: str | None


class PersonTold(BaseModel):
    """Somebody who works for the firm."""

    id: str
    name: str
    email: str
    role: str
    active: bool
    created: datetime.datetime


@router.get("/who", summary="Who asks, and what they may do")
def asks(who: Asker) -> Me:
    """The person of the session or the token."""
    return Me(firm=who.firm, person=who.person, name=who.name, role=who.role, scope=who.scope)


@router.get("/firm/people", summary="Who works for the firm")
def staff(who: Asker, store: OpenStore) -> list[PersonTold]:
    """For its owners; invitations are made on the page."""
    names = PersonTold.model_fields
    return [PersonTold(**{name: getattr(one, name) for name in names}) for one in people.people(store, who.firm)]


@router.get("/customers", summary="The firm's customers")
def customers(
    who: Asker, store: OpenStore, words: Annotated[str, Query(max_length=200)] = "", archived: bool = False
) -> list[Customer]:
    """All words are looked for in name, address, phone and email."""
    return list(people.customers(store, who.firm, words, archived=archived))


@router.post("/customers", status_code=201, summary="A new customer")
def add_customer(who: Asker, store: OpenStore, body: NewCustomer) -> Customer:
    """Jobs are given to them by `/jobs/{job}/customer`."""
    return people.add_customer(store, who.firm, **body.model_dump())


@router.patch("/customers/{id}", summary="Tell something else of a customer")
def change_customer(who: Asker, store: OpenStore, id: Id, body: OtherCustomer) -> Customer:
    """Laid away by `archived`."""
    return people.change_customer(store, who.firm, id, **body.model_dump(exclude_none=True))


@router.get("/books", summary="Price books and catalogues of pumps and pipes")
def listed(
    who: Asker, store: OpenStore, kind: Literal["price book", "pumps", "pipes"] | None = None, archived: bool = False
) -> list[Book]:
    """By kind and name."""
    return list(books.books(store, who.firm, kind, archived=archived))


@router.post("/books", status_code=201, summary="A new book")
def add_book(who: Asker, store: OpenStore, body: NewBook) -> Book:
    """A price book must read as one, a catalogue as a table of pumps or pipes."""
    _checked(body.kind, body.text)
    return books.add_book(store, who.firm, body.kind, body.name, body.text, who.name)


@router.get("/books/{id}", response_model=BookRevision, summary="A book's text")
def book(request: Request, who: Asker, store: OpenStore, id: Id, revision: OfRevision = None) -> Response:
    """The newest, or one of its revisions."""
    return tagged(request, books.book_revision(store, who.firm, id, revision))


@router.put("/books/{id}", status_code=201, summary="Save a book")
def save_book(who: Asker, store: OpenStore, id: Id, body: SavedBook) -> BookRevision:
    """Where another revision came between: 409 with theirs."""
    _checked(_book(store, who.firm, id).kind, body.text)
    return books.save_book(store, who.firm, id, body.base, body.text, who.name, body.what)


@router.get("/books/{id}/revisions", summary="All revisions of a book, the newest first")
def history(who: Asker, store: OpenStore, id: Id) -> list[BookRevision]:
    """With their texts."""
    return list(books.book_history(store, who.firm, id))


@router.get("/books/{id}/prices.csv", summary="The prices of a price book as a table", response_class=Response,
            responses={200: {"content": {CSV: {}}, "description": "As `drainwright book csv` writes it."}})  # fmt: skip
def prices(request: Request, who: Asker, store: OpenStore, id: Id) -> Response:
    """For a spreadsheet; no cell of it is taken for a formula."""
    if _book(store, who.firm, id).kind != "price book":
        raise StoreError("kind: found a catalogue; expected a price book")
    text = prices_csv(read_book_text(books.book_revision(store, who.firm, id).text).book)
    kept = {"content-disposition": 'attachment; filename="prices.csv"'}
    return tagged_bytes(request, text.encode(), "text/csv; charset=utf-8", **kept)


def _book(store: OpenStore, firm: str, id: str) -> Book:
    every = (*books.books(store, firm), *books.books(store, firm, archived=True))
    found = next((one for one in every if one.id == id), None)
    if found is None:
        raise NotThereError("book", id)
    return found


def _checked(kind: str, text: str) -> None:
    if kind == "price book":
        read_book_text(text)
    catalogues.checked(kind, text)


__all__ = ["router"]
