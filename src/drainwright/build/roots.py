"""Trenches through the root zones of trees that stay."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

from drainwright.build.model import RootCut, RootLoss
from drainwright.build.trench import Cut
from drainwright.field.model import Site

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry


def root_cuts(digs: Sequence[Cut], site: Site) -> tuple[RootCut, ...]:
    """Every digging whose centre line comes within the critical root radius of a tree to be kept.

    Parameters
    ----------
    digs : Sequence of Cut
        From ``trench.cuts``.
    site : Site
        The site; each tree carries its root radius by the place's rule.

    Returns
    -------
    tuple of RootCut
        With the nearest distance from the trunk's centre.
    """
    from shapely import Point

    found = []
    for cut in digs:
        for tree in site.trees:
            centre = Point(cut.points.mean(axis=0)) if cut.kind in ("basin", "inlet") else cut.axis
            distance = float(centre.distance(Point(tree.at)))
            if tree.tree.keep and distance <= tree.root_radius:
                found.append(
                    RootCut(
                        item=cut.name,
                        tree=tree.tree.name,
                        distance=distance,
                        root_radius=tree.root_radius,
                        trunk_diameter=tree.tree.trunk_diameter,
                    )
                )
    return tuple(found)


RAYS = 360  # directions looked into round a trunk
SIDES = ("north", "east", "south", "west")
CUT = 0.25  # of a side's directions, from which its roots count as cut [-]


def root_losses(digs: Sequence[Cut], site: Site) -> tuple[RootLoss, ...]:
    """What all digging together cuts off of the root zone of each tree to be kept.

    Parameters
    ----------
    digs : Sequence of Cut
        From ``trench.cuts``.
    site : Site
        The site.

    Returns
    -------
    tuple of RootLoss
        Only trees that lose something. A part counts as lost where it is dug, or where digging parts it from the
        trunk; what a root finds on its way round a trench's end counts as kept. A side counts as cut where a
        quarter of the directions in it meet a dig within the root zone. The roots are taken to fill the zone
        evenly, but for the ground under the house and what the house itself parts from the trunk, where none are
        counted: an assumption.
    """
    import numpy as np
    from shapely import (
        Point,
        Polygon,
        get_num_geometries,
        intersection,
        intersects,
        linestrings,
        prepare,
        union_all,
    )

    house = Polygon(site.outline).buffer(0.0)
    dug = union_all([cut.area for cut in digs]) if digs else None
    found = []
    for tree in site.trees:
        if dug is None or not tree.tree.keep or tree.root_radius <= 0:
            continue
        trunk = Point(tree.at)
        zone = _nearest(trunk.buffer(tree.root_radius, quad_segs=64).difference(house), trunk)
        if not dug.intersects(zone):
            continue
        kept = _nearest(zone.difference(dug), trunk)
        share = 1.0 - kept.area / zone.area
        turns = np.arange(RAYS) * (2 * np.pi / RAYS)  # clockwise from the plan's up
        ends = np.array(tree.at) + tree.root_radius * np.column_stack((np.sin(turns), np.cos(turns)))
        rays = linestrings(np.stack((np.broadcast_to(tree.at, ends.shape), ends), axis=1))
        within: Any = intersection(rays, zone)
        several = np.flatnonzero(get_num_geometries(within) > 1)
        within[several] = [_nearest(ray, trunk) for ray in within[several]]
        prepare(dug)
        met: Any = intersects(dug, within)
        quarter = np.round(turns / (np.pi / 2)).astype(int) % 4
        cut = tuple(name for number, name in enumerate(SIDES) if np.mean(met[quarter == number]) >= CUT)
        found.append(
            RootLoss(
                tree=tree.tree.name, share=float(share), sides=cut, nearest=float(dug.distance(trunk)),
                trunk_diameter=tree.tree.trunk_diameter,
            )
        )  # fmt: skip
    return tuple(found)


def _nearest(parts: BaseGeometry, trunk: BaseGeometry) -> BaseGeometry:
    """The part that a trunk stands in or next to; empty where nothing is left."""
    from shapely import get_parts

    return min(get_parts(parts), key=lambda part: part.distance(trunk), default=parts)


__all__ = ["root_cuts", "root_losses"]
