"""Where the water goes: closed forms, and that none is lost."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence

import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from drainwright.errors import InputError
from drainwright.field.boundary_sides import sides_of
from drainwright.field.drained import arrows, crossings, drained_areas, gradient, length_of
from drainwright.field.flow import NOT_KNOWN, Flow, Sink, lay_flow
from drainwright.field.ground_grid import BEYOND, LOT, UNKNOWN, GroundGrid, fitting_cell, lay_grid
from drainwright.field.surface import Surface, triangulate
from drainwright.field.terrain_model import DrainedArea, Plan

Array = NDArray[np.float64]
Level = Callable[[Array, Array], Array]


def square(half: float, at: Plan = (0.0, 0.0)) -> tuple[Plan, ...]:
    (e, n), h = at, half
    return ((e - h, n - h), (e + h, n - h), (e + h, n + h), (e - h, n + h))


def ground(level: Level, half: float = 10.0, step: float = 1.0, jitter: float = 0.0) -> Surface:
    """Shots on a square net over a square of ground; ``jitter`` moves the inner ones."""
    ticks = np.linspace(-half, half, round(2 * half / step) + 1)
    east, north = (each.ravel().copy() for each in np.meshgrid(ticks, ticks))
    if jitter:
        inner = (np.abs(east) < half - 1e-9) & (np.abs(north) < half - 1e-9)
        moves = np.random.default_rng(5).uniform(-jitter, jitter, (2, len(east))) * inner
        east, north = east + moves[0], north + moves[1]
    heights = level(east, north)
    return triangulate([f"G{n}" for n in range(len(east))], list(zip(east, north, strict=True)), heights.tolist())


def routed(
    surface: Surface,
    cell: float,
    *,
    boundary: Sequence[Plan] = (),
    house: Sequence[Plan] = (),
    inlets: dict[str, Sequence[Plan]] | None = None,
    stays: dict[str, Plan] | None = None,
) -> Flow:
    grid = lay_grid(surface, boundary, house, cell)
    sinks = [
        Sink(kind="inlet", name=name, cells=tuple(cell_at(grid, at) for at in places))
        for name, places in (inlets or {}).items()
    ]
    sinks += [Sink(kind="low spot", name=name, cells=(cell_at(grid, at),)) for name, at in (stays or {}).items()]
    return lay_flow(grid, sinks, sides_of(boundary) if boundary else None)


def cell_at(grid: GroundGrid, at: Plan) -> int:
    found = grid.number(at, 0.0)
    assert found is not None
    return found


def areas(flow: Flow) -> dict[str, DrainedArea]:
    return {item.to: item for item in drained_areas(flow)}


# -- closed forms --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("cell", [1.0, 0.5, 0.25])
def test_plane_drains_to_a_line_of_inlets(cell: float) -> None:
    """A plane falls south at 2 %; a grate from (-4, -6) to (4, -6) takes the ground straight above it, 8 m by 16 m."""
    lot = square(10.0)
    places = [(float(e), -6.0 + 0.5 * cell) for e in np.arange(-4.0 + 0.5 * cell, 4.0, cell)]
    flow = routed(ground(lambda e, n: 30.0 + 0.02 * n), cell, boundary=lot, inlets={"CH": places})
    found = areas(flow)
    assert found["CH"].area == pytest.approx(8.0 * 16.0, abs=1e-6)
    assert found["south side"].area == pytest.approx(400.0 - 128.0, abs=1e-6)
    assert set(found) == {"CH", "south side"}
    assert found["CH"].slope == pytest.approx(0.02, rel=1e-6)
    assert found["CH"].longest == pytest.approx(16.0, abs=1.01 * cell)  # centre of the top cell to the grate's
    assert found["CH"].fall == pytest.approx(0.02 * found["CH"].longest, rel=1e-6)


def test_ground_that_ends_at_the_last_shots_while_it_still_rises_is_cut_off() -> None:
    """A plane falls south; shots over 20 m by 20 m. Only the grate's ground comes from the north edge of the shots."""

    def cut_off(boundary: float, crest: float = 99.0, half: float = 3.75, aside: float = 0.0) -> bool:
        def level(e: Array, n: Array) -> Array:
            return 30.0 + 0.02 * np.minimum(n, 2.0 * crest - n) - aside * np.abs(e)

        places = [(float(e), -5.75) for e in np.arange(-half, half + 0.1, 0.5)]
        flow = routed(ground(level), 0.5, boundary=square(boundary), inlets={"CH": places})
        return areas(flow)["CH"].cut_off

    assert cut_off(14.0), "the lot goes on beyond the shots, uphill"
    assert cut_off(10.0), "the shots end at the boundary, and the ground falls inwards there"
    assert cut_off(8.0), "ground beyond is measured, but ends while it still rises"
    for boundary in (14.0, 10.0, 8.0):
        assert not cut_off(boundary, crest=4.0), "a crest at 4 m ends it within the shots"
    # A grate over the whole width: its ground lies along the shots' ends on the east and the west.
    assert not cut_off(10.0, crest=4.0, half=9.75), "a level boundary is its end"
    assert cut_off(14.0, crest=4.0, half=10.75), "the lot goes on level: what drains from there nobody knows"
    assert not cut_off(14.0, crest=4.0, half=10.75, aside=0.005), "the lot falls away there"


