"""The ground surface: triangles between the shots, with the house cut out of them.

Levels between shots are read off the flat triangle they lie in. Outside the shots the level of the nearest place
at their rim is taken, and ``supported`` says no: such ground is a guess.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, overload

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drainwright.errors import InputError
from drainwright.field.model import Plan
from drainwright.worksheet import Card, catalogued

if TYPE_CHECKING:
    from scipy.spatial import Delaunay

Array = NDArray[np.float64]

EDGE = 0.002  # a place this near to the rim, or to a wall, is on it [m]
HALVINGS = 10  # of a wall that the triangles do not keep; then it may be crossed
ON_WALL = 0.05  # a shot this near to a wall line was taken at the wall [m]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Profile:
    """The ground along a route. Arrays of one length."""

    station: Array  # along the route, from its beginning [m]
    east: Array  # [m]
    north: Array  # [m]
    level: Array  # [m]
    supported: NDArray[np.bool_]  # whether shots surround the place


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
def prism_volume(plan: Array, levels: Array, triangles: NDArray[np.intp], plane: float) -> Earthwork:
    """Cut and fill between triangles and a level plane, exact for the triangles.

    Parameters
    ----------
    plan : Array
        East and north, shape (n, 2). [m]
    levels : Array
        Shape (n,). [m]
    triangles : NDArray
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
    a, b, c = (plan[triangles[:, n]] for n in range(3))
    area = 0.5 * np.abs((b[:, 0] - a[:, 0]) * (c[:, 1] - a[:, 1]) - (b[:, 1] - a[:, 1]) * (c[:, 0] - a[:, 0]))
    heights = levels[triangles] - plane
    cut, fill = (float(np.sum(area * _part_above(np.sort(way * heights, axis=1)))) for way in (1.0, -1.0))
    return Earthwork(cut=cut, fill=fill)


