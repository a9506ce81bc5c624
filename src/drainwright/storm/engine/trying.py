"""The step that is right: as long as the tolerance allows, and ended where a float switches. Compiled.

Where a step would leave a store with less than nothing it is done again by the implicit Euler method, and both must
agree within the tolerance. A step in which a float switches ends there, to a hundred-thousandth of the float band: by
the cubics through its ends where every store is slow beside it, else by doing it again.
"""

from __future__ import annotations

from drainwright.storm.engine.attempt import (
    AFTER,
    END,
    HALFWAY,
    LOST,
    NET,
    SLOPE,
    START,
    D,
    Work,
    attempt,
    attempt_euler,
    held_back,
    look,
)  # fmt: skip
from drainwright.storm.engine.compiling import inner
from drainwright.storm.engine.flows import LIFT, Q
from drainwright.storm.engine.packing import Packed, Rows
from drainwright.storm.engine.plant import NEVER, Floats, Whole

SHORTEST = 1e-4  # [s]
COARSE = 1.0  # the shortest once so many were forced that the plant must be at odds with itself: it shall end [s]
MANY = 2000  # steps forced
EXACT = 1e-5  # of the float band within which a moment is met
LEAST = 1e-12  # [m³]
TRIES = 60  # at one step
BEYOND = 1.05  # of the time to a float that a step may take: it shall lie within


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


@inner
def nearness(stations: Rows, s: int) -> float:
    """Volume within which a float of a station is met."""
    on: float = stations[s]["on"]
    off: float = stations[s]["off"]
    return LEAST if on >= NEVER else EXACT * (on - off) + LEAST


@inner
def switching(
    stations: Rows, work: Work, volume: Floats, running: Whole, powered: Whole, power_out: bool, h: float
) -> float:
    """Share of the step tried at which the first float switches; 1: none does before its end."""
    part = 1.0
    for s in range(stations.size):
        node, near, goal = stations[s]["node"], nearness(stations, s), -1.0
        if running[s] > 0 and work.row[AFTER, node] < stations[s]["off"] - near:
            goal = stations[s]["off"]
        elif running[s] == 0 and powered[s] > 0 and work.row[AFTER, node] > stations[s]["on"] + near:
            goal = stations[s]["on"]
        elif running[s] == 1 and not power_out and work.row[AFTER, node] > stations[s]["second"] + near:
            goal = stations[s]["second"]
        if goal >= 0.0:
            rate, rate_end = work.node[START, NET, node], work.node[END, NET, node]
            part = min(part, meeting(goal, volume[node], work.row[AFTER, node], rate, rate_end, h))
    return part


@inner
def foreseen(stations: Rows, work: Work, volume: Floats, running: Whole, powered: Whole, power_out: bool) -> float:
    """A little more than the time until a float switches, should basins go on filling or emptying as they do. [s]"""
    soonest = NEVER
    for s in range(stations.size):
        node, goal = stations[s]["node"], -1.0
        rate, held = work.node[START, NET, node], volume[node]
        if running[s] > 0 and rate < 0.0:
            goal = stations[s]["off"]
        elif running[s] == 0 and powered[s] > 0 and rate > 0.0 and stations[s]["on"] < NEVER:
            goal = stations[s]["on"]
        elif running[s] == 1 and not power_out and rate > 0.0 and stations[s]["second"] < NEVER:
            goal = stations[s]["second"]
        if goal >= 0.0:
            soonest = min(soonest, BEYOND * (goal - held) / rate)
    return max(soonest, 100.0 * SHORTEST)


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
    longest: float, shortest: float, tolerance: float,
) -> tuple[float, float, bool, bool]:  # fmt: skip
    """The step that is right, and ends where a float switches: its length, what the next may be, whether one that was
    longer was refused, and whether it is not right after all, no shorter one being tried.
    """
    h, refused = min(longest, foreseen(plant.stations, work, volume, running, powered, power_out)), False
    for tries in range(TRIES + 1):
        final = tries == TRIES or h <= shortest
        wrong, lowest = attempt(plant, work, volume, running, power_out, shift, h, tolerance)
        order = 1.0 / 3.0
        if lowest < -LEAST:
            wrong, lowest = attempt_euler(plant, work, volume, running, power_out, shift, h, tolerance)
            order = 0.5
        if not final and (lowest < -LEAST or not wrong <= tolerance):
            shrink = 0.5 if lowest < -LEAST else max(0.2, 0.9 * (tolerance / wrong) ** order)
            h, refused = max(shortest, h * shrink), True
            continue
        if lowest < -LEAST or not wrong < LOST:
            wrong, lowest = attempt_euler(plant, work, volume, running, power_out, shift, h, tolerance)
            if lowest < -LEAST or not wrong < LOST:
                held_back(plant, work, volume, running, power_out, shift, h)
        ahead = h * min(5.0, 0.9 * (tolerance / max(wrong, 1e-30)) ** order)
        part = switching(plant.stations, work, volume, running, powered, power_out, h)
        if part < 1.0 and not final:
            if part * h > SHORTEST and cut_short(work, volume, h, part, tolerance):
                look(plant, work, work.row[AFTER], running, power_out, shift, END)
                return part * h, ahead, refused, False
            h = max(SHORTEST, part * h)
            continue
        break
    return h, ahead, refused, lowest < -LEAST or not wrong <= tolerance


__all__ = ["COARSE", "LEAST", "MANY", "SHORTEST", "hermite", "meeting", "nearness", "smooth", "tried"]
