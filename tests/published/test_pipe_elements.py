"""The circular section: a published worked sheet, and the hydraulic elements chart of the sewer manuals."""

from __future__ import annotations

import numpy as np
import pytest

from drainwright.hydraulics.geometry import hydraulic_radius, segment_area, wetted_perimeter
from drainwright.hydraulics.openflow import full_flow, part_full_flow


@pytest.mark.parametrize(
    ("diameter", "share", "area", "perimeter", "radius"),
    [(0.2032, 0.7, 0.0242, 0.4028, 0.060195), (0.1016, 0.5, 0.0041, 0.1596, 0.0254)],
)
def test_segment_geometry(diameter: float, share: float, area: float, perimeter: float, radius: float) -> None:
    """Flow-slope-diameter worked sheet. SEEN https://id.scribd.com/document/366761332."""
    depth = share * diameter
    assert segment_area(depth, diameter) == pytest.approx(area, abs=6e-5)
    assert wetted_perimeter(depth, diameter) == pytest.approx(perimeter, abs=6e-5)
    assert hydraulic_radius(depth, diameter) == pytest.approx(radius, abs=6e-7)


@pytest.mark.parametrize(("share", "ratio"), [(0.5, 0.500), (0.8, 0.977), (0.9, 1.066), (0.938, 1.076)])
def test_hydraulic_elements_at_constant_n(share: float, ratio: float) -> None:
    """ASCE/WEF sewer manual chart, Q/Qfull at constant n. From memory."""
    flow = part_full_flow(share * 0.3, 0.3, 0.01, 0.013) / full_flow(0.3, 0.01, 0.013)
    assert flow == pytest.approx(ratio, abs=0.0011)


def test_highest_velocity() -> None:
    """The same chart: V/Vfull is 1.140 at most, at y/D 0.81. From memory."""
    shares = np.linspace(0.7, 0.9, 2001)
    ratio = (np.asarray(hydraulic_radius(shares, 1.0)) / 0.25) ** (2 / 3)
    assert ratio.max() == pytest.approx(1.140, abs=0.0006)
    assert shares[np.argmax(ratio)] == pytest.approx(0.81, abs=0.005)
