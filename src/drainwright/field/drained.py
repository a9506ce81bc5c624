"""Who drains where: the ground of each inlet and each side of the lot, and the water that crosses the boundary."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from drainwright.field.boundary_sides import BoundarySides
from drainwright.field.flow import NOT_KNOWN, Cells, Destination, Flow, centres_of, steps_of
from drainwright.field.ground_grid import BEYOND, LOT, OUTSIDE, UNKNOWN, GroundGrid, beside
from drainwright.field.terrain_model import Array, DrainedArea, FlowArrow, Plan, Ring, RunOff, RunOn

if TYPE_CHECKING:
    from shapely.geometry.base import BaseGeometry

STRAIGHTEN = 0.75  # of a cell: bends of a way that come of the cells are taken out
INWARDS = 0.003  # ground that rises outwards at the boundary by more sheds water into the lot [-]
LEAST_STRETCH, LEAST_AREA = 1.0, 1.0  # what is shorter and sheds less is left out [m], [m²]
SOME = 1e-6  # of a cell's water: less is rounding [-]
ARROWS = 12  # over the longer side of the lot
LEVEL = 0.002  # ground that falls less gets no arrow [-]


def gradient(grid: GroundGrid) -> tuple[Array, Array]:
    """Rise towards east and towards north, shape (rows, columns); zero where no neighbour has a level. [-]"""
    rises = []
    for axis in (1, 0):
        after, before = (np.roll(grid.level, shift, axis=axis) for shift in (-1, 1))
        ahead, behind = (after - grid.level) / grid.cell, (grid.level - before) / grid.cell
        ahead, behind = np.where(np.isnan(ahead), behind, ahead), np.where(np.isnan(behind), ahead, behind)
        rises.append(np.nan_to_num(0.5 * (ahead + behind)))
    return rises[0], rises[1]


def drained_areas(flow: Flow) -> tuple[DrainedArea, ...]:
    """The ground that drains to each destination, inlets first.

    Returns
    -------
    tuple of DrainedArea
        Their areas add up to the lot less the house; a destination without any ground is left out.
    """
    grid = flow.grid
    lot, beyond = (each.ravel()[flow.cells] for each in (grid.lot, grid.beyond))
    steep = np.hypot(*gradient(grid)).ravel()[flow.cells]
    unknown = float(grid.lot[grid.belongs == UNKNOWN].sum()) + grid.not_laid
    found = []
    for number, (kind, name) in enumerate(flow.destinations):
        share = flow.share[:, number]
        area, outer = float(lot @ share), float(beyond @ share)
        weight = (lot + beyond) * share
        mine = np.zeros(grid.belongs.shape, dtype=bool)
        mine.ravel()[flow.cells[(share > 0.5) & (grid.belongs.ravel()[flow.cells] == LOT)]] = True
        if (kind, name) == ("beyond the shots", NOT_KNOWN):
            area += unknown
            mine |= grid.belongs == UNKNOWN
        if area + outer < 1e-9:
            continue
        path, length, fall = _longest(flow, share)
        found.append(
            DrainedArea(
                to=name, kind=kind, area=area, beyond=outer,
                slope=float(weight @ steep / weight.sum()) if weight.sum() > 0.0 else 0.0,
                longest=length, fall=fall, path=path, rings=_rings(grid, mine), cut_off=_cut_off(flow, share),
            )
        )  # fmt: skip
    return tuple(found)


def _cut_off(flow: Flow, share: Array) -> bool:
    """Whether ground that drains to a destination ends at the last shots, where more may drain in from beyond them.

    It does along ground that nobody measured, of the lot or outside it, unless it falls that way. Outside the lot it
    has to rise that way: a level boundary is its end.
    """
    grid = flow.grid
    mine = np.zeros(grid.belongs.shape, dtype=bool)
    mine.ravel()[flow.cells[share > 0.5]] = True
    edges = 0
    for step in ((0, 1), (1, 0), (0, -1), (-1, 0)):  # the outermost ring is nobody's: it may wrap round
        next_to = np.roll(grid.belongs, step, axis=(0, 1))
        rise = (np.roll(grid.level, step, axis=(0, 1)) - grid.level) / grid.cell
        open_to = (next_to == UNKNOWN) & (rise > -INWARDS) | (next_to == OUTSIDE) & (rise > INWARDS)
        edges += int(np.count_nonzero(mine & open_to))
    return edges * grid.cell >= LEAST_STRETCH


def _longest(flow: Flow, share: Array) -> tuple[tuple[Plan, ...], float, float]:
    """The longest way on the lot to a destination, downwards, its length and its fall. [m]"""
    grid = flow.grid
    on_lot = grid.belongs.ravel()[flow.cells] == LOT
    mine = on_lot & (share > 0.5)
    if not mine.any():
        return (), 0.0, 0.0
    far = int(np.argmax(np.where(mine, flow.way, -1.0)))
    cells, _ = flow.path(int(flow.cells[far]))
    away = np.flatnonzero(grid.belongs.ravel()[cells] != LOT)
    cells = cells[: away[0]] if len(away) else cells
    path = straightened(flow.places(cells), STRAIGHTEN * grid.cell)
    levels = grid.level.ravel()[cells]
    return path, length_of(path), max(0.0, float(levels[0] - levels[-1]))


def straightened(path: tuple[Plan, ...], tolerance: float) -> tuple[Plan, ...]:
    """A way without the bends that are smaller than a tolerance. [m]"""
    import shapely

    if len(path) < 3:
        return path
    simple = shapely.get_coordinates(shapely.simplify(shapely.LineString(path), tolerance))
    return tuple((float(east), float(north)) for east, north in simple)


def length_of(path: tuple[Plan, ...]) -> float:
    """Length of a way. [m]"""
    return float(sum(np.hypot(b[0] - a[0], b[1] - a[1]) for a, b in itertools.pairwise(path)))


def _rings(grid: GroundGrid, cells: NDArray[np.bool_]) -> tuple[Ring, ...]:
    """Outline of cells, cut along the boundary and the house."""
    import shapely

    steps = np.diff(np.pad(cells, ((0, 0), (1, 1))).astype(np.int8), axis=1)
    row, first = np.nonzero(steps == 1)
    last = np.nonzero(steps == -1)[1]
    west, south = grid.west + grid.cell * first, grid.south + grid.cell * row
    strips = shapely.box(west, south, grid.west + grid.cell * last, south + grid.cell)
    ground = shapely.difference(grid.lot_shape, grid.house_shape)
    return rings_of(shapely.intersection(shapely.coverage_union_all(strips), ground))


def rings_of(shape: BaseGeometry) -> tuple[Ring, ...]:
    """Rings of a shape's polygons: outer edges and holes."""
    import shapely

    rings: Any = [
        ring
        for part in shapely.get_parts(shape)
        if part.geom_type == "Polygon"
        for ring in (part.exterior, *part.interiors)
    ]
    return tuple(tuple((float(east), float(north)) for east, north in list(ring.coords)[:-1]) for ring in rings)