@pytest.mark.parametrize("degrees", [10.0, 20.0, 33.0, 45.0, 70.0])
def test_plane_that_falls_askew_leaves_over_two_sides_in_their_shares(degrees: float) -> None:
    """Of a square of side L that falls towards (-sin a, -cos a), with a below 45°: ground L² tan(a)/2 leaves west."""
    turn = math.radians(degrees)
    surface = ground(lambda e, n: 30.0 + 0.03 * (e * math.sin(turn) + n * math.cos(turn)))
    errors = []
    for cell in (1.0, 0.5, 0.25):
        found = areas(routed(surface, cell, boundary=square(10.0)))
        narrow, wide = ("west side", "south side") if degrees <= 45.0 else ("south side", "west side")
        expected = 200.0 * math.tan(turn if degrees <= 45.0 else math.pi / 2 - turn)
        errors.append(abs(found[narrow].area / expected - 1.0))
        assert found[narrow].area + found[wide].area == pytest.approx(400.0, abs=1e-6)
        assert errors[-1] < 0.055 * cell  # shrinks with the cell: shares by the angle itself would leave 25 % at 10°


@pytest.mark.parametrize("degrees", [3.0, 17.0, 40.0, 45.0, 61.0, 88.0])
def test_ways_on_a_plane_follow_the_fall_and_are_as_long_as_it_says(degrees: float) -> None:
    """The way of least straying keeps to the true line within a cell; its length is that of the line."""
    turn = math.radians(degrees)
    down = (-math.sin(turn), -math.cos(turn))
    surface = ground(lambda e, n: 30.0 + 0.03 * (e * math.sin(turn) + n * math.cos(turn)))
    flow = routed(surface, 0.25, boundary=square(10.0))
    start = flow.grid.number((6.0, 6.0), 0.0)
    assert start is not None
    cells, end = flow.path(start)
    assert end is not None
    assert end[0] == "boundary"
    at = np.array(flow.places(cells))
    aside = (at - at[0]) @ np.array([down[1], -down[0]])
    assert np.abs(aside).max() < 0.25
    assert np.all(np.diff(flow.grid.level.ravel()[cells]) < 0.0)
    within = flow.grid.belongs.ravel()[cells] == LOT
    straight = float(np.hypot(*(at[within][-1] - at[0])))
    assert flow.way[flow.row[start]] == pytest.approx(straight, abs=0.6)


@pytest.mark.parametrize("cell", [1.0, 0.5, 0.25])
def test_all_of_a_bowl_goes_to_the_inlet_at_its_bottom(cell: float) -> None:
    found = areas(
        routed(ground(lambda e, n: 0.01 * (e**2 + n**2)), cell, boundary=square(10.0), inlets={"CB": [(0.01, 0.01)]})
    )
    assert set(found) == {"CB"}
    assert found["CB"].area == pytest.approx(400.0, abs=1e-6)
    assert found["CB"].longest == pytest.approx(math.hypot(10.0, 10.0), abs=1.5 * cell)


def test_cone_sheds_a_quarter_over_each_side() -> None:
    """Round a top the ground falls away on every side; by symmetry each side of the square has a quarter.

    Which way the triangles halve their squares spoils the symmetry a little.
    """
    found = areas(routed(ground(lambda e, n: 30.0 - 0.05 * np.hypot(e, n), step=0.5), 0.25, boundary=square(10.0)))
    assert len(found) == 4
    for item in found.values():
        assert item.area == pytest.approx(100.0, rel=0.02)


