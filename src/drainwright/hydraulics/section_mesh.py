"""The mesh of a vertical section at right angle to a drained wall: columns that stretch to the water table.

Levels are heights, distances run outwards from the wall's outer face (negative under the house). Below the
``shelf``, where footing and drain stone stand, lies one fixed block of columns from end to end; on it stand a block
under the house, up to water table or slab, and one outside, from the stone's side up to the water table.
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError

Numbers = NDArray[np.float64]
Indices = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """A section to be computed: ground, house and drain, with what holds the water at its ends.

    Where ``shelf`` is at ``barrier`` there is no ground below the drain: the drain is then the face of a plain dam
    that reaches from ``stone[1]`` to ``outer``, and nothing comes from the house's side.
    """

    barrier: float  # bottom of the water-bearing layer [m]
    shelf: float  # level of the underside of footing and stone, at least the barrier [m]
    drain_level: float  # level that the drain holds, at least the shelf [m]
    outer: float  # distance of the undisturbed water outside, beyond the stone [m]
    outer_level: float  # its level, at least the drain's [m]
    stone: tuple[float, float]  # the drain's stone, from where to where; it begins at the footing's outer edge [m]
    footing: float = 0.0  # distance of the footing's inner edge, less than the stone's [m]
    inner: float | None = None  # distance of the section's end under the house, below the footing's; None: no house [m]
    inner_level: float | None = None  # level held there; None: closed, the middle of a house drained all round [m]
    cap: float | None = None  # underside of the slab, which keeps the water down; None: open [m]
    conductivity: float  # across, of the soil above ``layer`` [m/s]
    conductivity_below: float | None = None  # across, of the soil below ``layer``; None: the same [m/s]
    layer: float | None = None  # level at which the soil changes, at or below the shelf; None: one soil [m]
    anisotropy: float = 1.0  # upright conductivity over that across [-]
    recharge: float = 0.0  # rain that reaches the water table outside [m/s]

    def __post_init__(self) -> None:
        def need(good: bool, name: str, value: object, rule: str) -> None:
            if not good:
                raise InputError(f"{name} = {value!r}: expected {rule}")

        given = [self.barrier, self.shelf, self.drain_level, self.outer, self.outer_level, *self.stone, self.footing]
        given += [v for v in (self.inner, self.inner_level, self.cap, self.layer, self.recharge) if v is not None]
        need(bool(np.all(np.isfinite(given))), "section", given, "finite numbers")
        need(self.shelf >= self.barrier, "shelf", self.shelf, "at least the barrier")
        need(self.drain_level >= self.shelf, "drain_level", self.drain_level, "at least the shelf")
        need(self.outer_level >= self.drain_level, "outer_level", self.outer_level, "at least the drain's level")
        need(self.outer_level > self.barrier, "outer_level", self.outer_level, "above the barrier")
        need(self.stone[0] < self.stone[1] < self.outer, "stone", self.stone, "rising, and less than 'outer'")
        for name in ("conductivity", "conductivity_below", "anisotropy"):
            value = getattr(self, name)
            need(value is None or (np.isfinite(value) and value > 0.0), name, value, "a finite number above zero")
        need(self.recharge >= 0.0, "recharge", self.recharge, "zero or more")
        if self.inner is not None and self.deep:
            need(self.inner < self.footing < self.stone[0], "footing", self.footing, "between 'inner' and the stone")
            need(self.drain_level > self.shelf, "drain_level", self.drain_level, "above the shelf, beside a house")
            level = self.inner_level
            need(level is None or level >= self.drain_level, "inner_level", level, "at least the drain's level")
            need(self.cap is None or self.cap > self.shelf, "cap", self.cap, "above the shelf")
        need(self.layer is None or self.layer <= self.shelf, "layer", self.layer, "at most the shelf")

    @property
    def deep(self) -> bool:
        """Whether there is ground below the drain."""
        return self.shelf > self.barrier

    @property
    def housed(self) -> bool:
        """Whether the section reaches under a house."""
        return self.deep and self.inner is not None


@dataclass(frozen=True, slots=True, kw_only=True)
class Mesh:
    """Nodes in columns, and what each column's top is; heights are filled in by ``heights``."""

    x: Numbers  # of each node [m]
    base: Numbers  # level where the node's part of its column begins [m]
    share: Numbers  # of the way from there to the column's top; nodes of the fixed block: 0 [-]
    column: Indices  # which entry of the tops the node follows; -1: none
    triangles: Indices  # (m, 3), anticlockwise
    top_nodes: Indices  # node at the top of each moving column
    outside: slice  # the moving columns outside, from the stone outwards
    inside: slice  # those under the house, from the footing inwards
    stone_nodes: Indices  # under the stone
    stone_side: Indices  # of the stone's outer side, from below
    outer_nodes: Indices
    inner_nodes: Indices  # empty: no house

    def heights(self, tops: Numbers) -> Numbers:
        """Level of each node for given levels of the columns' tops. [m]"""
        moving = self.column >= 0
        z = self.base.copy()
        z[moving] += self.share[moving] * (tops[self.column[moving]] - self.base[moving])
        return z


