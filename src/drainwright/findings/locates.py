"""Checks of the locate ticket: called in time, answered for each line, alive until the dig ends."""

from __future__ import annotations

from collections.abc import Iterator

from drainwright.build.locates import TicketDays, answers, lies_here, ticket_days
from drainwright.build.working_days import working_days
from drainwright.field.words import least_sure
from drainwright.findings.places import counted, listed
from drainwright.findings.rules import Case, Outcome, caution, fails, ok, rule


def _days(case: Case) -> TicketDays:
    return ticket_days(case.job, working_days(case.job.crew).dates(case.build.plan.days))


@rule("DIG-11", "Locate ticket", "one_call")
def ticket(case: Case) -> Iterator[Outcome]:
    """The locate call goes out in time, and the ticket outlives the digging."""
    notice, life, made = case.job.rules.locate_notice, case.job.rules.ticket_life, case.job.locates
    days, asked = _days(case), f"{counted(notice.value, 'full working day')} before digging"
    basis, length = least_sure(notice.basis, life.basis), case.build.plan.days
    if days.dig_starts is None or days.call_by is None:
        yield caution(
            "crew.start",
            "No start date yet, so the locate call cannot be timed.",
            figure="no date",
            limit=asked,
            advice="Set the date; call for locates in time; dig only while the ticket is valid.",
            basis=notice.basis,
        )
        return
    call, lasts = days.call_by.isoformat(), f"{life.value} working days"
    if not made.made:
        yield caution(
            "locates",
            f"Nobody has called for locates; for a first day on {days.dig_starts} the call goes out by {call}.",
            figure=f"not called; call by {call}",
            limit=asked,
            advice="Mark the dig white, call the one-call centre, and enter number and day. Until all have answered, "
            "nobody digs.",
            basis=basis,
        )
        if length > life.value - notice.value:
            yield caution(
                "crew.start",
                f"Counted from the call, the ticket's {life.value} days end before the work of "
                f"{counted(length, 'day')} does.",
                figure=f"call by {call}",
                limit=lasts,
                advice="Renew the ticket in time; mark its last day on the calendar.",
                basis=basis,
            )
        return
    told = f"called {made.called}" if made.called is not None else "by the ticket's own days"
    if made.called is None:
        lacks = [
            *(["from when it holds"] if days.earliest is None else []),
            *(["until when"] if days.last is None else []),
        ]
        yield caution(
            "locates",
            "The ticket here has no day of its call"
            + (f": {' and '.join(lacks)} is not known." if lacks else "; it is taken by the days that it names."),
            figure="no day of the call",
            limit=asked,
            advice="Enter locates.called, as the ticket or the one-call centre says. Nobody digs before the notice has passed.",
            basis=basis,
        )
    if days.earliest is not None and days.dig_starts < days.earliest:
        yield fails(
            "locates",
            f"Digging starts on {days.dig_starts}, but "
            + (f"with the call of {made.called} " if made.called is not None else "")
            + f"the ticket holds from {days.earliest}.",
            figure=told,
            limit=asked,
            advice=f"Start on {days.earliest} or later.",
            basis=notice.basis,
        )
    ends = days.dig_ends or days.dig_starts
    if days.last is not None and ends > days.last:
        gone = days.last < days.dig_starts
        yield fails(
            "locates",
            f"The ticket ends on {days.last}, "
            + (f"before the digging starts on {days.dig_starts}." if gone else f"and the work on {ends}."),
            figure=f"valid until {days.last}",
            limit=f"valid until {ends}",
            advice="Call again, and wait for the answers." if gone else f"Renew it by {days.renew_by}.",
            basis=life.basis,
        )
    elif days.uncovered:
        first, final = days.uncovered[0], days.uncovered[-1]
        yield fails(
            "locates.renewals",
            f"The ticket was renewed too late: on {first}"
            + (f" to {final}" if final != first else "")
            + " the old one has run out, and the answers of the new one are not due yet.",
            figure=f"renewed on {listed([day.isoformat() for day in made.renewals])}",
            limit=asked,
            advice="Do not dig on these days; or enter 'valid_until', where the new ticket says that the old one holds on.",
            basis=notice.basis,
        )
    elif days.earliest is not None and days.last is not None and days.dig_starts >= days.earliest:
        text = f"The ticket holds from {days.earliest} until {days.last}, as long as the work."
        yield ok("locates", text, figure=told, limit=asked, basis=basis)


@rule("DIG-14", "Answers to the ticket", "one_call")
def answered(case: Case) -> Iterator[Outcome]:
    """Every owner of lines has answered before anyone digs; silence is no answer, and 'clear' is checked."""
    if not case.job.locates.made:
        return
    met = {item.utility for item in case.build.dig.crossings}
    open_ = 0
    for name, answer in answers(case.job).items():
        if answer == "marked":
            continue
        where = f"utilities.{name}"
        if answer == "clear":
            open_ += 1
            yield fails(
                where,
                f"The owner of the {name} answered 'clear', and the {name} is drawn on this lot.",
                figure="clear",
                limit="marked",
                advice="Call the owner and the one-call centre before digging: one of the two is wrong.",
            )
        elif answer is None or answer == "no answer":
            open_ += 1
            severity = fails if name in met else caution
            meets = ", which the work meets" if name in met else ""
            yield severity(
                where,
                f"No answer came for the {name}{meets}.",
                figure="no answer",
                limit="marked, or clear",
                advice="Call the one-call centre a second time; do not dig on silence.",
            )
        else:
            open_ += 1
            yield caution(
                where,
                f"The {name} is not marked completely yet.",
                figure=answer,
                limit="marked, or clear",
                advice="Wait, or call; no digging near it until it is marked.",
            )
    drawn, here = {line.name for line in case.job.utilities}, lies_here(case.job)
    kinds = {line.kind for line in case.job.utilities}
    for item in case.job.locates.answers:
        if item.answer == "clear" and item.line in here and item.line not in drawn and item.line not in kinds:
            open_ += 1
            yield fails(
                "locates",
                f"The answer for {item.line} is 'clear', but {here[item.line]}.",
                figure="clear",
                limit="marked",
                advice="Look for it: it may be the lot's own line, which no centre marks.",
            )
    if not open_:
        yield ok("locates", "Every owner of a line drawn here has answered.", figure="all marked", limit="all answered")


@rule("DIG-15", "Dig area marked white", "one_call")
def white(case: Case) -> Iterator[Outcome]:
    """Locators mark where the dig is drawn white, and overlook what lies beyond."""
    made = case.job.locates
    if not made.made:
        return
    if made.white_marked:
        yield ok("locates", "The dig area was marked white.", figure="marked", limit="marked before the locators come")
        return
    names = listed([trench.name for trench in case.build.dig.trenches])
    yield caution(
        "locates",
        f"The dig area ({names}) is not marked white on the ground.",
        figure="not marked" if made.white_marked is False else "not known",
        limit="marked before the locators come",
        advice="Mark it by the locate request in the crew packet: paint, flags or whiskers in white.",
    )


__all__ = ["answered", "ticket", "white"]
