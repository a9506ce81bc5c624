"""A failure as a pure change of the plant, and two parts of one run joined to a whole."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from drainwright.hydraulics.openflow import full_flow
from drainwright.storm.engine.plant import FREE, NEVER, Forcing, Overland, Plant, Run, Watches, Whole
from drainwright.storm.model import Series
from drainwright.storm.network import Network
from drainwright.system.model import System
from drainwright.worksheet import quiet

Group = Literal["", "pump", "power", "way out", "leaves and roots", "more water"]

INTO_HOUSE = 10.0  # width of the crest over which water enters at each place at the house: it holds none back [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Failure:
    """What is wrong in a case."""

    key: str
    title: str
    group: Group = ""
    at: float | None = None  # [s]
    pump_dead: str | None = None  # basin
    cut: tuple[float, float] = (NEVER, NEVER)  # [s]
    blocked: bool = False
    clogging: float = 0.5  # share of the grates that is closed [-]
    shut: str | None = None  # the inlet whose grate lets nothing through
    roots: tuple[str, float] | None = None  # the gravity run, and the share of its conveyance that is left
    leaking: tuple[str, float] | None = None  # basin whose check valve leaks; what its whole line holds [m³]
    locked: str | None = None  # basin whose pump is locked by air from ``at`` on: it runs and lifts nothing
    added: tuple[tuple[int, Series], ...] = ()  # node, and water that comes to it in each step [m³/s]
    wetter: float = 1.0  # times the seepage [-]
    note: str = ""  # what is assumed, or told besides

    @property
    def later(self) -> bool:
        """Whether the plant is sound until the failure, and changed from then on."""
        return self.locked is not None and (self.at or 0.0) > 0.0


def failed(plant: Plant, forcing: Forcing, network: Network, system: System, failure: Failure) -> tuple[Plant, Forcing]:
    """The plant and its forcing with what has failed; ``network`` tells whose rows they are.

    Parameters
    ----------
    plant : Plant
        Grates free of leaves.
    forcing : Forcing
        As in the sound case.
    network : Network
        Names of the rows, and the second pumps' own flows.
    system : System
        For the order of the stations.
    failure : Failure
        What is wrong.

    Returns
    -------
    Plant, Forcing
        Nothing is changed in what was given.
    """
    stations = plant.stations
    on, second, line, flow = (values.copy() for values in (stations.on, stations.second, stations.line, stations.flow))
    for place, station in enumerate(system.stations):
        if failure.pump_dead == station.name:  # the second pump, if there is one, is left
            on[place], second[place] = second[place], NEVER
            flow[place, :, 0] = network.second[place]
        if failure.locked == station.name:  # the second pump, if there is one, has a relief hole of its own
            flow[place, :, 0] = flow[place, :, 2] = 0.0
            flow[place, :, 1] = network.second[place]
        if failure.leaking is not None and failure.leaking[0] == station.name:
            line[place] = max(line[place], failure.leaking[1])
        if failure.blocked and stations.to[place] not in stations.node:
            flow[place] = 0.0  # none through a blocked line, but for one that ends in another basin
    conveyance = np.where(_shut(network, plant, failure), 0.0, plant.pipes.conveyance)
    if failure.roots is not None:
        conveyance[network.runs.index(failure.roots[0])] *= failure.roots[1]
    free = np.full(plant.grates.pond.size, 1.0 - failure.clogging)
    if failure.shut is not None:
        free[plant.grates.body == network.names.index(failure.shut)] = 0.0
    changed = plant._replace(
        pipes=plant.pipes._replace(conveyance=conveyance),
        grates=plant.grates._replace(weir=plant.grates.weir * free, orifice=plant.grates.orifice * free),
        ground=plant.ground._replace(conductance=plant.ground.conductance * failure.wetter),
        stations=stations._replace(on=on, second=second, line=line, flow=flow),
    )
    entry, inflow = forcing.entry, forcing.inflow
    for node, series in failure.added:
        column = np.zeros(len(inflow))
        column[: len(series)] = series[: len(inflow)]
        entry, inflow = np.append(entry, node), np.column_stack([inflow, column])
    cuts = np.array([failure.cut]) if failure.cut[0] < failure.cut[1] else forcing.cuts
    if failure.leaking is not None:
        changed = _flowing_back(changed, network, system, failure.leaking[0])
    return changed, forcing._replace(entry=entry, inflow=np.ascontiguousarray(inflow), cuts=cuts)


def _flowing_back(plant: Plant, network: Network, system: System, name: str) -> Plant:
    """The line of a leaking check valve as a pipe, by which water that stands over its end comes back to the basin.

    Only where the line ends at a place of the plant. It counts from the line's highest invert, a siphon is left out;
    that it also flows back while the pump runs makes it come out a little worse.
    """
    place = network.stations.index(name)
    end = int(plant.stations.to[place])
    station = system.station_named(name)
    if end < 0 or end in plant.stations.node or station is None:
        return plant
    line, pipes = system.run(station.discharge_run), plant.pipes
    high = max([line.invert_upper, line.invert_lower, *(item.invert for item in line.stations)])
    with quiet():
        full = float(full_flow(line.pipe.inside, 1.0, line.pipe.manning))
    return plant._replace(
        pipes=pipes._replace(
            upper=np.append(pipes.upper, end).astype(np.int64),
            lower=np.append(pipes.lower, plant.stations.node[place]).astype(np.int64),
            z_upper=np.append(pipes.z_upper, high),
            z_lower=np.append(pipes.z_lower, station.floor),
            diameter=np.append(pipes.diameter, line.pipe.inside),
            conveyance=np.append(pipes.conveyance, full),
            length=np.append(pipes.length, max(line.length, 0.1)),
            outfall=np.append(pipes.outfall, FREE),
        )
    )


def _shut(network: Network, plant: Plant, failure: Failure) -> NDArray[np.bool_]:
    """Pipes that are closed at the discharge point; those that the network does not name are remedies, and stay."""
    closed = np.zeros(plant.pipes.upper.size, np.bool_)
    closed[: network.at_discharge.size] = network.at_discharge & failure.blocked
    return closed


def opened(plant: Plant, house: Whole, slab: float) -> Plant:
    """The plant with a wide crest at the slab at each place of the house: what stands higher runs in and is gone.

    Where the slab lies under the bottom of such a place all that comes there runs in, and no more than comes.
    """
    rows = plant.overland
    count = len(house)
    return plant._replace(
        overland=Overland(
            source=np.append(rows.source, house).astype(np.int64),
            target=np.append(rows.target, np.full(count, -1)).astype(np.int64),
            crest=np.append(rows.crest, np.maximum(slab, plant.stores.stage[house, 0])),
            width=np.append(rows.width, np.full(count, INTO_HOUSE)),
        )
    )


def watching(plant: Plant, node: int, level: float) -> Plant:
    """The plant with one more level watched for, after the others."""
    watches = plant.watches
    return plant._replace(
        watches=Watches(node=np.append(watches.node, node).astype(np.int64), level=np.append(watches.level, level))
    )


def joined(first: Run, second: Run) -> Run:
    """Two runs, the second stepped on from the end of the first, as one."""
    higher = second.highest > first.highest
    return Run(
        state=second.state,
        highest=np.maximum(first.highest, second.highest),
        highest_at=np.where(higher, second.highest_at, first.highest_at),
        through_pipes=first.through_pipes + second.through_pipes,
        through_grates=first.through_grates + second.through_grates,
        over=first.over + second.over,
        seeped=first.seeped + second.seeped,
        soaked=first.soaked + second.soaked,
        pumped=first.pumped + second.pumped,
        pump_seconds=first.pump_seconds + second.pump_seconds,
        second_seconds=first.second_seconds + second.second_seconds,
        starts=np.vstack([first.starts, second.starts]),
        start_count=first.start_count + second.start_count,
        reached=np.minimum(first.reached, second.reached),
        above=first.above + second.above,
        trace=np.vstack([first.trace, second.trace[1:]]),
        totals=first.totals + second.totals,
    )


def parted(forcing: Forcing, time: float) -> tuple[Forcing, Forcing]:
    """A forcing cut in two at a time within it."""
    edges = forcing.edges
    place = int(np.searchsorted(edges, time, side="left"))  # first edge at or after
    rows = min(max(place, 1), len(edges) - 1)
    before = forcing._replace(
        edges=np.append(edges[:rows], time), inflow=forcing.inflow[:rows], shift=forcing.shift[:rows]
    )
    start = rows if math.isclose(edges[rows], time, abs_tol=1e-9) else rows - 1
    after = forcing._replace(
        edges=np.append(time, edges[start + 1 :]), inflow=forcing.inflow[start:], shift=forcing.shift[start:]
    )
    return before, after


__all__ = ["INTO_HOUSE", "Failure", "Group", "failed", "joined", "opened", "parted", "watching"]
