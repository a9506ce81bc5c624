"""Lines of equal level over the ground's triangles."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from drainwright.errors import InputError
from drainwright.field.mesh import Mesh, mesh_of
from drainwright.field.surface import Surface
from drainwright.field.terrain_model import Contour
from drainwright.field.words import Units

Array = NDArray[np.float64]
Numbers = NDArray[np.intp]

SAME = 1e-6  # a corner this near to a level lies on it [m]
MOST_LINES = 14  # levels over the relief of a lot, for a plan that can be read; common practice, no source
MOST_LEVELS = 2000
FOOT = 0.3048
STEPS: dict[Units, tuple[float, ...]] = {
    "US": tuple(step * FOOT for step in (0.1, 0.2, 0.25, 0.5, 1.0, 2.0, 5.0, 10.0)),
    "SI": (0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 5.0),
}


def nice_interval(relief: float, units: Units) -> float:
    """Interval between contours that suits the fall over a lot.

    Parameters
    ----------
    relief : float
        Highest less lowest ground, zero or more. [m]
    units : {"US", "SI"}
        Of the job.

    Returns
    -------
    float
        The least of 0.1, 0.2, 0.25, 0.5, 1, 2, 5 and 10 ft (25, 50, 100, 250, 500, 1000, 2500 and 5000 mm) that
        gives at most 14 levels; beyond those, the last. [m]

    Raises
    ------
    InputError
        If the relief is negative or not finite.

    Examples
    --------
    >>> round(nice_interval(1.2, "US") / 0.3048, 3), nice_interval(1.2, "SI")
    (0.5, 0.1)
    """
    if not (math.isfinite(relief) and relief >= 0.0):
        raise InputError(f"relief = {relief!r}: expected a finite number, zero or more")
    return next((step for step in STEPS[units] if relief <= MOST_LINES * step), STEPS[units][-1])


def parting(mesh: Mesh, levels: Array, level: float, part: Numbers | None = None) -> tuple[Numbers, Numbers]:
    """The line that parts ground below a level from ground at it or above, as pieces with the low side on their left.

    Parameters
    ----------
    mesh : Mesh
        The triangles.
    levels : Array
        Of the places, shape (n,). [m]
    level : float
        [m]
    part : NDArray of int, optional
        Triangles to look at; left out: all.

    Returns
    -------
    tuple of NDArray
        Where each piece starts and ends: below n a corner of that number, from n on the side of number less n.
        A piece with lower ground on both hands (a ridge at that very level) is no part of the line.
    """
    count = len(levels)
    triangles = mesh.triangles if part is None else mesh.triangles[part]
    sides = mesh.of_triangle if part is None else mesh.of_triangle[part]
    below = levels < level - SAME
    inside = below[triangles]
    low = inside.sum(axis=1)
    starts, ends = [], []
    for corner in range(3):
        ahead, behind = sides[:, corner], sides[:, (corner + 2) % 3]
        alone, apart = (low == 1) & inside[:, corner], (low == 2) & ~inside[:, corner]
        starts += [ahead[alone], behind[apart]]
        ends += [behind[alone], ahead[apart]]
    start, end = (crossings(mesh, levels, level, np.concatenate(one)) for one in (starts, ends))
    moves = start != end
    start, end = start[moves], end[moves]
    stride = count + len(mesh.sides)
    paired = np.isin(start * stride + end, end * stride + start)
    return start[~paired], end[~paired]


def crossings(mesh: Mesh, levels: Array, level: float, sides: Numbers) -> Numbers:
    """Where a level crosses sides: n and the side's number, or the upper corner where that lies on the level."""
    ends = mesh.sides[sides]
    upper = np.where(levels[ends[:, 0]] > levels[ends[:, 1]], ends[:, 0], ends[:, 1])
    keys: Numbers = np.where(levels[upper] <= level + SAME, upper, len(levels) + sides)
    return keys


def places(mesh: Mesh, plan: Array, levels: Array, level: float, keys: Numbers) -> Array:
    """East and north of corners and crossings, shape (k, 2). [m]"""
    count = len(levels)
    at = plan[np.minimum(keys, count - 1)].copy()
    crossed = keys >= count
    a, b = mesh.sides[keys[crossed] - count].T
    share = (level - levels[a]) / (levels[b] - levels[a])
    at[crossed] = plan[a] + share[:, None] * (plan[b] - plan[a])
    return at


