"""Real ground: a city block by laser at 1 m, and a hillside of 76 shots. No water is lost on either."""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray

from drainwright.field.boundary_sides import sides_of
from drainwright.field.drained import crossings, drained_areas
from drainwright.field.flow import Sink, lay_flow
from drainwright.field.ground_grid import lay_grid
from drainwright.field.low_spots import low_spots
from drainwright.field.surface import Surface, triangulate

DATA = Path(__file__).parents[2].parent / "shared" / "data"
BLOCK = DATA / "terrain" / "montpellier_block_ground_1m.asc"
HILLSIDE = DATA / "survey" / "hillside_points_PNEZD.csv"
Plan = tuple[float, float]


def rectangle(west: float, south: float, east: float, north: float) -> tuple[Plan, ...]:
    return ((west, south), (east, south), (east, north), (west, north))


def block(every: int) -> Surface:
    """The block's ground: each so manyth row and column of the grid becomes a shot."""
    rows = BLOCK.read_text(encoding="utf-8").split("\n")
    head = dict(row.split() for row in rows[:6])
    levels = np.array([[float(value) for value in row.split()] for row in rows[6:] if row.strip()])[::-1]
    west, south, cell = (float(head[key]) for key in ("xllcorner", "yllcorner", "cellsize"))
    assert levels.shape == (100, 150)
    assert not (levels == float(head["NODATA_value"])).any()
    row, column = (each.ravel() for each in np.meshgrid(*(np.arange(0, n, every) for n in levels.shape), indexing="ij"))
    plan = np.stack([west + cell * (column + 0.5), south + cell * (row + 0.5)], axis=1)
    return triangulate([f"G{n}" for n in range(len(plan))], [(float(e), float(n)) for e, n in plan],
                       levels[row, column].tolist())  # fmt: skip


def hillside() -> Surface:
    with HILLSIDE.open(encoding="utf-8") as file:
        rows = [row for row in csv.DictReader(file) if row["D"] == "ground"]
    plan = [(float(row["E"]), float(row["N"])) for row in rows]
    return triangulate([row["P"] for row in rows], plan, [float(row["Z"]) for row in rows])


def held(surface: Surface, lot: tuple[Plan, ...], house: tuple[Plan, ...]) -> dict[str, float]:
    """Follow the water with and without the low spots full; what must hold is asserted. Areas by destination."""
    grid = lay_grid(surface, lot, house)
    sides = sides_of(lot)
    spots = low_spots(surface)
    stays = [
        Sink(kind="low spot", name=spot.name, cells=(cell,))
        for spot in spots
        if (cell := grid.number(spot.at, grid.cell)) is not None
    ]
    expected = shapely.Polygon(lot).difference(shapely.Polygon(house)).area
    full, dry = lay_flow(grid, (), sides), lay_flow(grid, stays, sides)
    for flow in (full, dry):
        assert sum(item.area for item in drained_areas(flow)) == pytest.approx(expected, abs=1e-6)
        enters, leaves = crossings(flow, sides)
        assert sum(item.area for item in enters) <= grid.beyond.sum()
        assert sum(item.area for item in leaves) <= grid.beyond.sum() + expected
    assert {item.kind for item in drained_areas(full)} <= {"boundary", "beyond the shots"}
    return {item.to: item.area for item in drained_areas(dry)}


@pytest.mark.skipif(not BLOCK.exists(), reason="the terrain data are not beside this checkout")
@pytest.mark.parametrize("every", [6, 3])
def test_a_city_block_sheds_every_square_metre(every: int) -> None:
    surface = block(every)
    west, south = 770500.0, 6277500.0
    lot = rectangle(west + 40.0, south + 30.0, west + 90.0, south + 70.0)
    house = rectangle(west + 55.0, south + 42.0, west + 70.0, south + 54.0)
    found = held(surface, lot, house)
    assert len(found) > 3
    assert max(found.values()) < 0.99 * 1820.0


@pytest.mark.skipif(not BLOCK.exists(), reason="the terrain data are not beside this checkout")
def test_finer_shots_of_the_block_tell_much_the_same() -> None:
    """Ground that drains over each side, from shots 3 m and 2 m apart, on the same lot.

    As found, a tenth of the lot (202 of 2,000 m²) changes sides: on nearly level ground that much hangs on
    a few centimetres, and on where the shots are.
    """
    west, south = 770500.0, 6277500.0
    lot = rectangle(west + 40.0, south + 30.0, west + 90.0, south + 70.0)
    by_side: list[NDArray[np.float64]] = []
    for every in (3, 2):
        flow = lay_flow(lay_grid(block(every), lot), (), sides_of(lot))
        found = {item.to: item.area for item in drained_areas(flow)}
        by_side.append(np.array([found.get(name, 0.0) for name in sides_of(lot).names]))
    assert np.abs(by_side[0] - by_side[1]).max() < 250.0


@pytest.mark.skipif(not HILLSIDE.exists(), reason="the survey data are not beside this checkout")
def test_a_hillside_sheds_every_square_metre() -> None:
    surface = hillside()
    low, high = surface.plan.min(axis=0), surface.plan.max(axis=0)
    middle, reach = 0.5 * (low + high), 0.25 * (high - low)
    lot = rectangle(*(middle - reach).tolist(), *(middle + reach).tolist())
    house = rectangle(*(middle - 4.0).tolist(), *(middle + 4.0).tolist())
    found = held(surface, lot, house)
    assert len(found) >= 2
