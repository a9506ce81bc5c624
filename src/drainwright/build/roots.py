"""Trenches through the root zones of trees that stay."""

from __future__ import annotations

from collections.abc import Sequence

from drainwright.build.model import RootCut
from drainwright.build.trench import Cut
from drainwright.field.model import Site


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
            centre = Point(cut.points.mean(axis=0)) if cut.kind == "basin" else cut.axis
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


__all__ = ["root_cuts"]
