"""The ground: depression filling against a plain search, and all of 5,000 shots against their triangles alone."""

from __future__ import annotations

import heapq
from collections.abc import Callable

import numpy as np


def filling(side: int = 316) -> tuple[Callable[[], object], Callable[[], object]]:
    """A rough grid of about 100,000 places filled by a plain search with a heap, and by ``spill_levels``."""
    from drainwright.field.spill import spill_levels

    levels = np.random.default_rng(0).normal(size=side * side)
    number = np.arange(side * side).reshape(side, side)
    pairs = [(number[1:], number[:-1]), (number[:, 1:], number[:, :-1]),
             (number[1:, 1:], number[:-1, :-1]), (number[1:, :-1], number[:-1, 1:])]  # fmt: skip
    edges = np.vstack([np.stack([a.ravel(), b.ravel()], axis=1) for a, b in pairs])
    rim = np.ones((side, side), dtype=bool)
    rim[1:-1, 1:-1] = False
    outlets = np.flatnonzero(rim)
    near: list[list[int]] = [[] for _ in range(side * side)]
    for a, b in edges.tolist():
        near[a].append(b)
        near[b].append(a)
    ground = levels.tolist()

    def plain() -> list[float]:
        water = [float("inf")] * len(ground)
        queue = [(ground[one], one) for one in outlets.tolist()]
        heapq.heapify(queue)
        while queue:
            level, here = heapq.heappop(queue)
            if water[here] <= level:
                continue
            water[here] = level
            for other in near[here]:
                if water[other] == float("inf"):
                    heapq.heappush(queue, (max(level, ground[other]), other))
        return water

    def ours() -> object:
        return spill_levels(levels, edges, outlets)

    if plain() != spill_levels(levels, edges, outlets).level.tolist():
        raise RuntimeError("the two fillings differ")
    return plain, ours


def whole_ground(count: int = 5000) -> tuple[Callable[[], object], Callable[[], object]]:
    """Surface, contours and low spots of many shots round a house, and their Delaunay triangles alone."""
    from scipy.spatial import Delaunay

    from drainwright.field.contours import contours
    from drainwright.field.low_spots import low_spots
    from drainwright.field.surface import triangulate

    rng = np.random.default_rng(1)
    at = rng.uniform(0.0, 50.0, (count, 2))
    levels = np.round(30.0 + 0.5 * np.sin(at[:, 0] / 5.0) * np.cos(at[:, 1] / 6.0) + rng.normal(0.0, 0.01, count), 2)
    names = [f"G{n}" for n in range(count)]
    house = ((20.0, 20.0), (32.0, 20.0), (32.0, 29.0), (20.0, 29.0))

    def ours() -> object:
        surface = triangulate(names, [(e, n) for e, n in at.tolist()], levels.tolist(), house)
        return contours(surface, 0.05), low_spots(surface)

    return ours, lambda: Delaunay(at)


__all__ = ["filling", "whole_ground"]
