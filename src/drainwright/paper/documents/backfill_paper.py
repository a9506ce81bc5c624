"""Filling the digs again: the crew's table."""

from __future__ import annotations

from drainwright.build.backfill import BY_HAND, backfills
from drainwright.design import Design
from drainwright.paper.documents.blocks import Block, Bullets, Cell, Column, Heading, Table
from drainwright.paper.documents.say import Say


def backfill_blocks(design: Design) -> tuple[Block, ...]:
    """Each dig with its stone, lifts, cap and crown, and the rules that hold for all."""
    say = Say(design.job.units)
    found = backfills(design.site, design.system, design.build.dig.trenches)
    if not found:
        return ()
    rows = tuple(
        (
            Cell(text=item.trench, weight="semibold"), say.small(item.stone) if item.stone else "–",
            "yes" if item.fabric else "–",
            f"{item.lifts} of {say.small(item.lift)} loose" if item.lifts else "–",
            say.small(item.cap) if item.cap else "–", say.small(item.crown),
            "hand only" if item.by_hand else "plate or hand",
        )
        for item in found
    )  # fmt: skip
    columns = (
        Column(head="Dig", width=1.2), Column(head="Stone", width=1.2, align="right"),
        Column(head="Fabric over", width=1.1),
        Column(head="Native soil, lifts", width=2.2), Column(head="Cap", width=1.1, align="right"),
        Column(head="Crown", width=1.1, align="right"), Column(head="Tamper", width=1.4),
    )  # fmt: skip
    return (
        Heading(text="Filling again, from the bottom up", new_page=False, level=2),
        Table(columns=columns, rows=rows, size=0.84, tight=True),
        Bullets(
            items=(
                "Stone is set in, not thrown; fabric is closed over it before any soil comes near.",
                f"Native soil: {found[0].moisture}. No frozen soil, roots, rubble or stones larger than a fist.",
                f"Within {say.length(BY_HAND)} of a wall only hand tampers; nothing tamps on a coat that has not "
                "cured, and the board stands before the first stone.",
                "Nobody fills against a wall that its floor does not brace yet. Tall places have the lifts shown; "
                "shallow ones fewer.",
                "Cap: tight native soil, then topsoil, falling away from the house. Crown: what settles comes back in "
                "a season; look again after the first hard rains.",
                *(
                    ("A basin's hole is filled and tamped up to the ground before its pump first runs.",)
                    if design.system.stations
                    else ()
                ),
                "Lifts, cap and crown: common practice, no source. An engineer's or the place's word comes first.",
            )
        ),
    )


__all__ = ["backfill_blocks"]
