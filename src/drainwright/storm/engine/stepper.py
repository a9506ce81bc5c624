"""The time stepper: the plant's volumes through the forcing. Arrays in, arrays out; compiled by numba.

Every store keeps a volume; its level follows from a stage-storage table, and the flows between stores from the levels.
A step is as long as the tolerance allows: its error is known from the pair of orders in ``attempt``. Where it would
leave a store with less than nothing it is done again by the implicit Euler method, and both must agree within the
tolerance. A step in which a float switches is done again so that it ends there, to a hundred-thousandth of the float
band. Nothing here is random and nothing depends on the machine's clock: same in, same out, to the last digit.
"""

from __future__ import annotations

import numpy as np

from drainwright.storm.engine.attempt import Work, attempt, attempt_euler, look, moment, moved, prepare
from drainwright.storm.engine.compiling import compiled
from drainwright.storm.engine.flows import link_ends
from drainwright.storm.engine.plant import NEVER, Floats, Forcing, Plant, Run, State, Stations, Whole

SHORTEST = 1e-4  # [s]
EXACT = 1e-5  # of the float band within which a moment is met
LEAST = 1e-12  # [m³]
TRIES = 60  # at one step
OUT, AWAY, FAR, IN, STEPS = range(5)  # the totals
PUMPED, SECONDS, STARTS = range(3)  # of each station


@compiled
def hermite(part: float, start: float, end: float, rate: float, rate_end: float, h: float) -> float:
    """The cubic through both ends of a step with their slopes."""
    rest = part * (1.0 - part)
    return start + (end - start) * part * part * (3.0 - 2.0 * part) + h * rest * ((1.0 - part) * rate - part * rate_end)


@compiled
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


@compiled
def nearness(stations: Stations, s: int) -> float:
    """Volume within which a float of a station is met."""
    if stations.on[s] >= NEVER:
        return LEAST
    return EXACT * (stations.on[s] - stations.off[s]) + LEAST


@compiled
def switching(stations: Stations, work: Work, volume: Floats, running: Whole, powered: Whole, h: float) -> float:
    """Share of the step tried at which the first float switches; 1: none does before its end."""
    part = 1.0
    for s in range(stations.node.size):
        node, near, goal = stations.node[s], nearness(stations, s), -1.0
        if running[s] > 0 and work.after[node] < stations.off[s] - near:
            goal = stations.off[s]
        elif running[s] == 0 and powered[s] > 0 and work.after[node] > stations.on[s] + near:
            goal = stations.on[s]
        elif running[s] == 1 and work.after[node] > stations.second[s] + near:
            goal = stations.second[s]
        if goal >= 0.0:
            rate, rate_end = work.start.net[node] + work.coming[node], work.end.net[node] + work.coming[node]
            part = min(part, meeting(goal, volume[node], work.after[node], rate, rate_end, h))
    return part


@compiled
def tried(
    plant: Plant, work: Work, volume: Floats, running: Whole, powered: Whole, power_out: bool, shift: float,
    longest: float, tolerance: float,
) -> tuple[float, float, bool]:  # fmt: skip
    """The step that is right, and ends where a float switches: its length, the length to try next, whether by Euler."""
    h, wanted = longest, longest
    for tries in range(TRIES + 1):
        final = tries == TRIES or h <= SHORTEST
        wrong, lowest = attempt(plant, work, volume, running, power_out, shift, h)
        euler, order = False, 1.0 / 3.0
        if lowest < -LEAST or not np.isfinite(wrong):
            wrong, lowest = attempt_euler(plant, work, volume, running, power_out, shift, h)
            euler, order = True, 0.5
        if not final and (lowest < -LEAST or not wrong <= tolerance):
            shrink = 0.5 if lowest < -LEAST or not np.isfinite(wrong) else max(0.1, 0.9 * (tolerance / wrong) ** order)
            h = max(SHORTEST, h * shrink)
            wanted = h
            continue
        part = switching(plant.stations, work, volume, running, powered, h)
        if part < 1.0 and not final:
            h = max(SHORTEST, part * h)
            continue
        if h == wanted:
            wanted = h * min(5.0, 0.9 * (tolerance / max(wrong, 1e-30)) ** order)
        return h, wanted, euler
    return h, wanted, euler


@compiled
def turned(
    plant: Plant, volume: Floats, running: Whole, powered: Whole, in_line: Floats, began: Whole
) -> tuple[bool, int]:
    """Switch the pumps: whether any did, and which station stopped by its float (-1: none); first pumps that began."""
    stations = plant.stations
    switched, stopped = False, -1
    for s in range(stations.node.size):
        node, near, before = stations.node[s], nearness(stations, s), running[s]
        began[s] = 0
        if running[s] > 0 and (powered[s] == 0 or volume[node] <= stations.off[s] + near):
            running[s] = 0
            volume[node] += in_line[s]
            in_line[s] = 0.0
            if powered[s] > 0:
                stopped = s
        if powered[s] > 0 and running[s] == 0 and volume[node] >= stations.on[s] - near:
            running[s] = 1
            began[s] = 1
        if powered[s] > 0 and running[s] == 1 and volume[node] >= stations.second[s] - near:
            running[s] = 2
        switched = switched or running[s] != before
    return switched, stopped