def chained(start: Numbers, end: Numbers, at: dict[int, tuple[float, float]]) -> list[list[int]]:
    """Pieces laid end to end, each used once; a line passes no place twice but where it closes.

    Where several pieces leave one place the line keeps to the ground on its left, so that lines touch but do not cross.
    """
    onward: dict[int, list[int]] = {}
    surplus: dict[int, int] = {}
    for a, b in sorted(zip(start.tolist(), end.tolist(), strict=True)):
        onward.setdefault(a, []).append(b)
        surplus[a] = surplus.get(a, 0) + 1
        surplus[b] = surplus.get(b, 0) - 1
    heads = [node for node in sorted(surplus) for _ in range(surplus[node])]
    lines = []
    for head in [*heads, *sorted(onward)]:
        line, passed = [head], {head: 0}
        while onward.get(line[-1]):
            node = _leftmost(line[-2] if len(line) > 1 else None, line[-1], onward[line[-1]], at)
            line.append(node)
            if node in passed:  # a loop: part it off
                lines.append(line[passed[node] :])
                for one in line[passed[node] + 1 : -1]:
                    del passed[one]
                del line[passed[node] + 1 :]
            passed[node] = len(line) - 1
        if len(line) > 1:
            lines.append(line)
    return lines


def _leftmost(before: int | None, here: int, choices: list[int], at: dict[int, tuple[float, float]]) -> int:
    """Take the choice that turns most to the left of the way from before to here."""
    if len(choices) == 1 or before is None:
        return choices.pop(0)
    (e0, n0), (e1, n1) = at[before], at[here]
    back = math.atan2(n0 - n1, e0 - e1)
    turns = [(back - math.atan2(at[one][1] - n1, at[one][0] - e1)) % math.tau for one in choices]
    return choices.pop(turns.index(min(turns)))


def lines_of(
    mesh: Mesh, plan: Array, levels: Array, level: float, start: Numbers, end: Numbers
) -> list[list[tuple[float, float]]]:
    """Pieces laid end to end, in plan. [m]"""
    keys = np.unique(np.concatenate([start, end]))
    at = dict(zip(keys.tolist(), map(tuple, places(mesh, plan, levels, level, keys).tolist()), strict=True))
    return [[at[key] for key in line] for line in chained(start, end, at)]


def contours(surface: Surface, interval: float, index_every: int = 5) -> tuple[Contour, ...]:
    """Contours of the ground, the house cut out.

    Parameters
    ----------
    surface : Surface
        The ground.
    interval : float
        Between levels, which are its whole multiples. [m]
    index_every : int
        Every so manyth level is an index contour: those whose number of intervals it divides.

    Returns
    -------
    tuple of Contour
        Rising; levels without a line are left out. Each line has the lower ground on its left.

    Raises
    ------
    InputError
        If the interval is not above zero or gives more than 2,000 levels, or ``index_every`` is below one.

    Notes
    -----
    Exact on the triangles: straight within each. The line of a level parts ground below it from ground at it or
    above it. So flat ground at the very level is bounded on its low side only, and a level that just touches a
    ridge or a valley floor gives no line there. Lines end at the house and at the rim of the surveyed ground.
    """
    if not (math.isfinite(interval) and interval > 0.0):
        raise InputError(f"interval = {interval!r}: expected a finite number, above zero")
    if index_every < 1:
        raise InputError(f"index_every = {index_every!r}: expected one or more")
    levels = surface.levels
    used = levels[surface.triangles]
    if not used.size:
        return ()
    first, last = (math.ceil((used.min() - SAME) / interval), math.floor((used.max() + SAME) / interval))
    if last - first >= MOST_LEVELS:
        raise InputError(f"interval = {interval!r}: gives {last - first + 1} levels; expected {MOST_LEVELS} at most")
    mesh = mesh_of(surface)
    found = []
    for number in range(first, last + 1):
        level = number * interval
        lines = lines_of(mesh, surface.plan, levels, level, *parting(mesh, levels, level))
        if lines:
            found.append(
                Contour(level=level, index=number % index_every == 0, lines=tuple(tuple(line) for line in lines))
            )
    return tuple(found)


def closed_rings(lines: Sequence[Sequence[tuple[float, float]]]) -> list[tuple[tuple[float, float], ...]]:
    """Closed lines without their last place, which is the first again."""
    return [tuple(line[:-1]) for line in lines if len(line) > 3 and line[0] == line[-1]]


__all__ = [
    "chained", "closed_rings", "contours", "crossings", "lines_of", "nice_interval", "parting", "places",
]  # fmt: skip
