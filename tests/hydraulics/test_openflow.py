"""Uniform flow, critical depth and energy in circular pipe: laws and edges."""

from __future__ import annotations

from math import pi

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainwright.errors import InputError
from drainwright.hydraulics.geometry import (
    central_angle,
    hydraulic_radius,
    segment_area,
    top_width,
    wetted_perimeter,
)
from drainwright.hydraulics.openflow import (
    FULLEST_DEPTH,
    critical_depth,
    flowing_depth,
    froude,
    full_flow,
    full_friction_slope,
    largest_open_flow,
    normal_depth,
    part_full_flow,
    specific_energy,
    velocity_at_depth,
)

diameters = st.floats(0.05, 0.6)
slopes = st.floats(0.001, 0.1)
fractions = st.floats(0.02, 0.98)


@given(diameters)
def test_full_pipe_is_a_circle(diameter: float) -> None:
    assert segment_area(diameter, diameter) == pytest.approx(pi * diameter**2 / 4)
    assert wetted_perimeter(diameter, diameter) == pytest.approx(pi * diameter)
    assert hydraulic_radius(diameter, diameter) == pytest.approx(diameter / 4)
    assert central_angle(diameter, diameter) == pytest.approx(2 * pi)


def test_dry_pipe_has_nothing() -> None:
    assert (
        segment_area(0.0, 0.1)
        == wetted_perimeter(0.0, 0.1)
        == hydraulic_radius(0.0, 0.1)
        == top_width(0.0, 0.1)
        == part_full_flow(0.0, 0.1, 0.01, 0.009)
        == normal_depth(0.0, 0.1, 0.01, 0.009)
        == critical_depth(0.0, 0.1)
        == velocity_at_depth(0.0, 0.0, 0.1)
        == 0.0
    )


@given(diameters, fractions)
def test_width_is_the_slope_of_the_area(diameter: float, fraction: float) -> None:
    depth, small = fraction * diameter, 1e-6 * diameter
    rise = segment_area(depth + small, diameter) - segment_area(depth - small, diameter)
    assert rise / (2 * small) == pytest.approx(top_width(depth, diameter), rel=1e-5)


@given(diameters, slopes, st.floats(0.02, FULLEST_DEPTH - 1e-3))
def test_normal_depth_inverts_the_flow(diameter: float, slope: float, fraction: float) -> None:
    flow = part_full_flow(fraction * diameter, diameter, slope, 0.011)
    assert normal_depth(flow, diameter, slope, 0.011) == pytest.approx(fraction * diameter, rel=1e-6)


def test_largest_flow_is_where_the_constant_says() -> None:
    depths = np.linspace(0.9, 0.97, 70001)
    flows = np.asarray(part_full_flow(depths, 1.0, 0.01, 0.01))
    assert depths[np.argmax(flows)] == pytest.approx(FULLEST_DEPTH, abs=2e-6)
    assert largest_open_flow(1.0, 0.01, 0.01) == pytest.approx(flows.max(), rel=1e-12)


def test_overload_raises_or_fills_the_pipe() -> None:
    most = largest_open_flow(0.1, 0.01, 0.009)
    with pytest.raises(InputError, match="free-surface flow"):
        normal_depth(most * 1.001, 0.1, 0.01, 0.009)
    assert flowing_depth(most * 1.001, 0.1, 0.01, 0.009) == 0.1
    assert flowing_depth(most * 0.999, 0.1, 0.01, 0.009) == normal_depth(most * 0.999, 0.1, 0.01, 0.009)


def test_flowing_depth_over_an_array_with_every_case() -> None:
    depth = flowing_depth(np.array([0.0, 0.002, 0.1, 0.002]), 0.1, np.array([0.01, 0.01, 0.01, 0.0]), 0.009)
    assert depth == pytest.approx(np.array([0.0, float(normal_depth(0.002, 0.1, 0.01, 0.009)), 0.1, 0.1]))


@given(diameters, st.floats(1e-5, 0.3))
def test_critical_depth_is_where_froude_is_one(diameter: float, flow: float) -> None:
    depth = critical_depth(flow, diameter)
    if depth > 0.999 * diameter:  # the pipe runs nearly full: the width is below the last digits
        return
    speed = velocity_at_depth(flow, depth, diameter)
    number = froude(speed, segment_area(depth, diameter), top_width(depth, diameter))
    assert number == pytest.approx(1.0, rel=1e-5)


@given(st.floats(0.001, 0.02))
def test_critical_depth_has_the_least_energy(flow: float) -> None:
    depths = np.linspace(0.005, 0.199, 20000)
    energy = np.asarray(specific_energy(depths, velocity_at_depth(flow, depths, 0.2)))
    assert depths[np.argmin(energy)] == pytest.approx(critical_depth(flow, 0.2), abs=2e-5)


@given(diameters, slopes)
def test_full_friction_slope_inverts_full_flow(diameter: float, slope: float) -> None:
    assert full_friction_slope(full_flow(diameter, slope, 0.01), diameter, 0.01) == pytest.approx(slope)


@given(diameters, slopes, st.floats(1.1, 3.0))
def test_capacity_scales_with_diameter_and_slope(diameter: float, slope: float, factor: float) -> None:
    base = full_flow(diameter, slope, 0.01)
    assert full_flow(diameter * factor, slope, 0.01) == pytest.approx(base * factor ** (8 / 3))
    assert full_flow(diameter, slope * factor, 0.01) == pytest.approx(base * factor**0.5)


def test_depth_over_the_crown_is_refused() -> None:
    with pytest.raises(InputError, match=r"depth = 0\.2: expected at most diameter"):
        segment_area(0.2, 0.1)


def test_flow_without_depth_is_refused() -> None:
    with pytest.raises(InputError, match="depth"):
        velocity_at_depth(0.01, 0.0, 0.1)
