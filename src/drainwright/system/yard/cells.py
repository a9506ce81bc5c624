"""The yard as cells: what a metre of pipe costs in each, where none may lie, and the graph over them."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from drainwright.field.model import Plan
from drainwright.system.yard.zones import Zone

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

Array = NDArray[np.float64]
Numbers = NDArray[np.int64]

LEAST_CELL = 0.25  # [m]
MOST_CELLS = 25_000
FINE = 3  # sub-cells each way for zones narrower than a few cells
STEPS = ((0, 1), (1, 0), (1, 1), (1, -1), (1, 2), (2, 1), (1, -2), (2, -1))  # half of the sixteen neighbours


@dataclass(frozen=True, slots=True, kw_only=True)
class Cells:
    """Square cells over the yard; the first index counts to the east, the second to the north."""

    west: float  # [m]
    south: float  # [m]
    side: float  # [m]
    weight: Array  # cost of a metre of pipe, in metres in open lawn, shape (east, north) [m/m]
    closed: NDArray[np.bool_]  # nothing may lie there, shape (east, north)

    @property
    def shape(self) -> tuple[int, int]:
        """Cells to the east and to the north."""
        return self.weight.shape[0], self.weight.shape[1]

    def index(self, east: Any, north: Any) -> tuple[Numbers, Numbers]:
        """The cell over each place; beyond the edge the cell at the edge."""
        i = np.floor((np.asarray(east) - self.west) / self.side).astype(np.int64)
        j = np.floor((np.asarray(north) - self.south) / self.side).astype(np.int64)
        return np.clip(i, 0, self.shape[0] - 1), np.clip(j, 0, self.shape[1] - 1)

    def at(self, east: Any, north: Any) -> Array:
        """Weight at each place [m/m]."""
        return self.weight[self.index(east, north)]

    def centre(self, number: Any) -> tuple[Array, Array]:
        """Middle of a cell, by its number in the flat order [m]."""
        i, j = np.divmod(np.asarray(number), self.shape[1])
        return self.west + (i + 0.5) * self.side, self.south + (j + 0.5) * self.side

    def open_cell(self, place: Plan) -> int:
        """Number of the open cell nearest to a place."""
        i, j = self.index(*place)
        if not self.closed[i, j]:
            return int(i) * self.shape[1] + int(j)
        reach = 4
        while True:
            a, b = max(int(i) - reach, 0), max(int(j) - reach, 0)
            window = ~self.closed[a : int(i) + reach + 1, b : int(j) + reach + 1]
            if window.any():
                p, q = np.nonzero(window)
                east, north = self.west + (a + p + 0.5) * self.side, self.south + (b + q + 0.5) * self.side
                best = int(np.argmin((east - place[0]) ** 2 + (north - place[1]) ** 2))
                return int(a + p[best]) * self.shape[1] + int(b + q[best])
            reach *= 2

    def along(self, route: Sequence[Plan]) -> float:
        """Integral of the weight along a polyline, from edge to edge of the cells that it passes [m]."""
        return sum(self._leg(a, b) for a, b in itertools.pairwise(route))

    def _leg(self, a: Plan, b: Plan) -> float:
        length = math.hypot(b[0] - a[0], b[1] - a[1])
        if length < 1e-12:
            return 0.0
        cuts = [np.array([0.0, 1.0])]
        for axis, origin in ((0, self.west), (1, self.south)):
            span = b[axis] - a[axis]
            if abs(span) > 1e-12:
                low, high = sorted(((a[axis] - origin) / self.side, (b[axis] - origin) / self.side))
                edges = np.arange(math.ceil(low), math.floor(high) + 1)
                cuts.append((origin + edges * self.side - a[axis]) / span)
        share = np.sort(np.clip(np.concatenate(cuts), 0.0, 1.0))
        middle = (share[1:] + share[:-1]) / 2.0
        weight = self.at(a[0] + middle * (b[0] - a[0]), a[1] + middle * (b[1] - a[1]))
        return float(np.dot(np.diff(share), weight)) * length

    def legs(self, starts: Array, ends: Array) -> Array:
        """Costs of many straight legs by sampling, for a search; shapes (n, 2), (n, 2) and (n,) [m]."""
        length = np.hypot(*(ends - starts).T)
        count = int(np.clip(np.ceil(2.0 * length.max(initial=0.0) / self.side), 2, 120))
        share = (np.arange(count) + 0.5) / count
        east = starts[:, :1] + share * (ends[:, :1] - starts[:, :1])
        north = starts[:, 1:] + share * (ends[:, 1:] - starts[:, 1:])
        cost: Array = self.at(east, north).mean(axis=1) * length
        return cost


def lay_cells(
    extent: tuple[float, float, float, float], zones: Sequence[Zone], house: BaseGeometry, most: int = MOST_CELLS
) -> Cells:
    """Cells over an extent with the weights of all zones.

    Parameters
    ----------
    extent : tuple of float
        West, south, east and north. [m]
    zones : sequence of Zone
        What adds to the cost.
    house : BaseGeometry
        Where nothing may lie.
    most : int
        Cells at most.

    Returns
    -------
    Cells
        Cells of ``LEAST_CELL`` or larger.
    """
    west, south, east, north = extent
    wide, high = east - west, north - south
    side = max(LEAST_CELL, math.sqrt(wide * high / most))
    while math.ceil(wide / side) * math.ceil(high / side) > most:
        side *= 1.005
    shape = math.ceil(wide / side), math.ceil(high / side)
    weight = np.ones(shape)
    cells = Cells(west=west, south=south, side=side, weight=weight, closed=np.zeros(shape, dtype=bool))
    for zone in zones:
        # a set-back is kept by whole cells, so that none that counts as outside it reaches into it
        area = zone.shape.buffer(0.75 * side) if zone.kind == "set-back" else zone.shape
        _add(cells, area, weight, zone.extra, FINE if zone.kind in ("utility", "trunk", "wall") else 1)
    shut = np.zeros(shape)
    _add(cells, house, shut, 1.0, 1)
    return Cells(west=west, south=south, side=side, weight=weight, closed=shut > 0.5)


def _add(cells: Cells, shape: BaseGeometry, onto: Array, extra: float, fine: int) -> None:
    """Add a weight to the cells, by the share of each that lies in a shape."""
    from shapely import contains_xy, prepare

    if shape.is_empty:
        return
    west, south, east, north = shape.bounds
    (i0, i1), (j0, j1) = cells.index([west, east], [south, north])
    wide, high = int(i1 - i0 + 1), int(j1 - j0 + 1)
    prepare(shape)
    x = cells.west + (i0 + (np.arange(wide * fine) + 0.5) / fine) * cells.side
    y = cells.south + (j0 + (np.arange(high * fine) + 0.5) / fine) * cells.side
    inside = contains_xy(shape, *np.meshgrid(x, y, indexing="ij"))
    share = inside.reshape(wide, fine, high, fine).mean(axis=(1, 3))
    onto[i0 : i1 + 1, j0 : j1 + 1] += extra * share


def steps_between(cells: Cells, house: BaseGeometry) -> tuple[Numbers, Numbers, Array]:
    """Steps between the middles of open cells, to sixteen neighbours, with their cost.

    Returns
    -------
    tuple of ndarray
        Number of the one cell, of the other, and the integral of the weight along the step; each pair once.
    """
    from shapely import intersects, linestrings, prepare

    prepare(house)
    columns, rows = cells.shape
    number = np.arange(columns * rows).reshape(columns, rows)
    near = _grown(cells.closed, 2)
    found: list[tuple[Numbers, Numbers, Array]] = []
    for east, north in STEPS:
        low, high = max(0, -north), rows - max(0, north)
        first = (slice(0, columns - east), slice(low, high))

        def moved(i: int, j: int, east: int = east, low: int = low, high: int = high) -> tuple[slice, slice]:
            return slice(i, i + columns - east), slice(low + j, high + j)

        last = moved(east, north)
        weights = cells.weight
        total = weights[first] + weights[last]
        if abs(east) + abs(north) == 3:  # a knight's move passes through two more cells, a quarter each
            one, other = (moved(1, 0), moved(1, north)) if east == 2 else (moved(0, north // 2), moved(1, north // 2))
            total = (total + weights[one] + weights[other]) / 4.0
        else:
            total = total / 2.0
        is_open = ~(cells.closed[first] | cells.closed[last])
        a, b = number[first][is_open], number[last][is_open]
        cost = total[is_open] * math.hypot(east, north) * cells.side
        check = np.nonzero(near.ravel()[a])[0]
        if len(check):
            ends = np.stack([np.stack(cells.centre(a[check]), -1), np.stack(cells.centre(b[check]), -1)], axis=1)
            keep = np.ones(len(a), dtype=bool)
            keep[check] = ~intersects(house, linestrings(ends))
            a, b, cost = a[keep], b[keep], cost[keep]
        found.append((a, b, cost))
    return (
        np.concatenate([item[0] for item in found]),
        np.concatenate([item[1] for item in found]),
        np.concatenate([item[2] for item in found]),
    )


def _grown(mask: NDArray[np.bool_], cells: int) -> NDArray[np.bool_]:
    """A mask grown by so many cells each way."""
    from scipy.ndimage import binary_dilation

    grown: NDArray[np.bool_] = binary_dilation(mask, structure=np.ones((3, 3), dtype=bool), iterations=cells)
    return grown


__all__ = ["LEAST_CELL", "MOST_CELLS", "Array", "Cells", "Numbers", "lay_cells", "steps_between"]
