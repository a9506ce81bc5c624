"""Plants put together and checked; states to start from; forcings."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from drainwright.errors import InputError
from drainwright.storm.engine.packing import laid_out
from drainwright.storm.engine.plant import (
    NEVER,
    Floats,
    Forcing,
    Grates,
    Ground,
    Outlets,
    Overland,
    Pipes,
    Plant,
    State,
    Stations,
    Stores,
    Watches,
    Whole,
)  # fmt: skip

STEP = 1.0  # that is tried first [s]
_NONE, _ROWS = np.zeros(0), np.zeros(0, np.int64)

NO_PIPES = Pipes(_ROWS, _ROWS, _NONE, _NONE, _NONE, _NONE, _NONE, _NONE, np.array([0.0, 1.0]))
NO_GRATES = Grates(_ROWS, _ROWS, _NONE, _NONE, _NONE)
NO_OVERLAND = Overland(_ROWS, _ROWS, _NONE, _NONE)
NO_GROUND = Ground(_ROWS, _ROWS, _NONE, _NONE, _NONE, _NONE)
NO_OUTLETS = Outlets(_ROWS, _NONE, _NONE, np.zeros((0, 2)))
NO_STATIONS = Stations(
    _ROWS, _NONE, _NONE, _NONE, _NONE, _NONE, np.zeros((0, 1, 3, 2)), np.zeros((0, 0), np.int64), _ROWS, _NONE, _NONE
)
NO_WATCHES = Watches(_ROWS, _NONE)


def plant_of(
    stores: Stores,
    pipes: Pipes = NO_PIPES,
    grates: Grates = NO_GRATES,
    overland: Overland = NO_OVERLAND,
    ground: Ground = NO_GROUND,
    outlets: Outlets = NO_OUTLETS,
    stations: Stations = NO_STATIONS,
    watches: Watches = NO_WATCHES,
) -> Plant:
    """A plant of its parts, checked, with the order in which its unknowns are eliminated.

    Raises
    ------
    InputError
        If a number is not finite, a table does not rise, a link names a store that is not there, or floats are not in
        order.
    """
    from drainwright.storm.engine.elimination import elimination

    parts = [laid_out(rows) for rows in (stores, pipes, grates, overland, ground, outlets, stations, watches)]
    stores, pipes, grates, overland, ground, outlets, stations, watches = parts
    pairs = [
        *zip(pipes.upper, pipes.lower, strict=True), *zip(grates.pond, grates.body, strict=True),
        *zip(overland.source, overland.target, strict=True), *zip(ground.a, ground.b, strict=True),
        *zip(stations.node, stations.to, strict=True),
    ]  # fmt: skip
    for rows in parts:
        _finite(**rows._asdict())
    nodes = len(stores.stage)
    _check(nodes, stores, pairs, [*outlets.node, *watches.node], overland, stations)
    order = elimination(nodes, [(int(a), int(b)) for a, b in pairs])
    return Plant(stores, pipes, grates, overland, ground, outlets, stations, watches, order)


def _finite(**columns: Any) -> None:
    for name, values in columns.items():
        if not np.isfinite(values).all():
            raise InputError(f"{name}: found {np.asarray(values)[~np.isfinite(values)][0]}; expected finite numbers")


def _check(
    nodes: int,
    stores: Stores,
    pairs: Sequence[tuple[int, int]],
    singles: Sequence[int],
    overland: Overland,
    stations: Stations,
) -> None:
    for name, table in (("stage", stores.stage), ("stored", stores.stored)):
        bad = np.flatnonzero(~(np.diff(table, axis=1) > 0.0).all(axis=1))
        if bad.size:
            raise InputError(f"stores.{name}, row {bad[0]}: found {table[bad[0]].tolist()}; expected rising numbers")
    if stores.stored.size and (stores.stored[:, 0] != 0.0).any():
        raise InputError(f"stores.stored: found first volumes {stores.stored[:, 0].tolist()}; expected zeros")
    wrong = [pair for pair in pairs if not (0 <= pair[0] < nodes and -1 <= pair[1] < nodes)]
    wrong += [(one, one) for one in singles if not 0 <= one < nodes]
    if wrong:
        raise InputError(f"links: found {wrong[0]} among their ends; expected stores 0 to {nodes - 1}, or -1 beyond")
    for source, target, crest in zip(overland.source, overland.target, overland.crest, strict=True):
        bottom = max(stores.stage[source, 0], stores.stage[target, 0] if target >= 0 else -NEVER)
        if crest < bottom:
            raise InputError(f"overland: found a crest at {crest} under a store's bottom at {bottom}; expected none")
    for s in range(len(stations.node)):
        if not 0.0 < stations.off[s] < stations.on[s] or (stations.second[s] < stations.on[s] < NEVER):
            found = f"{stations.off[s]}, {stations.on[s]}, {stations.second[s]}"
            raise InputError(f"stations, row {s}: found float volumes {found}; expected off < on <= second")


def state_of(plant: Plant, volume: Floats, time: float = 0.0) -> State:
    """The state in which these volumes stand, all pumps at rest, lines empty, batteries full. [m³], [s]

    Raises
    ------
    InputError
        If there is not one volume for each store, or one is less than nothing or not finite.
    """
    count = len(plant.stations.node)
    held = np.array(volume, np.float64)
    _finite(volume=held, time=time)
    if held.shape != (len(plant.stores.stage),) or (held < 0.0).any():
        raise InputError(f"volume: found {held.tolist()}; expected {len(plant.stores.stage)} volumes, none below zero")
    return State(
        held, np.zeros(count, np.int64), np.zeros(count),
        np.array(plant.stations.battery, np.float64), np.array([time, STEP, NEVER]),
    )  # fmt: skip


def forcing_of(
    edges: Floats, entry: Whole, inflow: Floats, shift: Floats | None = None, cuts: Sequence[tuple[float, float]] = ()
) -> Forcing:
    """A forcing; without ``shift`` the far levels stay. Cuts of no length are left out, and such as meet joined.

    Raises
    ------
    InputError
        If the edges do not rise, the shapes do not fit, an inflow is less than nothing, or a number is not finite.
    """
    edges = np.ascontiguousarray(edges, np.float64)
    entry = np.ascontiguousarray(entry, np.int64)
    inflow = np.ascontiguousarray(inflow, np.float64)
    if not (np.diff(edges) > 0.0).all():
        raise InputError("edges: expected rising times")
    steps = edges.size - 1
    if inflow.shape != (steps, entry.size):
        raise InputError(f"inflow: found shape {inflow.shape}; expected {(steps, entry.size)}, steps by entries")
    moved = np.zeros(steps) if shift is None else np.ascontiguousarray(shift, np.float64)
    if moved.shape != (steps,):
        raise InputError(f"shift: found shape {moved.shape}; expected {(steps,)}, one for each step")
    joined: list[tuple[float, float]] = []
    for begin, end in sorted((float(cut[0]), float(cut[1])) for cut in cuts if not cut[1] <= cut[0]):
        if joined and begin <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        else:
            joined.append((begin, end))
    when = np.array(joined, np.float64).reshape(-1, 2)
    _finite(edges=edges, inflow=inflow, shift=moved, cuts=when)
    if (inflow < 0.0).any():
        raise InputError(f"inflow: found {inflow.min()}; expected none below zero, since a dry store has none to give")
    return Forcing(edges, entry, inflow, moved, when)


__all__ = [
    "NO_GRATES", "NO_GROUND", "NO_OUTLETS", "NO_OVERLAND", "NO_PIPES", "NO_STATIONS", "NO_WATCHES", "forcing_of",
    "plant_of", "state_of",
]  # fmt: skip
