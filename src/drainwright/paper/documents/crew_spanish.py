"""The crew's packet in Spanish: the English one, said by the catalogue."""

from __future__ import annotations

from dataclasses import replace

from drainwright.design import Design
from drainwright.paper.documents.blocks import Block, Column, Document, Heading, Notice, Paragraph, Plate, Table
from drainwright.paper.documents.crew import assemble, first_stops
from drainwright.paper.documents.hazards import more_hazards, risk_sheet
from drainwright.paper.documents.say import failing
from drainwright.paper.documents.shell import Sheets
from drainwright.paper.documents.spanish import Translator, typed_in
from drainwright.paper.drawings import details_said
from drainwright.paper.looks import UTILITY
from drainwright.paper.svg import to_svg

SIZE = 10.0  # Spanish is the longer tongue: its first page must still hold what to do in an emergency [pt]

#: Words that stand on the plan, which keeps its English.
SIDES = frozenset(
    f"{side} side"
    for side in ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")
)
ON_PLAN = (
    "house", "floor", "ground", "rim", "invert", "falls", "for", "then", "perforated", "pumped", "inside", "top",
    "down", "depth UNKNOWN", "from a map", "assumed", "basin", "catch basin", "downspout", "leader",
    "cleanout", "bend", "wye", "outlet",
    "infiltration trench", "daylight", "storm line", "utility", "hand dig", "root zone", "roots to", "stock pile",
    "barrow way", "gate", "boundary", "fence", "benchmark", "not led into these works", "scale",
    "Trust the written figures, not a ruler",
)  # fmt: skip


def crew_packet_spanish(design: Design, sheets: Sheets) -> Document:
    """The crew lead's paper in Spanish.

    Parameters
    ----------
    design : Design
        The designed job.
    sheets : Sheets
        Drawings by name, as in the English packet; those of details are drawn anew in Spanish, the plan keeps its words
        and a table says them.

    Returns
    -------
    Document
        The same blocks. What checks found and which measurement is in doubt is free English: here only titles, codes
        and places. Should the catalogue lack a text, it stands in English and the first page says how many do.
    """
    spoken = translator_of(design)
    slips = tuple(replace(slip, message="See the English packet.", meant="") for slip in design.site.slips)
    quiet = replace(design, site=replace(design.site, slips=slips))
    packet = assemble(quiet, _said(design, sheets, spoken), _stops(quiet), told=spoken.say, drawn_of=design)
    blocks = spoken.blocks(tuple(_titled(block) for block in packet.blocks))
    words = _words(spoken)
    first = next((n for n, block in enumerate(blocks) if isinstance(block, Plate) and block.whole), len(blocks))
    subject = tuple(" · ".join(map(spoken.say, text.split(" · "))) for text in packet.subject)
    rule = spoken.blocks(
        Notice(
            tone="caution", title="Where the two differ, the English packet rules",
            text="Ask when a sentence is not clear. Names and what was typed in the job stand as they were written.",
            items=_left(spoken),
        )
    )  # fmt: skip
    return replace(
        packet, name="crew-packet-es", kind=spoken.say(packet.kind), language="es", subject=subject, size=SIZE,
        masthead=tuple(spoken.say(text) for text in packet.masthead),
        told_as=f"{spoken.say(packet.kind)}: {packet.title}",
        blocks=(rule, *blocks[:first], *words, *blocks[first:]),
    )  # fmt: skip


def spanish_risk_sheet(design: Design) -> tuple[Block, ...]:
    """The two minutes before the first shovel in Spanish: the page of the English packet that saves lives."""
    return translator_of(design).blocks((*risk_sheet(design), *more_hazards(design)))


def translator_of(design: Design) -> Translator:
    """A translator that knows this job's names."""
    system = design.system
    places = {*system.nodes, *(node.name for node in system.nodes.values()), *(run.name for run in system.runs)}
    places |= {trench.name for trench in design.build.dig.trenches} | set(design.site.points)
    met = design.build.dig.crossings
    numbered = {f"{item.mark}{rest}" for item in met for rest in ("", f" {item.utility}", f" {UTILITY[item.kind][0]}")}
    own = {wall.name for wall in design.site.walls} | places
    typed = typed_in(design.job) - (SIDES - own)  # a symptom's place may be said so; the program says it too
    return Translator(typed | places | numbered)


def _said(design: Design, sheets: Sheets, spoken: Translator) -> Sheets:
    """The drawings, those of details in Spanish."""
    if "trench" not in sheets:
        return sheets
    details = details_said(design, {name: sheet for name, (sheet, _) in sheets.items()}, spoken.say)
    return {**sheets, **{name: (sheet, to_svg(sheet)) for name, sheet in details.items()}}


def _left(spoken: Translator) -> tuple[str, ...]:
    count = len(spoken.missing)
    if not count:
        return ()
    return (f"{count} texts of this packet stand in English. Have them read to you before that work begins.",)


def _stops(design: Design) -> tuple[Block, ...]:
    """What stops the job; the checks that fail by their titles and codes."""
    checks = tuple(f"{group[0].title} ({group[0].id})" for group in failing(design.findings))
    return tuple(
        replace(block, items=(*checks, "What was found stands in the English packet."))
        if isinstance(block, Notice) and block.tone == "fails" and checks and number <= 1
        else block
        for number, block in enumerate(first_stops(design))
    )


def _titled(block: Block) -> Block:
    """A plate whose note does not tell the labels of its drawing."""
    if not isinstance(block, Plate):
        return block
    note, without, _ = block.note.partition(" No room on the plan for:")
    more = " Some labels have no room on the plan: see the English packet." if without else ""
    return replace(block, note=note + more)


def _words(spoken: Translator) -> tuple[Block, ...]:
    """The words on the plan, English beside Spanish."""
    half = (len(ON_PLAN) + 1) // 2
    said = [(word, spoken.say(word)) for word in ON_PLAN]
    pairs = zip(said[:half], [*said[half:], ("", "")], strict=False)
    columns = tuple(Column(head=head, width=2) for head in ("On the plan", "In Spanish") * 2)
    head = spoken.blocks(
        (
            Heading(text="Words on the plan", new_page=True),
            Paragraph(text="The plan keeps its English words; these are the ones that stand on it most."),
        )
    )
    rows = tuple((*one, *other) for one, other in pairs)
    return (*head, Table(columns=spoken.blocks(columns), rows=rows, size=1.0))


__all__ = ["ON_PLAN", "crew_packet_spanish", "spanish_risk_sheet", "translator_of"]
