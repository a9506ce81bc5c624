"""Losses where pipes meet: laws, edges, and HEC-22's printed equations worked by hand."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from drainwright.errors import InputError
from drainwright.hydraulics.access_hole import (
    AccessHole,
    Inflow,
    access_hole,
    arriving_level,
    junction_rise,
)
from drainwright.hydraulics.conduit import RoundPipe, critical
from drainwright.hydraulics.line_surface import bend_loss

G = 9.80665


def test_straight_through_drowned_hole_costs_the_entrance_only() -> None:
    hole = access_hole(0.01, 0.1, 0.3, 1.2, [Inflow(flow=0.01)])
    assert hole.turning == hole.plunging == hole.benching == 0.0
    assert hole.loss == pytest.approx(0.2 * 1.2**2 / (2 * G))


def test_inlet_control_of_a_steep_pipe_holds_water_back() -> None:
    """DI = Q / (A √(g D)): 0.008 m³/s in 0.1 m, DI 1.0286; 1.6 D DI^0.67 = 0.163 m over 0.12 m in the pipe."""
    hole = access_hole(0.008, 0.1, 0.12, 1.2, [Inflow(flow=0.008)])
    intensity = 0.008 / (math.pi * 0.1**2 / 4 * math.sqrt(G * 0.1))
    assert intensity == pytest.approx(1.0286, abs=5e-4)
    assert hole.energy == pytest.approx(max(0.16 * intensity**0.67, 0.1 * intensity**2), rel=1e-9)


def test_drowned_inlet_control_of_an_overloaded_pipe() -> None:
    """D DI²: 0.016 m³/s in 0.1 m, DI 2.06, stands 0.423 m over the invert, whatever the pipe below."""
    assert access_hole(0.016, 0.1, 0.15, 2.04, []).energy == pytest.approx(0.423, abs=0.001)


def test_benching_saves_and_is_straight_between_free_and_drowned() -> None:
    free = access_hole(0.001, 0.1, 0.05, 0.6, [], "full bench")
    drowned = access_hole(0.01, 0.1, 0.4, 1.27, [], "full bench")
    between = access_hole(0.01, 0.1, 0.2 - 0.2 * 1.27**2 / (2 * G), 1.27, [], "full bench")
    assert free.benching == pytest.approx(-0.93 * free.entrance, rel=1e-9)
    assert drowned.benching == pytest.approx(-0.25 * drowned.entrance)
    assert between.benching == pytest.approx((-0.93 + 0.68 * 2 / 3) * between.entrance, rel=1e-6)


def test_plunging_water_turns_nothing() -> None:
    high = access_hole(0.01, 0.1, 0.2, 1.27, [Inflow(flow=0.006, turn=1.5, height=0.6), Inflow(flow=0.004)])
    assert high.turning == 0.0
    assert high.plunging > 0.0
    low = access_hole(0.01, 0.1, 0.2, 1.27, [Inflow(flow=0.006, turn=1.5, height=0.1), Inflow(flow=0.004)])
    assert low.plunging == 0.0
    assert low.turning == pytest.approx(4.5 * math.sin(0.5 * 0.9) * low.entrance)


@given(st.floats(0.0005, 0.02), st.floats(0.0, 1.57), st.floats(0.0, 1.5), st.floats(0.01, 0.5))
def test_never_below_the_pipe_that_leaves_and_a_sharper_turn_never_helps(
    flow: float, turn: float, height: float, energy: float
) -> None:
    speed = flow / (math.pi * 0.1**2 / 4)
    hole = access_hole(flow, 0.1, energy, speed, [Inflow(flow=flow, turn=turn, height=height)])
    sharper = access_hole(flow, 0.1, energy, speed, [Inflow(flow=flow, turn=turn + 0.2, height=height)])
    assert hole.energy >= energy
    assert sharper.energy >= hole.energy - 1e-12
    assert energy + hole.loss == pytest.approx(hole.energy)


def test_wye_keeps_momentum() -> None:
    """Force balance over a full wye: ΔH g (A_o + A_i)/2 = Q_o v_o - Q_i v_i - Q_l v_l cos θ."""
    area = math.pi * 0.1**2 / 4
    rise = junction_rise((0.01, area), (0.006, area), [(0.004, area, math.pi / 4)])
    change = 0.01**2 / area - 0.006**2 / area - 0.004**2 / area * math.cos(math.pi / 4)
    assert rise * G * area == pytest.approx(change)
    assert junction_rise((0.01, area), (0.01, area), []) == 0.0
    assert junction_rise((0.01, area), (0.006, area), [(0.004, area, math.pi / 2)]) > rise
    assert junction_rise((0.01, 2 * area), (0.01, area), []) == 0.0  # a gain is not counted on


def test_bend_of_a_right_angle() -> None:
    assert bend_loss(math.pi / 2) == pytest.approx(0.297)


def test_pipe_that_arrives_keeps_some_of_its_speed() -> None:
    pipe = RoundPipe(diameter=0.1)
    level = arriving_level(0.5, 0.0, 0.01, pipe)
    head = (0.01 / (math.pi * 0.1**2 / 4)) ** 2 / (2 * G)
    assert level + head == pytest.approx(0.5 + 0.4 * head)
    assert arriving_level(0.02, 0.0, 0.01, pipe) == 0.02  # falls free
    assert arriving_level(0.5, 0.0, 0.0, pipe) == 0.5
    partly = arriving_level(0.09, 0.0, 0.004, pipe)
    assert critical(pipe, 0.004) <= partly < 0.09


@pytest.mark.parametrize("datum", [0.0, 30.0, -12.0])
@pytest.mark.parametrize("stands", [0.02, 0.09, 0.3])
def test_pipe_that_arrives_knows_no_datum(datum: float, stands: float) -> None:
    """Levels are from anywhere: the same water over the same pipe, a hundred feet up, stands as much higher."""
    pipe = RoundPipe(diameter=0.1)
    here = arriving_level(stands, 0.0, 0.004, pipe)
    assert arriving_level(datum + stands, datum, 0.004, pipe) - datum == pytest.approx(here, abs=1e-9)
    falls_free = stands <= critical(pipe, 0.004)
    assert (here == stands) == falls_free == (stands == 0.02)


def test_unusable_and_nothing() -> None:
    with pytest.raises(InputError, match="floor"):
        access_hole(0.01, 0.1, 0.2, 1.0, [], "round")
    with pytest.raises(InputError, match="diameter"):
        access_hole(0.01, 0.0, 0.2, 1.0, [])
    assert access_hole(0.0, 0.1, 0.2, 0.0, []) == AccessHole(
        energy=0.2, entrance=0.0, benching=0.0, turning=0.0, plunging=0.0
    )
