"""The safe-dig sheet: buried lines, trenches, footings, roots."""

from __future__ import annotations

import math

from drainwright.build.model import Crossing, RootCut, RootLoss, Trench
from drainwright.build.panels import bared_lengths
from drainwright.build.protection import DOUBT
from drainwright.build.trench import PLACES
from drainwright.build.wording import asked_guard, beside_rule, lengths_rule
from drainwright.design import Design
from drainwright.findings.places import series
from drainwright.job.values import Basis
from drainwright.paper.documents.against_causes import bared_uncoated
from drainwright.paper.documents.blocks import Block, Bullets, Cell, Column, Heading, Notice, Paragraph, Table
from drainwright.paper.documents.edge_words import deep_pits, loose_sides
from drainwright.paper.documents.exposure_paper import exposure_blocks
from drainwright.paper.documents.governing import cited
from drainwright.paper.documents.lines_paper import line_blocks, rock_words
from drainwright.paper.documents.say import BASIS_WORDS, Say, joined
from drainwright.paper.documents.shield_paper import shield_blocks
from drainwright.paper.looks import UTILITY
from drainwright.paper.white_marking import corner_words

RED = "#8f1d14"
IN_EACH = "Soil stands between two open lengths of a wall: each open length with people in it has its own ladder."
FIRST = (
    "Local law and the one-call centre come before this sheet. Private lines (sprinklers, lighting, gas to a grill, "
    "septic) are not marked by the one-call centre: have them located privately."
)

FUMES = (
    "Fumes of fuel burn and choke, and sewage makes people sick: air tested before anybody goes in, no flame, no "
    "smoking, no engine at the edge, gloves, hands washed before eating. Dizzy or sick: everyone out."
)
FOULED_OPEN = (
    "The soil smells or looks of fuel, sewage or another thing, and nobody has tested it. No digging there until the "
    f"office says that it is settled. {FUMES}"
)
FOULED_CLEARED = (
    "The soil smells or looks of fuel, sewage or another thing. Dig it only as it was settled in writing, and keep its "
    f"soil and water apart. More of it elsewhere: stop and call. {FUMES}"
)


def safe_dig_blocks(design: Design) -> tuple[Block, ...]:
    """All that the digging must respect."""
    say = Say(design.job.units)
    return (
        Heading(text="Safe-dig sheet", new_page=True),
        Paragraph(text=FIRST),
        *_ticket(design, say),
        *line_blocks(design, say),
        *_meetings(design, say),
        *exposure_blocks(design, say),
        *trench_blocks(design, say),
        *_footings(design, say),
        *_lengths(design, say),
        *shield_blocks(design, say),
        *_roots(design, say),
        *_shaped(design),
    )


def _ticket(design: Design, say: Say) -> tuple[Block, ...]:
    rules = design.job.rules
    blocks: list[Block] = [
        Bullets(
            items=(
                f"Notice before digging: {rules.locate_notice.value} working days "
                f"({BASIS_WORDS[rules.locate_notice.basis]}).",
                f"The ticket lives {rules.ticket_life.value} working days "
                f"({BASIS_WORDS[rules.ticket_life.basis]}): renew it if the work runs on.",
                f"Tolerance zone: {say.length(rules.tolerance_zone.value)} each side of the mark's outside "
                f"({BASIS_WORDS[rules.tolerance_zone.basis]}). Inside it: hands, blunt tools, vacuum.",
                f"Ticket no. {design.job.locates.number or '____________________'}: answers and days are on the locate "
                "request.",
                *rock_words(design),
            )
        )
    ]
    unlocated = design.build.dig.unlocated
    if unlocated:
        blocks.append(
            Notice(
                tone="fails", title="Not located and not ruled out",
                text=f"Such a lot usually has these, and nobody has found or excluded them: {joined(list(unlocated))}. "
                "No digging until each is located or ruled out.",
            )
        )  # fmt: skip
    fouled = design.job.ground.fouled
    if fouled is not None:
        blocks.append(
            Notice(
                tone="caution" if fouled.cleared.strip() else "fails", title="Fouled soil or water",
                text=FOULED_CLEARED if fouled.cleared.strip() else FOULED_OPEN,
            )
        )  # fmt: skip
    return tuple(blocks)


def _meetings(design: Design, say: Say) -> tuple[Block, ...]:
    meetings = design.build.dig.crossings
    if not meetings:
        return ()
    rows = tuple(_meeting(design, item, say) for item in meetings)
    columns = (
        Column(head="Mark", width=1.25), Column(head="Line", width=2.05), Column(head="Met by", width=1.1),
        Column(head="How", width=1.4),
        Column(head="At station", width=1.7, align="right"), Column(head="Down", width=1.6, align="right"),
        Column(head="Gap to pipe", width=2.3, align="right"), Column(head="By hand", align="right"),
    )  # fmt: skip
    return (
        Heading(text="Where the digging meets them", level=2),
        Table(columns=columns, rows=rows, size=0.82, tight=True),
        Paragraph(
            text="Stations from the run's upper end, or the wall's first end. Gap: outside to outside, least in the "
            "trench. Down: to the line's top.",
            style="soft",
        ),
    )


