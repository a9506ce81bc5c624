"""Earthwork by both methods against a printed table.

G. L. Vose, Handbook of Railroad Construction (1857), art. 107 and 108, SEEN in a text copy (the table's columns run
together in it; the prismoidal total and what follows were not in the copy): slopes 1-1/2 to 1, base 20 ft, five
sections 50 ft apart with cuts of 0, 5, 10, 15 and 0 ft; end areas printed as 000, 137, 350, 637, 000; mean areas 69,
244, 493, 318; middle areas 59, 236, 483, 236 (the last two by the copy; ours are 234 and 484: slips of print or of
the copy, of 1 in 100). "By averaging end areas" the book makes 3,450, 12,200, 24,650 and 15,900, its sum 56,200.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest

from drainwright.build.earth import average_end_area, prismoidal, volume_by_stations

BASE, SLOPE, APART = 20.0, 1.5, 50.0
CUTS = (0.0, 5.0, 10.0, 15.0, 0.0)
END_AREAS = (0.0, 137.0, 350.0, 637.0, 0.0)
MEAN_AREAS = (69.0, 244.0, 493.0, 318.0)
BY_ENDS = (3450.0, 12200.0, 24650.0, 15900.0)


def area(cut: float) -> float:
    return BASE * cut + SLOPE * cut**2


def exact(first: float, last: float) -> float:
    """The area integrated over a cut that changes in a straight line."""
    steps = np.polynomial.Polynomial([first, (last - first) / APART])
    whole = (BASE * steps + SLOPE * steps**2).integ()
    return float(whole(APART) - whole(0.0))


def test_end_areas_as_printed() -> None:
    """The book cuts the halves off: 137-1/2 as 137, 637-1/2 as 637."""
    assert [math.floor(area(cut)) for cut in CUTS] == list(END_AREAS)


def test_volumes_by_average_end_areas_as_printed() -> None:
    pairs = list(itertools.pairwise(CUTS))
    found = [average_end_area(area(one), area(other), APART) for one, other in pairs]
    assert found == pytest.approx(list(BY_ENDS), rel=0.005)  # its mean areas are rounded to the square foot
    for value, mean in zip(found, MEAN_AREAS, strict=True):
        assert value / APART == pytest.approx(mean, abs=1.0)
    whole = volume_by_stations(
        APART * np.arange(5.0), np.array([area(c) for c in CUTS[:-1]]), np.array([area(c) for c in CUTS[1:]])
    )
    assert whole == pytest.approx(56200.0, rel=0.002)
    assert whole == pytest.approx(math.fsum(found))


def test_the_prismoidal_formula_is_exact_and_less() -> None:
    """Middle sections 59, 234, 484 and 234 ft²; the formula is the integral, averages are too large by S·Δ²·L/6."""
    assert area(2.5) == pytest.approx(59.0, abs=0.5)
    assert area(7.5) == pytest.approx(236.0, rel=0.01)
    assert area(12.5) == pytest.approx(483.0, rel=0.01)
    for one, other in itertools.pairwise(CUTS):
        by_middle = prismoidal(area(one), area((one + other) / 2), area(other), APART)
        assert by_middle == pytest.approx(exact(one, other))
        by_ends = average_end_area(area(one), area(other), APART)
        assert by_ends - by_middle == pytest.approx(SLOPE * (other - one) ** 2 * APART / 6)


@pytest.mark.parametrize("corners", [(2.0, 3.0), (0.0, 4.0), (3.5, 0.5)])
def test_a_trench_of_even_width_needs_no_correction(corners: tuple[float, float]) -> None:
    """Upright sides: the area changes in a straight line, and both methods give width times the mean depth."""
    first, last = corners
    by_ends = average_end_area(2.0 * first, 2.0 * last, 30.0)
    assert by_ends == pytest.approx(2.0 * (first + last) / 2 * 30.0)
    assert prismoidal(2.0 * first, first + last, 2.0 * last, 30.0) == pytest.approx(by_ends)
