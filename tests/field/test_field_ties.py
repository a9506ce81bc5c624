"""Points by ties: planted points come back, and ties that cannot meet do not."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from scipy.optimize import least_squares

from drainwright.errors import InputError
from drainwright.field.ties import TiesMissError, distance_along_base, fix_by_ties, on_line

spots = st.tuples(st.floats(-30.0, 30.0), st.floats(-30.0, 30.0))


@settings(deadline=None)
@given(spots, spots, spots)
def test_two_ties_leave_the_point_and_its_mirror(
    a: tuple[float, float], b: tuple[float, float], p: tuple[float, float]
) -> None:
    assume(min(math.dist(a, b), math.dist(a, p), math.dist(b, p)) > 1.0)
    aside = abs((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])) / math.dist(a, b)
    assume(aside > 0.5)
    fixes = fix_by_ties([a, b], [math.dist(a, p), math.dist(b, p)], 0.01)
    assert len(fixes) == 2
    assert min(math.dist(fix.at, p) for fix in fixes) < 1e-6
    assert max(math.dist(fix.at, p) for fix in fixes) == pytest.approx(2.0 * aside, abs=1e-6)
    for fix in fixes:
        assert fix.residual < 1e-9
        assert fix.standard_error == pytest.approx(0.01 * math.sqrt(2.0) / math.sin(fix.angle), rel=1e-6)


@settings(deadline=None)
@given(spots, st.lists(st.floats(-0.02, 0.02), min_size=4, max_size=4))
def test_more_ties_agree_with_scipy(p: tuple[float, float], noise: list[float]) -> None:
    corners = [(0.0, 0.0), (12.0, 0.0), (12.0, 9.0), (0.0, 9.0)]
    assume(min(math.dist(corner, p) for corner in corners) > 0.5)
    ties = [math.dist(corner, p) + error for corner, error in zip(corners, noise, strict=True)]
    fix = fix_by_ties(corners, ties, 0.01)[0]
    reference = least_squares(
        lambda at: np.hypot(*(at - np.array(corners)).T) - ties, p, xtol=1e-14, ftol=1e-14, gtol=1e-14
    )
    assert fix.at == pytest.approx(tuple(reference.x), abs=1e-6)
    assert fix.residual == pytest.approx(math.sqrt(2.0 * reference.cost / 4), abs=1e-9)
    inverse = np.linalg.inv(reference.jac.T @ reference.jac)
    assert fix.standard_error == pytest.approx(0.01 * math.sqrt(np.trace(inverse)), rel=1e-4)


def test_a_flat_crossing_is_weak_and_a_square_one_is_not() -> None:
    flat = fix_by_ties([(0.0, 0.0), (10.0, 0.0)], [5.05, 5.05], 0.01)[0]
    assert flat.weak
    assert math.degrees(flat.angle) == pytest.approx(180.0 - 2.0 * math.degrees(math.asin(5.0 / 5.05)), abs=1e-6)
    square = fix_by_ties([(0.0, 0.0), (10.0, 0.0)], [10.0 / math.sqrt(2.0)] * 2, 0.01)[0]
    assert not square.weak
    assert square.angle == pytest.approx(math.pi / 2)
    assert square.standard_error == pytest.approx(0.01 * math.sqrt(2.0))


@pytest.mark.parametrize(("degrees", "weak"), [(29.0, True), (31.0, False), (149.0, False), (151.0, True)])
def test_the_limit_of_a_weak_crossing(degrees: float, weak: bool) -> None:
    half = 8.0 * math.sin(math.radians(degrees / 2.0))
    assert fix_by_ties([(-half, 0.0), (half, 0.0)], [8.0, 8.0], 0.001)[0].weak is weak


@pytest.mark.parametrize(("first", "second", "gap"), [(4.0, 5.0, 1.0), (20.0, 5.0, 5.0), (3.0, 14.0, 1.0)])
def test_ties_that_cannot_meet_tell_the_gap(first: float, second: float, gap: float) -> None:
    with pytest.raises(TiesMissError) as caught:
        fix_by_ties([(0.0, 0.0), (10.0, 0.0)], [first, second], 0.01)
    assert caught.value.gap == pytest.approx(gap)


@pytest.mark.parametrize(("ties", "east"), [([4.0, 5.98], 4.01), ([16.02, 6.0], 16.01), ([6.0, 16.02], -6.01)])
def test_ties_that_just_miss_are_brought_together(ties: list[float], east: float) -> None:
    (fix,) = fix_by_ties([(0.0, 0.0), (10.0, 0.0)], ties, 0.01)
    assert fix.at == pytest.approx((east, 0.0))
    assert fix.residual == pytest.approx(0.01)
    assert fix.weak


def test_three_ties_from_one_line_still_leave_two_sides() -> None:
    fixes = fix_by_ties([(0.0, 0.0), (5.0, 0.0), (10.0, 0.0)], [5.0, 4.0, math.sqrt(52.0)], 0.01)
    assert len(fixes) == 2
    assert fixes[0].at[1] == pytest.approx(-fixes[1].at[1], abs=1e-6)


def test_ties_from_one_place_are_refused() -> None:
    with pytest.raises(InputError, match="two different places"):
        fix_by_ties([(1.0, 1.0), (1.0, 1.0)], [2.0, 2.0], 0.01)


def test_distance_along_base_of_a_three_four_five_triangle() -> None:
    assert distance_along_base(5.0, 3.0, 4.0) == pytest.approx(1.8)


def test_along_a_line_left_is_positive() -> None:
    assert on_line((0.0, 0.0), (10.0, 0.0), 4.0, 2.0) == pytest.approx((4.0, 2.0))
    assert on_line((0.0, 0.0), (0.0, 10.0), 4.0, -2.0) == pytest.approx((2.0, 4.0))
    with pytest.raises(InputError):
        on_line((1.0, 1.0), (1.0, 1.0), 4.0, 0.0)
