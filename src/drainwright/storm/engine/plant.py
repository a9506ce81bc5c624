"""The plant as arrays: what the stepper steps. Levels in m, volumes in m³, flows in m³/s, times in s.

Grouped in named tuples, which the compiled stepper takes as they are. Every index is a row of ``Stores``; where a
link ends outside the plant its index is -1.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Whole = NDArray[np.int64]

NEVER = 1e30  # a time or a level that is not reached
FREE = -1e3  # a level far below all others: a free outfall [m]
OUT, AWAY, FAR, IN, STEPS, FORCED = range(6)  # the totals of a run


class Stores(NamedTuple):
    """Where water stands: structures with the pipes that meet them, ponds over grates, stone, cells of ground."""

    stage: Floats  # (nodes, rows) levels, rising [m]
    stored: Floats  # (nodes, rows) volume below each, rising from zero [m³]


class Pipes(NamedTuple):
    """Gravity pipes, flowing either way."""

    upper: Whole  # (pipes,) node at the upper end
    lower: Whole  # (pipes,) node at the lower end; -1: it ends at the fixed level ``outfall``
    z_upper: Floats  # invert [m]
    z_lower: Floats  # invert [m]
    diameter: Floats  # inside [m]
    conveyance: Floats  # K of Q = K sqrt(S), full; zero: blocked [m³/s]
    length: Floats  # [m]
    outfall: Floats  # level beyond the lower end; ``FREE``: none [m]
    share: Floats  # (rows,) conveyance over full conveyance at even depths from empty to full, the same for all [-]


class Grates(NamedTuple):
    """Grates between a pond above and a body below, flowing either way: the smaller of weir and orifice."""

    pond: Whole
    body: Whole
    rim: Floats  # [m]
    weir: Floats  # of Q = weir h^1.5 [m^1.5/s]
    orifice: Floats  # of Q = orifice h^0.5 [m^2.5/s]


class Overland(NamedTuple):
    """Water over a crest: over a rim and away, from pond to pond, over a gravity overflow. Broad weir, either way."""

    source: Whole
    target: Whole  # -1: away, never to come back
    crest: Floats  # [m]
    width: Floats  # [m]


class Ground(NamedTuple):
    """Seepage through ground by the difference of two levels, either way: Q = conductance (level a - level b)."""

    a: Whole
    b: Whole  # -1: the fixed level ``far``, moved by the forcing's ``shift``
    far: Floats  # [m]
    conductance: Floats  # [m²/s]
    floor_a: Floats  # a level below this counts as this: ground drains no lower than the invert it sees [m]
    floor_b: Floats  # [m]


class Outlets(NamedTuple):
    """Water that leaves a store by its level alone: soaking from a soakaway into the ground below it."""

    node: Whole
    low: Floats  # level of the first row [m]
    high: Floats  # level of the last row [m]
    flow: Floats  # (outlets, rows) at even levels from low to high; beyond, the last [m³/s]


class Stations(NamedTuple):
    """Pumps with their floats."""

    node: Whole  # (stations,) basin
    off: Floats  # volume of the basin at which the pumps stop [m³]
    on: Floats  # volume at which the first starts [m³]
    second: Floats  # volume at which both run; ``NEVER``: one pump [m³]
    low: Floats  # level of the first row of ``flow`` [m]
    high: Floats  # level of the last row [m]
    flow: Floats  # (stations, states, 3, rows): first pump, both, on the battery, by what else runs on the main [m³/s]
    shared: Whole  # (stations, stations) a state is the sum of this weight times the others' running pumps
    to: Whole  # node at which the line ends; -1: out
    line: Floats  # volume that fills the line at each start before it gives, and runs back at each stop [m³]
    battery: Floats  # run time that the battery gives at each power cut [s]


class Watches(NamedTuple):
    """Levels that are watched for: the slab, an alarm, a pond at the wall."""

    node: Whole
    level: Floats  # [m]


class Elimination(NamedTuple):
    """In which order the unknowns of a step are eliminated, and what each touches; see ``elimination``."""

    order: Whole  # (nodes,)
    start: Whole  # (nodes + 1,) where each pivot's list begins in ``later``, by its place in ``order``
    later: Whole  # nodes that a pivot's row and column reach among those eliminated after it
    row: Whole  # (entries,) of each entry that is ever other than zero
    column: Whole  # (entries,)


class Plant(NamedTuple):
    """All of it."""

    stores: Stores
    pipes: Pipes
    grates: Grates
    overland: Overland
    ground: Ground
    outlets: Outlets
    stations: Stations
    watches: Watches
    elimination: Elimination


class Forcing(NamedTuple):
    """What comes from outside, even within each step of its own."""

    edges: Floats  # (steps + 1,) [s]
    entry: Whole  # (entries,) node at which each column of ``inflow`` comes in
    inflow: Floats  # (steps, entries) [m³/s]
    shift: Floats  # (steps,) by which the far levels of the ground stand higher [m]
    cuts: Floats  # (cuts, 2) from when to when the power is out, in order [s]


class State(NamedTuple):
    """Where the stepper stands; stepping on from it at an edge of the forcing goes on as if never stopped."""

    volume: Floats  # (nodes,) [m³]
    running: Whole  # (stations,) pumps at work
    in_line: Floats  # (stations,) what would run back [m³]
    battery: Floats  # (stations,) run time left in the present or next power cut [s]
    clock: Floats  # (3,) time, the step that is tried next, and the one that was right after a switch of a pump;
    # negative: after the last, none has been found yet [s]


class Run(NamedTuple):
    """What the stepper gives back."""

    state: State  # at the end
    highest: Floats  # (nodes,) [m]
    highest_at: Floats  # (nodes,) [s]
    through_pipes: Floats  # (pipes,) net, downhill [m³]
    through_grates: Floats  # (grates,) net, downwards [m³]
    over: Floats  # (overland,) net [m³]
    seeped: Floats  # (ground,) net, from a to b [m³]
    soaked: Floats  # (outlets,) [m³]
    pumped: Floats  # (stations,) [m³]
    pump_seconds: Floats  # (stations,) both pumps added [s]
    second_seconds: Floats  # (stations,) of the second pump alone [s]
    starts: Floats  # (n, 2) time and station of each start of a first pump; none of skipped cycles
    start_count: Floats  # (stations,) skipped cycles too
    reached: Floats  # (watches,) when first at or above; ``NEVER``: not [s]
    above: Floats  # (watches,) time at or above [s]
    trace: Floats  # (n, 3 + nodes + 2 stations): time, levels, then volumes since the row before: out, away, and into
    # and lifted from each basin
    totals: Floats  # (6,) out; away overland; net into the plant from far ground; in with the forcing; steps taken;
    # and of those, such as are not right to the tolerance, since no shorter one is tried


__all__ = [
    "AWAY", "FAR", "FORCED", "FREE", "IN", "NEVER", "OUT", "STEPS", "Elimination", "Floats", "Forcing", "Grates",
    "Ground", "Outlets", "Overland", "Pipes", "Plant", "Run", "State", "Stations", "Stores", "Watches", "Whole",
]  # fmt: skip
