"""The water surface of the design against the storm stepper run to its steady state: two codes, two writings."""

from __future__ import annotations

import numpy as np
import pytest
from stepper import shafts, step

from drainwright.hydraulics.line_surface import line_surface
from drainwright.hydraulics.openflow import full_flow

SIZE, ROUGH = 0.1023, 0.009


def settled(flow: float, length: float, fall: float, tail: float) -> float:
    """Level over the upper invert in the stepper after half an hour of even inflow."""
    stage, stored = shafts([0.05], [0.0], 5.0)
    found = step(
        stage=stage, stored=stored, start=np.array([0.0]), upper=np.array([0]), lower=np.array([-1]),
        z_upper=np.array([0.0]), z_lower=np.array([-fall * length]), diameter=np.array([SIZE]),
        conveyance=np.array([float(full_flow(SIZE, 1.0, ROUGH))]), length=np.array([length]),
        outfall=np.array([tail - fall * length]), edges=np.array([0.0, 1800.0]), inflow=np.array([[flow]]),
        tolerance=0.002,
    )  # fmt: skip
    assert found.rows[-1, 3] == pytest.approx(flow * (found.rows[-1, 0] - found.rows[-2, 0]), rel=1e-3)
    return float(np.interp(found.volume[0], stored[0], stage[0]))


def drawn(flow: float, length: float, fall: float, tail: float) -> float:
    """The same by the water surface: grade line at the head of the pipe, without losses there."""
    surface = line_surface(
        SIZE, (0.0, length), (0.0, -fall * length), flow, flow, ROUGH, tail - fall * length, (0.0, length)
    )
    return surface.level_up


@pytest.mark.parametrize(("flow", "tail"), [(0.004, 0.3), (0.008, 0.5), (0.011, 0.25)])
def test_full_pipe_agrees_to_a_millimetre(flow: float, tail: float) -> None:
    assert settled(flow, 20.0, 0.005, tail) == pytest.approx(drawn(flow, 20.0, 0.005, tail), abs=0.001)


@pytest.mark.parametrize("flow", [0.0008, 0.0015, 0.0025])
def test_free_mild_pipe_agrees_within_its_end_s_drop(flow: float) -> None:
    """The stepper takes even flow by the fall of the line; near the free end the surface draws down: 3 mm."""
    assert settled(flow, 30.0, 0.002, -1.0) == pytest.approx(drawn(flow, 30.0, 0.002, -1.0), abs=0.003)


def test_backed_up_part_full_pipe_lies_between() -> None:
    """Water backed up over half of a pipe's depth: the stepper's one depth for the whole pipe is off by 12 mm at most.

    It feeds by the depth at the upper end, the surface knows the deeper water below: the stepper stands higher.
    """
    for flow, tail in ((0.0015, 0.07), (0.002, 0.09)):
        high, low = settled(flow, 25.0, 0.002, tail), drawn(flow, 25.0, 0.002, tail)
        assert -0.001 <= high - low < 0.012, (flow, tail, high, low)


def test_steep_pipe_takes_its_flow_in_through_critical_depth_and_the_stepper_does_not_know_it() -> None:
    """At 3 % the stepper stands at normal depth at the head, the surface at critical depth: the higher is designed."""
    high, low = drawn(0.003, 20.0, 0.03, -1.0), settled(0.003, 20.0, 0.03, -1.0)
    assert 0.01 < high - low < 0.035
