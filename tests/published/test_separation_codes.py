"""Water lines over drains: 18 in at crossings.

SEEN https://codelibrary.amlegal.com/codes/tolonoil/latest/tolono_il/0-0-0-5656 (Illinois),
https://codelibrary.amlegal.com/codes/chicago/latest/chicago_il/0-0-0-2691390,
http://codes.ohio.gov/oac/4781-12-13v1: the water line's invert 18 in or more above the drain's crown.
"""

from __future__ import annotations

import pytest

from drainwright.build.crossings import vertical_gap
from drainwright.build.units import INCH
from drainwright.job.place import Rules


def test_the_default_separation() -> None:
    assert Rules().water_sewer_separation.value / INCH == pytest.approx(18.0)


@pytest.mark.parametrize(("gap", "kept"), [(17.9, False), (18.0, True), (24.0, True)])
def test_the_gap_is_from_the_water_line_s_invert_to_the_drain_s_crown(gap: float, kept: bool) -> None:
    crown, water = 10.0, 1.0 * INCH
    top = crown + gap * INCH + water
    found = vertical_gap(top, water, crown, crown - 4.2 * INCH)
    assert found / INCH == pytest.approx(gap)
    assert (found >= Rules().water_sewer_separation.value - 1e-9) is kept
