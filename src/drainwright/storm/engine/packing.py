"""The plant packed for the inner loop: a row for each link, few arrays in all.

A call of a compiled function copies what describes each array it is given; sixty arrays cost more than the arithmetic.
"""

from __future__ import annotations

from collections.abc import Hashable
from functools import cache
from typing import Any, NamedTuple, get_type_hints

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError
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


@cache
def _kinds(rows: Hashable) -> tuple[Any, ...]:
    """Of the numbers of each array of a named tuple, as declared."""
    declared = get_type_hints(rows)
    return tuple(np.int64 if kind == Whole else np.float64 for kind in declared.values())


def laid_out(rows: Any) -> Any:
    """The arrays of a named tuple as the stepper is compiled for, once: whole or not as declared, also where empty,
    contiguous, writable.

    Raises
    ------
    InputError
        If numbers that are not whole stand where rows of stores should.
    """
    declared: Any = type(rows)
    arrays = []
    for name, values, kind in zip(rows._fields, rows, _kinds(declared), strict=True):
        found = np.asarray(values)
        if found.size and not np.can_cast(found.dtype, kind, "same_kind"):
            raise InputError(f"{name}: found numbers of kind {found.dtype}; expected whole numbers")
        arrays.append(np.require(found, kind, ("C", "A", "W")))
    return declared(*arrays)


def _rows(**columns: Any) -> Rows:
    found = np.zeros(len(next(iter(columns.values()))), [(name, values.dtype) for name, values in columns.items()])
    for name, values in columns.items():
        found[name] = values
    return found


def packed(plant: Plant) -> Packed:
    """A plant, packed."""
    plant = Plant(*(laid_out(rows) for rows in plant))
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


__all__ = ["Packed", "Rows", "laid_out", "packed"]
