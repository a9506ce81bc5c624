"""The locate request: what to tell the one-call centre, what to mark white, whom else to ask, when it lasts."""

from __future__ import annotations

from drainwright.build.locates import answers, ticket_days
from drainwright.build.usual_lines import BEGINS_AT, USUAL
from drainwright.design import Design
from drainwright.paper.documents.blocks import Block, Cell, Column, Facts, Heading, Notice, Paragraph, Table
from drainwright.paper.documents.say import BASIS_WORDS, Say, day, site_of
from drainwright.paper.setting_out import tape_of
from drainwright.paper.white_marking import MARGIN, dig_words, taped_words

BLANK = "____________________"


def locate_request(design: Design) -> tuple[Block, ...]:
    """A page to read to the one-call centre, and to mark from."""
    say, job = Say(design.job.units), design.job
    made, rules = job.locates, job.rules
    days = ticket_days(job, design.build.plan.dates)
    doubt = design.build.plan.doubt
    ends = doubt.end_bad if doubt is not None and doubt.end_bad is not None else days.dig_ends
    deepest = max((item.depth_greatest for item in design.build.dig.trenches), default=0.0)
    facts = [
        ("Place", site_of(job) or BLANK),
        ("Work", "digging for drains by hand" + (" and with a small machine" if job.equipment.excavator else "")),
        ("First day", "not set" if days.dig_starts is None else day(days.dig_starts)),
        ("Last day", "not set" if ends is None else day(ends)),
        ("Deepest", say.dug(deepest)),
        ("Call by", "not set" if days.call_by is None else day(days.call_by)),
        ("Called on", BLANK if made.called is None else day(made.called)),
        ("Ticket", made.number or BLANK),
        ("Dig from", BLANK if days.earliest is None else day(days.earliest)),
        ("Renew by", BLANK if days.renew_by is None else day(days.renew_by)),
        ("Ends on", BLANK if days.last is None else day(days.last)),
        ("Marked white", {True: "yes", False: "NO", None: BLANK}[made.white_marked]),
    ]
    columns = (Column(head="Dig", width=1.1), Column(head="From the corners of the house, by tape", width=9))
    digs = tuple((Cell(text=item.name, weight="semibold"), item.text) for item in dig_words(design))
    within = tuple(
        (Cell(text=name, weight="semibold"), f"No dig of its own, in that of {other}.")
        for name, other in design.build.dig.laid_in
    )
    return (
        Heading(text="Locate request"),
        Facts(items=tuple(facts)),
        Paragraph(
            text=f"Notice of {rules.locate_notice.value} full working days ({BASIS_WORDS[rules.locate_notice.basis]}), "
            f"life of {rules.ticket_life.value} ({BASIS_WORDS[rules.ticket_life.basis]}); weekends and the holidays of "
            "the job are not counted. What the ticket says goes first.",
            style="soft",
        ),
        Heading(text="Dig area, to say and to mark white", level=2),
        Table(columns=columns, rows=(*digs, *within), size=0.84, tight=True),
        Paragraph(
            text=f"Mark white {say.small(MARGIN)} outside each (common practice, no source). Corners are those of the "
            "house; compass sides are by the plan's north."
        ),
        *_answers(design),
        *_unasked(design),
    )


def _answers(design: Design) -> tuple[Block, ...]:
    said = {item.line: item for item in design.job.locates.answers}
    rows = []
    kinds = {line.name: line.kind for line in design.job.utilities}
    for name, answer in answers(design.job).items():
        item = said.get(name, said.get(kinds[name]))
        when = BLANK if item is None or item.date is None else day(item.date)
        bad = design.job.locates.made and answer != "marked"
        words: str | Cell = (
            Cell(text=answer or "NO ANSWER", colour="#8f1d14", weight="semibold") if bad else answer or BLANK
        )
        rows.append((Cell(text=name, weight="semibold"), kinds[name], words, when))
    for line in design.job.utilities:
        if line.name not in answers(design.job):
            known = line.located_by == "exposed by hand"
            words = line.located_by if known else "private: a locator or its owner shows it"
            rows.append((Cell(text=line.name, weight="semibold"), line.kind, words, BLANK))
    rows += [
        (Cell(text=kind, weight="semibold"), kind, "said not to be here", BLANK) for kind in design.job.utilities_absent
    ]
    if not rows:
        return ()
    columns = (
        Column(head="Line", width=2),
        Column(head="Kind", width=1.4),
        Column(head="Answer", width=2.6),
        Column(head="On", width=1.8),
    )
    return (Heading(text="Answers", level=2), Table(columns=columns, rows=tuple(rows), size=0.88, tight=True))


def _unasked(design: Design) -> tuple[Block, ...]:
    """Lines that nobody entered, with where such a line usually runs on this lot."""
    missing = design.build.dig.unlocated
    if not missing:
        return ()
    rows = tuple(
        (Cell(text=kind, weight="semibold"), USUAL[kind].runs + _begins(design, kind), USUAL[kind].finds)
        for kind in missing
    )
    columns = (
        Column(head="Line", width=1.4),
        Column(head="Usually runs", width=4),
        Column(head="Who finds it", width=2.4),
    )
    return (
        Heading(text="Lines that nobody entered", level=2),
        Notice(
            tone="fails", title="Ask the owner for each, by name", text="No digging until each is found or ruled out."
        ),
        Table(columns=columns, rows=rows, size=0.84, tight=True),
    )


def _begins(design: Design, kind: str) -> str:
    """Where the search begins: at both ends of a drawn line from which such a line usually comes."""
    for other in BEGINS_AT.get(kind, ()):  # type: ignore[call-overload]
        for line in design.site.utilities:
            if line.utility.kind == other:
                near = min(line.route[0], line.route[-1], key=lambda at: _away(design, at))
                place = taped_words(design, tape_of(design, "", near))
                return f". Here: look first where the {line.utility.name} reaches the house, {place}"
    return ""


def _away(design: Design, at: tuple[float, float]) -> float:
    from shapely import Point, Polygon

    return float(Polygon(design.site.outline).distance(Point(at)))


__all__ = ["locate_request"]
