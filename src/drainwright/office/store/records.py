"""What the store gives back: frozen records, whole in themselves."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any, Literal, TypeAlias, TypeVar, get_args

Stage: TypeAlias = Literal[
    "called", "visited", "designed", "offered", "accepted", "digging", "handed over", "serviced"
]  # fmt: skip
STAGES: tuple[Stage, ...] = get_args(Stage)
Time: TypeAlias = datetime.datetime  # UTC, aware

Told = TypeVar("Told")


@dataclass(frozen=True, slots=True, kw_only=True)
class Firm:
    """A firm; nothing of it is seen by another."""

    id: str
    name: str
    created: Time


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Somebody who works for the firm."""

    firm: str
    id: str
    name: str
    email: str
    role: str
    password_hash: str
    active: bool
    language: str
    created: Time


@dataclass(frozen=True, slots=True, kw_only=True)
class SignIn:
    """A person's session in one browser; its token itself is kept nowhere."""

    firm: str
    id: str
    person: str
    created: Time
    expires: Time
    revoked: Time | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Invitation:
    """A way into the firm for one person; its token itself is kept nowhere."""

    firm: str
    id: str
    email: str
    role: str
    who: str
    created: Time
    expires: Time
    revoked: Time | None
    used: Time | None

    def stands(self, at: Time) -> bool:
        """Whether it lets somebody in at a time."""
        return self.revoked is None and self.used is None and at < self.expires


@dataclass(frozen=True, slots=True, kw_only=True)
class Token:
    """What a person's own programs show instead of a password; the token itself is kept nowhere."""

    firm: str
    id: str
    person: str
    name: str  # what it is for
    scope: str  # "read" or "write"
    created: Time
    expires: Time
    revoked: Time | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Customer:
    """Who has work done."""

    firm: str
    id: str
    name: str
    address: str
    phone: str
    email: str
    note: str
    archived: bool
    created: Time


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """A job as the list shows it; its text is in its revisions."""

    firm: str
    id: str
    title: str
    number: str
    customer_name: str
    place: str
    customer: str | None
    stage: Stage
    head: int  # number of the newest revision
    faults: int  # that keep its text from being a whole job
    missing: tuple[str, ...]  # what is still to be measured or told, in plain words
    archived: bool
    created: Time
    changed: Time


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision:
    """One saved state of a job's text."""

    firm: str
    id: str
    job: str
    number: int
    parent: int | None  # the revision that it was made on
    merged: int | None  # the other revision that went into it
    text: str
    sha256: str
    who: str
    at: Time
    what: str
    problems: tuple[str, ...]  # why the text is no whole job yet
    operations: tuple[Mapping[str, Any], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Attachment:
    """A photo or a paper that hangs on a job; its content is kept once in a firm."""

    firm: str
    id: str
    job: str
    sha256: str
    size: int
    media_type: str
    name: str
    kind: str  # photo, sketch, paper ...
    pin: str  # the path in the job that it belongs to, or a place on the plan; empty: the whole job
    note: str
    who: str
    at: Time
    archived: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """A price book or a catalogue of the firm."""

    firm: str
    id: str
    kind: str
    name: str
    head: int
    archived: bool
    created: Time


@dataclass(frozen=True, slots=True, kw_only=True)
class BookRevision:
    """One saved state of a book's text."""

    firm: str
    id: str
    book: str
    number: int
    text: str
    sha256: str
    who: str
    at: Time
    what: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A private way to one job for somebody who has no password; its token itself is kept nowhere."""

    firm: str
    id: str
    job: str
    purpose: str
    who: str
    created: Time
    expires: Time
    revoked: Time | None

    def stands(self, at: Time) -> bool:
        """Whether the link leads anywhere at a time."""
        return self.revoked is None and at < self.expires


@dataclass(frozen=True, slots=True, kw_only=True)
class Acceptance:
    """What a customer accepted, written once."""

    firm: str
    id: str
    job: str
    revision: int
    by: str
    at: Time
    record: Mapping[str, Any]
    link: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """A line of a job's diary."""

    firm: str
    id: str
    job: str
    number: int
    at: Time
    who: str
    kind: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Reminder:
    """A visit of service that is due."""

    firm: str
    id: str
    job: str
    due: datetime.date
    what: str
    who: str
    created: Time
    done: Time | None
    done_by: str


def record_of(kind: type[Told], row: Any, **more: Any) -> Told:
    """A frozen record of a row: lists become tuples."""
    made = {}
    for field in fields(kind):  # type: ignore[arg-type]  # all of them are dataclasses
        value = more[field.name] if field.name in more else getattr(row, field.name)
        made[field.name] = tuple(value) if isinstance(value, list) else value
    return kind(**made)


__all__ = [
    "STAGES", "Acceptance", "Attachment", "Book", "BookRevision", "Customer", "Event", "Firm", "Invitation", "Job",
    "Link", "Person", "Reminder", "Revision", "SignIn", "Stage", "Time", "Token", "record_of",
]  # fmt: skip
