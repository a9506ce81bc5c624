"""The flows of the storm test: into the basin, pumped, leaving at the outlet, each with its name and a fit scale."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drainwright.storm.model import StormCase
from drainwright.system.model import LiftStation

READABLE = 0.15  # a pumped flow below that share of the outlet's peak is drawn on a scale of its own [-]
APART = 0.01  # of all that leaves: less than that is not told apart from what is pumped [-]

Series = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowCurve:
    """One flow through the storm."""

    name: str
    values: Series  # [m³/s]
    look: str  # "in", "out" or "pumped"


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowPanel:
    """Flows that share a scale."""

    title: str
    curves: tuple[FlowCurve, ...]


def flow_panels(sound: StormCase, station: LiftStation | None, *, several: bool = False) -> tuple[FlowPanel, ...]:
    """The flows with everything in order, parted by scale.

    Parameters
    ----------
    sound : StormCase
        With everything in order.
    station : LiftStation or None
        At the house; None for a job that gravity drains.
    several : bool
        Whether there are other basins, so that this one is named.

    Returns
    -------
    tuple of FlowPanel
        One; or two, the outlet's and the basin's, where the pumped flow would be too small to read beside what
        gravity brings to the outlet.
    """
    leaves = FlowCurve(name="leaves at the outlet", values=sound.outflow, look="out")
    if station is None:
        comes = FlowCurve(name="to the outlet", values=sound.inflow, look="in")
        return (FlowPanel(title="Flow, all in order", curves=(leaves, comes)),)
    own = sound.station(station.name)
    if own is None:
        comes = FlowCurve(name="into the basin", values=sound.inflow, look="in")
        pumped = FlowCurve(name="pumped", values=sound.outflow, look="out")
        return (FlowPanel(title="Flow, all in order", curves=(pumped, comes)),)
    basin = f"basin {station.name}" if several else "basin"
    comes = FlowCurve(name="into the basin", values=own.inflow, look="in")
    if not _apart(sound, own.lifted):
        pumped = FlowCurve(name="pumped to the outlet", values=own.lifted, look="out")
        return (FlowPanel(title="Flow, all in order", curves=(pumped, comes)),)
    most = float(own.lifted.max())
    if most >= READABLE * max(float(sound.outflow.max()), float(own.inflow.max())):
        pumped = FlowCurve(name="pumped", values=own.lifted, look="pumped")
        return (FlowPanel(title="Flow, all in order", curves=(leaves, comes, pumped)),)
    pumped = FlowCurve(name="pumped", values=own.lifted, look="out")
    return (
        FlowPanel(title="Flow at the outlet", curves=(leaves,)),
        FlowPanel(title=f"Flow at the {basin}", curves=(pumped, comes)),
    )


def _apart(sound: StormCase, lifted: Series) -> bool:
    """Whether more leaves at the outlet than this pump lifts."""
    rest = sound.outflow - lifted
    return bool(np.trapezoid(rest, sound.times) > APART * np.trapezoid(sound.outflow, sound.times))


__all__ = ["FlowCurve", "FlowPanel", "flow_panels"]