@compiled
def watched_volumes(plant: Plant) -> Floats:
    """Volume of its store at each level watched for."""
    found = np.zeros(plant.watches.node.size)
    for i in range(found.size):
        stage, stored = plant.stores.stage[plant.watches.node[i]], plant.stores.stored[plant.watches.node[i]]
        cell = min(max(np.searchsorted(stage, plant.watches.level[i]) - 1, 0), stage.size - 2)
        rise = (stored[cell + 1] - stored[cell]) / (stage[cell + 1] - stage[cell])
        found[i] = stored[cell] + rise * (plant.watches.level[i] - stage[cell])
    return found


@compiled
def peaks(plant: Plant, work: Work, volume: Floats, time: float, h: float, highest: Floats, highest_at: Floats) -> None:
    """Highest levels: at the end of the step, and within it where a store that is slow beside it turns."""
    for i in range(volume.size):
        if work.end.level[i] > highest[i]:
            highest[i], highest_at[i] = work.end.level[i], time + h
        rate, rate_end = work.start.net[i] + work.coming[i], work.end.net[i] + work.coming[i]
        if rate > 0.0 and rate_end < 0.0 and -h * work.slopes[i, i] < 1.0:
            part = rate / (rate - rate_end)
            top = hermite(part, volume[i], work.after[i], rate, rate_end, h)
            if top > work.after[i] and top > volume[i]:
                level = work.end.level[i] + (top - work.after[i]) * work.end.slope[i]
                if level > highest[i]:
                    highest[i], highest_at[i] = level, time + part * h


@compiled
def watch(
    plant: Plant, work: Work, goals: Floats, volume: Floats, time: float, h: float, reached: Floats, above: Floats
) -> None:
    """Moments and times at which watched levels are reached."""
    for i in range(goals.size):
        node, goal = plant.watches.node[i], goals[i]
        before, after = volume[node] >= goal, work.after[node] >= goal
        if not before and not after:
            continue
        share = 1.0
        if before != after:
            if -h * work.slopes[node, node] < 1.0:
                rate, rate_end = work.start.net[node] + work.coming[node], work.end.net[node] + work.coming[node]
                part = meeting(goal, volume[node], work.after[node], rate, rate_end, h)
            else:
                part = (goal - volume[node]) / (work.after[node] - volume[node])
            share = 1.0 - part if after else part
            if after and reached[i] >= NEVER:
                reached[i] = time + part * h
        above[i] += share * h


@compiled
def carry_on(work: Work) -> None:
    """What was the end of a step becomes the start of the next."""
    start, end = work.start, work.end
    start.level[:] = end.level
    start.slope[:] = end.slope
    start.q[:] = end.q
    start.by_a[:] = end.by_a
    start.by_b[:] = end.by_b
    start.pump[:] = end.pump
    start.pump_by[:] = end.pump_by
    start.net[:] = end.net


@compiled
def work_of(plant: Plant) -> Work:
    """Arrays to work in."""
    a, b = link_ends(plant)
    nodes, links, stations = plant.stores.stage.shape[0], a.size, plant.stations.node.size
    return Work(
        a, b, np.zeros(nodes, np.int64), np.zeros(nodes), moment(nodes, links, stations),
        moment(nodes, links, stations), moment(nodes, links, stations), np.zeros(nodes), np.zeros(nodes),
        np.zeros(nodes), np.zeros(nodes), np.zeros(nodes), np.zeros((nodes, nodes)), np.zeros((nodes, nodes)),
        np.zeros(links), np.zeros(stations),
    )  # fmt: skip


@compiled
def book(
    plant: Plant, work: Work, running: Whole, in_line: Floats, left: Floats, power_out: bool, h: float,
    arriving: float, by_link: Floats, by_pump: Floats, totals: Floats,
) -> float:  # fmt: skip
    """Add what a step moved to the sums; the volume that went out in it."""
    pipes, stations = plant.pipes.upper.size, plant.stations
    over = pipes + plant.grates.pond.size
    ground = over + plant.overland.source.size
    soak = ground + plant.ground.a.size
    out, away = 0.0, 0.0
    for i in range(by_link.size):
        by_link[i] += work.flux[i]
        if work.b[i] < 0:
            if over <= i < ground:
                away += work.flux[i]
            elif ground <= i < soak:
                totals[FAR] -= work.flux[i]
            else:
                out += work.flux[i]
    for s in range(stations.node.size):
        if running[s] > 0:
            by_pump[3 * s + PUMPED] += work.lift[s]
            by_pump[3 * s + SECONDS] += h * running[s]
            if power_out:
                left[s] -= h
                if left[s] < SHORTEST:
                    left[s] = 0.0
            if stations.to[s] < 0:
                fills = min(stations.line[s] - in_line[s], work.lift[s])
                in_line[s] += fills
                out += work.lift[s] - fills
    totals[OUT] += out
    totals[AWAY] += away
    totals[IN] += arriving * h
    totals[STEPS] += 1.0
    return out


