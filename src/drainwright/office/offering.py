"""How long a job's offer stands, and how it is renewed."""

from __future__ import annotations

import datetime
import uuid
from collections.abc import Mapping
from typing import Any

from drainwright.job.offer import Offer
from drainwright.office.store.editing import Operation, said
from drainwright.office.store.errors import StoreError
from drainwright.office.store.opening import Store
from drainwright.office.store.pricing import take_newest
from drainwright.office.store.records import Revision
from drainwright.office.store.revisions import apply, revision

USUAL = 30  # days by which an offer is renewed: common practice, no source


def today() -> datetime.date:
    """The day by which offers run out."""
    return datetime.datetime.now(datetime.UTC).date()


def stands_until(record: Mapping[str, Any]) -> datetime.date | None:
    """The last day of a job's offer: of its visit, and as many days as it stands; None where it has no date."""
    day, told = _day(record.get("date")), record.get("offer")
    days = told.get("valid_days") if isinstance(told, Mapping) else None
    count = days if isinstance(days, int) else Offer.model_fields["valid_days"].default
    try:
        return None if day is None else day + datetime.timedelta(days=count)
    except OverflowError:
        return None


def has_run_out(until: datetime.date | None) -> bool:
    """Whether an offer that stands until a day has run out by now."""
    return until is not None and today() > until


def renew(store: Store, firm: str, job: str, who: str, days: int = USUAL) -> Revision:
    """Let a job's offer stand for some days from today: a new revision, priced by the books as they are now.

    Raises
    ------
    NotThereError
        If the firm has no such job.
    StoreError
        If the job has no date from which an offer runs, or one that is still to come.
    """
    now = revision(store, firm, job)
    day = _day(said(now.text).get("date"))
    if day is None:
        raise StoreError("date: found none; expected the day of the visit, from which an offer runs")
    count = (today() - day).days + days
    if count < days:
        raise StoreError(f"date: found {day.isoformat()}, which is still to come; expected the day of the visit")
    made = Operation(id=str(uuid.uuid4()), path="offer.valid_days", value=count)
    until = (day + datetime.timedelta(days=count)).isoformat()
    renewed = apply(store, firm, job, now.number, [made], who, f"the offer is renewed, until {until}")
    take_newest(store, firm, job)
    return renewed


def _day(value: object) -> datetime.date | None:
    if isinstance(value, datetime.date):
        return value
    try:
        return datetime.date.fromisoformat(str(value))
    except ValueError:
        return None


__all__ = ["USUAL", "has_run_out", "renew", "stands_until", "today"]
