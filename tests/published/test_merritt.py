"""F. S. Merritt, Civil Engineering Formulas, p. 363, eq. 13.7-13.8: inlets in a sag.

SEEN https://issuhub.com/view/index?id=4884&pageIndex=382. Q = 3 P y^1.5 up to 4.8 in, Q = 0.6 A √(2 g y) above
1 ft 5 in.
"""

from __future__ import annotations

import pytest

from drainwright.hydraulics.inlets import grate_orifice_flow, grate_weir_flow

FOOT = 0.3048


def test_shallow_weir() -> None:
    """Eq. 13.7 at its upper limit, 4.8 in (0.4 ft)."""
    assert grate_weir_flow(6 * FOOT, 0.4 * FOOT, 0.0) / FOOT**3 == pytest.approx(3 * 6 * 0.4**1.5, rel=0.003)


def test_deep_orifice_with_its_own_coefficient() -> None:
    """Eq. 13.8 at its lower limit, 17 in; the source takes 0.6 where ours defaults to 0.67."""
    depth = 17 / 12
    flow = grate_orifice_flow(2 * FOOT**2, depth * FOOT, 0.0, 0.6) / FOOT**3
    assert flow == pytest.approx(0.6 * 2 * (64.4 * depth) ** 0.5, rel=0.001)
