"""How many ladders: by the places in which people stand at once, as the plan has it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from drainwright.build.guarded import GuardedPlace
from drainwright.build.hire import needed_by_day, stay_in
from drainwright.build.model import DigPlan, Tool, Trench
from drainwright.build.panels import BaredLength, bared_lengths
from drainwright.build.protection import ladder_way, ladders_for
from drainwright.build.schedule import Placed
from drainwright.build.trench import PLACES
from drainwright.field.model import Site
from drainwright.system.model import System
from drainwright.worksheet import place

BESIDE = 1.0  # what is left of a run beyond its walls' lengths is a piece of its own from here on [m]


def with_ways_out(dig: DigPlan, site: Site, system: System) -> DigPlan:
    """The digging, each trench that asks for ladders with their number and the way to the nearest, each a step.

    Parameters
    ----------
    dig : DigPlan
        Trenches, and the length in which walls are bared.
    site, system : Site, System
        Walls, and the runs that lie along them.

    Returns
    -------
    DigPlan
        A ladder within 25 ft of everybody (29 CFR 1926.651(c)(2)), by travel in the trench: over the soil that stands
        between two open lengths of a wall nobody gets to the next one's, so that each has its own. Of the odd and the
        even lengths, which never stand open together, the greater number counts.
    """
    lengths = bared_lengths(site, system, dig.wall_panel)
    beside = {run.name: run.walls for run in system.runs}
    return replace(
        dig, trenches=tuple(_with_ways_out(item, lengths, beside.get(item.name, ())) for item in dig.trenches)
    )


def _with_ways_out(trench: Trench, lengths: Sequence[BaredLength], walls: Sequence[str]) -> Trench:
    if not trench.ladder:
        return trench
    mine = [item for item in lengths if item.wall == trench.name or item.wall in walls]
    passes = [[item.end - item.start for item in mine if item.odd == odd] for odd in (True, False)]
    rest = trench.length - math.fsum(part for parts in passes for part in parts)
    beyond = [rest] if rest > BESIDE or not mine else []
    longest = max(part for parts in (*passes, beyond) for part in parts)
    with place(f"{PLACES[trench.kind]}.{trench.name}", "trench protection"):
        way = ladder_way(longest, ladders_for(longest))
    return replace(trench, ladders=max(sum(map(ladders_for, (*parts, *beyond))) for parts in passes), ladder_way=way)


def ladders_at_once(
    places: Sequence[GuardedPlace], placed: Sequence[Placed], day_length: float, pit_hours: float
) -> int:
    """The most ladders that stand at once; they go with the people, as shields do.

    Parameters
    ----------
    places : Sequence of GuardedPlace
        From ``ladder_places``.
    placed : Sequence of Placed
        From ``schedule.arrange``.
    day_length : float
        Working hours a day. [h]
    pit_hours : float
        Person-hours of digging the basins' holes, which are dug last. [h]

    Returns
    -------
    int
        One or more where there is a place: at each moment the most for the people at work, a place for each of them,
        and in each place one within 25 ft of everybody (29 CFR 1926.651(c)(2)). Holes that are never open at once,
        such as the odd and the even lengths of a wall, share theirs.
    """
    stays = [stay_in(item, ladders_for(item.length), placed, pit_hours) for item in places]
    return max((*needed_by_day(stays, day_length), 1 if places else 0), default=0)


def with_ladders(tools: Sequence[Tool], count: int) -> tuple[Tool, ...]:
    """The tools with as many ladders as are needed at once, and that the digs' own numbers are more where they are."""

    def counted(tool: Tool) -> Tool:
        moved = f"{tool.why}; {count} at once, moved with the people" if count < tool.count else tool.why
        return replace(tool, count=count, why=moved)

    return tuple(counted(tool) if tool.key == "ladder" else tool for tool in tools)


__all__ = ["ladders_at_once", "with_ladders", "with_ways_out"]
