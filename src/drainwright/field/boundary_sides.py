"""The sides of the lot, named by where they look."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from drainwright.field.terrain_model import Array, Plan

COMPASS = ("north", "north-east", "east", "south-east", "south", "south-west", "west", "north-west")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BoundarySides:
    """Straights of the boundary, counter-clockwise, and the side that each belongs to."""

    start: Array  # shape (n, 2) [m]
    end: Array  # [m]
    side: NDArray[np.intp]  # of each straight, by number
    names: tuple[str, ...]

    def nearest(self, at: Array) -> tuple[NDArray[np.intp], Array]:
        """The straight nearest to each place of shape (k, 2), and how far along the boundary that is. [m]"""
        run = self.end - self.start
        length = np.hypot(run[:, 0], run[:, 1])
        along = np.clip(np.sum((at[:, None, :] - self.start) * run, axis=2) / length**2, 0.0, 1.0)
        gap = np.linalg.norm(at[:, None, :] - self.start - along[:, :, None] * run, axis=2)
        straight = np.argmin(gap, axis=1)
        before = np.concatenate([[0.0], np.cumsum(length)[:-1]])
        return straight, before[straight] + along[np.arange(len(at)), straight] * length[straight]


def sides_of(boundary: Sequence[Plan], north: float = 0.0) -> BoundarySides:
    """Name the sides of a lot.

    Parameters
    ----------
    boundary : sequence of Plan
        Corners of the lot, in either sense. [m]
    north : float
        True north, clockwise from the drawing's up. [rad]

    Returns
    -------
    BoundarySides
        Straights that follow each other and look the same way are one side; where several sides look the same
        way they are numbered, as in "north side 2".

    Examples
    --------
    >>> sides_of([(0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0)]).names
    ('south side', 'east side', 'north side', 'west side')
    """
    ring = [at for n, at in enumerate(boundary) if math.dist(at, boundary[n - 1]) > 1e-6]
    doubled = sum(ring[n - 1][0] * at[1] - at[0] * ring[n - 1][1] for n, at in enumerate(ring))
    if doubled < 0.0:
        ring.reverse()
    start = np.array(ring, dtype=np.float64)
    end = np.roll(start, -1, axis=0)
    run = end - start
    looks = np.arctan2(run[:, 1], -run[:, 0]) - north  # outwards is to the right of the way: east of it, north of it
    facing = [COMPASS[round(math.degrees(float(bearing)) / 45.0) % 8] for bearing in looks]
    first = next((n for n in range(len(ring)) if facing[n] != facing[n - 1]), 0)  # no side is parted by the list's end
    start, end, facing = np.roll(start, -first, axis=0), np.roll(end, -first, axis=0), facing[first:] + facing[:first]
    side, names, met = [], [], dict[str, int]()
    for n, look in enumerate(facing):
        if n == 0 or look != facing[n - 1]:
            met[look] = met.get(look, 0) + 1
            names.append(f"{look} side" + (f" {met[look]}" if met[look] > 1 else ""))
        side.append(len(names) - 1)
    return BoundarySides(start=start, end=end, side=np.array(side, dtype=np.intp), names=tuple(names))


__all__ = ["BoundarySides", "sides_of"]
