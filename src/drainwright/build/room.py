"""What stands beside and above a dig: loads near its edge, lines overhead, and what must be spared."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from drainwright.build.earth import in_rock
from drainwright.build.reach import reached
from drainwright.build.units import FOOT
from drainwright.field.model import Site
from drainwright.field.places import plan_of
from drainwright.job.site import Protected

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from drainwright.build.trench import Cut

TRAFFIC = ("asphalt", "concrete", "gravel", "pervious paving")  # surfaces on which cars may stand
STOOD_IN = 2.0 * FOOT  # from this depth somebody may stand in it: common practice, no source [m]
HEAVY = ("septic tank", "pool", "footing", "retaining wall")  # what bears on the ground beside a dig
APPROACH = 10.0 * FOOT  # to an overhead line of 50 kV or less: 29 CFR 1926.600(a)(6)(i), from memory [m]
POST = 0.1  # a fence's posts reach so far from its line: common practice, no source [m]
SPREAD = 0.6  # a thing given by its place alone reaches so far: common practice, no source [m]


def _outline(thing: Protected, site: Site) -> BaseGeometry:
    """A thing of the lot in plan; given by a place or a line alone it reaches 0.6 m round it, a fence 0.1 m."""
    from shapely import LineString, Point, Polygon

    ring = [plan_of(at, site.points, f"property.protected.{thing.name}") for at in thing.at]
    if thing.kind == "fence":
        return (LineString(ring) if len(ring) > 1 else Point(ring[0])).buffer(POST)
    if len(ring) > 2:
        return Polygon(ring).buffer(0.0)
    return (LineString(ring) if len(ring) == 2 else Point(ring[0])).buffer(SPREAD)


def machines_beside(site: Site, name: str) -> tuple[str, ...]:
    """Machines whose own weight bears on the edge of a dig while they dig it or carry from it.

    One that does not reach the dig does not stand beside it.

    Surcharge from operating equipment: 29 CFR 1926 Subpart P, Appendix B, (c)(3)(iii), from memory.
    """
    kit = site.job.equipment
    digs = kit.excavator and not in_rock(site.job.ground) and reached(site.job.property.access, name)
    return (("the small excavator at work",) if digs else ()) + (("the powered barrow",) if kit.carrier else ())


def under_lines(cut: Cut, site: Site) -> tuple[str, ...]:
    """Overhead power lines nearer to a dig, in plan, than a machine, a long pipe or a rod may come to one."""
    return tuple(
        thing.name
        for thing in site.job.property.protected
        if thing.kind == "overhead line" and _outline(thing, site).distance(cut.area) + SPREAD < APPROACH
    )


def loads_beside(cut: Cut, site: Site, setback: float) -> tuple[str, ...]:
    """What weighs on the ground nearer to a dig than it is deep there: traffic and the stockpile.

    Parameters
    ----------
    cut : Cut
        The dig; a shallow one, in which nobody stands, has none.
    site : Site
        The site.
    setback : float
        That spoil keeps from it, which the stockpile keeps too. [m]

    Returns
    -------
    tuple of str
        Common practice, no source: a load at least as far away as the dig is deep does not press on its side.
    """
    from shapely import Point, Polygon

    if cut.depth < STOOD_IN:
        return ()
    found = [
        f"the {yard.name} ({yard.surface})"
        for index, yard in enumerate(site.job.yards)
        if yard.surface in TRAFFIC and yard.outline
        if _near(cut, Polygon([plan_of(at, site.points, f"yards[{index}]") for at in yard.outline]))
    ]
    pile = site.job.property.access.stockpile
    if pile is not None:
        place = Point(plan_of(pile, site.points, "property.access.stockpile"))
        if _near(cut, place) or place.distance(cut.area) < setback:
            found.append("the stockpile")
    return tuple(found)


def stands_beside(cut: Cut, site: Site) -> tuple[tuple[str, str], ...]:
    """What stands on the ground nearer to a dig than it is deep there, each with its kind: its ground may give way.

    Walls, footings and tanks press on the side; a fence leans or falls in. Where the job says how deep its posts reach,
    it counts where the ground that may give way has half of that depth, common practice, no source; else in any dig of
    2 ft. What a dig goes through is told apart.
    """
    found = []
    for thing in site.job.property.protected:
        posts = thing.posts.value if thing.kind == "fence" and thing.posts is not None else None
        if thing.kind not in (*HEAVY, "fence") or (posts is None and cut.depth < STOOD_IN):
            continue
        shape = _outline(thing, site)
        if _near(cut, shape, 0.0 if posts is None else posts / 2) and not _goes_through(cut, thing, shape):
            found.append((thing.name, thing.kind))
    return tuple(found)


def _goes_through(cut: Cut, thing: Protected, shape: BaseGeometry) -> bool:
    """Whether a dig takes the ground out from under a thing; a fence that only stands at its edge is beside it."""
    if thing.kind == "fence":
        return bool(cut.area.buffer(-POST).intersects(shape.buffer(-0.9 * POST)))
    return bool(cut.area.intersects(shape))


def _near(cut: Cut, shape: BaseGeometry, held: float = 0.0) -> bool:
    """Whether a shape comes nearer to a dig than it is deep at that place, less the depth that holds it. [m]"""
    from shapely import distance, points

    away = np.asarray(distance(points(cut.points), shape)) - cut.width / 2
    return bool(np.any(away < cut.ground - cut.bottom - held))


def fences_of(site: Site) -> list[BaseGeometry]:
    """The fences of the lot in plan: no heap lies against one, or beyond it."""
    return [_outline(thing, site) for thing in site.job.property.protected if thing.kind == "fence"]


def spared(digs: Sequence[Cut], site: Site) -> tuple[tuple[str, str, str], ...]:
    """Digs that go through what must be spared: a septic field or tank, a pool, a well, a bank, a footing, a fence.

    Returns
    -------
    tuple of tuple
        Dig, name of the thing, its kind. A thing that is given by one place reaches 0.6 m around it.
    """
    found = []
    for thing in site.job.property.protected:
        if thing.kind == "overhead line":
            continue
        shape = _outline(thing, site)
        found += [(cut.name, thing.name, thing.kind) for cut in digs if _goes_through(cut, thing, shape)]
    return tuple(found)


__all__ = ["APPROACH", "fences_of", "loads_beside", "machines_beside", "spared", "stands_beside", "under_lines"]
