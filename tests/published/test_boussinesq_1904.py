"""J. Boussinesq 1904: the exact recession of an unconfined layer over a level barrier into an empty ditch.

h(x, t) = h(x, 0) / (1 + a t), a = 1.115 K hm / (n L²); outflow 0.862 K hm² / L at the start. Constants as W. Brutsaert
and J. L. Nieber print them (Water Resour. Res. 13, 1977), from memory. They follow from the beta function: with
c = B(2/3, 1/2) a third of c is 0.862 and a sixth of c² is 1.115.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import beta, betaincinv

from drainwright.hydraulics.boussinesq import table_in_time

CONSTANT = float(beta(2 / 3, 1 / 2))


def shape(x: np.ndarray) -> np.ndarray:
    """The shape that keeps itself: x/L = I(s³; 2/3, 1/2), s = h/hm."""
    return np.asarray(betaincinv(2 / 3, 1 / 2, x)) ** (1 / 3)


def test_printed_constants() -> None:
    assert pytest.approx(0.862, abs=0.0005) == CONSTANT / 3
    assert pytest.approx(1.115, abs=0.0006) == CONSTANT**2 / 6


def test_recession() -> None:
    conductivity, porosity, high, length = 2e-5, 0.15, 3.0, 15.0
    x = length * np.linspace(0.0, 1.0, 301) ** 2  # finer at the ditch, where the water table is steep
    rate = 1.115 * conductivity * high / (porosity * length**2)
    times = np.linspace(0.0, 2.0 / rate, 1201)
    start = np.maximum(high * shape(x / length), 1e-6)
    found = table_in_time(conductivity, porosity, x, start, times, 1e-6, None, theta=0.5)
    for step in (300, 600, 1200):
        closed = start / (1.0 + rate * times[step])
        assert found.head[step, 1:] == pytest.approx(closed[1:], rel=0.004, abs=0.002)
    outflow = -np.diff(found.entered_left) / np.diff(times)
    first = 0.862 * conductivity * high**2 / length
    law = first / (1.0 + rate * 0.5 * (times[1:] + times[:-1])) ** 2
    assert outflow[50:] == pytest.approx(law[50:], rel=0.005)