def _meeting(design: Design, item: Crossing, say: Say) -> tuple[str | Cell, ...]:
    letters, colour, _ = UTILITY[item.kind]
    down: str | Cell = Cell(text="UNKNOWN", colour=RED, weight="semibold")
    if item.utility_top is not None:
        mark = "" if item.basis is Basis.MEASURED else " ?"
        down = say.small(design.site.surface.level(*item.at) - item.utility_top) + mark
    gap: str | Cell
    if item.clearance is None:
        text = "could meet" if item.could_meet else f"{say.small(item.clearance_least)} or more"
        gap = Cell(text=text, colour=RED, weight="semibold") if item.could_meet else text
    elif item.clearance < 0:
        gap = Cell(text=f"{say.small(-item.clearance)} INTO it", colour=RED, weight="semibold")
    elif item.could_meet:
        gap = Cell(text=f"{say.small(item.clearance)}; could meet", colour=RED, weight="semibold")
    elif item.clearance_most - item.clearance_least > 0.003:
        gap = f"{say.small(item.clearance_least)} to {say.small(item.clearance_most)}"
    else:
        gap = say.small(item.clearance)
    wide = any(trench.name == item.run and trench.kind in ("basin", "inlet") for trench in design.build.dig.trenches)
    return (
        Cell(text=f"{item.mark} {letters}", swatch=colour, weight="semibold"), item.utility,
        Cell(text=item.run, weight="semibold"),
        _how(design, item), "in the hole" if wide else say.length(item.station),
        down, gap, say.length(item.hand_dig),
    )  # fmt: skip


def _how(design: Design, item: Crossing) -> str:
    """How a dig meets a line."""
    width = next((trench.width for trench in design.build.dig.trenches if trench.name == item.run), math.inf)
    if item.slants(width):
        return "slants"
    return "crosses" if item.crossing else "alongside"


def trench_blocks(design: Design, say: Say, *, together: bool = False) -> tuple[Block, ...]:
    """The trenches with their protection; ``together``: runs dug alike in one row."""
    alike: dict[object, list[Trench]] = {}
    for item in design.build.dig.trenches:
        key = (
            say.small(item.width), item.protection, item.slope_run, item.slope_fits, item.bars, item.over,
            item.spoil_setback, item.ladder, item.planned,
        )  # fmt: skip
        alike.setdefault(key if together and item.kind == "run" and not item.ladder else item.name, []).append(item)
    rows = tuple(_trench(items, say) for items in alike.values())
    rows += tuple(
        (
            Cell(text=name, weight="semibold"), say.length(design.system.run(name).length), "–",
            say.dug(design.system.run(name).deepest),
            f"none of its own: in the digging of {other}", "–", "–",
        )
        for name, other in design.build.dig.laid_in
    )  # fmt: skip
    if not rows:
        return ()
    columns = (
        Column(head="Trench", width=3.0 if together else 2),
        Column(head="Length", width=1.8 if together else 1.6, align="right"),
        Column(head="Width", width=1.5, align="right"),
        Column(head="Dug to", width=2.4 if together else 1.5, align="right"), Column(head="Protection", width=3.5),
        Column(head="Spoil back", width=1.3, align="right"), Column(head="Ladder", width=1),
    )  # fmt: skip
    soil = design.job.ground.osha_type
    bared = bared_lengths(design.site, design.system, design.build.dig.wall_panel)
    return (
        Heading(text="Trenches", level=2),
        Table(columns=columns, rows=rows, size=0.84, tight=True),
        Paragraph(text=f"Soil type {soil.value} ({BASIS_WORDS[soil.basis]}): the competent person decides on the day."),
        *_protection_steps(design, say),
        Bullets(
            items=(
                "A ladder stands within 25 ft of everyone in a trench of 4 ft or more, and 3 ft above the edge."
                if say.us
                else "A ladder stands within 7.6 m of everyone in a trench of 1.2 m or more, and 0.9 m above the edge.",
                *((IN_EACH,) if any(item.ladder for item in design.build.dig.trenches) and bared else ()),
                "No machine, barrow or heap near the edge; nobody in the trench alone.",
                *loose_sides(design),
                *deep_pits(design, say),
                *(note for note in design.build.dig.notes if "letters" in note),
                *_panels(design, say),
                *_stand_beside(design),
            )
        ),
    )


