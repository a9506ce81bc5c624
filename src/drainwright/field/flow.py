"""Where water goes over the cells of the ground.

Low spots are filled to the level at which they overflow; from each cell water then runs to the one or two lower
neighbours between which the filled ground falls most steeply (the D-infinity rule). Over filled
water, which is level, it follows the way of lowest spill. So water never runs in a circle, and sorting the cells
from the lowest up makes the linear system of the shares triangular: it is solved once, exactly.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from drainwright.field.boundary_sides import BoundarySides
from drainwright.field.ground_grid import BEYOND, HOUSE, LOT, OUTSIDE, UNKNOWN, GroundGrid, beside
from drainwright.field.spill import spill_levels
from drainwright.field.terrain_model import Array, Plan, Whither

if TYPE_CHECKING:
    from scipy.sparse import csr_array

Cells = NDArray[np.intp]
AROUND = ((0, 1), (1, 1), (1, 0), (1, -1), (0, -1), (-1, -1), (-1, 0), (-1, 1))  # rows and columns, from east round
# The eight triangles about a cell: a neighbour over a side, then one over a corner.
FACETS = ((0, 1), (2, 1), (2, 3), (4, 3), (4, 5), (6, 5), (6, 7), (0, 7))
QUARTER = math.pi / 4.0
NOT_KNOWN = "beyond the shots"

Destination = tuple[Whither, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sink:
    """Cells that swallow the water that comes to them."""

    kind: Whither
    name: str
    cells: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Flow:
    """Water over the cells. Rows of the arrays are live cells, the lowest first."""

    grid: GroundGrid
    filled: Array  # level with every low spot full, shape (rows, columns) of the grid [m]
    cells: Cells  # number of each live cell in the grid, shape (n,)
    row: Cells  # the other way round, by number in the grid; -1 where no water is followed
    receivers: Cells  # numbers in the grid, shape (n, 2); -1 for none
    parts: Array  # of the water that goes to each receiver, shape (n, 2)
    destinations: tuple[Destination, ...]
    share: Array  # of a cell's water that ends at each destination, shape (n, d); 1 in all for a cell of the lot
    returns: Array  # of the water of a cell beyond the boundary: the share that enters the lot, shape (n,)
    area: Array  # ground of a cell, on the lot or beyond, shape (n,) [m²]
    gathered: Array  # ground that drains through a cell, itself with it, shape (n,) [m²]
    way: Array  # mean length of the water's way from a cell over the lot, shape (n,) [m]
    swallowed: NDArray[np.bool_]  # whether the cell is a sink, shape (n,)

    def path(self, start: int) -> tuple[Cells, Destination | None]:
        """The cells that water runs over from a cell of the grid on, and where it ends; None: away from the lot.

        Of the two receivers the one is taken that keeps the way nearest to the line of steepest fall so far.
        """
        here, aside, way = int(self.row[start]), 0.0, [int(start)]
        while True:
            if self.swallowed[here]:
                return np.array(way), self._end(here)
            near, far = (int(each) for each in self.receivers[here])
            share = float(self.parts[here, 1])
            if near < 0 or far < 0:
                chosen = far if near < 0 else near
            else:
                to_near, to_far = _strays(self.grid, int(self.cells[here]), near, far, share)
                chosen = near if abs(aside + to_near) <= abs(aside + to_far) else far
                aside += to_near if chosen == near else to_far
            way.append(chosen)
            if self.row[chosen] < 0:
                return np.array(way), self._end(here)
            here = int(self.row[chosen])

    def _end(self, row: int) -> Destination | None:
        best = int(np.argmax(self.share[row])) if len(self.destinations) else 0
        return self.destinations[best] if len(self.destinations) and self.share[row, best] > 0.0 else None

    def places(self, cells: Cells) -> tuple[Plan, ...]:
        """Centres of cells. [m]"""
        return tuple(self.grid.centre(cell) for cell in cells)


def _strays(grid: GroundGrid, here: int, near: int, far: int, share: float) -> tuple[float, float]:
    """How far a step over a side, and one over a corner, stray to the left of the steepest fall. [m]

    ``share`` is that of the corner: it says where between the two the fall points.
    """
    columns = grid.belongs.shape[1]
    (up, over), (far_up, far_over) = (
        (cell // columns - here // columns, cell % columns - here % columns) for cell in (near, far)
    )
    aside_up, aside_over = far_up - up, far_over - over  # square to the step over the side
    cosine, sine = math.cos(math.atan(share)), math.sin(math.atan(share))
    fall_up, fall_over = cosine * up + sine * aside_up, cosine * over + sine * aside_over
    return (
        grid.cell * (fall_over * up - fall_up * over),
        grid.cell * (fall_over * far_up - fall_up * far_over),
    )


def lay_flow(grid: GroundGrid, sinks: Sequence[Sink] = (), sides: BoundarySides | None = None) -> Flow:
    """Follow the water of every cell to where it ends.

    Parameters
    ----------
    grid : GroundGrid
        The cells.
    sinks : sequence of Sink
        Inlets and, to see where water stays, the bottoms of low spots; the first that claims a cell has it.
    sides : BoundarySides, optional
        Of the lot; without them water that leaves the shots ends "beyond the shots".

    Returns
    -------
    Flow
        Shares and gathered areas; of the water of a cell of the lot nothing is lost and nothing comes from nowhere.

    Notes
    -----
    Directions after Tarboton (1997), doi:10.1029/96WR03137, but for the shares: there they go by the angle, which
    carries water up to 4 degrees aside of the fall, on a plane too; here they go by its tangent, and the mean of the
    ways is the line of steepest fall. Paths after Orlandini and others (2003), doi:10.1029/2002WR001639. Water that
    leaves the lot over surveyed ground and comes back is followed on; what does not come back ends at its side.
    """
    from scipy import sparse
    from scipy.sparse.linalg import spsolve_triangular

    columns = grid.belongs.shape[1]
    belongs, live = grid.belongs.ravel(), grid.live.ravel()
    swallow = np.full(live.size, -1, dtype=np.intp)
    claims = [*sinks, *_enclosed(grid, sinks)]
    for number, sink in enumerate(claims):
        free = [cell for cell in sink.cells if live[cell] and swallow[cell] < 0]
        swallow[free] = number
    filled, before, rank = _fill(grid, swallow >= 0)
    first, second, part = _steepest(grid, filled)
    flat = live & (first < 0) & (second < 0)
    first[flat], part[flat] = before[flat], 0.0
    stop = swallow >= 0
    first[stop] = second[stop] = -1
    cells = np.flatnonzero(live)
    cells = cells[np.lexsort((rank[cells], filled.ravel()[cells]))]
    row = np.full(live.size, -1, dtype=np.intp)
    row[cells] = np.arange(len(cells))

    receivers = np.stack([first[cells], second[cells]], axis=1)
    parts = np.where(receivers >= 0, np.stack([1.0 - part[cells], part[cells]], axis=1), 0.0)
    here, there, weight = steps_of(receivers, parts)
    within = row[there] >= 0
    count = len(cells)

    def ways(kept: NDArray[np.bool_]) -> csr_array[Any, Any]:
        matrix = sparse.csr_array((weight[kept], (here[kept], row[there[kept]])), shape=(count, count))
        return sparse.csr_array(sparse.eye_array(count) - matrix)

    def solved(system: Any, right: Array, lower: bool = True) -> Array:
        return np.asarray(spsolve_triangular(system, right, lower=lower, unit_diagonal=True), dtype=np.float64)

    on_lot, is_sink = belongs[cells] == LOT, stop[cells]
    # Of water beyond the boundary: the share that enters the lot (or an inlet there).
    enters = np.where(is_sink, 1.0, 0.0)
    came_in = np.isin(belongs[there], (LOT, UNKNOWN)) & ~on_lot[here]
    np.add.at(enters, here[came_in], weight[came_in])
    whole = ways(within)
    outside = within & ~on_lot[here] & (belongs[there] == BEYOND)
    returns = solved(ways(outside), np.where(on_lot, 1.0, enters))

    names = _names(claims, sides)
    ends = np.zeros((count, len(names)))
    numbers = {name: n for n, name in enumerate(names)}
    for n, sink in enumerate(claims):
        ends[swallow[cells] == n, numbers[(sink.kind, sink.name)]] = 1.0
    lost = belongs[there] == UNKNOWN
    np.add.at(ends, (here[lost], numbers[("beyond the shots", NOT_KNOWN)]), weight[lost])
    over = on_lot[here] & np.isin(belongs[there], (OUTSIDE, BEYOND))
    gone = weight * np.where(row[there] >= 0, 1.0 - returns[row[there]], 1.0)
    np.add.at(ends, (here[over], _sides(grid, cells[here[over]], there[over], sides, numbers)), gone[over])
    share = solved(whole, ends)

    area = (grid.lot + grid.beyond).ravel()[cells]
    gathered = solved(sparse.csr_array(whole.T), area, lower=False)
    return Flow(
        grid=grid, filled=filled, cells=cells, row=row, receivers=receivers, parts=parts,
        destinations=tuple(names), share=share, returns=returns, area=area, gathered=gathered,
        way=solved(whole, np.where(on_lot, _steps(columns, grid.cell, cells, receivers, parts), 0.0)),
        swallowed=is_sink,
    )  # fmt: skip


def _moved(values: NDArray[Any], step: tuple[int, int]) -> NDArray[Any]:
    """What stands in the neighbour on one side. The outermost ring of a grid is not live: it may wrap round."""
    return np.roll(values, (-step[0], -step[1]), axis=(0, 1))


def _open(belongs: NDArray[np.int8], step: tuple[int, int]) -> NDArray[np.bool_]:
    """Whether a step is free: no slipping between two cells of the house that touch at a corner."""
    house = belongs == HOUSE
    blocked = _moved(house, step)
    if step[0] and step[1]:
        blocked = blocked | (_moved(house, (step[0], 0)) & _moved(house, (0, step[1])))
    return ~blocked


def _links(grid: GroundGrid) -> tuple[NDArray[np.bool_], Cells]:
    """Cells that take part (live ones and those just outside them), and pairs of neighbours among them by number."""
    live = grid.live
    part = beside(live) & (grid.belongs != HOUSE)
    columns = live.shape[1]
    pairs = []
    for step in AROUND[:4]:
        met = part & _moved(part, step) & (live | _moved(live, step)) & _open(grid.belongs, step)
        from_ = np.flatnonzero(met)
        pairs.append(np.stack([from_, from_ + step[0] * columns + step[1]], axis=1))
    return part, np.concatenate(pairs)


def _enclosed(grid: GroundGrid, sinks: Sequence[Sink]) -> list[Sink]:
    """Where walls shut the ground in all round, water can go nowhere: it stays at the lowest cell, at the wall."""
    from scipy.sparse import coo_array
    from scipy.sparse.csgraph import connected_components

    part, pairs = _links(grid)
    level, live = grid.level.ravel(), grid.live.ravel()
    graph = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(live.size, live.size))
    _, label = connected_components(graph, directed=False)
    held = {int(label[cell]) for cell in np.flatnonzero(part.ravel() & ~live)}
    held |= {int(label[cell]) for sink in sinks for cell in sink.cells if live[cell]}
    found = []
    for shut in set(label[live].tolist()) - held:
        cells = np.flatnonzero((label == shut) & live)
        found.append(Sink(kind="wall", name="wall", cells=(int(cells[np.argmin(level[cells])]),)))
    return sorted(found, key=lambda sink: sink.cells)


def _fill(grid: GroundGrid, swallowed: NDArray[np.bool_]) -> tuple[Array, Cells, Cells]:
    """Levels with low spots full, shape (rows, columns); by number the next cell on the way of lowest spill, and a
    rank that is higher than that of the next cell.
    """  # fmt: skip
    part, pairs = _links(grid)
    taking = np.flatnonzero(part)
    node = np.full(part.size, -1, dtype=np.intp)
    node[taking] = np.arange(len(taking))
    outlets = np.flatnonzero((~grid.live.ravel() | swallowed)[taking])
    spill = spill_levels(grid.level.ravel()[taking], node[pairs], outlets)
    filled, following, rank = np.full(part.shape, np.nan), np.full(part.size, -1), np.zeros(part.size, dtype=np.intp)
    filled.ravel()[taking] = spill.level
    following[taking] = np.where(spill.towards >= 0, taking[spill.towards], -1)
    rank[taking[spill.order]] = np.arange(len(spill.order))
    return filled, following, rank


def _steepest(grid: GroundGrid, filled: Array) -> tuple[Cells, Cells, Array]:
    """By number of the cell: the receivers over a side and over a corner (-1: none), and the corner's share."""
    columns = filled.shape[1]
    around = [np.where(_open(grid.belongs, step), _moved(filled, step), np.nan) for step in AROUND]
    best, angle, facet = (np.zeros(filled.shape) for _ in range(3))
    side, corner = grid.cell, grid.cell * math.sqrt(2.0)
    with np.errstate(invalid="ignore"):
        for number, (first, second) in enumerate(FACETS):
            over, across = around[first], around[second]
            straight, aslant = (filled - over) / side, (filled - across) / corner
            turn = np.arctan2((over - across) / side, straight)
            turn = np.where(np.isnan(over), QUARTER, np.where(np.isnan(across), 0.0, np.clip(turn, 0.0, QUARTER)))
            slope = np.where(turn <= 0.0, straight, np.where(turn >= QUARTER, aslant, 0.0))
            inner = (turn > 0.0) & (turn < QUARTER)
            slope = np.where(inner, np.hypot(straight, (over - across) / side), slope)
            better = slope > best  # false where it is not a number
            best[better], angle[better], facet[better] = slope[better], turn[better], number
    share = np.tan(angle)  # not the angle itself: so the mean of many steps keeps to the line of the fall
    share[angle >= QUARTER] = 1.0
    offsets = np.array([row * columns + column for row, column in AROUND])
    chosen, falls = np.array(FACETS)[facet.astype(int)], best > 0.0
    own = np.arange(filled.size).reshape(filled.shape)
    near = np.where(falls & (share < 1.0), own + offsets[chosen[..., 0]], -1)
    far = np.where(falls & (share > 0.0), own + offsets[chosen[..., 1]], -1)
    return near.ravel(), far.ravel(), share.ravel()