@compiled
def row_of(plant: Plant, work: Work, volume: Floats, time: float, out: float, away: float, row: Floats) -> None:
    """A row of the trace: time, levels, volumes out and away, then into each basin and lifted from it."""
    nodes = volume.size
    row[0] = time
    row[1 : 1 + nodes] = work.end.level
    row[1 + nodes], row[2 + nodes] = out, away
    over = plant.pipes.upper.size + plant.grates.pond.size
    for s in range(plant.stations.node.size):
        node = plant.stations.node[s]
        came = work.after[node] - volume[node] + work.lift[s]
        for i in range(plant.overland.source.size):
            if work.a[over + i] == node and work.flux[over + i] > 0.0:
                came += work.flux[over + i]
        row[3 + nodes + 2 * s], row[4 + nodes + 2 * s] = came, work.lift[s]


@compiled
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
    stations = plant.stations
    nodes, pumps = state.volume.size, stations.node.size
    work = work_of(plant)
    links = work.a.size
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
        if volume[plant.watches.node[i]] >= goals[i]:
            reached[i] = time
    look(plant, work, volume, running, False, 0.0, work.end)
    highest, highest_at = work.end.level.copy(), np.full(nodes, time)
    starts, begun = np.zeros((256, 2)), 0
    trace, rows = np.zeros((4096 if keep else 1, 3 + nodes + 2 * pumps)), 0
    if keep:
        trace[0, 0], rows = time, 1
        trace[0, 1 : 1 + nodes] = work.end.level
    last_who, last_stop, last_volume, last_sums = -1, 0.0, volume.copy(), sums.copy()
    cut, fresh, was_out = 0, True, False
    for period in range(forcing.edges.size - 1):
        end, shift = forcing.edges[period + 1], forcing.shift[period]
        work.coming[:] = 0.0
        for i in range(forcing.entry.size):
            work.coming[forcing.entry[i]] += forcing.inflow[period, i]
        arriving = np.sum(forcing.inflow[period])
        fresh = fresh or shift != forcing.shift[max(period - 1, 0)]
        last_who = -1
        while time < end:
            # Power, batteries and floats
            while cut < forcing.cuts.shape[0] and forcing.cuts[cut, 1] <= time:
                cut += 1
                left[:] = stations.battery
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
                        drift = max(drift, abs(volume[i] - last_volume[i]) * work.start.slope[i])
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
                look(plant, work, volume, running, power_out, shift, work.start)
                fresh, was_out = False, power_out
            prepare(plant, work)
            # The step
            longest = min(wanted, limit - time)
            for s in range(pumps):
                if power_out and running[s] > 0:
                    longest = min(longest, left[s])
            h, ahead, euler = tried(plant, work, volume, running, powered, power_out, shift, longest, tolerance)
            whole = h == limit - time
            if ahead < longest or longest == wanted or ahead > wanted:
                wanted = ahead
            moved(plant, work, h, euler)
            gone = totals[AWAY]
            out = book(plant, work, running, in_line, left, power_out, h, arriving, by_link, by_pump, totals)
            peaks(plant, work, volume, time, h, highest, highest_at)
            watch(plant, work, goals, volume, time, h, reached, above)
            time = limit if whole else time + h
            if keep:
                trace = longer(trace, rows)
                row_of(plant, work, volume, time, out, totals[AWAY] - gone, trace[rows])
                rows += 1
            volume[:] = work.after
            carry_on(work)
    grates = plant.pipes.upper.size
    over = grates + plant.grates.pond.size
    ground = over + plant.overland.source.size
    soak = ground + plant.ground.a.size
    return Run(
        State(volume, running, in_line, left, np.array([time, wanted])), highest, highest_at,
        by_link[:grates].copy(), by_link[grates:over].copy(), by_link[over:ground].copy(),
        by_link[ground:soak].copy(), by_link[soak:].copy(), by_pump[PUMPED::3].copy(), by_pump[SECONDS::3].copy(),
        starts[:begun], by_pump[STARTS::3].copy(), reached, above.copy(), trace[:rows], totals.copy(),
    )  # fmt: skip


__all__ = ["AWAY", "FAR", "IN", "OUT", "STEPS", "step"]
