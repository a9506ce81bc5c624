"""NRCS National Engineering Handbook 630, chapters 10 (July 2004) and 15 (May 2010): seen in the handbook's text."""

from __future__ import annotations

import pytest

from drainwright.water.runoff import composite, curve_number_runoff, retention
from drainwright.water.travel import lag_time

INCH, FOOT = 0.0254, 0.3048


def runoff_inches(rain: float, number: float) -> float:
    return curve_number_runoff(rain * INCH, retention(number)) / INCH


def test_example_10_1() -> None:
    """P. 10-9: 4.3 in on CN 74 (S = 3.51 in): 1.82 in."""
    assert retention(74) / INCH == pytest.approx(3.51, abs=0.005)
    assert runoff_inches(4.3, 74) == pytest.approx(1.82, abs=0.005)


def test_examples_10_3_and_10_4() -> None:
    """P. 10-11/12: 400 acres at 75 and 230 at 69, 5.1 in. Runoff weighted 2.35 in; CN weighted 72.8 (73): 2.36 in."""
    parts = [runoff_inches(5.1, 75), runoff_inches(5.1, 69)]
    assert parts == pytest.approx([2.53, 2.03], abs=0.011)
    assert composite(parts, [400, 230]) == pytest.approx(2.35, rel=0.005)
    number = composite([75, 69], [400, 230])
    assert number == pytest.approx(72.8, abs=0.05)
    assert runoff_inches(5.1, 73) == pytest.approx(2.36, abs=0.005)
    assert runoff_inches(5.1, number) == pytest.approx(2.34, abs=0.006)


def test_lag_method() -> None:
    """Sec. 630.1504(a), p. 15-12: CN 63, 3,865 ft at 4.79 %: S = 5.87 in, Tc = 1.14 h."""
    assert retention(63) / INCH == pytest.approx(5.87, abs=0.005)
    assert lag_time(3865 * FOOT, retention(63), 0.0479) / 3600 == pytest.approx(1.14, rel=0.005)
