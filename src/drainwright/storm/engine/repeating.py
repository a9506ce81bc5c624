"""Dry weather at next to no cost: whole cycles of the pumps that repeat themselves are booked, not stepped. Compiled.

While the forcing stays the same, each stop of a pump is set beside the stops before it. Where the same pumps run, and
every other basin stands within ``ALIKE`` of where it stood, what moved since then is one cycle. It is booked as often
as it fits, and all other stores move on by their drift, added up to no more than the tolerance. What would leave a
basin fuller or emptier, or a store with less than nothing, is booked as having gone out, so that water is kept.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from drainwright.storm.engine.compiling import compiled, inner
from drainwright.storm.engine.packing import Packed
from drainwright.storm.engine.plant import FORCED, OUT, STEPS, Floats, Whole

STOPS = 24  # that are kept
ALIKE = 0.005  # of a basin's level at two stops of another's pump [m]
TOTALS = 6


class Past(NamedTuple):
    """The last stops of pumps under the present forcing."""

    stops: Whole  # (1,) so far
    who: Whole  # (STOPS,) station
    running: Whole  # (STOPS, stations)
    time: Floats  # (STOPS,)
    volume: Floats  # (STOPS, nodes)
    sums: Floats  # (STOPS, sums)


@compiled
def past_of(nodes: int, stations: int, sums: int) -> Past:
    """No stops yet."""
    return Past(
        np.zeros(1, np.int64), np.zeros(STOPS, np.int64), np.zeros((STOPS, stations), np.int64), np.zeros(STOPS),
        np.zeros((STOPS, nodes)), np.zeros((STOPS, sums)),
    )  # fmt: skip


@inner
def remember(past: Past, who: int, running: Whole, time: float, volume: Floats, sums: Floats) -> None:
    """Keep a stop, in the place of the oldest."""
    row = past.stops[0] % STOPS
    past.stops[0] += 1
    past.who[row], past.time[row] = who, time
    for s in range(running.size):
        past.running[row, s] = running[s]
    for i in range(volume.size):
        past.volume[row, i] = volume[i]
    for i in range(sums.size):
        past.sums[row, i] = sums[i]


@inner
def most_alike(past: Past, plant: Packed, who: int, running: Whole, volume: Floats, slope: Floats) -> int:
    """The kept stop at which the other basins stood most as they stand now; -1: none is like it."""
    best, found = ALIKE, -1
    for row in range(min(past.stops[0], STOPS)):
        if past.who[row] != who:
            continue
        apart = 0.0
        for s in range(running.size):
            node = plant.stations[s]["node"]
            if past.running[row, s] != running[s]:
                apart = 2.0 * ALIKE
            if s != who:
                apart = max(apart, abs(volume[node] - past.volume[row, node]) * slope[node])
        if apart < best or (apart == best and found >= 0 and past.time[row] > past.time[found]):
            best, found = apart, row
    return found


@inner
def is_basin(plant: Packed, node: int) -> bool:
    """Whether a node is a basin."""
    found = False
    for s in range(plant.stations.size):
        found = found or plant.stations[s]["node"] == node
    return found


@inner
def pass_over(
    past: Past, plant: Packed, who: int, running: Whole, time: float, limit: float, tolerance: float, slope: Floats,
    volume: Floats, sums: Floats,
) -> float:  # fmt: skip
    """Book the cycle that ends now as often as it fits: the time passed over; 0: it has not been seen before. [s]"""
    row = most_alike(past, plant, who, running, volume, slope)
    if row < 0:
        return 0.0
    drift = 0.0
    for i in range(volume.size):
        if not is_basin(plant, i):
            drift = max(drift, abs(volume[i] - past.volume[row, i]) * slope[i])
    cycle = time - past.time[row]
    times = np.floor((limit - time) / cycle) - 1.0
    if drift * times > tolerance:
        times = np.floor(tolerance / drift)
    if times < 1.0:
        return 0.0
    totals = sums.size - TOTALS
    steps, forced = sums[totals + STEPS], sums[totals + FORCED]
    for i in range(sums.size):
        sums[i] += times * (sums[i] - past.sums[row, i])
    sums[totals + STEPS], sums[totals + FORCED] = steps, forced
    for i in range(volume.size):
        change = times * (volume[i] - past.volume[row, i])
        after = volume[i] if is_basin(plant, i) else max(volume[i] + change, 0.0)
        sums[totals + OUT] += change - (after - volume[i])
        volume[i] = after
    past.stops[0] = 0
    passed: float = times * cycle
    return passed


__all__ = ["Past", "pass_over", "past_of", "remember"]
