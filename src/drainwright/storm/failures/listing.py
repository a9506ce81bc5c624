"""Which failures a system can have, and the worst of those that can strike one place or another."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from drainwright.job.values import Basis
from drainwright.quantities import percent, write
from drainwright.storm.failures.failure import Failure
from drainwright.storm.failures.moment import worst_moment
from drainwright.storm.failures.more_water import beyond_the_boundary, leaders_added, wetter_ground
from drainwright.storm.failures.running import SEARCHING, Setup, Stepped, stepped
from drainwright.storm.pump_tables import battery_time
from drainwright.system.model import LiftStation

DEAD = "pump dead"
BEFORE_PEAK = 900.0  # a cut from so long before the inflow's peak is tried in any case [s]
SETTLES = 1800.0  # after the power is back the water at the house has passed its height [s]
ROOTED = 0.2  # share of its conveyance that roots leave a run: assumed, no source [-]
DRY_RUN = 3600.0  # a pump that runs dry so long is taken as burnt out: common practice, no source [s]


def pump_failures(setup: Setup) -> list[Failure]:
    """Each station's pump dead from the start."""
    several = len(setup.system.stations) > 1
    return [
        Failure(
            key=f"{DEAD}: {station.name}" if several else DEAD,
            title=f"Pump of {station.name} dead from the start" if several else "Pump dead from the start",
            group="pump",
            at=0.0,
            pump_dead=station.name,
            clogging=setup.site.job.criteria.grate_clogging,
        )
        for station in setup.system.stations
    ]


def power_cut(setup: Setup) -> Failure:
    """The power out for the criteria's hours, from the moment at which that raises the water at the house most."""
    criteria = setup.site.job.criteria
    length, usual = criteria.power_cut, criteria.grate_clogging
    peak = _peak(setup)
    also = max(0.0, peak - BEFORE_PEAK)
    hours = f"{length / 3600.0:g} h"

    def out(start: float, end: float) -> Failure:
        return Failure(
            key="power out", title="", group="power", at=start, cut=(start, end), clogging=usual
        )  # fmt: skip

    storm_ends = float(setup.storm.times[-1] + setup.storm.step)

    def highest(start: float) -> float:
        ends = min(setup.horizon, max(storm_ends, start + length + SETTLES))
        ran = stepped(setup, out(start, start + length), horizon=ends, keep=False, tolerance=SEARCHING)
        return _level(ran, setup)

    start = also
    if setup.network.house.size and length > 0.0:
        forever = _level(stepped(setup, out(0.0, setup.horizon), keep=False, tolerance=SEARCHING), setup)
        most = forever if not any(battery_time(setup.site, one) for one in setup.system.stations) else math.inf
        last = max(also, storm_ends - 0.5 * length, peak)
        start, _ = worst_moment(highest, max(0.0, min(also, peak - length)), last, also, most)
    when = "from the start of the storm" if start <= 0.0 else f"from {_clock(start)} into the storm"
    title = f"Power out for {hours} at the worst moment, {when}"
    return replace(out(start, start + length), title=title)


def _level(ran: Stepped, setup: Setup) -> float:
    """Highest water at the house, endlessly low where all is dry there. [m]"""
    highest = ran.at_house(setup.network)
    return -math.inf if highest is None else highest


def _peak(setup: Setup) -> float:
    """When most surface water comes in [s]."""
    total = np.zeros(len(setup.storm.times))
    for entry, series in setup.entering.items():
        total += series[: len(total)] if entry in setup.network.entries else 0.0
    return float(setup.storm.times[int(np.argmax(total))])


def _clock(seconds: float) -> str:
    minutes = round(seconds / 60.0)
    return f"{minutes} min" if minutes < 120 else f"{minutes // 60} h {minutes % 60:02} min"


