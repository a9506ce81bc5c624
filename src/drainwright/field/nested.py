"""Low spots within a larger one: which of its parts hold water by themselves, each up to its sill."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Numbers = NDArray[np.intp]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Pool:
    """Standing water by the corners of triangles below it."""

    corners: Numbers
    water: float  # its level when full [m]
    spill_at: int  # the corner over which it runs out


@dataclass(slots=True)
class _Basin:
    """Corners that water joins before it reaches the level in hand."""

    corners: list[int]
    bottom: float
    told: bool = False


@dataclass(slots=True)
class _Part:
    """Corners that water at a level has joined; basins that meet only at that very level stand apart."""

    level: float
    edge: list[int]  # corners at the level
    basins: list[_Basin]
    inner: list[Pool]

    def rise(self, level: float, levels: Array) -> None:
        """Let the water rise: what met at a lower level is one basin now."""
        if self.level < level:
            corners = max((basin.corners for basin in self.basins), key=len, default=[])
            for basin in self.basins:
                if basin.corners is not corners:
                    corners.extend(basin.corners)
            corners.extend(self.edge)
            bottom = min([*(basin.bottom for basin in self.basins), *(float(levels[corner]) for corner in self.edge)])
            self.level, self.edge, self.basins = level, [], [_Basin(corners, bottom)]


def inner_pools(
    levels: Array, towards: Numbers, whole: Pool, least_depth: float, wide: Callable[[Numbers, float], bool]
) -> list[Pool]:
    """Parts of a low spot that fill by themselves before they run together.

    Parameters
    ----------
    levels : Array
        Of the ground's corners, shape (n,). [m]
    towards : NDArray of int
        The way out of each corner, from ``spill_levels``.
    whole : Pool
        The low spot.
    least_depth : float
        Both parts must be this deep below the sill between them. [m]
    wide : callable
        Whether a part, by its corners and the level of its water, is wide enough.

    Returns
    -------
    list of Pool
        The parts on all hands of every sill that counts.

    Notes
    -----
    The ways out are a minimum spanning tree, so the corners join along it at the level at which water joins them.
    """
    within = set(whole.corners.tolist())
    ways = [(a, int(towards[a])) for a in sorted(within) if int(towards[a]) in within]
    ways.sort(key=lambda way: (max(levels[way[0]], levels[way[1]]), way))
    home = {corner: corner for corner in within}
    parts = {corner: _Part(float(levels[corner]), [corner], [], []) for corner in within}

    def find(corner: int) -> int:
        while home[corner] != corner:
            home[corner] = home[home[corner]]
            corner = home[corner]
        return corner

    for a, b in ways:
        sill = a if levels[a] >= levels[b] else b
        water = float(levels[sill])
        one, other = find(a), find(b)
        part, joining = parts[one], parts.pop(other)
        part.rise(water, levels)
        joining.rise(water, levels)
        home[other] = one
        part.edge += joining.edge
        part.basins += joining.basins
        part.inner += joining.inner
        deep = [basin for basin in part.basins if water - basin.bottom >= least_depth]
        if len(deep) < 2:
            continue
        counting = [basin for basin in deep if wide(np.array(basin.corners, dtype=np.intp), water)]
        if len(counting) < 2:
            continue
        for basin in counting:
            if not basin.told:
                basin.told = True
                corners = np.array(basin.corners, dtype=np.intp)
                part.inner.append(Pool(corners=corners, water=water, spill_at=sill))
    (whole_part,) = parts.values()
    return whole_part.inner


__all__ = ["Pool", "inner_pools"]
