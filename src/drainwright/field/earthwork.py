"""Areas and volumes between triangles and a level plane, exact for the triangles."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drainwright.worksheet import Card, catalogued

Array = NDArray[np.float64]
Numbers = NDArray[np.intp]


def plan_areas(plan: Array, triangles: Numbers) -> Array:
    """Plan area of each triangle, shape (m,). [m²]"""
    a, b, c = (plan[triangles[:, n]] for n in range(3))
    return 0.5 * np.abs((b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0]))


def mean_above(heights: Array) -> Array:
    """Mean over a triangle of its height where that is above zero; heights sorted, shape (..., 3). [m]"""
    low, middle, high = np.moveaxis(heights, -1, 0)
    mean = heights.sum(axis=-1) / 3.0
    with np.errstate(divide="ignore", invalid="ignore"):
        top = high**3 / ((high - middle) * (high - low)) / 3.0  # only the highest corner is above
        bottom = -(low**3) / ((middle - low) * (high - low)) / 3.0  # only the lowest is below
    return np.where(
        high <= 0.0,
        0.0,
        np.where(middle <= 0.0, np.nan_to_num(top), np.where(low < 0.0, mean + np.nan_to_num(bottom), mean)),
    )


def share_above(heights: Array) -> Array:
    """Part of a triangle's area that stands at zero or above; heights sorted, shape (..., 3). [-]"""
    low, middle, high = np.moveaxis(heights, -1, 0)
    with np.errstate(divide="ignore", invalid="ignore"):
        top = high**2 / ((high - middle) * (high - low))
        bottom = low**2 / ((middle - low) * (high - low))
    return np.where(
        low >= 0.0,
        1.0,
        np.where(high <= 0.0, 0.0, np.where(middle <= 0.0, np.nan_to_num(top), 1.0 - np.nan_to_num(bottom))),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Earthwork:
    """Volume between the ground and a level plane."""

    cut: float  # ground above the plane [m³]
    fill: float  # ground below the plane [m³]


@catalogued(
    Card(
        title="Volume between triangles and a level plane",
        symbol="V",
        expression="each triangle's plan area times its mean height; a triangle that crosses the plane is parted there",
        units={"plan": "m", "levels": "m", "triangles": "-", "plane": "m", "result": "m³"},
        source="earthwork",
        expression_kind="procedure",
    )
)
def prism_volume(plan: Array, levels: Array, triangles: Numbers, plane: float) -> Earthwork:
    """Cut and fill between triangles and a level plane, exact for the triangles.

    Parameters
    ----------
    plan : Array
        East and north, shape (n, 2). [m]
    levels : Array
        Shape (n,). [m]
    triangles : NDArray of int
        Corners by number, shape (m, 3).
    plane : float
        Level of the plane. [m]

    Returns
    -------
    Earthwork
        Cut and fill, both zero or more. [m³]

    Examples
    --------
    >>> corner = np.array([[0.0, 0.0], [2.0, 0.0], [0.0, 2.0]])
    >>> prism_volume(corner, np.array([1.0, 1.0, 4.0]), np.array([[0, 1, 2]]), 0.0)
    Earthwork(cut=4.0, fill=0.0)
    """
    area = plan_areas(plan, triangles)
    heights = levels[triangles] - plane
    cut, fill = (float(np.sum(area * mean_above(np.sort(way * heights, axis=1)))) for way in (1.0, -1.0))
    return Earthwork(cut=cut, fill=fill)


@catalogued(
    Card(
        title="Area and volume of water standing on triangles",
        symbol="A, V",
        expression="each triangle's plan area, as far as it lies below the water, times its mean depth there; a"
        " triangle that the water's edge crosses is parted there",
        units={"plan": "m", "levels": "m", "triangles": "-", "water": "m", "result": "m², m³"},
        source="earthwork",
        expression_kind="procedure",
    )
)
def standing_water(plan: Array, levels: Array, triangles: Numbers, water: float) -> tuple[float, float]:
    """Area and volume of water that stands to one level on triangles, exact for the triangles.

    Parameters
    ----------
    plan : Array
        East and north, shape (n, 2). [m]
    levels : Array
        Of the ground, shape (n,). [m]
    triangles : NDArray of int
        Corners by number, shape (m, 3).
    water : float
        Level of the water. [m]

    Returns
    -------
    tuple of float
        Area and volume. [m², m³]

    Examples
    --------
    >>> corner = np.array([[0.0, 0.0], [2.0, 0.0], [0.0, 2.0]])
    >>> standing_water(corner, np.array([1.0, 1.0, 4.0]), np.array([[0, 1, 2]]), 4.0)
    (2.0, 4.0)
    """
    area, volume = water_at(plan, levels, triangles, np.array([water]))
    return float(area[0]), float(volume[0])


def water_at(plan: Array, levels: Array, triangles: Numbers, water: Array) -> tuple[Array, Array]:
    """Areas and volumes of ``standing_water`` at many levels, shapes as ``water``. [m², m³]"""
    areas = plan_areas(plan, triangles)
    depths = np.sort(water[:, None, None] - levels[triangles], axis=-1)
    return share_above(depths) @ areas, mean_above(depths) @ areas


__all__ = ["Earthwork", "mean_above", "plan_areas", "prism_volume", "share_above", "standing_water", "water_at"]
