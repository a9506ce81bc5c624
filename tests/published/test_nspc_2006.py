"""2006 National Standard Plumbing Code, illustrated, Table 13.6.1, p. 321: vertical leaders 7/24 full.

SEEN in the scanned page (scribd.com/document/661947769).
"""

from __future__ import annotations

import pytest

from drainwright.hydraulics.inlets import leader_capacity

GPM = 6.30901964e-5  # US gallon a minute [m³/s]
INCH = 0.0254
TABLE = [  # inches, gpm, square feet of roof at 1 in/h
    (3, 67, 6426),
    (4, 144, 13840),
    (5, 261, 25094),
    (6, 424, 40805),
    (8, 913, 87878),
    (10, 1655, 159334),
    (12, 2692, 259095),
    (15, 4880, 469771),
]


@pytest.mark.parametrize(("inches", "gpm", "area"), TABLE)
def test_leader_flow(inches: float, gpm: float, area: float) -> None:
    """Table 13.6.1, flow column; printed to the gallon."""
    assert leader_capacity(inches * INCH) / GPM == pytest.approx(gpm, rel=0.006)


def test_two_inch_leader() -> None:
    """Table 13.6.1, 2 in: 23 gpm, which the table rounds up from 22.6."""
    assert leader_capacity(2 * INCH) / GPM == pytest.approx(23.0, rel=0.017)


@pytest.mark.parametrize(("inches", "gpm", "area"), TABLE)
def test_roof_area_served(inches: float, gpm: float, area: float) -> None:
    """Table 13.6.1, area column at 1 in/h: 96.25 ft² for each gpm."""
    square_feet = leader_capacity(inches * INCH) / (INCH / 3600.0) / 0.3048**2
    assert square_feet == pytest.approx(area, rel=0.006)
