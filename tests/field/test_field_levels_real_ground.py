"""Books over real ground that nobody chose or noted: what the search for blunders makes of it, told as it is.

Ground: French national lidar survey (IGN LIDAR HD, Open Licence 2.0), a built-up block of Montpellier, 0.5 m cells of
measured ground; raised patches at walls and parked cars remain in it, as its notes say. Shots are drawn blindly, where
a surveyor would choose them and note what stands there: a hard trial, with one shot in ten or so on something.
"""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from drainwright.field.level_network import RodReading
from drainwright.field.level_slips import find_level_slips
from drainwright.field.model import Slip

FOOT = 0.3048
DATA = Path(__file__).parents[2].parent / "shared" / "data" / "terrain"
pytestmark = pytest.mark.skipif(not DATA.exists(), reason="the terrain data are not beside this checkout")
BOOKS = 40


def grids() -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    import rasterio

    with rasterio.open(DATA / "montpellier_block_ground_0p5m.tif") as ground:
        levels = ground.read(1).astype(float)
    with rasterio.open(DATA / "montpellier_block_class_0p5m.tif") as kinds:
        return levels, kinds.read(1)


def book(seed: int, planted: bool) -> tuple[tuple[Slip, ...], str]:
    """Forty shots in a square of 30 m from one set-up between two sights on the benchmark; one perhaps a foot off."""
    dice = np.random.default_rng(seed)
    levels, kinds = grids()
    top, left = int(dice.integers(0, 140)), int(dice.integers(0, 240))
    cells = [(r, c) for r in range(top, top + 60) for c in range(left, left + 60) if kinds[r, c] == 2]
    shots: list[tuple[int, int]] = []
    for n in dice.permutation(len(cells)):
        if len(shots) < 40 and all(math.dist(cells[n], other) >= 4.0 for other in shots):
            shots.append(cells[n])
    height = float(np.mean([levels[cell] for cell in shots])) + 1.5
    marks = [
        ("BM", height - 1.2),
        *((f"G{n}", float(levels[cell])) for n, cell in enumerate(shots)),
        ("BM", height - 1.2),
    ]
    wrong = int(dice.integers(1, len(shots) + 1)) if planted else -1
    readings = []
    for row, (point, level) in enumerate(marks):
        value = round((height - level + 0.0015 * float(dice.normal())) / FOOT, 2)
        value += float(dice.choice((-1.0, 1.0))) if row == wrong else 0.0
        readings.append(
            RodReading(row=row, column="intermediate", set_up=0, point=point, value=value * FOOT, error=0.0018)
        )
    places = {f"G{n}": (0.5 * c, -0.5 * r) for n, (r, c) in enumerate(shots)}
    return find_level_slips(readings, [height], {"BM": height - 1.2}, places), f"survey.level_book[{wrong}]"


def test_real_ground_raises_alarms_where_something_stands() -> None:
    """A finding: eleven of forty sound books over this ground name a shot, all of them shots that stand high."""
    slips = [slip for seed in range(BOOKS) for slip in book(seed, planted=False)[0][:1]]
    assert 0 < len(slips) <= 16
    assert sum(slip.size < 0.0 for slip in slips) >= 0.9 * len(slips)  # read too small: the ground stands high


def test_a_foot_is_found_on_real_ground_more_often_than_not() -> None:
    found = 0  # 29 when this was written
    for seed in range(BOOKS):
        slips, where = book(seed, planted=True)
        found += any(where in (slip.where, *slip.rivals) for slip in slips)
    assert found > BOOKS / 2