def crossings(
    flow: Flow, sides: BoundarySides, held: Flow | None = None
) -> tuple[tuple[RunOn, ...], tuple[RunOff, ...]]:
    """Stretches of the boundary where water enters the lot, and where it leaves.

    Parameters
    ----------
    flow : Flow
        Where water goes with every low spot full.
    sides : BoundarySides
        Of the lot.
    held : Flow, optional
        The same with the low spots beyond the boundary keeping what comes to them: what it lacks of the water that
        enters comes only when one of them spills.

    Returns
    -------
    tuple
        Stretches inwards, with the surveyed ground beyond that drains in (none surveyed: zero, but the ground at
        the boundary shows that water comes); stretches outwards. The greater ones first. Water counts where it
        enters first, and where it leaves for good: what goes out and comes in again is neither. The areas outwards
        of a side add up to the ground that drains there (``drained_areas``); sides with less than 1 m² are left out.
    """
    run_on = sorted(_run_on(flow, sides, held or flow), key=lambda item: (-item.area, -item.length))
    run_off = sorted(_run_off(flow, sides), key=lambda item: -item.area)
    return tuple(run_on), tuple(run_off)


def _run_on(flow: Flow, sides: BoundarySides, held: Flow) -> Iterator[RunOn]:
    grid = flow.grid
    inner, outer, amount, strange = _came_in(flow)
    inner_held, outer_held, amount_held, _ = _came_in(held)
    at_edge, over_edge = _edges(grid)
    none = np.zeros(len(inner_held))
    edge = np.zeros(len(at_edge))
    inner, outer = np.concatenate([inner, inner_held, at_edge]), np.concatenate([outer, outer_held, over_edge])
    unheld = np.concatenate([np.zeros(len(amount)), amount_held, edge])
    amount = np.concatenate([amount, none, edge])
    # Whether water may come from ground that nobody surveyed.
    strange = np.concatenate([strange, none, np.where(grid.belongs.ravel()[over_edge] == OUTSIDE, 1.0, 0.0)])
    for side, start, end, length, pairs in _stretches(grid, inner, outer, sides):
        area = float(amount[pairs].sum())
        spilled = min(area, max(0.0, area - float(unheld[pairs].sum())))
        if area < LEAST_AREA and (length < LEAST_STRETCH or strange[pairs].sum() < SOME):
            continue
        goes = _goes_to(flow, inner[pairs], amount[pairs])
        yield RunOn(side=side, start=start, end=end, length=length, area=area, goes_to=goes, spilled=spilled)


