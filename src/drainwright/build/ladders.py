"""How many ladders: by the places in which people stand at once, as the plan has it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from drainwright.build.guarded import GuardedPlace
from drainwright.build.hire import needed_by_day, stay_in
from drainwright.build.model import Tool
from drainwright.build.protection import ladders_for
from drainwright.build.schedule import Placed


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
    """The tools with as many ladders as are needed at once."""
    return tuple(replace(tool, count=count) if tool.key == "ladder" else tool for tool in tools)


__all__ = ["ladders_at_once", "with_ladders"]
