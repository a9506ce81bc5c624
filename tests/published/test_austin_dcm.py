"""Austin Drainage Criteria Manual, section 4.3.1, citing HEC-22 3rd ed.: curb opening in a sump.

SEEN http://austin-tx.elaws.us/code/dcm_sects4_4.3.0_sec4.3.1.
"""

from __future__ import annotations

import pytest

from drainwright.hydraulics.inlets import curb_opening_capacity

FOOT = 0.3048


@pytest.mark.parametrize("depth", [0.1, 0.3, 0.5])
def test_depressed_curb_opening_as_a_weir(depth: float) -> None:
    """Qi = 2.3 (L + 1.8 W) d^1.5, up to d = the opening's height (here 0.5 ft)."""
    flow = curb_opening_capacity(5 * FOOT, 0.5 * FOOT, depth * FOOT, 2 * FOOT) / FOOT**3
    assert flow == pytest.approx(2.3 * (5 + 1.8 * 2) * depth**1.5, rel=1e-6)


def test_orifice_begins_at_one_point_four_heights() -> None:
    """From 1.4 times the height the flow is an orifice's: it grows with √(d − h/2)."""
    low, high = (float(curb_opening_capacity(5 * FOOT, 0.5 * FOOT, depth * FOOT)) for depth in (0.7, 1.4))
    assert high / low == pytest.approx(((1.4 - 0.25) / (0.7 - 0.25)) ** 0.5)
