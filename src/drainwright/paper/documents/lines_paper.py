"""Buried lines on the safe-dig sheet: what is known of each, live ones along inside a dig, what owners agreed to."""

from __future__ import annotations

from drainwright.build.machine import no_breaker
from drainwright.build.wording import entry_rule
from drainwright.design import Design
from drainwright.job.site import Utility
from drainwright.paper.documents.blocks import Block, Cell, Column, Heading, Notice, Paragraph, Table
from drainwright.paper.documents.say import BASIS_WORDS, Say, joined
from drainwright.paper.looks import UTILITY

RED = "#8f1d14"


def rock_words(design: Design) -> tuple[str, ...]:
    """Where rock is broken by hand alone."""
    names = no_breaker(design.site, design.build.dig, design.build.plan)
    if not names:
        return ()
    said = (
        f"Rock in the tolerance zone of the {joined(list(names))}: by hand, with wedges and bar, the line exposed first"
    )
    return (f"{said}. NO BREAKER there without its owner's word.",)


def line_blocks(design: Design, say: Say) -> tuple[Block, ...]:
    """The lines on the lot, those that lie live along inside a dig, and what their owners agreed to."""
    rows = []
    for line in design.site.utilities:
        item = line.utility
        letters, colour, name = UTILITY[item.kind]
        rows.append(
            (
                Cell(text=letters, swatch=colour, weight="semibold"), name, Cell(text=item.name, weight="semibold"),
                _depth(item, say),
                item.located_by, item.shutoff or Cell(text="NOT KNOWN", colour=RED, weight="semibold"),
                "live" if item.live else "dead: prove it",
            )
        )  # fmt: skip
    if not rows:
        return (Paragraph(text="No buried line is entered. That is not the same as none being there.", style="strong"),)
    columns = (
        Column(head="Mark"), Column(head="Paint", width=1.2), Column(head="Line", width=2.1),
        Column(head="Depth to its top", width=2.6),
        Column(head="Located by", width=1.8), Column(head="Shutoff", width=2.8), Column(head="State", width=1.2),
    )  # fmt: skip
    return (
        Heading(text="Lines on the lot", level=2),
        Table(columns=columns, rows=tuple(rows), size=0.82, tight=True),
        Paragraph(
            text="Paint by the uniform colour code of the American Public Works Association: red electric, yellow gas, "
            "orange communication, blue drinking water, purple reclaimed and irrigation, green sewer and drain, pink "
            "survey, white proposed digging.",
            style="soft",
        ),
        *_along(design, say),
        *_agreed(design),
    )


def _depth(item: Utility, say: Say) -> str | Cell:
    """How deep a line lies, how sure that is, and whether somebody told how sure."""
    if item.depth is None:
        return Cell(text="UNKNOWN: dig by hand from the surface", colour=RED, weight="semibold")
    usual = " assumed" if item.depth_uncertainty is None else ""
    return f"{say.length(item.depth.value)} ± {say.small(item.doubt)}{usual}, {BASIS_WORDS[item.depth.basis]}"


def _along(design: Design, say: Say) -> tuple[Block, ...]:
    """Live gas, electric and propane lines that lie along inside a dig."""
    agreed = {item.name for item in design.job.utilities if item.agreed is not None}
    found = []
    for item in design.build.dig.trenches:
        for name, length in ((name, length) for name, length in item.along if name in item.bars):
            what = (
                "Digging only as its owner agreed in writing, below."
                if name in agreed
                else "NO DIGGING THERE before its owner has moved it, made it dead or agreed in writing how it is held."
            )
            rule = entry_rule(item)
            found.append(
                Notice(
                    tone="caution" if name in agreed and not item.held else "fails", title="Live along inside the dig",
                    text=f"{say.length(length)} of the {name} lie in {item.name}. {what} {rule}{' ' if rule else ''}"
                    "No slope, shield or brace on it or against it. By hand only, a short length at a time.",
                )
            )  # fmt: skip
    return tuple(found)


def _agreed(design: Design) -> tuple[Block, ...]:
    """What owners of lines agreed to in writing, as it was entered."""
    rows = tuple(
        (Cell(text=item.name, weight="semibold"), item.agreed.by, item.agreed.on.isoformat(), item.agreed.text)
        for item in design.job.utilities
        if item.agreed is not None
    )
    if not rows:
        return ()
    columns = (
        Column(head="Line", width=2), Column(head="Agreed by", width=2), Column(head="Agreed on", width=1.2),
        Column(head="What was agreed", width=5),
    )  # fmt: skip
    return (
        Heading(text="Agreed in writing with the lines' owners", level=2),
        Table(columns=columns, rows=rows, size=0.84, tight=True),
    )


__all__ = ["line_blocks", "rock_words"]