def test_a_sector_of_a_cone_drains_to_an_arc_of_inlets() -> None:
    """Inlets on an arc of 60° at 6 m catch the sector above it: pi 6² / 6 = 18.8 m². Coarser cells do worse."""
    surface = ground(lambda e, n: 30.0 - 0.05 * np.hypot(e, n), step=0.5)
    errors = []
    for cell in (0.5, 0.25, 0.125):
        turns = np.radians(np.arange(60.0, 120.01, 0.5))
        arc = [(6.0 * math.cos(t), 6.0 * math.sin(t)) for t in turns]
        grid = lay_grid(surface, square(10.0), (), cell)
        cells = tuple(dict.fromkeys(cell_at(grid, at) for at in arc))
        flow = lay_flow(grid, [Sink(kind="inlet", name="ARC", cells=cells)], sides_of(square(10.0)))
        errors.append(abs(areas(flow)["ARC"].area / (math.pi * 36.0 / 6.0) - 1.0))
    assert errors[0] < 0.15
    assert errors[-1] < 0.05
    assert errors[-1] < errors[0]


def test_saddle_parts_the_ground_by_its_axes() -> None:
    """z = (e² - n²)/100: all water leaves north or south, half each, and none crosses the north-south axis's foot."""
    flow = routed(ground(lambda e, n: 30.0 + 0.01 * (e**2 - n**2), step=0.5), 0.25, boundary=square(10.0))
    found = areas(flow)
    assert found["north side"].area == pytest.approx(200.0, rel=0.005)
    assert found["south side"].area == pytest.approx(200.0, rel=0.005)
    on_lot = flow.grid.belongs.ravel()[flow.cells] == LOT
    rows = flow.cells[on_lot] // flow.grid.belongs.shape[1]
    upper = flow.grid.south + flow.grid.cell * (rows + 0.5) > 0.3
    to_north = flow.share[on_lot, flow.destinations.index(("boundary", "north side"))]
    assert np.all(to_north[upper] > 1.0 - 1e-9)


def test_a_ridge_parts_the_lot_like_a_roof() -> None:
    """A ridge along e = 2 in a lot 20 m wide: 12 m by 20 m drain west, 8 m by 20 m drain east."""
    found = areas(routed(ground(lambda e, n: 30.0 - 0.04 * np.abs(e - 2.0)), 0.25, boundary=square(10.0)))
    assert found["west side"].area == pytest.approx(240.0, abs=1e-6)
    assert found["east side"].area == pytest.approx(160.0, abs=1e-6)
    assert found["west side"].longest == pytest.approx(12.0, abs=0.5)


@pytest.mark.parametrize("cell", [0.8, 0.4, 0.16])
def test_valley_gathers_all_of_its_ground_at_its_mouth(cell: float) -> None:
    """A V-valley along n = 0 that falls east: an inlet at its mouth takes the whole lot, to the last square."""
    surface = ground(lambda e, n: 30.0 + 0.05 * np.abs(n) - 0.01 * e)
    mouth = (10.0 - 0.5 * cell, 0.0)
    flow = routed(
        surface, cell, boundary=square(10.0), inlets={"CB": [(mouth[0], 0.5 * cell), (mouth[0], -0.5 * cell)]}
    )
    inlet = flow.share[:, flow.destinations.index(("inlet", "CB"))]
    lot = flow.grid.lot.ravel()[flow.cells]
    caught = flow.gathered[flow.swallowed].sum()
    assert caught == pytest.approx(float(lot @ inlet), rel=1e-12)
    # What falls on the sides reaches the valley within 20 cm a metre of way: ground nearer to the mouth leaves east.
    # From (e, n) the way is towards (1, -5): it is in the valley at e + |n|/5, so it leaves where 10 - e < |n|/5.
    escapes = 2.0 * 0.5 * 10.0 * 2.0
    assert caught == pytest.approx(400.0 - escapes, abs=10.0 * cell)