def _came_in(flow: Flow) -> tuple[Cells, Cells, Array, Array]:
    """Steps into the lot from beyond: the cells inside and outside, the ground behind that has not been on the lot
    before [m²], and how much comes of cells at the edge of the surveyed ground.
    """  # fmt: skip
    belongs = flow.grid.belongs.ravel()
    here, there, part = steps_of(flow.receivers, flow.parts)
    came_in = (belongs[flow.cells[here]] == BEYOND) & np.isin(belongs[there], (LOT, UNKNOWN))
    own = flow.grid.beyond.ravel()[flow.cells]
    edge = (beside(flow.grid.belongs == OUTSIDE) & (flow.grid.belongs == BEYOND)).ravel()[flow.cells]
    behind = _gathered_beyond(flow, here, there, part, np.stack([own, edge.astype(np.float64)], axis=1))
    amount = behind[here[came_in]] * part[came_in][:, None]
    return there[came_in], flow.cells[here[came_in]], amount[:, 0], amount[:, 1]


def _run_off(flow: Flow, sides: BoundarySides) -> Iterator[RunOff]:
    grid = flow.grid
    belongs = grid.belongs.ravel()
    here, there, part = steps_of(flow.receivers, flow.parts)
    out = (belongs[flow.cells[here]] == LOT) & np.isin(belongs[there], (OUTSIDE, BEYOND))
    rows = flow.row[there[out]]
    for_good = np.where(rows >= 0, 1.0 - flow.returns[rows], 1.0)
    passing = flow.gathered[here[out]] * part[out] * for_good
    by_side: dict[str, list[RunOff]] = {}
    for side, start, end, length, pairs in _stretches(grid, flow.cells[here[out]], there[out], sides):
        area = float(passing[pairs].sum())
        by_side.setdefault(side, []).append(RunOff(side=side, start=start, end=end, length=length, area=area))
    for stretches in by_side.values():
        large = [one for one in stretches if one.area >= LEAST_AREA]
        most = max(stretches, key=lambda one: one.area)
        whole = sum(one.area for one in stretches)
        small = whole - sum(one.area for one in large if one is not most) - most.area
        if whole >= LEAST_AREA:  # what is too small to be named counts to the greatest
            yield replace(most, area=most.area + small)
            yield from (one for one in large if one is not most)


def _gathered_beyond(flow: Flow, here: Cells, there: Cells, part: Array, own: Array) -> Array:
    """What cells beyond the boundary have, by the cells there that it drains through without having been on the lot."""
    from scipy import sparse
    from scipy.sparse.linalg import spsolve_triangular

    grid, count = flow.grid, len(flow.cells)
    outside = grid.belongs.ravel()[flow.cells] == BEYOND
    kept = outside[here] & (flow.row[there] >= 0) & (grid.belongs.ravel()[there] == BEYOND)
    ways = sparse.csr_array((part[kept], (flow.row[there[kept]], here[kept])), shape=(count, count))
    system: Any = sparse.csr_array(sparse.eye_array(count) - ways)
    return np.asarray(spsolve_triangular(system, own, lower=False, unit_diagonal=True), dtype=np.float64)


