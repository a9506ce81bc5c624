"""What would prevent a failure's harm, found once for all papers of a design."""

from __future__ import annotations

from drainwright.build.remedies import PricedPrevention
from drainwright.design import Design, remedies
from drainwright.paper.once import once


@once
def preventions_of(design: Design) -> tuple[PricedPrevention, ...]:
    """``remedies`` of a design, run once: it runs the storm again, and several papers tell it."""
    return remedies(design)


def remedies_of(design: Design) -> dict[str, str]:
    """By the failure's title, the cheapest remedy that works alone, with its price."""
    found = {}
    for one in preventions_of(design):
        best = one.cheapest
        if best is None:
            found[one.title] = "no single measure that was tried prevents all of it"
        else:
            title = best.tried.remedy.title
            found[one.title] = f"{title[:1].upper()}{title[1:]}: {best.cost.words}"
    return found


__all__ = ["preventions_of", "remedies_of"]
