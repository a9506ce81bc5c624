"""The perimeter walk: closure, balance, and the walks it refuses."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drainwright.errors import JobError
from drainwright.field.traverse import close_walk, reduce_walk, sign_suspects
from drainwright.job.survey import Perimeter


def walk(*legs: tuple[str, float, float | None], **more: Any) -> Perimeter:
    """A walk from A with lengths in metres and turns in degrees."""
    rows: list[dict[str, str]] = []
    for to, length, turn in legs:
        rows.append({"to": to, "length": f"{length!r} m"} | ({} if turn is None else {"turn": f"{turn!r} deg"}))
    return Perimeter.model_validate({"start": "A", "legs": rows, **more})


def problem(perimeter: Perimeter) -> list[str]:
    with pytest.raises(JobError) as caught:
        reduce_walk(perimeter, (0.0, 0.0))
    return [str(one) for one in caught.value.problems]


SQUARE = (("B", 10.0, 90.0), ("C", 10.0, 90.0), ("D", 10.0, 90.0), ("A", 10.0, 90.0))


@settings(deadline=None)
@given(st.floats(0.5, 50.0), st.floats(0.0, 360.0), st.sampled_from([1.0, -1.0]))
def test_a_square_walk_closes_to_nothing(side: float, bearing: float, way: float) -> None:
    legs = [(name, side, 90.0 * way) for name in "BCDA"]
    corners, traverse, notes = reduce_walk(walk(*legs, bearing=f"{bearing!r} deg"), (3.0, 4.0))
    assert traverse.misclosure == pytest.approx(0.0, abs=1e-11)
    assert traverse.angular_misclosure == pytest.approx(0.0, abs=1e-12)
    assert traverse.perimeter == pytest.approx(4 * side)
    assert math.dist(corners["A"], corners["C"]) == pytest.approx(side * math.sqrt(2.0))
    assert notes == ()


def test_bearing_turns_clockwise_from_north_and_right_is_positive() -> None:
    corners, _, _ = reduce_walk(walk(*SQUARE), (0.0, 0.0))
    assert corners["B"] == pytest.approx((0.0, 10.0))  # north first
    assert corners["C"] == pytest.approx((10.0, 10.0))  # then right, to the east
    east, _, _ = reduce_walk(walk(*SQUARE, bearing="90 deg"), (0.0, 0.0))
    assert east["B"] == pytest.approx((10.0, 0.0))
    assert east["C"] == pytest.approx((10.0, -10.0))


def test_turns_are_balanced_in_equal_parts() -> None:
    legs = [("B", 10.0, 91.0), ("C", 10.0, 90.5), ("D", 10.0, 89.5), ("A", 10.0, 91.0)]
    _, traverse, _ = reduce_walk(walk(*legs), (0.0, 0.0))
    assert traverse.angular_misclosure == pytest.approx(math.radians(2.0))
    even = [(name, 10.0, 90.5) for name in "BCDA"]
    corners, traverse, _ = reduce_walk(walk(*even), (0.0, 0.0))
    assert traverse.misclosure == pytest.approx(0.0, abs=1e-11)  # a square again, once each turn gives up half a degree
    assert corners["C"] == pytest.approx((10.0, 10.0))
    raw, traverse, notes = reduce_walk(walk(*legs, adjust=False), (0.0, 0.0))
    assert math.atan2(raw["C"][0] - raw["B"][0], raw["C"][1] - raw["B"][1]) == pytest.approx(math.radians(91.0))
    assert not traverse.adjusted
    assert "left unadjusted" in notes[0]


def test_without_the_last_turn_the_angles_are_unchecked_and_said_so() -> None:
    _, traverse, notes = reduce_walk(walk(*SQUARE[:3], ("A", 10.0, None)), (0.0, 0.0))
    assert traverse.angular_misclosure is None
    assert "turn at A was not measured" in notes[0]


@settings(deadline=None)
@given(st.integers(3, 9).flatmap(lambda n: st.lists(st.tuples(st.floats(0.9, 1.1), st.floats(-0.02, 0.02)),
                                                     min_size=n, max_size=n)))  # fmt: skip
def test_noisy_walks_close_exactly_once_adjusted(noise: list[tuple[float, float]]) -> None:
    n = len(noise)
    azimuths = [2.0 * math.pi * k / n + wobble for k, (_, wobble) in enumerate(noise)]
    lengths = [10.0 * stretch for stretch, _ in noise]
    ends, gap_east, gap_north = close_walk((5.0, 6.0), azimuths, lengths, True)
    assert ends[-1] == pytest.approx((5.0, 6.0), abs=1e-12)
    raw, _, _ = close_walk((5.0, 6.0), azimuths, lengths, False)
    assert raw[-1] == pytest.approx((5.0 + gap_east, 6.0 + gap_north))
    done = 0.0
    for length, adjusted, unadjusted in zip(lengths, ends, raw, strict=True):
        done += length  # the compass rule shifts a corner in proportion to the walk so far
        assert adjusted[0] - unadjusted[0] == pytest.approx(-gap_east * done / sum(lengths), abs=1e-9)


def test_missing_turns_and_names_are_told_by_corner() -> None:
    told = problem(walk(("B", 10.0, None), ("C", 10.0, 90.0), ("B", 10.0, None), ("E", 10.0, 90.0)))
    assert len(told) == 4
    assert "legs[3].to" in told[0]
    assert "no turn at corner B" in told[1]
    assert "found B again" in told[2]


def test_a_turn_with_the_wrong_sign_is_named() -> None:
    legs = [("B", 10.0, 90.0), ("C", 5.0, 90.0), ("D", 4.0, 90.0), ("E", 5.0, 90.0), ("F", 6.0, 90.0),
            ("A", 10.0, 90.0)]  # fmt: skip
    assert "D, E" in problem(walk(*legs))[0]  # an L-shaped house has one turn to the left


def test_a_wrong_tape_is_looked_for_along_the_gap() -> None:
    told = problem(walk(("B", 10.0, 90.0), ("C", 10.0, 90.0), ("D", 13.0, 90.0), ("A", 10.0, 90.0)))[0]
    assert "A-B, C-D" in told


def test_sign_suspects() -> None:
    assert sign_suspects([3.0, -2.0, -1.0], 0.0, 1e-9) == ()
    assert sign_suspects([3.0, 2.0, -1.0], 0.0, 1e-9) == (1,)
    assert sign_suspects([3.0, 2.5, -1.0], 0.0, 1e-9) == ()
