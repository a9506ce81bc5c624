"""The price book that a job is priced with: it stays, while the firm's goes on, until a person prices the job anew."""

from __future__ import annotations

import datetime
import re
from collections.abc import Collection, Iterator, Mapping
from contextlib import contextmanager
from functools import lru_cache

import sqlalchemy as sa
from sqlalchemy.orm import Session

from drainwright.errors import JobError
from drainwright.office.store.beside import BESIDE, KEPT, OF_FIRM, content_of, recheck
from drainwright.office.store.editing import sha256
from drainwright.office.store.errors import StoreError
from drainwright.office.store.files import keep_content
from drainwright.office.store.holding import Checked, held, revised
from drainwright.office.store.opening import Store
from drainwright.office.store.records import Revision
from drainwright.office.store.tables import AcceptanceRow, AttachmentRow, BookRevisionRow, BookRow, JobRow, RevisionRow

NAME = "prices.yaml"  # by which jobs call for the firm's price book
OPEN = ("called", "visited", "designed", "offered")  # stages in which a price may still change
_CALLS = re.compile(r"""\bfile["']?\s*:\s*["']?prices\.yaml\b""")


@contextmanager
def keeping_prices(session: Session, firm: str, kind: str) -> Iterator[None]:
    """What is done inside may change the firm's price book: its jobs keep the one that they are priced with."""
    before = _newest(session, firm) if kind == OF_FIRM[NAME] else None
    yield
    if before is None:
        return
    session.flush()
    after = _newest(session, firm)
    if after is None or after.sha256 != before.sha256:
        _keep(session, firm, before)


def priced(
    session: Session, firm: str, jobs: Collection[str], today: datetime.date
) -> Mapping[str, tuple[str, ...]]:  # fmt: skip
    """Of the jobs that are open: in words, that the firm's book has gone on, or that prices in it are past their days.

    Parameters
    ----------
    session : Session
        Reading.
    firm : str
        Whose jobs.
    jobs : collection of str
        Their ids.
    today : date
        The day that the prices' days are held against.

    Returns
    -------
    mapping of str to tuple of str
        By the job's id; jobs of which nothing is to be said are left out.
    """
    newest = _newest(session, firm)
    if newest is None:
        return {}
    kept = _kept(session, firm, jobs)
    told = {}
    for job in _open(session, firm, _calling(session, firm, jobs)):
        row = kept.get(job)
        words = []
        if row is not None and row.sha256 != newest.sha256:
            words.append(f"priced with {row.note} of the price book, which is at revision {newest.number} now")
        text = newest.text if row is None else content_of(session, firm, row.sha256).decode()
        if past := _past(text, today):
            words.append(f"{past} price{'' if past == 1 else 's'} of the book {'is' if past == 1 else 'are'} too old")
        if words:
            told[job] = tuple(words)
    return told


def reprice(store: Store, firm: str, job: str, who: str) -> Revision:
    """Price a job with the newest price book: a revision of its own.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    StoreError
        If the job was accepted, or is priced with the newest book already.
    """
    with store.writing() as session:
        row = held(session, firm, job)
        if not _open(session, firm, [job]):
            raise StoreError("price book: found a job that was accepted; it keeps the price that was accepted")
        newest, kept = _newest(session, firm), _kept(session, firm, [job]).get(job)
        if newest is None or kept is None or kept.sha256 == newest.sha256:
            raise StoreError("price book: found that the job is priced with the newest one already; expected an older")
        kept.archived = True
        head = session.scalars(
            sa.select(RevisionRow).where(
                RevisionRow.firm == firm, RevisionRow.job == job, RevisionRow.number == row.head
            )
        ).one()
        session.flush()
        words = f"priced anew with revision {newest.number} of the price book; before with {kept.note}"
        return revised(session, row, Checked.of(head.text), who, words, parent=row.head)


