"""A real hillside, 76 ground points in national-grid metres, against another interpolator on the same triangles.

Points: demonstration data of an open-source surveying project. SEEN in the project's shared data,
``survey/hillside_points_PNEZD.csv``. The other interpolator is SciPy's ``LinearNDInterpolator``.
"""

from __future__ import annotations

import csv
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.interpolate import LinearNDInterpolator

from drainwright.field.surface import Surface, prism_volume, triangulate

DATA = Path(__file__).parents[2].parent / "shared" / "data" / "survey" / "hillside_points_PNEZD.csv"
pytestmark = pytest.mark.skipif(not DATA.exists(), reason="the survey data are not beside this checkout")


def shots() -> tuple[list[str], NDArray[np.float64]]:
    """Names, and east, north and level."""
    with DATA.open() as file:
        rows = [row for row in csv.DictReader(file) if row["D"] == "ground"]
    return [row["P"] for row in rows], np.array([[float(row[key]) for key in "ENZ"] for row in rows])


@pytest.fixture(scope="module")
def hillside() -> Surface:
    names, at = shots()
    return triangulate(names, [(float(e), float(n)) for e, n in at[:, :2]], at[:, 2].tolist())


def test_levels_between_the_shots(hillside: Surface) -> None:
    _, at = shots()
    origin = at[:, :2].mean(axis=0)
    other = LinearNDInterpolator(at[:, :2] - origin, at[:, 2])
    east, north = np.meshgrid(
        np.linspace(at[:, 0].min(), at[:, 0].max(), 61), np.linspace(at[:, 1].min(), at[:, 1].max(), 59)
    )
    expected = other(east - origin[0], north - origin[1])
    within = np.isfinite(expected)
    assert 1000 < within.sum() < within.size
    assert hillside.level(east, north)[within] == pytest.approx(expected[within], abs=1e-7)
    assert (hillside.supported(east, north) == within).mean() > 0.999  # a place on the rim may go either way


def test_shots_keep_their_levels_and_the_rim_bounds_what_lies_beyond(hillside: Surface) -> None:
    _, at = shots()
    assert hillside.level(at[:, 0], at[:, 1]) == pytest.approx(at[:, 2], abs=1e-6)
    beyond = hillside.level(at[:, 0] + 1000.0, at[:, 1] - 1000.0)
    assert at[:, 2].min() <= beyond.min() <= beyond.max() <= at[:, 2].max()


def test_volume_against_a_fine_grid(hillside: Surface) -> None:
    """Cut and fill to 138 m by triangles, and by 1 m squares."""
    work = hillside.volume_between(138.0)
    _, at = shots()
    east, north = np.meshgrid(
        np.arange(at[:, 0].min() + 0.5, at[:, 0].max()), np.arange(at[:, 1].min() + 0.5, at[:, 1].max())
    )
    heights = np.where(hillside.supported(east, north), hillside.level(east, north) - 138.0, 0.0)
    assert work.cut == pytest.approx(np.maximum(heights, 0.0).sum(), rel=5e-3)
    assert work.fill == pytest.approx(np.maximum(-heights, 0.0).sum(), rel=5e-3)
    assert prism_volume(hillside.plan, hillside.levels, hillside.triangles, 200.0).cut == 0.0
