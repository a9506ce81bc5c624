"""Tints for the ground that drains to each inlet: neighbours never share one where four tints can keep them apart."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from drainwright.field.terrain_model import Terrain
from drainwright.paper.sheet import Point

TINTS = 4  # as many as a map of plain areas needs


def tints_of(terrain: Terrain) -> tuple[str, ...]:
    """The layer by which each drained area is tinted.

    Parameters
    ----------
    terrain : Terrain
        The lie of the land.

    Returns
    -------
    tuple of str
        In the order of ``terrain.drained``; empty for ground that drains to no inlet. Tinted in turn is always the
        area whose neighbours have the most tints already, with the tint that lies least along its edge, of those the
        one that the fewest areas have.
    """
    inlets = [number for number, area in enumerate(terrain.drained) if area.kind == "inlet"]
    shapes = {number: shape_of(terrain.drained[number].rings).buffer(terrain.cell) for number in inlets}
    shared = {one: {other: _shared(shapes[one], shapes[other]) for other in inlets if other != one} for one in inlets}
    given: dict[int, int] = {}

    def pressed(number: int) -> tuple[int, int, int]:
        beside = [other for other, touch in shared[number].items() if touch > 0.0]
        return len({given[other] for other in beside if other in given}), len(beside), -number

    while len(given) < len(inlets):
        number = max((one for one in inlets if one not in given), key=pressed)
        along = [0.0] * TINTS
        for other, touch in shared[number].items():
            if other in given:
                along[given[other]] += touch
        had = list(given.values())
        given[number] = min(range(TINTS), key=lambda tint: (along[tint], had.count(tint), tint))
    return tuple(f"drains {given[number] + 1}" if number in given else "" for number in range(len(terrain.drained)))


def _shared(one: Any, other: Any) -> float:
    """Area that two grown areas share: in proportion to the edge along which they touch. [m²]"""
    return float(one.intersection(other).area)


def shape_of(rings: Sequence[Sequence[Point]]) -> Any:
    """Rings as one area: a ring inside another is a hole."""
    import shapely

    shape: Any = shapely.Polygon()
    for ring in rings:
        shape = shapely.symmetric_difference(shape, shapely.Polygon(ring).buffer(0))
    return shape


__all__ = ["TINTS", "shape_of", "tints_of"]
