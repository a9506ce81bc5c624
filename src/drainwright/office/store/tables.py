"""The tables: everything but a firm itself belongs to one, and refers only to what is the same firm's."""

from __future__ import annotations

import datetime
import uuid
from typing import Any, ClassVar

import sqlalchemy as sa
from sqlalchemy.orm import DeclarativeBase, Mapped, mapped_column


class Utc(sa.TypeDecorator[datetime.datetime]):
    """A time in UTC, aware; SQLite, which knows no zones, keeps it bare."""

    impl = sa.DateTime(timezone=True)
    cache_ok = True

    @property
    def python_type(self) -> type[datetime.datetime]:
        """What it holds."""
        return datetime.datetime

    def process_bind_param(self, value: datetime.datetime | None, dialect: sa.Dialect) -> datetime.datetime | None:
        """To the database: a time without a zone is refused."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"at = {value!r}: expected an aware time")
        value = value.astimezone(datetime.UTC)
        return value.replace(tzinfo=None) if dialect.name == "sqlite" else value

    def process_result_value(self, value: datetime.datetime | None, dialect: sa.Dialect) -> datetime.datetime | None:
        """From the database."""
        if value is None:
            return None
        return value.replace(tzinfo=datetime.UTC) if value.tzinfo is None else value.astimezone(datetime.UTC)


def new_id() -> str:
    """An identity that nothing else has."""
    return str(uuid.uuid4())


def now() -> datetime.datetime:
    """The time, in UTC."""
    return datetime.datetime.now(datetime.UTC)


class Base(DeclarativeBase):
    """All tables."""

    type_annotation_map: ClassVar[dict[Any, Any]] = {
        datetime.datetime: Utc,
        dict[str, Any]: sa.JSON,
        list[Any]: sa.JSON,
        str: sa.Text,
    }


class FirmRow(Base):
    """A firm."""

    __tablename__ = "firm"

    id: Mapped[str] = mapped_column(sa.String(36), primary_key=True, default=new_id)
    name: Mapped[str]
    created: Mapped[datetime.datetime] = mapped_column(default=now)


class _Owned:
    """What belongs to a firm."""

    firm: Mapped[str] = mapped_column(sa.String(36), sa.ForeignKey("firm.id"), primary_key=True)
    id: Mapped[str] = mapped_column(sa.String(36), primary_key=True, default=new_id)


def _refers(column: str, table: str, to: str = "id") -> sa.ForeignKeyConstraint:
    """A reference within the firm."""
    return sa.ForeignKeyConstraint(["firm", column], [f"{table}.firm", f"{table}.{to}"])


class PersonRow(_Owned, Base):
    """Somebody who works for the firm."""

    __tablename__ = "person"
    __table_args__ = (sa.UniqueConstraint("email"),)

    name: Mapped[str]
    email: Mapped[str] = mapped_column(sa.String(254))
    role: Mapped[str] = mapped_column(sa.String(40))
    password_hash: Mapped[str]
    active: Mapped[bool] = mapped_column(default=True)
    language: Mapped[str] = mapped_column(
        sa.String(5), default="", server_default=""
    )  # of a crew's pages; none chosen: ""
    created: Mapped[datetime.datetime] = mapped_column(default=now)


class SessionRow(_Owned, Base):
    """A person's session."""

    __tablename__ = "session"
    __table_args__ = (_refers("person", "person"), sa.UniqueConstraint("token_hash"))

    person: Mapped[str] = mapped_column(sa.String(36))
    token_hash: Mapped[str] = mapped_column(sa.String(64))
    created: Mapped[datetime.datetime] = mapped_column(default=now)
    expires: Mapped[datetime.datetime]
    revoked: Mapped[datetime.datetime | None]


class InvitationRow(_Owned, Base):
    """A way into the firm for somebody who is to work for it."""

    __tablename__ = "invitation"
    __table_args__ = (sa.UniqueConstraint("token_hash"),)

    email: Mapped[str] = mapped_column(sa.String(254))
    role: Mapped[str] = mapped_column(sa.String(40))
    token_hash: Mapped[str] = mapped_column(sa.String(64))
    who: Mapped[str]
    created: Mapped[datetime.datetime] = mapped_column(default=now)
    expires: Mapped[datetime.datetime]
    revoked: Mapped[datetime.datetime | None]
    used: Mapped[datetime.datetime | None]


