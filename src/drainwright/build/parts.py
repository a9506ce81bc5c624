"""Parts of the works that wait for different things: what lies against a wall that is worked on, and all else."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from drainwright.build.coating import CoatedWall
from drainwright.build.model import DigPlan
from drainwright.build.passes import EVEN, HELD
from drainwright.build.stone import Bed
from drainwright.system.model import System

YARD = "-yard"


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """What is laid, covered and backfilled together."""

    beside: frozenset[str]  # runs along worked walls, and the junctions at their ends
    at_walls: bool  # waits until the walls are clean, coated and cured
    alone: bool  # there is no other part
    earth: float  # its share of the backfill [-]

    @property
    def in_yard(self) -> bool:
        """Whether basins, inlets and the outlet are this part's."""
        return self.alone or not self.at_walls

    @property
    def last(self) -> str:
        """End of the keys of its works."""
        return YARD if self.in_yard and not self.alone else ""

    @property
    def words(self) -> str:
        """End of the titles of its works."""
        return "" if self.alone else " (at the walls)" if self.at_walls else " (away from the walls)"

    def has(self, place: str) -> bool:
        """Whether a run, a basin or the place of a fitting is this part's."""
        return self.alone or (place.partition(" at ")[0] in self.beside) == self.at_walls


def parts(
    system: System, dig: DigPlan, beds: Sequence[Bed], coats: Sequence[CoatedWall], in_passes: bool
) -> tuple[Part, ...]:
    """The works at the walls, then those away from them; one part where there is nothing of the other.

    Parameters
    ----------
    system : System
        Its runs say beside which walls they lie.
    dig : DigPlan
        What is dug.
    beds : Sequence of Bed
        What stone and pipe take of the room.
    coats : Sequence of CoatedWall
        Walls that are opened.
    in_passes : bool
        Whether walls are bared in short lengths: then every run beside a wall is, coated or not.

    Returns
    -------
    tuple of Part
        One or two; their shares of the backfill add up to 1.
    """
    opened = {coat.wall.name for coat in coats}
    runs = [run for run in system.runs if run.walls and (in_passes or opened & set(run.walls))]
    ends = {end for run in runs for end in (run.upper, run.lower) if system.nodes[end].kind == "junction"}
    names = frozenset(run.name for run in runs)
    beside = names | ends
    if not opened and not runs:
        return (Part(beside=beside, at_walls=False, alone=True, earth=1.0),)
    if len(runs) == len(system.runs) and not system.stations:
        return (Part(beside=beside, at_walls=True, alone=True, earth=1.0),)
    bank = math.fsum(item.bank_volume for item in dig.trenches if item.kind == "wall" or item.name in names)
    room = bank - math.fsum(bed.displaced for bed in beds if bed.run in names)
    whole = dig.bank_volume - math.fsum(bed.displaced for bed in beds)
    earth = min(1.0, max(0.0, room / whole)) if whole > 0.0 else 0.0
    return (
        Part(beside=beside, at_walls=True, alone=False, earth=earth),
        Part(beside=beside, at_walls=False, alone=False, earth=1.0 - earth),
    )


def task_key(key: str) -> str:
    """The key under which hours of a task are planned and noted: passes and parts of one work are one."""
    return key.removesuffix(EVEN).removesuffix(HELD).removesuffix(YARD)


__all__ = ["YARD", "Part", "parts", "task_key"]
