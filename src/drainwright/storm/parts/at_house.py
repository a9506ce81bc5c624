"""The places that stand for the water at the house, and which of them held water."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from drainwright.storm.model import Series
from drainwright.system.model import System

WET = 0.005  # a place holds water from this depth on, less is a trickle: common practice, no source [m]


def house_places(system: System) -> set[str]:
    """Nodes whose level stands for the water at the house: ends of footing drains, and the basin they reach."""
    drains = [run for run in system.runs if run.duty == "footing drain"]
    found = {end for run in drains for end in (run.upper, run.lower)}
    below, reached = {run.upper: run.lower for run in system.runs if not run.pressure}, set(found)
    for end in found:
        while (end := below.get(end, "")) and end not in reached:
            reached.add(end)
    if drains:
        return found | {station.name for station in system.stations if station.name in reached}
    return found | ({system.stations[0].name} if system.stations else set())


def holds_water(highest: Series, bed: Series, floor: Series) -> NDArray[np.bool_]:
    """Which places at the house held water.

    Parameters
    ----------
    highest, bed, floor : Series
        Of each place its highest level, its lowest, and the level that counts as wet. [m]

    Notes
    -----
    A dry drain has no water level: its bed may lie far above the water in the basin. A place that lies at or over the
    floor counts all the same, since whatever comes to it stands over the floor.
    """
    return np.asarray((highest > bed + WET) | (bed >= floor))


__all__ = ["WET", "holds_water", "house_places"]
