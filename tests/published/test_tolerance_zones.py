"""Tolerance zones round marked lines.

SEEN http://colorado811.org/web/guest/resources/ and https://www.ms811.org/ms-apwa-color-code-tolerance-zone/ (18 in
each side), https://my.sunshine811.com/tolerance-zone (24 in), and
https://engineerfix.com/how-close-can-you-dig-to-marked-utilities (measured from the outside of the line).
"""

from __future__ import annotations

import math

import pytest

from drainwright.build.crossings import hand_dig_length
from drainwright.build.units import INCH
from drainwright.job.place import Rules


@pytest.mark.parametrize(
    ("zone", "pipe", "width"),
    [(24.0, 24.0, 72.0), (18.0, 24.0, 60.0), (24.0, 1.0, 49.0)],
)
def test_the_zone_is_from_the_outside_of_the_line(zone: float, pipe: float, width: float) -> None:
    """Printed: a 24 in pipe with 24 in each side is 72 in across; the other rows follow from the same rule."""
    assert hand_dig_length(zone * INCH, pipe * INCH, math.pi / 2, 24 * INCH) / INCH == pytest.approx(width)


def test_the_default_is_24_in_until_someone_looks_it_up() -> None:
    rule = Rules().tolerance_zone
    assert rule.value / INCH == pytest.approx(24.0)
    assert rule.basis.value == "assumed"
    assert Rules.model_validate({"tolerance_zone": "18 in, mapped"}).tolerance_zone.value == pytest.approx(18 * INCH)
