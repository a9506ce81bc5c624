"""The files that a job's document names: attachments of one kind, found by their names."""

from __future__ import annotations

from collections.abc import Iterator

import sqlalchemy as sa
from sqlalchemy.orm import Session

from drainwright.office.store import editing
from drainwright.office.store.errors import NotThereError, StoreError
from drainwright.office.store.tables import (
    AttachmentRow,
    BookRevisionRow,
    BookRow,
    ContentRow,
    JobRow,
    RevisionRow,
)

# kinds of books, by the name that jobs have for them
OF_FIRM = {"firm.yaml": "settings", "prices.yaml": "price book", "pumps.csv": "pumps", "pipes.csv": "pipes"}
KEPT = "kept book"  # kind of an attachment: the firm's price book as it was when the job was priced
BESIDE = "beside"  # kind of an attachment that the document names: a rain record, a price book, a logo


def content_of(session: Session, firm: str, digest: str) -> bytes:
    """The bytes of a digest, held against it.

    Raises
    ------
    NotThereError
        If the firm has no such content.
    StoreError
        If the bytes are no longer what they were.
    """
    found = session.scalar(sa.select(ContentRow.data).where(ContentRow.firm == firm, ContentRow.sha256 == digest))
    if found is None:
        raise NotThereError("content", digest)
    if editing.sha256(found) != digest:
        raise StoreError(f"attachment: found bytes that do not bear the digest {digest}; expected what was kept")
    return bytes(found)


def beside_of(session: Session, firm: str, job: str) -> dict[str, bytes]:
    """The files beside a job by name, the newest of one name; else the book that it keeps, else those of the firm."""
    query = sa.select(AttachmentRow).where(
        AttachmentRow.firm == firm, AttachmentRow.job == job, AttachmentRow.kind.in_((BESIDE, KEPT)),
        AttachmentRow.archived.is_(False),
    )  # fmt: skip
    rows = session.scalars(query.order_by(AttachmentRow.at, AttachmentRow.id)).all()
    digests = {row.name: row.sha256 for kind in (KEPT, BESIDE) for row in rows if row.kind == kind}
    own = {name: content_of(session, firm, digest) for name, digest in sorted(digests.items())}
    return {name: text.encode() for name, text in _of_firm(session, firm)} | own


def _of_firm(session: Session, firm: str) -> Iterator[tuple[str, str]]:
    """The newest text of the firm's settings, price book and catalogues, by the names that jobs have for them."""
    newest = sa.and_(
        BookRevisionRow.firm == BookRow.firm, BookRevisionRow.book == BookRow.id, BookRevisionRow.number == BookRow.head
    )
    query = sa.select(BookRow.kind, BookRevisionRow.text).join(BookRevisionRow, newest)
    query = query.where(BookRow.firm == firm, BookRow.kind.in_(OF_FIRM.values()), BookRow.archived.is_(False))
    found: dict[str, str] = {}
    for kind, text in session.execute(query.order_by(BookRow.name, BookRow.id)):
        found.setdefault(kind, text)
    yield from ((name, found[kind]) for name, kind in OF_FIRM.items() if kind in found)


def faults_with(session: Session, job: JobRow, text: str, without: tuple[str, ...]) -> tuple[str, ...]:
    """Why a text of a job is no whole job, read with the files beside it; ``without``: the same without them."""
    files = beside_of(session, job.firm, job.id) if without else {}
    return editing.faults_of(text, files) if files else without


def recheck(session: Session, job: JobRow) -> None:
    """Look again at the newest text of a job that is held: a file came or went that it may name."""
    head = session.scalars(
        sa.select(RevisionRow).where(
            RevisionRow.firm == job.firm, RevisionRow.job == job.id, RevisionRow.number == job.head
        )
    ).one()
    head.problems = list(editing.faults_of(head.text, beside_of(session, job.firm, job.id)))
    job.faults = len(head.problems)


__all__ = ["BESIDE", "KEPT", "OF_FIRM", "beside_of", "content_of", "faults_with", "recheck"]
