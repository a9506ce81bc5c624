"""What the safe-dig sheet says of sides that do not stand upright, and of the edge of a deep pit."""

from __future__ import annotations

from drainwright.build.protection import SLOPES
from drainwright.build.units import FOOT, INCH
from drainwright.design import Design
from drainwright.paper.documents.say import Say, joined

LOOSE_SIDES = (
    "sand, soft or wet ground does not stand upright so deep. Slope it back, shield it, or work from the edge with "
    "nobody in it."
)
PIT_DEPTH = 6.0 * FOOT  # of a pit with a guarded edge


def loose_digs(design: Design) -> list[str]:
    """Digs below the protection depth whose upright sides do not stand."""
    return [
        item.name
        for item in design.build.dig.trenches
        if item.protection == "competent person decides" and item.slope_run >= SLOPES["C"]
    ]


def loose_sides(design: Design) -> tuple[str, ...]:
    """What is to be done at them."""
    names = loose_digs(design)
    return (f"{joined(names)}: {LOOSE_SIDES}",) if names else ()


def deep_pits(design: Design, say: Say) -> tuple[str, ...]:
    """The guard round a deep pit (29 CFR 1926.501(b)(7)) and the walkway over it (1926.651(l)), both from memory."""
    names = [item.name for item in design.build.dig.trenches if item.depth_greatest >= PIT_DEPTH - 0.5 * INCH]
    if not names:
        return ()
    return (
        f"{joined(names)}, {say.length(PIT_DEPTH)} deep or more: a rail, fence or cover round the edge while people "
        "work there too; whoever crosses has a walkway with handrails.",
    )


__all__ = ["deep_pits", "loose_digs", "loose_sides"]
