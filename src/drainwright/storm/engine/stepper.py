"""The time stepper: the plant's volumes through the forcing. Arrays in, arrays out; compiled by numba.

Every store keeps a volume; its level follows from a stage-storage table, and the flows between stores from the levels.
A step is as long as the tolerance allows: its error is known from the pair of orders in ``attempt``. Where it would
leave a store with less than nothing it is done again by the implicit Euler method, and both must agree within the
tolerance. A step in which a float switches is done again so that it ends there, to a hundred-thousandth of the float
band. Nothing here is random and nothing depends on the machine's clock: same in, same out, to the last digit.
"""

from __future__ import annotations

import numpy as np

from drainwright.storm.engine.attempt import AFTER, COMING, END, LEVEL, SLOPE, START, copied, look, work_of
from drainwright.storm.engine.booking import (
    PUMPED,
    SECOND,
    SECONDS,
    STARTS,
    SUMS,
    book,
    longer,
    peaks,
    row_of,
    watch,
    watched_volumes,
)  # fmt: skip
from drainwright.storm.engine.compiling import compiled, inner
from drainwright.storm.engine.flows import LIFT
from drainwright.storm.engine.packing import Packed, Rows, laid_out, packed
from drainwright.storm.engine.plant import AWAY, FORCED, NEVER, Floats, Forcing, Plant, Run, State, Whole
from drainwright.storm.engine.repeating import pass_over, past_of, remember
from drainwright.storm.engine.trying import COARSE, MANY, SHORTEST, nearness, tried

HOPEFUL = 2.0  # times the step that was right after the last switch is tried first after the next
FULL = 1e-3  # of a line that may be wanting where it counts as full: else a shortest step fills it to rounding


@inner
def is_full(stations: Rows, s: int, in_line: Floats) -> float:
    """1: a discharge line gives what is pumped; 0: it ends in a store and fills first, but for a thousandth."""
    return 0.0 if stations[s]["to"] >= 0 and in_line[s] < (1.0 - FULL) * stations[s]["line"] else 1.0


@inner
def turned(
    plant: Packed, volume: Floats, running: Whole, powered: Whole, power_out: bool, in_line: Floats, began: Whole
) -> tuple[bool, int]:
    """Switch the pumps: whether any did, and which station stopped by its float (-1: none); first pumps that began."""
    stations = plant.stations
    switched, stopped = False, -1
    for s in range(stations.size):
        node, near, before = stations[s]["node"], nearness(stations, s), running[s]
        began[s] = 0
        if running[s] > 0 and (powered[s] == 0 or volume[node] <= stations[s]["off"] + near):
            running[s] = 0
            volume[node] += in_line[s]
            in_line[s] = 0.0
            if powered[s] > 0:
                stopped = s
        if powered[s] > 0 and running[s] == 0 and volume[node] >= stations[s]["on"] - near:
            running[s] = 1
            began[s] = 1
        if power_out:
            running[s] = min(running[s], 1)  # a battery drives one pump
        elif running[s] == 1 and volume[node] >= stations[s]["second"] - near:
            running[s] = 2
        switched = switched or running[s] != before
    return switched, stopped


def step(plant: Plant | Packed, forcing: Forcing, state: State, tolerance: float, keep: bool, repeat: bool) -> Run:
    """Step the plant through the forcing.

    Parameters
    ----------
    plant : Plant or Packed
        One that is stepped often is packed once.
    forcing : Forcing
        Its first edge is the state's time.
    state : State
        Not changed.
    tolerance : float
        Greatest error of any level in one step, above zero. [m]
    keep : bool
        Whether to keep the trace, a row at the start and after each step.
    repeat : bool
        Whether to pass over whole cycles of the pumps while the forcing does not change; see ``repeating``. The trace
        then has gaps, and ``starts`` only those that were stepped.

    Returns
    -------
    Run

    Notes
    -----
    Nothing is checked here. A run that is cut at an edge, also within a dry spell, and stepped on from its state gives
    the same figures to the last digit as stepping through, but for ``repeat``: there to the tolerance.
    """
    ready = plant if isinstance(plant, Packed) else packed(plant)
    return stepped(ready, laid_out(forcing), laid_out(state), float(tolerance), bool(keep), bool(repeat))


