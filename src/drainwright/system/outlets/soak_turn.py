"""Which way a soakaway lies from the place where its pipe enters, and the ground that it takes."""

from __future__ import annotations

import math

import numpy as np

from drainwright.field.model import Plan, Site
from drainwright.job.works import Soak
from drainwright.system.outlets.soak_model import Ring
from drainwright.system.outlets.soak_sizing import APART, SoakSize

EAST = math.pi / 2  # where no way is better than another [rad]
STEP = math.radians(15.0)
SLACK = 1e-6  # [m]


def outlines_of(size: SoakSize, at: Plan, bearing: float) -> tuple[Ring, ...]:
    """Outline of a trench that begins where the pipe enters, or of wells in a row with the first one there."""
    way = np.array([math.sin(bearing), math.cos(bearing)])
    aside = np.array([-way[1], way[0]])
    start = np.array(at)
    if size.kind == "infiltration trench":
        half = aside * size.width / 2.0
        ring = (start - half, start + way * size.length - half, start + way * size.length + half, start + half)
        return (tuple((float(east), float(north)) for east, north in ring),)
    turns = np.linspace(0.0, 2.0 * math.pi, 25)[:-1]
    rings = []
    for number in range(size.count):
        middle = start + way * number * (size.width + APART)
        rings.append(
            tuple(
                (float(middle[0] + size.width / 2 * math.cos(turn)), float(middle[1] + size.width / 2 * math.sin(turn)))
                for turn in turns
            )
        )
    return tuple(rings)


def bearing_of(site: Site, soak: Soak, size: SoakSize, at: Plan) -> float:
    """Which way a soakaway lies: as the job says, else clear of boundary, house and buried lines.

    Parameters
    ----------
    site : Site
        The site, with the place's distances for soakaways.
    soak : Soak
        As the job has it.
    size : SoakSize
        How large it is.
    at : Plan
        Where its pipe enters. [m]

    Returns
    -------
    float
        Clockwise from the drawing's up. Of ways 15 degrees apart the one that lacks least of those distances, on the
        lot before all; of equal ones the nearest to due east. [rad]
    """
    if soak.bearing is not None:
        return soak.bearing
    turns = sorted(range(-11, 13), key=lambda turn: (abs(turn), turn))
    ways = [(EAST + turn * STEP) % (2.0 * math.pi) for turn in turns]
    return min(ways, key=lambda way: _lacking(site, outlines_of(size, at, way)))


def _lacking(site: Site, outlines: tuple[Ring, ...]) -> tuple[float, float, float]:
    """Over the boundary, short of the distances from boundary and house, length of buried lines in it [m]."""
    from shapely import LinearRing, LineString, MultiPolygon, Point, Polygon

    ground = MultiPolygon([Polygon(ring) for ring in outlines])
    rules = site.job.rules
    over, short = 0.0, 0.0
    if len(site.boundary) >= 3:
        lot = Polygon(site.boundary).buffer(0.0)
        over = max((lot.distance(Point(corner)) for ring in outlines for corner in ring), default=0.0)
        short = max(0.0, rules.soak_boundary_setback.value - float(ground.distance(LinearRing(site.boundary))))
    if len(site.outline) >= 3:
        short = max(short, rules.soak_house_setback.value - float(ground.distance(Polygon(site.outline))))
    lines = sum(float(LineString(item.route).intersection(ground).length) for item in site.utilities)
    over, short, lines = (0.0 if part <= SLACK else round(part, 6) for part in (over, short, lines))
    return over, short, lines


__all__ = ["EAST", "bearing_of", "outlines_of"]
