"""In which order the lines in the way are exposed by hand, where, and how deep to expect them."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from drainwright.build.dig_model import UNSEEN
from drainwright.build.gaps import doubt_of
from drainwright.build.model import Crossing, DigPlan
from drainwright.build.wedge import allowed_below
from drainwright.field.model import Plan, Site, SiteUtility
from drainwright.job.site import UtilityKind
from drainwright.worksheet import quiet

if TYPE_CHECKING:
    from shapely import LineString

#: What harms people first is seen first: common practice, no source.
DANGER: tuple[UtilityKind, ...] = (
    "gas", "propane", "electric", "oil", "water", "reclaimed", "sewer", "septic", "pool", "communication", "irrigation",
    "storm drain", "irrigation control", "low voltage lighting",
)  # fmt: skip

SPADE = 0.3  # width of a hole dug to look for a line, common practice, no source [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class FootingStop:
    """How deep a hole may go beside a footing."""

    wall: str
    down: float  # from the ground, by the bearing wedge [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Exposure:
    """One place where a line is dug free by hand before any other tool comes near."""

    line: SiteUtility
    meeting: Crossing
    at: Plan  # of the line itself, where it is nearest to the dig
    down_least: float  # from the ground to its top, the least to expect [m]
    down_most: float  # of an unknown one to the bottom of the dig [m]
    decides: bool  # pipe and line could meet: it is levelled before the grades are settled
    covered: bool = False  # lies so far below the dig, at its highest too, that nobody comes near: it is not bared
    footing: FootingStop | None = None  # before the line is found where it may lie, the hole would undermine it


def in_order(met: Iterable[Crossing]) -> tuple[Crossing, ...]:
    """Meetings with buried lines in the order in which to expose them, each with its mark for all papers.

    First those that could meet the pipe, for the grades hang on them; among each, what harms people most first, then
    by dig and station.
    """
    found = sorted(met, key=lambda item: (not item.could_meet, DANGER.index(item.kind), item.run, item.station))
    return tuple(replace(item, mark=f"X{number}") for number, item in enumerate(found, 1))


def exposures(site: Site, dig: DigPlan) -> tuple[Exposure, ...]:
    """Every meeting with a line, in the order in which to expose them: that of their marks.

    Parameters
    ----------
    site, dig : Site, DigPlan
        The site, and its meetings with buried lines.

    Returns
    -------
    tuple of Exposure
        As ``in_order`` has them. A line that lies below the dig by more than the gap asked for, a dangerous one by more
        than the tolerance zone, also where its depth is as wrong as it may be, stays covered: a hole down to it would
        be deeper than the dig, without its width and its protection (common practice, no source).
    """
    from shapely import LineString

    lines = {line.utility.name: line for line in site.utilities}
    found = []
    for item in in_order(dig.crossings):
        line = lines[item.utility]
        at = _own_place(LineString(line.route), item.at)
        ground = site.surface.level(*at)
        if item.utility_top is None:
            least, most = 0.0, max(ground - item.pipe_invert, 0.0)
        else:
            down, doubt = ground - item.utility_top, doubt_of(line)
            least, most = max(0.0, down - doubt), down + doubt
        covered = _below(site, line, item)
        found.append(
            Exposure(
                line=line, meeting=item, at=at, down_least=least, down_most=most, decides=item.could_meet,
                covered=covered, footing=None if covered else _footing(site, at, ground, most),
            )
        )  # fmt: skip
    return tuple(found)


def _below(site: Site, line: SiteUtility, item: Crossing) -> bool:
    job = site.job
    room = job.rules.tolerance_zone.value if line.utility.dangerous else job.criteria.utility_clearance
    if item.utility_top is None:
        return False
    return min(item.bottom - item.utility_top - doubt_of(line), item.clearance_least) >= room


def _footing(site: Site, at: Plan, ground: float, down: float) -> FootingStop | None:
    """The footing that a hole so deep would undermine; of several the one that stops it first."""
    from shapely import Point, Polygon

    stops = []
    for wall in site.walls:
        off = max(float(Polygon(wall.footing_ring).distance(Point(at))) - SPADE / 2, 0.0)
        with quiet():
            stops.append(
                (ground - wall.footing_bottom + allowed_below(off, site.job.criteria.bearing_slope), wall.name)
            )
    deepest, wall_name = min(stops, default=(math.inf, ""))
    return FootingStop(wall=wall_name, down=max(deepest, 0.0)) if down > deepest + UNSEEN else None


def _own_place(line: LineString, near: Plan) -> Plan:
    from shapely import Point

    own = line.interpolate(line.project(Point(near)))
    return (float(own.x), float(own.y))


__all__ = ["DANGER", "Exposure", "FootingStop", "exposures", "in_order"]