def _names(sinks: Sequence[Sink], sides: BoundarySides | None) -> list[Destination]:
    named: list[Destination] = [(sink.kind, sink.name) for sink in sinks]
    named += [("boundary", name) for name in (sides.names if sides else ())]
    return list(dict.fromkeys([*named, ("beyond the shots", NOT_KNOWN)]))


def _sides(
    grid: GroundGrid, here: Cells, there: Cells, sides: BoundarySides | None, numbers: Mapping[Destination, int]
) -> Cells:
    """The destination of water that steps out of the lot."""
    if sides is None:
        return np.full(len(here), numbers[("beyond the shots", NOT_KNOWN)], dtype=np.intp)
    straight, _ = sides.nearest(0.5 * (centres_of(grid, here) + centres_of(grid, there)))
    by_side = np.array([numbers[("boundary", name)] for name in sides.names], dtype=np.intp)
    return by_side[sides.side[straight]]


def centres_of(grid: GroundGrid, cells: Cells) -> Array:
    """Centres, shape (k, 2). [m]"""
    row, column = np.divmod(cells, grid.belongs.shape[1])
    return np.stack([grid.west + grid.cell * (column + 0.5), grid.south + grid.cell * (row + 0.5)], axis=1)


def steps_of(receivers: Cells, parts: Array) -> tuple[Cells, Cells, Array]:
    """Each step of the water: row of the cell that it leaves, number of the cell that it enters, part of it."""
    here, which = np.nonzero(parts > 0.0)
    return here, receivers[here, which], parts[here, which]


def _steps(columns: int, cell: float, cells: Cells, receivers: Cells, parts: Array) -> Array:
    """Length of the mean step out of each cell: of the mean of the ways, not the mean of their lengths. [m]"""
    up = np.where(receivers >= 0, receivers // columns - (cells // columns)[:, None], 0)
    over = np.where(receivers >= 0, receivers % columns - (cells % columns)[:, None], 0)
    length: Array = cell * np.hypot(np.sum(parts * up, axis=1), np.sum(parts * over, axis=1))
    return length


__all__ = ["NOT_KNOWN", "Destination", "Flow", "Sink", "centres_of", "lay_flow", "steps_of"]
