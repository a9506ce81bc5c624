"""Parts of the works that wait for different things: what lies against a wall that is worked on, and all else."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from drainwright.build.coating import CoatedWall
from drainwright.build.model import DigPlan
from drainwright.build.passes import EVEN, HELD
from drainwright.build.schedule import Work
from drainwright.build.stone import Bed
from drainwright.system.model import System

YARD = "-yard"
WALL_DONE = (
    "clean",
    "parge",
    *(f"coat-{number}" for number in range(1, 7)),
    "board",
)  # before a wall's foot is covered


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


def with_works(dig: DigPlan, split: Sequence[Part]) -> DigPlan:
    """The digging, each trench with the work that digs it.

    Parameters
    ----------
    dig : DigPlan
        What is dug.
    split : Sequence of Part
        From ``parts``.

    Returns
    -------
    DigPlan
        With the walls' own works go the drains' trenches beside them and the basins' holes, for drains are laid up from
        the basin; what lies away from the walls is dug by a work of its own, so that the walls can be closed before.
    """
    yard = next((part for part in split if part.last == YARD), None)
    done = []
    for trench in dig.trenches:
        away = yard is not None and trench.kind != "basin" and yard.has(trench.name)
        key = "open" if trench.kind == "wall" else f"trench{YARD}" if away else "trench"
        done.append(replace(trench, work=key))
    return replace(dig, trenches=tuple(done))


def hauled_after(dig: DigPlan, *, in_passes: bool) -> tuple[str, ...]:
    """What is dug before the haul begins: the walls where they give as much as leaves, else all."""
    at_walls = math.fsum(item.bank_volume for item in dig.trenches if item.kind == "wall")
    enough = not in_passes and at_walls * (1 + dig.swell) >= dig.haul_volume
    return ("open",) if enough else ("open", "trench", f"trench{YARD}")


def at_the_walls(works: Sequence[Work]) -> frozenset[str]:
    """Of works in two parts, the backfill at the walls and all that must be done before it; none of one part."""
    by_key = {work.key: work for work in works}
    if not any(key.endswith(YARD) for key in by_key):
        return frozenset()
    found: set[str] = set()
    open_ = [key for key in by_key if dig_key(key) == "backfill"]
    while open_:
        key = open_.pop()
        if key not in found:
            found.add(key)
            open_ += [name for name in by_key[key].after if name in by_key]
    return frozenset(found)


def dig_key(key: str) -> str:
    """The key of the digging of which a work is a pass, or the part that may not be entered."""
    return key.removesuffix(EVEN).removesuffix(HELD)


def task_key(key: str) -> str:
    """The key under which hours of a task are planned and noted: passes and parts of one work are one."""
    return key.removesuffix(EVEN).removesuffix(HELD).removesuffix(YARD)


__all__ = ["WALL_DONE", "YARD", "Part", "at_the_walls", "dig_key", "hauled_after", "parts", "task_key", "with_works"]
