"""The firm's calendar: the crews' days by the designs, and visits of service; as a list, by week, as ICS."""

from __future__ import annotations

import asyncio
import datetime
import re
from collections.abc import Iterator
from dataclasses import dataclass

from fastapi import APIRouter, HTTPException, Request
from starlette.concurrency import run_in_threadpool
from starlette.responses import HTMLResponse, Response

from drainwright.office.answers.asking import Answered
from drainwright.office.pages.history import attached
from drainwright.office.pages.job_frame import kept_of
from drainwright.office.pages.shell import page
from drainwright.office.questions import question_of
from drainwright.office.store import diary, jobs
from drainwright.office.store.opening import Store
from drainwright.office.store.records import Job, Reminder, Stage
from drainwright.office.views.days import days
from drainwright.office.who import Asker, OpenStore
from drainwright.paper.calendar import calendar_file

router = APIRouter(default_response_class=HTMLResponse, include_in_schema=False)

SCHEDULED: tuple[Stage, ...] = ("offered", "accepted", "digging")
MOST_JOBS = 60
_WEEK = re.compile(r"(\d{4})-W(\d{2})")


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A line of the calendar."""

    date: datetime.date
    job: Job | None
    title: str
    words: str
    sure: bool  # the job is accepted, or the visit is set
    uid: str


@dataclass(frozen=True, slots=True)
class Unplaced:
    """A job that has no day yet, and why."""

    job: Job
    why: str


@router.get("/calendar")
async def calendar(request: Request, who: Asker, store: OpenStore, week: str = "") -> Response:
    """All that lies ahead as a list, or one week."""
    entries, unplaced = await _entries(request, store, who.firm)
    today = datetime.date.today()
    if not week:
        ahead = [one for one in entries if one.date >= today]
        late = [one for one in entries if one.date < today]
        this = f"{today.isocalendar().year}-W{today.isocalendar().week:02d}"
        return page(
            request,
            "calendar.html",
            days=list(_by_day(ahead)),
            late=late,
            unplaced=unplaced,
            this_week=this,
            today=today,
        )
    first = _monday(week)
    dates = [first + datetime.timedelta(days=number) for number in range(7)]
    told = [(date, [one for one in entries if one.date == date]) for date in dates]
    ways = [_named(first + datetime.timedelta(days=shift)) for shift in (-7, 7)]
    return page(request, "calendar_week.html", days=told, week=week, before=ways[0], after=ways[1], today=today)


@router.get("/calendar.ics")
async def calendar_ics(request: Request, who: Asker, store: OpenStore) -> Response:
    """The same for a calendar program (RFC 5545)."""
    entries, _ = await _entries(request, store, who.firm)
    stamp = datetime.datetime.now(datetime.UTC)
    events = [
        (one.uid, one.date, one.title if one.sure else f"Not accepted yet: {one.title}", one.words,
         one.job.place if one.job else "")
        for one in entries
    ]  # fmt: skip
    return attached(calendar_file(events, stamp), "text/calendar; charset=utf-8", "calendar.ics")


async def _entries(request: Request, store: Store, firm: str) -> tuple[list[Entry], list[Unplaced]]:
    found = await run_in_threadpool(_scheduled, store, firm)
    kept = kept_of(request)
    questions = [await run_in_threadpool(question_of, store, firm, job.id) for job in found]
    replies = await asyncio.gather(*(kept.ask(question, "days", days) for question in questions))
    entries: list[Entry] = []
    unplaced = []
    for job, reply in zip(found, replies, strict=True):
        if not isinstance(reply, Answered):
            unplaced.append(Unplaced(job, "its document cannot be designed yet"))
        elif not reply.shown.days:
            count = reply.shown.planned
            unplaced.append(Unplaced(job, f"{count} working day{'' if count == 1 else 's'}; no first day is set"))
        else:
            entries += [
                Entry(
                    date=one.date, job=job, title=f"{job.title or 'A job'}, day {one.number} of {one.of}",
                    words=f"{one.words}. {one.people} at work.", sure=job.stage != "offered",
                    uid=f"{job.id}-{one.number}",
                )
                for one in reply.shown.days
            ]  # fmt: skip
    for visit, of in await run_in_threadpool(_visits, store, firm):
        name = f": {of.title}" if of and of.title else ""
        entries.append(
            Entry(date=visit.due, job=of, title=f"Service{name}", words=visit.what, sure=True, uid=visit.id)
        )  # fmt: skip
    return sorted(entries, key=lambda one: (one.date, one.title)), unplaced


def _scheduled(store: Store, firm: str) -> list[Job]:
    return [one.job for stage in SCHEDULED for one in jobs.listed(store, firm, stage=stage, most=MOST_JOBS)]


def _visits(store: Store, firm: str) -> list[tuple[Reminder, Job | None]]:
    every = {one.job.id: one.job for away in (False, True) for one in jobs.listed(store, firm, archived=away)}
    return [(one, every.get(one.job)) for one in diary.reminders(store, firm)]


def _by_day(entries: list[Entry]) -> Iterator[tuple[datetime.date, list[Entry]]]:
    for date in dict.fromkeys(one.date for one in entries):
        yield date, [one for one in entries if one.date == date]


def _named(day: datetime.date) -> str:
    year, week, _ = day.isocalendar()
    return f"{year}-W{week:02d}"


def _monday(week: str) -> datetime.date:
    match = _WEEK.fullmatch(week)
    try:
        if match is None:
            raise ValueError
        return datetime.date.fromisocalendar(int(match[1]), int(match[2]), 1)
    except ValueError:
        raise HTTPException(422, f"week: found {week!r}; expected a week, like 2026-W14") from None


__all__ = ["router"]
