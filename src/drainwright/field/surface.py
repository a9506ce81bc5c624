"""The ground surface: triangles between the shots, with the house cut out of them.

Levels between shots are read off the flat triangle they lie in. Outside the shots the level of the nearest place
at their rim is taken, and ``supported`` says no: such ground is a guess.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, overload

import numpy as np
from numpy.typing import ArrayLike, NDArray

from drainwright.errors import InputError
from drainwright.field.breaklines import EDGE, ON_WALL, WALL, Lines, Shots, conform, lay_lines, on_walls, wall_pieces
from drainwright.field.earthwork import Earthwork, prism_volume
from drainwright.field.mesh import side_keys
from drainwright.field.model import Plan
from drainwright.field.wall_feet import with_feet
from drainwright.field.words import fail
from drainwright.job.ground_files import Breakline

if TYPE_CHECKING:
    from scipy.spatial import Delaunay
    from shapely import Polygon, STRtree

Array = NDArray[np.float64]
Numbers = NDArray[np.intp]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Profile:
    """The ground along a route. Arrays of one length."""

    station: Array  # along the route, from its beginning [m]
    east: Array  # [m]
    north: Array  # [m]
    level: Array  # [m]
    supported: NDArray[np.bool_]  # whether shots surround the place


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Surface:
    """Ground triangulated between levelled shots; make one with ``triangulate``."""

    names: tuple[str, ...]  # of the shots; empty for a vertex put in along a wall
    plan: Array  # east and north, shape (n, 2) [m]
    levels: Array  # shape (n,) [m]
    triangles: Numbers  # of the ground, shape (m, 3)
    house_triangles: Numbers  # wholly under the house, not ground
    rim: Numbers  # edges of the hull by the numbers of their ends, shape (h, 2)
    _origin: Array = field(repr=False)  # taken off before triangulating, against lost digits [m]
    _mesh: Delaunay = field(repr=False)
    _tree: STRtree = field(repr=False)  # of the mesh's triangles
    _under_house: NDArray[np.bool_] = field(repr=False)  # by triangle of the mesh
    _house_sides: Numbers = field(repr=False)  # where ground and house meet, by the numbers of their ends

    @property
    def made_of(self) -> tuple[object, ...]:
        """All that tells this ground from any other."""
        return self.names, self.plan, self.levels, self._origin, self._mesh.simplices, self._under_house

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
        home, level = self._over(at)
        found = home >= 0
        lost = np.isnan(level)
        distance = np.zeros(len(at))
        if lost.any():
            level[lost], distance[lost] = self._at_edges(at[lost], self.rim)
        supported = distance <= EDGE
        under = found & self._under_house[home]
        if under.any():  # on a wall it is ground all the same
            supported[under] = self._at_edges(at[under], self._house_sides)[1] <= EDGE
        return level.reshape(e.shape), supported.reshape(e.shape)

    def _over(self, at: Array) -> tuple[Numbers, Array]:
        """The triangle over each place, -1 for none, and the level there, NaN for none; of several the first with area.

        A tree of the triangles finds them: the mesh's own search first inverts a matrix for each, one by one, which
        takes half a minute where the linear algebra library's threads get in each other's way.
        """
        import shapely

        home, level = np.full(len(at), -1, dtype=np.intp), np.full(len(at), np.nan)
        place, triangle = self._tree.query(shapely.points(at), predicate="intersects")
        order = np.lexsort((-triangle, place))
        place, triangle = place[order], triangle[order]
        levels = self._on_triangles(triangle, at[place])
        good = ~np.isnan(levels)
        for some in (~good, good):  # of those written to one place the last stays: the lowest number
            home[place[some]], level[place[some]] = triangle[some], levels[some]
        return home, level

    def _on_triangles(self, home: Numbers, at: Array) -> Array:
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

    def _at_edges(self, at: Array, edges: Numbers) -> tuple[Array, Array]:
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
    names: Sequence[str],
    plan: Sequence[Plan],
    levels: Sequence[float],
    outline: Sequence[Plan] = (),
    breaklines: Sequence[Breakline] = (),
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
        The house. Shots inside it are left out. Where two shots (or feet, see the notes) follow each other along a
        wall the ground is taken as straight between them, and no triangle crosses that wall there. [m]
    breaklines : sequence of Breakline
        Lines along named shots that no triangle crosses. Where one has a drop, the shots lie at its top, and the
        ground is lower by so much 1 cm to the right.

    Returns
    -------
    Surface
        The ground.

    Raises
    ------
    InputError
        If fewer than three shots are left, or they lie in one line.
    JobError
        If a breakline has a point that is no ground shot, runs through the house, or crosses another.

    Notes
    -----
    Delaunay triangles; a wall's edge or a line that they do not keep is halved until they do. A shot within 5 cm of
    a wall line was taken at the wall, and is moved onto it. A shot within 2 ft of a wall, with none on the wall
    within 2 ft of its foot, speaks for the foot: a place without a name is put in there, its level carried on by
    the slope to the next shot within 5 m beyond, or without one that of the shot (``wall_feet``).
    """
    import shapely

    house = shapely.Polygon(outline) if len(outline) >= 3 else shapely.Polygon()
    shots, numbers = _on_the_ground(names, plan, levels, house)
    if len(shots.levels) < 3:
        raise InputError(f"shots = {len(shots.levels)} on the ground: expected three or more")
    origin = shots.plan.mean(axis=0)
    spread = np.linalg.svd(shots.plan - origin, compute_uv=False)
    if spread[1] < 1e-6 * max(1.0, spread[0]):
        raise InputError("shots: all in one line; expected one to the side of it")
    known = [[numbers[name] for name in line.points if name in numbers] for line in breaklines]
    shots = with_feet(
        shots, outline, house, [(shots.plan[row], line.drop) for row, line in zip(known, breaklines, strict=True)]
    )
    ends = np.empty((0, 2), dtype=np.intp)
    owner = np.empty(0, dtype=np.intp)
    if breaklines:
        shots, laid = lay_lines(breaklines, numbers, shots, house)
        ends, owner = laid.ends, laid.owner
    walls = wall_pieces(shots.plan, outline)
    lines = Lines(
        ends=np.vstack([walls, ends]), owner=np.concatenate([np.full(len(walls), WALL, dtype=np.intp), owner])
    )
    shots, mesh, lost = conform(shots, lines, origin)
    if len(lost) and lost[-1] != WALL:
        raise fail(
            f"survey.breaklines[{lost[-1]}]", f"a line ({breaklines[lost[-1]].name}) that the triangles cannot keep",
            "a line with room to other lines and to walls", "Does it run within millimetres of another line?",
        )  # fmt: skip
    corners = mesh.simplices.astype(np.intp)
    under = np.zeros(len(corners), dtype=bool)
    if not house.is_empty:
        cover = house.buffer(EDGE)
        shapely.prepare(cover)
        under = np.asarray(shapely.covers(cover, shapely.polygons(shots.plan[corners])), dtype=bool)
    rim = mesh.convex_hull.astype(np.intp)
    return Surface(
        names=shots.names,
        plan=shots.plan,
        levels=shots.levels,
        triangles=corners[~under],
        house_triangles=corners[under],
        rim=rim,
        _origin=origin,
        _mesh=mesh,
        _tree=shapely.STRtree(shapely.polygons(mesh.points[corners])),  # type: ignore[arg-type]  # an array of them
        _under_house=under,
        _house_sides=_house_sides(corners[~under], corners[under], rim, len(shots.plan)),
    )


