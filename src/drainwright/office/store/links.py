"""Private links to one job, which run out and can be taken back, and what customers accept."""

from __future__ import annotations

import datetime
import secrets
from collections.abc import Mapping
from typing import Any

import sqlalchemy as sa

from drainwright.office.store.editing import sha256
from drainwright.office.store.errors import NotThereError
from drainwright.office.store.holding import held, noted, own, plain
from drainwright.office.store.opening import Store
from drainwright.office.store.records import Acceptance, Link, record_of
from drainwright.office.store.tables import AcceptanceRow, JobRow, LinkRow, RevisionRow, now


def make_link(store: Store, firm: str, job: str, purpose: str, lasts: datetime.timedelta, who: str) -> tuple[Link, str]:
    """A new link to a job and its token, which is told this once and kept nowhere.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    """
    token = secrets.token_urlsafe(32)
    with store.writing() as session:
        held_job = held(session, firm, job)
        row = LinkRow(
            firm=firm, job=job, purpose=plain("purpose", purpose, 40, 1), token_hash=sha256(token),
            who=plain("who", who, 200), expires=now() + lasts,
        )  # fmt: skip
        session.add(row)
        session.flush()
        noted(session, held_job, row.who, "link", f"link made: {row.purpose}, until {row.expires:%Y-%m-%d}")
        return record_of(Link, row), token


def link_of(store: Store, token: str) -> Link | None:
    """The link of a token, if it stands; None if it ran out, was taken back, or never was."""
    with store.reading() as session:
        row = session.scalar(sa.select(LinkRow).where(LinkRow.token_hash == sha256(token)))
        found = None if row is None else record_of(Link, row)
        return found if found is not None and found.stands(now()) else None


def link_ever(store: Store, token: str) -> Link | None:
    """The link of a token, whether it stands or not; None if it never was."""
    with store.reading() as session:
        row = session.scalar(sa.select(LinkRow).where(LinkRow.token_hash == sha256(token)))
        return None if row is None else record_of(Link, row)


def links(store: Store, firm: str, job: str) -> tuple[Link, ...]:
    """All links that were made to a job, the newest first."""
    with store.reading() as session:
        own(session, JobRow, firm, job, "job")
        rows = session.scalars(
            sa.select(LinkRow).where(LinkRow.firm == firm, LinkRow.job == job).order_by(LinkRow.created.desc())
        )
        return tuple(record_of(Link, row) for row in rows)


def take_back(store: Store, firm: str, link: str, who: str) -> Link:
    """A link that leads nowhere from now on.

    Raises
    ------
    NotThereError
        If the firm has no such link.
    """
    with store.writing() as session:
        row = own(session, LinkRow, firm, link, "link")
        job = held(session, firm, row.job)
        if row.revoked is None:
            row.revoked = now()
            noted(session, job, plain("who", who, 200), "link", f"link taken back: {row.purpose}")
        return record_of(Link, row)


def accept(
    store: Store, firm: str, job: str, revision: int, by: str, record: Mapping[str, Any], link: str | None = None
) -> Acceptance:
    """Keep what a customer accepted; it is written once and never changed.

    Parameters
    ----------
    store : Store
        Where.
    firm, job : str
        Whose, and which.
    revision : int
        Number of the revision that was offered.
    by : str
        Who accepts.
    record : mapping
        What was accepted, as ``drainwright.offer.record.acceptance`` writes it.
    link : str, optional
        Id of the link by which it came.

    Returns
    -------
    Acceptance
        As it is kept.

    Raises
    ------
    NotThereError
        If the firm has no such job or link, or the job no such revision.
    """
    with store.writing() as session:
        held_job = held(session, firm, job)
        if link is not None and own(session, LinkRow, firm, link, "link").job != job:
            raise NotThereError("link", link)
        of_job = sa.select(RevisionRow.id).where(RevisionRow.firm == firm, RevisionRow.job == job)
        if session.scalar(of_job.where(RevisionRow.number == revision)) is None:
            raise NotThereError("revision", str(revision))
        row = AcceptanceRow(
            firm=firm, job=job, revision=revision, by=plain("by", by, 200, 1), record=dict(record), link=link
        )
        session.add(row)
        session.flush()
        noted(session, held_job, row.by, "accepted", f"revision {revision} accepted by {row.by}")
        return record_of(Acceptance, row)


def acceptances(store: Store, firm: str, job: str) -> tuple[Acceptance, ...]:
    """What was accepted of a job, the newest first.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    """
    with store.reading() as session:
        own(session, JobRow, firm, job, "job")
        rows = session.scalars(
            sa.select(AcceptanceRow)
            .where(AcceptanceRow.firm == firm, AcceptanceRow.job == job)
            .order_by(AcceptanceRow.at.desc(), AcceptanceRow.id)
        )
        return tuple(record_of(Acceptance, row) for row in rows)


__all__ = ["accept", "acceptances", "link_ever", "link_of", "links", "make_link", "take_back"]
