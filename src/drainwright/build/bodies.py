"""What stands or is dug in one place (the basin's hole, the bodies of the inlets) against buried lines."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from drainwright.build.gaps import line_top, met_between, side_gap, vertical_gap
from drainwright.build.model import Crossing
from drainwright.build.trench import Cut
from drainwright.field.model import Site, SiteUtility
from drainwright.system.fittings import inlet_of
from drainwright.system.model import System
from drainwright.worksheet import place

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry


@dataclass(frozen=True, slots=True, kw_only=True)
class Body:
    """Room in the ground that a line cannot share."""

    name: str
    where: str  # in the job
    area: BaseGeometry  # in plan
    top: float  # level [m]
    bottom: float  # level [m]


def hole_body(cut: Cut) -> Body:
    """The basin's hole, from the ground to its bottom."""
    return Body(
        name=cut.name,
        where=f"basin.{cut.name}",
        area=cut.area,
        top=float(cut.ground[0]),
        bottom=float(cut.bottom[0]),
    )


def inlet_bodies(site: Site, system: System) -> tuple[Body, ...]:
    """The bodies of the inlets: as wide as their size, square with the plan, from the ground to the sump's floor.

    Parameters
    ----------
    site, system : Site, System
        The job's site and design.

    Returns
    -------
    tuple of Body
        A cleanout has none: it is its run's own pipe.
    """
    from shapely import box

    found = []
    for node in system.nodes.values():
        inlet = inlet_of(node, site.job) if node.kind == "inlet" else None
        if inlet is None or inlet.kind == "cleanout":
            continue
        (east, north), half = node.at, inlet.size / 2
        found.append(
            Body(
                name=node.name,
                where=f"inlets.{node.name}",
                area=box(east - half, north - half, east + half, north + half),
                top=max(node.ground, node.rim),
                bottom=node.invert - inlet.sump_depth,
            )
        )
    return tuple(found)


def body_crossings(bodies: Sequence[Body], utility: SiteUtility, zone: float) -> tuple[Crossing, ...]:
    """Each body against one buried line: met where the line passes through it, alongside where the zone reaches it.

    Parameters
    ----------
    bodies : Sequence of Body
        Basin holes and inlets.
    utility : SiteUtility
        The line.
    zone : float
        Tolerance zone, from the outside of the line. [m]

    Returns
    -------
    tuple of Crossing
        ``run`` is the body's name; ``clearance`` is negative where the line passes through the body.
    """
    from shapely import LineString

    line = LineString(utility.route)
    diameter = utility.utility.diameter
    found = []
    for body in bodies:
        away = line.distance(body.area)
        if away > zone + diameter / 2:
            continue
        sideways = away - diameter / 2
        through = sideways < 0
        centre = body.area.centroid
        top = line_top(utility, line, centre)
        gap = None
        if utility.utility.depth is not None:
            with place(body.where, f"against {utility.utility.name}"):
                gap = vertical_gap(top, diameter, body.top, body.bottom)
        least, most = met_between(utility, top, body.top, body.bottom)
        near = body.area.intersection(line.buffer(zone + diameter / 2, quad_segs=32))
        chord = max(near.bounds[2] - near.bounds[0], near.bounds[3] - near.bounds[1])
        found.append(
            Crossing(
                run=body.name,
                utility=utility.utility.name,
                kind=utility.utility.kind,
                crossing=through,
                station=0.0,
                at=(float(centre.x), float(centre.y)),
                utility_top=None if gap is None else top,
                pipe_crown=body.top,
                pipe_invert=body.bottom,
                bottom=body.bottom,
                clearance=gap if gap is None or through else side_gap(gap, sideways),
                clearance_least=least if through else side_gap(least, sideways),
                clearance_most=most if through else side_gap(most, sideways),
                hand_dig=float(chord),
                shutoff=utility.utility.shutoff,
                basis=utility.utility.depth_basis,
            )
        )
    return tuple(found)


__all__ = ["Body", "body_crossings", "hole_body", "inlet_bodies"]
