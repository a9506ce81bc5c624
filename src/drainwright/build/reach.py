"""What the excavator does not reach: digging that stays hand work, and what is set in it by hand."""

from __future__ import annotations

import math
from collections.abc import Iterable

from drainwright.build.model import DigPlan
from drainwright.field.model import Site
from drainwright.job.model import Job
from drainwright.job.site import Access
from drainwright.system.model import System


def reached(access: Access, name: str) -> bool:
    """Whether the excavator gets to a digging: all that the visit does not name."""
    return name not in access.by_hand


def reach_shares(dig: DigPlan, site: Site, system: System) -> dict[str, float]:
    """Part of each digging that the excavator does not reach.

    Parameters
    ----------
    dig : DigPlan
        What is dug.
    site : Site
        Its access names walls, runs and holes that are dug by hand.
    system : System
        The drains, which lie beside walls.

    Returns
    -------
    dict of str to float
        By name of the digging, 0 to 1. A drain beside walls of which some are named is by hand as far as these go.
    """
    access = site.job.property.access
    walls = {wall.name: wall.length for wall in site.walls}
    named = {}
    for run in system.runs:
        beside = math.fsum(walls.get(wall, 0.0) for wall in run.walls if not reached(access, wall))
        named[run.name] = min(1.0, beside / run.length) if run.length > 0 else 0.0
    return {
        trench.name: named.get(trench.name, 0.0) if reached(access, trench.name) else 1.0 for trench in dig.trenches
    }


def set_by_hand(job: Job, places: Iterable[str]) -> bool:
    """Whether shields for these diggings are set by people: no excavator, or one that does not reach them all."""
    return not job.equipment.excavator or not all(reached(job.property.access, name) for name in places)


def unknown_names(site: Site, dig: DigPlan, system: System) -> tuple[str, ...]:
    """Names under ``property.access.by_hand`` of nothing that is dug, and of no wall or run."""
    known = {item.name for group in (dig.trenches, system.runs, site.walls) for item in group}
    return tuple(name for name in site.job.property.access.by_hand if name not in known)


__all__ = ["reach_shares", "reached", "set_by_hand", "unknown_names"]
