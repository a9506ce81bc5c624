"""Shields by the day: from the opening to the backfill of each trench that needs them."""

from __future__ import annotations

from collections.abc import Sequence

from drainwright.build.model import DigPlan, TakeoffLine
from drainwright.build.parts import YARD
from drainwright.build.passes import EVEN
from drainwright.build.protection import DOUBT, PROTECTION_DEPTH
from drainwright.build.schedule import Placed, days_open
from drainwright.field.model import Site
from drainwright.job.values import Basis


def shield_hire(dig: DigPlan, placed: Sequence[Placed], site: Site, beside: Sequence[str]) -> TakeoffLine | None:
    """The hire of trench shields; nothing where no trench needs any.

    Parameters
    ----------
    dig : DigPlan
        The trenches.
    placed : Sequence of Placed
        From ``schedule.arrange``.
    site : Site
        Its job carries the crew.
    beside : Sequence of str
        Runs that lie along a wall: where walls are opened in two passes, their trenches are too.

    Returns
    -------
    TakeoffLine or None
        One set for each trench and working day on which it stands open, by the crew's plan. A trench that is shallow
        itself, and only makes one hole with a deeper dig, takes none of its own.
    """
    crew = site.job.crew
    days = {}
    parted = any(item.work.key == f"backfill{YARD}" for item in placed)
    for trench in dig.trenches:
        if trench.protection in ("slope or shield", "engineer") and trench.depth_greatest + DOUBT >= PROTECTION_DEPTH:
            at_wall = trench.kind == "wall" or trench.name in beside
            closed = [f"backfill{last}" for last in (("", EVEN) if at_wall or not parted else (YARD,))]
            opened = "open" if trench.kind == "wall" else "trench"
            days[trench.name] = days_open(placed, crew.hours_per_day, (opened,), closed)
    if not days:
        return None
    each = ", ".join(f"{name} {count}" for name, count in days.items())
    total = float(sum(days.values()))
    return TakeoffLine(
        key="hire.shield",
        category="hire",
        description="trench shields",
        net=total,
        quantity=total,
        unit="day",
        where=", ".join(days),
        waste=0.0,
        basis=Basis.ASSUMED,
        note=f"working days open, by the crew's plan: {each}; nights and weekends as the hirer counts them",
        source="hire",
        task="open" if any(item.kind == "wall" and item.name in days for item in dig.trenches) else "trench",
    )


__all__ = ["shield_hire"]
