"""What a full drawing leaves out: a number at its place, and the numbers' key beside the drawing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from drainwright.paper.frame import Block, Column, in_pieces
from drainwright.paper.label import Frame, Label, Obstacle, Placement, place_labels
from drainwright.paper.measure import Quad

SIZE = 1.9  # of the numbers [mm]


def keyed(
    placement: Placement, *, frame: Frame, blocked: Sequence[Quad], lines: Sequence[Obstacle]
) -> tuple[Placement, tuple[tuple[str, str], ...]]:
    """Give each label that was given up a number that stands in the drawing instead.

    Parameters
    ----------
    placement : Placement
        Of the labels themselves.
    frame, blocked, lines
        As for them.

    Returns
    -------
    Placement
        Of all: nothing is dropped any more. Numbers that find no room either are among the unplaced, in full.
    tuple of (str, str)
        Numbers with what they stand for. Repeated names on a line, which stand on it elsewhere, and what the
        legend says are not told again.
    """
    wanted = [label for label in placement.dropped if not (label.inline or label.known)]
    if not wanted:
        return replace(placement, dropped=()), ()
    numbers = [
        Label(
            lines=(f"K{number}",), at=label.at, path=label.path, layer="text soft", size=SIZE, clear=label.clear,
            strong=True,
        )
        for number, label in enumerate(wanted, start=1)
    ]  # fmt: skip
    leaders = [Obstacle(points=item.leader, weight=40.0) for item in placement.placed if item.leader is not None]
    boxes = [item.box for item in placement.placed]
    found = place_labels(numbers, frame=frame, blocked=[*blocked, *boxes], lines=[*lines, *leaders])
    lost = [label for number, label in zip(numbers, wanted, strict=True) if number in found.unplaced]
    rows = tuple(
        (number.lines[0], ", ".join(label.lines))
        for number, label in zip(numbers, wanted, strict=True)
        if number not in found.unplaced
    )
    whole = Placement(
        placed=(*placement.placed, *found.placed), dropped=(), unplaced=(*placement.unplaced, *lost)
    )  # fmt: skip
    return whole, rows


def key_blocks(rows: Sequence[tuple[str, str]], size: float = 2.0) -> list[Block]:
    """The numbers' key; nothing where everything is named in the drawing."""
    if not rows:
        return []
    return in_pieces("Numbers in the drawing", (Column("", 0.9), Column("stands for", 5.6)), rows, size)


__all__ = ["key_blocks", "keyed"]
