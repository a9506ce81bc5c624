"""Square cells over the lot and the surveyed ground beyond it: their levels, and how much of each they hold.

A cell belongs to what its centre lies in. A sliver of the lot (cut off by a slanting boundary or a wall) whose cell
belongs to something else is counted with the nearest cell of the lot, so that the areas add up to the lot.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError
from drainwright.field.terrain_model import Array, Plan

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

    from drainwright.field.surface import Surface

CELLS = 8000  # about so many are aimed at: areas to some parts in a thousand, in some hundredths of a second
SIDES = (0.1, 0.125, 0.15, 0.2, 0.25, 0.3, 0.4, 0.5, 0.6, 0.75, 1.0, 1.25, 1.5, 2.0)  # of a cell [m]
CARRIED = 1.0  # ground this near beyond the shots is carried on from them; farther out it is not known [m]
MARGIN = 10.0  # cells reach at most so far beyond the shots; the rest of a large lot is not known either [m]

OUTSIDE, HOUSE, LOT, BEYOND, UNKNOWN = range(5)  # what a cell belongs to; UNKNOWN: of the lot, beyond the shots


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class GroundGrid:
    """Cells in rows from south to north, each from west to east. Arrays of shape (rows, columns)."""

    cell: float  # side [m]
    west: float  # of the first cell's western edge [m]
    south: float  # [m]
    belongs: NDArray[np.int8]
    level: Array  # at the centre; not a number in the house and far from the shots [m]
    lot: Array  # ground of the lot that is counted here, without the house [m²]
    beyond: Array  # surveyed ground beyond the boundary that is counted here [m²]
    lot_shape: BaseGeometry  # with the house
    house_shape: BaseGeometry
    shots_shape: BaseGeometry  # what the shots surround

    @property
    def live(self) -> NDArray[np.bool_]:
        """Cells over which water is followed."""
        live: NDArray[np.bool_] = (self.belongs == LOT) | (self.belongs == BEYOND)
        return live

    @property
    def not_laid(self) -> float:
        """Ground of the lot without the house that no cell holds, for it lies far beyond the shots. [m²]"""
        return max(0.0, float(self.lot_shape.difference(self.house_shape).area - self.lot.sum()))

    def centres(self) -> tuple[Array, Array]:
        """East and north of the cells, shape (rows, columns). [m]"""
        rows, columns = self.belongs.shape
        east = self.west + self.cell * (np.arange(columns) + 0.5)
        north = self.south + self.cell * (np.arange(rows) + 0.5)
        return np.broadcast_to(east, (rows, columns)), np.broadcast_to(north[:, None], (rows, columns))

    def centre(self, number: int) -> Plan:
        """Place of a cell, by its number in reading order. [m]"""
        row, column = divmod(int(number), self.belongs.shape[1])
        return self.west + self.cell * (column + 0.5), self.south + self.cell * (row + 0.5)

    def number(self, at: Plan, reach: float) -> int | None:
        """The live cell at a place, or the nearest one, if that is within a reach; None where there is none."""
        rows, columns = self.belongs.shape
        column, row = math.floor((at[0] - self.west) / self.cell), math.floor((at[1] - self.south) / self.cell)
        if 0 <= row < rows and 0 <= column < columns and self.live[row, column]:
            return int(row * columns + column)
        east, north = self.centres()
        away = np.where(self.live, np.hypot(east - at[0], north - at[1]), np.inf)
        best = int(np.argmin(away))
        return best if away.ravel()[best] <= reach + self.cell else None

    def within(self, at: Plan, radius: float) -> NDArray[np.intp]:
        """Live cells whose centres lie within a radius of a place, by number."""
        east, north = self.centres()
        near = self.live & (np.hypot(east - at[0], north - at[1]) <= radius)
        return np.flatnonzero(near)


def fitting_cell(extent: float) -> float:
    """Side of the cells for an extent of ground: the least of a series that keeps their number in hand. [m]

    Examples
    --------
    >>> fitting_cell(1000.0)
    0.4
    """
    for side in SIDES:
        if extent / side**2 <= CELLS:
            return side
    return math.ceil(math.sqrt(extent / CELLS))


def lay_grid(
    surface: Surface, boundary: Sequence[Plan] = (), house: Sequence[Plan] = (), cell: float | None = None
) -> GroundGrid:
    """Lay cells over the lot and the surveyed ground round it.

    Parameters
    ----------
    surface : Surface
        The ground.
    boundary : sequence of Plan
        Of the lot; left out, the lot is what the shots surround. [m]
    house : sequence of Plan
        Outline of the house. [m]
    cell : float, optional
        Side of a cell, above zero; left out, by the extent of the ground. [m]

    Returns
    -------
    GroundGrid
        Its ``lot`` and ``not_laid`` add up to the lot's area less the house's, its ``beyond`` to that of the surveyed
        ground beyond.

    Raises
    ------
    InputError
        If the cell's side is not above zero.
    """
    import shapely

    if cell is not None and not cell > 0.0:
        raise InputError(f"cell = {cell!r}: expected a number above zero")
    shots = shapely.convex_hull(shapely.MultiPoint(surface.plan))
    home: BaseGeometry = _shape(house)
    lot: BaseGeometry = _shape(boundary) if len(boundary) >= 3 else shots
    near = shapely.box(*shapely.buffer(shots, MARGIN).bounds)
    west, south, east, north = shapely.intersection(shapely.union(lot, shots), near).bounds
    side = fitting_cell((east - west) * (north - south)) if cell is None else cell
    west, south = west - side, south - side  # a ring of cells outside: what flows over the edge arrives there
    columns, rows = (math.ceil((far - near) / side - 1e-9) + 1 for near, far in ((west, east), (south, north)))
    grid = GroundGrid(
        cell=side, west=west, south=south, belongs=np.zeros((rows, columns), dtype=np.int8),
        level=np.full((rows, columns), np.nan), lot=np.zeros((rows, columns)), beyond=np.zeros((rows, columns)),
        lot_shape=lot, house_shape=home, shots_shape=shots,
    )  # fmt: skip
    belongs = _belongings(grid)
    level = np.full((rows, columns), np.nan)
    wanted = np.flatnonzero(beside((belongs == LOT) | (belongs == BEYOND)) & (belongs != HOUSE))
    level.ravel()[wanted] = _levels(surface, grid, wanted)
    ground = shapely.difference(lot, home)
    outer = shapely.difference(shots, shapely.union(lot, home))
    return GroundGrid(
        cell=side, west=west, south=south, belongs=belongs, level=level,
        lot=_shares(grid, ground, (belongs == LOT) | (belongs == UNKNOWN)),
        beyond=_shares(grid, outer, belongs == BEYOND),
        lot_shape=lot, house_shape=home, shots_shape=shots,
    )  # fmt: skip


def _shape(ring: Sequence[Plan]) -> BaseGeometry:
    import shapely

    return shapely.make_valid(shapely.Polygon(ring)) if len(ring) >= 3 else shapely.Polygon()


def _belongings(grid: GroundGrid) -> NDArray[np.int8]:
    import shapely

    east, north = grid.centres()
    known, near = grid.shots_shape, shapely.buffer(grid.shots_shape, CARRIED, join_style="mitre")
    in_lot, in_house, in_shots, in_near = (
        shapely.contains_xy(shape, east, north) for shape in (grid.lot_shape, grid.house_shape, known, near)
    )
    belongs = np.zeros(east.shape, dtype=np.int8)
    belongs[in_shots & ~in_lot] = BEYOND
    belongs[in_lot & in_near] = LOT
    belongs[in_lot & ~in_near] = UNKNOWN
    belongs[in_house] = HOUSE
    return belongs


def beside(cells: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The cells marked, and all their neighbours."""
    wide = np.pad(cells, 1)
    wide = wide[:-2] | wide[1:-1] | wide[2:]
    around: NDArray[np.bool_] = wide[:, :-2] | wide[:, 1:-1] | wide[:, 2:]
    return around


