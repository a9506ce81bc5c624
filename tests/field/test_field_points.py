"""Named points: each way to fix one, choices of side, and points that lean on each other."""

from __future__ import annotations

import math
from typing import Any

import pytest

from drainwright.errors import JobError
from drainwright.field.model import SitePoint
from drainwright.field.points import fix_points, inside
from drainwright.job.survey import Survey
from drainwright.job.values import Basis, Place

SQUARE = [
    {"name": "A", "east": "0 m", "north": "0 m"},
    {"name": "B", "east": "10 m", "north": "0 m"},
    {"name": "C", "east": "10 m", "north": "10 m"},
    {"name": "D", "east": "0 m", "north": "10 m"},
]
HOUSE = tuple(Place(name=name) for name in "ABCD")


def tied(name: str, **ties: float) -> dict[str, Any]:
    return {"name": name, "ties": [{"from": key, "distance": f"{value!r} m"} for key, value in ties.items()]}


def fix(*points: dict[str, Any], levels: dict[str, float] | None = None, **more: Any) -> dict[str, SitePoint]:
    survey = Survey.model_validate({"points": [*SQUARE, *points], **more})
    return dict(fix_points(survey, HOUSE, levels or {}).points)


def problems(*points: dict[str, Any], **more: Any) -> list[str]:
    with pytest.raises(JobError) as caught:
        fix(*points, **more)
    return [str(problem) for problem in caught.value.problems]


def test_the_side_outside_the_house_is_taken() -> None:
    point = fix(tied("P", A=5.0, B=math.sqrt(45.0)))["P"]  # (4, 3) would be in the house
    assert (point.east, point.north) == pytest.approx((4.0, -3.0))
    assert point.way == "ties"


def test_a_side_may_be_given_by_name_or_coordinates() -> None:
    far = tied("P", A=13.0, D=13.0)  # (12, 5) and (-12, 5), both outside
    assert "Give 'side'" in problems(far)[0]
    assert fix(far | {"side": "B"})["P"].east == pytest.approx(12.0)
    assert fix(far | {"side": "-1 m, 30 m"})["P"].east == pytest.approx(-12.0)
    assert "does not settle" in problems(far | {"side": "0 m, 30 m"})[0]


def test_points_may_be_given_in_any_order() -> None:
    points = fix(
        {"name": "Q", "along": ["P", "A"], "distance": "5 m", "offset": "0 m"},
        tied("P", A=13.0, D=13.0) | {"side": "B"},
    )
    assert (points["Q"].east, points["Q"].north) == pytest.approx((12.0 * 8 / 13, 5.0 * 8 / 13))
    assert list(points) == ["A", "B", "C", "D", "Q", "P"]


def test_along_a_wall_left_is_positive_and_out_of_a_counter_clockwise_house_is_right() -> None:
    points = fix({"name": "P", "along": ["A", "B"], "distance": "4 m", "offset": "-2 m"})
    assert points["P"].north == pytest.approx(-2.0)


def test_a_circle_of_points_is_refused() -> None:
    told = problems(tied("P", A=13.0, Q=1.0), tied("Q", B=13.0, P=1.0))
    assert "lean on each other in a circle: P > Q > P" in told[0]
    assert len(told) == 1


def test_an_outline_that_leans_on_the_point_cannot_choose_its_side() -> None:
    survey = Survey.model_validate({"points": [*SQUARE, tied("P", A=13.0, D=13.0)]})
    with pytest.raises(JobError, match="Give 'side'"):
        fix_points(survey, (*HOUSE, Place(name="P")), {})


def test_every_faulty_point_is_told_at_once() -> None:
    told = problems(tied("P", A=1.0, B=2.0), tied("Q", A=5.0, X=5.0), {"name": "A", "east": "0 m", "north": "1 m"},
                    {"name": "R", "along": ["A", "A"], "distance": "1 m"})  # fmt: skip
    assert len(told) == 4
    assert "A a second time" in told[0]
    assert "miss each other by 22.966 ft" in told[1]  # 7 m
    assert "points[5].ties[1].from" in told[2]
    assert "at one place" in told[3]


def test_ties_that_disagree_grossly_are_refused_and_a_little_noted() -> None:
    exact = {"A": 13.0, "D": 13.0, "B": math.hypot(2.0, 5.0)}
    assert "disagree" in problems(tied("P", **exact | {"B": 4.5}))[0]
    survey = Survey.model_validate({"points": [*SQUARE, tied("P", **exact | {"B": exact["B"] + 0.2})]})
    fixed = fix_points(survey, HOUSE, {})
    points, notes = fixed.points, fixed.notes
    assert points["P"].residual is not None
    assert any("ties of P disagree" in note for note in notes)


def test_the_least_sure_basis_travels() -> None:
    points = fix(
        tied("P", A=13.0, D=13.0) | {"side": "B", "basis": "assumed"},
        {"name": "Q", "along": ["P", "A"], "distance": "5 m", "basis": "measured"},
    )
    assert points["Q"].basis is Basis.ASSUMED


def test_levels_of_the_book_outrank_stated_ones() -> None:
    points = fix(
        {"name": "P", "east": "1 m", "north": "1 m", "level": "7 m"},
        {"name": "Q", "east": "1 m", "north": "2 m", "level": "8 m"},
        levels={"P": 7.5, "TP1": 6.0},
    )
    assert (points["P"].level, points["Q"].level, points["A"].level) == (7.5, 8.0, None)
    assert points["TP1"].way == "level only"
    assert math.isnan(points["TP1"].east)


def test_a_walk_may_start_at_a_point_with_coordinates() -> None:
    legs = [{"to": name, "length": "4 m", "turn": "90 deg"} for name in ("K", "L", "M", "A")]
    points = fix(perimeter={"start": "A", "at": "A", "legs": legs})
    assert (points["L"].east, points["L"].north) == pytest.approx((4.0, 4.0))
    assert (points["A"].way, points["L"].way) == ("coordinates", "corner")
    assert "lean on each other" in problems(
        {"name": "S", "along": ["K", "L"], "distance": "1 m"}, perimeter={"start": "N", "at": "S", "legs": [
            {"to": "K", "length": "4 m", "turn": "90 deg"}, {"to": "L", "length": "4 m", "turn": "90 deg"},
            {"to": "M", "length": "4 m", "turn": "90 deg"}, {"to": "N", "length": "4 m", "turn": "90 deg"}]},
    )[0]  # fmt: skip


def test_inside_an_outline() -> None:
    ell = [(0.0, 0.0), (4.0, 0.0), (4.0, 2.0), (2.0, 2.0), (2.0, 4.0), (0.0, 4.0)]
    assert inside(ell, (1.0, 3.0))
    assert not inside(ell, (3.0, 3.0))
    assert inside(ell[::-1], (3.0, 1.0))
