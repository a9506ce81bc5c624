"""The flows of the storm test: into the basin, pumped, out or into the soil, each with its name and a fit scale."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drainwright.storm.model import StormCase
from drainwright.storm.parts.soak_stores import soaked_at
from drainwright.system.model import LiftStation, System

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
    note: str = ""  # below the title


def flow_panels(system: System, sound: StormCase, station: LiftStation | None) -> tuple[FlowPanel, ...]:
    """The flows with everything in order, parted by scale.

    Parameters
    ----------
    system : System
        Its soakaways take what leaves, in place of an outlet; where it has several basins, this one is named.
    sound : StormCase
        With everything in order.
    station : LiftStation or None
        At the house; None for a job that gravity drains.

    Returns
    -------
    tuple of FlowPanel
        One; or two, the outlet's and the basin's, where the pumped flow would be too small to read beside what
        gravity brings to the outlet.
    """
    leaves = FlowCurve(name="leaves at the outlet", values=sound.outflow, look="out")
    if system.soaks:
        leaves = FlowCurve(name="soaks away or runs over", values=sound.outflow, look="out")
    if station is None:
        return (_soaked(system, sound) or FlowPanel(title="Flow, all in order", curves=(leaves,)),)
    own = sound.station(station.name)
    if own is None:
        comes = FlowCurve(name="into the basin", values=sound.inflow, look="in")
        pumped = FlowCurve(name="pumped", values=sound.outflow, look="out")
        return (FlowPanel(title="Flow, all in order", curves=(pumped, comes)),)
    basin = f"basin {station.name}" if len(system.stations) > 1 else "basin"
    comes = FlowCurve(name="into the basin", values=own.inflow, look="in")
    if not _apart(sound, own.lifted):
        name = "pumped to the soakaway" if system.soaks else "pumped to the outlet"
        pumped = FlowCurve(name=name, values=own.lifted, look="out")
        return (FlowPanel(title="Flow, all in order", curves=(pumped, comes)),)
    most = float(own.lifted.max())
    if most >= READABLE * max(float(sound.outflow.max()), float(own.inflow.max())):
        pumped = FlowCurve(name="pumped", values=own.lifted, look="pumped")
        return (FlowPanel(title="Flow, all in order", curves=(leaves, comes, pumped)),)
    pumped = FlowCurve(name="pumped", values=own.lifted, look="out")
    return (
        FlowPanel(title="Flow out" if system.soaks else "Flow at the outlet", curves=(leaves,)),
        FlowPanel(title=f"Flow at the {basin}", curves=(pumped, comes)),
    )


def _soaked(system: System, sound: StormCase) -> FlowPanel | None:
    """What soaks into the ground, and all that leaves where an overflow takes the rest; None: no soakaway."""
    soaked = np.zeros_like(sound.outflow)
    for soak in system.soaks:
        levels = sound.levels(soak.name)
        if len(levels) != len(sound.times):
            return None
        at = soaked_at(soak, levels)
        soaked += np.maximum(at, np.concatenate([at[:1], at[:-1]]))  # outflow is a mean since the time before
    if not system.soaks:
        return None
    soaked = np.minimum(soaked, sound.outflow)
    into = FlowCurve(name="soaks into the ground", values=soaked, look="out")
    over = sound.outflow - soaked
    if float(over.max()) <= APART * float(sound.outflow.max()):
        return FlowPanel(title="Flow, all in order", curves=(into,))
    away = FlowCurve(name="with the overflow", values=sound.outflow, look="in")
    note = "full to its top, a soakaway takes no more: the overflow carries the rest"
    return FlowPanel(title="Flow, all in order", curves=(into, away), note=note)


def _apart(sound: StormCase, lifted: Series) -> bool:
    """Whether more leaves at the outlet than this pump lifts."""
    rest = sound.outflow - lifted
    return bool(np.trapezoid(rest, sound.times) > APART * np.trapezoid(sound.outflow, sound.times))


__all__ = ["FlowCurve", "FlowPanel", "flow_panels"]