def _levels(surface: Surface, grid: GroundGrid, wanted: NDArray[np.intp]) -> Array:
    """Levels at the centres; beyond the rim of the shots the ground goes on as it falls just inside it."""
    import shapely

    east, north = (each.ravel()[wanted] for each in grid.centres())
    level = surface.level(east, north)
    out = np.flatnonzero(~shapely.intersects_xy(grid.shots_shape, east, north))
    if len(out):
        at: Any = shapely.points(east[out], north[out])
        rim: Any = shapely.boundary(grid.shots_shape)
        near = shapely.get_coordinates(shapely.line_interpolate_point(rim, shapely.line_locate_point(rim, at)))
        mirrored = 2.0 * near - shapely.get_coordinates(at)
        inside = shapely.contains_xy(grid.shots_shape, *mirrored.T) & ~shapely.contains_xy(
            grid.house_shape, *mirrored.T
        )
        edge = surface.level(*near.T)
        level[out] = np.where(inside, 2.0 * edge - surface.level(*mirrored.T), edge)
    return level


def _shares(grid: GroundGrid, shape: BaseGeometry, own: NDArray[np.bool_]) -> Array:
    """Area of a shape in each of its own cells; what lies in other cells goes to the nearest of its own."""
    import shapely
    from scipy.spatial import KDTree

    columns = own.shape[1]
    east, north = grid.centres()
    area = np.where(shapely.contains_xy(shape, east, north), grid.cell**2, 0.0)
    cut = np.flatnonzero(_along(grid, shapely.boundary(shape)))
    row, column = np.divmod(cut, columns)
    west, south = grid.west + grid.cell * column, grid.south + grid.cell * row
    boxes = shapely.box(west, south, west + grid.cell, south + grid.cell)
    area.ravel()[cut] = shapely.area(shapely.intersection(boxes, shape))
    strays, homes = np.flatnonzero(~own & (area > 0.0)), np.flatnonzero(own)
    if len(homes) == 0:
        return np.zeros(own.shape)
    if len(strays):
        at = np.stack([east.ravel(), north.ravel()], axis=1)
        _, nearest = KDTree(at[homes]).query(at[strays])
        np.add.at(area.ravel(), homes[nearest], area.ravel()[strays])
        area.ravel()[strays] = 0.0
    return area


def _along(grid: GroundGrid, line: BaseGeometry) -> NDArray[np.bool_]:
    """Cells that a line may cut."""
    import shapely

    rows, columns = grid.belongs.shape
    cut = np.zeros((rows, columns), dtype=bool)
    if not line.is_empty:
        at = shapely.get_coordinates(shapely.segmentize(line, 0.5 * grid.cell))
        column = np.clip(np.floor((at[:, 0] - grid.west) / grid.cell).astype(int), 0, columns - 1)
        row = np.clip(np.floor((at[:, 1] - grid.south) / grid.cell).astype(int), 0, rows - 1)
        cut[row, column] = True
    return beside(cut)


__all__ = [
    "BEYOND", "CARRIED", "HOUSE", "LOT", "OUTSIDE", "UNKNOWN", "GroundGrid", "beside", "fitting_cell", "lay_grid",
]  # fmt: skip
