"""One grid cell filled to a level: a borrow-pit exercise, in feet.

SEEN http://www.expertsmind.com/questions/amount-of-borrow-needed-to-bring-area-to-elevation-of-90-ft-30170481.aspx
The volumes on two triangles are worked out from its figures, not published.
"""

from __future__ import annotations

import numpy as np
import pytest

from drainwright.field.surface import prism_volume, triangulate

FOOT = 0.3048
YARD = 0.9144
CORNERS = [(0.0, 0.0), (50.0, 0.0), (50.0, 50.0), (0.0, 50.0)]
LEVELS = [87.6, 87.6, 88.6, 87.6]
THROUGH_THE_HIGH_CORNER = [[0, 1, 2], [0, 2, 3]]
THE_OTHER_WAY = [[0, 1, 3], [1, 2, 3]]


def fill(triangles: list[list[int]]) -> float:
    """In cubic yards."""
    work = prism_volume(np.array(CORNERS) * FOOT, np.array(LEVELS) * FOOT, np.array(triangles), 90.0 * FOOT)
    assert work.cut == 0.0
    return work.fill / YARD**3


def test_the_published_fill_is_the_mean_of_the_two_ways_to_halve_the_cell() -> None:
    """Published: mean 87.85 ft, fill 2.15 ft, 199 cubic yards."""
    ways = fill(THROUGH_THE_HIGH_CORNER), fill(THE_OTHER_WAY)
    assert ways == pytest.approx((191.4, 206.8), abs=0.05)
    assert round(sum(ways) / 2.0) == 199


@pytest.mark.parametrize("shift", [0.0, 1000.0])
def test_the_triangulated_ground_gives_one_of_the_two(shift: float) -> None:
    """Four shots on a square leave the diagonal open: a shot at the middle would settle it."""
    surface = triangulate("ABCD", [(e * FOOT + shift, n * FOOT) for e, n in CORNERS], [z * FOOT for z in LEVELS])
    found = surface.volume_between(90.0 * FOOT).fill / YARD**3
    assert min(abs(found - 191.4), abs(found - 206.8)) < 0.05


def test_a_shot_at_the_middle_gives_the_published_fill() -> None:
    """With the bilinear middle (the mean of the corners) as a fifth shot, the ground's mean is 87.85 ft."""
    places = [(e * FOOT, n * FOOT) for e, n in [*CORNERS, (25.0, 25.0)]]
    surface = triangulate("ABCDM", places, [z * FOOT for z in [*LEVELS, 87.85]])
    assert round(surface.volume_between(90.0 * FOOT).fill / YARD**3) == 199
