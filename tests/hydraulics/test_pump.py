"""Pump curves, system curves, and where they meet."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drainwright.errors import InputError
from drainwright.hydraulics.pressure import hazen_williams_head_loss, minor_loss, pipe_velocity
from drainwright.hydraulics.pump import (
    PressurePipe,
    PumpCurve,
    SystemCurve,
    operating_point,
    operating_point_parallel,
)
from drainwright.system.lift.pumps import GENERIC_PUMPS, GenericPump
from drainwright.worksheet import worksheet

PUMP = PumpCurve(flows=(0.0, 0.001, 0.002, 0.003, 0.004), heads=(8.0, 7.4, 6.2, 4.3, 1.5))


def line(static: float = 3.0, length: float = 30.0, diameter: float = 0.0525, k: float = 6.0) -> SystemCurve:
    return SystemCurve(
        static_head=static,
        pipes=(PressurePipe(length=length, diameter=diameter, roughness=150.0, loss_coefficient=k),),
    )


def test_curve_goes_through_its_points_and_only_falls() -> None:
    for flow, head in zip(PUMP.flows, PUMP.heads, strict=True):
        assert PUMP.head(flow) == pytest.approx(head, abs=1e-12)
    heads = np.asarray(PUMP.head(np.linspace(0.0, PUMP.runout, 500)))
    assert np.all(np.diff(heads) < 0.0)
    assert (PUMP.shutoff, PUMP.runout) == (8.0, 0.004)


@given(st.floats(0.0, 0.004))
def test_flow_inverts_head(flow: float) -> None:
    assert PUMP.flow(float(PUMP.head(flow))) == pytest.approx(flow, abs=1e-9)


def test_flow_outside_the_heads() -> None:
    assert PUMP.flow(8.0) == PUMP.flow(20.0) == 0.0
    assert PUMP.flow(1.5) == PUMP.flow(-3.0) == 0.004


@settings(deadline=None, max_examples=50)
@given(st.floats(0.0, 6.0), st.floats(1.0, 100.0), st.sampled_from([0.0409, 0.0525, 0.0779]))
def test_heads_are_equal_at_the_operating_point(static: float, length: float, diameter: float) -> None:
    system = line(static, length, diameter)
    point = operating_point(PUMP, system)
    assert point.reaches
    if not point.beyond_curve:
        assert PUMP.head(point.flow) == pytest.approx(point.head, abs=1e-8)
    assert system.head(point.flow) == pytest.approx(point.head, abs=1e-8)


def test_more_lift_means_less_flow() -> None:
    flows = [operating_point(PUMP, line(static)).flow for static in (0.0, 2.0, 4.0, 6.0, 7.9)]
    assert all(a > b for a, b in pairwise(flows))


def test_pump_that_does_not_reach() -> None:
    point = operating_point(PUMP, line(static=8.0))
    assert (point.flow, point.reaches, point.head) == (0.0, False, 8.0)
    assert operating_point(PUMP, line(static=9.0)).margin == -1.0


def test_system_that_asks_less_than_the_curve_shows() -> None:
    point = operating_point(PUMP, line(static=0.0, length=1.0, diameter=0.1, k=0.0))
    assert point.beyond_curve
    assert point.flow == PUMP.runout


def test_falling_line_with_negative_static_head() -> None:
    assert operating_point(PUMP, line(static=-2.0, length=100.0, diameter=0.0409)).reaches


def test_two_equal_pumps_are_one_of_twice_the_flow() -> None:
    both = operating_point_parallel((PUMP, PUMP), line())
    wide = operating_point(PUMP.scaled(flow_ratio=2.0), line())
    assert both.flow == pytest.approx(wide.flow, rel=1e-9)
    assert both.flows[0] == both.flows[1] == pytest.approx(both.flow / 2)
    assert operating_point(PUMP, line()).flow < both.flow < 2 * operating_point(PUMP, line()).flow


def test_a_weak_second_pump_gives_nothing_against_a_high_head() -> None:
    weak = PUMP.scaled(head_ratio=0.3)
    both = operating_point_parallel((PUMP, weak), line(static=5.0))
    assert both.flows[1] == 0.0
    assert both.flow == pytest.approx(operating_point(PUMP, line(static=5.0)).flow, rel=1e-9)


def test_pipes_in_turn_add_their_losses() -> None:
    riser = PressurePipe(length=2.0, diameter=0.0409, roughness=150.0, loss_coefficient=4.0)
    run = PressurePipe(length=30.0, diameter=0.0525, roughness=150.0)
    system = SystemCurve(static_head=2.0, pipes=(riser, run))
    expected = (
        2.0
        + hazen_williams_head_loss(0.002, 2.0, 0.0409, 150.0)
        + minor_loss(pipe_velocity(0.002, 0.0409), 4.0)
        + hazen_williams_head_loss(0.002, 30.0, 0.0525, 150.0)
    )
    assert system.head(0.002) == pytest.approx(expected)
    assert np.asarray(system.head(np.array([0.0, 0.002]))) == pytest.approx(np.array([2.0, expected]))


def test_methods_agree_for_smooth_plastic() -> None:
    hw = PressurePipe(length=30.0, diameter=0.0525, roughness=150.0)
    dw = PressurePipe(length=30.0, diameter=0.0525, roughness=1.5e-6, method="darcy_weisbach")
    assert dw.head_loss(0.0025) == pytest.approx(hw.head_loss(0.0025), rel=0.08)  # C 150 is for warmer water


def test_the_sheet_shows_the_losses_at_the_point_once() -> None:
    with worksheet() as steps:
        operating_point(PUMP, line())
    assert [step.formula.rsplit(".", 1)[1] for step in steps] == [
        "pipe_velocity",
        "minor_loss",
        "hazen_williams_head_loss",
        "operating_point",
    ]


@pytest.mark.parametrize(
    ("flows", "heads", "named"),
    [
        ((0.0,), (8.0,), "flows"),
        ((0.0, 0.001), (8.0, 7.0, 6.0), "heads"),
        ((0.001, 0.002), (8.0, 7.0), "first zero"),
        ((0.0, 0.002, 0.001), (8.0, 7.0, 6.0), "rising"),
        ((0.0, 0.001, 0.002), (7.0, 8.0, 6.0), "fall"),
        ((0.0, 0.001), (8.0, float("nan")), "heads"),
    ],
)
def test_curves_that_are_refused(flows: tuple[float, ...], heads: tuple[float, ...], named: str) -> None:
    with pytest.raises(InputError, match=named):
        PumpCurve(flows=flows, heads=heads)


def test_other_refusals() -> None:
    with pytest.raises(InputError, match="within the curve"):
        PUMP.head(0.005)
    with pytest.raises(InputError, match="at least one pump"):
        operating_point_parallel((), line())
    with pytest.raises(InputError, match="method"):
        PressurePipe(length=1.0, diameter=0.05, roughness=150.0, method="guess")  # type: ignore[arg-type]
    with pytest.raises(InputError, match="static_head"):
        SystemCurve(static_head=float("inf"), pipes=())


@given(st.floats(0.0, 1.0), st.floats(-1.0, 3.0), st.floats(0.0, 9.0), st.sampled_from(GENERIC_PUMPS))
def test_one_flow_by_the_shorter_way_is_the_same_to_the_last_bit(
    share: float, lift: float, loss: float, generic: GenericPump
) -> None:
    curve = generic.choice.curve
    for flow in (share * curve.runout, *curve.flows):
        assert curve.head(flow) == curve.head(np.array([flow]))[0]  # type: ignore[index]
        line = SystemCurve(
            static_head=lift,
            pipes=(PressurePipe(length=20.0, diameter=0.0525, roughness=150.0, loss_coefficient=loss),),
        )
        with worksheet() as steps:
            recorded = line.head(flow)
        assert line.head(flow) == recorded
        assert len(steps) == 3
