"""Where along a trench to dig by hand, as the plan and the profiles hatch it."""

from __future__ import annotations

from collections.abc import Sequence

from drainwright.build.model import Crossing
from drainwright.design import Design
from drainwright.field.model import Plan


def hand_dug(design: Design, crossing: Crossing, route: Sequence[Plan]) -> tuple[float, float]:
    """From where to where along a trench's line to dig by hand.

    Parameters
    ----------
    design : Design
        The designed job.
    crossing : Crossing
        One meeting of the trench with a buried line.
    route : sequence of Plan
        The trench's line. [m]

    Returns
    -------
    tuple of float
        Distances from the line's start. Where the trench crosses the buried line, half of the length each side;
        where it runs alongside, all of the stretch with a side in the tolerance zone, never less than the length. [m]
    """
    import shapely

    half = crossing.hand_dig / 2
    line = shapely.LineString(route)
    middle = line.project(shapely.Point(crossing.at))
    if not crossing.crossing:
        width = max((item.width for item in design.build.dig.trenches if item.name == crossing.run), default=0.0)
        reach = design.job.rules.tolerance_zone.value + width / 2  # the trench's near side is in the zone
        here = shapely.Point(crossing.at)
        near = [
            piece
            for item in design.site.utilities
            if item.utility.name == crossing.utility
            for cut in [line.intersection(shapely.LineString(item.route).buffer(reach + item.utility.diameter / 2))]
            for piece in getattr(cut, "geoms", [cut])
            if piece.length > 0
        ]
        if near:
            piece = min(near, key=lambda other: other.distance(here))
            ends = sorted(line.project(shapely.Point(at)) for at in (piece.coords[0], piece.coords[-1]))
            short = max(0.0, crossing.hand_dig - (ends[1] - ends[0])) / 2
            return (max(0.0, ends[0] - short), min(line.length, ends[1] + short))
    return (max(0.0, middle - half), min(line.length, middle + half))


__all__ = ["hand_dug"]
