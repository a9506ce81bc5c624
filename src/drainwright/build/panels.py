"""How a wall is bared: whole where little soil leans on it, else in short lengths, every other one at a time."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from drainwright.build.protection import DOUBT, UNSURE
from drainwright.build.trench import Cut, past_corners
from drainwright.build.units import FOOT
from drainwright.field.model import Plan, Site, SiteWall
from drainwright.system.model import System

#: Longest length bared in one piece, where not all of a wall is (common practice, no source): a sound wall, and one
#: that is not. The odd lengths stand open together, an unopened one between each two, and are filled before the even.
PANEL_SOUND = 8.0 * FOOT
PANEL_WEAK = 4.0 * FOOT
#: Soil against a sound wall, from which it is no longer bared whole (common practice, no source; the International
#: Residential Code, R404.1, also begins to ask for more at 4 ft of unbalanced fill).
UNBALANCED = 4.0 * FOOT
BESIDE = 0.75  # a dig nearer than this to a wall's face bares it [m]
SPADE = 0.025  # a trench is not dug more closely by hand: common practice, no source [m]
SAME = 0.02  # ends of walls so near to each other are one corner [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class BaredLength:
    """One piece of a wall, as it is opened."""

    number: int  # from 1, on round the corners
    wall: str
    start: float  # along the wall, from its first corner [m]
    end: float  # [m]

    @property
    def odd(self) -> bool:
        """Whether it is opened in the first pass."""
        return self.number % 2 == 1


def bared_walls(digs: Sequence[Cut], site: Site) -> tuple[SiteWall, ...]:
    """Walls that are opened, or that a drain's trench lies along."""
    names = {cut.name for cut in digs if cut.kind == "wall"}
    names |= {name for cut in digs if cut.run is not None for name in cut.run.walls}
    return tuple(wall for wall in site.walls if wall.name in names)


def soil_against(wall: SiteWall, site: Site) -> float:
    """Height of soil over the footing's top, the higher side of the wall's outside and inside.

    Half a foot is added where the footing's depth is assumed or stated. [m]
    """
    doubt = DOUBT if wall.wall.footing_bottom.basis in UNSURE else 0.0
    return max(wall.ground_highest, site.floor) - wall.footing_top + doubt


def weak(wall: SiteWall, site: Site) -> bool:
    """Whether a wall is cracked, bowed, of stone or brick, of unknown condition, or in expansive soil."""
    return site.job.ground.expansive or wall.wall.condition != "sound" or wall.wall.material in ("stone", "brick")


def wall_panel(digs: Sequence[Cut], site: Site) -> float:
    """Longest length of wall to bare in one piece; zero where none is bared, or all may be bared whole.

    Parameters
    ----------
    digs : Sequence of Cut
        From ``trench.cuts``.
    site : Site
        The site.

    Returns
    -------
    float
        The least over all bared walls. A sound wall with less than 4 ft of soil against it, dug no deeper than its
        footing's bottom, is bared whole. Common practice, no source: an engineer's word comes first. [m]
    """
    panels = []
    for wall in bared_walls(digs, site):
        if weak(wall, site):
            panels.append(PANEL_WEAK)
        elif soil_against(wall, site) >= UNBALANCED - 1e-9 or _undercut(wall, digs):
            panels.append(PANEL_SOUND)
    return min(panels, default=0.0)


def bared_lengths(site: Site, system: System, panel: float) -> tuple[BaredLength, ...]:
    """The lengths in which walls are bared, numbered on round the corners.

    Parameters
    ----------
    site, system : Site, System
        Walls that are opened, or that a drain lies along.
    panel : float
        From ``wall_panel``, zero or more. [m]

    Returns
    -------
    tuple of BaredLength
        By number. Each wall in lengths of no more than the panel, equal as they are dug: what is dug round an outside
        corner counts with the length at it. Where walls meet at a corner the numbers run on, and a ring of them has an
        even count, so that no two odd lengths ever touch. Empty where every wall is bared in one piece.
    """
    beside = {name for run in system.runs for name in run.walls}
    walls = [wall for wall in site.walls if wall.wall.open_and_coat or wall.name in beside]
    if panel <= 0 or not any(wall.length > panel for wall in walls):
        return ()
    past = past_corners(site, system)
    found: list[BaredLength] = []
    while walls:
        wall, forward = _first(walls)
        opening = wall.start if forward else wall.end
        before = len(found)
        while True:
            walls.remove(wall)
            at = wall.end if forward else wall.start
            following = next((other for other in walls if _touches(other, at)), None)
            first, last = past.get(wall.name, (0.0, 0.0))
            count = math.ceil((first + wall.length + last) / panel - 1e-9)
            if following is None and math.dist(at, opening) <= SAME and (len(found) - before + count) % 2 == 1:
                count += 1
            each = (first + wall.length + last) / count
            ends = [0.0, *(place * each - first for place in range(1, count)), wall.length]
            pairs = list(pairwise(ends))
            for start, end in pairs if forward else reversed(pairs):
                found.append(BaredLength(number=len(found) + 1, wall=wall.name, start=start, end=end))
            if following is None:
                break
            wall, forward = following, math.dist(following.start, at) <= SAME
    return tuple(found)


def _first(walls: Sequence[SiteWall]) -> tuple[SiteWall, bool]:
    """The wall at which a row of walls begins, and whether it is walked from its first corner."""
    for forward in (True, False):
        for wall in walls:
            at = wall.start if forward else wall.end
            if not any(_touches(other, at) for other in walls if other is not wall):
                return wall, forward
    return walls[0], True


def _touches(wall: SiteWall, at: Plan) -> bool:
    return min(math.dist(wall.start, at), math.dist(wall.end, at)) <= SAME


def _undercut(wall: SiteWall, digs: Sequence[Cut]) -> bool:
    """Whether a run beside the wall is dug below its footing's bottom."""
    from shapely import LineString, distance, points

    face = LineString([wall.start, wall.end])
    for cut in digs:
        if cut.kind == "run":
            near = np.asarray(distance(points(cut.points), face)) <= BESIDE
            if bool(np.any(cut.bottom[near] < wall.footing_bottom - SPADE)):
                return True
    return False


__all__ = [
    "PANEL_SOUND", "PANEL_WEAK", "UNBALANCED", "BaredLength", "bared_lengths", "bared_walls", "soil_against",
    "wall_panel", "weak",
]  # fmt: skip
