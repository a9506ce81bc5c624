"""The hole of a basin in plan, against a geometry library: lines at every angle, through, past and off its corners."""

from __future__ import annotations

import random

import numpy as np
import pytest
from shapely import LineString, Polygon

from drainwright.build.protection import PROTECTION_DEPTH
from drainwright.field.model import Plan
from drainwright.system.yard.basin_hole import PANELS_FROM, Hole, gap_to

TURNS = ((1.0, 0.0), (0.0, 1.0), (0.6, 0.8), (-0.28, 0.96))


def ring(at: Plan, half: float, way: Plan) -> Polygon:
    (x, y), (u, v) = at, way
    return Polygon(
        [(x + half * (i * u - j * v), y + half * (i * v + j * u)) for i, j in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
    )


def test_panels_are_wanted_from_the_depth_that_asks_for_protection() -> None:
    assert pytest.approx(PROTECTION_DEPTH) == PANELS_FROM


@pytest.mark.parametrize("seed", range(4))
def test_gaps_equal_the_library_s(seed: int) -> None:
    rng = random.Random(seed)
    way = TURNS[seed]
    at = np.array([[rng.uniform(-2, 2), rng.uniform(-2, 2)] for _ in range(50)])
    ways = (np.full(50, way[0]), np.full(50, way[1]))
    touched = 0
    for _ in range(60):
        hole = Hole(across=rng.uniform(0.5, 2.0), bottom=0.0, square=True)
        route = tuple((rng.uniform(-3, 3), rng.uniform(-3, 3)) for _ in range(rng.choice([2, 3])))
        expected = [LineString(route).distance(ring((float(x), float(y)), hole.half, way)) for x, y in at]
        found = gap_to(at[:, 0], at[:, 1], hole, ways, route)
        assert found == pytest.approx(np.array(expected), abs=1e-9)
        touched += sum(gap == 0.0 for gap in expected)
    assert touched > 100


def test_a_line_that_only_cuts_a_corner_off_is_in_the_hole() -> None:
    """Its distance from the middle is more than half the side, and neither of its ends lies inside."""
    one = np.zeros(1)
    hole = Hole(across=2.0, bottom=0.0, square=True)
    cutting = ((0.4, 1.4), (1.4, 0.4))  # through (0.9, 0.9), 1.27 from the middle
    assert gap_to(one, one, hole, (np.ones(1), one), cutting)[0] == 0.0
    past = ((0.7, 1.7), (1.7, 0.7))
    assert gap_to(one, one, hole, (np.ones(1), one), past)[0] == pytest.approx(0.2 * np.sqrt(2.0))


def test_a_square_hole_stands_nearer_a_corner_than_a_round_one() -> None:
    """Diagonally off a point a square of the same width lies nearer: 1 m by 1 m off, half a metre of hole."""
    one = np.zeros(1)
    point = ((1.0, 1.0), (1.0, 1.0))
    ways = (np.ones(1), one)
    round_, square = (
        gap_to(one, one, Hole(across=1.0, bottom=0.0, square=how), ways, point)[0] for how in (False, True)
    )
    assert round_ == pytest.approx(np.sqrt(2.0) - 0.5)
    assert square == pytest.approx(np.sqrt(2.0) * 0.5)
