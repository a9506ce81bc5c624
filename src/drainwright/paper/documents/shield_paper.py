"""Trench shields on the crew's papers: where a set must stand, on which days, and how many are there at once."""

from __future__ import annotations

from drainwright.build.guarded import GUARDS
from drainwright.build.hire import days_words, runs_of_days
from drainwright.build.model import ShieldHire, ShieldPlace
from drainwright.build.protection import PROTECTION_DEPTH
from drainwright.build.reach import set_by_hand
from drainwright.build.wording import entry_rule
from drainwright.design import Design
from drainwright.paper.documents.blocks import Block, Bullets, Cell, Column, Heading, Paragraph, Table
from drainwright.paper.documents.say import Say, joined

NEVER = (
    "Nobody goes into one of these places before its sets stand in it from end to end, set from above. They stay there "
    "from the first who goes in until stone or soil fills it so far that what is left open no longer asks for them: "
    "none is pulled to guard another place. Where sides are sloped or shored instead, the competent person decides how."
)
BY_HAND = (
    "By hand a set is what two people carry and set from above: light panels or hydraulic shores, as the maker's sheet "
    "allows. Else slope the sides; where there is no room, stop: nobody goes in."
)
LETTERS = (
    "OSHA's letters of 1995 on house foundations are followed there. The day one of their conditions fails, everybody "
    "comes out, and nobody goes in before its sides are sloped back or shields stand."
)
BARRED = "live along inside, it leaves them no room."
ACROSS = (
    "Bare it first; no set stands over it. What no set guards is sheeted by hand, set from above: sheets, walings and "
    "struts as the competent person reads the maker's data or 29 CFR 1926 Subpart P. Nobody goes in before they stand."
)
PAST = "Beyond is a dig without shields: close that end with sheeting first, and keep an arm's length from it."
WITHIN = "where it is too deep it lies in the dig of another place, and that one's sets guard it."


def shield_blocks(design: Design, say: Say) -> tuple[Block, ...]:
    """The table of places and the sets by day; nothing where no trench asks for shields."""
    hire = design.build.shields
    if hire is None:
        return _left_out(design, say)
    panels = {item.where: item.where.rpartition(", length ")[2] for item in hire.places if item.where != item.trench}
    rows = tuple(
        (
            Cell(text=item.trench, weight="semibold"), panels.get(item.where, "–"), say.length(item.length),
            _sets(hire, item, say), days_words(range(item.stands[0], item.stands[1] + 1)),
        )
        for item in hire.places
    )  # fmt: skip
    columns = (
        Column(head="Place", width=1.6), Column(head="Length of wall", width=1.4, align="right"),
        Column(head="Too deep over", width=1.6, align="right"), Column(head="Sets", width=2.3),
        Column(head="They stand there, day", width=2.2),
    )  # fmt: skip
    deep = "5 ft" if say.us else "1.5 m"
    by_hand = set_by_hand(design.job, [item.trench for item in hire.places])
    whose = "the firm's own" if "shields" in design.job.equipment.owned else "hired"
    by_day = [
        f"Day {days_words(days)}: {count} {'set' if count == 1 else 'sets'} at once"
        for days, count in runs_of_days(hire.needed)
        if count
    ]
    return (
        Heading(text="Shields by day", level=2),
        Paragraph(
            text=f"Deeper than {deep} with people in it, by the crew's plan. One set guards "
            f"{say.length(hire.set_length)} (price book); {len(hire.days)} at once at most, {whose}. The maker's sheet "
            "must allow the depth." + (f" Bays of sheeting: {len(hire.bays)} at once, hired." if hire.bays else "")
        ),
        *((Paragraph(text=BY_HAND, style="strong"),) if by_hand else ()),
        Table(columns=columns, rows=rows, size=0.84, tight=True),
        *((Bullets(items=tuple(by_day)),) if len(rows) > 1 else ()),  # one place has its days and sets in its row
        *_lines(hire, say),
        *_left_out(design, say),
        Paragraph(text=NEVER, style="strong"),
    )


def _lines(hire: ShieldHire, say: Say) -> tuple[Block, ...]:
    """Buried lines in the way of the sets, place by place."""
    bullets = [
        f"{item.where}: the {met.line} lies across. {ACROSS}"
        if met.across
        else f"{item.where}: the live {met.line} lies {say.small(met.gap)} from its end. {PAST}"
        for item in hire.places
        for met in item.lines
    ]
    return (Bullets(items=tuple(bullets)),) if bullets else ()


def _left_out(design: Design, say: Say) -> tuple[Block, ...]:
    """Which deep digs have no set of shields in the plan, and why."""
    hire = design.build.shields
    listed = set() if hire is None else {item.trench for item in hire.places}
    deep = [item for item in design.build.dig.trenches if item.judged >= PROTECTION_DEPTH - 0.003]
    bullets = [
        f"No shields are planned in {item.name}, judged {say.small(item.judged)} deep: {LETTERS}"
        for item in deep
        if item.protection == "house-foundation letters"
    ]
    bullets += [
        f"No line of its own for {item.name}, judged {say.small(item.judged)} deep: {WITHIN}"
        for item in deep
        if item.protection in GUARDS and item.name not in listed and not item.bars
    ]
    bullets += [
        f"No shields are planned beside the {joined(list(item.bars))} in {item.name}, judged {say.small(item.judged)} "
        f"deep: {BARRED} {entry_rule(item)}"
        for item in deep
        if item.protection in GUARDS and item.bars
    ]
    return (Bullets(items=tuple(bullets)),) if bullets else ()


def _sets(hire: ShieldHire, item: ShieldPlace, say: Say) -> str:
    """How many sets guard a place; where its own ends stand nearer than a set is long, how long one may be."""
    if item.bays:
        bays = f"{item.bays} bay{'' if item.bays == 1 else 's'} of sheeting"
        return f"{item.sets} and {bays}" if item.sets else bays
    ended = item.kind != "run" or item.where != item.trench  # a hole, or a bared length of a wall
    if ended and item.length < hire.set_length - 0.003:
        return f"{item.sets} of {say.length(item.length)} at most"
    return f"{item.sets}"


__all__ = ["shield_blocks"]
