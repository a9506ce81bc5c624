"""Coverage of coatings by their solids: 1,604 x volume solids / dry mils.

SEEN flycti.com/uncategorized/coverages (the arithmetic) and a data sheet of an emulsion, 60 % solids, 5 gal per
100 ft² for 55 mil dry. The sheet's two figures disagree: its own arithmetic gives 48 mil.
"""

from __future__ import annotations

import pytest

from drainwright.build.coating import WATERPROOFING
from drainwright.build.units import GALLON, INCH, SQUARE_FOOT


def dry_mils(coverage: float, solids: float) -> float:
    """Dry film of a coverage in m²/m³, in thousandths of an inch."""
    return solids / coverage / (0.001 * INCH)


def test_the_factor_is_a_gallon_at_one_mil() -> None:
    factor = GALLON / (0.001 * INCH) / SQUARE_FOOT
    assert factor == pytest.approx(1604.0, abs=0.5)


def test_the_film_of_the_coverage_taken() -> None:
    """20 ft²/gal of 60 % solids is 48 mil, not the 55 printed; it still passes the code's 40 mil for this kind."""
    assert WATERPROOFING.middle * GALLON / SQUARE_FOOT == pytest.approx(20.0)
    film = dry_mils(WATERPROOFING.middle, 0.60)
    assert film == pytest.approx(48.0, abs=0.2)
    assert film > 40.0
