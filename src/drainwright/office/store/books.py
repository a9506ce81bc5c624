"""The firm's price books and catalogues, as texts with their revisions."""

from __future__ import annotations

import sqlalchemy as sa
from sqlalchemy.orm import Session

from drainwright.job.loading import MOST_BYTES
from drainwright.office.store.editing import sha256
from drainwright.office.store.errors import NotThereError, StoreError
from drainwright.office.store.holding import own, plain
from drainwright.office.store.opening import Store
from drainwright.office.store.pricing import keeping_prices
from drainwright.office.store.records import Book, BookRevision, record_of
from drainwright.office.store.tables import BookRevisionRow, BookRow, FirmRow, now

PRICES, PUMPS, PIPES, SETTINGS = "price book", "pumps", "pipes", "settings"
KINDS = (PRICES, PUMPS, PIPES, SETTINGS)


class StaleBook(StoreError):  # noqa: N818  (it is no fault, but a question to a person)
    """Another revision of the book came between; shows what stands and what was to be saved."""

    def __init__(self, base: int, theirs: BookRevision, mine: str) -> None:
        self.theirs = theirs
        self.mine = mine
        super().__init__(f"revision {theirs.number} by {theirs.who} came after revision {base}, which this was made on")


def add_book(store: Store, firm: str, kind: str, name: str, text: str, who: str) -> Book:
    """A new book with its first revision.

    Raises
    ------
    NotThereError
        If there is no such firm.
    StoreError
        If there is no such kind of book, or the text is too large.
    """
    if kind not in KINDS:
        raise StoreError(f"kind: found {kind!r}; expected one of {', '.join(KINDS)}")
    with store.writing() as session:
        if session.get(FirmRow, firm) is None:
            raise NotThereError("firm", firm)
        with keeping_prices(session, firm, kind):
            row = BookRow(firm=firm, kind=kind, name=plain("name", name, 200, 1), head=0)
            session.add(row)
            session.flush()
            _revised(session, row, text, who, "the book was opened")
        return record_of(Book, row)


def books(store: Store, firm: str, kind: str | None = None, *, archived: bool = False) -> tuple[Book, ...]:
    """The firm's books by kind and name."""
    query = sa.select(BookRow).where(BookRow.firm == firm, BookRow.archived == archived)
    if kind is not None:
        query = query.where(BookRow.kind == kind)
    with store.reading() as session:
        rows = session.scalars(query.order_by(BookRow.kind, BookRow.name, BookRow.id))
        return tuple(record_of(Book, row) for row in rows)


def book_revision(store: Store, firm: str, book: str, number: int | None = None) -> BookRevision:
    """A revision of a book; the newest if no number is given.

    Raises
    ------
    NotThereError
        If the firm has no such book, or the book no such revision.
    """
    with store.reading() as session:
        head = own(session, BookRow, firm, book, "book").head
        return _found(session, firm, book, head if number is None else number)


def book_history(store: Store, firm: str, book: str) -> tuple[BookRevision, ...]:
    """All revisions of a book, the newest first.

    Raises
    ------
    NotThereError
        If the firm has no such book.
    """
    with store.reading() as session:
        own(session, BookRow, firm, book, "book")
        rows = session.scalars(
            sa.select(BookRevisionRow)
            .where(BookRevisionRow.firm == firm, BookRevisionRow.book == book)
            .order_by(BookRevisionRow.number.desc())
        )
        return tuple(record_of(BookRevision, row) for row in rows)


def save_book(store: Store, firm: str, book: str, base: int, text: str, who: str, what: str = "") -> BookRevision:
    """Save a book's text, made of the revision that is named.

    Raises
    ------
    NotThereError
        If the firm has no such book.
    StaleBook
        If another revision came between.
    StoreError
        If the text is too large.
    """
    with store.writing() as session:
        query = sa.select(BookRow).where(BookRow.firm == firm, BookRow.id == book).with_for_update()
        row = session.scalar(query)
        if row is None:
            raise NotThereError("book", book)
        if row.head != base:
            raise StaleBook(base, _found(session, firm, book, row.head), text)
        with keeping_prices(session, firm, row.kind):
            return _revised(session, row, text, who, what)