class TokenRow(_Owned, Base):
    """What a person's own programs show instead of a password."""

    __tablename__ = "token"
    __table_args__ = (_refers("person", "person"), sa.UniqueConstraint("token_hash"))

    person: Mapped[str] = mapped_column(sa.String(36))
    name: Mapped[str]
    scope: Mapped[str] = mapped_column(sa.String(20))
    token_hash: Mapped[str] = mapped_column(sa.String(64))
    created: Mapped[datetime.datetime] = mapped_column(default=now)
    expires: Mapped[datetime.datetime]
    revoked: Mapped[datetime.datetime | None]


class AttemptRow(Base):
    """How often something was tried of late; of no firm, as it is counted before anybody is known."""

    __tablename__ = "attempt"
    __table_args__ = (sa.Index("attempt_by_end", "ends"),)

    key: Mapped[str] = mapped_column(sa.String(64), primary_key=True)  # a digest of what is counted
    count: Mapped[int]
    ends: Mapped[datetime.datetime]  # then counting begins anew


class CustomerRow(_Owned, Base):
    """Who has work done."""

    __tablename__ = "customer"

    name: Mapped[str]
    address: Mapped[str]
    phone: Mapped[str]
    email: Mapped[str]
    note: Mapped[str]
    archived: Mapped[bool] = mapped_column(default=False)
    created: Mapped[datetime.datetime] = mapped_column(default=now)


class JobRow(_Owned, Base):
    """A job, with what the list shows of its newest revision."""

    __tablename__ = "job"
    __table_args__ = (_refers("customer", "customer"), sa.Index("job_by_change", "firm", "archived", "changed"))

    title: Mapped[str]
    number: Mapped[str]
    customer_name: Mapped[str]
    place: Mapped[str]
    customer: Mapped[str | None] = mapped_column(sa.String(36))
    stage: Mapped[str] = mapped_column(sa.String(40))
    head: Mapped[int]
    faults: Mapped[int]
    missing: Mapped[list[Any]]
    words: Mapped[str]  # what a search looks in
    archived: Mapped[bool] = mapped_column(default=False)
    created: Mapped[datetime.datetime] = mapped_column(default=now)
    changed: Mapped[datetime.datetime] = mapped_column(default=now)


class RevisionRow(_Owned, Base):
    """One saved state of a job's text."""

    __tablename__ = "revision"
    __table_args__ = (_refers("job", "job"), sa.UniqueConstraint("firm", "job", "number"))

    job: Mapped[str] = mapped_column(sa.String(36))
    number: Mapped[int]
    parent: Mapped[int | None]
    merged: Mapped[int | None]
    text: Mapped[str]
    sha256: Mapped[str] = mapped_column(sa.String(64))
    who: Mapped[str]
    at: Mapped[datetime.datetime] = mapped_column(default=now)
    what: Mapped[str]
    problems: Mapped[list[Any]]
    operations: Mapped[list[Any]] = mapped_column(default=list, server_default="[]")


class ContentRow(Base):
    """The bytes of attachments, once in a firm."""

    __tablename__ = "content"

    firm: Mapped[str] = mapped_column(sa.String(36), sa.ForeignKey("firm.id"), primary_key=True)
    sha256: Mapped[str] = mapped_column(sa.String(64), primary_key=True)
    size: Mapped[int]
    data: Mapped[bytes]


class AttachmentRow(_Owned, Base):
    """What hangs on a job."""

    __tablename__ = "attachment"
    __table_args__ = (
        _refers("job", "job"),
        _refers("sha256", "content", "sha256"),
        sa.Index("attachment_by_job", "firm", "job"),
    )

    job: Mapped[str] = mapped_column(sa.String(36))
    sha256: Mapped[str] = mapped_column(sa.String(64))
    size: Mapped[int]
    media_type: Mapped[str] = mapped_column(sa.String(100))
    name: Mapped[str]
    kind: Mapped[str] = mapped_column(sa.String(40))
    pin: Mapped[str]
    note: Mapped[str]
    who: Mapped[str]
    at: Mapped[datetime.datetime] = mapped_column(default=now)
    archived: Mapped[bool] = mapped_column(default=False)


