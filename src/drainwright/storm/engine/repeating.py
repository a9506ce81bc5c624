"""Dry weather at next to no cost: whole cycles of the pumps that repeat themselves are booked, not stepped. Compiled.

While the forcing stays the same, each stop of a pump is set beside the stops before it. Where the same pumps run, and
every other basin that was pumped holds what it held within ``ALIKE``, what moved since then is one cycle. It is booked
as often as it fits, and all other stores move on by their drift, as far as that is known to the tolerance. What went
out follows from what came in and what the stores hold, so that water is kept: what so many cycles make of each figure's
rounding does not add up.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from drainwright.storm.engine.compiling import compiled, inner
from drainwright.storm.engine.packing import Packed
from drainwright.storm.engine.plant import AWAY, FAR, FORCED, IN, OUT, STEPS, Floats, Whole

STOPS = 24  # that are kept
ALIKE = 3e-4  # of what a pump lifted in a cycle: by so much its basin may hold more or less after it
NEARLY = 0.02  # by which two cycles of one kind may differ in length
STEADY = 0.001  # by which cycles that are booked may differ in length, on average
FAR_ON = 10.0  # tolerances that a store may move on where its last two cycles are known
TOTALS = 6
PUMPED, SECONDS, STARTS = range(3)  # of each station, as in ``booking``
SUMS = 4  # kept of each station, as there


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
def since(past: Past, plant: Packed, row: int, sums: Floats, s: int, what: int) -> float:
    """What a station's sum has grown by since a kept stop: of ``PUMPED``, ``SECONDS``, ``STARTS``."""
    place = sums.size - TOTALS - plant.watches.size - SUMS * (plant.stations.size - s) + what
    grown: float = sums[place] - past.sums[row, place]
    return grown


@inner
def unlike(past: Past, plant: Packed, who: int, row: int, running: Whole, later: Floats, sums: Floats) -> float:
    """By how much of what was lifted since a kept stop the pumped basins hold more or less than then; 1: no cycle.

    ``later`` is what they hold at the end of the cycle, ``sums`` the sums there.
    """
    apart = 0.0
    for s in range(running.size):
        node = plant.stations[s]["node"]
        if past.running[row, s] != running[s]:
            return 1.0
        lifted = since(past, plant, row, sums, s, PUMPED)
        if s != who and lifted > 0.0:
            apart = max(apart, abs(later[node] - past.volume[row, node]) / lifted)
    return apart


@inner
def most_alike(past: Past, plant: Packed, who: int, running: Whole, volume: Floats, sums: Floats) -> int:
    """The kept stop at which the pumped basins stood most as they stand now; -1: none is like it."""
    best, found = ALIKE, -1
    for row in range(min(past.stops[0], STOPS)):
        if past.who[row] != who:
            continue
        apart = unlike(past, plant, who, row, running, volume, sums)
        if apart < best or (apart == best and found >= 0 and past.time[row] > past.time[found]):
            best, found = apart, row
    return found


@inner
def station_at(past: Past, plant: Packed, row: int, sums: Floats, node: int) -> int:
    """The station whose pumps ran in this basin since a kept stop; -1: none did."""
    found = -1
    for s in range(plant.stations.size):
        if plant.stations[s]["node"] == node and since(past, plant, row, sums, s, SECONDS) > 0.0:
            found = s
    return found


@inner
def cycle_before(past: Past, plant: Packed, row: int, cycle: float, sums: Floats) -> int:
    """The kept stop one cycle of the same kind, with as many starts, before another one; -1: none."""
    for other in range(min(past.stops[0], STOPS)):
        if past.who[other] != past.who[row] or abs(past.time[row] - past.time[other] - cycle) > NEARLY * cycle:
            continue
        who, same = past.who[row], True
        for s in range(plant.stations.size):
            starts = since(past, plant, other, past.sums[row], s, STARTS)
            same = same and abs(starts - since(past, plant, row, sums, s, STARTS)) < 0.5
        if same and unlike(past, plant, who, other, past.running[row], past.volume[row], past.sums[row]) <= ALIKE:
            return other
    return -1