def take_newest(store: Store, firm: str, job: str) -> None:
    """Let a job that is open be priced with the newest book, where a new revision of it was just made.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    """
    with store.writing() as session:
        row = held(session, firm, job)
        kept = _kept(session, firm, [job]).get(job)
        if kept is not None and _newest(session, firm) is not None and _open(session, firm, [job]):
            kept.archived = True
            session.flush()
            recheck(session, row)


def _newest(session: Session, firm: str) -> BookRevisionRow | None:
    """The newest text of the price book that lies beside the firm's jobs."""
    of_kind = sa.select(BookRow).where(
        BookRow.firm == firm, BookRow.kind == OF_FIRM[NAME], BookRow.archived.is_(False), BookRow.head > 0
    )
    book = session.scalars(of_kind.order_by(BookRow.name, BookRow.id)).first()
    if book is None:
        return None
    return session.scalars(
        sa.select(BookRevisionRow).where(
            BookRevisionRow.firm == firm, BookRevisionRow.book == book.id, BookRevisionRow.number == book.head
        )
    ).one()


def _kept(session: Session, firm: str, jobs: Collection[str]) -> dict[str, AttachmentRow]:
    """The book that jobs keep, by job."""
    found = sa.select(AttachmentRow).where(
        AttachmentRow.firm == firm, AttachmentRow.job.in_(jobs), AttachmentRow.kind == KEPT,
        AttachmentRow.archived.is_(False),
    )  # fmt: skip
    return {row.job: row for row in session.scalars(found.order_by(AttachmentRow.at, AttachmentRow.id))}


def _calling(session: Session, firm: str, jobs: Collection[str] | None = None) -> list[str]:
    """The jobs that call for the firm's price book and have none of their own."""
    texts = (
        sa.select(JobRow.id, RevisionRow.text)
        .join(
            RevisionRow,
            sa.and_(RevisionRow.firm == firm, RevisionRow.job == JobRow.id, RevisionRow.number == JobRow.head),
        )
        .where(JobRow.firm == firm, RevisionRow.text.contains(NAME, autoescape=True))
    )
    own = sa.select(AttachmentRow.job).where(
        AttachmentRow.firm == firm, AttachmentRow.kind == BESIDE, AttachmentRow.name == NAME,
        AttachmentRow.archived.is_(False),
    )  # fmt: skip
    texts = texts.where(JobRow.id.not_in(own))
    if jobs is not None:
        texts = texts.where(JobRow.id.in_(jobs))
    return [job for job, text in session.execute(texts) if _CALLS.search(text)]


def _open(session: Session, firm: str, jobs: Collection[str]) -> list[str]:
    """Those of some jobs whose price may still change."""
    accepted = sa.select(AcceptanceRow.job).where(AcceptanceRow.firm == firm)
    found = sa.select(JobRow.id).where(
        JobRow.firm == firm, JobRow.id.in_(jobs), JobRow.stage.in_(OPEN), JobRow.id.not_in(accepted)
    )
    return list(session.scalars(found))


def _keep(session: Session, firm: str, book: BookRevisionRow) -> None:
    """Hang a book on every job that was priced with it up to now."""
    calling = _calling(session, firm)
    there = _kept(session, firm, calling)
    data = book.text.encode()
    for job in calling:
        if job not in there:
            keep_content(session, firm, sha256(data), data)
            hung = AttachmentRow(
                firm=firm, job=job, sha256=sha256(data), size=len(data), media_type="application/yaml", name=NAME,
                kind=KEPT, pin="price_book", note=f"revision {book.number}", who=book.who,
            )  # fmt: skip
            session.add(hung)
    session.flush()


@lru_cache(maxsize=32)
def _past(text: str, today: datetime.date) -> int:
    """How many of a book's own prices are past their days."""
    from drainwright.build.book import book_for
    from drainwright.build.stale import too_old
    from drainwright.job.book_file import read_book_text
    from drainwright.job.firm import PriceBook

    try:
        book = read_book_text(text, NAME).book
    except JobError:
        return 0  # told where the job is read
    return len(too_old(book_for(PriceBook(book=book)), book.items, today))


__all__ = ["OPEN", "keeping_prices", "priced", "reprice", "take_newest"]
