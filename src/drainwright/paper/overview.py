"""The first sheets: plan, parts, ground; the plan's further tables stand beside the ground where all fit there."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.paper.frame import Draft, further_tables, paragraph
from drainwright.paper.plan import plan_sheet
from drainwright.paper.plan_parts import part_drafts
from drainwright.paper.terrain_sheet import terrain_sheet


def overview_drafts(design: Design) -> list[Draft]:
    """The plan and the ground.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    list of Draft
        ``plan``, ``plan-tables-1`` and so on where its tables find room neither beside it nor beside the ground, then
        the parts, ``ground`` and its own tables; no ``ground`` where the lie of the land is not known.
    """
    units = design.job.units
    parts, plan, ground = part_drafts(design), plan_sheet(design), terrain_sheet(design)
    first, rest = plan.drawn()
    tables = further_tables(rest, units, first.name, first.title)
    if ground is None:
        return [first, *tables, *parts]
    last, left_over = ground.drawn()
    if rest and not left_over:
        pointer = paragraph(f"Further tables of this plan: see the sheet {last.title}.")
        pointing, guests = plan.drawn(pointer)
        together, homeless = ground.drawn(*guests)
        if pointer not in guests and not homeless:
            return [pointing, *parts, together]
    return [first, *tables, *parts, last, *further_tables(left_over, units, last.name, last.title)]


__all__ = ["overview_drafts"]
