"""Surge in PVC pipe: Buried Pipe Design, Example Problem 4.2, p. 220. SEEN in a public copy of the page.

8 in pipe of dimension ratio 18, 7 ft/s stopped at once: wave speed 1311 ft/s (its Table 4.2), surge 122 psi by its
eq. 4.7 (0.43 a/g ΔV), working pressure 160 psi, short-term rating 1.6 x 235 = 376 psi.

Differences: our wave speed is 1309 ft/s (0.2 % below) with the usual 300,000 and 400,000 psi; our surge is 123.6 psi
(1.3 % above), since the book rounds 0.4335 psi a foot to 0.43 and drops the decimals.
"""

from __future__ import annotations

import pytest

from drainwright.hydraulics.surge import PSI, critical_time, joukowsky, pipe_rating, wave_speed
from drainwright.system.catalogue import INCH, PIPES

FOOT = 0.3048
#: ASTM D1785, Appendix X1, PVC 1120 at 23 °C, Schedule 40 [psi]: SEEN in a public transcript of the standard's table.
RATINGS = {"1-1/4": 370, "1-1/2": 330, "2": 280, "3": 260, "4": 220, "6": 180}
WALLS = {"1-1/4": 0.140, "1-1/2": 0.145, "2": 0.154, "3": 0.216, "4": 0.237, "6": 0.280}  # least [in]


def test_wave_speed_of_dimension_ratio_18() -> None:
    assert wave_speed(16.0, 1.0) / FOOT == pytest.approx(1311.0, rel=0.003)


def test_surge_of_the_example() -> None:
    assert joukowsky(1311.0 * FOOT, 7.0 * FOOT) / PSI == pytest.approx(122.0, rel=0.015)
    assert joukowsky(wave_speed(16.0, 1.0), 7.0 * FOOT) / PSI == pytest.approx(122.0, rel=0.015)


def test_wave_comes_back_after_twice_the_length() -> None:
    assert critical_time(1311.0 * FOOT, 1311.0 * FOOT) == pytest.approx(2.0)


@pytest.mark.parametrize("size", RATINGS)
def test_pressure_ratings_of_schedule_40(size: str) -> None:
    """The catalogue holds the printed figure; 2 S t/(D - t) with 2000 psi gives it to the standard's rounding."""
    pipe = PIPES[f"sch40 {size} in"]
    assert pipe.rating is not None
    assert pipe.rating / PSI == pytest.approx(RATINGS[size])
    assert pipe_rating(pipe.outside, WALLS[size] * INCH) / PSI == pytest.approx(RATINGS[size], abs=5.0)


def test_only_pressure_pipe_has_a_rating() -> None:
    assert all((pipe.rating is not None) == (pipe.family == "Schedule 40") for pipe in PIPES.values())
