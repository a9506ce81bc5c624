"""Tell ground from what stands on it, where a cloud of points has no classes."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError

Array = NDArray[np.float64]
MOST_CELLS = 9_000_000


def ground_points(
    east: Array,
    north: Array,
    level: Array,
    cell: float = 1.0,
    widest: float = 40.0,
    slope: float = 0.15,
    first: float = 0.3,
    most: float = 2.5,
) -> NDArray[np.bool_]:
    """Mark the points that lie on the ground: the progressive morphological filter.

    Parameters
    ----------
    east, north, level : Array
        The points, shape (n,). [m]
    cell : float
        Side of the cells by whose lowest points the ground is sought. [m]
    widest : float
        Greatest width of what is taken off: a house. [m]
    slope : float
        The ground's own slope, at most. [-]
    first, most : float
        A point that stands higher than this over the opened ground is none: with the smallest window, and at
        most. [m]

    Returns
    -------
    NDArray
        True for ground, shape (n,).

    Raises
    ------
    InputError
        If the points fill more than nine million cells, or there are none.

    Notes
    -----
    Windows grow as 2·2^k + 1 cells, and the height by which something must stand out grows with the slope times the
    window's growth: K. Zhang et al., A progressive morphological filter for removing nonground measurements from
    airborne lidar data, IEEE Trans. Geosci. Remote Sensing 41(4), 2003, eq. 3-7 (from memory). Empty cells take
    their nearest neighbour's level. Hedges, cars and low walls may stay; steep banks may go.
    """
    from scipy import ndimage

    if not len(east):
        raise InputError("points = 0: expected one or more")
    column = np.floor((east - east.min()) / cell).astype(np.intp)
    row = np.floor((north - north.min()) / cell).astype(np.intp)
    shape = (int(row.max()) + 1, int(column.max()) + 1)
    if shape[0] * shape[1] > MOST_CELLS:
        raise InputError(f"points over {shape[1] * cell:,.0f} by {shape[0] * cell:,.0f} m: expected a smaller piece")
    lowest = np.full(shape, np.inf)
    np.minimum.at(lowest, (row, column), level)
    empty = ~np.isfinite(lowest)
    if empty.any():
        nearest = ndimage.distance_transform_edt(empty, return_distances=False, return_indices=True)
        lowest = lowest[tuple(nearest)]
    ground = np.ones(len(level), dtype=bool)
    surface, before = lowest, 1
    for step in range(max(1, math.ceil(math.log2(max(widest / cell, 2.0))))):
        window = 2 * 2**step + 1
        allowed = first if step == 0 else min(most, slope * (window - before) * cell + first)

        opened = ndimage.grey_opening(surface, size=(window, window), mode="nearest")
        stands = surface - opened > allowed
        ground &= ~(stands[row, column])
        surface, before = opened, window
    # within a cell of ground a point may still stand on a twig over its lowest
    ground &= level - lowest[row, column] <= first
    return ground


__all__ = ["ground_points"]
