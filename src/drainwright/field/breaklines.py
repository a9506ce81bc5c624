"""Lines over the ground that no triangle crosses: walls, kerbs, swales, ridges, edges, and the sides of the house.

The triangles are Delaunay's. A line that they do not keep is halved until they do, so that they stay Delaunay's.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from drainwright.field.mesh import side_keys
from drainwright.field.words import fail, nearest
from drainwright.job.ground_files import Breakline

if TYPE_CHECKING:
    from scipy.spatial import Delaunay
    from shapely import Polygon, STRtree

Array = NDArray[np.float64]
Numbers = NDArray[np.intp]

EDGE = 0.002  # a place this near to the rim, to a wall or to a line, is on it [m]
ON_WALL = 0.05  # a shot this near to a wall line was taken at the wall [m]
APART = 0.01  # between the two lines of a drop, in plan [m]
HALVINGS = 10  # of a wall that the triangles do not keep; then it may be crossed
MORE_HALVINGS = 24  # where there are breaklines
SHARP = math.radians(60.0)  # lines that meet at less are parted at like distances from where they meet
WALL = -1  # owner of a piece that is a side of the house


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shots:
    """Places of the ground with their levels. ``names`` are empty for places put in."""

    names: tuple[str, ...]
    plan: Array  # shape (n, 2) [m]
    levels: Array  # shape (n,) [m]

    def with_more(self, plan: Array, levels: Array) -> Shots:
        """These and places put in."""
        return Shots(
            names=(*self.names, *([""] * len(levels))),
            plan=np.vstack([self.plan, plan]),
            levels=np.concatenate([self.levels, levels]),
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Lines:
    """Pieces of lines that no triangle may cross."""

    ends: Numbers  # by number of shot, shape (k, 2)
    owner: Numbers  # number of the breakline, or WALL, shape (k,)


def wall_pieces(plan: Array, outline: Sequence[tuple[float, float]]) -> Numbers:
    """Pairs of shots that follow each other along a side of the outline, shape (k, 2)."""
    pairs = [np.empty((0, 2), dtype=np.intp)]
    for start, end in zip(outline, [*outline[1:], *outline[:1]], strict=True):
        run = np.subtract(end, start)
        length = float(np.hypot(*run))
        away = plan - np.asarray(start)
        along = away @ run / length
        aside = np.abs(away[:, 0] * run[1] - away[:, 1] * run[0]) / length
        order = np.argsort(along)
        on = order[(aside <= ON_WALL)[order] & (along >= -EDGE)[order] & (along <= length + EDGE)[order]]
        pairs.append(np.stack([on[:-1], on[1:]], axis=1))
    return np.vstack(pairs)


def lay_lines(
    breaklines: Sequence[Breakline], numbers: Mapping[str, int], shots: Shots, house: Polygon
) -> tuple[Shots, Lines]:
    """Breaklines as pieces between shots; a drop is a second line, 1 cm to the right and lower.

    Parameters
    ----------
    breaklines : sequence of Breakline
        Of the job.
    numbers : mapping of str to int
        Which shot bears a name.
    shots : Shots
        Of the ground.
    house : Polygon
        May be empty.

    Returns
    -------
    tuple of Shots and Lines
        The shots with the feet of drops, and the pieces.

    Raises
    ------
    JobError
        If a point is no ground shot, or a line runs through the house, across another or across itself.
    """
    import shapely

    tree = shapely.STRtree(np.asarray(shapely.points(shots.plan), dtype=object))
    chains = [_split(_chain(line, where, numbers), tree, shots.plan) for where, line in enumerate(breaklines)]
    ends, owner = [np.empty((0, 2), dtype=np.intp)], [np.empty(0, dtype=np.intp)]
    for where, (line, chain) in enumerate(zip(breaklines, chains, strict=True)):
        rows = [chain]
        if line.drop > 0.0:
            closed = chain[0] == chain[-1]
            top = chain[:-1] if closed else chain
            foot = np.arange(len(shots.plan), len(shots.plan) + len(top))
            feet = on_walls(_right_of(shots.plan[top], closed), house)
            _apart(feet, shots.plan[top], line, where)
            shots = shots.with_more(feet, shots.levels[top] - line.drop)
            rows.append(np.append(foot, foot[:1]) if closed else foot)
        for row in rows:
            ends.append(np.stack([row[:-1], row[1:]], axis=1))
            owner.append(np.full(len(row) - 1, where, dtype=np.intp))
    pieces, of = np.vstack(ends), np.concatenate(owner)
    _refuse(breaklines, pieces, of, shots.plan, house)
    return shots, Lines(ends=pieces, owner=of)


def _chain(line: Breakline, where: int, numbers: Mapping[str, int]) -> Numbers:
    for name in line.points:
        if name not in numbers:
            raise fail(
                f"survey.breaklines[{where}]", f"the point {name!r}, which is no ground shot",
                "points fixed in plan and levelled, on the ground and outside the house",
                nearest(name, numbers) or "Read the rod at the point, or leave it out of the line.",
            )  # fmt: skip
    chain: Numbers = np.array([numbers[name] for name in line.points], dtype=np.intp)
    chain = chain[np.append(True, np.diff(chain) != 0)]
    if len(chain) < 2:
        raise fail(f"survey.breaklines[{where}]", "points that are all one place", "two places or more")
    return chain


def _split(chain: Numbers, tree: STRtree, plan: Array) -> Numbers:
    """The chain with every shot that lies on it."""
    import shapely

    rows = [chain[:1]]
    pieces = shapely.linestrings(np.stack([plan[chain[:-1]], plan[chain[1:]]], axis=1))
    piece, shot = tree.query(pieces, predicate="dwithin", distance=EDGE)
    for number, (a, b) in enumerate(itertools.pairwise(chain)):
        on = shot[piece == number]
        run = plan[b] - plan[a]
        along = (plan[on] - plan[a]) @ run / (run @ run)
        between = (along > 0.0) & (along < 1.0) & (on != a) & (on != b)
        rows += [on[between][np.argsort(along[between])], np.array([b])]
    whole: Numbers = np.concatenate(rows)
    return whole


def _right_of(plan: Array, closed: bool) -> Array:
    """Places 1 cm to the right of a chain, where its neighbouring straights, moved over, meet."""
    run = np.diff(np.vstack([plan, plan[:1]]) if closed else plan, axis=0)
    run /= np.linalg.norm(run, axis=1, keepdims=True)
    right = np.stack([run[:, 1], -run[:, 0]], axis=1)
    before = np.roll(right, 1, axis=0) if closed else np.vstack([right[:1], right])
    after = right if closed else np.vstack([right, right[-1:]])
    meet = (before + after) / np.maximum(1.0 + np.sum(before * after, axis=1, keepdims=True), 0.5)
    moved: Array = plan + APART * meet
    return moved


def _apart(feet: Array, top: Array, line: Breakline, where: int) -> None:
    """Refuse a drop whose foot is its own head: along a wall of the house, or where the line comes back on itself."""
    if np.linalg.norm(feet[:, None] - top[None], axis=2).min() < EDGE or _least_step(feet) < EDGE:
        raise fail(
            f"survey.breaklines[{where}]", f"a drop ({line.name}) along a wall of the house, or back along itself",
            "a line with ground on both sides",
            "At the house the ground's own shots tell its level: leave the drop out.",
        )  # fmt: skip


def _least_step(plan: Array) -> float:
    """Between places that follow each other [m]."""
    return float(np.linalg.norm(np.diff(plan, axis=0), axis=1).min()) if len(plan) > 1 else math.inf


def on_walls(plan: Array, house: Polygon) -> Array:
    """The same places, those at a wall moved onto it."""
    import shapely

    if house.is_empty:
        return plan
    spots = np.asarray(shapely.points(plan), dtype=object)
    near = shapely.distance(house.exterior, spots) <= ON_WALL
    moved = plan.copy()
    touching = shapely.line_interpolate_point(house.exterior, shapely.line_locate_point(house.exterior, spots[near]))
    moved[near] = shapely.get_coordinates(touching)
    return moved


def _refuse(breaklines: Sequence[Breakline], pieces: Numbers, owner: Numbers, plan: Array, house: Polygon) -> None:
    import shapely

    lines = np.asarray(shapely.linestrings(plan[pieces]), dtype=object)
    if not house.is_empty:
        through = np.flatnonzero(shapely.intersects(lines, house.buffer(-ON_WALL)))
        if len(through):
            where = int(owner[through].min())
            raise fail(f"survey.breaklines[{where}]", f"a line ({breaklines[where].name}) that runs through the house",
                       "a line over the ground", "Part it where it meets the wall.")  # fmt: skip
    tree = shapely.STRtree(lines)
    first, second = tree.query(lines, predicate="crosses")
    if len(first):
        where, other = max((int(owner[a]), int(owner[b])) for a, b in zip(first, second, strict=True))
        what = "itself" if where == other else breaklines[other].name
        raise fail(
            f"survey.breaklines[{where}]", f"a line ({breaklines[where].name}) that crosses {what}",
            "lines that meet at a point of both",
            "Level the place where they cross, and name it in both; drops that meet are one line, and a line that"
            " begins at the foot of a drop needs a point of its own there.",
        )  # fmt: skip


def conform(shots: Shots, lines: Lines, origin: Array) -> tuple[Shots, Delaunay, Numbers]:
    """Delaunay triangles that keep the lines.

    Parameters
    ----------
    shots : Shots
        Three or more, not all in one line.
    lines : Lines
        Pieces to be kept.
    origin : Array
        Taken off before triangulating. [m]

    Returns
    -------
    tuple
        The shots with the places put in along lines, the triangles, and the owners of pieces that were not kept.
    """
    from scipy.spatial import Delaunay

    ends, owner = lines.ends, lines.owner
    strict = bool((owner != WALL).any())
    sharp = _sharp_corners(ends, shots.plan) if strict else np.empty(0, dtype=np.intp)
    for halving in range((MORE_HALVINGS if strict else HALVINGS) + 1):
        mesh = Delaunay(shots.plan - origin)
        corners = mesh.simplices.astype(np.intp)
        sides = np.stack([corners, np.roll(corners, -1, axis=1)], axis=2)
        kept = np.isin(side_keys(ends, len(shots.plan)), side_keys(sides, len(shots.plan)))
        broken = ends[~kept]
        if not len(broken) or halving == (MORE_HALVINGS if strict else HALVINGS):
            break
        share = _shares(broken, shots.plan, sharp)
        middle = np.arange(len(shots.plan), len(shots.plan) + len(broken))
        a, b = broken.T
        shots = shots.with_more(
            (1.0 - share)[:, None] * shots.plan[a] + share[:, None] * shots.plan[b],
            (1.0 - share) * shots.levels[a] + share * shots.levels[b],
        )
        halves = np.stack([a, middle, middle, b], axis=1).reshape(-1, 2)
        ends, owner = np.vstack([ends[kept], halves]), np.concatenate([owner[kept], np.repeat(owner[~kept], 2)])
    return shots, mesh, np.unique(owner[~kept])


def _sharp_corners(ends: Numbers, plan: Array) -> Numbers:
    """Where pieces meet at a sharp angle."""
    corner = np.concatenate([ends[:, 0], ends[:, 1]])
    run = plan[np.concatenate([ends[:, 1], ends[:, 0]])] - plan[corner]
    angle = np.arctan2(run[:, 1], run[:, 0])
    order = np.lexsort([angle, corner])
    corner, angle = corner[order], angle[order]
    first = np.searchsorted(corner, corner)
    last = np.searchsorted(corner, corner, side="right") - 1
    following = np.where(np.arange(len(corner)) == last, angle[first] + math.tau, np.roll(angle, -1))
    gap = following - angle
    return np.unique(corner[(gap > 1e-9) & (gap < SHARP)])


def _shares(broken: Numbers, plan: Array, sharp: Numbers) -> Array:
    """Where to part pieces: in the middle; near a sharp corner at a power of two from it, so that its two lines match.

    Without that two lines at a small angle would break each other without end.
    """
    at_start, at_end = np.isin(broken, sharp).T
    length = np.linalg.norm(plan[broken[:, 1]] - plan[broken[:, 0]], axis=1)
    share: Array = np.exp2(np.rint(np.log2(0.5 * length))) / length
    return np.where(at_start == at_end, 0.5, np.where(at_start, share, 1.0 - share))


__all__ = ["EDGE", "ON_WALL", "WALL", "Lines", "Shots", "conform", "lay_lines", "on_walls", "wall_pieces"]
