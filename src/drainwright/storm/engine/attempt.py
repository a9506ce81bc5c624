"""One step of the stepper, tried: second order, with its error; and the flows that made it. Compiled.

TR-BDF2: the trapezoidal rule over 59 % of the step, then the backward difference formula of second order over all of
it; L-stable, with an embedded error of third order: R. E. Bank et al., IEEE Trans. CAD 4(4), 1985; M. E. Hosea and
L. F. Shampine, Appl. Numer. Math. 20, 1996 (both from memory). Each stage is solved by Newton's method; its flows are
those of the last linear model, which the volumes follow exactly, so that a step moves water and makes none.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from drainwright.storm.engine.compiling import compiled, inner
from drainwright.storm.engine.elimination import factor, solve
from drainwright.storm.engine.flows import (
    BY_A,
    BY_B,
    BY_LEVEL,
    LIFT,
    Q,
    gains,
    grated,
    implicit,
    let_out,
    piped,
    pumped,
    run_over,
    seeped,
)  # fmt: skip
from drainwright.storm.engine.laws import levels_of
from drainwright.storm.engine.packing import Packed
from drainwright.storm.engine.plant import Floats, Whole

D = 1.0 - 0.5 * np.sqrt(2.0)  # share of the step in which each stage is implicit
W = 0.25 * np.sqrt(2.0)
E0, E1, E2 = (1.0 - np.sqrt(2.0)) / 3.0, 1.0 / 3.0, -2.0 * D / 3.0  # of the error
ONWARD = (1.0 - 2.0 * D) / (2.0 * D)  # of the first stage's way, to guess the end
ROUNDS = 12  # of Newton's method
ENOUGH = 0.3  # of the tolerance: a last change so small leaves an error far smaller
BREADTH = 50.0  # times the tolerance: a store counts as at least so wide in its error, so that risers do not rule [m]
SLOW = 0.3  # a change that is more than this share of the one before asks for a new model
LOST = 1e9  # error of a step in which Newton's method did not come to rest [m]

START, MIDDLE, END, MODEL = range(4)  # moments; the model is the one whose derivatives are in the factors
LEVEL, SLOPE, NET = range(3)  # of a node at a moment: level, its derivative by the volume, gain
COMING, BASE, CHANGE, HALFWAY, AFTER = range(5)  # of a node


class Work(NamedTuple):
    """Arrays that a step works in."""

    ends: Whole  # (links, 2) nodes
    hint: Whole  # (nodes,) rows of the tables
    node: Floats  # (moments, 3, nodes)
    link: Floats  # (moments, 3, links)
    pump: Floats  # (moments, 2, stations)
    full: Floats  # (stations,) 1: the discharge line is full and gives what is pumped; 0: it fills
    row: Floats  # (5, nodes)
    matrix: Floats  # (nodes, nodes) factors
    flux: Floats  # (links,) moved in the step [m³]
    lift: Floats  # (stations,) [m³]


@compiled
def work_of(plant: Packed) -> Work:
    """Arrays to work in."""
    nodes, stations = plant.stage.shape[0], plant.stations.size
    links = plant.pipes.size + plant.grates.size + plant.overland.size + plant.ground.size + plant.outlets.size
    ends, place = np.full((links, 2), -1, np.int64), 0
    for i in range(plant.pipes.size):
        ends[place, 0], ends[place, 1] = plant.pipes[i]["upper"], plant.pipes[i]["lower"]
        place += 1
    for i in range(plant.grates.size):
        ends[place, 0], ends[place, 1] = plant.grates[i]["pond"], plant.grates[i]["body"]
        place += 1
    for i in range(plant.overland.size):
        ends[place, 0], ends[place, 1] = plant.overland[i]["source"], plant.overland[i]["target"]
        place += 1
    for i in range(plant.ground.size):
        ends[place, 0], ends[place, 1] = plant.ground[i]["a"], plant.ground[i]["b"]
        place += 1
    for i in range(plant.outlets.size):
        ends[place, 0] = plant.outlets[i]["node"]
        place += 1
    return Work(
        ends, np.zeros(nodes, np.int64), np.zeros((4, 3, nodes)), np.zeros((4, 3, links)), np.zeros((4, 2, stations)),
        np.ones(stations),
        np.zeros((5, nodes)), np.zeros((nodes, nodes)), np.zeros(links), np.zeros(stations),
    )  # fmt: skip


@inner
def look(plant: Packed, work: Work, volume: Floats, running: Whole, power_out: bool, shift: float, moment: int) -> None:
    """Levels, flows and gains at the volumes, into a moment."""
    node, link, lift, ends = work.node[moment], work.link[moment], work.pump[moment], work.ends
    levels_of(volume, plant.stage, plant.stored, work.hint, node[LEVEL], node[SLOPE])
    level, first = node[LEVEL], 0
    piped(plant.pipes, plant.share, ends, level, first, link)
    first += plant.pipes.size
    grated(plant.grates, ends, level, first, link)
    first += plant.grates.size
    run_over(plant.overland, ends, level, first, link)
    first += plant.overland.size
    seeped(plant.ground, ends, shift, level, first, link)
    first += plant.ground.size
    let_out(plant.outlets, plant.outlet_flow, ends, level, first, link)
    pumped(plant.stations, plant.station_flow, plant.shared, level, running, power_out, lift)
    gains(ends, link, plant.stations, lift, work.full, work.row[COMING], node[NET])


@inner
def copied(work: Work, old: int, new: int) -> None:
    """One moment into another."""
    for k in range(3):
        for i in range(work.node.shape[2]):
            work.node[new, k, i] = work.node[old, k, i]
        for i in range(work.link.shape[2]):
            work.link[new, k, i] = work.link[old, k, i]
    for k in range(2):
        for s in range(work.pump.shape[2]):
            work.pump[new, k, s] = work.pump[old, k, s]


@inner
def modelled(plant: Packed, work: Work, share: float, moment: int) -> None:
    """The linear model at a moment: the factors of one less ``share`` times the Jacobian."""
    copied(work, moment, MODEL)
    implicit(
        work.ends, work.link[MODEL], plant.stations, work.pump[MODEL], work.full, work.node[MODEL, SLOPE],
        plant.entries, share, work.matrix,
    )  # fmt: skip
    factor(work.matrix, plant.pivots, plant.later)


@inner
def towards(plant: Packed, work: Work, share: float, volume: Floats, moment: int) -> float:
    """The change that the model asks for, into ``CHANGE``; the greatest change of a level. [m]"""
    change, node, most = work.row[CHANGE], work.node[moment], 0.0
    for i in range(volume.size):
        change[i] = work.row[BASE, i] + share * node[NET, i] - volume[i]
    solve(work.matrix, plant.pivots, plant.later, change)
    for i in range(volume.size):
        most = max(most, abs(change[i]) * node[SLOPE, i])
    return most


@inner
def newton(
    plant: Packed, work: Work, running: Whole, power_out: bool, shift: float, share: float, enough: float, known: bool,
    volume: Floats, moment: int,
) -> bool:  # fmt: skip
    """Solve volume = base + share · gains by Newton's method with the model at hand, made anew where it serves badly.

    ``volume`` holds the guess, and the moment is the one there if ``known``; afterwards the answer, and what the last
    linear model gives there. Whether it came to rest.
    """
    node, link, lift, ends = work.node[moment], work.link[moment], work.pump[moment], work.ends
    model, by_level, slope, change = (
        work.link[MODEL],
        work.pump[MODEL, BY_LEVEL],
        work.node[MODEL, SLOPE],
        work.row[CHANGE],
    )
    before = LOST
    for rounds in range(ROUNDS):
        looked = rounds > 0 or not known
        if looked:
            look(plant, work, volume, running, power_out, shift, moment)
        most = towards(plant, work, share, volume, moment)
        if looked and most > enough and most > SLOW * before:
            modelled(plant, work, share, moment)
            most = towards(plant, work, share, volume, moment)
        for i in range(volume.size):
            volume[i] += change[i]
            node[LEVEL, i] += change[i] * node[SLOPE, i]
        for i in range(ends.shape[0]):
            a, b = ends[i, 0], ends[i, 1]
            link[Q, i] += model[BY_A, i] * slope[a] * change[a]
            if b >= 0:
                link[Q, i] += model[BY_B, i] * slope[b] * change[b]
        for s in range(lift.shape[1]):
            basin = plant.stations[s]["node"]
            lift[LIFT, s] += by_level[s] * slope[basin] * change[basin]
        gains(ends, link, plant.stations, lift, work.full, work.row[COMING], node[NET])
        if most <= enough and (looked or most <= 0.01 * enough):
            return True
        if not most < LOST or (rounds > 3 and most > before):
            return False
        before = most
    return False


@inner
def attempt(
    plant: Packed, work: Work, volume: Floats, running: Whole, power_out: bool, shift: float, h: float, tolerance: float
) -> tuple[float, float]:
    """Try a step of ``h``: volumes into ``AFTER``, the moment there into ``END``; its error and lowest volume.

    The error is the greatest of any level, or very large where Newton's method does not come to rest. Of a store that
    is narrower than ``BREADTH`` times the tolerance it is what it would be were it so wide. [m], [m³]
    """
    base, change, halfway, after = work.row[BASE], work.row[CHANGE], work.row[HALFWAY], work.row[AFTER]
    start, middle, end = work.node[START], work.node[MIDDLE], work.node[END]
    enough = ENOUGH * tolerance
    for i in range(volume.size):
        base[i] = volume[i] + h * D * start[NET, i]
        halfway[i] = volume[i]
    copied(work, START, MIDDLE)
    modelled(plant, work, h * D, START)
    if not newton(plant, work, running, power_out, shift, h * D, enough, True, halfway, MIDDLE):
        return LOST, 0.0
    for i in range(volume.size):
        base[i] = volume[i] + h * W * (start[NET, i] + middle[NET, i])
        after[i] = max(halfway[i] + ONWARD * (halfway[i] - volume[i]), 0.0)
    if not newton(plant, work, running, power_out, shift, h * D, enough, False, after, END):
        return LOST, 0.0
    lowest, wrong = 0.0, 0.0
    for i in range(volume.size):
        lowest = min(lowest, after[i])
        change[i] = h * (E0 * start[NET, i] + E1 * middle[NET, i] + E2 * end[NET, i])
    solve(work.matrix, plant.pivots, plant.later, change)
    for i in range(volume.size):
        wrong = max(wrong, abs(change[i]) * min(max(start[SLOPE, i], end[SLOPE, i]), 1.0 / (BREADTH * tolerance)))
    for i in range(work.flux.size):
        work.flux[i] = h * (W * (work.link[START, Q, i] + work.link[MIDDLE, Q, i]) + D * work.link[END, Q, i])
    for s in range(work.lift.size):
        work.lift[s] = h * (W * (work.pump[START, LIFT, s] + work.pump[MIDDLE, LIFT, s]) + D * work.pump[END, LIFT, s])
    return wrong, lowest


@inner
def attempt_euler(
    plant: Packed, work: Work, volume: Floats, running: Whole, power_out: bool, shift: float, h: float, tolerance: float
) -> tuple[float, float]:
    """The same step by the implicit Euler method, which keeps water above nothing.

    Its error is the difference from the step tried before. [m], [m³]
    """
    after = work.row[AFTER]
    copied(work, END, MIDDLE)
    copied(work, START, END)
    for i in range(volume.size):
        work.row[BASE, i] = volume[i]
        after[i] = volume[i]
    modelled(plant, work, h, START)
    rests = newton(plant, work, running, power_out, shift, h, ENOUGH * tolerance, True, after, END)
    lowest, wrong = 0.0, 0.0 if rests else LOST
    for i in range(volume.size):
        lowest = min(lowest, after[i])
        narrow = 1.0 / (BREADTH * tolerance * work.node[END, SLOPE, i])
        wrong = max(wrong, abs(work.node[MIDDLE, LEVEL, i] - work.node[END, LEVEL, i]) * min(1.0, narrow))
    for i in range(work.flux.size):
        work.flux[i] = h * work.link[END, Q, i]
    for s in range(work.lift.size):
        work.lift[s] = h * work.pump[END, LIFT, s]
    return wrong, lowest


@inner
def held_back(
    plant: Packed, work: Work, volume: Floats, running: Whole, power_out: bool, shift: float, h: float
) -> None:
    """Hold back the flows of the step tried, so that no store gives more than it has; volumes follow the flows.

    For a step that no method gets right: it need not be near, but no water is made or lost.
    """
    had, given, after, stations = work.row[BASE], work.row[CHANGE], work.row[AFTER], plant.stations
    for i in range(volume.size):
        had[i], given[i] = volume[i] + h * work.row[COMING, i], 0.0
    for i in range(work.flux.size):
        a, b = work.ends[i, 0], work.ends[i, 1]
        if work.flux[i] > 0.0:
            given[a] += work.flux[i]
        elif b >= 0:
            given[b] -= work.flux[i]
    for s in range(work.lift.size):
        given[stations[s]["node"]] += work.lift[s]
    for i in range(volume.size):
        given[i] = had[i] / given[i] if given[i] > had[i] else 1.0
        after[i] = had[i]
    for i in range(work.flux.size):
        a, b = work.ends[i, 0], work.ends[i, 1]
        if work.flux[i] > 0.0:
            work.flux[i] *= given[a]
        elif b >= 0:
            work.flux[i] *= given[b]
        after[a] -= work.flux[i]
        if b >= 0:
            after[b] += work.flux[i]
    for s in range(work.lift.size):
        node, to = stations[s]["node"], stations[s]["to"]
        work.lift[s] *= given[node]
        after[node] -= work.lift[s]
        if to >= 0:
            after[to] += work.lift[s] * work.full[s]
    look(plant, work, after, running, power_out, shift, END)


__all__ = [
    "AFTER",
    "COMING",
    "END",
    "HALFWAY",
    "LEVEL",
    "LOST",
    "NET",
    "SLOPE",
    "START",
    "D",
    "Work",
    "attempt",
    "attempt_euler",
    "copied",
    "held_back",
    "look",
    "work_of",
]  # fmt: skip