def graded(breaks: Sequence[float], near: Sequence[float], finest: float, growth: float, coarsest: float) -> Numbers:
    """Places along a line: every break, and between them steps that grow with the distance from what is near.

    Parameters
    ----------
    breaks : sequence of float
        Places that must be there, rising. [m]
    near : sequence of float
        Where the steps are finest. [m]
    finest, coarsest : float
        Least and greatest step. [m]
    growth : float
        Growth of the step with distance. [-]

    Returns
    -------
    ndarray
        Rising. [m]
    """
    found = [np.array([float(breaks[0])])]
    for start, end in itertools.pairwise(breaks):
        if end - start < 1e-9:
            continue
        fine = np.linspace(start, end, 401)
        distance = np.min(np.abs(fine[:, None] - np.asarray(near)[None, :]), axis=1)
        density = 1.0 / np.minimum(finest + growth * distance, coarsest)
        counted = np.concatenate([[0.0], np.cumsum(0.5 * (density[1:] + density[:-1]) * np.diff(fine))])
        steps = max(2, int(np.ceil(counted[-1])))
        inner = np.interp(np.linspace(0.0, counted[-1], steps + 1), counted, fine)
        found.append(inner[1:-1])
        found.append(np.array([float(end)]))
    return np.concatenate(found)


def mesh_of(section: Section, triangles: int = 3000) -> Mesh:
    """Cover a section with about so many triangles, fine near the drain.

    Parameters
    ----------
    section : Section
        What is to be covered.
    triangles : int
        About how many, at least 50.

    Returns
    -------
    Mesh
        Ready for any water table.

    Raises
    ------
    InputError
        If ``triangles`` is too few.
    """
    if triangles < 50:
        raise InputError(f"triangles = {triangles!r}: expected 50 or more")
    scale, mesh = 1.0, _build(section, 1.0)
    for _ in range(4):
        scale *= (len(mesh.triangles) / triangles) ** 0.5
        mesh = _build(section, scale)
    return mesh


def _build(section: Section, scale: float) -> Mesh:
    tall = section.outer_level - section.barrier
    finest, coarsest = 0.02 * tall * scale, 0.16 * tall * scale
    near = [*section.stone, *((section.footing,) if section.housed else ())]
    if section.deep:
        start = section.inner if section.inner is not None else section.stone[0]
        breaks = [start, *((section.footing, section.stone[0]) if section.housed else ()), section.stone[1]]
        x = graded([*breaks, section.outer], near, finest, 0.22, coarsest)
        levels = [section.barrier, section.shelf]
        if section.layer is not None and section.barrier < section.layer < section.shelf:
            levels.insert(1, section.layer)
        z = graded(levels, [section.shelf], finest, 0.22, coarsest)
    else:
        x = graded([section.stone[1], section.outer], [section.stone[1]], finest, 0.22, coarsest)
        z = np.array([float(section.barrier)])
    rise = section.outer_level - section.shelf
    rows = max(4, round(rise / (0.05 * tall * scale)))
    return _knit(section, x, z, rows)


def _knit(section: Section, x: Numbers, z: Numbers, rows: int) -> Mesh:
    """Number the nodes: the fixed block column by column, then the block outside, then that under the house."""
    many, deep = len(x), len(z)
    fixed = np.arange(many * deep).reshape(many, deep)
    parts_x, parts_base = [np.repeat(x, deep)], [np.tile(z, many)]
    parts_share, parts_column = [np.zeros(many * deep)], [np.full(many * deep, -1)]
    cells = [_cells(fixed)] if deep > 1 else []
    out_columns = np.flatnonzero(x >= section.stone[1] - 1e-9)
    in_columns = np.flatnonzero(x <= section.footing + 1e-9)[::-1] if section.housed else np.empty(0, dtype=np.int64)
    count, following = many * deep, 0
    grids = []
    for columns in (out_columns, in_columns):
        size = len(columns)
        new = count + np.arange(size * rows).reshape(size, rows)
        grid = np.column_stack([fixed[columns, -1], new])
        grids.append(grid)
        parts_x.append(np.repeat(x[columns], rows))
        parts_base.append(np.full(size * rows, float(section.shelf)))
        parts_share.append(np.tile(np.arange(1, rows + 1) / rows, size))
        parts_column.append(np.repeat(following + np.arange(size), rows))
        if size:
            cells.append(_cells(grid) if columns[-1] > columns[0] else _cells(grid[::-1]))
        count += size * rows
        following += size
    outside, inside = grids
    stone = fixed[(x >= section.stone[0] - 1e-9) & (x <= section.stone[1] + 1e-9), -1] if section.deep else outside[0]
    lowest = fixed[-1] if section.deep else outside[-1, :1]
    return Mesh(
        x=np.concatenate(parts_x),
        base=np.concatenate(parts_base),
        share=np.concatenate(parts_share),
        column=np.concatenate(parts_column),
        triangles=np.vstack(cells),
        top_nodes=np.concatenate([grid[:, -1] for grid in grids]),
        outside=slice(0, len(outside)),
        inside=slice(len(outside), len(outside) + len(inside)),
        stone_nodes=stone,
        stone_side=outside[0],
        outer_nodes=np.unique(np.concatenate([lowest, outside[-1]])),
        inner_nodes=np.unique(np.concatenate([fixed[0], inside[-1]])) if len(inside) else np.empty(0, dtype=np.int64),
    )


def _cells(grid: Indices) -> Indices:
    """Two triangles for each cell of a grid of nodes (columns from left to right, rows upwards)."""
    a, b, c, d = grid[:-1, :-1].ravel(), grid[1:, :-1].ravel(), grid[1:, 1:].ravel(), grid[:-1, 1:].ravel()
    turn = (np.add.outer(np.arange(grid.shape[0] - 1), np.arange(grid.shape[1] - 1)) % 2 == 0).ravel()
    first = np.where(turn[:, None], np.column_stack([a, b, c]), np.column_stack([a, b, d]))
    second = np.where(turn[:, None], np.column_stack([a, c, d]), np.column_stack([b, c, d]))
    return np.vstack([first, second])


__all__ = ["Indices", "Mesh", "Numbers", "Section", "graded", "mesh_of"]
