"""Jobs from the first call to the visits of service: opened, listed, searched, moved on, laid away."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

import sqlalchemy as sa
from sqlalchemy.orm import Session

from drainwright.office.store.errors import NotThereError, StoreError
from drainwright.office.store.holding import Checked, held, noted, own, plain, revised
from drainwright.office.store.opening import Store
from drainwright.office.store.pricing import priced
from drainwright.office.store.records import STAGES, Firm, Job, Link, Reminder, Stage, record_of
from drainwright.office.store.tables import (
    AcceptanceRow,
    CustomerRow,
    FirmRow,
    JobRow,
    LinkRow,
    ReminderRow,
    new_id,
    now,
)
from drainwright.office.store.waiting import waits_for

MOST_LISTED = 500


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """A job in the list, with what it waits for."""

    job: Job
    waits_for: tuple[str, ...]
    priced: tuple[str, ...] = ()  # that its price book has gone on, or has prices that are too old


def add_firm(store: Store, name: str) -> Firm:
    """A new firm, with nothing in it.

    Raises
    ------
    StoreError
        If the name is empty or no plain text.
    """
    with store.writing() as session:
        row = FirmRow(name=plain("name", name, least=1))
        session.add(row)
        session.flush()
        return record_of(Firm, row)


def firms(store: Store) -> tuple[Firm, ...]:
    """All firms of the store, the oldest first: for whoever runs it, never for a firm."""
    with store.reading() as session:
        rows = session.scalars(sa.select(FirmRow).order_by(FirmRow.created, FirmRow.id))
        return tuple(record_of(Firm, row) for row in rows)


def open_job(
    store: Store, firm: str, text: str, who: str, what: str = "the job was opened", *, customer: str | None = None,
    stage: Stage = "called", id: str | None = None,
) -> Job:  # fmt: skip
    """A new job with its first revision.

    Parameters
    ----------
    store : Store
        Where.
    firm : str
        Whose.
    text : str
        YAML; it may be no whole job yet.
    who, what : str
        Who opens it, and words for the diary.
    customer : str, optional
        Id of one of the firm's customers.
    stage : Stage
        How far the job is.
    id : str, optional
        Its own for ever, where it began elsewhere; the firm's job of that id is given back, and none is made.

    Returns
    -------
    Job
        As the list shows it.

    Raises
    ------
    JobError
        If the text cannot be parsed.
    NotThereError
        If there is no such firm, or it has no such customer.
    """
    checked = Checked.of(text)
    who = plain("who", who, 200)
    with store.writing() as session:
        if session.get(FirmRow, firm) is None:
            raise NotThereError("firm", firm)
        if customer is not None:
            own(session, CustomerRow, firm, customer, "customer")
        known = None if id is None else session.scalar(sa.select(JobRow).where(JobRow.firm == firm, JobRow.id == id))
        if known is not None:
            return record_of(Job, known)
        row = JobRow(
            firm=firm, id=id or new_id(), customer=customer, stage=_stage(stage), head=0, faults=0, title="", number="",
            customer_name="", place="", missing=[], words="",
        )  # fmt: skip
        session.add(row)
        session.flush()
        revised(session, row, checked, who, what, parent=None)
        noted(session, row, who, "opened", what)
        return record_of(Job, row)


def job(store: Store, firm: str, id: str) -> Job:
    """One job of the firm.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    """
    with store.reading() as session:
        return record_of(Job, own(session, JobRow, firm, id, "job"))


def listed(
    store: Store, firm: str, words: str = "", stage: Stage | None = None, *, archived: bool = False,
    today: datetime.date | None = None, most: int = MOST_LISTED, skip: int = 0,
) -> tuple[Listed, ...]:  # fmt: skip
    """The firm's jobs, the last changed first, each with what it waits for.

    Parameters
    ----------
    store : Store
        Where.
    firm : str
        Whose.
    words : str
        All of them are looked for in title, number, customer, place and notes; capitals make no difference.
    stage : Stage, optional
        Only jobs that are so far.
    archived : bool
        Those that were laid away, instead of the others.
    today : date, optional
        The day that links and reminders are held against; left out: today in UTC.
    most, skip : int
        How many, and how many before them are left out.

    Returns
    -------
    tuple of Listed
        None for a firm that is not there.
    """
    query = sa.select(JobRow).where(JobRow.firm == firm, JobRow.archived == archived)
    for word in words.lower().split():
        query = query.where(JobRow.words.contains(word, autoescape=True))
    if stage is not None:
        query = query.where(JobRow.stage == _stage(stage))
    with store.reading() as session:
        rows = session.scalars(
            query.order_by(JobRow.changed.desc(), JobRow.id).limit(min(most, MOST_LISTED)).offset(skip)
        ).all()
        return _with_waiting(session, firm, [record_of(Job, row) for row in rows], today)


def waiting(store: Store, firm: str, id: str, today: datetime.date | None = None) -> tuple[str, ...]:
    """What one job waits for, in plain words.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    """
    return one_listed(store, firm, id, today).waits_for


def one_listed(store: Store, firm: str, id: str, today: datetime.date | None = None) -> Listed:
    """One job as the list has it.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    """
    with store.reading() as session:
        found = record_of(Job, own(session, JobRow, firm, id, "job"))
        return _with_waiting(session, firm, [found], today)[0]


def _with_waiting(session: Session, firm: str, found: list[Job], today: datetime.date | None) -> tuple[Listed, ...]:
    ids = [one.id for one in found]
    day = today or now().date()
    at = now() if today is None else datetime.datetime.combine(today, datetime.time(), datetime.UTC)
    links = session.scalars(sa.select(LinkRow).where(LinkRow.firm == firm, LinkRow.job.in_(ids))).all()
    accepted = set(
        session.scalars(sa.select(AcceptanceRow.job).where(AcceptanceRow.firm == firm, AcceptanceRow.job.in_(ids)))
    )
    reminders = session.scalars(
        sa.select(ReminderRow).where(ReminderRow.firm == firm, ReminderRow.job.in_(ids), ReminderRow.done.is_(None))
    ).all()
    books = priced(session, firm, ids, day)
    return tuple(
        Listed(
            job=one,
            priced=books.get(one.id, ()),
            waits_for=waits_for(
                one,
                tuple(record_of(Link, row) for row in links if row.job == one.id),
                one.id in accepted,
                tuple(record_of(Reminder, row) for row in reminders if row.job == one.id),
                at,
                day,
            ),
        )
        for one in found
    )


def move_on(store: Store, firm: str, id: str, stage: Stage, who: str, note: str = "") -> Job:
    """Say how far a job is, and in a note why; its diary tells both, the note also where the job was so far already.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    StoreError
        If there is no such stage.
    """
    with store.writing() as session:
        row = held(session, firm, id)
        who, why = plain("who", who, 200), plain("note", note, 3900)
        if row.stage != _stage(stage):
            noted(session, row, who, "stage", f"{row.stage} -> {stage}{f': {why}' if why else ''}")
            row.stage, row.changed = stage, now()
        elif why:
            noted(session, row, who, "note", why)
        return record_of(Job, row)


def lay_away(store: Store, firm: str, id: str, who: str, *, archived: bool = True) -> Job:
    """Take a job out of the list, or back into it; nothing of it is lost.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    """
    with store.writing() as session:
        row = held(session, firm, id)
        if row.archived != archived:
            row.archived = archived
            noted(session, row, plain("who", who, 200), "archive", "laid away" if archived else "taken out again")
        return record_of(Job, row)


def give_customer(store: Store, firm: str, id: str, customer: str | None, who: str) -> Job:
    """Say whose job it is, among the firm's customers.

    Raises
    ------
    NotThereError
        If the firm has no such job or customer.
    """
    with store.writing() as session:
        row = held(session, firm, id)
        name = own(session, CustomerRow, firm, customer, "customer").name if customer is not None else "nobody"
        row.customer, row.changed = customer, now()
        noted(session, row, plain("who", who, 200), "customer", f"the job is for {name}")
        return record_of(Job, row)


def _stage(stage: str) -> str:
    if stage not in STAGES:
        raise StoreError(f"stage: found {stage!r}; expected one of {', '.join(STAGES)}")
    return stage


__all__ = [
    "MOST_LISTED", "Listed", "add_firm", "firms", "give_customer", "job", "lay_away", "listed", "move_on",
    "one_listed", "open_job", "waiting",
]  # fmt: skip
