"""Slips of the tape and the pen in one known yard: each is named, with what was meant."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

import pytest

from drainwright.field.plan_network import Measure
from drainwright.field.plan_slips import SlipError, _hooked, find_slips, readings, suspicious, threshold
from drainwright.field.points import FixedPoints, fix_points
from drainwright.job.survey import Survey
from drainwright.job.values import Place

FOOT = 0.3048
AT = {
    "A": (0.0, 0.0),
    "B": (40.0, 0.0),
    "C": (40.0, 28.0),
    "D": (0.0, 28.0),
    "P": (52.0, 11.0),
    "Q": (-9.0, 40.0),
}  # ft
TIES = (("P", "ABCD"), ("Q", "ACDP"))


def far(a: str, b: str) -> float:
    return round(math.dist(AT[a], AT[b]), 2)


def yard(**wrong: str) -> dict[str, Any]:
    """Sound readings to 0.01 ft, but for those given: AB for a side, turn_B, P_A for a tie, AC for a tape."""
    ring = "ABCDA"
    legs = [
        {"to": b, "length": wrong.get(a + b, f"{far(a, b)} ft"), "turn": wrong.get(f"turn_{b}", "-90 deg")}
        for a, b in pairwise(ring)
    ]
    points = [
        {
            "name": name,
            "ties": [{"from": one, "distance": wrong.get(f"{name}_{one}", f"{far(name, one)} ft")} for one in held],
        }
        for name, held in TIES
    ]
    tapes = [{"from": a, "to": b, "distance": wrong.get(a + b, f"{far(a, b)} ft")} for a, b in ("AC", "BD")]
    return {"perimeter": {"start": "A", "bearing": "90 deg", "legs": legs}, "points": points, "tapes": tapes,
            "tape_accuracy": "0.02 ft"}  # fmt: skip


def fixed(**wrong: str) -> FixedPoints:
    return fix_points(Survey.model_validate(yard(**wrong)), tuple(Place(name=name) for name in "ABCD"), {})


def test_a_sound_survey_has_no_slips() -> None:
    ours = fixed()
    assert ours.slips == ()
    assert ours.network is not None
    assert ours.network.variance_factor is not None
    assert ours.network.variance_factor < 1.0


@pytest.mark.parametrize(
    ("wrong", "where", "kind", "meant"),
    [
        ({"P_B": f"{far('P', 'B') + 1} ft"}, "survey.points[0].ties[1]", "misread", "16.28 ft instead of 17.28 ft"),
        ({"AC": f"{far('A', 'C') - 1} ft"}, "survey.tapes[0]", "misread", "48.83 ft instead of 47.83 ft"),
        ({"BC": "29 ft"}, "survey.perimeter.legs[1]", "misread", "28.00 ft instead of 29.00 ft"),
        ({"Q_D": "10.3 ft"}, "survey.points[1].ties[2]", "misread", ""),  # it is 15 ft: nothing common
        ({"Q_D": "10.5 ft"}, "survey.points[1].ties[2]", "digits exchanged", "15.0 ft instead of 10.50 ft"),
        ({"P_C": "28.02 ft"}, "survey.points[0].ties[2]", "digits exchanged", "20.82 ft instead of 28.02 ft"),
        ({"P_C": f"{far('P', 'D')} ft"}, "survey.points[0].ties[2]", "wrong corner", "D to P instead of C to P"),
    ],
)
def test_each_slip_is_named_with_what_was_meant(wrong: dict[str, str], where: str, kind: str, meant: str) -> None:
    try:
        slips = fixed(**wrong).slips
    except SlipError as error:  # so gross that the point is refused
        slips, told = error.slips, error.problems[0].where
    else:
        told = where
    assert told == where
    assert slips[0].where == where
    assert (slips[0].kind, slips[0].meant) == (kind, meant)
    assert slips[0].message
    assert slips[0].strength > 10.0


def test_inches_written_as_tenths() -> None:
    """A diagonal of 48 ft 10 in as 48.10 ft."""
    slip = fixed(AC="48.10 ft").slips[0]
    assert (slip.where, slip.kind) == ("survey.tapes[0]", "feet and inches")
    assert slip.meant == "48 ft 10 in instead of 48.10 ft"
    assert slip.size == pytest.approx((48.10 - far("A", "C")) * FOOT, abs=0.05 * FOOT)


@pytest.mark.parametrize(("turn", "kind"), [("90 deg", "sign"), ("0 deg", "right angle")])
def test_a_walk_that_cannot_close_names_the_turn(turn: str, kind: str) -> None:
    with pytest.raises(SlipError) as caught:
        fixed(turn_C=turn)
    named = {caught.value.slips[0].where, *caught.value.slips[0].rivals}
    assert "survey.perimeter.legs[1].turn" in named
    assert caught.value.problems[0].where == caught.value.slips[0].where
    assert "-90" in caught.value.problems[0].hint
    assert caught.value.slips[0].kind in (kind, "sign", "right angle")


def test_a_side_far_too_long_is_named() -> None:
    with pytest.raises(SlipError) as caught:
        fixed(BC="38 ft")
    assert caught.value.slips[0].where == "survey.perimeter.legs[1]"
    assert caught.value.slips[0].meant.startswith("28.00 ft instead of 38.00 ft")


def test_three_ties_alone_cannot_tell_which() -> None:
    base = [{"name": n, "east": f"{AT[n][0]} ft", "north": f"{AT[n][1]} ft"} for n in "ABC"]
    tied = {"name": "P", "ties": [{"from": n, "distance": f"{far('P', n) + (n == 'B')} ft"} for n in "ABC"]}
    survey = Survey.model_validate({"points": [*base, tied], "tape_accuracy": "0.02 ft"})
    fixed = fix_points(survey, tuple(Place(name=n) for n in "ABC"), {})
    (slip,) = fixed.slips
    assert slip.message in fixed.notes
    assert slip.kind == "misread"  # a whole foot, which only one of the three may be off by, is named before the others
    assert slip.where == "survey.points[3].ties[1]"
    assert {slip.where, *slip.rivals} == {f"survey.points[3].ties[{k}]" for k in range(3)}
    assert "cannot tell" in slip.message


def test_readings_of_a_length_and_of_a_turn() -> None:
    def meant(value: float, kind: Any = "tape") -> dict[str, set[str]]:
        found: dict[str, set[str]] = {}
        ends = ("A", "B", "C")[: 3 if kind == "turn" else 2]
        for one in readings(Measure(where="", kind=kind, ends=ends, value=value, error=0.01), "US"):
            found.setdefault(one.kind, set()).add(one.text)
        return found

    assert "12 ft 7 in" in meant(12.7 * FOOT)["feet and inches"]
    assert "12.7 ft" in meant((12 + 7 / 12) * FOOT)["feet and inches"]
    assert "21.6 ft" in meant(12.6 * FOOT)["digits exchanged"]
    assert "21 ft 7 in" in meant((12 + 7 / 12) * FOOT)["digits exchanged"]
    assert "feet and inches" not in meant(12.74 * FOOT)
    assert meant(math.radians(-90.0), "turn")["sign"] == {"90.00°"}


def test_the_threshold_grows_with_the_number_of_measures() -> None:
    """Two-sided normal quantiles: 2.576 at 1 % for one, 3.291 at 0.1 % for ten."""
    assert threshold(1) == pytest.approx(2.576, abs=1e-3)
    assert threshold(10) == pytest.approx(3.291, abs=1e-3)
    assert not suspicious([0.5] * 10, [3.2] * 10)
    assert suspicious([0.5] * 10, [3.2] * 9 + [-3.4])
    assert not suspicious([0.0], [50.0])  # nothing checks it
    assert find_slips.__doc__


def test_a_gross_diagonal_is_named_itself_and_no_innocent_point_is() -> None:
    """Yard shots by coordinates, one just so far from B as the wrong tape, are no place to hook it on."""
    survey = yard(BD="44.00 ft")  # it is 48.83 ft
    at = (40.0 + 44.0 * math.cos(2.0), 44.0 * math.sin(2.0))
    survey["points"].append({"name": "G5", "east": f"{at[0]:.2f} ft", "north": f"{at[1]:.2f} ft"})
    try:
        slips = fix_points(Survey.model_validate(survey), tuple(Place(name=name) for name in "ABCD"), {}).slips
    except SlipError as error:
        (problem,) = error.problems
        assert problem.where == "survey.tapes[1]"
        assert problem.found.startswith("the tape B to D (44.00 ft) is off by about 4.8")
        slips = error.slips
    assert slips[0].where == "survey.tapes[1]"
    assert "G5" not in slips[0].message
    assert slips[0].kind != "wrong corner"


def test_gross_ties_lead_with_the_tape_and_tell_the_points_after_it() -> None:
    with pytest.raises(SlipError) as error:
        fixed(P_B="30.28 ft", turn_B="-90 deg")
    (problem,) = error.value.problems
    assert problem.where == "survey.points[0].ties[1]"
    assert problem.found.startswith("the tie of P from B (30.28 ft) is off by about")
    assert "With it ties disagree (root mean square): P by" in problem.hint


@pytest.mark.parametrize(("angle", "hooked"), [(10.0, True), (60.0, False)])
def test_a_taped_point_is_a_hook_only_near_the_line_of_sight(angle: float, hooked: bool) -> None:
    wrong = Measure(where="survey.tapes[0]", kind="tape", ends=("A", "B"), value=8.0, error=0.006)
    turn = math.radians(angle)
    at = {"A": (0.0, 0.0), "B": (10.0, 0.0), "R": (8.0 * math.cos(turn), 8.0 * math.sin(turn))}
    found = [one.text for one in _hooked(wrong, 10.0, at, (), 0.02)]
    assert ("R to A" in found) is hooked
    assert "R to A" in [one.text for one in _hooked(wrong, 10.0, at, ("R",), 0.02)]
