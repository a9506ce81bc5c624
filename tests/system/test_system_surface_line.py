"""The water surface against an integration of the flow equation by other code, and against its own laws."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from drainwright.system.catalogue import PIPES
from drainwright.system.surface.surface_line import Reach, design_depth, water_line, water_lines

PIPE = PIPES["d3034 6 in"]
GRAVITY = 9.80665


def reach(**changes: object) -> Reach:
    length = 30.0
    figures: dict[str, object] = {
        "name": "R",
        "upper": "N",
        "lower": "OUT",
        "upper_kind": "junction",
        "pipe": PIPE,
        "knots": (0.0, length),
        "inverts": (10.06, 10.0),
        "flow": 0.004,
        "distances": tuple(np.linspace(0.0, length, 31).tolist()),
    }
    return Reach(**(figures | changes))  # type: ignore[arg-type]


def area_of(depth: float, diameter: float) -> tuple[float, float, float]:
    """Area, wetted perimeter and width of the surface, written here once more."""
    angle = 2.0 * math.acos(1.0 - 2.0 * depth / diameter)
    return diameter**2 / 8.0 * (angle - math.sin(angle)), diameter * angle / 2.0, diameter * math.sin(angle / 2.0)


def slope_of_depth(depth: float, flow: float, diameter: float, bed: float, roughness: float) -> float:
    """dy/dx downstream = (S0 - Sf) / (1 - Fr^2)."""
    area, perimeter, width = area_of(depth, diameter)
    friction = (flow * roughness / (area * (area / perimeter) ** (2.0 / 3.0))) ** 2
    return (bed - friction) / (1.0 - flow**2 * width / (GRAVITY * area**3))


@pytest.mark.parametrize("tail", [10.09, 10.12, 10.14])
def test_tranquil_surface_is_that_of_the_flow_equation(tail: float) -> None:
    item = reach()
    line = water_line(item, tail)
    solved = solve_ivp(
        lambda _, y: [-slope_of_depth(float(y[0]), item.flow, PIPE.inside, item.grade, PIPE.manning)],
        (0.0, 30.0), [tail - 10.0], rtol=1e-9, atol=1e-11, dense_output=True,
    )  # fmt: skip
    for distance, level in zip(item.distances, line.levels, strict=True):
        depth = float(solved.sol(30.0 - distance)[0])
        assert level - item.invert(distance) == pytest.approx(depth, abs=2e-4)


def test_full_pipe_rises_by_the_friction_slope_over_its_length() -> None:
    """S_f = (Q n / (0.3117 D^(8/3)))^2, the constant of the tables."""
    item = reach(flow=0.02)
    line = water_line(item, 10.5)
    friction = (0.02 * PIPE.manning / (0.3117 * PIPE.inside ** (8.0 / 3.0))) ** 2
    assert line.levels[0] - line.levels[-1] == pytest.approx(friction * 30.0, rel=1e-3)
    assert line.surcharged


def test_free_outfall_ends_at_critical_depth() -> None:
    item = reach()
    depth = water_line(item, -math.inf).levels[-1] - 10.0
    area, _, width = area_of(depth, PIPE.inside)
    assert item.flow**2 * width == pytest.approx(GRAVITY * area**3, rel=1e-6)


def test_steep_pipe_runs_at_normal_depth_below_its_head() -> None:
    item = reach(inverts=(11.5, 10.0))
    line = water_line(item, -math.inf)
    normal = design_depth(item.flow, PIPE, item.grade)
    assert line.levels[10] - item.invert(10.0) == pytest.approx(normal, rel=1e-3)
    assert line.levels[29] - item.invert(29.0) == pytest.approx(normal, rel=1e-6)
    assert line.levels[0] - item.invert(0.0) > normal


def test_a_break_of_grade_gives_one_unbroken_surface_where_it_is_drowned() -> None:
    item = reach(knots=(0.0, 15.0, 30.0), inverts=(10.2, 10.02, 10.0))
    line = water_line(item, 10.6)
    jumps = np.abs(np.diff(line.levels))
    assert np.max(jumps) < 0.01
    assert min(line.levels) >= 10.6 - 1e-9


def test_water_never_stands_below_the_tailwater_and_falls_with_the_flow() -> None:
    lower = reach(name="B", upper="J", lower="OUT")
    upper = reach(name="A", upper="N", lower="J", inverts=(10.12, 10.06), flow=0.003)
    lines = water_lines([upper, lower], {"OUT": 10.13})
    levels = [*lines["A"].levels, *lines["B"].levels]
    assert all(high >= low - 1e-9 for high, low in itertools.pairwise(levels))
    assert lines["A"].levels[-1] >= lines["B"].levels[0] - 1e-9
    assert min(levels) >= 10.13 - 1e-9


def test_a_rising_pipe_holds_water_up_to_its_lower_end() -> None:
    item = reach(inverts=(10.0, 10.1))
    assert min(water_line(item, -math.inf).levels) >= 10.1
