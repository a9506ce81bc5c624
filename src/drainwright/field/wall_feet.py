"""The ground at the foot of the walls: what shots close by tell of it, and where no shot tells of it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from drainwright.field.breaklines import EDGE, ON_WALL, Shots

if TYPE_CHECKING:
    from shapely import Polygon

    from drainwright.field.model import SiteWall
    from drainwright.field.surface import Surface

Array = NDArray[np.float64]
Plan = tuple[float, float]
Barrier = tuple[Array, float]  # a line that the ground may break at, shape (k, 2), and its drop [m]

NEAR_WALL = 0.61  # a shot within 2 ft of a wall speaks for the ground at its foot; common practice, no source [m]
FARTHER = 5.0  # so far beyond it another shot may tell how the ground falls there; common practice, no source [m]
ASIDE = 1.0  # ... if it lies no farther to the side; common practice, no source [m]
UNTOLD = 4.572  # 15 ft: ground between shots at a wall farther apart is a guess; common practice, no source [m]


def with_feet(shots: Shots, outline: Sequence[Plan], house: Polygon, barriers: Sequence[Barrier] = ()) -> Shots:
    """Shots with a vertex at the foot of each wall that a shot close by speaks for.

    Parameters
    ----------
    shots : Shots
        Outside the house; those at a wall lie on it.
    outline : sequence of Plan
        The house. [m]
    house : Polygon
        The same; may be empty.
    barriers : sequence of Barrier
        Breaklines: no level is carried over one, no slope on from one, and nothing from the head of a drop.

    Returns
    -------
    Shots
        Those given, then the feet without names: square to the wall from a shot within 2 ft of it, where no shot
        on the wall lies within 2 ft. The level is carried on from the shot by the slope to the next one beyond it,
        at least as far out again and at most 5 m; without one it is the shot's own.
    """
    if house.is_empty:
        return shots
    feet: list[Array] = []
    levels: list[float] = []
    for start, end in zip(outline, [*outline[1:], *outline[:1]], strict=True):
        length = math.dist(start, end)
        if length < EDGE:
            continue
        unit = np.subtract(end, start) / length
        away = shots.plan - np.asarray(start)
        along, aside = away @ unit, away[:, 1] * unit[0] - away[:, 0] * unit[1]
        gap = np.abs(aside)
        taken = along[(gap <= ON_WALL) & (along >= -EDGE) & (along <= length + EDGE)].tolist()
        near = np.flatnonzero((gap > ON_WALL) & (gap <= NEAR_WALL) & (along > 0.0) & (along < length))
        for shot in near[np.argsort(gap[near], kind="stable")].tolist():
            foot = np.asarray(start) + along[shot] * unit
            if any(abs(along[shot] - other) <= NEAR_WALL for other in taken):
                continue
            out = aside * math.copysign(1.0, aside[shot])
            level = _carried(shots, shot, foot, along, out, house, barriers)
            if level is not None:
                feet.append(foot)
                levels.append(level)
                taken.append(float(along[shot]))
    return shots.with_more(np.array(feet), np.array(levels)) if feet else shots


def _carried(
    shots: Shots, shot: int, foot: Array, along: Array, out: Array, house: Polygon, barriers: Sequence[Barrier]
) -> float | None:
    """Level at the foot; None where the house or a breakline parts it from the shot. [m]"""
    import shapely

    at, level = shots.plan[shot], float(shots.levels[shot])
    body = shapely.buffer(house, -EDGE)
    lines = [(shapely.LineString(path), drop) for path, drop in barriers if len(path) > 1]
    here = shapely.Point(at)
    on = [drop for line, drop in lines if line.distance(here) <= EDGE]

    def parted(a: Array, b: Array) -> bool:
        step = (b - a) / float(np.linalg.norm(b - a))
        way = shapely.LineString([a + 2.0 * EDGE * step, b])
        return bool(way.intersects(body)) or any(way.intersects(line) for line, _ in lines)

    if any(drop > 0.0 for drop in on) or parted(at, foot):
        return None
    if on:
        return level
    beyond = out - out[shot]
    fits = (beyond >= out[shot]) & (beyond <= FARTHER) & (np.abs(along - along[shot]) <= ASIDE)
    order = np.flatnonzero(fits)[np.argsort(beyond[fits], kind="stable")].tolist()
    farther = next((n for n in order if not parted(at, shots.plan[n])), None)
    if farther is None:
        return level
    return level + (level - float(shots.levels[farther])) * float(out[shot] / beyond[farther])


def told_at(surface: Surface, wall: SiteWall) -> Array:
    """How far along a wall shots lie at it or within 2 ft of it, rising; those at its very ends too. [m]"""
    plan = surface.plan[np.array([bool(name) for name in surface.names], dtype=bool)]
    start = np.asarray(wall.start)
    unit = (np.asarray(wall.end) - start) / wall.length
    along, aside = (plan - start) @ unit, (plan - start) @ np.asarray(wall.outward)
    near = (aside >= -ON_WALL) & (aside <= NEAR_WALL) & (along >= -NEAR_WALL) & (along <= wall.length + NEAR_WALL)
    return np.sort(np.clip(along[near], 0.0, wall.length))


def untold(surface: Surface, wall: SiteWall) -> tuple[tuple[float, float], ...]:
    """Stretches of a wall, longer than 15 ft, along which no shot lies within 2 ft of it; the longest first. [m]"""
    marks = np.concatenate([[0.0], told_at(surface, wall), [wall.length]])
    gaps = sorted(zip(marks[:-1].tolist(), marks[1:].tolist(), strict=True), key=lambda gap: gap[0] - gap[1])
    return tuple(gap for gap in gaps if gap[1] - gap[0] > UNTOLD)


__all__ = ["NEAR_WALL", "UNTOLD", "told_at", "untold", "with_feet"]
