"""The stone round a perforated pipe as a second conduit: where water stands in it, and what it carries."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from drainwright.hydraulics.stone_flow import ergun_velocity, perforation_head, void_radius, wilkins_velocity
from drainwright.hydraulics.water_surface import WaterSurface
from drainwright.worksheet import quiet

if TYPE_CHECKING:
    from drainwright.system.surface.surface_line import Reach

HOLES = 0.25  # of the diameter: height of holes at 4 and 8 o'clock, the pipe laid with its holes down [-]
UNBLOCKED = 0.5  # share of the holes that is open in an aged drain [-]
VOIDS = 0.4  # of clean stone [-]
PASSES = 4  # at most; the share that the stone carries hardly moves the level
SETTLED = 1e-4  # of the flow


@dataclass(frozen=True, slots=True, kw_only=True)
class StoneBed:
    """Stone round a pipe."""

    width: float  # [m]
    over: float  # above the pipe's crown [m]
    size: float  # mean grain [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class StoneWater:
    """Water in the stone at the design flow."""

    levels: tuple[float, ...]  # at the run's stations [m]
    carried: float  # the most of the flow that goes through the stone beside the full pipe [m³/s]
    hole_head: float  # that drives the inflow through the holes [m]
    over_stone: bool  # the level stands above the stone somewhere, in the backfill


def stone_velocity(gradient: float, size: float) -> float:
    """The lesser of Wilkins' and Ergun's velocity in stone, of the whole section. [m/s]"""
    if gradient <= 0.0:
        return 0.0
    return float(
        min(wilkins_velocity(gradient, void_radius(size, VOIDS), VOIDS), ergun_velocity(gradient, size, VOIDS))
    )


def stone_water(
    reach: Reach,
    bed: StoneBed,
    surface: WaterSurface,
    along: Callable[[Sequence[float]], WaterSurface],
) -> tuple[WaterSurface, StoneWater]:
    """Water level in the stone along a drain, and the pipe's surface with what the stone carries taken off.

    Parameters
    ----------
    reach : Reach
        The drain.
    bed : StoneBed
        Its stone.
    surface : WaterSurface
        With all the flow in the pipe.
    along : callable
        The surface with a flow that goes in the stone, given at the reach's stations.

    Returns
    -------
    tuple
        The pipe's surface, and the water in the stone.

    Notes
    -----
    The level in the stone is that in the pipe, or of its holes where that is higher, and the head that drives the
    inflow through the holes, half of them blocked. Stone carries its share only beside pipe that runs full, at the
    gradient of the grade line there, by the lesser of two laws; a pipe that runs part full is taken to carry all, so
    that its depth is on the safe side.
    """
    pipe = reach.pipe
    stations = np.asarray(reach.distances)
    inverts = np.interp(stations, reach.knots, reach.inverts)
    with quiet():
        inflow = reach.gain / reach.length
        hole_head = float(perforation_head(max(inflow, 0.0), pipe.perforation_area, UNBLOCKED))
        carried = np.zeros(len(stations))
        flows = reach.flow - reach.gain + reach.gain * stations / reach.length
        for _ in range(PASSES):
            levels = np.interp(stations, surface.distances, surface.levels)
            standing = np.maximum(levels, inverts + HOLES * pipe.inside * (inflow > 0.0)) + hole_head
            full = levels > inverts + pipe.inside
            if not full.any():
                break
            gradients = np.maximum(-np.gradient(standing, stations), 0.0)
            crown = inverts + pipe.inside
            depth = np.clip(standing - inverts, 0.0, pipe.inside + bed.over)
            area = np.maximum(bed.width * depth - 0.25 * np.pi * pipe.outside**2, 0.0) * (standing > crown)
            speeds = np.array([stone_velocity(float(gradient), bed.size) for gradient in gradients])
            wanted = np.where(full, np.minimum(speeds * area, 0.9 * flows), 0.0)
            before = carried
            carried = 0.5 * (carried + wanted) if before.any() else wanted
            surface = along(carried.tolist())
            if np.max(np.abs(carried - before)) <= SETTLED * max(reach.flow, 1e-9):
                break
        levels = np.interp(stations, surface.distances, surface.levels)
        standing = np.maximum(levels, inverts + HOLES * pipe.inside * (inflow > 0.0)) + hole_head
    return surface, StoneWater(
        levels=tuple(float(level) for level in standing),
        carried=float(np.max(carried)),
        hole_head=hole_head,
        over_stone=bool(np.any(standing > inverts + pipe.inside + bed.over)),
    )


__all__ = ["StoneBed", "StoneWater", "stone_velocity", "stone_water"]