def _edges(grid: GroundGrid) -> tuple[Cells, Cells]:
    """Pairs of cells, of the lot and outside it side by side, where the ground rises outwards."""
    columns = grid.belongs.shape[1]
    inner, outer = [], []
    for down, over in ((0, 1), (1, 0), (0, -1), (-1, 0)):
        next_to = np.roll(grid.belongs, (-down, -over), axis=(0, 1))
        rise = (np.roll(grid.level, (-down, -over), axis=(0, 1)) - grid.level) / grid.cell
        cells = np.flatnonzero((grid.belongs == LOT) & np.isin(next_to, (OUTSIDE, BEYOND)) & (rise > INWARDS))
        inner.append(cells)
        outer.append(cells + down * columns + over)
    return np.concatenate(inner), np.concatenate(outer)


def _stretches(
    grid: GroundGrid, inner: Cells, outer: Cells, sides: BoundarySides
) -> Iterator[tuple[str, Plan, Plan, float, Cells]]:
    """Crossings that follow each other along a side: its name, both ends, the length, and which crossings."""
    if len(inner) == 0:
        return
    at = 0.5 * (centres_of(grid, inner) + centres_of(grid, outer))
    straight, along = sides.nearest(at)
    side = sides.side[straight]
    order = np.lexsort((along, side))
    parted = (np.diff(side[order]) != 0) | (np.diff(along[order]) > 3.0 * grid.cell)
    for pairs in np.split(order, np.flatnonzero(parted) + 1):
        (start, end) = (_on_boundary(sides, straight[n], at[n]) for n in (pairs[0], pairs[-1]))
        length = float(along[pairs[-1]] - along[pairs[0]]) + grid.cell
        yield sides.names[int(side[pairs[0]])], start, end, length, pairs


def _on_boundary(sides: BoundarySides, straight: int, at: Array) -> Plan:
    start, run = sides.start[straight], sides.end[straight] - sides.start[straight]
    east, north = start + run * np.clip((at - start) @ run / (run @ run), 0.0, 1.0)
    return float(east), float(north)


def _goes_to(flow: Flow, cells: Cells, amount: Array) -> dict[str, float]:
    """Where water goes that enters at cells of the lot, with its area; without any, where most would. [m²]"""
    rows = flow.row[cells]
    live = rows >= 0
    ends: dict[Destination, float] = dict.fromkeys(flow.destinations, 0.0)
    for number, end in enumerate(flow.destinations):
        ends[end] = float(flow.share[rows[live], number] @ amount[live])
    ends[("beyond the shots", NOT_KNOWN)] += float(amount[~live].sum())
    total = sum(ends.values())
    if total > 0.0:
        return {name: area for (_, name), area in ends.items() if area > 0.001 * total}
    most = flow.share[rows[live]].sum(axis=0)
    return {flow.destinations[int(np.argmax(most))][1]: 0.0} if live.any() else {}


def arrows(flow: Flow) -> tuple[FlowArrow, ...]:
    """Which way the ground falls, at places spread evenly over the lot."""
    grid = flow.grid
    west, south, east, north = grid.lot_shape.bounds
    every = max(1, round(max(east - west, north - south) / ARROWS / grid.cell))
    rise_east, rise_north = gradient(grid)
    found = []
    for row, column in itertools.product(*(range(1 + every // 2, size, every) for size in grid.belongs.shape)):
        slope = float(np.hypot(rise_east[row, column], rise_north[row, column]))
        if grid.belongs[row, column] == LOT and slope >= LEVEL:
            towards = (-float(rise_east[row, column]) / slope, -float(rise_north[row, column]) / slope)
            found.append(FlowArrow(at=grid.centre(row * grid.belongs.shape[1] + column), towards=towards, slope=slope))
    return tuple(found)


__all__ = ["arrows", "crossings", "drained_areas", "gradient", "length_of", "rings_of", "straightened"]