def test_valley_walls_that_lead_straight_down_leave_exactly_nothing_out() -> None:
    """With the house as a dam on either side of the mouth, every square metre passes the inlet there."""
    surface = ground(lambda e, n: 30.0 + 0.05 * np.abs(n) - 0.01 * e)
    lot = ((-10.0, -10.0), (10.0, -10.0), (10.0, 10.0), (-10.0, 10.0))
    grid = lay_grid(surface, lot, (), 0.5)
    east, _ = grid.centres()
    last = np.flatnonzero((np.abs(east - 9.75) < 1e-9).ravel() & grid.live.ravel())
    flow = lay_flow(grid, [Sink(kind="inlet", name="ROW", cells=tuple(int(cell) for cell in last))], sides_of(lot))
    assert flow.gathered[flow.swallowed].sum() == pytest.approx(400.0, abs=1e-9)


# -- low spots, walls, the house ----------------------------------------------------------------------------------


def dished(e: Array, n: Array) -> Array:
    """A plane that falls south, with a dish 20 cm deep at (0, 2)."""
    return 30.0 + 0.02 * n - 0.2 * np.exp(-((e**2 + (n - 2.0) ** 2) / 4.0))


def test_a_low_spot_spills_when_full_and_keeps_its_water_when_dry() -> None:
    surface = ground(dished, step=0.5)
    full = areas(routed(surface, 0.25, boundary=square(10.0)))
    assert set(full) == {"south side"}
    assert full["south side"].area == pytest.approx(400.0, abs=1e-6)
    dry = areas(routed(surface, 0.25, boundary=square(10.0), stays={"low spot 1": (0.0, 1.8)}))
    assert dry["low spot 1"].area > 20.0
    assert dry["low spot 1"].area + dry["south side"].area == pytest.approx(400.0, abs=1e-6)


def test_filled_ground_is_that_of_another_library() -> None:
    """Filling by the way of lowest spill, and by greyscale reconstruction by erosion (scikit-image), agree exactly."""
    morphology = pytest.importorskip("skimage.morphology")
    rough = np.random.default_rng(3).normal(0.0, 0.1, 441)
    flow = routed(ground(lambda e, n: 30.0 + 0.01 * n + rough), 0.4, boundary=square(10.0))
    level = flow.grid.level
    taking = ~np.isnan(flow.filled)
    mask = np.where(taking, level, level[taking].max() + 1.0)
    seed = np.where(flow.grid.live, mask.max(), mask)
    filled = morphology.reconstruction(seed, mask, method="erosion", footprint=np.ones((3, 3)))
    assert (flow.filled - level)[taking].max() > 0.05  # there is something to fill
    assert np.array_equal(filled[taking], flow.filled[taking])


def test_walls_turn_the_water_aside() -> None:
    """The house stands across a plane that falls south: nothing crosses it, and nothing is lost at it."""
    house = square(3.0, (0.0, 1.0))
    surface = ground(lambda e, n: 30.0 + 0.02 * n)
    flow = routed(surface, 0.25, boundary=square(10.0), house=house)
    found = areas(flow)
    assert set(found) == {"south side"}
    assert found["south side"].area == pytest.approx(400.0 - 36.0, abs=1e-6)
    start = flow.grid.number((0.3, 8.0), 0.0)
    assert start is not None
    cells, _ = flow.path(start)
    way = shapely.LineString(flow.places(cells))
    assert way.distance(shapely.Polygon(house).buffer(-0.3)) > 0.0
    assert way.length > 16.0 + 2.0  # round the corner


def test_water_does_not_slip_between_cells_of_a_wall_that_touch_at_a_corner() -> None:
    """A thin wall across the lot from corner to corner; the ground falls through it, a little along it."""
    thin = ((-12.0, -12.05), (12.05, 12.0), (12.0, 12.05), (-12.05, -12.0))
    surface = ground(lambda e, n: 30.0 - 0.03 * (e - n) - 0.005 * (e + n))
    flow = routed(surface, 0.5, boundary=square(10.0), house=thin)
    east, north = (each.ravel()[flow.cells] for each in flow.grid.centres())
    south = flow.share[:, flow.destinations.index(("boundary", "south side"))]
    assert south[north < east - 1.0].max() > 0.9
    assert south[north > east].max() == 0.0


def test_a_court_shut_in_by_walls_keeps_its_water_at_the_wall() -> None:
    ring = shapely.Polygon(square(4.0), [square(2.0)])
    slit = ring.difference(shapely.box(-0.01, 1.0, 0.01, 5.0))  # one outline, as a walk round it gives
    outline = [(float(e), float(n)) for e, n in list(slit.exterior.coords)[:-1]]
    flow = routed(ground(lambda e, n: 30.0 + 0.02 * n), 0.25, boundary=square(10.0), house=outline)
    found = areas(flow)
    assert found["wall"].kind == "wall"
    assert found["wall"].area == pytest.approx(16.0, abs=0.1)
    assert sum(item.area for item in found.values()) == pytest.approx(400.0 - slit.area, abs=1e-6)


