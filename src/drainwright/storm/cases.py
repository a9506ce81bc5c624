"""The storm test: the storm with everything sound, and with each failure."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from drainwright.field.model import Site
from drainwright.storm.model import NodeStorm, Series, StationStorm, Storm, StormCase, StormTest
from drainwright.storm.network import Network, build_network
from drainwright.storm.pump_tables import SECOND
from drainwright.storm.series import inflow_series, storm_of
from drainwright.system.model import System
from drainwright.water.model import Inflows

NEVER = 1e30
DEAD = "pump dead"
BEFORE_PEAK = 900.0  # the power goes this long before the inflow's peak [s]
AFTER = 7200.0  # the test goes on this long after the storm, and after the power is back [s]
LEVEL_STEP = 0.005  # greatest change of a level in one step [m]
TRACE = 2000  # points kept of a trace
LONGEST = 72 * 3600.0  # a case in which the water at the house still rises is carried on so long [s]
LATER_STEP = 900.0  # of the record once rain and power cut are over [s]
RISING = 0.001 / 3600.0  # slower than this, 1 mm in an hour, the water at the house has come to rest [m/s]
RISE_OVER = 3600.0  # span over which the rise is taken [s]


@dataclass(frozen=True, slots=True, kw_only=True)
class Failure:
    """What is wrong in a case."""

    key: str
    title: str
    at: float | None = None  # [s]
    pump_dead: str | None = None  # basin
    cut: tuple[float, float] = (NEVER, NEVER)  # [s]
    blocked: bool = False
    clogging: float = 0.5  # share of the grates that is closed [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Switches:
    """Basin volumes at the float levels of the pumps that work, and what else the stepper needs, by station."""

    off: Series  # [m³]
    on: Series  # [m³]
    second: Series  # [m³]
    drain_back: Series  # [m³]
    battery: Series  # run time on the battery [s]


def storm_test(site: Site, inflows: Inflows, system: System) -> StormTest:
    """Step the system through the design storm, sound and with each failure.

    Parameters
    ----------
    site : Site
        The reduced survey, with its job.
    inflows : Inflows
        Rain, areas and groundwater.
    system : System
        The system as designed.

    Returns
    -------
    StormTest
        Cases "sound", "pump dead", "power out" (from 15 min before the peak of the inflow), "discharge blocked" and
        "grate half clogged" (half of what is free in the other cases); those that the system can have. With several
        stations each has its pump dead in turn: the worst is "pump dead", the others "pump dead: NAME".

    Raises
    ------
    InputError
        If the rain table does not cover the storm, or the lift station's figures are out of order.

    Notes
    -----
    A first, simple simulation. Each node stores water in its body, in half of every pipe that meets it, in the stone
    beside footing drains (40 % voids), and over a grate in a cone of the yard's slope up to 0.15 m deep, beyond which
    it runs off and is lost. Pipes carry Manning's flow at the depth of the feeding end, by the difference of level
    where the far end is under water; inertia is left out. Groundwater enters at the upper end of a footing drain and
    falls in a straight line to none as the water at its lower end rises to the far water table; it does not flow
    back into the ground. Surface water is as in ``drainwright.storm.series``. Pumps follow the data-sheet and the
    line's losses at each level; both stop at the off level; the line runs back at each stop. Starts are those of the
    first pump, run seconds those of both. A battery, where there is one, carries the pump through a power cut while
    it lasts. The basin starts at its off level, all else empty.

    A failure in which the water at the house, or in its basin, still rises by 1 mm in an hour or more where the record
    ends goes on without rain: to 72 h from the start, or 2 h beyond the moment at which the slab is reached. Where it
    then still rises so, towards a water table above the slab, the case is undecided and tells the rate.
    """
    storm = storm_of(site, inflows)
    network = build_network(site, inflows, system)
    criteria = site.job.criteria
    ended = float(storm.times[-1] + storm.step)
    pumped = bool(system.stations)
    entering = inflow_series(site, inflows, storm, ended + (criteria.power_cut if pumped else 0.0) + AFTER)
    total = np.zeros(len(storm.times))
    for entry, series in entering.items():
        total += series[: len(total)] if entry in network.entries else 0.0
    cut = max(0.0, float(storm.times[int(np.argmax(total))]) - BEFORE_PEAK)
    cut_ends = cut + criteria.power_cut
    horizon = max(ended, cut_ends if pumped else 0.0) + AFTER
    usual = criteria.grate_clogging
    closer = 0.5 * (1.0 + usual)
    failures = [Failure(key="sound", title="Everything working", clogging=usual)]
    if pumped:
        hours = f"{criteria.power_cut / 3600.0:g} h"
        several = len(system.stations) > 1
        failures += [
            Failure(
                key=f"{DEAD}: {station.name}" if several else DEAD,
                title=f"Pump of {station.name} dead from the start" if several else "Pump dead from the start",
                at=0.0,
                pump_dead=station.name,
                clogging=usual,
            )
            for station in system.stations
        ]
        failures += [
            Failure(
                key="power out",
                title=f"Power out for {hours} from 15 min before the peak",
                at=cut,
                cut=(cut, cut_ends),
                clogging=usual,
            ),
        ]
    failures.append(
        Failure(key="discharge blocked", title="Discharge blocked from the start", at=0.0, blocked=True, clogging=usual)
    )
    if network.pond.size:
        title = f"Grates clogged to {closer:.0%} instead of {usual:.0%}"
        failures.append(Failure(key="grate half clogged", title=title, at=0.0, clogging=closer))
    cases = [run_case(site, system, network, storm, entering, horizon, failure) for failure in failures]
    return StormTest(storm=storm, cases=_worst_first(cases) if len(system.stations) > 1 else tuple(cases))


def _worst_first(cases: Sequence[StormCase]) -> tuple[StormCase, ...]:
    """The cases, the worst of the dead pumps named as the one, ahead of the others."""
    dead = [case for case in cases if case.failed is not None]
    worst = min(dead, key=lambda case: (case.time_to_slab or math.inf, -(case.highest_at_house or -math.inf)))
    ordered = [replace(worst, key=DEAD), *(case for case in dead if case is not worst)]
    sound, *rest = (case for case in cases if case.failed is None)
    return (sound, *ordered, *rest)


def slab_level(site: Site) -> float:
    """Level at which water wets the lowest floor: its underside, or the soil of a crawl space. [m]"""
    thickness = 0.0 if site.job.house.floor_kind == "crawl space" else site.job.house.floor_thickness
    return site.floor - thickness


@dataclass(frozen=True, slots=True, kw_only=True)
class _Stepped:
    """What the stepper gives."""

    volume: Series  # [m³]
    highest: Series  # [m]
    highest_at: Series  # [s]
    lost: Series  # [m³]
    carried: Series  # [m³]
    rows: Series
    starts: Series
    told: Series
    volume_in: float  # [m³]
    volume_out: float  # [m³]
    slab_at: float | None  # from the start; None: not reached [s]

    def at_house(self, network: Network) -> float:
        """Highest water at the house [m]."""
        return float(np.max(self.highest[network.house]))

    def still_rises(self, network: Network) -> bool:
        """Whether some water at the house is highest at the end of the record, the slab not reached."""
        if self.slab_at is not None or not network.house.size or not self.rows.size:
            return False
        return bool(np.any(self.highest_at[network.house] >= self.rows[-1, 0]))

    def rise(self, before: _Stepped, network: Network) -> float:
        """Greatest rise of the water at the house from an earlier end, a basin that fills below its drains too. [m]"""
        return float(np.max(self.highest[network.house] - before.highest[network.house]))


def _stepped(
    site: Site,
    system: System,
    network: Network,
    storm: Storm,
    entering: Mapping[str, Series],
    failure: Failure,
    horizon: float,
    until: float = 0.0,
) -> _Stepped:
    """The volumes stepped through the storm, and on without rain where ``until`` lies beyond the horizon."""
    from drainwright.storm.kernel import step_storm

    steps = math.ceil(horizon / storm.step - 1e-9)
    edges = storm.step * np.arange(steps + 1)
    inflow = np.zeros((steps, len(network.names)))
    for entry, series in entering.items():
        if entry in network.entries:  # water of an entry that is no part of the system goes its own way
            inflow[:, network.entries[entry]] += series[:steps]
    breaks = [time for time in failure.cut if 0.0 < time < edges[-1]]
    grid = np.unique(np.concatenate([edges, breaks]))
    inflow = inflow[np.clip(np.searchsorted(edges, grid[:-1], side="right") - 1, 0, steps - 1)]
    if until > edges[-1]:  # ground water alone goes on
        more = math.ceil((until - edges[-1]) / LATER_STEP - 1e-9)
        grid = np.concatenate([grid, np.linspace(edges[-1], until, more + 1)[1:]])
        inflow = np.concatenate([inflow, np.zeros((more, len(network.names)))])
    switches, flows = _switches(site, system, network, failure)
    closed = network.at_discharge & failure.blocked
    free = 1.0 - failure.clogging
    volume, highest, highest_at, lost, carried, rows, starts, told, totals = step_storm(
        network.stage, network.stored, network.start, network.rim, network.spill_width,
        network.upper, network.lower, network.z_upper, network.z_lower, network.diameter,
        np.where(closed, 0.0, network.conveyance), network.length, network.outfall, network.share,
        network.pond, network.body, network.weir * free, network.orifice * free,
        network.seep_node, network.seep_by, network.seep_flow, network.seep_drain, network.seep_far,
        grid, inflow,
        network.basin, switches.off, switches.on, switches.second, network.pump_levels, flows, network.shared,
        network.pump_to, switches.drain_back, *failure.cut, switches.battery,
        network.house, slab_level(site), failure.at or 0.0, LEVEL_STEP,
    )  # fmt: skip
    volume_in, volume_out, slab_at, _, _ = (float(value) for value in totals)
    return _Stepped(
        volume=volume, highest=highest, highest_at=highest_at, lost=lost, carried=carried, rows=rows, starts=starts,
        told=told, volume_in=volume_in, volume_out=volume_out, slab_at=slab_at if slab_at >= 0.0 else None,
    )  # fmt: skip


def run_case(
    site: Site,
    system: System,
    network: Network,
    storm: Storm,
    entering: Mapping[str, Series],
    horizon: float,
    failure: Failure,
) -> StormCase:
    """One run of the storm; a failure is carried on where the water at the house still rises at its end."""
    given = (site, system, network, storm, entering)
    rising, stepped = 0.0, _stepped(*given, failure, horizon)
    if failure.key == "sound" or horizon >= LONGEST or not stepped.still_rises(network):
        return _told(site, system, network, failure, stepped, rising)
    least = RISING * RISE_OVER
    if stepped.rise(_stepped(*given, failure, horizon - RISE_OVER), network) >= least:
        stepped = _stepped(*given, failure, horizon, LONGEST)
        if stepped.slab_at is not None:
            stepped = _stepped(*given, failure, horizon, min(LONGEST, max(horizon, stepped.slab_at + AFTER)))
        elif np.max(network.seep_far, initial=-math.inf) > slab_level(site):
            rise = stepped.rise(_stepped(*given, failure, horizon, LONGEST - RISE_OVER), network)
            rising = rise / RISE_OVER if rise >= least else 0.0
    return _told(site, system, network, failure, stepped, rising)


def _told(site: Site, system: System, network: Network, failure: Failure, ran: _Stepped, rising: float) -> StormCase:
    """A case as it is told."""
    main = system.station
    first = 0 if main is None else network.stations.index(main.name)
    times, columns = thinned(ran.rows, network, first, TRACE)
    stations = tuple(
        StationStorm(
            name=name,
            highest=float(ran.highest[network.basin[place]]),
            pump_starts=int(np.sum(ran.starts[:, 1] == place)),
            pump_seconds=float(ran.told[place, 1]),
            starts_busiest_hour=busiest_hour(ran.starts[ran.starts[:, 1] == place, 0]),
            pumped=float(ran.told[place, 0]),
            level=columns[:, 1 + 3 * place],
            inflow=columns[:, 2 + 3 * place],
            lifted=columns[:, 3 + 3 * place],
        )
        for place, name in enumerate(network.stations)
    )
    own = stations[first] if stations else None
    return StormCase(
        key=failure.key,
        title=failure.title,
        nodes=_nodes(network, ran.highest, ran.highest_at, ran.lost),
        slab_level=slab_level(site),
        highest_at_house=ran.at_house(network) if network.house.size else None,
        time_to_slab=None if ran.slab_at is None else ran.slab_at - (failure.at or 0.0),
        failure_at=failure.at,
        pump_starts=0 if own is None else own.pump_starts,
        pump_seconds=0.0 if own is None else own.pump_seconds,
        starts_busiest_hour=0 if own is None else own.starts_busiest_hour,
        volume_in=ran.volume_in,
        volume_out=ran.volume_out,
        volume_lost=float(np.sum(ran.lost)),
        volume_stored=float(np.sum(ran.volume) - np.sum(network.start) + np.sum(ran.told[:, 2])),
        times=times,
        basin_level=np.empty(0) if own is None else own.level,
        inflow=columns[:, 0] if own is None else own.inflow,
        outflow=columns[:, 0],
        stations=stations,
        carried=dict(zip(network.runs, ran.carried.tolist(), strict=True)),
        failed=failure.pump_dead if len(network.stations) > 1 else None,
        rising=rising,
    )


def _switches(site: Site, system: System, network: Network, failure: Failure) -> tuple[Switches, Series]:
    """The floats, and the flows of the pumps: none through a blocked line, but for one that ends in another basin."""
    count = len(system.stations)
    off, on, second, back, battery = (np.zeros(count) for _ in range(5))
    flows = network.pump_flows.copy()
    for place, station in enumerate(system.stations):
        node = int(network.basin[place])
        off[place], on[place] = (network.volume(node, level) for level in (station.off, station.on))
        second[place] = NEVER if station.second_on is None else network.volume(node, station.second_on)
        if failure.pump_dead == station.name:  # the second pump, if there is one, is left
            on[place], second[place] = second[place], NEVER
            flows[place, :, 0] = flows[place, :, SECOND]
        basin = site.job.works.basin_named(station.name)
        cell = None if basin is None else basin.battery
        if cell is not None and cell.current > 0.0:
            battery[place] = 3600.0 * cell.capacity * cell.usable / cell.current  # Ah over A
        back[place] = station.drain_back
        if failure.blocked and network.pump_to[place] not in network.basin:
            flows[place] = 0.0
    return Switches(off=off, on=on, second=second, drain_back=back, battery=battery), flows


def _nodes(network: Network, highest: Series, highest_at: Series, lost: Series) -> dict[str, NodeStorm]:
    """Each node with the pond over its grate, the higher of the two levels."""
    over = dict(zip(network.body.tolist(), network.pond.tolist(), strict=True))
    found: dict[str, NodeStorm] = {}
    for place, name in enumerate(network.names):
        if place in over.values():
            continue
        rim = float(network.rim[place])
        top = over.get(place, place)
        ponded = top != place and highest[top] > rim + 1e-9
        level = max(float(highest[place]), float(highest[top]) if ponded else -math.inf)
        store = network.volume(top, float(highest[top])) - network.volume(top, rim)
        found[name] = NodeStorm(
            node=name,
            highest=level,
            highest_at=float(highest_at[top if ponded and highest[top] >= highest[place] else place]),
            rim=rim,
            pond_depth=max(0.0, level - rim),
            pond_volume=max(0.0, store),
            lost=float(lost[place] + (lost[top] if top != place else 0.0)),
        )
    return found


def busiest_hour(starts: Series) -> int:
    """Most starts within any 3600 s."""
    if starts.size == 0:
        return 0
    return int(np.max(np.arange(1, starts.size + 1) - np.searchsorted(starts, starts - 3600.0, side="right")))


def thinned(rows: Series, network: Network, first: int, most: int) -> tuple[Series, Series]:
    """At most ``most`` points of a trace: the start, the peak, the turns of the level, and even times between.

    Peak and turns are those of the station ``first``. The flows of a point are means since the point before, so that
    their sums times the intervals keep the volumes. Times, and columns of (out, then level, in and lifted of each
    station).
    """
    start = np.zeros(rows.shape[1] - 1)
    for place, node in enumerate(network.basin):
        start[1 + 3 * place] = np.interp(network.start[node], network.stored[node], network.stage[node])
    times = np.concatenate([[0.0], rows[:, 0]])
    columns = np.vstack([start, rows[:, 1:]])
    kept = {0, len(times) - 1}
    if network.basin.size:
        level = columns[:, 1 + 3 * first]
        kept.add(int(np.argmax(level)))
        rising = np.diff(level) > 0.0
        turns = np.flatnonzero(rising[1:] != rising[:-1]) + 1
        if turns.size < most // 2:
            kept |= set(turns.tolist())
    even = np.linspace(times[0], times[-1], max(2, most - len(kept)))
    kept |= set(np.minimum(np.searchsorted(times, even), len(times) - 1).tolist())
    chosen = np.array(sorted(kept))
    chosen = chosen[np.concatenate([[True], np.diff(times[chosen]) > 0.0])]
    spans = np.maximum(np.diff(times[chosen]), 1e-300)
    levels = [1 + 3 * place for place in range(network.basin.size)]
    flowing = [column for column in range(columns.shape[1]) if column not in levels]
    found = columns[chosen]
    summed = np.cumsum(columns[:, flowing], axis=0)[chosen]
    found[:, flowing] = np.vstack([np.zeros(len(flowing)), np.diff(summed, axis=0) / spans[:, None]])
    return times[chosen], found


__all__ = ["Failure", "busiest_hour", "run_case", "slab_level", "storm_test", "thinned"]
