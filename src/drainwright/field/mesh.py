"""Triangles and their sides: what contours, low spots and ways of the water walk along."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from drainwright.field.surface import Surface

Array = NDArray[np.float64]
Numbers = NDArray[np.intp]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Mesh:
    """The ground's triangles with their sides numbered; the house is no part of it."""

    triangles: Numbers  # corners, anticlockwise, shape (m, 3)
    sides: Numbers  # ends of each side, the lower number first, shape (k, 2)
    of_triangle: Numbers  # sides from corner 0 to 1, 1 to 2 and 2 to 0, shape (m, 3)
    at_wall: NDArray[np.bool_]  # a side with ground on one hand and the house on the other, shape (k,)
    at_rim: NDArray[np.bool_]  # a side with ground on one hand and nothing measured on the other, shape (k,)


def anticlockwise(plan: Array, triangles: Numbers) -> Numbers:
    """The same triangles, each turned so that its corners run anticlockwise."""
    a, b, c = (plan[triangles[:, n]] for n in range(3))
    twice = (b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0])
    return np.where((twice < 0.0)[:, None], triangles[:, ::-1], triangles)


def side_keys(ends: Numbers, count: int) -> Numbers:
    """One number for each side, whichever way it runs; ``count`` is of the places."""
    keys: Numbers = ends.min(axis=-1) * count + ends.max(axis=-1)
    return keys


def mesh_of(surface: Surface) -> Mesh:
    """Number the sides of a surface's triangles, and tell walls from the rim."""
    count = len(surface.plan)
    triangles = anticlockwise(surface.plan, surface.triangles)
    ends = np.stack([triangles, np.roll(triangles, -1, axis=1)], axis=2)
    keys, inverse, times = np.unique(side_keys(ends, count).ravel(), return_inverse=True, return_counts=True)
    house = surface.house_triangles
    house_keys = side_keys(np.stack([house, np.roll(house, -1, axis=1)], axis=2), count).ravel()
    single = times == 1
    at_house = np.isin(keys, house_keys)
    return Mesh(
        triangles=triangles,
        sides=np.stack([keys // count, keys % count], axis=1),
        of_triangle=inverse.reshape(triangles.shape),
        at_wall=single & at_house,
        at_rim=single & ~at_house,
    )


__all__ = ["Mesh", "anticlockwise", "mesh_of", "side_keys"]
