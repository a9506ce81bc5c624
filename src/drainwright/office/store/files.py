"""Photos and papers that hang on a job; each content is kept once in a firm, by its digest."""

from __future__ import annotations

import sqlalchemy as sa
from sqlalchemy.orm import Session

from drainwright.office.store.beside import BESIDE, content_of, recheck
from drainwright.office.store.editing import sha256
from drainwright.office.store.errors import StoreError
from drainwright.office.store.holding import held, noted, own, plain
from drainwright.office.store.opening import Store
from drainwright.office.store.records import Attachment, record_of
from drainwright.office.store.tables import AttachmentRow, ContentRow, JobRow

MOST_BYTES = 20_000_000  # one file
MOST_OF_A_JOB = 1000  # files
ACTUALS = "actuals"  # kind of the attachment that tells what a job took; the newest counts
PROOF, VISITS, SEASON = "proof record", "visits record", "season record"  # likewise of what came after it


class CameBetween(StoreError):  # noqa: N818  (it is no fault, but a question to a person)
    """Another attachment of the kind was hung on the job since this one was made."""

    def __init__(self, after: int, there: int) -> None:
        self.there = there
        super().__init__(f"number {there} was saved after number {after}, which this was made on")


def attach(
    store: Store, firm: str, job: str, data: bytes, *, name: str, media_type: str, who: str, kind: str = "photo",
    pin: str = "", note: str = "", after: int | None = None,
) -> Attachment:  # fmt: skip
    """Hang a file on a job.

    Parameters
    ----------
    store : Store
        Where.
    firm, job : str
        Whose, and on which.
    data : bytes
        Its content, at most ``MOST_BYTES``.
    name, media_type, kind : str
        What it is called, its type (``image/jpeg``), and what it is for (photo, sketch, paper).
    who : str
        Who brought it.
    pin, note : str
        The path in the job that it belongs to or a place on the plan, and words.
    after : int, optional
        How many of its kind hung on the job when this was made, those taken off too; left out: however many.

    Returns
    -------
    Attachment
        Without the content.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    CameBetween
        If others of its kind were hung on the job since.
    StoreError
        If the content is empty or too large, or a text is no plain text.
    """
    digest = checked_content(data)
    with store.writing() as session:
        row = held(session, firm, job)
        many = session.scalar(sa.select(sa.func.count()).where(AttachmentRow.firm == firm, AttachmentRow.job == job))
        if (many or 0) >= MOST_OF_A_JOB:
            raise StoreError(f"attachments: found {many} on this job; expected at most {MOST_OF_A_JOB}")
        if after is not None and (there := _many(session, row, kind)) != after:
            raise CameBetween(after, there)
        keep_content(session, firm, digest, data)
        made = AttachmentRow(
            firm=firm, job=job, sha256=digest, size=len(data), media_type=plain("media_type", media_type, 100, 1),
            name=plain("name", name, 255, 1), kind=plain("kind", kind, 40, 1), pin=plain("pin", pin),
            note=plain("note", note, 4000), who=plain("who", who, 200),
        )  # fmt: skip
        session.add(made)
        session.flush()
        noted(session, row, made.who, "attachment", f"{made.kind} {made.name}")
        if made.kind == BESIDE:
            recheck(session, row)
        return record_of(Attachment, made)


def of_kind(store: Store, firm: str, job: str, kind: str) -> tuple[int, Attachment | None, bytes]:
    """How many of a kind hang on a job, those taken off too; the newest that hangs there, and its content.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    """
    with store.reading() as session:
        row = own(session, JobRow, firm, job, "job")
        hung = sa.select(AttachmentRow).where(
            AttachmentRow.firm == firm, AttachmentRow.job == job, AttachmentRow.kind == kind,
            AttachmentRow.archived.is_(False),
        )  # fmt: skip
        newest = session.scalars(hung.order_by(AttachmentRow.at.desc(), AttachmentRow.id)).first()
        if newest is None:
            return _many(session, row, kind), None, b""
        return _many(session, row, kind), record_of(Attachment, newest), content_of(session, firm, newest.sha256)


