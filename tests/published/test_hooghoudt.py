"""Drain spacing: Hooghoudt with van der Molen's depth, and the ellipse equation."""

from __future__ import annotations

from math import log, pi

import pytest

from drainwright.hydraulics.drainspacing import (
    ellipse_spacing,
    equivalent_depth,
    hooghoudt_flow,
    hooghoudt_spacing,
)

DAY = 86400.0


def test_ilri_example() -> None:
    """ILRI Publ. 16 (1994) ch. 8: K 0.14 m/d, q 2 mm/d, r 0.1 m, D 5 m, h 0.6 m: about 30 m. From memory."""
    spacing = hooghoudt_spacing(0.14 / DAY, 0.002 / DAY, 0.6, 5.0, 0.1)
    assert spacing == pytest.approx(30.0, rel=0.025)
    assert equivalent_depth(29.4, 5.0, 0.1) == pytest.approx(2.27, abs=0.005)


def test_shallow_table_case() -> None:
    """Exercise with no printed answer, scribd 712425737 (SEEN): q 7 mm/d, K 2 m/d, D 3.5 m, h 0.9 m, r 0.05 m.

    The figures 79.1 m and 2.59 m are an earlier independent recomputation of it, not the book's.
    """
    spacing = hooghoudt_spacing(2.0 / DAY, 0.007 / DAY, 0.9, 3.5, 0.05)
    assert spacing == pytest.approx(79.1, abs=0.1)
    assert equivalent_depth(spacing, 3.5, 0.05) == pytest.approx(2.59, abs=0.005)


@pytest.mark.parametrize("spacing", [60.0, 100.0, 200.0])
def test_series_meets_its_small_argument_form(spacing: float) -> None:
    """van der Molen: F(x) → π²/(4x) + ln(x/2π) for x below 0.5. From memory; a different formula for F."""
    x = 2 * pi * 3.0 / spacing
    closed = pi * spacing / 8 / (log(spacing / (pi * 0.1)) + pi**2 / (4 * x) + log(x / (2 * pi)))
    assert equivalent_depth(spacing, 3.0, 0.1) == pytest.approx(closed, rel=2e-3)


def test_ellipse_is_hooghoudt_with_the_true_depth() -> None:
    """NRCS EFH ch. 14: S = √[4K(m² + 2am)/q]. From memory."""
    spacing = ellipse_spacing(0.14 / DAY, 0.002 / DAY, 0.6, 5.0)
    assert hooghoudt_flow(0.14 / DAY, 5.0, 0.6, spacing) == pytest.approx(0.002 / DAY)