# -- the boundary -------------------------------------------------------------------------------------------------


def test_ground_beyond_sheds_on_to_the_lot() -> None:
    """Shots reach 10 m beyond a lot on a plane that falls south: all ground straight above it drains on to it."""
    surface = ground(lambda e, n: 30.0 + 0.02 * n, half=20.0)
    lot = square(10.0)
    flow = routed(surface, 0.5, boundary=lot)
    (enters,), (leaves,) = crossings(flow, sides_of(lot))
    assert enters.side == "north side"
    assert enters.area == pytest.approx(200.0, abs=1e-6)
    assert enters.length == pytest.approx(20.0, abs=0.51)
    assert enters.goes_to == {"south side": pytest.approx(200.0, abs=1e-6)}
    assert leaves.side == "south side"
    assert leaves.area == pytest.approx(600.0, abs=1e-6)
    (south,) = drained_areas(flow)
    assert south.longest == pytest.approx(20.0, abs=0.51)  # on the lot
    assert (south.area, south.beyond) == (pytest.approx(400.0, abs=1e-6), pytest.approx(200.0, abs=1e-6))


def test_ground_that_falls_inwards_at_the_edge_of_the_shots_tells_of_water_from_beyond() -> None:
    lot = square(10.0)
    flow = routed(ground(lambda e, n: 30.0 + 0.02 * n), 0.5, boundary=lot)
    (enters,), _ = crossings(flow, sides_of(lot))
    assert (enters.side, enters.area) == ("north side", 0.0)
    assert enters.length == pytest.approx(20.0, abs=0.51)
    assert enters.goes_to == {"south side": 0.0}


def test_water_that_goes_out_and_comes_in_again_is_neither_run_off_nor_run_on() -> None:
    """A lot like a U on a plane that falls east: water that crosses its notch leaves only at the east side."""
    lot = ((-10, -10), (10, -10), (10, 10), (3, 10), (3, 0), (-3, 0), (-3, 10), (-10, 10))
    flow = routed(ground(lambda e, n: 30.0 - 0.02 * e, half=20.0), 0.5, boundary=lot)
    enters, leaves = crossings(flow, sides_of(lot))
    assert {item.side: item.area for item in enters} == {
        "west side": pytest.approx(60.0, abs=1e-6), "west side 2": pytest.approx(200.0, abs=1e-6)
    }  # fmt: skip
    assert [(item.side, item.area) for item in leaves] == [("east side", pytest.approx(600.0, abs=1e-6))]
    (east,) = drained_areas(flow)
    assert (east.area, east.beyond) == (pytest.approx(340.0, abs=1e-6), pytest.approx(260.0, abs=1e-6))


def test_water_of_a_gutter_that_spills_is_told_apart() -> None:
    """South of the lot a gutter, closed at its ends and lower than the kerb on the boundary: it fills, then spills."""

    def level(east: Array, north: Array) -> Array:
        trough = 29.95 + 0.2 * (east / 20.0) ** 2
        street = np.minimum(1.0, np.maximum(0.0, (-13.0 - north) / 7.0))  # from the gutter up to the crown
        kerb = np.clip((north + 12.0) / 2.0, 0.0, 1.0)
        outside = trough + street + kerb * (30.05 - trough)
        return np.where(north > -10.0, 30.05 - 0.02 * (north + 10.0), outside)

    lot = square(10.0)
    surface = ground(level, half=20.0)
    full = routed(surface, 0.5, boundary=lot)
    enters, _ = crossings(full, sides_of(lot))
    (plain,) = (item for item in enters if item.side == "south side")
    assert plain.area > 100.0
    assert (plain.spilled, plain.only_spills) == (0.0, False)
    held = routed(surface, 0.5, boundary=lot, stays={"gutter": (0.01, -12.4)})
    enters, _ = crossings(full, sides_of(lot), held)
    (south,) = (item for item in enters if item.side == "south side")
    assert south.area == pytest.approx(plain.area)
    assert south.area - south.spilled < 1.0
    assert south.only_spills