@inner
def moved_on(last: float, previous: float, times: float) -> float:
    """What a store moves on in so many cycles, after two in which it moved so: as the drift dies out, else evenly.

    A drift that turns about from one cycle to the next goes nowhere: taken evenly, it would kick a settled store.
    """
    rest = 0.0 if previous == 0.0 else last / previous
    if rest < 0.0:
        return 0.0
    evenly = last * times
    return last * rest * (1.0 - rest**times) / (1.0 - rest) if 0.0 < rest < 1.0 else evenly


@inner
def most_times(
    past: Past, plant: Packed, row: int, before: int, times: float, tolerance: float, slope: Floats, volume: Floats,
    sums: Floats,
) -> float:  # fmt: skip
    """How often a cycle may be booked: as long as no store but the pumped basins moves on further than it is known to,
    and no basin that was not pumped fills to its float.
    """
    for s in range(plant.stations.size):
        node = plant.stations[s]["node"]
        if station_at(past, plant, row, sums, node) < 0 and volume[node] > past.volume[row, node]:
            room = plant.stations[s]["on"] - volume[node]
            times = min(times, np.floor(0.5 * room / (volume[node] - past.volume[row, node])))
    for i in range(volume.size):
        if station_at(past, plant, row, sums, i) >= 0:
            continue
        last = (volume[i] - past.volume[row, i]) * slope[i]
        if before < 0:
            if abs(last) * times > tolerance:  # wait for one cycle more, which tells how the drift goes on
                return 0.0
            continue
        previous = (past.volume[row, i] - past.volume[before, i]) * slope[i]
        dies = previous != 0.0 and 0.0 < last / previous < 1.0
        while times >= 1.0 and abs(moved_on(last, previous, times)) > (FAR_ON if dies else 1.0) * tolerance:
            times = np.floor(0.8 * times)
    return times


@compiled
def pass_over(
    past: Past, plant: Packed, who: int, running: Whole, time: float, limit: float, tolerance: float, slope: Floats,
    volume: Floats, sums: Floats,
) -> float:  # fmt: skip
    """Book the cycle that ends now as often as it fits: the time passed over; 0: it has not been seen before. [s]

    Where the cycle before it is known too, each is taken to differ from the last as the last did from that one.
    """
    row = most_alike(past, plant, who, running, volume, sums)
    if row < 0:
        return 0.0
    cycle = time - past.time[row]
    before = cycle_before(past, plant, row, cycle, sums)
    grows = 0.0 if before < 0 else cycle - (past.time[row] - past.time[before])
    times: float = np.floor((limit - time) / cycle) - 1.0
    if abs(grows) * times > 2.0 * STEADY * cycle:  # not so far that cycles would come to differ much
        times = np.floor(2.0 * STEADY * cycle / abs(grows))
    while times >= 1.0 and times * cycle + 0.5 * times * (times + 1.0) * grows > limit - time - cycle:
        times = np.floor(0.9 * times)
    times = most_times(past, plant, row, before, times, tolerance, slope, volume, sums)
    if times < 1.0:
        return 0.0
    known = before >= 0
    more = 0.5 * times * (times + 1.0) if known else 0.0
    totals, before = sums.size - TOTALS, max(before, 0)
    now = sums.copy()
    steps, forced = sums[totals + STEPS], sums[totals + FORCED]
    for i in range(sums.size):
        last = sums[i] - past.sums[row, i]
        sums[i] += times * last + more * (last - past.sums[row, i] + past.sums[before, i])
    sums[totals + STEPS], sums[totals + FORCED] = steps, forced
    gained = 0.0
    for i in range(volume.size):
        if station_at(past, plant, row, now, i) < 0:
            last, previous = volume[i] - past.volume[row, i], past.volume[row, i] - past.volume[before, i]
            after = max(volume[i] + moved_on(last, previous if known else 0.0, times), 0.0)
            gained += after - volume[i]
            volume[i] = after
    came = sums[totals + IN] - now[totals + IN] + sums[totals + FAR] - now[totals + FAR]
    sums[totals + OUT] = now[totals + OUT] + came - (sums[totals + AWAY] - now[totals + AWAY]) - gained
    past.stops[0] = 0
    passed: float = times * cycle + more * grows
    return passed


__all__ = ["Past", "pass_over", "past_of", "remember"]
