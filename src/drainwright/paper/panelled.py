"""A sheet with a panel of blocks beside its drawing: cautions, legend, tables."""

from __future__ import annotations

from dataclasses import dataclass, replace

from drainwright.paper.frame import Block, Draft, stack
from drainwright.paper.sheet import Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Panelled:
    """A sheet without its panel, and the panel's blocks, the most needed first."""

    draft: Draft
    blocks: tuple[Block, ...]
    corner: Point  # of the panel, top left [mm]
    width: float  # of the panel [mm]
    bottom: float  # of the panel [mm]

    def drawn(self, *more: Block) -> tuple[Draft, list[Block]]:
        """The sheet with its blocks and more, and those that found no room."""
        panel, rest = stack((*self.blocks, *more), *self.corner, self.width, self.bottom)
        return replace(self.draft, marks=(*self.draft.marks, *panel)), rest


__all__ = ["Panelled"]