def test_a_strip_outside_that_is_known_to_be_small_is_no_run_on() -> None:
    """A crest 4 cm outside the boundary, the street beyond it falling away: nothing comes in that is worth a word."""
    lot = square(10.0)
    places = [(float(e), n) for e in (-20, -10, 0, 10, 20) for n in (-20.0, -10.04, 20.0)]
    levels = [30.0 - 0.02 * abs(n + 10.04) for _, n in places]
    names = [f"G{n}" for n in range(len(places))]
    enters, _ = crossings(routed(triangulate(names, places, levels), 0.25, boundary=lot), sides_of(lot))
    assert enters == ()
    short = [n for n, (_, north) in enumerate(places) if north > -20.0]  # no shot in the street: nobody knows
    few = triangulate([names[n] for n in short], [places[n] for n in short], [levels[n] for n in short])
    enters, _ = crossings(routed(few, 0.25, boundary=lot), sides_of(lot))
    assert [(item.side, item.area < 1.0) for item in enters] == [("south side", True)]


def test_ground_far_from_the_shots_is_told_apart() -> None:
    """Shots over half the lot only: a metre beyond them the ground is carried on, the rest is not known."""
    lot = ((-10.0, -10.0), (30.0, -10.0), (30.0, 10.0), (-10.0, 10.0))
    found = areas(routed(ground(lambda e, n: 30.0 - 0.02 * e), 0.5, boundary=lot))
    assert found[NOT_KNOWN].area == pytest.approx(800.0, abs=1e-6)  # the plane falls that way: all of it
    assert found[NOT_KNOWN].kind == "beyond the shots"
    away = areas(routed(ground(lambda e, n: 30.0 + 0.02 * e), 0.5, boundary=lot))
    assert away[NOT_KNOWN].area == pytest.approx(19.0 * 20.0, abs=1e-6)
    assert away["west side"].area == pytest.approx(21.0 * 20.0, abs=1e-6)


def test_without_a_boundary_the_lot_is_what_the_shots_surround() -> None:
    found = areas(routed(ground(lambda e, n: 30.0 + 0.02 * n), 0.5))
    assert set(found) == {NOT_KNOWN}
    assert found[NOT_KNOWN].area == pytest.approx(400.0, abs=1e-6)


def test_sides_are_named_by_true_north_and_numbered() -> None:
    names = sides_of([(0, 0), (20, 0), (20, 10), (10, 10), (10, 20), (0, 20)]).names
    assert sorted(names) == ["east side", "east side 2", "north side", "north side 2", "south side", "west side"]
    turned = sides_of(square(5.0), math.radians(90.0))
    straight, _ = turned.nearest(np.array([[0.0, 5.0]]))
    assert turned.names[turned.side[straight[0]]] == "west side"  # up on the drawing, where north is to the right
    backwards = sides_of(square(5.0)[::-1])
    straight, _ = backwards.nearest(np.array([[0.0, 5.0]]))
    assert backwards.names[backwards.side[straight[0]]] == "north side"


# -- nothing is lost ----------------------------------------------------------------------------------------------


