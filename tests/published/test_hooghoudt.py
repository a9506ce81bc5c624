"""Drain spacing: Hooghoudt with van der Molen's depth, and the ellipse equation."""

from __future__ import annotations

from math import log, pi

import pytest

from drainwright.hydraulics.drainspacing import (
    ellipse_spacing,
    equivalent_depth,
    hooghoudt_flow,
    hooghoudt_head,
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


@pytest.mark.parametrize(
    ("spacing", "depth"),
    [
        (5.0, 0.71), (7.5, 0.93), (10.0, 1.14), (15.0, 1.53), (20.0, 1.89), (25.0, 2.24), (30.0, 2.58), (35.0, 2.91),
        (40.0, 3.24), (45.0, 3.56), (50.0, 3.88),
    ],
)  # fmt: skip
def test_hooghoudts_table_of_depths_for_a_deep_layer(spacing: float, depth: float) -> None:
    """Hooghoudt's table for r 0.1 m, last row (the layer endlessly deep); ILRI 16, Table 8.1. From memory."""
    assert equivalent_depth(spacing, 1000.0, 0.1) == pytest.approx(depth, abs=0.011)


def test_water_midway_in_the_ilri_example() -> None:
    """The same example turned round: at the book's 30 m the water stands the wanted 0.6 m over the drains, midway."""
    head = hooghoudt_head(0.14 / DAY, 0.002 / DAY, equivalent_depth(30.0, 5.0, 0.1), 30.0)
    assert head == pytest.approx(0.6, abs=0.02)
