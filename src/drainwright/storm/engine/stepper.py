"""The time stepper: the plant's volumes through the forcing. Arrays in, arrays out; compiled by numba.

Every store keeps a volume; its level follows from a stage-storage table, and the flows between stores from the levels.
A step is as long as the tolerance allows: its error is known from the pair of orders in ``attempt``. Where it would
leave a store with less than nothing it is done again by the implicit Euler method, and both must agree within the
tolerance. A step in which a float switches is done again so that it ends there, to a hundred-thousandth of the float
band. Nothing here is random and nothing depends on the machine's clock: same in, same out, to the last digit.
"""

from __future__ import annotations

import numpy as np

from drainwright.storm.engine.attempt import (
    AFTER,
    COMING,
    END,
    HALFWAY,
    LEVEL,
    NET,
    SLOPE,
    START,
    D,
    Work,
    attempt,
    attempt_euler,
    copied,
    look,
    work_of,
)  # fmt: skip
from drainwright.storm.engine.compiling import compiled, inner
from drainwright.storm.engine.flows import LIFT, Q
from drainwright.storm.engine.packing import Packed, Rows, packed
from drainwright.storm.engine.plant import AWAY, FAR, IN, NEVER, OUT, STEPS, Floats, Forcing, Plant, Run, State, Whole

SHORTEST = 1e-4  # [s]
EXACT = 1e-5  # of the float band within which a moment is met
LEAST = 1e-12  # [m³]
TRIES = 60  # at one step
PUMPED, SECONDS, STARTS = range(3)  # of each station


@inner
def hermite(part: float, start: float, end: float, rate: float, rate_end: float, h: float) -> float:
    """The cubic through both ends of a step with their slopes."""
    rest = part * (1.0 - part)
    return start + (end - start) * part * part * (3.0 - 2.0 * part) + h * rest * ((1.0 - part) * rate - part * rate_end)


@inner
def meeting(goal: float, start: float, end: float, rate: float, rate_end: float, h: float) -> float:
    """Share of a step at which the cubic meets a goal that lies between its ends, by halving."""
    low, high, rising = 0.0, 1.0, end > start
    for _ in range(50):
        middle = 0.5 * (low + high)
        if (hermite(middle, start, end, rate, rate_end, h) < goal) == rising:
            low = middle
        else:
            high = middle
    return high


@compiled
def longer(table: Floats, used: int) -> Floats:
    """The table, twice as long when it is full."""
    if used < table.shape[0]:
        return table
    taller = np.zeros((2 * used, table.shape[1]))
    taller[:used] = table
    return taller


@inner
def nearness(stations: Rows, s: int) -> float:
    """Volume within which a float of a station is met."""
    on: float = stations[s]["on"]
    off: float = stations[s]["off"]
    return LEAST if on >= NEVER else EXACT * (on - off) + LEAST


@inner
def switching(stations: Rows, work: Work, volume: Floats, running: Whole, powered: Whole, h: float) -> float:
    """Share of the step tried at which the first float switches; 1: none does before its end."""
    part = 1.0
    for s in range(stations.size):
        node, near, goal = stations[s]["node"], nearness(stations, s), -1.0
        if running[s] > 0 and work.row[AFTER, node] < stations[s]["off"] - near:
            goal = stations[s]["off"]
        elif running[s] == 0 and powered[s] > 0 and work.row[AFTER, node] > stations[s]["on"] + near:
            goal = stations[s]["on"]
        elif running[s] == 1 and work.row[AFTER, node] > stations[s]["second"] + near:
            goal = stations[s]["second"]
        if goal >= 0.0:
            rate, rate_end = work.node[START, NET, node], work.node[END, NET, node]
            part = min(part, meeting(goal, volume[node], work.row[AFTER, node], rate, rate_end, h))
    return part


@inner
def smooth(work: Work, volume: Floats, i: int, h: float, tolerance: float) -> bool:
    """Whether the cubic through the step's ends also meets its middle stage: a store that is slow beside the step."""
    rate, rate_end = work.node[START, NET, i], work.node[END, NET, i]
    there = hermite(2.0 * D, volume[i], work.row[AFTER, i], rate, rate_end, h)
    away: float = abs(there - work.row[HALFWAY, i]) * work.node[END, SLOPE, i]
    return away <= tolerance


