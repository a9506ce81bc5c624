"""Lines exposed by hand on the safe-dig sheet: order and place of each, how it is held, what to do if it is nicked."""

from __future__ import annotations

from drainwright.build.exposure import Exposure, exposures
from drainwright.build.model import Crossing
from drainwright.build.repair_kits import RULES, repair_kit
from drainwright.design import Design
from drainwright.field.places import plan_of
from drainwright.findings.place_checks import near_water
from drainwright.paper.documents.blocks import Block, Cell, Column, Heading, Notice, Paragraph, Table
from drainwright.paper.documents.say import Say
from drainwright.paper.setting_out import tape_of
from drainwright.paper.white_marking import taped_words

RED = "#8f1d14"
#: The duty: 29 CFR 1926.651(b)(4), seen as quoted. How to hang, watch and bed a line: common practice, no source.
HOLDING = (
    "While the cut is open, a buried line in it or beside it is protected, supported or removed as needed "
    "(29 CFR 1926.651(b)(4)). Its owner's rules for support and bedding come first: ask before it is exposed.",
    "Hang it from both banks, or prop it, before the ground under it is dug away: wide slings or a plank, never wire "
    "or chain, no sag, no pull at a joint. A gas or electric line is held only as its owner says.",
    "Nothing bears on it: no foot, tool, pipe, shield, plank or heap. Nothing is tied to it.",
    "Look at it at the start of each day and after rain. Cover it from falling stones and from sun, and mark it, at "
    "the end of each day.",
    "Before backfill the competent person looks along it all: a dent, scrape, kink or torn coating is for its owner to "
    "see first. A photo goes with it.",
    "Bed it as its owner asks: firm ground tamped by hand under it, sand or fine soil without stones round it, the "
    "warning tape and the tracer wire back in place. No rammer over it before its cover is back.",
)

FOOTING = (
    "No deeper: below that a hole beside a footing takes its ground away. A line not found by then is not bared there: "
    "its depth is measured where it comes out, away from the house."
)

COVERED = (
    "Left covered: no hole is dug below the bed to bare a line that lies under it by all it may be wrong. Dig there by "
    "hand, no deeper than the bed; where it shows all the same, stop and call."
)


def _expected(one: Exposure, say: Say) -> str | Cell:
    if one.meeting.utility_top is None:
        told = "UNKNOWN: from the surface down"
    else:
        least, most = say.small(one.down_least), say.small(one.down_most)
        told = least if least == most else f"{least} to {most}"  # one figure where the line was seen
    if one.covered:
        told += ". LEAVE IT COVERED: it lies below the dig"
    elif one.footing is not None:
        told += f". NO DEEPER than {say.small(one.footing.down)}: the {one.footing.wall} footing"
    danger = one.covered or one.footing is not None or one.meeting.utility_top is None
    return Cell(text=told, colour=RED, weight="semibold") if danger else told


def exposure_blocks(design: Design, say: Say) -> tuple[Block, ...]:
    """Which line is dug free first, where, and what to have at hand should it be nicked."""
    found = exposures(design.site, design.build.dig)
    if not found:
        return ()
    rows, kits, told = [], [], set()
    for one in found:
        item, line = one.meeting, one.line.utility
        place = tape_of(design, item.utility, one.at)
        square = "" if abs(place.out) < 0.05 else f", {say.length(abs(place.out))} {'out' if place.out > 0 else 'in'}"
        back = "back " if place.along < 0 else ""
        rows.append(
            (
                item.mark, Cell(text=line.name, weight="semibold"),
                f"{item.run}{_stations(item, say)}: "
                f"{back}{say.length(abs(place.along))} from {place.start} to {place.end}{square}",
                _expected(one, say), say.length(item.hand_dig),
                f"{line.located_by}" + ("; LEVEL IT: it could meet the pipe" if one.decides else ""),
            )
        )  # fmt: skip
        if line.name in told:
            continue
        told.add(line.name)
        rule = RULES[line.kind]
        kit = repair_kit(line, say.small(line.diameter), metric=not say.us)
        shut = line.shutoff or "NOT KNOWN"
        if line.shutoff_at is not None:
            at = plan_of(line.shutoff_at, design.site.points, f"utilities.{line.name}.shutoff_at")
            shut += f" ({taped_words(design, tape_of(design, line.name, at))})"
        kits.append(
            (
                Cell(text=line.name, weight="semibold"), shut, rule.stop,
                "; ".join(kit) if rule.repairs else Cell(text="NEVER REPAIRED BY US", colour=RED, weight="semibold"),
                rule.call,
            )
        )  # fmt: skip
    columns = (
        Column(head="No.", width=0.6), Column(head="Line", width=1.8), Column(head="Where", width=3.8),
        Column(head="Expect its top down", width=1.9), Column(head="By hand", align="right"),
        Column(head="Known by", width=2.2),
    )  # fmt: skip
    kit_columns = (
        Column(head="Line", width=1.5), Column(head="Shutoff", width=2), Column(head="If it is nicked", width=2.2),
        Column(head="Kit at hand", width=3.4), Column(head="Call", width=2),
    )  # fmt: skip
    return (
        Heading(text="Expose in this order", level=2),
        Table(columns=columns, rows=tuple(rows), size=0.8, tight=True),
        Paragraph(
            text="Where: the line's own place, square from the wall. Alongside: where it is nearest.", style="soft"
        ),
        *((Paragraph(text=COVERED),) if any(one.covered for one in found) else ()),
        *_joints(design),
        *((Paragraph(text=FOOTING),) if any(one.footing is not None for one in found) else ()),
        Notice(tone="caution", title="An exposed line, until it is buried again", text=HOLDING[0], items=HOLDING[1:]),
        Heading(text="If a line is nicked", level=2),
        Table(columns=kit_columns, rows=tuple(kits), size=0.8, tight=True),
        Paragraph(
            text="Order, kits and whom to call: common practice, no source. A crew mends only where the place and the "
            "line's owner allow it; a licensed trade comes first where the code wants one.",
            style="soft",
        ),
    )


def _joints(design: Design) -> tuple[Block, ...]:
    """Where no joint of a new pipe lies over a water line: Ten States, with how from common practice."""
    return tuple(
        Paragraph(
            text=f"{item.mark}: no joint of {item.run} lies over the {item.utility}. The middle of a stick, or of the "
            "longest piece that fits, comes there; a sleeve, if the place asks for one, before the stone.",
            style="strong",
        )
        for item in near_water(design.site, design.build.dig, design.system.runs)
    )


def _stations(item: Crossing, say: Say) -> str:
    """Where along the dig a line is met; alongside, from where to where, as on its cut sheet."""
    if item.stretch is None:
        return ""
    if item.crossing:
        return f" at {say.length(item.station)}"
    return f" alongside, {say.length(item.stretch[0])} to {say.length(item.stretch[1])}"


__all__ = ["exposure_blocks"]
