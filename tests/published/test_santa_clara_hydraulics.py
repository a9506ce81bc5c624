"""Teaching functions for hydraulics, Santa Clara University, vignette: part-full pipe in SI.

SEEN in EdM44/hydraulics:docs/articles/hydraulics_vignette.html. Values are printed to two figures.
Q 0.01 m³/s, n 0.013, S 0.001, D 0.2 m.
"""

from __future__ import annotations

import pytest

from drainwright.hydraulics.geometry import hydraulic_radius, segment_area, top_width, wetted_perimeter
from drainwright.hydraulics.openflow import critical_depth, froude, full_flow, normal_depth, velocity_at_depth


@pytest.fixture
def depth() -> float:
    return float(normal_depth(0.01, 0.2, 0.001, 0.013))


def test_normal_depth(depth: float) -> None:
    """Vignette: y 0.16 m."""
    assert depth == pytest.approx(0.16, abs=0.005)


def test_section(depth: float) -> None:
    """Vignette: A 0.027 m², P 0.44 m, R 0.061 m."""
    assert segment_area(depth, 0.2) == pytest.approx(0.027, abs=0.0005)
    assert wetted_perimeter(depth, 0.2) == pytest.approx(0.44, abs=0.005)
    assert hydraulic_radius(depth, 0.2) == pytest.approx(0.061, abs=0.0005)


def test_velocity_and_froude(depth: float) -> None:
    """Vignette: V 0.38 m/s, Fr 0.30."""
    speed = velocity_at_depth(0.01, depth, 0.2)
    assert speed == pytest.approx(0.38, abs=0.006)
    number = froude(speed, segment_area(depth, 0.2), top_width(depth, 0.2))
    assert number == pytest.approx(0.30, abs=0.01)


def test_critical_depth() -> None:
    """Vignette: yc 0.085 m."""
    assert critical_depth(0.01, 0.2) == pytest.approx(0.085, abs=0.0005)


def test_full_flow() -> None:
    """Vignette: full-flow Q 0.01 m³/s."""
    assert full_flow(0.2, 0.001, 0.013) == pytest.approx(0.01, abs=0.0005)
