"""The storm test: the storm with everything sound, and with each failure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from drainwright.field.model import Site
from drainwright.quantities import percent
from drainwright.storm.engine.plant import FAR, IN, OUT, Run
from drainwright.storm.failures.choice import entering, floats_stuck, worst_of_each
from drainwright.storm.failures.failure import Failure
from drainwright.storm.failures.listing import DEAD, further, power_cut, pump_failures
from drainwright.storm.failures.running import Setup, Stepped, stepped
from drainwright.storm.failures.side_by_side import side_by_side
from drainwright.storm.model import NodeStorm, Series, Spilled, StationStorm, StormCase, StormTest
from drainwright.storm.network import Network, build_network, slab_level
from drainwright.storm.series import inflow_series, storm_of
from drainwright.system.lift.season import energy_of
from drainwright.system.model import LiftStation, System
from drainwright.water.model import Inflows
from drainwright.worksheet import quiet

AFTER = 7200.0  # the test goes on this long after the storm, and after the power is back [s]
TRACE = 2000  # points kept of a trace
LONGEST = 72 * 3600.0  # a case in which the water at the house still rises is carried on so long [s]
RISING = 0.001 / 3600.0  # slower than this, 1 mm in an hour, the water at the house has come to rest [m/s]
CREEPING = 0.00001 / 3600.0  # the same where it rises towards a water table above the slab: it slows long before [m/s]
RISE_OVER = 3600.0  # span over which the rise is taken [s]


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
        Cases "sound", "pump dead", "power out" (from the worst moment on), "discharge blocked" and "grate half
        clogged" (half of what is free in the other cases); those that the system can have. With several stations each
        has its pump dead in turn: the worst is "pump dead", the others "pump dead: NAME". The other failures stand in
        ``further``: of each kind that can strike several places, the worst.

    Raises
    ------
    InputError
        If the rain table does not cover the storm, or the lift station's figures are out of order.

    Notes
    -----
    A first, simple simulation. Each node stores water in its body, in half of every pipe that meets it, in the stone
    beside footing drains (40 % voids), and over a grate in its low spot as surveyed; where the shots are not sure of
    that, in a cone of the yard's slope up to 0.15 m deep. Beyond, and over rims, water runs on over the ground: to the
    next pond, or to the house, off the lot or out of sight, and is lost. Pipes carry Manning's flow at the depth of
    the feeding end, by the difference of level where the far end is under water;
    inertia is left out. The ground beside a footing drain is a row of stores out to the far water table, which gives
    the steady seepage, fills as the drain backs up at its lower end, and takes water back where the drain stands
    higher. A soakaway fills, soaks by its level and backs up its pipe; a pumped line that ends at one fills it.
    Surface water is as in ``drainwright.storm.series``. Pumps follow the data-sheet and the line's losses at each
    level; both stop at the off level; the line runs back at each stop. Starts are those of the first pump, run seconds
    those of both. A battery, where there is one, carries the pump through a power cut while it lasts. The basin starts
    at its off level, all else empty.

    A failure in which the water at the house, or in its basin, still rises where the record ends goes on without rain:
    to 72 h from the start, or 2 h beyond the moment at which the slab is reached. It rises where it comes up by 1 mm
    in an hour or more, or by 0.01 mm towards a water table above the slab. Where it then still rises so towards that
    water table, the case is undecided and tells the rate.
    """
    setup, whole, failures = prepared(site, inflows, system)
    sound = stepped(setup, whole)
    case_of = partial(run_case, setup)
    cases = [_told(setup, whole, sound, 0.0), *side_by_side(case_of, failures)]
    if len(system.stations) > 1:
        cases = list(_worst_first(cases))
    more = side_by_side(case_of, worst_of_each(setup, further(setup, sound)))
    return StormTest(storm=setup.storm, cases=tuple(cases), further=(*floats_stuck(system, cases), *more))


def prepared(site: Site, inflows: Inflows, system: System) -> tuple[Setup, Failure, list[Failure]]:
    """The storm and the plant; the sound case; and the failures that are told first, the cut at its worst moment."""
    storm = storm_of(site, inflows)
    network = build_network(site, inflows, system)
    criteria = site.job.criteria
    ended = float(storm.times[-1] + storm.step)
    longest = ended + (criteria.power_cut if system.stations else 0.0) + AFTER  # of a cut at the end of the storm
    setup = Setup(
        site=site, inflows=inflows, system=system, network=network, storm=storm,
        entering=inflow_series(site, inflows, storm, longest), horizon=longest,
    )  # fmt: skip
    usual = criteria.grate_clogging
    failures = pump_failures(setup)
    if system.stations:
        cut = power_cut(setup)
        failures.append(cut)
        setup = replace(setup, horizon=max(ended, cut.cut[1]) + AFTER)
    failures.append(
        Failure(key="discharge blocked", title="Discharge blocked from the start", group="way out", at=0.0,
                blocked=True, clogging=usual)
    )  # fmt: skip
    if network.plant.grates.pond.size:
        closer = 0.5 * (1.0 + usual)
        title = f"Grates clogged to {percent(closer)} instead of {percent(usual)}"
        failures.append(
            Failure(key="grate half clogged", title=title, group="leaves and roots", at=0.0, clogging=closer)
        )
    return setup, Failure(key="sound", title="Everything working", clogging=usual), failures


