"""Digging against the bearing wedge of a footing."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from drainwright.build.model import FootingWedge
from drainwright.build.shield_room import deep
from drainwright.build.trench import Cut
from drainwright.field.model import Site, SiteWall
from drainwright.worksheet import Card, catalogued, place

NEAR = 3.0  # walls farther off than this are left out, unless the wedge reaches [m]


@catalogued(
    Card(
        title="Depth allowed below a footing's bottom, by the bearing wedge",
        symbol="d",
        expression="max(offset, 0) / slope",
        units={"offset": "m", "slope": "-", "result": "m"},
        source="bearing_wedge",
    )
)
def allowed_below(offset: float, slope: float) -> float:
    """How far below the footing's bottom a dig may go at a distance from the footing's edge.

    Parameters
    ----------
    offset : float
        From the footing's outer edge to the nearest edge of the dig; negative counts as zero. [m]
    slope : float
        Run over fall of the wedge, above zero: 1 is 45 degrees, 2 for soft or wet soil. [-]

    Returns
    -------
    float
        Depth. [m]

    Examples
    --------
    >>> allowed_below(0.9, 1.0)
    0.9
    """
    return max(offset, 0) / slope


def wedges(digs: Sequence[Cut], site: Site) -> tuple[FootingWedge, ...]:
    """Every run and basin against every wall near it: the place where it comes closest to (or enters) the wedge.

    Parameters
    ----------
    digs : Sequence of Cut
        From ``trench.cuts``.
    site : Site
        The site.

    Returns
    -------
    tuple of FootingWedge
        One for each pair that is near; for an opened wall's dig, only where it enters another wall's wedge.
    """
    found = []
    for cut in digs:
        for wall in site.walls:
            if cut.kind == "wall" and (cut.name == wall.name or cut.wall is None):
                continue
            wedge = _worst(cut, wall, site)
            if wedge is not None and (cut.kind != "wall" or wedge.inside):
                found.append(wedge)
    return tuple(found)


def _worst(cut: Cut, wall: SiteWall, site: Site) -> FootingWedge | None:
    from shapely import Polygon, distance, points

    slope = site.job.criteria.bearing_slope
    footing = Polygon(wall.footing_ring)
    if cut.kind in ("basin", "inlet"):
        away = np.array([footing.distance(cut.area)])
        bottom, out = cut.bottom[:1], np.zeros(1)
    else:
        away = np.asarray(distance(points(cut.points), footing), dtype=float)
        shields = cut.kind == "run" and cut.panels > 0.0
        bottom = cut.bottom
        out = np.where(deep(cut, site), cut.width, cut.bed) / 2 if shields else np.full(len(bottom), cut.bed / 2)
    offsets = np.clip(away - out, 0.0, None)
    below = wall.footing_bottom - bottom
    worst = int(np.argmax(below - offsets / slope))
    if offsets.min() > NEAR and below[worst] <= offsets[worst] / slope:
        return None
    with place(f"walls.{wall.name}", f"digging of {cut.name}"):
        allowed = allowed_below(float(offsets[worst]), slope)
    return FootingWedge(
        item=cut.name,
        wall=wall.name,
        offset=float(offsets[worst]),
        below_footing=float(below[worst]),
        allowed_below=allowed,
    )


__all__ = ["NEAR", "allowed_below", "wedges"]
