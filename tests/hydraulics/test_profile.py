"""The water surface along a pipe: full, part full, and between; direct step in other channels."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drainwright.errors import InputError
from drainwright.hydraulics.openflow import critical_depth, full_friction_slope, normal_depth
from drainwright.hydraulics.profile import Circle, Trapezoid, direct_step, friction_slope, pipe_profile


def test_full_pipe_rises_at_the_friction_slope() -> None:
    profile = pipe_profile(0.02, 0.1, 30.0, 5.0, 0.005, 0.009, 6.0)
    assert profile.level_up - 6.0 == pytest.approx(30.0 * full_friction_slope(0.02, 0.1, 0.009), rel=1e-9)
    assert profile.full_length == pytest.approx(30.0)
    assert np.allclose(profile.depths, profile.levels - profile.inverts)


def test_long_mild_pipe_comes_to_normal_depth() -> None:
    profile = pipe_profile(0.004, 0.15, 400.0, 0.0, 0.002, 0.011, -1.0, steps=400)
    normal = normal_depth(0.004, 0.15, 0.002, 0.011)
    assert profile.depths[0] == pytest.approx(critical_depth(0.004, 0.15))
    assert profile.depths[-1] == pytest.approx(normal, rel=1e-3)
    assert not profile.steep
    assert np.all(np.diff(profile.depths) >= -1e-12)


def test_backwater_falls_to_normal_depth() -> None:
    profile = pipe_profile(0.004, 0.15, 400.0, 0.0, 0.002, 0.011, 0.13, steps=400)
    assert profile.depths[0] == pytest.approx(0.13)
    assert profile.depths[-1] == pytest.approx(normal_depth(0.004, 0.15, 0.002, 0.011), rel=1e-3)
    assert np.all(np.diff(profile.depths) <= 1e-12)


def test_drowned_outlet_frees_upstream() -> None:
    """The full reach ends where the pipe has climbed to its grade line."""
    flow, diameter, slope, rough = 0.004, 0.1, 0.01, 0.009
    profile = pipe_profile(flow, diameter, 40.0, 0.0, slope, rough, 0.25, steps=400)
    expected = (0.25 - diameter) / (slope - full_friction_slope(flow, diameter, rough))
    assert profile.full_length == pytest.approx(expected, abs=0.11)
    assert profile.depths[-1] < diameter


def test_steep_pipe_falls_from_critical_to_normal_depth_and_says_so() -> None:
    profile = pipe_profile(0.002, 0.1, 20.0, 0.0, 0.05, 0.009, 0.0, steps=200)
    assert profile.steep
    assert profile.jump is None
    assert profile.depths[-1] == pytest.approx(critical_depth(0.002, 0.1))
    assert profile.depths[0] == pytest.approx(normal_depth(0.002, 0.1, 0.05, 0.009), rel=1e-6)
    assert np.all(np.diff(profile.depths) >= -1e-12)


def test_overloaded_pipe_surcharges_upstream_from_a_free_outlet() -> None:
    profile = pipe_profile(0.012, 0.1, 30.0, 0.0, 0.01, 0.009, -1.0, steps=300)
    assert profile.depths[0] < 0.1
    assert profile.depths[-1] > 0.1
    assert profile.normal_depth == 0.1


def test_still_water_is_level_and_dry_above() -> None:
    profile = pipe_profile(0.0, 0.1, 10.0, 0.0, 0.02, 0.009, 0.1)
    assert np.allclose(profile.levels, np.maximum(0.1, profile.inverts))
    assert np.all(profile.velocities == 0.0)


def test_level_pipe() -> None:
    profile = pipe_profile(0.003, 0.1, 10.0, 0.0, 0.0, 0.009, 0.0)
    assert np.all(np.diff(profile.levels) > 0.0)


@settings(deadline=None, max_examples=40)
@given(st.floats(0.0005, 0.02), st.floats(0.0, 0.03), st.floats(-0.2, 0.6))
def test_energy_never_rises_downstream_and_more_tailwater_never_lowers(flow: float, slope: float, level: float) -> None:
    low = pipe_profile(flow, 0.1, 20.0, 0.0, slope, 0.01, level, steps=60)
    high = pipe_profile(flow, 0.1, 20.0, 0.0, slope, 0.01, level + 0.05, steps=60)
    assert np.all(np.diff(low.energies) > 0.0)
    assert np.all(high.levels >= low.levels - 1e-9)
    if not low.steep:
        assert np.all(low.depths >= low.critical_depth - 1e-12)


def test_finer_steps_agree() -> None:
    """Halving the step brings the level at the top closer to the limit."""
    limit = pipe_profile(0.006, 0.15, 60.0, 0.0, 0.002, 0.011, 0.0, steps=1600).level_up
    errors = [
        abs(pipe_profile(0.006, 0.15, 60.0, 0.0, 0.002, 0.011, 0.0, steps=n).level_up - limit) for n in (25, 50, 100)
    ]
    assert errors[0] > errors[1] > errors[2]
    assert errors[0] < 0.001


def test_direct_step_agrees_with_the_walk() -> None:
    """Two methods, one surface: distances by direct step, depths by standard step."""
    walk = pipe_profile(0.004, 0.15, 60.0, 0.0, 0.002, 0.011, 0.12, steps=600)
    depths = np.linspace(0.12, float(walk.depths[300]), 400)
    distance = direct_step(Circle(diameter=0.15), 0.004, 0.002, 0.011, depths)
    assert distance[-1] == pytest.approx(walk.stations[300], rel=1e-3)


def test_direct_step_refuses_normal_depth_and_short_lists() -> None:
    section = Trapezoid(width=1.0)
    slope = friction_slope(section, 0.5, 0.4, 0.02)
    with pytest.raises(InputError, match="normal depth"):
        direct_step(section, 0.4, slope, 0.02, np.array([0.5, 0.5]))
    with pytest.raises(InputError, match="two depths"):
        direct_step(section, 0.4, 0.001, 0.02, np.array([0.5]))


@pytest.mark.parametrize(
    "changes",
    [{"flow": -1.0}, {"diameter": 0.0}, {"length": 0.0}, {"downstream_level": float("nan")}, {"steps": 1}],
)
def test_unusable_values(changes: dict[str, float]) -> None:
    good = {
        "flow": 0.004,
        "diameter": 0.1,
        "length": 10.0,
        "downstream_invert": 0.0,
        "slope": 0.01,
        "roughness": 0.009,
        "downstream_level": 0.0,
        "steps": 10,
    }
    with pytest.raises(InputError, match=next(iter(changes))):
        pipe_profile(**{**good, **changes})  # type: ignore[arg-type]
