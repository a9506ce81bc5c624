"""Swell of dug soil: two public engineering pages and a textbook clay.

SEEN http://www.spikevm.com/calculators/excavation/bulking-swell-factors.php (worked volumes at 40 %),
https://projectengineer.net/swell-factors-for-various-soils (percent by soil), and
tutorsglobe.com/question/5826989 (clay, 3,000 lb per bank yd³ to 2,310 lb per loose yd³).
"""

from __future__ import annotations

import pytest

from drainwright.build.earth import SOILS, loose_density, loose_volume
from drainwright.build.units import CUBIC_FOOT, CUBIC_YARD, POUND


def test_volumes_at_40_percent() -> None:
    """200 x 20 x 2 m: 8,000 to 11,200 m³. In feet: 296 bank to 414 loose yd³ (the page rounds before it swells)."""
    assert loose_volume(200 * 20 * 2, 0.40) == pytest.approx(11200.0)
    bank = 200 * 20 * 2 * CUBIC_FOOT / CUBIC_YARD
    assert round(bank) == 296
    assert loose_volume(296.0, 0.40) == pytest.approx(414.0, abs=0.5)
    assert loose_volume(bank, 0.40) == pytest.approx(414.0, abs=1.0)


@pytest.mark.parametrize(("texture", "percent"), [("clay", 40), ("loam", 25), ("sand", 12)])
def test_percent_by_soil(texture: str, percent: int) -> None:
    assert SOILS[texture].swell * 100 == pytest.approx(percent)  # type: ignore[index]


@pytest.mark.parametrize(("texture", "percent"), [("clay", 35), ("clay", 40), ("sand", 15), ("sand", 5)])
def test_the_other_page_lies_within_ten_points(texture: str, percent: int) -> None:
    """Dry clay 35, damp clay 40, dry gravel 15, wet gravel 5: tables differ by about ten points."""
    assert abs(SOILS[texture].swell * 100 - percent) <= 10  # type: ignore[index]


def test_a_textbook_clay() -> None:
    """3,000 lb in the bank is 2,310 lb loose: a swell of 30 %, ten points under the table's 40 for clay."""
    assert loose_density(3000.0, 0.30) == pytest.approx(2310.0, abs=5.0)
    assert SOILS["clay"].moist == pytest.approx(3000.0 * POUND / CUBIC_YARD)
