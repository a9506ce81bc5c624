"""Buried lines that lie along inside a wall's dig, as its section shows them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from drainwright.design import Design
from drainwright.field.model import SiteUtility, SiteWall
from drainwright.job.site import Utility
from drainwright.paper.looks import UTILITY
from drainwright.paper.plan_marks import basis_words
from drainwright.paper.wording import Wording


@dataclass(frozen=True, slots=True, kw_only=True)
class LineInside:
    """A line where a wall's section cuts it."""

    utility: Utility
    out: float  # of its middle, from the wall's face [m]
    top: float  # level [m]
    down: float | None  # of its top, below the ground over it; None: unknown, drawn at the ground [m]

    @property
    def centre(self) -> float:
        """Level of its middle. [m]"""
        return self.top - self.utility.diameter / 2

    def words(self, word: Wording) -> tuple[str, ...]:
        """Its letters and name, where it lies, and whether it may kill."""
        depth = (
            "depth unknown"
            if self.down is None
            else f"{word.small(self.down)} down{basis_words(self.utility.depth_basis)}"
        )
        return (
            f"{UTILITY[self.utility.kind][0]}  {self.utility.name}",
            f"{word.small(self.out)} off the wall, {depth}",
            _state(self.utility),
        )


def _state(utility: Utility) -> str:
    """Whether it is live, and whose word there is."""
    if not utility.live:
        return "dead: prove it"
    if not utility.dangerous:
        return "in use: hold it"
    if utility.agreed is None:
        return "LIVE, NOTHING AGREED"
    return f"LIVE: as agreed {utility.agreed.on.isoformat()}"


def lines_inside(design: Design, wall: SiteWall) -> tuple[LineInside, ...]:
    """The lines along inside the dig at a wall, where a section through the wall's middle cuts them.

    Parameters
    ----------
    design : Design
        The designed job.
    wall : SiteWall
        The wall; where it is not opened, the dig is that of the drain beside it.

    Returns
    -------
    tuple of LineInside
        In the order of the job. One that does not reach the middle is shown where it lies nearest to it; what goes
        through the wall and on inside the house lies in no section of the dig.
    """
    names = {wall.name} if wall.wall.open_and_coat else {r.name for r in design.system.runs if wall.name in r.walls}
    along = {name for trench in design.build.dig.trenches if trench.name in names for name, _ in trench.along}
    found = [_at(design, line, wall) for line in design.site.utilities if line.utility.name in along]
    return tuple(line for line in found if line.out > 0.0)


def _at(design: Design, line: SiteUtility, wall: SiteWall) -> LineInside:
    from shapely import LineString, Point
    from shapely.ops import nearest_points

    middle = np.add(wall.start, wall.end) / 2
    outward = np.array(wall.outward)
    ray = LineString([middle, middle + 50.0 * outward])
    route = LineString(line.route)
    place = nearest_points(route, ray)[0]
    stations = [0.0, *np.cumsum(np.hypot(*np.diff(np.array(line.route), axis=0).T))]
    top = float(np.interp(route.project(Point(place)), stations, line.top))
    out = float(np.dot(np.array([place.x, place.y]) - middle, outward))
    down = None if line.utility.depth is None else design.site.surface.level(place.x, place.y) - top
    return LineInside(utility=line.utility, out=out, top=top, down=down)


__all__ = ["LineInside", "lines_inside"]
