"""ASTM D1785, PVC pipe, Schedule 40, Tables 1-2: outside diameter, minimum wall and average inside diameter.

SEEN as quoted by public tables of the standard (outside, wall, inside) and a table of pipe data (average inside).
"""

from __future__ import annotations

import pytest

from drainwright.system.catalogue import INCH, PIPES

# nominal: outside, minimum wall, outside less two walls, average inside [in]
ROWS = {
    "1-1/4": (1.660, 0.140, 1.380, 1.364),
    "1-1/2": (1.900, 0.145, 1.610, 1.592),
    "2": (2.375, 0.154, 2.067, 2.049),
    "3": (3.500, 0.216, 3.068, 3.042),
    "4": (4.500, 0.237, 4.026, 3.998),
    "6": (6.625, 0.280, 6.065, 6.031),
}


@pytest.mark.parametrize("size", ROWS)
def test_catalogue_takes_the_standard_outside_and_the_average_inside(size: str) -> None:
    outside, wall, largest, average = ROWS[size]
    pipe = PIPES[f"sch40 {size} in"]
    assert pipe.outside == pytest.approx(outside * INCH, abs=1e-9)
    assert pipe.inside == pytest.approx(average * INCH, abs=1e-9)
    assert pipe.inside < largest * INCH
    assert pipe.wall >= wall * INCH  # the average wall is no thinner than the least


def test_average_inside_costs_more_friction_than_outside_less_two_walls() -> None:
    """The table's own note: 1.1 % narrower at 1-1/2 in, 5.6 % more friction (power 4.87)."""
    ratio = PIPES["sch40 1-1/2 in"].inside / (1.610 * INCH)
    assert 1.0 - ratio == pytest.approx(0.011, abs=5e-4)
    assert ratio**-4.8704 - 1.0 == pytest.approx(0.056, abs=1e-3)
