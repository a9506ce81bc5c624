"""Levels along lines in plan: a run's trench bottom sampled, and the stepped bottom of a wall's dig."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from drainwright.build.earth import Series
from drainwright.system.model import SizedRun

if TYPE_CHECKING:
    from shapely import LineString
    from shapely.geometry.base import BaseGeometry

STEP = 0.5  # longest stretch between samples [m]
SAME_PLACE = 0.05  # ends of walls that meet, or of a wall and its drain [m]


def grid(length: float) -> Series:
    """Distances along a line, its ends among them [m]."""
    return np.linspace(0.0, length, max(2, int(np.ceil(length / STEP)) + 1))


def along(axis: LineString, distances: Series) -> Series:
    """Places at distances along a line, of shape (n, 2) [m]."""
    from shapely import get_coordinates, line_interpolate_point

    return np.asarray(get_coordinates(line_interpolate_point(axis, distances)), dtype=float)


def edges(axis: LineString, area: BaseGeometry) -> Series:
    """Where a line meets an area's edge [m]."""
    from shapely import Point, get_coordinates

    meets = get_coordinates(axis.intersection(area.boundary))
    return np.array([float(axis.project(Point(place))) for place in meets], dtype=np.float64)


def profile(run: SizedRun) -> tuple[Series, Series, Series]:
    """Distances, ground and trench bottom at a run's stations [m]."""
    distances = np.array([station.distance for station in run.stations])
    ground = np.array([station.ground for station in run.stations])
    cut = np.array([station.cut for station in run.stations])
    return distances, ground, ground - cut


def sampled(run: SizedRun) -> tuple[Series, Series, Series]:
    """Distances along a run, stations among them, with place and trench bottom there [m]."""
    from shapely import LineString

    route = LineString(run.route)
    stations, _, bottoms = profile(run)
    distances = np.unique(np.concatenate([grid(route.length), np.clip(stations, 0.0, route.length)]))
    return distances, along(route, distances), np.interp(distances, stations, bottoms)


def lowest(places: Series, levels: Series) -> tuple[Series, Series]:
    """Places in order, each once and to the nanometre, with the lowest level there [m]."""
    order, index = np.unique(np.round(places, 9), return_inverse=True)
    low = np.full(len(order), np.inf)
    np.minimum.at(low, index, levels)
    return order, low


def passes(places: Series, levels: Series, level: float) -> Series:
    """Where a broken line passes a level [m]."""
    above = levels - level
    turn = np.flatnonzero(above[:-1] * above[1:] < 0)
    share = above[turn] / (above[turn] - above[turn + 1])
    return np.asarray(places[turn] + share * (places[turn + 1] - places[turn]), dtype=float)


def stepped(length: float, top: float, floor: float, lines: Sequence[tuple[Series, Series]]) -> tuple[Series, Series]:
    """Distances along a dig and its bottom: ``top``, or the lowest line where it is lower, but not below ``floor``.

    Parameters
    ----------
    length : float
        Of the dig. [m]
    top, floor : float
        Highest and lowest level of the bottom. [m]
    lines : Sequence of tuple
        Places along the dig with a level at each, in order. A line counts between its ends. [m]

    Returns
    -------
    tuple of Series
        Distances, with every bend of the bottom among them, and the bottom. [m]
    """
    bends = [grid(length)]
    for places, levels in lines:
        bends += [places, passes(places, levels, top), passes(places, levels, floor)]
    distances = np.unique(np.clip(np.concatenate(bends), 0.0, length))
    bottom = np.full(len(distances), top)
    for places, levels in lines:
        beside = (distances >= places[0] - SAME_PLACE) & (distances <= places[-1] + SAME_PLACE)
        bottom = np.where(beside, np.minimum(bottom, np.interp(distances, places, levels)), bottom)
    return distances, np.maximum(bottom, floor)


__all__ = ["SAME_PLACE", "STEP", "along", "edges", "grid", "lowest", "passes", "profile", "sampled", "stepped"]
