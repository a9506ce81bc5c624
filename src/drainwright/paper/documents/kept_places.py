"""Where what lies in the ground is found again, by tape from the house: for those who come after the crew."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.field.model import Plan
from drainwright.paper.documents.blocks import Block, Cell, Column, Heading, Paragraph, Table
from drainwright.paper.documents.cut_sheets import along_words
from drainwright.paper.documents.say import Say
from drainwright.paper.fitting_marks import numbered_cleanouts
from drainwright.paper.setting_out import tape_of

KINDS = {"basin": "basin", "inlet": "inlet", "discharge": "way out", "junction": "buried joint"}


def kept_places(design: Design) -> tuple[Block, ...]:
    """Basins, inlets, ways out and cleanouts, each from its nearest wall line, with its depth to the pipe's invert."""
    say, system = Say(design.job.units), design.system
    built = numbered_cleanouts(design)
    heads = {system.run(place.run).upper for _, place in built if place.why == "upper end"}
    found: list[tuple[str, str, Plan, float]] = [
        (node.name, KINDS[node.kind], node.at, node.rim - node.invert)
        for node in system.nodes.values()
        if node.kind in KINDS and node.name not in heads
    ]
    for name, place in built:
        run = system.run(place.run)
        near = min(run.stations, key=lambda station: abs(station.distance - place.distance))
        found.append((name, f"of {place.run}", place.at, near.ground - near.invert))
    if not found:
        return ()
    rows = []
    for name, what, at, down in found:
        taped = tape_of(design, name, at)
        side = "out from the house" if taped.out >= 0 else "towards the house"
        rows.append(
            (
                Cell(text=name, weight="semibold"), what, f"{taped.start} to {taped.end}", along_words(taped, say),
                f"{say.length(abs(taped.out))} {side}", say.dug(down),
            )
        )  # fmt: skip
    columns = (
        Column(head="What", width=1.3), Column(head="", width=1.5), Column(head="Along the wall", width=1.1),
        Column(head="From its first corner", width=2.2), Column(head="Then square out", width=2.3),
        Column(head="Pipe's invert below the top", width=1.3, align="right"),
    )  # fmt: skip
    return (
        Heading(text="Where to find it again"),
        Table(columns=columns, rows=tuple(rows), size=0.86, tight=True),
        Paragraph(
            text="Corners by their letters on the plan at the end. As designed: where it was built otherwise, the "
            "record of what was built goes first.",
            style="soft",
        ),
    )


__all__ = ["kept_places"]