@inner
def cut_short(work: Work, volume: Floats, h: float, part: float, tolerance: float) -> bool:
    """End the step tried at a share of it, by the cubics through its ends, if they serve for every store: whether so.

    Volumes follow the links' cubics exactly: no water is made.
    """
    for i in range(volume.size):
        if not smooth(work, volume, i, h, 0.5 * tolerance):
            return False
        if hermite(part, volume[i], work.row[AFTER, i], work.node[START, NET, i], work.node[END, NET, i], h) < 0.0:
            return False
    for i in range(volume.size):
        work.row[AFTER, i] = hermite(
            part, volume[i], work.row[AFTER, i], work.node[START, NET, i], work.node[END, NET, i], h
        )
    for i in range(work.flux.size):
        work.flux[i] = hermite(part, 0.0, work.flux[i], work.link[START, Q, i], work.link[END, Q, i], h)
    for s in range(work.lift.size):
        work.lift[s] = hermite(part, 0.0, work.lift[s], work.pump[START, LIFT, s], work.pump[END, LIFT, s], h)
    return True


@inner
def tried(
    plant: Packed, work: Work, volume: Floats, running: Whole, powered: Whole, power_out: bool, shift: float,
    longest: float, tolerance: float,
) -> tuple[float, float]:  # fmt: skip
    """The step that is right, and ends where a float switches: its length, and the length to try next."""
    h, wanted = longest, longest
    for tries in range(TRIES + 1):
        final = tries == TRIES or h <= SHORTEST
        wrong, lowest = attempt(plant, work, volume, running, power_out, shift, h, tolerance)
        order = 1.0 / 3.0
        if lowest < -LEAST:
            wrong, lowest = attempt_euler(plant, work, volume, running, power_out, shift, h, tolerance)
            order = 0.5
        if not final and (lowest < -LEAST or not wrong <= tolerance):
            shrink = 0.5 if lowest < -LEAST else max(0.2, 0.9 * (tolerance / wrong) ** order)
            h = max(SHORTEST, h * shrink)
            wanted = h
            continue
        part = switching(plant.stations, work, volume, running, powered, h)
        if part < 1.0 and not final:
            if part * h > SHORTEST and cut_short(work, volume, h, part, tolerance):
                look(plant, work, work.row[AFTER], running, power_out, shift, END)
                return part * h, wanted
            h = max(SHORTEST, part * h)
            continue
        if h == wanted:
            wanted = h * min(5.0, 0.9 * (tolerance / max(wrong, 1e-30)) ** order)
        return h, wanted
    return h, wanted


