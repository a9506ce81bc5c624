"""Filling the digs again: the crew's table."""

from __future__ import annotations

from collections.abc import Iterator

from drainwright.build.backfill import BY_HAND, backfills
from drainwright.build.filling import tight
from drainwright.build.shaping import TOPSOIL
from drainwright.design import Design
from drainwright.paper.documents.blocks import Block, Bullets, Cell, Column, Heading, Table
from drainwright.paper.documents.say import Say

_BRACED = "Nobody fills against a wall that its floor does not brace yet. "


def backfill_blocks(design: Design) -> tuple[Block, ...]:
    """Each dig with its stone, lifts, cap and crown, and the rules that hold for all."""
    say = Say(design.job.units)
    found = backfills(design.site, design.system, design.build.dig.trenches)
    if not found:
        return ()
    drains = {run.name for run in design.system.runs if run.duty == "footing drain"}
    rows = tuple(
        (
            Cell(text=item.trench, weight="semibold"), say.small(item.stone) if item.stone else "–",
            "yes" if item.fabric else "–",
            f"{item.lifts} of {say.small(item.lift)} loose" if item.lifts else "–",
            say.small(item.cap) if item.cap else "–", say.small(item.crown),
            "hand only" if item.by_hand else "plate, hand at walls" if item.trench in drains else "plate or hand",
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
                _at_walls(design, say),
                f"{_BRACED if any(wall.wall.open_and_coat for wall in design.site.walls) else ''}Tall places have the "
                "lifts shown; shallow ones fewer.",
                *_soils(design, say, capped=any(item.cap > 0 for item in found)),
                "Crown: what settles comes back in a season; look again after the first hard rains.",
                *(
                    ("A basin's hole is filled and tamped up to the ground before its pump first runs.",)
                    if design.system.stations
                    else ()
                ),
                "Lifts, cap and crown: common practice, no source. An engineer's or the place's word comes first.",
            )
        ),
    )


def _at_walls(design: Design, say: Say) -> str:
    """Tampers beside a wall; coat and board only where there are any."""
    coatings = [wall.wall.coating for wall in design.site.walls if wall.wall.open_and_coat]
    told = f"Within {say.length(BY_HAND)} of a wall only hand tampers"
    if any(coating.kind != "none" for coating in coatings):
        told += "; nothing tamps on a coat that has not cured"
        if any(coating.board for coating in coatings):
            told += ", and the board stands before the first stone"
    return f"{told}."


def _soils(design: Design, say: Say, *, capped: bool) -> Iterator[str]:
    """Topsoil, the cap at walls, what else is bought, and that it all adds up."""
    dig, texture = design.build.dig, design.job.ground.texture.value
    made = dig.filling
    if made is None:
        return
    if made.topsoil > 0:
        yield (
            f"Topsoil: {say.small(TOPSOIL)} over every dig, about {say.bulk(made.topsoil)}, is stripped first and lies "
            "on a sheet of its own; it goes back last."
        )
    if capped and made.cap > 0:
        yield (
            f"Cap, below the topsoil at the walls: {say.bulk(made.cap_loose)} of bought clayey soil, loose, tamped and "
            "falling away from the house."
        )
    elif capped and tight(design.site):
        yield "Cap, below the topsoil at the walls: tight soil of the dig, tamped and falling away from the house."
    elif capped:
        yield (
            f"Cap, below the topsoil at the walls: the dig's own {texture}, as the job says. It is not tight: its fall "
            "away from the house is what sheds the water."
        )
    if made.made_up > 0:
        loose = say.bulk(made.made_up_loose)
        yield f"Too little of what is dug is fit to go back: {loose} of topsoil, loose, is bought."
    bought = f", {say.bulk(made.cap + made.made_up)} bought" if made.cap + made.made_up > 0 else ""
    yield (
        f"In place: {say.bulk(dig.bank_volume)} dug are filled by {say.bulk(made.displaced)} of stone, pipes and "
        f"basins, {say.bulk(made.native)} of native soil, {say.bulk(made.topsoil)} of topsoil{bought}."
    )


__all__ = ["backfill_blocks"]
