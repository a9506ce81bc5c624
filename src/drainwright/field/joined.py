"""Where the lines run that the works' outlets join, as far as it was told."""

from __future__ import annotations

from collections.abc import Mapping

from drainwright.field.model import SiteJoined, SitePoint
from drainwright.field.places import plan_of
from drainwright.field.words import fail
from drainwright.job.model import Job
from drainwright.quantities import write

NEAR = 0.3048  # a line is joined on its route: as near as a place is staked [m]


def joined_lines(job: Job, points: Mapping[str, SitePoint]) -> tuple[SiteJoined, ...]:
    """The existing lines whose route is given, in the order of the discharge points; nothing is made up for others.

    Raises
    ------
    JobError
        If a route does not pass the discharge point that joins it.
    """
    import shapely

    found = []
    for number, point in enumerate(job.works.discharge):
        if point.joins is None or not point.joins.route:
            continue
        where = f"works.discharge[{number}]"
        route = tuple(
            plan_of(spot, points, f"{where}.joins.route[{n}]") for n, spot in enumerate(point.joins.route)
        )  # fmt: skip
        at = plan_of(point.at, points, f"{where}.at")
        off = float(shapely.Point(at).distance(shapely.LineString(route)))
        if off > NEAR:
            raise fail(
                f"{where}.joins.route", f"a line that passes {point.name} {write(off, 'length', job.units)} away",
                f"one that passes it within {write(NEAR, 'length', job.units)}",
                f"{point.name} joins '{point.joins.name}': make its place a corner of the route",
            )  # fmt: skip
        found.append(SiteJoined(outlet=point.name, at=at, line=point.joins, route=route))
    return tuple(found)


__all__ = ["joined_lines"]
