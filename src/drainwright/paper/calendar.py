"""Reminders as a calendar file (RFC 5545): the locate ticket, the days of the dig, the service."""

from __future__ import annotations

import datetime
from collections.abc import Iterable

from drainwright.build.locates import renew_day, ticket_days, working_day
from drainwright.build.short_days import short_days
from drainwright.build.wording import BASIS_WORDS
from drainwright.design import Design
from drainwright.job.values import Basis
from drainwright.paper.documents.day_words import date_words, short_words, visits_words
from drainwright.paper.documents.say import site_of
from drainwright.paper.documents.typeset import NO_DATE
from drainwright.paper.sheet import clean

BOOKED = 10  # working days before the first, those are asked who must come: common practice, no source
FOLD = 73  # octets of a line before it is folded; the standard allows 75


def reminders(design: Design) -> bytes:
    """The reminders of a job whose first day is set.

    Parameters
    ----------
    design : Design
        Its ``job.crew.start`` is a date.

    Returns
    -------
    bytes
        All-day events in UTF-8 with the line ends of the standard. Equal designs give equal bytes.
    """
    job = design.job
    start = job.crew.start
    told = [] if start is None else list(enumerate(_events(design, start), start=1))
    events = [
        (f"{job.number or 'job'}-{start:%Y%m%d}-{number}", date, f"{title}: {job.title}", words, site_of(job))
        for number, (date, title, words) in told
    ]
    return calendar_file(events, datetime.datetime.combine(job.date or NO_DATE, datetime.time()))


def calendar_file(events: Iterable[tuple[str, datetime.date, str, str, str]], stamp: datetime.datetime) -> bytes:
    """A calendar of all-day events.

    Parameters
    ----------
    events : iterable of tuple
        Of each: a name that no other has, the day, the title, words, the place.
    stamp : datetime
        When it was made, UTC.

    Returns
    -------
    bytes
        UTF-8 with the line ends of the standard.
    """
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//drainwright//papers//EN", "CALSCALE:GREGORIAN"]
    for name, date, title, words, place in events:
        lines += [
            "BEGIN:VEVENT",
            f"UID:{escape(name)}@drainwright",
            f"DTSTAMP:{stamp:%Y%m%dT%H%M%SZ}",
            f"DTSTART;VALUE=DATE:{date:%Y%m%d}",
            f"DTEND;VALUE=DATE:{date + datetime.timedelta(days=1):%Y%m%d}",
            f"SUMMARY:{escape(title)}",
            f"DESCRIPTION:{escape(words)}",
            f"LOCATION:{escape(place)}",
            "TRANSP:TRANSPARENT",
            "END:VEVENT",
        ]
    lines.append("END:VCALENDAR")
    return b"".join(_folded(line) for line in lines)


def _events(design: Design, start: datetime.date) -> Iterable[tuple[datetime.date, str, str]]:
    job, plan = design.job, design.build.plan
    rules, made, off = job.rules, job.locates, job.crew.holidays
    worked = plan.dates
    ticket = ticket_days(job, worked)
    last: datetime.date | None
    if not made.made:
        yield (
            ticket.call_by or start, "Ask for the locate ticket",
            f"Last day to call: {rules.locate_notice.value} full working days ({_marked(rules.locate_notice.basis)}). "
            "Mark the dig white first. Holidays that the job does not list are not counted: look.",
        )  # fmt: skip
        last = ticket.last_if_called or start
        runs_out = renew_day(last, rules.locate_notice.value, off)
    else:
        due = working_day(ticket.earliest or start, -1, off)
        yield due, "Answers to the locate ticket due", "An answer for each line, or call again. Silence is no answer."
        last, runs_out = ticket.last, ticket.renew_by or start
    yield working_day(worked[0], -1, off), "Locate ticket answered? Private lines marked?", "No mark, no digging."
    coming = [(worked[visit.day - 1], visit) for visit in plan.visits]
    if coming:
        booked = (f"By {date_words(date)}: {visits_words([visit])}, before “{visit.before}”." for date, visit in coming)
        yield working_day(worked[0], -BOOKED, off), "Book who must come", " ".join(booked)
    short = {item.day: item for item in short_days(plan)}
    for number, date in enumerate(worked, start=1):
        at_work = "; ".join(f"{task.title} ({hands.people})" for task, hands in plan.on_day(number))
        comes = visits_words(plan.visits_on(number))
        told = f"{at_work}." if at_work else "Nothing is worked at."
        told += f" {short_words(short[number])}." if number in short else ""
        yield date, f"Dig day {number} of {plan.days}", told + (f" By today comes: {comes}." if comes else "")
    yield (
        runs_out, "Locate ticket runs out soon",
        f"It lives {rules.ticket_life.value} working days ({_marked(rules.ticket_life.basis)})"
        + ("" if last is None else f", until {last}" + ("" if made.made else " if called on the last day for it"))
        + ". Renew it and mark anew if digging goes on.",
    )  # fmt: skip
    done = worked[-1]
    if plan.doubt is not None and plan.doubt.end_bad is not None and plan.doubt.end_bad > done:
        yield (
            plan.doubt.end_bad,
            "Done by now, with bad luck",
            "Eight cases of ten are done by this day, days lost to weather counted.",
        )
    yield (
        done + datetime.timedelta(days=365),
        "Yearly visit",
        "Clean the basin and grates, test pump and alarm, flush, look at the outlet.",
    )


def _marked(basis: Basis) -> str:
    return BASIS_WORDS[basis].lower()


def escape(value: str) -> str:
    """A text as the standard writes it in one line."""
    safe = clean(value)
    for mark in ("\\", ";", ","):
        safe = safe.replace(mark, f"\\{mark}")
    return safe


def _folded(line: str) -> bytes:
    """A line folded between whole letters."""
    parts, current = [], b""
    for letter in line:
        octets = letter.encode("utf-8", "replace")
        if len(current) + len(octets) > FOLD:
            parts.append(current)
            current = b" "
        current += octets
    return b"\r\n".join([*parts, current]) + b"\r\n"


__all__ = ["calendar_file", "escape", "reminders"]
