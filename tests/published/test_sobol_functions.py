"""Sensitivity indices of two functions whose indices are known in closed form.

Ishigami and Homma 1990 with a = 7, b = 0.1, and Sobol's g-function with a = (0, 1, 4.5, 9, 99, 99, 99, 99): Saltelli
and others, Global Sensitivity Analysis, The Primer, 2008 (values from memory; the formulas below give the same). The
forms of both functions and the a of the second were SEEN in the documentation of public statistics packages.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from drainwright.storm.chances.sampling import drivers

Sample = NDArray[np.float64]
A = np.array([0.0, 1.0, 4.5, 9.0, 99.0, 99.0, 99.0, 99.0])


def ishigami(unit: Sample) -> Sample:
    x = math.pi * (2.0 * unit - 1.0)
    return (np.sin(x[:, 0]) + 7.0 * np.sin(x[:, 1]) ** 2 + 0.1 * x[:, 2] ** 4 * np.sin(x[:, 0]))[:, None]


def g_function(unit: Sample) -> Sample:
    return np.prod((np.abs(4.0 * unit - 2.0) + A) / (1.0 + A), axis=1)[:, None]


def test_ishigami() -> None:
    (found,) = drivers([(str(i), "") for i in range(3)], ishigami, 2048, 7)
    told = {driver.key: driver for driver in found}
    for key, first, total in (("0", 0.3139, 0.5576), ("1", 0.4424, 0.4424), ("2", 0.0, 0.2437)):
        driver = told[key]
        assert driver.first is not None
        assert driver.total is not None
        assert driver.first.middle == pytest.approx(first, abs=0.02)
        assert driver.total.middle == pytest.approx(total, abs=0.02)
        assert driver.first.low - 0.01 <= first <= driver.first.high + 0.01
    assert [driver.key for driver in found] == ["0", "1", "2"]


def test_g_function() -> None:
    parts = 1.0 / (3.0 * (1.0 + A) ** 2)
    variance = float(np.prod(1.0 + parts) - 1.0)
    np.testing.assert_allclose((parts / variance)[:4], [0.716, 0.179, 0.0237, 0.0072], rtol=0.001, atol=5e-5)
    (found,) = drivers([(str(i), "") for i in range(8)], g_function, 4096, 7)
    for driver in found:
        own = parts[int(driver.key)]
        assert driver.first is not None
        assert driver.total is not None
        assert driver.first.middle == pytest.approx(own / variance, abs=0.03)
        assert driver.total.middle == pytest.approx(own * np.prod(1.0 + parts) / (1.0 + own) / variance, abs=0.03)


def test_a_figure_that_does_not_vary_has_no_indices() -> None:
    (found,) = drivers([("a", ""), ("b", "")], lambda unit: np.ones((len(unit), 1)), 64, 1)
    assert all(driver.first is None and driver.total is None for driver in found)
