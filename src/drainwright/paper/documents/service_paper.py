"""One page for the customer after a service visit: what was seen, what was done, what is due next."""

from __future__ import annotations

import datetime
from collections.abc import Iterator

from drainwright.design import Design
from drainwright.job.service import Service, Trouble, Visit
from drainwright.paper.documents.blocks import (
    Block,
    Bullets,
    Cell,
    Column,
    Document,
    Facts,
    Heading,
    Notice,
    Paragraph,
    Table,
)
from drainwright.paper.documents.say import day, site_of
from drainwright.paper.documents.shell import INVENTED, document
from drainwright.proving.service import READ_WITHIN, PumpDrift, Serviced
from drainwright.proving.words import Words

SEEN: dict[Trouble, str] = {
    "roots": "Roots in the pipes.", "sand": "Sand in the pipes.", "leaves": "Leaves in the grates."
}  # fmt: skip
NO_DATE = "no date can be told"
WEARS = "What wears, and when it is due"
Coming = tuple[Cell, str, str, str]


def service_paper(design: Design, service: Service, found: Serviced) -> Document:
    """The page on the last visit.

    Parameters
    ----------
    design : Design
        As designed, or as built.
    service : Service
        The visits, the last of which the page is on.
    found : Serviced
        What all of them show.

    Returns
    -------
    Document
        What was seen and done, the next visit, and what wears with the date at which it is due and its band.
    """
    visit, words = service.visits[-1], Words(design.job.units)
    due = found.interval
    blocks: tuple[Block, ...] = (
        *_invented(design, service),
        Notice(
            tone="plain", title=f"Next visit by {day(due.next)}",
            text=f"Every {due.months} months: {'; '.join(due.why)}. The interval is common practice, no source.",
        ),
        Facts(
            items=tuple(
                (name, text)
                for name, text in (
                    ("Work at", site_of(design.job)), ("Visited on", day(visit.on)), ("By", visit.by),
                    ("In service since", day(service.in_service)),
                )
                if text.strip()
            )
        ),
        Heading(text="What was seen"),
        Bullets(items=tuple(_seen(visit, words))),
        Heading(text="What was done"),
        Bullets(items=(*visit.done, *(f"A new pump in {name}." for name in visit.new_pump)))
        if visit.done or visit.new_pump
        else Paragraph(text="Nothing is noted as done."),
        *((Paragraph(text=visit.note),) if visit.note.strip() else ()),
        *_coming(found, words),
        Notice(
            tone="caution", title="Until then",
            text="A pump may fail any day: an alarm that works is worth more than any date. If it sounds, call us.",
            items=("Nobody enters a basin, not even with the head.",
                   "Unplug the pump before a hand goes in; stand dry; no plug lies in water."),
        ),
    )  # fmt: skip
    return document(
        design.job, name="service", kind="Service visit", title=design.job.title, size=10.0, blocks=blocks
    )  # fmt: skip


def _invented(design: Design, service: Service) -> tuple[Block, ...]:
    if design.job.demonstration:
        return (Notice(tone="invented", title="Invented demonstration", text=INVENTED),)
    if service.invented:
        return (Notice(tone="invented", title="Invented visits", text="The visits are an example."),)
    return ()


def _seen(visit: Visit, words: Words) -> Iterator[str]:
    yield from (SEEN[one] for one in visit.found)
    if not visit.found:
        yield "No roots, sand or leaves are noted."
    for one in visit.basins:
        if one.flow is not None:
            error = READ_WITHIN * one.flow if one.flow_within is None else one.flow_within
            assumed = " (band assumed)" if one.flow_within is None else ""
            yield f"The pump of {one.basin} lifts {words.flow_band(one.flow, 1.96 * error)}{assumed}, by drawdown."
        if one.starts is not None:
            yield f"The pump of {one.basin} has started {one.starts:,} times."
    for silt in visit.silt:
        yield f"Silt in {silt.inlet}: {words.small(silt.depth)}."


def _coming(found: Serviced, words: Words) -> tuple[Block, ...]:
    rows = (
        *(_pump(one, words) for one in found.pumps),
        *((Cell(text=one.basin, weight="semibold"), f"The pump's switch: {one.a_day:.0f} starts a day; it is "
           f"reckoned to last {one.lasts:,}", _date(one.worn_out), "no band") for one in found.switches),
        *((Cell(text=one.inlet, weight="semibold"), "Silt is to be taken out of its sump",
           "now: overdue" if one.overdue else _date(one.due), "no band")
          for one in found.silt),
    )  # fmt: skip
    if not rows:
        return ()
    columns = (
        Column(head="Where", width=1), Column(head="What", width=4.2), Column(head="Likely due", width=1.6),
        Column(head="Earliest to latest", width=2.4),
    )  # fmt: skip
    return (
        Heading(text=WEARS),
        Table(columns=columns, rows=rows, size=0.9),
        Paragraph(
            text="The earliest and latest date hold the true one in 95 of 100 cases, if the pump goes on wearing as it "
            "did. Starts and silt have a likely date alone, at the rate so far.", style="soft",
        ),
    )  # fmt: skip


def _pump(one: PumpDrift, words: Words) -> Coming:
    where = Cell(text=one.basin, weight="semibold")
    if one.last is None or one.band is None or one.slope is None:
        read = f"{one.readings} reading{'' if one.readings == 1 else 's'}"
        return (where, f"The pump's flow: {read}; three or more tell whether it drifts", "not told yet", "")
    yearly = f"{words.flow(abs(one.slope))} a year {'less' if one.slope < 0 else 'more'}"
    rough = "; the readings scatter more than they should" if one.rough else ""
    what = (
        f"The pump lifts {words.flow_band(one.last, one.band)}, {yearly}; it is replaced at {words.flow(one.limit)}, "
        f"what the design asks{rough}"
    )
    if one.earliest is None:
        return (where, what, _date(one.likely), NO_DATE)
    latest = "no latest date" if one.latest is None else day(one.latest)
    return (where, what, _date(one.likely), f"{day(one.earliest)} to {latest}")


def _date(on: datetime.date | None) -> str:
    return NO_DATE if on is None else day(on)


__all__ = ["WEARS", "service_paper"]
