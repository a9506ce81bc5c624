"""Shaped ground in words: what the customer gets, and the levels that the crew sets by tape and level."""

from __future__ import annotations

import math

from drainwright.build.shaping import TOPSOIL, suitable
from drainwright.build.units import INCH
from drainwright.design import Design
from drainwright.field.shaping import ShapedStrip
from drainwright.paper.documents.blocks import Block, Bullets, Column, Heading, Paragraph, Row, Table
from drainwright.paper.documents.say import BASIS_WORDS, Say
from drainwright.paper.shaping_marks import stakes

LIFT = 6.0 * INCH  # of loose fill before it is tamped; common practice, no source [m]
FINISHES = {"sod back": "sod laid back", "seed": "topsoil and seed", "mulch": "mulch", "stone": "stone"}


def shaping_scope(design: Design) -> tuple[Block, ...]:
    """Shaped ground for the proposal; nothing where none is shaped."""
    say, strips = Say(design.job.units), design.site.shaped
    if not strips:
        return ()
    rows: tuple[Row, ...] = tuple(
        (
            strip.wall.name, say.length(strip.length), say.length(strip.strip.width), _fall(strip, say),
            say.bulk(strip.fill), FINISHES[strip.strip.finish],
        )
        for strip in strips
    )  # fmt: skip
    columns = (
        Column(head="Along wall", width=1.2), Column(head="Length", align="right"), Column(head="Width", align="right"),
        Column(head="Falls at least", width=1.4, align="right"),
        Column(head="Fill, in place", width=1.3, align="right"),
        Column(head="Finish", width=2),
    )  # fmt: skip
    text = (
        "The ground is filled or cut to fall away from the wall. New fill settles: it is left a little high, and where "
        "a hollow shows after the first winter it wants filling again. The ground must stay below siding, vents and "
        "openings; plants and edging that hold water at the wall undo the work."
    )
    return (
        Heading(text="Ground shaped to fall away from the house", level=2),
        Table(columns=columns, rows=rows),
        Paragraph(text=text, style="soft"),
    )


def _fall(strip: ShapedStrip, say: Say) -> str:
    least = min(strip.sections, key=lambda item: item.fall / item.run if item.run > 0 else math.inf)
    return f"{say.small(least.fall)} in {say.length(least.run)}"


def shaping_levels(design: Design) -> tuple[Block, ...]:
    """Levels to set for the crew; nothing where no ground is shaped."""
    say, strips, earth = Say(design.job.units), design.site.shaped, design.build.dig.shaped
    if not strips or earth is None:
        return ()
    rows: list[Row] = []
    for strip in strips:
        for item in stakes(strip):
            most = "not measured" if item.highest is None else f"{say.level(item.highest)} ({item.clear_of})"
            rows.append(
                (
                    strip.wall.name, say.tape(item.station), say.level(item.ground_wall), say.level(item.wall_level),
                    most, say.tape(item.run), say.level(item.ground_edge), say.level(item.edge_level), "☐",
                )
            )  # fmt: skip
    columns = (
        Column(head="Wall", width=1.1), Column(head="Along it", align="right"), Column(head="Ground", align="right"),
        Column(head="Set at wall", align="right"), Column(head="Never above", width=1.7),
        Column(head="Out", align="right"), Column(head="Ground there", align="right"),
        Column(head="Set there", align="right"), Column(head="Read"),
    )  # fmt: skip
    fit = suitable(design.site)
    soil = (
        f"Of the digging, {say.bulk(earth.reused)} go into the fill ({fit.why})."
        if earth.reused > 0 else f"Nothing of the digging goes into the fill: {fit.why}."
    )  # fmt: skip
    assumed = [strip.name for strip in strips if strip.basis.value == "assumed"]
    notes = [
        f"Strip {say.small(TOPSOIL)} of topsoil under grass and lay it aside; it goes back on top.",
        f"Clayey fill in loose lifts of {say.small(LIFT)} at most, each tamped by hand beside the wall; never frozen, "
        f"never wet. {soil}",
        "Coat the wall up to the finished ground before the fill comes. No earth on siding, vents, screed or sills.",
        "Leave the fill high by a twenty-fourth of its depth, and over a refilled dig by its crown.",
        "Bring valve boxes, meters and cleanouts up to the finished ground. No fill over the roots of trees that stay.",
    ]
    if assumed:
        notes.append(
            f"Ground at {', '.join(assumed)}: {BASIS_WORDS[strips[0].basis.ASSUMED]}. Read it before ordering."
        )
    return (
        Heading(text="Levels of the shaped ground"),
        Table(columns=columns, rows=tuple(rows)),
        Bullets(items=tuple(notes)),
        Paragraph(text="Falls straight between these levels, with a string from stake to stake.", style="soft"),
    )


__all__ = ["shaping_levels", "shaping_scope"]
