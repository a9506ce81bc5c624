"""W. F. J. van Beers, The Auger Hole Method, ILRI Bulletin 1 (1958), worked example; also in ILRI 16, ch. 12.

From memory: hole of radius 4 cm, H 126 cm, tight layer deep, water 31.2 cm below its rest at the first reading, 5.6 cm
of rise in 50 s, so a mean lowering of 28.4 cm. The book reads C from a nomograph; the printed K is recalled as about
0.66 to 0.70 m/day, not with certainty, so only that span is held.
"""

from __future__ import annotations

from drainwright.hydraulics.hole_tests import auger_hole_deep


def test_example() -> None:
    conductivity = float(auger_hole_deep(0.04, 1.26, 0.284, 0.056 / 50.0)) * 86400.0
    assert 0.66 <= conductivity <= 0.70