@settings(max_examples=20)
@given(st.integers(0, 10_000))
def test_no_water_is_lost_on_any_ground(seed: int) -> None:
    """Rough ground, a slanting lot with surveyed ground beyond, a house, inlets, low spots that keep what comes."""
    rng = np.random.default_rng(seed)
    count = int(rng.integers(8, 60))
    plan = rng.uniform(-14.0, 14.0, (count, 2))
    surface = triangulate(
        [f"G{n}" for n in range(count)], [(float(e), float(n)) for e, n in plan], rng.normal(30.0, 0.3, count).tolist(),
        house := tuple(
            (float(e), float(n)) for e, n in shapely.affinity.rotate(
                shapely.box(-3.0, -2.0, 3.0, 2.0), float(rng.uniform(0.0, 90.0))
            ).exterior.coords[:-1]
        ),
    )  # fmt: skip
    turn = np.linspace(0.0, 2.0 * math.pi, int(rng.integers(4, 8)), endpoint=False)
    lot = tuple((float(e), float(n)) for e, n in np.stack([11.0 * np.cos(turn), 10.0 * np.sin(turn)], axis=1))
    cell = float(rng.choice([0.45, 0.6, 0.77]))
    grid = lay_grid(surface, lot, house, cell)
    expected = shapely.Polygon(lot).difference(shapely.Polygon(house))
    beyond = shapely.MultiPoint(surface.plan).convex_hull.difference(
        shapely.union(shapely.Polygon(lot), shapely.Polygon(house))
    )
    assert grid.lot.sum() == pytest.approx(expected.area, abs=1e-9)
    assert grid.beyond.sum() == pytest.approx(beyond.area if (grid.belongs == BEYOND).any() else 0.0, abs=1e-9)
    chosen = rng.choice(np.flatnonzero(grid.live), 4, replace=False)
    sinks = [Sink(kind="inlet", name=f"CB{n}", cells=(int(cell),)) for n, cell in enumerate(chosen[:2])]
    sinks += [Sink(kind="low spot", name=f"low spot {n}", cells=(int(cell),)) for n, cell in enumerate(chosen[2:])]
    flow = lay_flow(grid, sinks, sides_of(lot))
    found = drained_areas(flow)
    assert sum(item.area for item in found) == pytest.approx(expected.area, abs=1e-6)
    on_lot = grid.belongs.ravel()[flow.cells] == LOT
    assert flow.share[on_lot].sum(axis=1) == pytest.approx(1.0, abs=1e-9)
    outside = ~on_lot
    assert flow.share[outside].sum(axis=1) == pytest.approx(flow.returns[outside], abs=1e-9)
    assert flow.share.min() > -1e-12
    # The two solutions check each other: what is gathered at the inlets is what has its share there.
    for n, sink in enumerate(sinks):
        through = flow.gathered[flow.row[list(sink.cells)]].sum()
        assert through == pytest.approx(float(flow.area @ flow.share[:, n]), abs=1e-6)
    enters, leaves = crossings(flow, sides_of(lot))
    for end in (item for item in found if item.kind == "boundary"):
        off = sum(item.area for item in leaves if item.side == end.to)
        assert off == pytest.approx(end.area + end.beyond if off else 0.0, abs=1e-6)
        assert off or end.area + end.beyond < 1.0
    assert sum(item.area for item in enters) <= grid.beyond.sum() + 1e-9
    for item in enters:
        assert sum(item.goes_to.values()) == pytest.approx(item.area, abs=0.02 * item.area + 1e-9)


def test_each_cell_runs_only_to_lower_ground_or_over_full_water() -> None:
    rough = np.random.default_rng(8).normal(0.0, 0.1, 441)
    flow = routed(ground(lambda e, n: 30.0 + rough), 0.4, boundary=square(10.0), house=square(2.0))
    filled = flow.filled.ravel()
    for which in (0, 1):
        has = flow.receivers[:, which] >= 0
        assert np.all(filled[flow.receivers[has, which]] <= filled[flow.cells[has]])
        later = flow.row[flow.receivers[has, which]]
        assert np.all(later < np.flatnonzero(has))  # sorted from the lowest up: never back to where it was


def test_rings_hold_the_area_that_they_bound() -> None:
    surface = ground(lambda e, n: 30.0 - 0.04 * np.abs(e - 2.0))
    for item in drained_areas(routed(surface, 0.25, boundary=square(10.0), house=square(2.0))):
        (ring,) = item.rings
        assert shapely.Polygon(ring).area == pytest.approx(item.area, rel=0.02)


def test_arrows_point_down() -> None:
    flow = routed(ground(lambda e, n: 30.0 + 0.03 * e), 0.5, boundary=square(10.0))
    found = arrows(flow)
    assert 60 < len(found) < 200
    for arrow in found:
        assert arrow.towards == (pytest.approx(-1.0), pytest.approx(0.0, abs=1e-6))
        assert arrow.slope == pytest.approx(0.03)
    east, north = gradient(flow.grid)
    assert np.hypot(east, north)[flow.grid.live] == pytest.approx(0.03)


def test_cells_fit_the_ground() -> None:
    assert fitting_cell(50.0) == 0.1
    assert [extent / fitting_cell(extent) ** 2 <= 20_000 for extent in (10.0, 930.0, 31_000.0, 1e6)] == [True] * 4
    with pytest.raises(InputError, match="cell"):
        lay_grid(ground(lambda e, n: e), cell=0.0)
    assert length_of(((0.0, 0.0), (3.0, 4.0), (3.0, 5.0))) == 6.0
    assert (lay_grid(ground(lambda e, n: e), square(12.0), cell=0.5).belongs == UNKNOWN).any()
