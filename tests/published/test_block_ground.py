"""A real city block: contours and filled hollows of its ground, against two general libraries.

Ground: a 1 m grid made from the classified points of the French national lidar survey over a block in Montpellier.
SEEN in the project's shared data, ``terrain/montpellier_block_ground_1m.asc``. Other ways: contourpy's lines over
squares parted in four, and greyscale reconstruction by erosion in scikit-image.
"""

from __future__ import annotations

import dataclasses
import itertools
import math
from pathlib import Path

import contourpy
import numpy as np
import pytest
from numpy.typing import NDArray
from skimage.measure import label
from skimage.morphology import reconstruction

from drainwright.field.contours import contours
from drainwright.field.low_spots import low_spots, outermost
from drainwright.field.spill import spill_levels
from drainwright.field.surface import Surface, triangulate

DATA = Path(__file__).parents[2].parent / "shared" / "data" / "terrain" / "montpellier_block_ground_1m.asc"
pytestmark = pytest.mark.skipif(not DATA.exists(), reason="the terrain data are not beside this checkout")
Array = NDArray[np.float64]


@pytest.fixture(scope="module")
def block() -> Array:
    """The southern half, rows from south to north."""
    return np.flipud(np.loadtxt(DATA, skiprows=6))[:50]


@pytest.fixture(scope="module")
def surface(block: Array) -> Surface:
    north, east = (one.ravel().astype(float) for one in np.indices(block.shape))
    places = list(zip(east.tolist(), north.tolist(), strict=True))
    return triangulate([f"L{n}" for n in range(block.size)], places, block.ravel().tolist())


def in_quarters(block: Array, surface: Surface) -> Surface:
    """The same ground with each square parted in four by its middle, of the mean level, as contourpy parts it."""
    number = np.arange(block.size).reshape(block.shape)
    corners = (number[:-1, :-1], number[:-1, 1:], number[1:, 1:], number[1:, :-1])
    middle = block.size + np.arange(corners[0].size).reshape(corners[0].shape)
    quarters = [np.stack([corners[n], corners[(n + 1) % 4], middle], axis=2).reshape(-1, 3) for n in range(4)]
    return dataclasses.replace(
        surface,
        plan=np.vstack([surface.plan, surface.plan[corners[0].ravel()] + 0.5]),
        levels=np.concatenate([block.ravel(), sum(block.ravel()[one] for one in corners).ravel() / 4.0]),
        triangles=np.concatenate(quarters),
    )


def test_contours_of_the_block(block: Array, surface: Surface) -> None:
    """On the same triangles number and length of the lines agree. The interval is odd, so that no level meets a corner:
    there the two libraries draw differently."""
    other = contourpy.contour_generator(z=block, name="serial", quad_as_tri=True)
    found = contours(in_quarters(block, surface), 0.1000137)
    assert len(found) >= 12
    for contour in found:
        lines = other.lines(contour.level)
        ours = sum(math.dist(a, b) for line in contour.lines for a, b in itertools.pairwise(line))
        theirs = sum(math.dist(a, b) for line in lines for a, b in itertools.pairwise(line.tolist()))
        assert len(contour.lines) == len(lines)
        assert ours == pytest.approx(theirs, rel=1e-9)


def test_hollows_of_the_block(block: Array, surface: Surface) -> None:
    """The same net of neighbours on the grid gives the same filling to the last digit; on the triangles, which part
    each square one way only, depth and volume come within a few percent of it."""
    rim = np.ones(block.shape, dtype=bool)
    rim[1:-1, 1:-1] = False
    filled = reconstruction(np.where(rim, block, block.max()), block, method="erosion", footprint=np.ones((3, 3)))
    number = np.arange(block.size).reshape(block.shape)
    pairs = [(number[1:], number[:-1]), (number[:, 1:], number[:, :-1]),
             (number[1:, 1:], number[:-1, :-1]), (number[1:, :-1], number[:-1, 1:])]  # fmt: skip
    edges = np.vstack([np.stack([a.ravel(), b.ravel()], axis=1) for a, b in pairs])
    assert (spill_levels(block.ravel(), edges, rim.ravel()).level.reshape(block.shape) == filled).all()

    deep = filled - block
    spots = outermost(low_spots(surface, least_depth=0.02, least_area=2.0))
    assert len(spots) > 5
    hollows = label(deep > 0.0, connectivity=2)
    largest = max(range(1, hollows.max() + 1), key=lambda one: float(deep[hollows == one].sum()))
    volume = float(deep[hollows == largest].sum())  # a square metre each
    ours = max(spots, key=lambda spot: spot.volume)
    assert ours.depth == pytest.approx(float(deep[hollows == largest].max()), abs=0.005)
    assert ours.volume == pytest.approx(volume, rel=0.05)