def the_book(store: Store, firm: str, kind: str) -> BookRevision | None:
    """The newest revision of the book of a kind that lies beside the firm's jobs; None where there is none."""
    with store.reading() as session:
        row = session.scalars(_of_kind(firm, kind)).first()
        return None if row is None else _found(session, firm, row.id, row.head)


def save_the_book(store: Store, firm: str, kind: str, base: int, text: str, who: str, what: str = "") -> BookRevision:
    """Save the book of a kind that lies beside the firm's jobs, and begin it where there is none.

    Parameters
    ----------
    store : Store
        Where.
    firm, kind : str
        Whose, and which of ``KINDS``.
    base : int
        The revision that the text was made of; 0 where there was no book.
    text, who, what : str
        What it says, who says so, and what changed.

    Returns
    -------
    BookRevision
        The new one.

    Raises
    ------
    NotThereError
        If there is no such firm.
    StaleBook
        If another revision came between, the first one too.
    StoreError
        If there is no such kind of book, or the text is too large.
    """
    if kind not in KINDS:
        raise StoreError(f"kind: found {kind!r}; expected one of {', '.join(KINDS)}")
    with store.writing() as session:
        held = session.scalar(sa.select(FirmRow).where(FirmRow.id == firm).with_for_update())  # one begins a book
        if held is None:
            raise NotThereError("firm", firm)
        row = session.scalars(_of_kind(firm, kind).with_for_update()).first()
        if row is None:
            if base:
                raise NotThereError("book", kind)
            row = BookRow(firm=firm, kind=kind, name=kind.capitalize(), head=0)
            session.add(row)
            session.flush()
        elif row.head != base:
            raise StaleBook(base, _found(session, firm, row.id, row.head), text)
        with keeping_prices(session, firm, kind):
            return _revised(session, row, text, who, what)


def _of_kind(firm: str, kind: str) -> sa.Select[BookRow]:
    wanted = sa.select(BookRow).where(BookRow.firm == firm, BookRow.kind == kind, BookRow.archived.is_(False))
    return wanted.order_by(BookRow.name, BookRow.id)


def lay_book_away(store: Store, firm: str, book: str, *, archived: bool = True) -> Book:
    """Take a book out of the list, or back into it.

    Raises
    ------
    NotThereError
        If the firm has no such book.
    """
    with store.writing() as session:
        row = own(session, BookRow, firm, book, "book")
        with keeping_prices(session, firm, row.kind):
            row.archived = archived
        session.flush()
        return record_of(Book, row)


def _found(session: Session, firm: str, book: str, number: int) -> BookRevision:
    row = session.scalar(
        sa.select(BookRevisionRow).where(
            BookRevisionRow.firm == firm, BookRevisionRow.book == book, BookRevisionRow.number == number
        )
    )
    if row is None:
        raise NotThereError("revision", str(number))
    return record_of(BookRevision, row)


def _revised(session: Session, row: BookRow, text: str, who: str, what: str) -> BookRevision:
    if len(text) > MOST_BYTES or "\x00" in text:
        raise StoreError(f"text: found {len(text):,} signs; expected at most {MOST_BYTES:,}, and no NUL")
    made = BookRevisionRow(
        firm=row.firm, book=row.id, number=row.head + 1, text=text, sha256=sha256(text), who=plain("who", who, 200),
        at=now(), what=plain("what", what),
    )  # fmt: skip
    session.add(made)
    row.head += 1
    session.flush()
    return record_of(BookRevision, made)


__all__ = [
    "KINDS", "PIPES", "PRICES", "PUMPS", "SETTINGS", "StaleBook", "add_book", "book_history", "book_revision",
    "books", "lay_book_away", "save_book", "save_the_book", "the_book",
]  # fmt: skip
