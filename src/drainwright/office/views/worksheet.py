"""The worksheet: every formula with its numbers and source."""

from __future__ import annotations

from dataclasses import dataclass

from drainwright.design import Design
from drainwright.office.views.picking import for_a_page, part
from drainwright.paper.documents.blocks import Block, Heading
from drainwright.paper.documents.worksheet_paper import worksheet_paper


@dataclass(frozen=True, slots=True, kw_only=True)
class Worksheet:
    """The worksheet as a page."""

    job: str
    steps: int
    parts: tuple[tuple[str, str], ...]  # heading, anchor
    blocks: tuple[Block, ...]
    sound: bool
    invented: bool


def worksheet(design: Design) -> Worksheet:
    """The page of the worksheet; a step's anchor is ``step-`` and its number."""
    blocks = for_a_page(worksheet_paper(design, {}).blocks)
    first = next(number for number, block in enumerate(blocks) if isinstance(block, Heading))
    blocks = blocks[first:]  # what stands before tells of printed pages
    parts = [block.text for block in blocks if isinstance(block, Heading) and block.level == 1]
    return Worksheet(
        job=design.job.title, steps=len(design.steps), parts=tuple((text, part(text)) for text in parts),
        blocks=blocks, sound=design.sound, invented=design.job.demonstration,
    )  # fmt: skip


__all__ = ["Worksheet", "worksheet"]
