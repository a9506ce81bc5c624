"""Kerby and Kirpich: T. G. Cleveland's spreadsheet KerbyKirpich-US (Texas Tech CE 3354), seen."""

from __future__ import annotations

import pytest

from drainwright.water.travel import kerby_time, kirpich_time

FOOT = 0.3048


def test_the_spreadsheet() -> None:
    """N = 0.2, 1,200 ft at 0.0028: 42.61 min over the ground; 17,424 ft at 0.0028: 138.24 min in a channel."""
    over = kerby_time(1200 * FOOT, 0.2, 0.0028) / 60
    along = kirpich_time(17424 * FOOT, 0.0028) / 60
    assert over == pytest.approx(42.61, abs=0.005)
    assert along == pytest.approx(138.24, abs=0.01)
    assert over + along == pytest.approx(180.85, abs=0.01)
