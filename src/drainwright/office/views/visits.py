"""A job in service: when the next visit is due, what drifts, and what there was at each visit."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from drainwright.design import Design
from drainwright.errors import JobError, Problem
from drainwright.job.service import Visit, read_service_text
from drainwright.office.answers.asking import View
from drainwright.office.views.picking import for_a_page
from drainwright.paper.documents.blocks import Block, Heading, Notice
from drainwright.paper.documents.crew_spanish import translator_of
from drainwright.paper.documents.say import day
from drainwright.paper.documents.service_paper import WEARS, service_paper
from drainwright.paper.documents.upkeep import upkeep
from drainwright.proving.service import expected_troubles, serviced
from drainwright.proving.words import Words
from drainwright.results import plain

STARTER = """\
# What was found at the visits, the first first.
schema_version: 1
job: {job}
in_service: 2026-01-02
visits:
  - on: 2026-07-02
    by: ""
    found: []       # roots, sand, leaves
{basins}    done: []
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """One visit in a line of the table."""

    on: str
    by: str
    found: str
    pumps: str  # flow and starts, basin by basin
    silt: str
    done: str


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitsShown:
    """The page of a job's visits."""

    basins: tuple[str, ...]
    inlets: tuple[str, ...]  # with a sump that silt lies in
    expected: tuple[str, ...]  # why the site asks for more visits than usual
    cares: tuple[tuple[str, str], ...]  # the checklist: when, what
    starter: str
    units: str
    names: frozenset[str]  # of the job and its parts: the same in every language
    problems: tuple[Problem, ...] = ()
    next: str = ""  # in words
    due: str = ""  # the same as a date
    months: int = 0
    why: str = ""
    rows: tuple[Looked, ...] = ()  # the newest first
    blocks: tuple[Block, ...] = ()
    invented: bool = False


def visits_page(text: str) -> View[VisitsShown]:
    """The page of a job's visits; ``text``: the record, empty where none was saved."""
    return partial(_page, text=text)


def visits_plain(text: str) -> View[dict[str, Any]]:
    """What ``drainwright service --json`` tells, or the problems of it."""
    return partial(_plain, text=text)


def visits_paper(text: str) -> View[bytes | tuple[Problem, ...]]:
    """The customer's page on the last visit, as PDF."""
    return partial(_paper, text=text)


def _page(design: Design, text: str) -> VisitsShown:
    basins = tuple(station.name for station in design.system.by_house)
    looked = "".join(f"    #   {{basin: {name}, flow: , starts: }}\n" for name in basins)
    shown = VisitsShown(
        basins=basins, inlets=tuple(one.name for one in design.job.works.inlets if one.sump_depth > 0),
        expected=tuple(expected_troubles(design).values()),
        cares=tuple((care.when, care.what) for care in upkeep(design)),
        starter=STARTER.format(job=design.job.number or '"-"', basins=f"    # basins:\n{looked}" if basins else ""),
        units=design.job.units, names=translator_of(design).names,
    )  # fmt: skip
    if not text:
        return shown
    try:
        service = read_service_text(text).service
        found = serviced(design, read_service_text(text))
    except JobError as error:
        return replace(shown, problems=error.problems)
    words = Words(design.job.units)
    told = for_a_page(service_paper(design, service, found).blocks)  # what was seen and done stands in the rows
    wears = next((n for n, one in enumerate(told) if isinstance(one, Heading) and one.text == WEARS), len(told))
    return replace(
        shown,
        names=shown.names | {text for one in service.visits for text in (one.by, one.note.strip(), *one.done)},
        next=day(found.interval.next),
        due=found.interval.next.isoformat(),
        months=found.interval.months,
        why="; ".join(found.interval.why),
        rows=tuple(_looked(visit, words) for visit in reversed(service.visits)),
        blocks=tuple(block for block in told[wears:] if not isinstance(block, Notice)),
        invented=service.invented or design.job.demonstration,
    )


def _looked(visit: Visit, words: Words) -> Looked:
    pumps = []
    for one in visit.basins:
        read = [words.flow(one.flow)] if one.flow is not None else []
        read += [f"{one.starts:,} starts"] if one.starts is not None else []
        pumps.append(f"{one.basin} {', '.join(read) or 'seen'}")
    pumps += [f"new pump in {name}" for name in visit.new_pump]
    return Looked(
        on=day(visit.on), by=visit.by, found=", ".join(visit.found) or "nothing", pumps="; ".join(pumps),
        silt="; ".join(f"{one.inlet} {words.small(one.depth)}" for one in visit.silt),
        done="; ".join([*visit.done, *([visit.note] if visit.note.strip() else [])]),
    )  # fmt: skip


def _plain(design: Design, text: str) -> dict[str, Any]:
    try:
        found = serviced(design, read_service_text(text))
    except JobError as error:
        return {"problems": plain(error.problems)}
    return {**plain(found), "checklist": plain(upkeep(design))}


def _paper(design: Design, text: str) -> bytes | tuple[Problem, ...]:
    from drainwright.paper.documents.typeset import to_pdf

    try:
        document = read_service_text(text)
        found = serviced(design, document)
    except JobError as error:
        return error.problems
    service = document.service
    return to_pdf(service_paper(design, service, found), service.visits[-1].on)


__all__ = ["Looked", "VisitsShown", "visits_page", "visits_paper", "visits_plain"]
