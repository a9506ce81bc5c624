"""A job on public ground: an invented house on a real block, its ground from a grid, from a GeoTIFF and from lidar, its
rain from a table as served, carried through field and water.

Ground: IGN LIDAR HD, Licence Ouverte 2.0 (source: IGN), a built-up block that falls 1.6 m over 150 m. Rain: NOAA Atlas
14, Ann Arbor. Both are shared beside the tree. The house and its walls are invented; so is where it stands.
"""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest

from drainwright.design import Design, design
from drainwright.field import survey
from drainwright.job.reading import read_text
from drainwright.water.model import Cause

SHARED = Path(__file__).resolve().parents[3] / "shared" / "data"
TERRAIN = SHARED / "terrain"
TABLE = SHARED / "idf" / "ann_arbor_mi_depth_in_all.csv"

pytestmark = pytest.mark.skipif(not TERRAIN.is_dir(), reason="the shared terrain is not beside this tree")

JOB = """schema_version: 1
title: An invented house on measured ground
units: SI
demonstration: true
property:
  boundary: ["-12 m, -12 m", "24 m, -12 m", "24 m, 21 m", "-12 m, 21 m"]
survey:
  points:
    - {name: A, east: 0 m, north: 0 m}
    - {name: B, east: 12 m, north: 0 m}
    - {name: C, east: 12 m, north: 9 m}
    - {name: D, east: 0 m, north: 9 m}
  shot_sets:
    - name: block
      file: FILE
      unit: m
      known:
        - {at: A, in_file: [770560, 6277540]}
        - {at: B, in_file: [770572, 6277540]}
      level_shift: 80 m
      within: 25 m
      basis: mapped
house:
  outline: [A, B, C, D]
  floor_kind: basement
  floor: 100.6 m, assumed
  walls:
    - {name: south, from: A, to: B, footing_bottom: "100.0 m, assumed", open_and_coat: true}
    - {name: north, from: C, to: D, footing_bottom: "100.0 m, assumed", open_and_coat: true}
ground: {texture: "silt loam, assumed", water_table: "100.9 m, assumed"}
rain: {file: rain.csv}
roofs:
  - {name: roof, area: "54 m2, assumed", to: DS}
downspouts:
  - {name: DS, at: C}
YARDS
works:
INLETS
  runs:
    - {name: FD, duty: footing drain, from: A, to: SUMP, beside: [south]}
    - {name: L, duty: leader, from: DS, to: SUMP}
  basin_place: 15 m, -2 m
  discharge:
    - {name: OUT, at: "18 m, -11 m", kind: street, invert: 100.8 m}
"""


def read(folder: Path, file: str, place: tuple[float, float] | None) -> Design:
    """The job carried through, with an inlet at a place, or none."""
    shutil.copyfile(TERRAIN / file, folder / Path(file).name)
    shutil.copyfile(TABLE, folder / "rain.csv")
    yards = "yards:\n  - {name: garden, from_ground: true, to: CB}" if place else "yards: []"
    inlets = (
        f'  inlets:\n    - {{name: CB, at: "{place[0]:.2f} m, {place[1]:.2f} m", size: 300 mm}}'
        if place
        else "  inlets: []"
    )
    text = JOB.replace("FILE", Path(file).name).replace("YARDS", yards).replace("INLETS", inlets)
    return design(read_text(text, "job.yaml", folder).job)


@pytest.fixture(scope="module")
def carried(tmp_path_factory: pytest.TempPathFactory) -> Design:
    folder = tmp_path_factory.mktemp("block")
    dry = read(folder, "montpellier_block_ground_1m.asc", None)
    terrain = dry.site.terrain
    assert terrain is not None
    on_lot = [spot for spot in terrain.low_spots if -11 < spot.at[0] < 23 and -11 < spot.at[1] < 20]
    assert on_lot  # flat built-up ground holds water somewhere
    return read(folder, "montpellier_block_ground_1m.asc", on_lot[0].at)


def test_the_ground_that_drains_adds_up_to_the_lot(carried: Design) -> None:
    terrain = carried.site.terrain
    assert terrain is not None
    assert terrain.lot_area == pytest.approx(36 * 33)
    assert terrain.house_area == pytest.approx(12 * 9)
    for state in (terrain.drained, terrain.drained_dry):
        assert sum(area.area for area in state) == pytest.approx(36 * 33 - 12 * 9, abs=1e-6)
    assert terrain.contours
    assert all(100.0 < contour.level < 102.0 for contour in terrain.contours)  # 20.28 to 21.92 m, 80 m up


def test_the_yard_is_that_ground_and_its_water_has_a_band(carried: Design) -> None:
    terrain, water = carried.site.terrain, carried.inflows
    assert terrain is not None
    ground = terrain.area_to("CB")
    [yard] = [item for item in water.contributions if item.cause is Cause.YARD]
    assert ground is not None
    assert yard.area == pytest.approx(ground.area + ground.beyond)
    depth = water.rain.bounds(yard.time, yard.return_period)
    assert depth is not None  # the table's own bounds
    assert yard.low is not None
    assert yard.high is not None
    assert yard.low < yard.flow < yard.high
    assert water.total is not None
    assert water.total.low < water.total.middle < water.total.high
    [line] = water.ground_lines
    assert line.level_with < line.level_without


def test_grid_geotiff_and_lidar_tell_one_ground(tmp_path: Path, carried: Design) -> None:
    """The same ground from the 0.5 m GeoTIFF and from one lidar tile's ground points: within 5 cm in nine
    places of ten."""
    east, north = np.meshgrid(np.linspace(-9.0, -1.0, 15), np.linspace(-9.0, 8.0, 15))
    level = carried.site.surface.level(east.ravel(), north.ravel())
    for file in ("montpellier_block_ground_0p5m.tif", "montpellier_laz/77055_627755.laz"):
        shutil.copyfile(TERRAIN / file, tmp_path / Path(file).name)
        shutil.copyfile(TABLE, tmp_path / "rain.csv")
        text = JOB.replace("FILE", Path(file).name).replace("YARDS", "yards: []").replace("INLETS", "  inlets: []")
        surface = survey(read_text(text, "job.yaml", tmp_path).job).surface
        known = surface.supported(east.ravel(), north.ravel())
        apart = np.abs(surface.level(east.ravel(), north.ravel()) - level)[known]
        assert known.mean() > 0.8
        assert np.quantile(apart, 0.9) < 0.05, file
