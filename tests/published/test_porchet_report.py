"""A soil laboratory's infiltration report by Porchet's method, 2021: ten readings with printed results.

SEEN in a public repository's text of the report (cylinder of 300 mm; formula f = R/(2 (t2 - t1)) ln((2 h1 + R)/(2 h2 +
R))). The rows came through in a jumbled order; by time they run as below.
"""

from __future__ import annotations

import pytest

from drainwright.hydraulics.hole_tests import sinking_hole

TIMES = (0, 240, 540, 900, 1200, 1500, 1740, 2100, 2400, 2760, 3120)  # s
HEIGHTS = (300, 280, 260, 240, 220, 200, 180, 160, 140, 120, 100)  # mm of water
PRINTED = (61.7, 52.2, 46.2, 59.0, 63.2, 84.9, 61.3, 80.1, 73.2, 81.2)  # mm/h, from each reading to the next
MEAN = 66.3


def test_printed_infiltration() -> None:
    ours = [
        sinking_hole(0.15, h1 / 1000, h2 / 1000, t2 - t1) * 3.6e6
        for t1, t2, h1, h2 in zip(TIMES[:-1], TIMES[1:], HEIGHTS[:-1], HEIGHTS[1:], strict=True)
    ]
    assert ours == pytest.approx(PRINTED, abs=0.06)
    assert sum(ours) / len(ours) == pytest.approx(MEAN, abs=0.06)