def further(setup: Setup, sound: Stepped) -> list[Sequence[Failure]]:
    """The failures besides the first five; of each group of alternatives only the worst is to be told.

    Parameters
    ----------
    setup : Setup
        The storm and the plant.
    sound : Stepped
        The sound case with its trace: when its pumps first stop.

    Returns
    -------
    list of sequence of Failure
        Those that the system can have.
    """
    found: list[Sequence[Failure]] = []
    usual, network, system = setup.site.job.criteria.grate_clogging, setup.network, setup.system
    for station in system.stations:
        found += [[one] for one in _of_pump(setup, station, sound)]
    inlets = [network.names[node] for node in network.plant.grates.body]
    found.append([
        Failure(key="grate shut", title=f"The grate of {name} wholly covered by leaves", group="leaves and roots",
                at=0.0, shut=name, clogging=usual)
        for name in inlets
    ])  # fmt: skip
    found.append([
        Failure(key="roots", title=f"Roots in {name}: it carries {percent(ROOTED)} of what it did",
                group="leaves and roots", at=0.0, roots=(name, ROOTED), clogging=usual,
                note=f"the {percent(ROOTED)} is assumed")
        for name in network.runs
        if system.run(name).duty != "overflow"
    ])  # fmt: skip
    units = setup.site.job.units
    found.append([
        Failure(key="leader added", group="more water", at=0.0, added=added, clogging=usual,
                title=f"As much again comes from the downspout {name}" if twice else f"The downspout {name} led in too",
                note="it is led to the nearest place of the system" if not twice else "as if a roof as large came in")
        for name, added, twice in leaders_added(setup.site, setup.inflows, system, network, setup.storm,
                                                       setup.horizon)
    ])  # fmt: skip
    ratio = wetter_ground(setup.site, setup.inflows)
    if ratio is not None and network.plant.ground.a.size:
        found.append([
            Failure(key="soil twice as open", title="The soil lets twice as much water through as taken",
                    group="more water", at=0.0, wetter=ratio, clogging=usual,
                    note=f"{ratio:.2f} times the seepage: each drain's inflow and its reach are reckoned anew")
        ])  # fmt: skip
    beyond = beyond_the_boundary(setup.site, setup.inflows, network, setup.entering)
    if beyond is not None:
        area = write(beyond.area, "area", units)
        assumed = " (assumed)" if beyond.basis is Basis.ASSUMED else ""
        found.append([
            Failure(key="neighbour's water", title=f"{area} of ground beyond the boundary{assumed} shed onto the lot",
                    group="more water", at=0.0, added=((beyond.node, beyond.series),), clogging=usual,
                    note=beyond.note)
        ])  # fmt: skip
    return [group for group in found if group]


def _of_pump(setup: Setup, station: LiftStation, sound: Stepped) -> list[Failure]:
    """A leaking check valve, and a plugged relief hole, of one station."""
    network, usual = setup.network, setup.site.job.criteria.grate_clogging
    place = network.stations.index(station.name)
    basin = setup.site.job.works.basin_named(station.name)
    of = f" of {station.name}" if len(network.stations) > 1 else ""
    mark = f": {station.name}" if of else ""
    line = setup.system.run(station.discharge_run)
    holds = math.pi / 4.0 * line.pipe.inside**2 * line.length
    found = []
    if (basin is None or basin.check_valve) and holds > station.drain_back:
        found.append(
            Failure(key=f"check valve leaks{mark}", title=f"The check valve{of} leaks: its line runs back at each stop",
                    group="pump", at=0.0, leaking=(station.name, holds), clogging=usual)
        )  # fmt: skip
    stop = first_stop(network.plant.stations.node.size, place, len(network.names), sound.run.trace)
    if stop is not None and (basin is None or basin.relief_hole is not None):
        found.append(
            Failure(key=f"relief hole plugged{mark}",
                    title=f"The relief hole{of} is plugged: from its first stop the pump runs and lifts nothing",
                    group="pump", at=stop, locked=station.name, clogging=usual)
        )  # fmt: skip
    return found


def first_stop(
    stations: int, place: int, nodes: int, trace: np.ndarray[tuple[int, int], np.dtype[np.float64]]
) -> float | None:
    """When a station's pump first stops after it has run; None: it never does [s]."""
    lifted = trace[:, trace.shape[1] - 2 * stations + 2 * place + 1] > 0.0
    stops = np.flatnonzero(lifted[:-1] & ~lifted[1:])
    return float(trace[stops[0], 0]) if stops.size else None


__all__ = ["BEFORE_PEAK", "DEAD", "DRY_RUN", "ROOTED", "first_stop", "further", "power_cut", "pump_failures"]
