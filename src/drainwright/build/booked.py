"""Visits of others whose day is agreed: the works that wait for them start no earlier."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import replace

from drainwright.build.crew_model import CrewPlan, Task
from drainwright.build.model import DigPlan
from drainwright.build.parts import dig_key, task_key
from drainwright.build.schedule import Work
from drainwright.build.visits import LOOK, LOOKS
from drainwright.build.working_days import WorkingDays
from drainwright.job.firm import BookedVisit

KEY = "booked-"
WHO = {
    "inspector": "the place's inspector", "electrician": "the licensed electrician",
    "electrical inspector": "the electrical inspector", "customer": "the customer", "line's owner": "the line's owner",
}  # fmt: skip


def waiting_for(
    visits: Sequence[BookedVisit], works: Sequence[Work | Task], dig: DigPlan
) -> tuple[tuple[str, ...], ...]:
    """The works that wait for each visit, by their keys.

    Parameters
    ----------
    visits : Sequence of BookedVisit
        In the order of the job.
    works : Sequence of Work or Task
        In the order of the papers.
    dig : DigPlan
        Where digs meet buried lines, and which work digs what.

    Returns
    -------
    tuple of tuple of str
        An inspector's visit holds the showing of the open trench, or the backfill where none is planned; the second
        visit the second of them. The electrician's and the electrical inspector's hold the start of the pump, the
        customer's what covers a coat, the owner's of a line all digging of the kind that meets it.
    """
    keys = [work.key for work in works]
    shown = [key for key in keys if task_key(key) == "inspect"] or [key for key in keys if task_key(key) == "backfill"]
    looked = [work.key for work in works if {LOOK, LOOKS}.intersection(work.hold.split("; "))]
    dug = {trench.name: trench.work for trench in dig.trenches}
    taken = {"inspector": list(shown), "customer": list(looked)}
    found: list[tuple[str, ...]] = []
    by_day = sorted(range(len(visits)), key=lambda number: visits[number].on)
    of: dict[int, tuple[str, ...]] = {}
    for number in by_day:
        visit = visits[number]
        if visit.who in taken:
            of[number] = tuple(taken[visit.who][:1])
            del taken[visit.who][:1]
        elif visit.who == "line's owner":
            digs = {dug[item.run] for item in dig.crossings if item.utility == visit.line and item.run in dug}
            of[number] = tuple(key for key in keys if dig_key(key) in digs)
        else:
            of[number] = tuple(key for key in keys if key == "pump")
    found += [of[number] for number in range(len(visits))]
    return tuple(found)


def with_booked(
    works: Sequence[Work], visits: Sequence[BookedVisit], dig: DigPlan, calendar: WorkingDays
) -> tuple[Work, ...]:
    """The works, each that waits for a visit starting no earlier than its day.

    Parameters
    ----------
    works, visits, met, site
        As for ``waiting_for``.
    calendar : WorkingDays
        The crew's; without a start nobody knows which working day a date is, and nothing is held.

    Returns
    -------
    tuple of Work
        The same works, and for each visit that holds any a work of no hours whose wait runs, through nights and days
        off, from the first morning to the morning of its day: to the morning after for the electrician, who comes a
        working day before the pump is started.
    """
    first = calendar.dates(1)
    if not first or not visits:
        return tuple(works)
    pieces, held = [], dict[str, list[str]]()
    for number, keys in enumerate(waiting_for(visits, works, dig)):
        days = (visits[number].on - first[0]).days + (visits[number].who == "electrician")
        if not keys or days <= 0:
            continue
        piece = Work(
            key=f"{KEY}{number}", title=f"Visit of {WHO[visits[number].who]}", hours=0.0, quantity="", wait=24.0 * days,
        )  # fmt: skip
        pieces.append(piece)
        for key in keys:
            held.setdefault(key, []).append(piece.key)
    return (*(replace(work, after=(*work.after, *held.get(work.key, ()))) for work in works), *pieces)


def without_pieces(plan: CrewPlan) -> CrewPlan:
    """The plan with its own works alone; the chain tells where one waited for a visit."""
    pieces = {task.key: task for task in plan.tasks if task.key.startswith(KEY)}

    def own(task: Task) -> Task:
        awaited = [pieces[name] for name in task.after if name in pieces]
        if not awaited:
            return task
        last = max(awaited, key=lambda piece: piece.cured)
        after = tuple(name for name in task.after if name not in pieces)
        return replace(task, after=after, visit=last.title, visit_from=last.cured)

    tasks = tuple(own(task) for task in plan.tasks if task.key not in pieces)
    chain = tuple(
        replace(link, waited_for="visit", on="") if link.on.startswith(KEY) else link
        for link in plan.chain
        if not link.key.startswith(KEY)
    )
    return replace(plan, tasks=tasks, chain=chain)


def too_early(
    visits: Sequence[BookedVisit], held: Sequence[Sequence[str]], plan: CrewPlan
) -> tuple[tuple[BookedVisit, datetime.date], ...]:
    """Visits to look at something that is not there yet on their day, with the day on which it is.

    Parameters
    ----------
    visits : Sequence of BookedVisit
        In the order of the job.
    held : Sequence of Sequence of str
        From ``waiting_for``.
    plan : CrewPlan
        With its dates.

    Returns
    -------
    tuple of (BookedVisit, date)
        Of the inspector and the customer, who come to see; the others may come early.
    """
    days = {task.key: plan.dates[task.day - 1] for task in plan.tasks} if plan.dates else {}
    return tuple(
        (visit, days[keys[0]])
        for visit, keys in zip(visits, held, strict=True)
        if visit.who in ("inspector", "electrical inspector", "customer") and keys and keys[0] in days
        and visit.on < days[keys[0]]
    )  # fmt: skip


__all__ = ["KEY", "WHO", "too_early", "waiting_for", "with_booked", "without_pieces"]
