"""How much of a wall may be bared at once: whole where little soil leans on it, else in short lengths."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from drainwright.build.protection import DOUBT, UNSURE
from drainwright.build.trench import Cut
from drainwright.build.units import FOOT
from drainwright.field.model import Site, SiteWall

#: Length of wall bared at once, where not all of it (common practice, no source): a sound wall, and one that is not.
PANEL_SOUND = 8.0 * FOOT
PANEL_WEAK = 4.0 * FOOT
#: Soil against a sound wall, from which it is no longer bared whole (common practice, no source; the International
#: Residential Code, R404.1, also begins to ask for more at 4 ft of unbalanced fill).
UNBALANCED = 4.0 * FOOT
BESIDE = 0.75  # a dig nearer than this to a wall's face bares it [m]
SPADE = 0.025  # a trench is not dug more closely by hand: common practice, no source [m]


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
    """Whether a wall is cracked, bowed, of stone, of unknown condition, or in expansive soil."""
    return site.job.ground.expansive or wall.wall.condition != "sound" or wall.wall.material == "stone"


def wall_panel(digs: Sequence[Cut], site: Site) -> float:
    """Length of wall to bare at once; zero where none is bared, or all may be bared whole.

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


__all__ = ["PANEL_SOUND", "PANEL_WEAK", "UNBALANCED", "bared_walls", "soil_against", "wall_panel", "weak"]