class BookRow(_Owned, Base):
    """A price book or a catalogue."""

    __tablename__ = "book"

    kind: Mapped[str] = mapped_column(sa.String(40))
    name: Mapped[str]
    head: Mapped[int]
    archived: Mapped[bool] = mapped_column(default=False)
    created: Mapped[datetime.datetime] = mapped_column(default=now)


class BookRevisionRow(_Owned, Base):
    """One saved state of a book's text."""

    __tablename__ = "book_revision"
    __table_args__ = (_refers("book", "book"), sa.UniqueConstraint("firm", "book", "number"))

    book: Mapped[str] = mapped_column(sa.String(36))
    number: Mapped[int]
    text: Mapped[str]
    sha256: Mapped[str] = mapped_column(sa.String(64))
    who: Mapped[str]
    at: Mapped[datetime.datetime] = mapped_column(default=now)
    what: Mapped[str]


class LinkRow(_Owned, Base):
    """A private way to one job."""

    __tablename__ = "link"
    __table_args__ = (
        _refers("job", "job"),
        sa.UniqueConstraint("token_hash"),
        sa.Index("link_by_job", "firm", "job"),
    )

    job: Mapped[str] = mapped_column(sa.String(36))
    purpose: Mapped[str] = mapped_column(sa.String(40))
    token_hash: Mapped[str] = mapped_column(sa.String(64))
    who: Mapped[str]
    created: Mapped[datetime.datetime] = mapped_column(default=now)
    expires: Mapped[datetime.datetime]
    revoked: Mapped[datetime.datetime | None]


class AcceptanceRow(_Owned, Base):
    """What a customer accepted."""

    __tablename__ = "acceptance"
    __table_args__ = (_refers("job", "job"), _refers("link", "link"), sa.Index("acceptance_by_job", "firm", "job"))

    job: Mapped[str] = mapped_column(sa.String(36))
    revision: Mapped[int]
    by: Mapped[str]
    at: Mapped[datetime.datetime] = mapped_column(default=now)
    record: Mapped[dict[str, Any]]
    link: Mapped[str | None] = mapped_column(sa.String(36))


class EventRow(_Owned, Base):
    """A line of a job's diary."""

    __tablename__ = "event"
    __table_args__ = (_refers("job", "job"), sa.UniqueConstraint("firm", "job", "number"))

    job: Mapped[str] = mapped_column(sa.String(36))
    number: Mapped[int]
    at: Mapped[datetime.datetime] = mapped_column(default=now)
    who: Mapped[str]
    kind: Mapped[str] = mapped_column(sa.String(40))
    words: Mapped[str]


class OperationRow(Base):
    """An edit from a browser that was made: it is made once, however often it is sent."""

    __tablename__ = "operation"
    __table_args__ = (_refers("job", "job"),)

    firm: Mapped[str] = mapped_column(sa.String(36), sa.ForeignKey("firm.id"), primary_key=True)
    job: Mapped[str] = mapped_column(sa.String(36), primary_key=True)
    id: Mapped[str] = mapped_column(sa.String(36), primary_key=True)  # given by the browser
    revision: Mapped[int]
    digest: Mapped[str] = mapped_column(sa.String(64))
    at: Mapped[datetime.datetime] = mapped_column(default=now)


class ReminderRow(_Owned, Base):
    """A visit of service that is due."""

    __tablename__ = "reminder"
    __table_args__ = (_refers("job", "job"), sa.Index("reminder_by_day", "firm", "due"))

    job: Mapped[str] = mapped_column(sa.String(36))
    due: Mapped[datetime.date]
    what: Mapped[str]
    who: Mapped[str]
    created: Mapped[datetime.datetime] = mapped_column(default=now)
    done: Mapped[datetime.datetime | None]
    done_by: Mapped[str] = mapped_column(default="")


__all__ = [
    "AcceptanceRow", "AttachmentRow", "AttemptRow", "Base", "BookRevisionRow", "BookRow", "ContentRow", "CustomerRow",
    "EventRow", "FirmRow", "InvitationRow", "JobRow", "LinkRow", "OperationRow", "PersonRow", "ReminderRow",
    "RevisionRow", "SessionRow", "TokenRow", "new_id", "now",
]  # fmt: skip