@compiled
def stepped(plant: Packed, forcing: Forcing, state: State, tolerance: float, keep: bool, repeat: bool) -> Run:
    """The same on the packed plant."""
    stations = plant.stations
    nodes, pumps = state.volume.size, stations.size
    work = work_of(plant)
    links = work.ends.shape[0]
    volume, running = state.volume.copy(), state.running.copy()
    in_line, left = state.in_line.copy(), state.battery.copy()
    powered, began = np.ones(pumps, np.int64), np.zeros(pumps, np.int64)
    time, wanted = state.clock[0], state.clock[1]
    settling, since_switch = abs(state.clock[2]), state.clock[2] < 0.0  # the step right after the last switch; awaited
    goals = watched_volumes(plant)
    sums = np.zeros(links + SUMS * pumps + goals.size + 6)
    by_link, by_pump = sums[:links], sums[links : links + SUMS * pumps]
    above, totals = sums[links + SUMS * pumps : sums.size - 6], sums[sums.size - 6 :]
    reached = np.full(goals.size, NEVER)
    for i in range(goals.size):
        if volume[plant.watches[i]["node"]] >= goals[i]:
            reached[i] = time
    look(plant, work, volume, running, False, 0.0, START)
    highest, highest_at = work.node[START, LEVEL].copy(), np.full(nodes, time)
    starts, begun = np.zeros((256, 2)), 0
    trace, rows = np.zeros((4096 if keep else 1, 3 + nodes + 2 * pumps)), 0
    if keep:
        trace[0, 0], rows = time, 1
        for i in range(nodes):
            trace[0, 1 + i] = work.node[START, LEVEL, i]
    past = past_of(nodes, pumps, sums.size)
    for s in range(pumps):
        work.full[s] = is_full(stations, s, in_line)
    cut, fresh, was_out = 0, True, False
    while (
        cut < forcing.cuts.shape[0] and forcing.cuts[cut, 1] <= time
    ):  # over before: batteries stand as the state says
        cut += 1
    for period in range(forcing.edges.size - 1):
        end, shift = forcing.edges[period + 1], forcing.shift[period]
        for i in range(nodes):
            work.row[COMING, i] = 0.0
        for i in range(forcing.entry.size):
            work.row[COMING, forcing.entry[i]] += forcing.inflow[period, i]
        arriving = np.sum(forcing.inflow[period])
        fresh = True
        past.stops[0] = 0
        while time < end:
            # Power, batteries and floats
            while cut < forcing.cuts.shape[0] and forcing.cuts[cut, 1] <= time:
                cut += 1
                for s in range(pumps):
                    left[s] = stations[s]["battery"]
            power_out, limit = False, end
            if cut < forcing.cuts.shape[0]:
                power_out = forcing.cuts[cut, 0] <= time
                limit = min(end, forcing.cuts[cut, 1] if power_out else forcing.cuts[cut, 0])
            for s in range(pumps):
                powered[s] = 1 if not power_out or left[s] > 0.0 else 0
            switched, stopped = turned(plant, volume, running, powered, power_out, in_line, began)
            for s in range(pumps):
                if began[s] > 0:
                    by_pump[SUMS * s + STARTS] += 1.0
                    starts = longer(starts, begun)
                    starts[begun, 0], starts[begun, 1] = time, s
                    begun += 1
            if repeat and stopped >= 0 and not power_out:
                slope = work.node[START, SLOPE]
                passed = pass_over(past, plant, stopped, running, time, limit, tolerance, slope, volume, sums)
                remember(past, stopped, running, time + passed, volume, sums)
                time += passed
                switched = switched or passed > 0.0
            for s in range(pumps):
                full = is_full(stations, s, in_line)
                switched = switched or full != work.full[s]
                work.full[s] = full
            if fresh or switched or power_out != was_out:
                look(plant, work, volume, running, power_out, shift, START)
                fresh, was_out = False, power_out
            # The step
            if switched:
                wanted, since_switch = min(wanted, HOPEFUL * settling), True
            longest = min(wanted, limit - time)
            for s in range(pumps):
                if power_out and running[s] > 0:
                    longest = min(longest, left[s])
                if work.full[s] == 0.0 and work.pump[START, LIFT, s] > 0.0:
                    needs = (stations[s]["line"] - in_line[s]) / work.pump[START, LIFT, s]
                    longest = min(longest, max(needs, SHORTEST))
            shortest = SHORTEST if totals[FORCED] < MANY else COARSE
            h, ahead, refused, forced = tried(
                plant, work, volume, running, powered, power_out, shift, longest, shortest, tolerance
            )
            totals[FORCED] += 1.0 if forced else 0.0
            whole = h == limit - time
            if since_switch and (refused or h == wanted):
                settling, since_switch = h, False
            if refused or h == wanted or ahead > wanted:
                wanted = ahead
            gone = totals[AWAY]
            out = book(plant, work, running, in_line, left, power_out, h, arriving, by_link, by_pump, totals)
            peaks(work, volume, time, h, tolerance, highest, highest_at)
            watch(plant.watches, work, goals, volume, time, h, tolerance, reached, above)
            time = limit if whole else time + h
            if keep:
                trace = longer(trace, rows)
                row_of(plant, work, volume, time, out, totals[AWAY] - gone, trace[rows])
                rows += 1
            for i in range(nodes):
                volume[i] = max(work.row[AFTER, i], 0.0)  # but for rounding, less than nothing is refused
            copied(work, END, START)
    grates = plant.pipes.size
    over = grates + plant.grates.size
    ground = over + plant.overland.size
    soak = ground + plant.ground.size
    return Run(
        State(volume, running, in_line, left, np.array([time, wanted, -settling if since_switch else settling])),
        highest, highest_at,
        by_link[:grates].copy(), by_link[grates:over].copy(), by_link[over:ground].copy(),
        by_link[ground:soak].copy(), by_link[soak:].copy(), by_pump[PUMPED::SUMS].copy(), by_pump[SECONDS::SUMS].copy(),
        by_pump[SECOND::SUMS].copy(), starts[:begun], by_pump[STARTS::SUMS].copy(), reached, above.copy(), trace[:rows],
        totals.copy(),
    )  # fmt: skip


__all__ = ["step", "stepped"]
