"""The days of a locate ticket against the days of the dig, and which answers are missing."""

from __future__ import annotations

import datetime
from collections.abc import Collection
from dataclasses import dataclass

from drainwright.job.locates import Answer
from drainwright.job.model import Job
from drainwright.job.site import UtilityKind

STOP = frozenset({5, 6})  # Saturday, Sunday: no working days of a one-call centre
#: Lines whose owners a one-call centre asks; all others are the lot's own. Common practice, differs by state.
PUBLIC: tuple[UtilityKind, ...] = ("water", "reclaimed", "electric", "gas", "communication", "sewer", "storm drain")
EARLY = 2  # working days before its end by which a ticket is renewed at the latest: common practice, no source


def working_day(start: datetime.date, days: int, holidays: Collection[datetime.date] = ()) -> datetime.date:
    """The working day so many before (negative) or after a date: Monday to Friday without the given holidays.

    Examples
    --------
    >>> working_day(datetime.date(2026, 4, 13), -3)
    datetime.date(2026, 4, 8)
    >>> working_day(datetime.date(2026, 4, 13), -3, (datetime.date(2026, 4, 10),))
    datetime.date(2026, 4, 7)
    """
    step = datetime.timedelta(days=1 if days >= 0 else -1)
    found, left = start, abs(days)
    while left or _rests(found, holidays):
        found += step
        left -= 0 if _rests(found, holidays) or not left else 1
    return found


def _rests(day: datetime.date, holidays: Collection[datetime.date]) -> bool:
    return day.weekday() in STOP or day in holidays


def renew_day(last: datetime.date, notice: int, holidays: Collection[datetime.date] = ()) -> datetime.date:
    """The last day on which a ticket is renewed, so that its new answers are due before the old ones have run out.

    Examples
    --------
    >>> renew_day(datetime.date(2027, 4, 19), 3)  # full days are the 15th, 16th and 19th; digging goes on on the 20th
    datetime.date(2027, 4, 14)
    """
    after = working_day(last + datetime.timedelta(days=1), 0, holidays)
    return min(working_day(after, -notice - 1, holidays), working_day(last, -EARLY, holidays))


@dataclass(frozen=True, slots=True, kw_only=True)
class TicketDays:
    """What a ticket allows, and what the dig asks of it."""

    call_by: datetime.date | None  # the last day to call for the dig's first day; none: no first day is set
    earliest: (
        datetime.date | None
    )  # the first day on which the ticket lets dig; none: nobody called, or on a day that nobody told
    last: datetime.date | None  # the last day of the ticket, renewals counted
    renew_by: datetime.date | None
    uncovered: tuple[datetime.date, ...]  # days of the dig after one ticket ran out, before the answers of its renewal
    last_if_called: datetime.date | None  # the last day of a ticket that is called on the last day for it
    dig_starts: datetime.date | None
    dig_ends: datetime.date | None


def ticket_days(job: Job, dig_days: tuple[datetime.date, ...]) -> TicketDays:
    """The days of the ticket.

    Parameters
    ----------
    job : Job
        Its ticket, the place's notice and life, the holidays of the crew (taken for the centre's too).
    dig_days : tuple of date
        The worked days, in order; none where no start is set.

    Returns
    -------
    TicketDays
        The notice is of full working days: neither the day of the call nor the first day of digging counts; a renewal
        asks for the same. A life runs from the call, its day not counted. Centres differ in both: what the ticket
        itself says goes first.
    """
    rules, off, ticket = job.rules, job.crew.holidays, job.locates
    start = dig_days[0] if dig_days else job.crew.start
    earliest = last = None
    uncovered: list[datetime.date] = []
    if ticket.called is not None:
        earliest = ticket.valid_from or working_day(ticket.called, rules.locate_notice.value + 1, off)
        ends = [ticket.valid_until or working_day(ticket.called, rules.ticket_life.value, off)]
    else:  # only the ticket's own days are known
        earliest, ends = ticket.valid_from, [day for day in (ticket.valid_until,) if day is not None]
    if ends:
        last = ends[0]
        for day in sorted(ticket.renewals):
            if day <= last:
                answered = working_day(day, rules.locate_notice.value + 1, off)
                uncovered += [one for one in dig_days if last < one < answered]
                last = max(last, working_day(day, rules.ticket_life.value, off))
    call_by = None if start is None else working_day(start, -rules.locate_notice.value - 1, off)
    return TicketDays(
        call_by=call_by,
        last_if_called=None if call_by is None else working_day(call_by, rules.ticket_life.value, off),
        earliest=earliest,
        last=last,
        renew_by=None if last is None else renew_day(last, rules.locate_notice.value, off),
        uncovered=tuple(uncovered),
        dig_starts=start,
        dig_ends=dig_days[-1] if dig_days else None,
    )


def answers(job: Job) -> dict[str, Answer | None]:
    """The answer for each line that a one-call centre asks for: by the line's name, else by its kind."""
    said = {item.line: item.answer for item in job.locates.answers}
    return {
        line.name: said.get(line.name, said.get(line.kind))
        for line in job.utilities
        if line.kind in PUBLIC and line.located_by != "exposed by hand"
    }


def lies_here(job: Job) -> dict[str, str]:
    """Kinds of line that the lot evidently has, with what shows it: common practice, no source.

    A drawn line shows its kind. A pool shows electricity; a house without a well shows water, one without a septic
    system a sewer.
    """
    found: dict[str, str] = {line.kind: f"the {line.name} is drawn" for line in job.utilities}
    kept = {item.kind for item in job.property.protected}
    if "pool" in kept:
        found.setdefault("electric", "the pool's pump needs power")
    if "well" not in kept:
        found.setdefault("water", "no well is entered, so that water comes in by a service")
    if not kept & {"septic field", "septic tank"} and "septic" not in found:
        found.setdefault("sewer", "no septic system is entered, so that there is a sewer")
    return found


__all__ = ["EARLY", "PUBLIC", "TicketDays", "answers", "lies_here", "renew_day", "ticket_days", "working_day"]
