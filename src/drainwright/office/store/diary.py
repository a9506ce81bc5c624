"""What happened on a job, line by line, and the visits of service that are due."""

from __future__ import annotations

import datetime

import sqlalchemy as sa

from drainwright.office.store.holding import held, noted, own, plain
from drainwright.office.store.opening import Store
from drainwright.office.store.records import Event, Reminder, record_of
from drainwright.office.store.tables import EventRow, JobRow, ReminderRow, now


def note(store: Store, firm: str, job: str, who: str, kind: str, words: str) -> Event:
    """Write a line into a job's diary.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    StoreError
        If a text is no plain text, or too long.
    """
    with store.writing() as session:
        row = held(session, firm, job)
        made = noted(session, row, plain("who", who, 200), plain("kind", kind, 40, 1), plain("words", words, 4000, 1))
        return record_of(Event, made)


def diary(store: Store, firm: str, job: str) -> tuple[Event, ...]:
    """All lines of a job's diary, the newest first.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    """
    with store.reading() as session:
        own(session, JobRow, firm, job, "job")
        rows = session.scalars(
            sa.select(EventRow).where(EventRow.firm == firm, EventRow.job == job).order_by(EventRow.number.desc())
        )
        return tuple(record_of(Event, row) for row in rows)


def remind(store: Store, firm: str, job: str, due: datetime.date, what: str, who: str) -> Reminder:
    """Set a visit of service.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    StoreError
        If a text is no plain text, or too long.
    """
    with store.writing() as session:
        row = held(session, firm, job)
        who = plain("who", who, 200)
        made = ReminderRow(firm=firm, job=job, due=due, what=plain("what", what, 500, 1), who=who)
        session.add(made)
        session.flush()
        noted(session, row, who, "service", f"service set for {due.isoformat()}: {made.what}")
        return record_of(Reminder, made)


def reminders(
    store: Store, firm: str, job: str | None = None, until: datetime.date | None = None, *, done: bool = False
) -> tuple[Reminder, ...]:
    """The firm's visits of service, the first due first: of one job or of all, up to a day, those done too if asked."""
    query = sa.select(ReminderRow).where(ReminderRow.firm == firm)
    if job is not None:
        query = query.where(ReminderRow.job == job)
    if until is not None:
        query = query.where(ReminderRow.due <= until)
    if not done:
        query = query.where(ReminderRow.done.is_(None))
    with store.reading() as session:
        rows = session.scalars(query.order_by(ReminderRow.due, ReminderRow.id))
        return tuple(record_of(Reminder, row) for row in rows)


def served(store: Store, firm: str, reminder: str, who: str) -> Reminder:
    """Say that a visit of service is done.

    Raises
    ------
    NotThereError
        If the firm has no such reminder.
    """
    with store.writing() as session:
        row = own(session, ReminderRow, firm, reminder, "reminder")
        job = held(session, firm, row.job)
        if row.done is None:
            row.done, row.done_by = now(), plain("who", who, 200)
            noted(session, job, row.done_by, "service", f"service done: {row.what}")
        return record_of(Reminder, row)


__all__ = ["diary", "note", "remind", "reminders", "served"]
