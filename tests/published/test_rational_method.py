"""The Rational method: T. G. Cleveland's course paper and two exercises, each seen in the text."""

from __future__ import annotations

import pytest

from drainwright.job.values import Basis
from drainwright.water.rain import SECONDS_A_YEAR, RainTable
from drainwright.water.runoff import composite, rational_flow

INCH, FOOT = 0.0254, 0.3048
ACRE = 43560 * FOOT**2
INCH_PER_HOUR = INCH / 3600
PERIOD = 10 * SECONDS_A_YEAR


def idf(minutes: float) -> float:
    """T. G. Cleveland, Drainage Design by Rational Method (Texas Tech CE 3354), eq. 1, seen in the paper. [in/h]"""
    return 56.6 / (minutes + 8.6) ** 0.823


def table() -> RainTable:
    minutes = (5.0, 10.0, 15.0, 20.0, 30.0)
    return RainTable(
        durations=tuple(60 * m for m in minutes),
        return_periods=(PERIOD,),
        depths=tuple((idf(m) * INCH_PER_HOUR * 60 * m,) for m in minutes),
        source="Cleveland, eq. 1",
        basis=Basis.MAPPED,
    )


@pytest.mark.parametrize(("minutes", "printed"), [(17.0, 3.92), (19.57, 3.62)])
def test_intensity_from_a_table_of_the_equation(minutes: float, printed: float) -> None:
    """Table 3: intensities at 17 and 19.57 min. The equation gives 3.628 for the printed 3.62.

    Between rows 5 min apart the chord of the table costs another 0.2 %.
    """
    assert idf(minutes) == pytest.approx(printed, rel=0.0025)
    assert table().intensity(60 * minutes, PERIOD) / INCH_PER_HOUR == pytest.approx(printed, rel=0.004)


def test_two_pipe_drain_flows() -> None:
    """Tables 1-3: areas of 6.0, 5.1 and 3.5 acres; sums of C A 6.7 and 9.15; 26.26 and 33.16 cfs.

    The paper takes the factor 1.008 between acre-inches an hour and cubic feet a second as 1. Its pipe diameters do
    not follow from its own n and slope and are left out.
    """
    first = composite([0.65, 0.55], [6.0, 5.1])
    second = composite([0.65, 0.55, 0.70], [6.0, 5.1, 3.5])
    assert first * 11.1 == pytest.approx(6.7, abs=0.01)
    assert second * 14.6 == pytest.approx(9.15, abs=0.01)
    for coefficient, area, minutes, printed in ((first, 11.1, 17.0, 26.26), (second, 14.6, 19.57, 33.16)):
        flow = rational_flow(coefficient, idf(minutes) * INCH_PER_HOUR, area * ACRE) / FOOT**3
        assert flow / 1.0083 == pytest.approx(printed, rel=0.003)


def test_three_covers() -> None:
    """An exercise on a public page: 256 acres; C = 0.315; 116.9 cfs at 1.45 in/h, the factor 1.008 ignored."""
    coefficient = composite([0.60, 0.20, 0.30], [15, 30, 55])
    assert coefficient == pytest.approx(0.315)
    flow = rational_flow(coefficient, 1.45 * INCH_PER_HOUR, 256 * ACRE) / FOOT**3
    assert flow / (121 / 120) == pytest.approx(116.9, abs=0.05)


def test_square_mile() -> None:
    """An exercise on a public page: 0.20 square miles, C = 0.4, 2.87 in/h.

    Printed 146.944 cfs, which takes 1.008 as 1; with it the answer is 148.2.
    """
    flow = rational_flow(0.4, 2.87 * INCH_PER_HOUR, 0.20 * (5280 * FOOT) ** 2) / FOOT**3
    assert flow == pytest.approx(148.2, abs=0.05)
    assert flow / (121 / 120) == pytest.approx(146.944, abs=0.001)
