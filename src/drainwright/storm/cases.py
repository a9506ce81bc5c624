"""The storm test: the storm with everything sound, and with each failure."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from drainwright.field.model import Site
from drainwright.job.works import Basin
from drainwright.storm.model import NodeStorm, Series, Storm, StormCase, StormTest
from drainwright.storm.network import Network, build_network
from drainwright.storm.series import inflow_series, storm_of
from drainwright.system.model import System
from drainwright.water.model import Inflows

NEVER = 1e30
BEFORE_PEAK = 900.0  # the power goes this long before the inflow's peak [s]
AFTER = 7200.0  # the test goes on this long after the storm, and after the power is back [s]
LEVEL_STEP = 0.005  # greatest change of a level in one step [m]
TRACE = 2000  # points kept of a trace


@dataclass(frozen=True, slots=True, kw_only=True)
class Failure:
    """What is wrong in a case."""

    key: str
    title: str
    at: float | None = None  # [s]
    pump_dead: bool = False
    cut: tuple[float, float] = (NEVER, NEVER)  # [s]
    blocked: bool = False
    clogging: float = 0.5  # share of the grates that is closed [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Switches:
    """Basin volumes at the float levels of the pumps that work, and what else the stepper needs to know of them."""

    off: float  # [m³]
    on: float  # [m³]
    second: float  # [m³]
    drain_back: float  # [m³]
    battery: float  # run time on the battery [s]


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
        "grate half clogged" (half of what is free in the other cases); those that the system can have.

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
    """
    storm = storm_of(site, inflows)
    network = build_network(site, inflows, system)
    criteria = site.job.criteria
    ended = float(storm.times[-1] + storm.step)
    pumped = system.station is not None
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
        failures += [
            Failure(key="pump dead", title="Pump dead from the start", at=0.0, pump_dead=True, clogging=usual),
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
    return StormTest(
        storm=storm,
        cases=tuple(run_case(site, system, network, storm, entering, horizon, failure) for failure in failures),
    )


def slab_level(site: Site) -> float:
    """Level at which water wets the lowest floor: its underside, or the soil of a crawl space. [m]"""
    thickness = 0.0 if site.job.house.floor_kind == "crawl space" else site.job.house.floor_thickness
    return site.floor - thickness


def run_case(
    site: Site,
    system: System,
    network: Network,
    storm: Storm,
    entering: Mapping[str, Series],
    horizon: float,
    failure: Failure,
) -> StormCase:
    """One run of the storm."""
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
    switches, flows = _switches(site, system, network, failure)
    closed = network.at_discharge & failure.blocked
    slab, free = slab_level(site), 1.0 - failure.clogging
    volume, highest, highest_at, lost, rows, starts, totals = step_storm(
        network.stage, network.stored, network.start, network.rim, network.spill_width,
        network.upper, network.lower, network.z_upper, network.z_lower, network.diameter,
        np.where(closed, 0.0, network.conveyance), network.length, network.outfall, network.share,
        network.pond, network.body, network.weir * free, network.orifice * free,
        network.seep_node, network.seep_by, network.seep_flow, network.seep_drain, network.seep_far,
        grid, inflow,
        network.basin, switches.off, switches.on, switches.second, network.pump_levels, flows, network.pump_to,
        switches.drain_back, *failure.cut, switches.battery,
        network.house, slab, failure.at or 0.0, LEVEL_STEP,
    )  # fmt: skip
    volume_in, volume_out, _, seconds, in_line, slab_at, _, _ = (float(value) for value in totals)
    times, level, arriving, leaving = thinned(rows, network, TRACE)
    return StormCase(
        key=failure.key,
        title=failure.title,
        nodes=_nodes(network, highest, highest_at, lost),
        slab_level=slab,
        highest_at_house=float(np.max(highest[network.house])) if network.house.size else None,
        time_to_slab=slab_at - (failure.at or 0.0) if slab_at >= 0.0 else None,
        failure_at=failure.at,
        pump_starts=len(starts),
        pump_seconds=seconds,
        starts_busiest_hour=busiest_hour(starts),
        volume_in=volume_in,
        volume_out=volume_out,
        volume_lost=float(np.sum(lost)),
        volume_stored=float(np.sum(volume) - np.sum(network.start)) + in_line,
        times=times,
        basin_level=level if network.basin >= 0 else np.empty(0),
        inflow=arriving,
        outflow=leaving,
    )


def _switches(site: Site, system: System, network: Network, failure: Failure) -> tuple[Switches, Series]:
    station = system.station
    if station is None:
        return Switches(off=0.0, on=NEVER, second=NEVER, drain_back=0.0, battery=0.0), network.pump_flows
    off, on = (network.volume(network.basin, level) for level in (station.off, station.on))
    second = network.volume(network.basin, station.second_on) if station.second_on is not None else NEVER
    if failure.pump_dead:  # the second pump, if there is one, is left
        on, second = second, NEVER
    basin = site.job.works.basin
    cell = basin.battery if isinstance(basin, Basin) else None
    hours = cell.capacity * cell.usable / cell.current if cell is not None and cell.current > 0.0 else 0.0  # Ah over A
    flows = np.zeros_like(network.pump_flows) if failure.blocked else network.pump_flows
    return Switches(off=off, on=on, second=second, drain_back=station.drain_back, battery=3600.0 * hours), flows


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


def thinned(rows: Series, network: Network, most: int) -> tuple[Series, Series, Series, Series]:
    """At most ``most`` points of a trace: the start, the peak, the turns of the level, and even times between.

    The flows of a point are means since the point before, so that their sums times the intervals keep the volumes.
    """
    start = network.stage[0, 0] if network.stage.size else 0.0
    if network.basin >= 0:
        place = network.basin
        start = np.interp(network.start[place], network.stored[place], network.stage[place])
    times = np.concatenate([[0.0], rows[:, 0]])
    level = np.concatenate([[start], rows[:, 1]])
    arrived = np.concatenate([[0.0], np.cumsum(rows[:, 2])])
    left = np.concatenate([[0.0], np.cumsum(rows[:, 3])])
    kept = {0, len(times) - 1, int(np.argmax(level))}
    rising = np.diff(level) > 0.0
    turns = np.flatnonzero(rising[1:] != rising[:-1]) + 1
    if turns.size < most // 2:
        kept |= set(turns.tolist())
    even = np.linspace(times[0], times[-1], max(2, most - len(kept)))
    kept |= set(np.minimum(np.searchsorted(times, even), len(times) - 1).tolist())
    chosen = np.array(sorted(kept))
    chosen = chosen[np.concatenate([[True], np.diff(times[chosen]) > 0.0])]
    spans = np.maximum(np.diff(times[chosen]), 1e-300)
    return (
        times[chosen],
        level[chosen],
        np.concatenate([[0.0], np.diff(arrived[chosen]) / spans]),
        np.concatenate([[0.0], np.diff(left[chosen]) / spans]),
    )


__all__ = ["Failure", "busiest_hour", "run_case", "slab_level", "storm_test", "thinned"]
