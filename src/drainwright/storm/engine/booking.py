"""What a step moved, added up: sums, highest levels, watched levels, the trace. Compiled."""

from __future__ import annotations

import numpy as np

from drainwright.storm.engine.attempt import AFTER, END, LEVEL, NET, SLOPE, START, Work
from drainwright.storm.engine.compiling import compiled, inner
from drainwright.storm.engine.packing import Packed, Rows
from drainwright.storm.engine.plant import AWAY, FAR, IN, NEVER, OUT, STEPS, Floats, Whole
from drainwright.storm.engine.trying import SHORTEST, hermite, meeting, smooth

PUMPED, SECONDS, STARTS, SECOND = range(4)  # of each station; the last: seconds of its second pump
SUMS = 4  # kept of each station


@compiled
def longer(table: Floats, used: int) -> Floats:
    """The table, twice as long when it is full."""
    if used < table.shape[0]:
        return table
    taller = np.zeros((2 * used, table.shape[1]))
    for i in range(used):
        for k in range(table.shape[1]):
            taller[i, k] = table[i, k]
    return taller


@compiled
def watched_volumes(plant: Packed) -> Floats:
    """Volume of its store at each level watched for."""
    found = np.zeros(plant.watches.size)
    for i in range(found.size):
        stage, stored = plant.stage[plant.watches[i]["node"]], plant.stored[plant.watches[i]["node"]]
        cell = 0
        while cell < stage.size - 2 and stage[cell + 1] < plant.watches[i]["level"]:
            cell += 1
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
            by_pump[SUMS * s + PUMPED] += work.lift[s]
            by_pump[SUMS * s + SECONDS] += h * running[s]
            by_pump[SUMS * s + SECOND] += h * (running[s] - 1)
            if power_out:
                left[s] -= h
                if left[s] < SHORTEST:
                    left[s] = 0.0
            fills = min(stations[s]["line"] - in_line[s], work.lift[s])
            if stations[s]["to"] < 0:
                in_line[s] += fills
                out += work.lift[s] - fills
            elif work.full[s] == 0.0:
                in_line[s] += fills
                work.row[AFTER, stations[s]["to"]] += work.lift[s] - fills
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


__all__ = [
    "PUMPED", "SECOND", "SECONDS", "STARTS", "SUMS", "book", "longer", "peaks", "row_of", "watch", "watched_volumes",
]  # fmt: skip
