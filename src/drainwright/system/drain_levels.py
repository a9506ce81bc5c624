"""How high each footing drain lies beside each wall, once it is graded."""

from __future__ import annotations

from collections.abc import Mapping

from drainwright.field.model import Site
from drainwright.system.model import System
from drainwright.water.ground_lines import off_wall

BESIDE = 0.75  # a station nearer than this to a wall lies beside it [m]


def drain_levels(site: Site, system: System) -> Mapping[str, float]:
    """Level that the drain beside each wall holds: midway between its highest and its lowest invert there.

    Parameters
    ----------
    site : Site
        The surveyed site.
    system : System
        With the drains graded.

    Returns
    -------
    mapping
        By the wall's name; walls that no footing drain lies beside are left out. [m]
    """
    found = {}
    for wall in site.walls:
        inverts = [
            station.invert
            for run in system.runs
            if run.duty == "footing drain" and wall.name in run.walls
            for station in run.stations
            if off_wall(wall, station.at) <= BESIDE
        ]
        if inverts:
            found[wall.name] = 0.5 * (max(inverts) + min(inverts))
    return found


__all__ = ["BESIDE", "drain_levels"]