def _many(session: Session, job: JobRow, kind: str) -> int:
    of_job = sa.select(sa.func.count()).where(AttachmentRow.firm == job.firm, AttachmentRow.job == job.id)
    return session.scalar(of_job.where(AttachmentRow.kind == kind)) or 0


def checked_content(data: bytes) -> str:
    """The digest of a content that can be kept.

    Raises
    ------
    StoreError
        If it is empty or too large.
    """
    if not 0 < len(data) <= MOST_BYTES:
        raise StoreError(f"attachment: found {len(data):,} bytes; expected 1 to {MOST_BYTES:,}")
    return sha256(data)


def keep_content(session: Session, firm: str, digest: str, data: bytes) -> None:
    """Keep a content, unless the firm has it."""
    from sqlalchemy.dialects import postgresql, sqlite

    values = {"firm": firm, "sha256": digest, "size": len(data), "data": data}
    insert = sqlite.insert if session.get_bind().dialect.name == "sqlite" else postgresql.insert
    session.execute(insert(ContentRow).values(**values).on_conflict_do_nothing())


def attachments(store: Store, firm: str, job: str, *, archived: bool = False) -> tuple[Attachment, ...]:
    """What hangs on a job, the oldest first; what was taken off too, if asked.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    """
    query = sa.select(AttachmentRow).where(AttachmentRow.firm == firm, AttachmentRow.job == job)
    if not archived:
        query = query.where(AttachmentRow.archived.is_(False))
    with store.reading() as session:
        own(session, JobRow, firm, job, "job")
        rows = session.scalars(query.order_by(AttachmentRow.at, AttachmentRow.id))
        return tuple(record_of(Attachment, row) for row in rows)


def attachment(store: Store, firm: str, id: str) -> Attachment:
    """What is told of one attachment.

    Raises
    ------
    NotThereError
        If the firm has no such attachment.
    """
    with store.reading() as session:
        return record_of(Attachment, own(session, AttachmentRow, firm, id, "attachment"))


def content(store: Store, firm: str, attachment: str) -> bytes:
    """The bytes of an attachment, held against their digest.

    Raises
    ------
    NotThereError
        If the firm has no such attachment.
    StoreError
        If the bytes are no longer what they were.
    """
    with store.reading() as session:
        row = own(session, AttachmentRow, firm, attachment, "attachment")
        return content_of(session, firm, row.sha256)


def describe(
    store: Store, firm: str, attachment: str, who: str, *, pin: str | None = None, note: str | None = None,
    kind: str | None = None, archived: bool | None = None,
) -> Attachment:  # fmt: skip
    """Change what is said of an attachment, or take it off the job (it stays in the store).

    Raises
    ------
    NotThereError
        If the firm has no such attachment.
    StoreError
        If a text is no plain text, or too long.
    """
    with store.writing() as session:
        row = own(session, AttachmentRow, firm, attachment, "attachment")
        job = held(session, firm, row.job)
        was = row.kind
        row.pin = row.pin if pin is None else plain("pin", pin)
        row.note = row.note if note is None else plain("note", note, 4000)
        row.kind = row.kind if kind is None else plain("kind", kind, 40, 1)
        if archived is not None and archived != row.archived:
            row.archived = archived
            words = f"{row.kind} {row.name} {'taken off' if archived else 'put back'}"
            noted(session, job, plain("who", who, 200), "attachment", words)
        session.flush()
        if BESIDE in (was, row.kind):
            recheck(session, job)
        return record_of(Attachment, row)


__all__ = [
    "ACTUALS", "MOST_BYTES", "MOST_OF_A_JOB", "PROOF", "SEASON", "VISITS", "CameBetween", "attach", "attachment",
    "attachments", "checked_content", "content", "describe", "keep_content", "of_kind",
]  # fmt: skip
