"""One run of the plant with one failure."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from drainwright.field.model import Site
from drainwright.kept import kept
from drainwright.storm.engine.plant import NEVER, Forcing, Plant, Run, State
from drainwright.storm.engine.ready import forcing_of, state_of
from drainwright.storm.failures.failure import Failure, failed, joined, opened, parted, watching
from drainwright.storm.model import Series, Storm
from drainwright.storm.network import Network, slab_level
from drainwright.system.model import System
from drainwright.water.model import Inflows

TOLERANCE = 0.0002  # greatest error of a level in one step: moments are then right to a second [m]
SEARCHING = 0.002  # the same while the worst moment is searched: what is found is run again [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Setup:
    """What all runs of a storm test share."""

    site: Site
    inflows: Inflows
    system: System
    network: Network
    storm: Storm
    entering: Mapping[str, Series]  # surface water of each entry, in steps of the storm [m³/s]
    horizon: float  # [s]

    def forcing(self, horizon: float, until: float = 0.0) -> Forcing:
        """The sound forcing; ground water alone goes on where ``until`` lies beyond the horizon."""
        steps = math.ceil(horizon / self.storm.step - 1e-9)
        edges: Series = self.storm.step * np.arange(steps + 1.0)
        known = [name for name in self.entering if name in self.network.entries]  # other water is no part of it
        inflow = np.zeros((steps, len(known)))
        for column, name in enumerate(known):
            inflow[:, column] = self.entering[name][:steps]
        if until > edges[-1]:
            edges = np.append(edges, until)
            inflow = np.vstack([inflow, np.zeros((1, len(known)))])
        entry = np.array([self.network.entries[name] for name in known], np.int64)
        return forcing_of(edges, entry, inflow)


@dataclass(frozen=True, slots=True, kw_only=True)
class Stepped:
    """What the stepper gives, and the plant that it was given."""

    plant: Plant
    run: Run
    watched: int  # of the watches, those at the house; the alarm follows, if there is one

    @property
    def slab_at(self) -> float | None:
        """When the water at the house first reached the slab, from the start; None: not [s]."""
        first = float(np.min(self.run.reached[: self.watched], initial=NEVER))
        return first if first < NEVER else None

    @property
    def alarm_at(self) -> float | None:
        """When the alarm's float at the house first rose; None: not, or no alarm there [s]."""
        first = float(np.min(self.run.reached[self.watched :], initial=NEVER))
        return first if first < NEVER else None

    @property
    def above(self) -> float:
        """Longest time that water at a place of the house stood at or above the slab [s]."""
        return float(np.max(self.run.above[: self.watched], initial=0.0))

    def at_house(self, network: Network) -> float | None:
        """Highest water at the house; None: its drains stayed dry, or there is no drain or basin [m]."""
        node = network.highest_at_house(self.run.highest)
        return None if node is None else float(self.run.highest[node])

    def still_rises(self, network: Network) -> bool:
        """Whether some water at the house is highest at the end of the record, the slab not reached."""
        if self.slab_at is not None or not network.house.size:
            return False
        return bool(np.any(self.run.highest_at[network.house] >= self.run.state.clock[0] - 1.0))

    def rise(self, before: Stepped, network: Network) -> float:
        """Greatest rise of the water at the house from an earlier end, a basin that fills below its drains too. [m]"""
        return float(np.max(self.run.highest[network.house] - before.run.highest[network.house]))


def stepped(
    setup: Setup, failure: Failure, *, horizon: float | None = None, until: float = 0.0, keep: bool = True,
    open_house: bool = False, tolerance: float = TOLERANCE,
) -> Stepped:  # fmt: skip
    """The plant stepped through the storm with a failure.

    Parameters
    ----------
    setup : Setup
        The storm and the plant.
    failure : Failure
        What is wrong.
    horizon, until : float
        End of the storm's record, the setup's if left out; where ``until`` lies beyond, it goes on without rain. [s]
    keep : bool
        Whether to keep the trace.
    open_house : bool
        Whether water that reaches the slab runs into the house, as fast as it comes.
    tolerance : float
        Greatest error of a level in one step. [m]
    """
    network, system = setup.network, setup.system
    forcing = setup.forcing(setup.horizon if horizon is None else horizon, until)
    sound, main = network.plant, system.station
    if main is not None:
        node = int(sound.stations.node[network.stations.index(main.name)])
        sound = watching(sound, node, main.float_levels["alarm"])
    if open_house:
        sound = opened(sound, network.house, slab_level(setup.site))
    plant, changed = failed(sound, forcing, network, system, failure)
    watched = len(network.house)
    if not failure.later:
        run = _step(plant, changed, state_of(plant, network.start), tolerance, keep)
        return Stepped(plant=plant, run=run, watched=watched)
    whole = Failure(key="", title="", clogging=failure.clogging)
    before_plant, forced = failed(sound, forcing, network, system, whole)
    before, after = parted(forced, failure.at or 0.0)
    first = _step(before_plant, before, state_of(before_plant, network.start), tolerance, keep)
    second = _step(plant, after, first.state, tolerance, keep)
    return Stepped(plant=plant, run=joined(first, second), watched=watched)


def _step(plant: Plant, forcing: Forcing, state: State, tolerance: float, keep: bool) -> Run:
    """The stepper, or what it gave for the very same plant and storm."""
    from drainwright.storm.engine.stepper import step

    parts = (tuple(plant), tuple(forcing), tuple(state), tolerance, keep)
    return kept("stepped", parts, lambda: step(plant, forcing, state, tolerance, keep, False))


__all__ = ["SEARCHING", "TOLERANCE", "Setup", "Stepped", "stepped"]