def _panels(design: Design, say: Say) -> tuple[str, ...]:
    """What of the widths the panels of shields take, where any do."""
    digs = design.build.dig.trenches
    square = any(item.kind == "basin" and not item.round for item in digs)
    most = design.job.criteria.shield_panels
    if most <= 0.0 or not (square or any(item.panels > 0.0 for item in digs)):
        return ()
    half = " (at an opened wall half of it)" if any(item.kind == "wall" and item.panels > 0.0 for item in digs) else ""
    return (
        f"Of the width where shields stand, {say.small(most)}{half} is for their panels, both sides together: assumed, "
        "their sheet says.",
    )


def _stand_beside(design: Design) -> list[str]:
    """What stands nearer to digs than they are deep, and what holds it up."""
    near: dict[tuple[str, str], list[str]] = {}
    for trench in design.build.dig.trenches:
        for thing in trench.stands:
            near.setdefault(thing, []).append(trench.name)
    return [
        f"Beside {joined(list(dict.fromkeys(digs)))} stands this: the {name} ({kind}). {beside_rule(kind)}"
        for (name, kind), digs in near.items()
    ]


def _protection_steps(design: Design, say: Say) -> tuple[Block, ...]:
    """What the protection of each deep trench is reckoned from, with the steps of the worksheet."""
    deep = [item for item in design.build.dig.trenches if item.ladder]
    if not deep:
        return ()

    def step(item: Trench, formula: str, value: float) -> str:
        where = f"{PLACES[item.kind]}.{item.name}"
        return cited(design, say.level(value), f"build.protection.{formula}", value, where)

    rows = tuple(
        (
            Cell(text=item.name, weight="semibold"), step(item, "judged_depth", item.judged),
            f"{item.slope_run:g} to 1",
            step(item, "slope_back", item.slope_back) if item.slope_run > 0.0 else "–", f"{item.ladders}",
            step(item, "ladder_way", item.ladder_way),
        )
        for item in deep
    )  # fmt: skip
    columns = (
        Column(head="Trench", width=1.4), Column(head="Judged by depth", width=2, align="right"),
        Column(head="Steepest slope", width=1.6, align="right"),
        Column(head="Each side goes back", width=2.2, align="right"),
        Column(head="Ladders", width=1, align="right"), Column(head="Farthest from one", width=2, align="right"),
    )  # fmt: skip
    return (
        Paragraph(
            text=f"Judged by: greatest depth, and {say.small(DOUBT)} more where nobody measured what it is dug to. "
            "Slopes by the soil's type (29 CFR 1926 Subpart P, Appendix B), type C where water stands.",
            style="soft",
        ),
        Table(columns=columns, rows=rows, size=0.84, tight=True),
    )  # fmt: skip


def _trench(items: list[Trench], say: Say) -> tuple[str | Cell, ...]:
    item = items[0]
    words: str | Cell = asked_guard(item)
    if item.protection in ("slope or shield", "engineer"):
        words = Cell(text=asked_guard(item), weight="semibold", colour=RED)
    elif item.protection == "house-foundation letters":
        words = Cell(text=asked_guard(item), weight="semibold")
    elif item.protection == "none" and item.over:
        words = f"{asked_guard(item)}; over {joined(list(item.over))} only when that is filled"
    kind = {"run": "", "inlet": " (catch basin)"}.get(item.kind, f" ({item.kind})")
    length = "–" if item.kind in ("basin", "inlet") else say.length(sum(one.length for one in items))
    names = ", ".join(series([one.name for one in items]))
    deep = list(dict.fromkeys(say.dug(pick(one.depth_greatest for one in items)) for pick in (min, max)))
    return (
        Cell(text=f"{names}{kind}", weight="semibold"), length, say.small(item.width),
        " to ".join(deep), words, say.length(item.spoil_setback), "yes" if item.ladder else "–",
    )  # fmt: skip


def _footings(design: Design, say: Say) -> tuple[Block, ...]:
    dig = design.build.dig
    opened = [wall.name for wall in design.site.walls if wall.wall.open_and_coat]
    items = []
    if opened:
        each = "it" if len(opened) == 1 else "each"
        items.append(
            f"Wall{'' if len(opened) == 1 else 's'} {joined(opened)}: "
            + (
                f"{lengths_rule(say.length(dig.wall_panel), len(opened))}. "
                if dig.wall_panel > 0
                else f"shallow and sound, so {each} may be opened whole, for no longer than the work needs. "
            )
            + "Leave the floor and any brace in place."
        )
    bared = bared_uncoated(design)
    if bared:
        runs = joined(list(dict.fromkeys(name for names in bared.values() for name in names)))
        items.append(f"Laid bare by {runs} and not coated: {joined(list(bared))}. The same care, and no waterproofing.")
    inside = [item for item in dig.wedges if item.inside]
    items += [
        f"{item.item} at wall {item.wall}: {say.small(item.below_footing)} below the footing, "
        f"{say.small(max(item.allowed_below, 0.0))} allowed at {say.small(item.offset)} from it. DO NOT DIG without a "
        "licensed engineer's design."
        for item in inside
    ]
    if not inside:
        items.append(
            "No trench or basin enters the bearing wedge of a footing, as designed. Deeper than the cut sheet is "
            "never allowed."
        )
    return (Heading(text="Footings and walls", level=2), Bullets(items=tuple(items)))


