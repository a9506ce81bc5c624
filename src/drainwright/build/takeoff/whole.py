"""The takeoff as a whole."""

from __future__ import annotations

import math
from collections.abc import Sequence

from drainwright.build.book import Book
from drainwright.build.coating import CoatedWall
from drainwright.build.fabric import rolls
from drainwright.build.holes import holes
from drainwright.build.model import DigPlan, Takeoff, TakeoffLine
from drainwright.build.soak_dig import soak_lines
from drainwright.build.stone import Bed, stone_key, stone_zones
from drainwright.build.takeoff.bodies import bodies
from drainwright.build.takeoff.bulk import coating_lines, fabric_lines, stone_lines
from drainwright.build.takeoff.pipes import Counted, fitting_lines, pipe_lines, welding
from drainwright.build.takeoff.pump import pump_lines
from drainwright.build.takeoff.rest import rest_lines
from drainwright.build.tools import tools
from drainwright.field.model import Site
from drainwright.system.model import System

NO_SPARE = "No pipe is spare: sticks are those of the cutting list. Where a broken one would stop the work, add one."
HOLE_SIZES = "Hole diameters clear the pipe's outside; a rubber gasket wants its own hole: read the gasket."
SPARE = "Sticks of the pick list beyond those of the cutting list are spare, for broken ones."


def take_off(
    site: Site, system: System, dig: DigPlan, beds: Sequence[Bed], coats: Sequence[CoatedWall], counted: Counted,
    book: Book,
) -> Takeoff:  # fmt: skip
    """Everything to get, and the holes.

    Parameters
    ----------
    site, system : Site, System
        The job's site and design.
    dig : DigPlan
        For loads and hire.
    beds : Sequence of Bed
        Stone and fabric.
    coats : Sequence of CoatedWall
        Opened walls.
    counted : Counted
        From ``count``.
    book : Book
        Waste.

    Returns
    -------
    Takeoff
        Lines by category; nothing is listed of which none is needed. Shields are hired by the crew's plan, which
        comes after (see ``hire``).
    """
    lines: list[TakeoffLine] = []
    units = site.job.units
    bought = rolls(beds, book.waste_of("fabric.nonwoven", "fabric"))
    lines += pipe_lines(system, counted, units, book)
    lines += fitting_lines(counted, site, system, book)
    lines += welding(system, counted)
    lines += bodies(site, system, counted.fittings)
    lines += pump_lines(site, system)
    lines += stone_lines(beds, site.job.works.stone.name, units, book)
    lines += fabric_lines(beds, bought, units)
    lines += soak_lines(system, units, book)
    lines += coating_lines(coats, units, book)
    lines += rest_lines(site, system, dig, book)
    cut = holes(site, system)
    notes = [
        f"{key[0].upper()}{key[1:]}: the cutting list is not proven to be the cheapest; none can be more than "
        f"{math.ceil((1 - item.least / item.cost) * 100)} % cheaper."
        for key, item in counted.sticks.items()
        if not item.proven
    ]
    if counted.sticks:
        notes.append(SPARE if book.waste_of("pipe", "pipe") else NO_SPARE)
    notes.append(HOLE_SIZES)
    return Takeoff(
        lines=tuple(lines), holes=cut, notes=tuple(notes), cuts=counted.cuts, rolls=bought,
        stone=stone_zones(beds, book.waste_of(stone_key(site.job.works.stone.name), "stone")),
        tools=tools(site, system, dig, coats, cut, counted.fittings),
    )  # fmt: skip


__all__ = ["HOLE_SIZES", "NO_SPARE", "SPARE", "take_off"]
