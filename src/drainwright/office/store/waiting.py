"""What a job waits for, in plain words, from its stage and from what is there."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Sequence

from drainwright.office.store.records import Job, Link, Reminder, Time

OFFER = "offer"  # purpose of a link that shows a customer the proposal
_BEFORE_OFFER = ("called", "visited", "designed")


def waits_for(
    job: Job, links: Sequence[Link], accepted: bool, reminders: Sequence[Reminder], at: Time, today: datetime.date
) -> tuple[str, ...]:
    """What must happen next.

    Parameters
    ----------
    job : Job
        With what is missing in its record.
    links : sequence of Link
        All that were made for it.
    accepted : bool
        Whether an acceptance is kept.
    reminders : sequence of Reminder
        Of service, not done yet.
    at, today : datetime, date
        What links and reminders are held against.

    Returns
    -------
    tuple of str
        Most pressing first; empty where a job waits for nobody.
    """
    return tuple(_told(job, links, accepted, reminders, at, today))


def _told(
    job: Job, links: Sequence[Link], accepted: bool, reminders: Sequence[Reminder], at: Time, today: datetime.date
) -> Iterator[str]:
    if job.stage == "called":
        yield "the visit: to be measured"
        return
    if job.stage in _BEFORE_OFFER:
        yield from (f"to measure or find out: {one}" for one in job.missing)
        if not job.missing and job.faults:
            yield "one fault in the job's text" if job.faults == 1 else f"{job.faults} faults in the job's text"
        elif not job.missing and job.stage == "visited":
            yield "the design"
    offers = [link for link in links if link.purpose == OFFER]
    standing = any(link.stands(at) for link in offers)
    if job.stage in ("designed", "offered") and accepted:
        yield "the stage: an acceptance is here"
    elif job.stage == "designed" and not standing:
        yield "the offer: it is not sent"
    elif job.stage == "offered" or (job.stage == "designed" and standing):
        yield "the customer's answer" if standing or not offers else "the offer: its link has run out"
    elif job.stage == "accepted":
        if not accepted:
            yield "the acceptance: none is kept here"
        yield "the start of the work"
    elif job.stage == "digging":
        yield "the handing over"
    elif job.stage in ("handed over", "serviced"):
        due = sorted(reminders, key=lambda one: (one.due, one.id))
        if not due:
            yield "a day for the next service"
        for one in due:
            late = "; overdue" if one.due < today else ""
            yield f"service on {one.due.isoformat()}: {one.what}{late}"


__all__ = ["OFFER", "waits_for"]