def _lengths(design: Design, say: Say) -> tuple[Block, ...]:
    """Where each length of a wall that is not bared whole begins and ends, and in which pass it is opened."""
    found = bared_lengths(design.site, design.system, design.build.dig.wall_panel)
    if not found:
        return ()
    corners = {wall.name: corner_words(design, wall.wall.from_) for wall in design.site.walls}
    rows = tuple(
        (
            Cell(text=f"{item.number}", weight="semibold"), item.wall, corners[item.wall], say.length(item.start),
            say.length(item.end), "odd: first" if item.odd else "even: after the odd are filled", "☐",
        )
        for item in found
    )  # fmt: skip
    columns = (
        Column(head="Length no.", width=0.9), Column(head="Wall", width=1.3), Column(head="Measured from", width=2.4),
        Column(head="From", width=1.2, align="right"), Column(head="To", width=1.2, align="right"),
        Column(head="Opened", width=2.6), Column(head="Filled, tamped", width=1.4),
    )  # fmt: skip
    return (
        Heading(text="Lengths of wall", level=2),
        Paragraph(
            text="Mark them on the ground before the first shovel. Stations run along the wall from its first corner; "
            "numbers run on round a corner, so that two odd lengths never touch. HOLD: no even length is opened before "
            "every odd one is filled and tamped and the competent person has seen it."
        ),
        Table(columns=columns, rows=rows, size=0.84, tight=True),
    )


def _shaped(design: Design) -> tuple[Block, ...]:
    """Lines and roots under ground that is shaped: no trench, and still topsoil is stripped there."""
    if not design.site.shaped:
        return ()
    told = [item for item in design.findings if item.id in ("DIG-21", "DIG-22") and item.advice]
    items = tuple(f"{item.message} {item.figure}. {item.advice}" for item in told)
    none = "No buried line that is entered, and no root zone of a tree that stays, lies under it."
    return (
        Heading(text="Under the shaped ground", level=2),
        Bullets(items=items) if items else Paragraph(text=none),
        Paragraph(text="The locate ticket covers the strips too: stripping topsoil is digging.", style="strong"),
    )


def _roots(design: Design, say: Say) -> tuple[Block, ...]:
    trees: dict[str, list[RootCut]] = {}
    for cut in design.build.dig.roots:
        trees.setdefault(cut.tree, []).append(cut)
    if not trees:
        return (Heading(text="Roots", level=2), Paragraph(text="No trench enters a tree's critical root zone."))
    losses = {loss.tree: loss for loss in design.build.dig.tree_roots}
    rows = tuple(
        (
            Cell(text=tree, weight="semibold"), say.small(cuts[0].trunk_diameter), say.length(cuts[0].root_radius),
            say.length(min(cut.distance for cut in cuts)), *_lost(losses.get(tree), say),
            ", ".join(dict.fromkeys(cut.item for cut in cuts)),
        )
        for tree, cuts in trees.items()
    )  # fmt: skip
    columns = (
        Column(head="Tree", width=1.6), Column(head="Trunk", width=1.1, align="right"),
        Column(head="Root zone", width=1.3, align="right"),
        Column(head="Nearest digging", width=1.7, align="right"), Column(head="Lost", width=0.8, align="right"),
        Column(head="Digging lies", width=1.7), Column(head="Trenches in it", width=2.6),
    )  # fmt: skip
    thick = "2 in" if say.us else "50 mm"
    return (
        Heading(text="Roots", level=2),
        Table(columns=columns, rows=rows, size=0.84, tight=True),
        Paragraph(
            text=f"By hand there. No root thicker than {thick} is cut without an arborist; clean saw cuts, covered "
            "the same day."
        ),
    )


def _lost(loss: RootLoss | None, say: Say) -> tuple[str, str]:
    """What all digging cuts off of a tree's root zone, and on which sides."""
    if loss is None:
        return "–", "–"
    return say.percent(loss.share), ", ".join(f"to the {side}" for side in loss.sides) or "at its edge"


__all__ = ["safe_dig_blocks"]
