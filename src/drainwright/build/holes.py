"""Holes to cut through the walls of the basin and the catch basins."""

from __future__ import annotations

import math
from collections.abc import Sequence

from drainwright.build.model import Hole
from drainwright.field.model import Plan, Site
from drainwright.system.fittings import inlet_of
from drainwright.system.model import Node, System


def holes(site: Site, system: System) -> tuple[Hole, ...]:
    """Holes through the walls of the basin and the catch basins.

    Parameters
    ----------
    site, system : Site, System
        The job's site and design.

    Returns
    -------
    tuple of Hole
        Height of the centre above the inside floor, and the clock direction with plan-up at 12.
    """
    found = []
    for node in system.nodes.values():
        floor = _floor(node, site, system)
        if floor is None:
            continue
        for run in system.runs:
            if node.name not in (run.upper, run.lower):
                continue
            leaves = run.upper == node.name
            invert = run.invert_upper if leaves else run.invert_lower
            toward = _away(node.at, run.route if leaves else run.route[::-1])
            found.append(
                Hole(
                    node=node.name,
                    run=run.name,
                    diameter=run.pipe.hole,
                    height=invert + run.pipe.inside / 2 - floor,
                    clock=clock(node.at, toward),
                    pipe=run.pipe.key,
                    outside=run.pipe.outside,
                )
            )
    return tuple(found)


def _floor(node: Node, site: Site, system: System) -> float | None:
    if node.kind == "basin":
        station = system.station_named(node.name)
        return None if station is None else station.floor
    inlet = inlet_of(node, site.job) if node.kind == "inlet" else None
    if inlet is None or inlet.kind == "cleanout":
        return None
    return node.invert - inlet.sump_depth


def _away(at: Plan, route: Sequence[Plan]) -> Plan:
    """The first place of a route that is not the node itself."""
    return next((place_ for place_ in route if math.dist(at, place_) > 1e-3), route[-1])


def clock(at: Plan, toward: Plan) -> float:
    """Direction seen from above in clock hours, plan-up at 12.

    Examples
    --------
    >>> clock((0.0, 0.0), (0.0, 1.0)), clock((0.0, 0.0), (1.0, 0.0)), clock((0.0, 0.0), (-1.0, 0.0))
    (12.0, 3.0, 9.0)
    """
    hours = math.degrees(math.atan2(toward[0] - at[0], toward[1] - at[1])) / 30.0 % 12.0
    return 12.0 if hours < 1e-9 or hours > 12.0 - 1e-9 else hours


__all__ = ["clock", "holes"]