def _worst_first(cases: Sequence[StormCase]) -> tuple[StormCase, ...]:
    """The cases, the worst of the dead pumps named as the one, ahead of the others."""
    dead = [case for case in cases if case.failed is not None]
    worst = min(dead, key=lambda case: (case.time_to_slab or math.inf, -(case.highest_at_house or -math.inf)))
    ordered = [replace(worst, key=DEAD), *(case for case in dead if case is not worst)]
    sound, *rest = (case for case in cases if case.failed is None)
    return (sound, *ordered, *rest)


def run_case(setup: Setup, failure: Failure) -> StormCase:
    """One run of the storm; a failure is carried on where the water at the house still rises at its end."""
    network, horizon = setup.network, setup.horizon
    rising, ran = 0.0, stepped(setup, failure)
    if failure.key == "sound" or horizon >= LONGEST or not ran.still_rises(network):
        return _told(setup, failure, ran, rising)
    far = network.plant.ground.far[network.plant.ground.b < 0]
    threatens = bool(np.max(far, initial=-math.inf) > slab_level(setup.site))
    least = (CREEPING if threatens else RISING) * RISE_OVER
    if ran.rise(stepped(setup, failure, horizon=horizon - RISE_OVER, keep=False), network) >= least:
        ran = stepped(setup, failure, until=LONGEST)
        if ran.slab_at is not None:
            ran = stepped(setup, failure, until=min(LONGEST, max(horizon, ran.slab_at + AFTER)))
        elif threatens:
            rise = ran.rise(stepped(setup, failure, until=LONGEST - RISE_OVER, keep=False), network)
            rising = rise / RISE_OVER if rise >= least else 0.0
    return _told(setup, failure, ran, rising)


def _told(setup: Setup, failure: Failure, ran: Stepped, rising: float) -> StormCase:
    """A case as it is told."""
    site, system, network = setup.site, setup.system, setup.network
    main, run = system.station, ran.run
    first = 0 if main is None else network.stations.index(main.name)
    trace = thinned(
        run.trace, len(network.names), None if main is None else int(network.plant.stations.node[first]), TRACE
    )
    lost, spilled = [np.sum(run.over[rows]) for rows in network.over().values()], _spilled(network, run)
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
    slab_at, at = ran.slab_at, failure.at or 0.0
    sounded = ran.alarm_at
    return StormCase(
        key=failure.key,
        title=failure.title,
        nodes=_nodes(network, run),
        slab_level=slab_level(site),
        highest_at_house=ran.at_house(network),
        house_dry=bool(network.house.size) and ran.at_house(network) is None,
        time_to_slab=None if slab_at is None else max(0.0, slab_at - at),
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
        carried=dict(zip(network.runs, run.through_pipes[: len(network.runs)].tolist(), strict=True)),
        failed=failure.pump_dead if len(network.stations) > 1 else None,
        rising=rising,
        group=failure.group,
        above=ran.above,
        entering=None if slab_at is None else entering(setup, failure, float(run.state.clock[0])),
        alarm_to_slab=None if slab_at is None or sounded is None else max(0.0, slab_at - max(at, sounded)),
        energy=None if main is None else _energy(main, run, first, failure),
        note=failure.note,
        over_ground=_over_ground(spilled),
        spilled=spilled,
        _levels={name: trace.levels[:, place] for place, name in enumerate(network.names)},
    )


def _energy(station: LiftStation, run: Run, place: int, failure: Failure) -> float | None:
    """Drawn by the pumps of a station; where the first is dead all of it by the second [J]."""
    seconds = float(run.pump_seconds[place])
    second = seconds if failure.pump_dead == station.name else float(run.second_seconds[place])
    with quiet():
        return energy_of(station, seconds, second)


def _spilled(network: Network, run: Run) -> tuple[Spilled, ...]:
    """Water that ran over the ground, by where from and where to, the most first.

    A pond that rises over the rim of a place that spills into it runs in there: it is then the pond that spilled.
    """
    found: dict[tuple[str, tuple[str, str]], float] = {}
    sources, ponds = network.plant.overland.source.tolist(), set(network.plant.grates.pond.tolist())
    for source, way, volume in zip(sources, network.ways, run.over.tolist(), strict=True):
        place, name = network.names[source], way[1]
        place = place.removesuffix(" pond") if source in ponds else place
        key: tuple[str, tuple[str, str]] = (place, way)
        if volume < 0.0:
            key = (name, ("inlet" if source in ponds else "place", place))
        if volume != 0.0:
            found[key] = found.get(key, 0.0) + abs(volume)
    told = [Spilled(place=place, to=to, name=name, volume=volume) for (place, (to, name)), volume in found.items()]
    return tuple(sorted(told, key=lambda one: (-one.volume, one.place)))


def _over_ground(spilled: Sequence[Spilled]) -> dict[str, float]:
    """Volumes that ran over the ground, by where they went [m³]."""
    found: dict[str, float] = {}
    for one in spilled:
        to = f"pond {one.name}" if one.to == "inlet" else one.name if one.to == "place" else one.to
        found[to] = found.get(to, 0.0) + one.volume
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
            surveyed=None if top == place else name in network.surveyed,
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


__all__ = ["Failure", "Trace", "busiest_hour", "prepared", "run_case", "slab_level", "storm_test", "thinned"]
