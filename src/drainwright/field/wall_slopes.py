"""How the ground falls away from the walls: read outwards, square to each wall line."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np

from drainwright.field.model import Plan, SiteWall
from drainwright.field.terrain_model import Array, WallSlope
from drainwright.field.wall_feet import UNTOLD, told_at
from drainwright.job.values import Basis

if TYPE_CHECKING:
    from drainwright.field.surface import Surface

FALL_AWAY = 0.05  # 6 in within 10 ft, and as steep where a lot line is nearer: IRC R401.3 [-]
REACH = 3.048  # 10 ft, over which the ground must fall 6 in: IRC R401.3 [m]
SPACING = 1.0  # between the places along a wall [m]
AT_WALL = 0.03  # the ground at a wall is read so far out from it [m]
STEP = 0.3  # outwards, to find how far the ground is known [m]


def wall_slopes(
    surface: Surface,
    walls: Sequence[SiteWall],
    outline: Sequence[Plan] = (),
    boundary: Sequence[Plan] = (),
    reach: float = REACH,
) -> tuple[WallSlope, ...]:
    """The fall of the ground away from each wall line.

    Parameters
    ----------
    surface : Surface
        The ground.
    walls : sequence of SiteWall
        The wall lines.
    outline : sequence of Plan
        The house: another of its walls across the way ends it. [m]
    boundary : sequence of Plan
        Of the lot: it ends the way too. [m]
    reach : float
        How far out; 10 ft by IRC R401.3. [m]

    Returns
    -------
    tuple of WallSlope
        In the order of the walls, at places about a metre apart. Where shots do not surround the whole way it is
        read as far as they do and marked assumed; at a place where they do not even reach the wall the run is 0.
        Assumed too where, at a place, no shot lies within 2 ft of the wall for 15 ft along it either way.
    """
    return tuple(_of_wall(surface, wall, outline, boundary, reach) for wall in walls)


def _of_wall(
    surface: Surface, wall: SiteWall, outline: Sequence[Plan], boundary: Sequence[Plan], reach: float
) -> WallSlope:
    parts = max(1, round(wall.length / SPACING))
    station = wall.length * (np.arange(parts) + 0.5) / parts
    start, out = np.array(wall.start), np.array(wall.outward)
    foot = start + station[:, None] * (np.array(wall.end) - start) / wall.length
    free = np.array([free_way(at, out, outline, boundary, reach) for at in foot])
    runs = np.minimum(free[:, None], np.linspace(0.0, reach, math.ceil(reach / STEP) + 1))
    runs = np.maximum(runs, AT_WALL)
    east, north = (foot[:, None, n] + runs * out[n] for n in (0, 1))
    known = np.logical_and.accumulate(surface.supported(east, north), axis=1)
    last = known.sum(axis=1) - 1  # the farthest place with known ground all the way to it
    level = surface.level(east, north)
    row = np.arange(parts)
    told = told_at(surface, wall)
    at_wall = bool(len(told)) and float(np.abs(station[:, None] - told).min(axis=1).max()) <= UNTOLD
    run = np.where(last >= 0, runs[row, last], 0.0)
    run = np.where(run >= 2.0 * AT_WALL, run, 0.0)
    # The first 3 cm are taken to fall as the rest does.
    fall = np.where(run > 0.0, (level[:, 0] - level[row, last]) * run / np.maximum(run - AT_WALL, AT_WALL), 0.0)
    return WallSlope(
        wall=wall.name,
        station=tuple(station.tolist()),
        run=tuple(run.tolist()),
        fall=tuple(fall.tolist()),
        reach=reach,
        basis=Basis.MEASURED if known.all() and at_wall else Basis.ASSUMED,
    )


def free_way(at: Array, out: Array, outline: Sequence[Plan], boundary: Sequence[Plan], reach: float) -> float:
    """How far one can go outwards before the lot ends or another wall stands in the way, at most the reach. [m]"""
    met = [reach]
    for ring in (outline, boundary):
        for start, end in zip(ring, [*ring[1:], *ring[:1]], strict=True):
            side = np.subtract(end, start)
            across = float(out[0] * side[1] - out[1] * side[0])
            if abs(across) < 1e-12:
                continue
            gap = np.subtract(start, at)
            distance = float(gap[0] * side[1] - gap[1] * side[0]) / across
            along = float(gap[0] * out[1] - gap[1] * out[0]) / across
            if distance > AT_WALL and -1e-9 <= along <= 1.0 + 1e-9:
                met.append(distance)
    return min(met)


__all__ = ["AT_WALL", "REACH", "free_way", "wall_slopes"]
