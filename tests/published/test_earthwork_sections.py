"""Volumes by sections against two printed examples.

HDS-2 (FHWA-NHI-02-001, 2002) Example 8.8, p. 8-22, SEEN; and a borrow-pit cell, SEEN
http://www.expertsmind.com/questions/amount-of-borrow-needed-to-bring-area-to-elevation-of-90-ft-30170481.aspx
"""

from __future__ import annotations

import pytest

from drainwright.build.earth import average_end_area, prismoidal


def test_a_trough_by_its_end_sections() -> None:
    """L 200 m, bottom W 100 m, sides 2:1, h 1.5 m: 30,900 m³, the sloping ends neglected."""
    section = 1.5 * (100.0 + 2 * 1.5)
    assert average_end_area(section, section, 200.0) == pytest.approx(30900.0)


def test_a_cell_filled_to_90_ft() -> None:
    """50 x 50 ft, corners 87.6, 87.6, 87.6 and 88.6 ft: 199 yd³. Its two sides are sections of even slope."""
    near, far = 50 * (2.4 + 2.4) / 2, 50 * (2.4 + 1.4) / 2
    assert average_end_area(near, far, 50.0) / 27 == pytest.approx(199.0, abs=0.5)
    assert prismoidal(near, (near + far) / 2, far, 50.0) / 27 == pytest.approx(199.0, abs=0.5)
