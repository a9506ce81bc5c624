"""No. 57 stone: ASTM C33/D448, AASHTO M 43. SEEN in a trade journal's answer (Concrete Construction, "Stone, gravel, or
aggregate?"): 1-1/2 in 100 %, 1 in 95-100, 1/2 in 25-60, No. 4 0-10, No. 8 0-5.
"""

from __future__ import annotations

import pytest

from drainwright.hydraulics.filters import share_at
from drainwright.system.grains import STONE_57

MM = 0.001


@pytest.mark.parametrize(
    ("size", "least", "most"),
    [(37.5, 1.0, 1.0), (25.0, 0.95, 1.0), (12.5, 0.25, 0.60), (4.75, 0.0, 0.10), (2.36, 0.0, 0.05)],
)
def test_the_two_edges_are_the_standards(size: float, least: float, most: float) -> None:
    assert share_at(size * MM, *STONE_57.coarse) == pytest.approx(least, abs=1e-9)
    assert share_at(size * MM, *STONE_57.fine) == pytest.approx(most, abs=1e-9)