def _on_the_ground(
    names: Sequence[str], plan: Sequence[Plan], levels: Sequence[float], house: Polygon
) -> tuple[Shots, dict[str, int]]:
    """Shots outside the house, those at a wall moved onto it, one for each place; and which bears a name."""
    import shapely

    if not len(names) == len(plan) == len(levels):
        raise InputError(f"shots: {len(names)} names, {len(plan)} places and {len(levels)} levels")
    at = np.array(plan, dtype=np.float64).reshape(-1, 2)
    labels, heights = np.array(list(names), dtype=object), np.array(levels, dtype=np.float64)
    if not house.is_empty:
        spots = shapely.points(at)
        near = shapely.distance(house.exterior, spots) <= ON_WALL
        shapely.prepare(house)
        outside = near | ~shapely.contains(house, spots)
        at = on_walls(at, house)[outside]
        labels, heights = labels[outside], heights[outside]
    _, first, group = np.unique(np.rint(at * 1000.0), axis=0, return_index=True, return_inverse=True)
    order = np.argsort(first)
    group = np.argsort(order)[group.ravel()]
    first = first[order]
    mean = np.bincount(group, heights) / np.bincount(group) if len(at) else heights
    numbers = {str(name): int(number) for name, number in zip(labels, group, strict=True) if name}
    return Shots(names=tuple(str(name) for name in labels[first]), plan=at[first], levels=mean), numbers


def _house_sides(ground: Numbers, house: Numbers, rim: Numbers, count: int) -> Numbers:
    """Sides of the house's triangles that are ground: those with ground, or nothing, on the other hand."""
    ends = house[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2)
    open_sides = np.concatenate([side_keys(ground[:, [0, 1, 1, 2, 2, 0]].reshape(-1, 2), count), side_keys(rim, count)])
    return ends[np.isin(side_keys(ends, count), open_sides)]


__all__ = ["Earthwork", "Profile", "Surface", "prism_volume", "stations", "triangulate"]
