"""The days on which a job's crew works, for the calendar of the firm."""

from __future__ import annotations

import datetime
from dataclasses import dataclass

from drainwright.build.short_days import short_days
from drainwright.design import Design
from drainwright.paper.documents.day_words import short_words, visits_words


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkDay:
    """One day of a crew."""

    date: datetime.date
    number: int  # of ``of``
    of: int
    people: int  # most at work at once, by the tasks of the day
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Days:
    """A job's days."""

    start: datetime.date | None  # None: no first day is set
    days: tuple[WorkDay, ...]
    crew: int
    planned: int  # working days, also where no first day is set


def days(design: Design) -> Days:
    """The working days with what is done on each."""
    plan = design.build.plan
    made, short = [], {item.day: item for item in short_days(plan)}
    for number, date in enumerate(plan.dates, start=1):
        at_work = plan.on_day(number)
        words = "; ".join(task.title for task, _ in at_work) or "nothing is worked at"
        words += f". {short_words(short[number])}" if number in short else ""
        comes = visits_words(plan.visits_on(number))
        words += f"; by today comes: {comes}" if comes else ""
        people = max((hands.people for _, hands in at_work), default=0)
        made.append(WorkDay(date=date, number=number, of=plan.days, people=people, words=words))
    return Days(start=design.job.crew.start, days=tuple(made), crew=plan.crew, planned=plan.days)


__all__ = ["Days", "WorkDay", "days"]
