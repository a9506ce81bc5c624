"""R. E. Glover, transient ground-water notes, p. 25, eq. 6-7: water left between drains.

SEEN https://dnrweblink.state.co.us/CWCB/0/doc/103927/Page25.aspx (formula; no printed example). The figures were
generated from the formula by another hand, and the heat equation is solved here in another way.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy.linalg import expm

from drainwright.hydraulics.drainspacing import glover_midpoint, glover_volume


@pytest.mark.parametrize(
    ("time", "volume", "midpoint"),
    [(0.01, 0.774, 0.999), (0.05, 0.496, 0.772), (0.10, 0.302, 0.475), (0.20, 0.113, 0.177)],
)
def test_generated_values(time: float, volume: float, midpoint: float) -> None:
    """αt/L² and the shares left, to three figures."""
    assert glover_volume(1.0, time, 1.0) == pytest.approx(volume, abs=0.0006)
    assert glover_midpoint(1.0, time, 1.0) == pytest.approx(midpoint, abs=0.0006)


@pytest.mark.parametrize("time", [0.01, 0.05, 0.2])
def test_heat_equation_by_matrix_exponential(time: float) -> None:
    """Independent: ∂y/∂t = α ∂²y/∂x² on 201 nodes, level start, drains at zero, by scipy.linalg.expm."""
    n = 201
    step = 1.0 / (n + 1)
    laplacian = (np.eye(n, k=1) - 2 * np.eye(n) + np.eye(n, k=-1)) / step**2
    y = expm(laplacian * time) @ np.ones(n)
    assert glover_midpoint(1.0, time, 1.0) == pytest.approx(y[n // 2], abs=5e-4)
    assert glover_volume(1.0, time, 1.0) == pytest.approx(y.sum() * step, abs=5e-3)


def test_one_term_form() -> None:
    """Late on only the first term counts: 4/π exp(−π² αt/L²) midway."""
    assert glover_midpoint(1.0, 0.3, 1.0) == pytest.approx(1.273 * np.exp(-(np.pi**2) * 0.3), rel=5e-4)