@inner
def turned(
    plant: Packed, volume: Floats, running: Whole, powered: Whole, in_line: Floats, began: Whole
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
        if powered[s] > 0 and running[s] == 1 and volume[node] >= stations[s]["second"] - near:
            running[s] = 2
        switched = switched or running[s] != before
    return switched, stopped


@compiled
def watched_volumes(plant: Packed) -> Floats:
    """Volume of its store at each level watched for."""
    found = np.zeros(plant.watches.size)
    for i in range(found.size):
        stage, stored = plant.stage[plant.watches[i]["node"]], plant.stored[plant.watches[i]["node"]]
        cell = min(max(np.searchsorted(stage, plant.watches[i]["level"]) - 1, 0), stage.size - 2)
        rise = (stored[cell + 1] - stored[cell]) / (stage[cell + 1] - stage[cell])
        found[i] = stored[cell] + rise * (plant.watches[i]["level"] - stage[cell])
    return found


@inner
def peaks(
    work: Work, volume: Floats, time: float, h: float, tolerance: float, highest: Floats, highest_at: Floats
) -> None:
    """Highest levels: at the end of the step, and within it where a store turns slowly."""
    for i in range(volume.size):
        if work.node[END, LEVEL, i] > highest[i]:
            highest[i], highest_at[i] = work.node[END, LEVEL, i], time + h
        rate, rate_end = work.node[START, NET, i], work.node[END, NET, i]
        if rate > 0.0 and rate_end < 0.0 and smooth(work, volume, i, h, tolerance):
            part = rate / (rate - rate_end)
            top = hermite(part, volume[i], work.row[AFTER, i], rate, rate_end, h)
            if top > work.row[AFTER, i] and top > volume[i]:
                level = work.node[END, LEVEL, i] + (top - work.row[AFTER, i]) * work.node[END, SLOPE, i]
                if level > highest[i]:
                    highest[i], highest_at[i] = level, time + part * h


@inner
def watch(
    watches: Rows, work: Work, goals: Floats, volume: Floats, time: float, h: float, tolerance: float, reached: Floats,
    above: Floats,
) -> None:  # fmt: skip
    """Moments and times at which watched levels are reached."""
    for i in range(goals.size):
        node, goal = watches[i]["node"], goals[i]
        end = work.row[AFTER, node]
        before, after = volume[node] >= goal, end >= goal
        if not before and not after:
            continue
        share = 1.0
        if before != after:
            if smooth(work, volume, node, h, tolerance):
                part = meeting(goal, volume[node], end, work.node[START, NET, node], work.node[END, NET, node], h)
            else:
                part = (goal - volume[node]) / (end - volume[node])
            share = 1.0 - part if after else part
            if after and reached[i] >= NEVER:
                reached[i] = time + part * h
        above[i] += share * h


@inner
def book(
    plant: Packed, work: Work, running: Whole, in_line: Floats, left: Floats, power_out: bool, h: float,
    arriving: float, by_link: Floats, by_pump: Floats, totals: Floats,
) -> float:  # fmt: skip
    """Add what a step moved to the sums; the volume that went out in it."""
    pipes, stations = plant.pipes.size, plant.stations
    over = pipes + plant.grates.size
    ground = over + plant.overland.size
    soak = ground + plant.ground.size
    out, away = 0.0, 0.0
    for i in range(by_link.size):
        by_link[i] += work.flux[i]
        if work.ends[i, 1] < 0:
            if over <= i < ground:
                away += work.flux[i]
            elif ground <= i < soak:
                totals[FAR] -= work.flux[i]
            else:
                out += work.flux[i]
    for s in range(stations.size):
        if running[s] > 0:
            by_pump[3 * s + PUMPED] += work.lift[s]
            by_pump[3 * s + SECONDS] += h * running[s]
            if power_out:
                left[s] -= h
                if left[s] < SHORTEST:
                    left[s] = 0.0
            if stations[s]["to"] < 0:
                fills = min(stations[s]["line"] - in_line[s], work.lift[s])
                in_line[s] += fills
                out += work.lift[s] - fills
    totals[OUT] += out
    totals[AWAY] += away
    totals[IN] += arriving * h
    totals[STEPS] += 1.0
    return out


@inner
def row_of(plant: Packed, work: Work, volume: Floats, time: float, out: float, away: float, row: Floats) -> None:
    """A row of the trace: time, levels, volumes out and away, then into each basin and lifted from it."""
    nodes = volume.size
    row[0] = time
    for i in range(nodes):
        row[1 + i] = work.node[END, LEVEL, i]
    row[1 + nodes], row[2 + nodes] = out, away
    over = plant.pipes.size + plant.grates.size
    for s in range(plant.stations.size):
        node = plant.stations[s]["node"]
        came = work.row[AFTER, node] - volume[node] + work.lift[s]
        for i in range(plant.overland.size):
            if work.ends[over + i, 0] == node and work.flux[over + i] > 0.0:
                came += work.flux[over + i]
        row[3 + nodes + 2 * s], row[4 + nodes + 2 * s] = came, work.lift[s]


def step(plant: Plant, forcing: Forcing, state: State, tolerance: float, keep: bool, repeat: bool) -> Run:
    """Step the plant through the forcing.

    Parameters
    ----------
    plant : Plant
    forcing : Forcing
        Its first edge is the state's time.
    state : State
        Not changed.
    tolerance : float
        Greatest error of any level in one step, above zero. [m]
    keep : bool
        Whether to keep the trace, a row at the start and after each step.
    repeat : bool
        Whether to pass over whole cycles of the pumps while the forcing does not change: the cycle last seen is
        booked, and its drift added, as often as the drift stays within the tolerance. The trace then has gaps, and
        ``starts`` only those that were stepped.

    Returns
    -------
    Run

    Notes
    -----
    Nothing is checked here. A run that is cut at an edge, also within a dry spell, and stepped on from its state gives
    the same figures to the last digit as stepping through, but for ``repeat``: there to the tolerance.
    """
    return stepped(packed(plant), forcing, state, tolerance, keep, repeat)


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
    goals = watched_volumes(plant)
    sums = np.zeros(links + 3 * pumps + goals.size + 5)
    by_link, by_pump = sums[:links], sums[links : links + 3 * pumps]
    above, totals = sums[links + 3 * pumps : sums.size - 5], sums[sums.size - 5 :]
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
        trace[0, 1 : 1 + nodes] = work.node[START, LEVEL]
    last_who, last_stop, last_volume, last_sums = -1, 0.0, volume.copy(), sums.copy()
    cut, fresh, was_out = 0, True, False
    for period in range(forcing.edges.size - 1):
        end, shift = forcing.edges[period + 1], forcing.shift[period]
        work.row[COMING, :] = 0.0
        for i in range(forcing.entry.size):
            work.row[COMING, forcing.entry[i]] += forcing.inflow[period, i]
        arriving = np.sum(forcing.inflow[period])
        fresh = True
        last_who = -1
        while time < end:
            # Power, batteries and floats
            while cut < forcing.cuts.shape[0] and forcing.cuts[cut, 1] <= time:
                cut += 1
                left[:] = stations["battery"]
            power_out, limit = False, end
            if cut < forcing.cuts.shape[0]:
                power_out = forcing.cuts[cut, 0] <= time
                limit = min(end, forcing.cuts[cut, 1] if power_out else forcing.cuts[cut, 0])
            for s in range(pumps):
                powered[s] = 1 if not power_out or left[s] > 0.0 else 0
            switched, stopped = turned(plant, volume, running, powered, in_line, began)
            for s in range(pumps):
                if began[s] > 0:
                    by_pump[3 * s + STARTS] += 1.0
                    starts = longer(starts, begun)
                    starts[begun, 0], starts[begun, 1] = time, s
                    begun += 1
            if repeat and stopped >= 0:
                if last_who == stopped:
                    drift = 0.0
                    for i in range(nodes):
                        drift = max(drift, abs(volume[i] - last_volume[i]) * work.node[START, SLOPE, i])
                    times = np.floor((limit - time) / (time - last_stop)) - 1.0
                    if drift * times > tolerance:
                        times = np.floor(tolerance / drift)
                    if times >= 1.0:
                        stepped = totals[STEPS]
                        volume += times * (volume - last_volume)
                        sums += times * (sums - last_sums)
                        totals[STEPS] = stepped
                        time += times * (time - last_stop)
                        switched = True
                last_who, last_stop = stopped, time
                last_volume[:] = volume
                last_sums[:] = sums
            if fresh or switched or power_out != was_out:
                look(plant, work, volume, running, power_out, shift, START)
                fresh, was_out = False, power_out
            # The step
            longest = min(wanted, limit - time)
            for s in range(pumps):
                if power_out and running[s] > 0:
                    longest = min(longest, left[s])
            h, ahead = tried(plant, work, volume, running, powered, power_out, shift, longest, tolerance)
            whole = h == limit - time
            if ahead < longest or longest == wanted or ahead > wanted:
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
            volume[:] = work.row[AFTER]
            copied(work, END, START)
    grates = plant.pipes.size
    over = grates + plant.grates.size
    ground = over + plant.overland.size
    soak = ground + plant.ground.size
    return Run(
        State(volume, running, in_line, left, np.array([time, wanted])), highest, highest_at,
        by_link[:grates].copy(), by_link[grates:over].copy(), by_link[over:ground].copy(),
        by_link[ground:soak].copy(), by_link[soak:].copy(), by_pump[PUMPED::3].copy(), by_pump[SECONDS::3].copy(),
        starts[:begun], by_pump[STARTS::3].copy(), reached, above.copy(), trace[:rows], totals.copy(),
    )  # fmt: skip


__all__ = ["step", "stepped"]
