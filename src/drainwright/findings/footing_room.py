"""How much room a run's trench has over the footings beside it: what may go lower, and what may not."""

from __future__ import annotations

import math
from dataclasses import dataclass

from drainwright.field.model import Site, SiteWall
from drainwright.findings.places import to_segment
from drainwright.findings.rules import Case
from drainwright.system.model import SizedRun

BESIDE = 0.75  # a station nearer than this to a wall lies beside it [m]
SETTING_OUT = 0.003  # levels cannot be set out more closely [m]
TIGHT = 0.0254  # 1 in: a trench's bottom nearer to a footing's bottom has no room; common practice, no source [m]
#: What to do for a run that wants more fall and may not end lower.
NOT_LOWER = (
    "its end cannot go lower, for the footing's bottom is there (FTG-02). Lead it a shorter way or to a nearer way out or "
    "basin, part it into two that fall to either side, or take a larger pipe at less fall where the place allows it "
    "(criteria.least_grade), laid by laser and flushed more often."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class FootingMargin:
    """How far over a footing's bottom a run's trench ends, where it comes nearest to it."""

    wall: SiteWall
    trench: float  # level of its bottom there [m]
    corner: str  # the wall's corner nearest to that place: "corner B"

    @property
    def margin(self) -> float:
        """Trench's bottom over the footing's; negative below it [m]."""
        return self.trench - self.wall.footing_bottom

    @property
    def tight(self) -> bool:
        """Whether less room is left than a dig is sure of."""
        return self.margin < TIGHT


def footing_margins(site: Site, run: SizedRun) -> tuple[FootingMargin, ...]:
    """A run's trench against the footing of each wall that it lies beside; nothing where no station is near."""
    names = {
        (round(point.east, 6), round(point.north, 6)): point.name
        for point in reversed(tuple(site.points.values()))
        if math.isfinite(point.east) and math.isfinite(point.north)
    }
    found = []
    for wall in site.walls:
        near = [item for item in run.stations if to_segment(item.at, wall.start, wall.end) <= BESIDE]
        if wall.name not in run.walls or not near:
            continue
        worst = min(near, key=lambda item: item.ground - item.cut)
        end = min((wall.start, wall.end), key=lambda corner: math.dist(corner, worst.at))
        name = names.get((round(end[0], 6), round(end[1], 6)))
        corner = f"the end of the {wall.name} wall" if name is None else f"corner {name}"
        found.append(FootingMargin(wall=wall, trench=worst.ground - worst.cut, corner=corner))
    return tuple(found)


def _margins(site: Site, run: SizedRun) -> list[tuple[float, float]]:
    """Share of the run's length and trench's bottom over the footing's, at each station beside a wall of its own."""
    return [
        (item.distance / run.length, item.ground - item.cut - wall.footing_bottom)
        for wall in site.walls
        if wall.name in run.walls
        for item in run.stations
        if to_segment(item.at, wall.start, wall.end) <= BESIDE
    ]


def room_below(site: Site, run: SizedRun) -> float:
    """How far all of a run may go lower before its trench comes below a footing beside it; endless beside none. [m]"""
    return min((margin for _, margin in _margins(site, run)), default=math.inf)


def room_at_end(site: Site, run: SizedRun) -> float:
    """How far its end alone may, what lies before it by its share. [m]"""
    return min((margin / share for share, margin in _margins(site, run) if share > 1e-9), default=math.inf)


def more_fall(case: Case, run: SizedRun) -> str:
    """How a run comes to its grade: by its ends where footing and floor let them move, else another way."""
    wanted = case.job.criteria.minimum_grade
    at, by = case.grade(wanted), (wanted - run.grade) * run.length
    lower = room_at_end(case.site, run) >= by
    if lower and run.grade - run.flattest > 1e-5:
        return f"Lay it at {at} all along."
    highest = case.floor_underside - case.job.criteria.drain_below_floor if run.duty == "footing drain" else math.inf
    higher = run.invert_upper + by <= highest + 1e-6
    short = case.length(by)
    if lower:
        return f"Lay it at {at}: lower its end by {short}{' or raise its start by as much' * higher}."
    if higher:
        return f"Lay it at {at}: raise its start by {short}; {NOT_LOWER}"
    return f"{NOT_LOWER[0].upper()}{NOT_LOWER[1:]}"


def held_by_footing(case: Case, run: SizedRun, by: float = TIGHT) -> bool:
    """Whether a footing keeps a run from going so much lower."""
    return room_below(case.site, run) < by


__all__ = [
    "BESIDE",
    "NOT_LOWER",
    "SETTING_OUT",
    "TIGHT",
    "FootingMargin",
    "footing_margins",
    "held_by_footing",
    "more_fall",
    "room_at_end",
    "room_below",
]
