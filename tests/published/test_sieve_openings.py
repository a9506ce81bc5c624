"""Openings of standard test sieves, which fabrics are named by.

- ASTM E11-01, Table 1: No. 4 SEEN (4.75 mm, in a reader's copy of the table); those below No. 7 from memory.
- The series itself: full height by numbers, each opening the fourth root of 2 from the next (ISO 3310's principal and
  supplementary sizes round it), to 3 %.
"""

from __future__ import annotations

import pytest

from drainwright.findings.stone import SIEVES

OPENINGS = {  # [mm]
    4: 4.75, 8: 2.36, 10: 2.00, 16: 1.18, 20: 0.850, 30: 0.600, 40: 0.425, 50: 0.300, 60: 0.250, 70: 0.212, 80: 0.180,
    100: 0.150, 120: 0.125, 140: 0.106, 200: 0.075,
}  # fmt: skip
FULL_SERIES = (
    4, 5, 6, 7, 8, 10, 12, 14, 16, 18, 20, 25, 30, 35, 40, 45, 50, 60, 70, 80, 100, 120, 140, 170, 200,
)  # fmt: skip


def test_openings_are_those_of_the_standard() -> None:
    assert dict(SIEVES) == pytest.approx(OPENINGS, rel=1e-9)


@pytest.mark.parametrize("number", [number for number, _ in SIEVES])
def test_each_sieve_is_its_steps_finer_than_the_first(number: int) -> None:
    steps = FULL_SERIES.index(number)
    assert dict(SIEVES)[number] == pytest.approx(4.75 * 2.0 ** (-steps / 4.0), rel=0.03)
