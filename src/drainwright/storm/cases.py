"""The storm test: the storm with everything sound, and with each failure."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from drainwright.field.model import Site
from drainwright.storm.engine.plant import FAR, IN, NEVER, OUT, Plant, Run
from drainwright.storm.engine.ready import forcing_of, state_of
from drainwright.storm.model import NodeStorm, Series, StationStorm, Storm, StormCase, StormTest
from drainwright.storm.network import Network, build_network, slab_level
from drainwright.storm.series import inflow_series, storm_of
from drainwright.system.model import System
from drainwright.water.model import Inflows

DEAD = "pump dead"
BEFORE_PEAK = 900.0  # the power goes this long before the inflow's peak [s]
AFTER = 7200.0  # the test goes on this long after the storm, and after the power is back [s]
TOLERANCE = 0.0005  # greatest error of a level in one step [m]
TRACE = 2000  # points kept of a trace
LONGEST = 72 * 3600.0  # a case in which the water at the house still rises is carried on so long [s]
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
    it runs on over the ground: to the next pond, or to the house, off the lot or out of sight, and is lost. Pipes
    carry Manning's flow at the depth of the feeding end, by the difference of level where the far end is under water;
    inertia is left out. The ground beside a footing drain is a row of stores out to the far water table, which gives
    the steady seepage, fills as the drain backs up at its lower end, and takes water back where the drain stands
    higher. A soakaway fills, soaks by its level and backs up its pipe; a pumped line that ends at one leads out.
    Surface water is as in ``drainwright.storm.series``. Pumps follow the data-sheet and the line's losses at each
    level; both stop at the off level; the line runs back at each stop. Starts are those of the first pump, run seconds
    those of both. A battery, where there is one, carries the pump through a power cut while it lasts. The basin starts
    at its off level, all else empty.

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
    if network.plant.grates.pond.size:
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


@dataclass(frozen=True, slots=True, kw_only=True)
class _Stepped:
    """What the stepper gives, and the plant that it was given."""

    plant: Plant
    run: Run

    @property
    def slab_at(self) -> float | None:
        """When the water at the house first reached the slab, from the start; None: not [s]."""
        first = float(np.min(self.run.reached, initial=NEVER))
        return first if first < NEVER else None

    def at_house(self, network: Network) -> float:
        """Highest water at the house [m]."""
        return float(np.max(self.run.highest[network.house]))

    def still_rises(self, network: Network) -> bool:
        """Whether some water at the house is highest at the end of the record, the slab not reached."""
        if self.slab_at is not None or not network.house.size:
            return False
        return bool(np.any(self.run.highest_at[network.house] >= self.run.state.clock[0] - 1.0))

    def rise(self, before: _Stepped, network: Network) -> float:
        """Greatest rise of the water at the house from an earlier end, a basin that fills below its drains too. [m]"""
        return float(np.max(self.run.highest[network.house] - before.run.highest[network.house]))


def failed_plant(network: Network, system: System, failure: Failure) -> Plant:
    """The plant with what has failed."""
    plant = network.plant
    stations = plant.stations
    off, on, second, flow = (values.copy() for values in (stations.off, stations.on, stations.second, stations.flow))
    for place, station in enumerate(system.stations):
        if failure.pump_dead == station.name:  # the second pump, if there is one, is left
            on[place], second[place] = second[place], NEVER
            flow[place, :, 0] = network.second[place]
        if failure.blocked and stations.to[place] not in stations.node:
            flow[place] = 0.0  # none through a blocked line, but for one that ends in another basin
    closed = network.at_discharge & failure.blocked
    free = 1.0 - failure.clogging
    return plant._replace(
        pipes=plant.pipes._replace(conveyance=np.where(closed, 0.0, plant.pipes.conveyance)),
        grates=plant.grates._replace(weir=plant.grates.weir * free, orifice=plant.grates.orifice * free),
        stations=stations._replace(off=off, on=on, second=second, flow=flow),
    )


def _stepped(
    system: System,
    network: Network,
    storm: Storm,
    entering: Mapping[str, Series],
    failure: Failure,
    horizon: float,
    until: float = 0.0,
) -> _Stepped:
    """The plant stepped through the storm, and on without rain where ``until`` lies beyond the horizon."""
    from drainwright.storm.engine.stepper import step

    steps = math.ceil(horizon / storm.step - 1e-9)
    edges: Series = storm.step * np.arange(steps + 1.0)
    known = [name for name in entering if name in network.entries]  # other water is no part of the system
    inflow = np.zeros((steps, len(known)))
    for column, name in enumerate(known):
        inflow[:, column] = entering[name][:steps]
    if until > edges[-1]:  # ground water alone goes on
        edges = np.append(edges, until)
        inflow = np.vstack([inflow, np.zeros((1, len(known)))])
    plant = failed_plant(network, system, failure)
    entry = np.array([network.entries[name] for name in known], np.int64)
    forcing = forcing_of(edges, entry, inflow, cuts=(failure.cut,) if failure.cut[0] < NEVER else ())
    return _Stepped(plant=plant, run=step(plant, forcing, state_of(plant, network.start), TOLERANCE, True, False))


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
    given = (system, network, storm, entering)
    rising, stepped = 0.0, _stepped(*given, failure, horizon)
    if failure.key == "sound" or horizon >= LONGEST or not stepped.still_rises(network):
        return _told(site, system, network, failure, stepped, rising)
    least = RISING * RISE_OVER
    if stepped.rise(_stepped(*given, failure, horizon - RISE_OVER), network) >= least:
        stepped = _stepped(*given, failure, horizon, LONGEST)
        if stepped.slab_at is not None:
            stepped = _stepped(*given, failure, horizon, min(LONGEST, max(horizon, stepped.slab_at + AFTER)))
        elif np.max(network.plant.ground.far[network.plant.ground.b < 0], initial=-math.inf) > slab_level(site):
            rise = stepped.rise(_stepped(*given, failure, horizon, LONGEST - RISE_OVER), network)
            rising = rise / RISE_OVER if rise >= least else 0.0
    return _told(site, system, network, failure, stepped, rising)


def _told(site: Site, system: System, network: Network, failure: Failure, ran: _Stepped, rising: float) -> StormCase:
    """A case as it is told."""
    main, run = system.station, ran.run
    first = 0 if main is None else network.stations.index(main.name)
    trace = thinned(
        run.trace, len(network.names), None if main is None else int(network.plant.stations.node[first]), TRACE
    )
    lost = [np.sum(run.over[rows]) for rows in network.over().values()]
    stations = tuple(
        StationStorm(
            name=name,
            highest=float(run.highest[network.plant.stations.node[place]]),
            pump_starts=int(run.start_count[place]),
            pump_seconds=float(run.pump_seconds[place]),
            starts_busiest_hour=busiest_hour(run.starts[run.starts[:, 1] == place, 0]),
            pumped=float(run.pumped[place]),
            level=trace.levels[:, network.plant.stations.node[place]],
            inflow=trace.into[:, place],
            lifted=trace.lifted[:, place],
        )
        for place, name in enumerate(network.stations)
    )
    own = stations[first] if stations else None
    slab_at = ran.slab_at
    return StormCase(
        key=failure.key,
        title=failure.title,
        nodes=_nodes(network, run),
        slab_level=slab_level(site),
        highest_at_house=ran.at_house(network) if network.house.size else None,
        time_to_slab=None if slab_at is None else max(0.0, slab_at - (failure.at or 0.0)),
        failure_at=failure.at,
        pump_starts=0 if own is None else own.pump_starts,
        pump_seconds=0.0 if own is None else own.pump_seconds,
        starts_busiest_hour=0 if own is None else own.starts_busiest_hour,
        volume_in=float(run.totals[IN] + run.totals[FAR]),
        volume_out=float(run.totals[OUT]),
        volume_lost=float(sum(lost)),
        volume_stored=float(np.sum(run.state.volume) - np.sum(network.start) + np.sum(run.state.in_line)),
        times=trace.times,
        basin_level=np.empty(0) if own is None else own.level,
        inflow=trace.out if own is None else own.inflow,
        outflow=trace.out,
        stations=stations,
        carried=dict(zip(network.runs, run.through_pipes.tolist(), strict=True)),
        failed=failure.pump_dead if len(network.stations) > 1 else None,
        rising=rising,
        over_ground=_over_ground(network, run),
        _levels={name: trace.levels[:, place] for place, name in enumerate(network.names)},
    )


def _over_ground(network: Network, run: Run) -> dict[str, float]:
    """Volumes that ran over the ground, by where they went [m³]."""
    found: dict[str, float] = {}
    for to, volume in zip(network.over_to, run.over.tolist(), strict=True):
        if volume != 0.0:
            found[to] = found.get(to, 0.0) + volume
    return found


def _nodes(network: Network, run: Run) -> dict[str, NodeStorm]:
    """Each node with the pond over its grate, the higher of the two levels."""
    grates, overland = network.plant.grates, network.over()
    ponds = dict(zip(grates.body.tolist(), grates.pond.tolist(), strict=True))
    found: dict[str, NodeStorm] = {}
    for place, name in enumerate(network.names):
        if place in ponds.values() or place >= network.places:
            continue
        rim = float(network.rim[place])
        top = ponds.get(place, place)
        ponded = top != place and run.highest[top] > rim + 1e-9
        level = max(float(run.highest[place]), float(run.highest[top]) if ponded else -math.inf)
        store = network.volume(top, float(run.highest[top])) - network.volume(top, rim)
        found[name] = NodeStorm(
            node=name,
            highest=level,
            highest_at=float(run.highest_at[top if ponded and run.highest[top] >= run.highest[place] else place]),
            rim=rim,
            pond_depth=max(0.0, level - rim),
            pond_volume=max(0.0, store),
            lost=float(sum(np.sum(run.over[overland[node]]) for node in {place, top} if node in overland)),
        )
    return found


def busiest_hour(starts: Series) -> int:
    """Most starts within any 3600 s."""
    if starts.size == 0:
        return 0
    return int(np.max(np.arange(1, starts.size + 1) - np.searchsorted(starts, starts - 3600.0, side="right")))


@dataclass(frozen=True, slots=True, kw_only=True)
class Trace:
    """A trace, thinned; flows are means since the time before."""

    times: Series  # (n,) [s]
    levels: Series  # (n, nodes) [m]
    out: Series  # (n,) [m³/s]
    into: Series  # (n, stations) [m³/s]
    lifted: Series  # (n, stations) [m³/s]


def thinned(trace: Series, nodes: int, basin: int | None, most: int) -> Trace:
    """At most ``most`` points of a trace: the start, the peak, the turns of the level, and even times between.

    Peak and turns are those of the node ``basin``. Sums of the flows times the intervals keep the volumes.
    """
    times, levels = trace[:, 0], trace[:, 1 : 1 + nodes]
    kept = {0, len(times) - 1}
    if basin is not None:
        level = levels[:, basin]
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
    summed = np.cumsum(trace[:, 1 + nodes :], axis=0)[chosen]
    flows = np.vstack([np.zeros(summed.shape[1]), np.diff(summed, axis=0) / spans[:, None]])
    return Trace(
        times=times[chosen], levels=levels[chosen], out=flows[:, 0], into=flows[:, 2::2], lifted=flows[:, 3::2]
    )


__all__ = ["Failure", "Trace", "busiest_hour", "failed_plant", "run_case", "slab_level", "storm_test", "thinned"]