def _part_above(heights: Array) -> Array:
    """Mean over a triangle of its height where that is above zero; heights sorted, shape (m, 3)."""
    low, middle, high = heights.T
    mean = heights.sum(axis=1) / 3.0
    with np.errstate(divide="ignore", invalid="ignore"):
        top = high**3 / ((high - middle) * (high - low)) / 3.0  # only the highest corner is above
        bottom = -(low**3) / ((middle - low) * (high - low)) / 3.0  # only the lowest is below
    return np.where(
        high <= 0.0,
        0.0,
        np.where(middle <= 0.0, np.nan_to_num(top), np.where(low < 0.0, mean + np.nan_to_num(bottom), mean)),
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Surface:
    """Ground triangulated between levelled shots; make one with ``triangulate``."""

    names: tuple[str, ...]  # of the shots; empty for a vertex put in along a wall
    plan: Array  # east and north, shape (n, 2) [m]
    levels: Array  # shape (n,) [m]
    triangles: NDArray[np.intp]  # of the ground, shape (m, 3)
    house_triangles: NDArray[np.intp]  # wholly under the house, not ground
    rim: NDArray[np.intp]  # edges of the hull by the numbers of their ends, shape (h, 2)
    _origin: Array = field(repr=False)  # taken off before triangulating, against lost digits [m]
    _mesh: Delaunay = field(repr=False)
    _under_house: NDArray[np.bool_] = field(repr=False)  # by triangle of the mesh

    @overload
    def level(self, east: float, north: float) -> float: ...
    @overload
    def level(self, east: Array, north: Array) -> Array: ...
    def level(self, east: Any, north: Any) -> Any:
        """Level of the ground.

        Parameters
        ----------
        east, north : float or Array
            Places, of one shape. [m]

        Returns
        -------
        float or Array
            On the triangle over the place; beyond the shots, at the nearest place of their rim. [m]

        Raises
        ------
        InputError
            If a coordinate is not finite.
        """
        level, _ = self._read(east, north)
        return float(level) if level.ndim == 0 else level

    @overload
    def supported(self, east: float, north: float) -> bool: ...
    @overload
    def supported(self, east: Array, north: Array) -> NDArray[np.bool_]: ...
    def supported(self, east: Any, north: Any) -> Any:
        """Whether shots surround a place, and it is not under the house; of the shape of the arguments."""
        _, supported = self._read(east, north)
        return bool(supported) if supported.ndim == 0 else supported

    def _read(self, east: ArrayLike, north: ArrayLike) -> tuple[Array, NDArray[np.bool_]]:
        e, n = np.broadcast_arrays(np.asarray(east, dtype=np.float64), np.asarray(north, dtype=np.float64))
        at = np.stack([e.ravel(), n.ravel()], axis=1)
        if not np.all(np.isfinite(at)):
            raise InputError("east, north: expected finite numbers")
        at = at - self._origin
        home = self._mesh.find_simplex(at, tol=1e-9)
        found = home >= 0
        level = np.full(len(at), np.nan)
        level[found] = self._on_triangles(home[found], at[found])
        lost = np.isnan(level)
        distance = np.zeros(len(at))
        if lost.any():
            level[lost], distance[lost] = self._at_edges(at[lost], self.rim)
        supported = distance <= EDGE
        under = found & self._under_house[home]
        if under.any():  # on a wall it is ground all the same
            open_sides = self._mesh.simplices[~self._under_house][:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
            sides = np.unique(np.sort(np.vstack([open_sides, self.rim]), axis=1), axis=0)
            supported[under] = self._at_edges(at[under], sides)[1] <= EDGE
        return level.reshape(e.shape), supported.reshape(e.shape)

    def _on_triangles(self, home: NDArray[np.intp], at: Array) -> Array:
        corners = self._mesh.simplices[home]
        a, b, c = (self._mesh.points[corners[:, n]] for n in range(3))
        u, v, w = b - a, c - a, at - a
        twice = u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0]
        with np.errstate(divide="ignore", invalid="ignore"):
            s = (w[:, 0] * v[:, 1] - w[:, 1] * v[:, 0]) / twice
            t = (u[:, 0] * w[:, 1] - u[:, 1] * w[:, 0]) / twice
        za, zb, zc = self.levels[corners].T
        level: Array = za + s * (zb - za) + t * (zc - za)
        flat = ~((np.minimum(s, t) > -1e-6) & (s + t < 1.0 + 1e-6))  # a sliver without area
        level[flat] = np.nan
        return level

    def _at_edges(self, at: Array, edges: NDArray[np.intp]) -> tuple[Array, Array]:
        """Level at the nearest place of the edges, and the distance to it."""
        start, end = self._mesh.points[edges[:, 0]], self._mesh.points[edges[:, 1]]
        run = end - start
        level, distance = np.empty(len(at)), np.empty(len(at))
        for first in range(0, len(at), 1024):  # in blocks, so that memory stays small
            block = slice(first, first + 1024)
            away = at[block, None, :] - start
            along = np.clip(np.sum(away * run, axis=2) / np.sum(run**2, axis=1), 0.0, 1.0)
            gaps = np.linalg.norm(away - along[:, :, None] * run, axis=2)
            nearest = np.argmin(gaps, axis=1)
            row = np.arange(len(nearest))
            part = along[row, nearest]
            z1, z2 = self.levels[edges[nearest, 0]], self.levels[edges[nearest, 1]]
            level[block], distance[block] = z1 + part * (z2 - z1), gaps[row, nearest]
        return level, distance

    def profile(self, route: Sequence[Plan], spacing: float) -> Profile:
        """The ground along a route.

        Parameters
        ----------
        route : sequence of Plan
            Two places or more; each becomes a station. [m]
        spacing : float
            Greatest distance between stations, above zero. [m]

        Returns
        -------
        Profile
            Stations, evenly spaced within each straight.

        Raises
        ------
        InputError
            If the spacing is not above zero or the route has fewer than two places.
        """
        station, at = stations(route, spacing)
        level, supported = self._read(at[:, 0], at[:, 1])
        return Profile(station=station, east=at[:, 0], north=at[:, 1], level=level, supported=supported)

    def volume_between(self, plane: float) -> Earthwork:
        """Cut and fill between the ground (without the house) and a level plane. [m³]"""
        return prism_volume(self.plan, self.levels, self.triangles, plane)


def stations(route: Sequence[Plan], spacing: float) -> tuple[Array, Array]:
    """Places along a route, its own included: stations of shape (k,), and plan of shape (k, 2). [m]"""
    if not spacing > 0.0:
        raise InputError(f"spacing = {spacing!r}: expected a number above zero")
    if len(route) < 2:
        raise InputError(f"route = {list(route)!r}: expected two places or more")
    corners = np.array(route, dtype=np.float64)
    lengths = np.hypot(*np.diff(corners, axis=0).T)
    parts = np.maximum(1, np.ceil(lengths / spacing - 1e-9).astype(int))
    steps = np.concatenate([n + np.arange(count) / count for n, count in enumerate(parts)] + [[float(len(parts))]])
    marks = np.arange(len(corners), dtype=np.float64)
    station = np.interp(steps, marks, np.concatenate([[0.0], np.cumsum(lengths)]))
    return station, np.stack([np.interp(steps, marks, corners[:, n]) for n in (0, 1)], axis=1)


def triangulate(
    names: Sequence[str], plan: Sequence[Plan], levels: Sequence[float], outline: Sequence[Plan] = ()
) -> Surface:
    """Triangulate levelled shots round a house.

    Parameters
    ----------
    names : sequence of str
        Of the shots.
    plan : sequence of Plan
        Their places; shots at one place (to a millimetre) count as one, of their mean level. [m]
    levels : sequence of float
        Their levels. [m]
    outline : sequence of Plan
        The house. Shots inside it are left out. Where two shots follow each other along a wall the ground is
        taken as straight between them, and no triangle crosses that wall there. [m]

    Returns
    -------
    Surface
        The ground.

    Raises
    ------
    InputError
        If fewer than three shots are left, or they lie in one line.

    Notes
    -----
    Delaunay triangles; a wall's edge that they do not keep is halved until they do. A shot within 5 cm of a
    wall line was taken at the wall, and is moved onto it.
    """
    import shapely
    from scipy.spatial import Delaunay

    house = shapely.Polygon(outline) if len(outline) >= 3 else shapely.Polygon()
    kept: dict[tuple[int, int], list[tuple[str, Plan, float]]] = {}
    for name, at, level in zip(names, plan, levels, strict=True):
        spot = shapely.Point(at)
        if not house.is_empty and house.exterior.distance(spot) <= ON_WALL:
            touching = house.exterior.interpolate(house.exterior.project(spot))
            at = (touching.x, touching.y)
        elif house.contains(spot):
            continue
        kept.setdefault((round(at[0] * 1000), round(at[1] * 1000)), []).append((name, at, level))
    shots = [(group[0][0], group[0][1], sum(shot[2] for shot in group) / len(group)) for group in kept.values()]
    if len(shots) < 3:
        raise InputError(f"shots = {len(shots)} on the ground: expected three or more")
    labels = [shot[0] for shot in shots]
    places = np.array([shot[1] for shot in shots], dtype=np.float64)
    heights = np.array([shot[2] for shot in shots], dtype=np.float64)
    origin = places.mean(axis=0)
    spread = np.linalg.svd(places - origin, compute_uv=False)
    if spread[1] < 1e-6 * max(1.0, spread[0]):
        raise InputError("shots: all in one line; expected one to the side of it")
    walls = _wall_edges(places, outline)
    for halving in range(HALVINGS + 1):
        mesh = Delaunay(places - origin)
        edges = {frozenset(pair) for corner in mesh.simplices.tolist() for pair in _sides(corner)}
        broken = [wall for wall in walls if frozenset(wall) not in edges]
        if not broken or halving == HALVINGS:
            break
        for wall in broken:
            walls.remove(wall)
            walls += [(wall[0], len(places)), (len(places), wall[1])]
            labels.append("")
            places = np.vstack([places, places[list(wall)].mean(axis=0)])
            heights = np.append(heights, heights[list(wall)].mean())
    corners = mesh.simplices.astype(np.intp)
    under = np.asarray(shapely.covers(house.buffer(EDGE), shapely.polygons(places[corners])), dtype=bool) & (
        not house.is_empty
    )
    return Surface(
        names=tuple(labels),
        plan=places,
        levels=heights,
        triangles=corners[~under],
        house_triangles=corners[under],
        rim=mesh.convex_hull.astype(np.intp),
        _origin=origin,
        _mesh=mesh,
        _under_house=under,
    )


def _sides(corner: Sequence[int]) -> tuple[tuple[int, int], ...]:
    return ((corner[0], corner[1]), (corner[1], corner[2]), (corner[2], corner[0]))


def _wall_edges(places: Array, outline: Sequence[Plan]) -> list[tuple[int, int]]:
    """Pairs of shots that follow each other along a side of the outline."""
    pairs = []
    for start, end in zip(outline, [*outline[1:], *outline[:1]], strict=True):
        run = np.subtract(end, start)
        length = float(np.hypot(*run))
        away = places - np.asarray(start)
        along = away @ run / length
        aside = np.abs(away[:, 0] * run[1] - away[:, 1] * run[0]) / length
        on = [n for n in np.argsort(along) if aside[n] <= ON_WALL and -EDGE <= along[n] <= length + EDGE]
        pairs += [(int(a), int(b)) for a, b in itertools.pairwise(on)]
    return pairs


__all__ = ["Earthwork", "Profile", "Surface", "prism_volume", "stations", "triangulate"]
