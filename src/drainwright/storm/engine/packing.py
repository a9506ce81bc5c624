"""The plant packed for the inner loop: a row for each link, few arrays in all.

A call of a compiled function copies what describes each array it is given; sixty arrays cost more than the arithmetic.
"""

from __future__ import annotations

from typing import Any, NamedTuple

import numpy as np
from numpy.typing import NDArray

from drainwright.storm.engine.plant import Floats, Plant, Whole

Rows = NDArray[Any]  # structured


class Packed(NamedTuple):
    """A plant; the fields of the rows are named as those of the named tuples in ``plant``."""

    stage: Floats  # (nodes, rows)
    stored: Floats
    pipes: Rows
    share: Floats
    grates: Rows
    overland: Rows
    ground: Rows
    outlets: Rows
    outlet_flow: Floats  # (outlets, rows)
    stations: Rows
    station_flow: Floats  # (stations, states, 3, rows)
    shared: Whole  # (stations, stations)
    watches: Rows
    pivots: Rows  # (nodes,) node, and where its list begins and ends in ``later``
    later: Whole
    entries: Whole  # (entries, 2) row and column of what is ever other than zero


def _rows(**columns: Any) -> Rows:
    count = len(next(iter(columns.values())))
    kinds = [(name, "i8" if values.dtype.kind == "i" else "f8") for name, values in columns.items()]
    found = np.zeros(count, kinds)
    for name, values in columns.items():
        found[name] = values
    return found


def packed(plant: Plant) -> Packed:
    """A plant, packed."""
    pipes, outlets, stations = plant.pipes._asdict(), plant.outlets._asdict(), plant.stations._asdict()
    share, flow = pipes.pop("share"), outlets.pop("flow")
    station_flow, shared = stations.pop("flow"), stations.pop("shared")
    order = plant.elimination
    return Packed(
        plant.stores.stage, plant.stores.stored, _rows(**pipes), share, _rows(**plant.grates._asdict()),
        _rows(**plant.overland._asdict()), _rows(**plant.ground._asdict()), _rows(**outlets), flow,
        _rows(**stations), station_flow, shared, _rows(**plant.watches._asdict()),
        _rows(node=order.order, start=order.start[:-1], end=order.start[1:]), order.later,
        np.ascontiguousarray(np.column_stack([order.row, order.column])),
    )  # fmt: skip


__all__ = ["Packed", "Rows", "packed"]
