"""All flows of the plant at given levels, and what each store gains by them. Compiled.

Links stand in one row: pipes, grates, overland, ground, outlets. A link takes from one store exactly what it gives
the other, so that water is kept to rounding.
"""

from __future__ import annotations

from drainwright.storm.engine.compiling import inner
from drainwright.storm.engine.laws import crest_flow, grate_flow, run_flow, table_flow
from drainwright.storm.engine.packing import Rows
from drainwright.storm.engine.plant import FREE, Floats, Whole

Q, BY_A, BY_B = range(3)  # of a link: flow from a to b, and its derivatives by both levels
LIFT, BY_LEVEL = range(2)  # of a station


@inner
def piped(pipes: Rows, share: Floats, ends: Whole, level: Floats, first: int, link: Floats) -> None:
    """Flows of the pipes into the links from ``first`` on."""
    for i in range(pipes.size):
        place, pipe = first + i, pipes[i]
        a, b = ends[place, 0], ends[place, 1]
        high = level[a]
        low = level[b] if b >= 0 else pipe["outfall"]
        if high >= low:
            link[Q, place], link[BY_A, place], link[BY_B, place] = run_flow(
                high, pipe["z_upper"], low, pipe["z_lower"], pipe["diameter"], pipe["conveyance"], pipe["length"], share
            )
        else:
            flow, by_high, by_low = run_flow(
                low, pipe["z_lower"], high, pipe["z_upper"], pipe["diameter"], pipe["conveyance"], pipe["length"], share
            )
            link[Q, place], link[BY_A, place], link[BY_B, place] = -flow, -by_low, -by_high


@inner
def grated(grates: Rows, ends: Whole, level: Floats, first: int, link: Floats) -> None:
    """Flows through the grates."""
    for i in range(grates.size):
        place, grate = first + i, grates[i]
        high, low = level[ends[place, 0]], level[ends[place, 1]]
        if high >= low:
            link[Q, place], link[BY_A, place], link[BY_B, place] = grate_flow(
                high, low, grate["rim"], grate["weir"], grate["orifice"]
            )
        else:
            flow, by_high, by_low = grate_flow(low, high, grate["rim"], grate["weir"], grate["orifice"])
            link[Q, place], link[BY_A, place], link[BY_B, place] = -flow, -by_low, -by_high


@inner
def run_over(overland: Rows, ends: Whole, level: Floats, first: int, link: Floats) -> None:
    """Flows over crests."""
    for i in range(overland.size):
        place, crest, width = first + i, overland[i]["crest"], overland[i]["width"]
        b = ends[place, 1]
        high, low = level[ends[place, 0]], level[b] if b >= 0 else FREE
        if high >= low:
            link[Q, place], link[BY_A, place], link[BY_B, place] = crest_flow(high, low, crest, width)
        else:
            flow, by_high, by_low = crest_flow(low, high, crest, width)
            link[Q, place], link[BY_A, place], link[BY_B, place] = -flow, -by_low, -by_high


@inner
def seeped(ground: Rows, ends: Whole, shift: float, level: Floats, first: int, link: Floats) -> None:
    """Flows through ground."""
    for i in range(ground.size):
        place, row = first + i, ground[i]
        b, conductance = ends[place, 1], row["conductance"]
        high, low = level[ends[place, 0]], level[b] if b >= 0 else row["far"] + shift
        link[BY_A, place], link[BY_B, place] = conductance, -conductance
        if high <= row["floor_a"]:
            high, link[BY_A, place] = row["floor_a"], 0.0
        if low <= row["floor_b"]:
            low, link[BY_B, place] = row["floor_b"], 0.0
        link[Q, place] = conductance * (high - low)


@inner
def let_out(outlets: Rows, flow: Floats, ends: Whole, level: Floats, first: int, link: Floats) -> None:
    """Flows out by the level alone."""
    for i in range(outlets.size):
        place = first + i
        link[Q, place], link[BY_A, place] = table_flow(
            level[ends[place, 0]], outlets[i]["low"], outlets[i]["high"], flow[i]
        )


@inner
def pumped(
    stations: Rows, flow: Floats, shared: Whole, level: Floats, running: Whole, power_out: bool, lift: Floats
) -> None:
    """Flow of each station, by what runs there and elsewhere, and its derivative by its basin's level."""
    for s in range(stations.size):
        lift[LIFT, s], lift[BY_LEVEL, s] = 0.0, 0.0
        if running[s] > 0:
            state = 0
            for other in range(stations.size):
                state += shared[s, other] * running[other]
            row = 2 if power_out else running[s] - 1
            lift[LIFT, s], lift[BY_LEVEL, s] = table_flow(
                level[stations[s]["node"]], stations[s]["low"], stations[s]["high"], flow[s, state, row]
            )


@inner
def gains(ends: Whole, link: Floats, stations: Rows, lift: Floats, full: Floats, coming: Floats, net: Floats) -> None:
    """What each store gains by links, pumps and from outside; a line that is not ``full`` gives nothing yet."""
    for i in range(net.size):
        net[i] = coming[i]
    for i in range(ends.shape[0]):
        flow = link[Q, i]
        if flow != 0.0:
            net[ends[i, 0]] -= flow
            if ends[i, 1] >= 0:
                net[ends[i, 1]] += flow
    for s in range(stations.size):
        net[stations[s]["node"]] -= lift[LIFT, s]
        if stations[s]["to"] >= 0:
            net[stations[s]["to"]] += lift[LIFT, s] * full[s]


@inner
def implicit(
    ends: Whole, link: Floats, stations: Rows, lift: Floats, full: Floats, slope: Floats, entries: Whole, share: float,
    matrix: Floats,
) -> None:  # fmt: skip
    """One less ``share`` times the derivatives of the gains by the volumes, on the entries that are ever not zero."""
    for i in range(entries.shape[0]):
        matrix[entries[i, 0], entries[i, 1]] = 0.0
    for i in range(slope.size):
        matrix[i, i] = 1.0
    for i in range(ends.shape[0]):
        a, b = ends[i, 0], ends[i, 1]
        if link[BY_A, i] != 0.0:
            change = share * link[BY_A, i] * slope[a]
            matrix[a, a] += change
            if b >= 0:
                matrix[b, a] -= change
        if b >= 0 and link[BY_B, i] != 0.0:
            change = share * link[BY_B, i] * slope[b]
            matrix[b, b] -= change
            matrix[a, b] += change
    for s in range(stations.size):
        node, to = stations[s]["node"], stations[s]["to"]
        change = share * lift[BY_LEVEL, s] * slope[node]
        matrix[node, node] += change
        if to >= 0:
            matrix[to, node] -= change * full[s]


__all__ = [
    "BY_A", "BY_B", "BY_LEVEL", "LIFT", "Q", "gains", "grated", "implicit", "let_out", "piped", "pumped", "run_over",
    "seeped",
]  # fmt: skip
