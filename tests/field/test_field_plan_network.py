"""The plan network: against a general solver, by another way to its errors, and equal to the construction."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Any

import numpy as np
import pytest
from plan_yards import Yard, redundancy, true_value, yard
from scipy.optimize import least_squares

from drainwright.errors import JobError
from drainwright.field.plan_adjust import unchecked
from drainwright.field.plan_network import ellipse_of
from drainwright.field.points import FixedPoints, fix_points
from drainwright.job.survey import Survey
from drainwright.job.values import Place


def fixed(one: Yard, **more: Any) -> FixedPoints:
    survey = Survey.model_validate(one.document() | more)
    return fix_points(survey, tuple(Place(name=name) for name in one.corners), {}, one.units)  # type: ignore[arg-type]


def solved(
    one: Yard, start: dict[str, tuple[float, float]]
) -> tuple[dict[str, tuple[float, float]], np.ndarray, list[str]]:
    """The same survey by scipy on plain geometry: places, covariance, names of the free points."""
    free = [name for name in one.places if name not in ("A", "B")]
    ahead = (math.sin(one.bearing), math.cos(one.bearing))

    def placed(unknown: np.ndarray) -> dict[str, tuple[float, float]]:
        at = {"A": (0.0, 0.0), "B": (unknown[0] * ahead[0], unknown[0] * ahead[1])}
        return at | {name: (unknown[1 + 2 * n], unknown[2 + 2 * n]) for n, name in enumerate(free)}

    def misses(unknown: np.ndarray) -> list[float]:
        at, gaps = placed(unknown), []
        for item in one.taken:
            gap = true_value(item, at) - item.reading
            if item.kind == "turn":
                gap = (gap + math.pi) % (2.0 * math.pi) - math.pi
            gaps.append(gap / item.error)
        return gaps

    begin = [math.hypot(*start["B"]), *(value for name in free for value in start[name])]
    found = least_squares(misses, begin, jac="3-point", xtol=1e-15, ftol=1e-15, gtol=1e-15)
    return placed(found.x), np.linalg.inv(found.jac.T @ found.jac), free


@pytest.mark.parametrize("seed", [1, 2, 3, 5, 8, 13])
def test_places_and_errors_agree_with_scipy(seed: int) -> None:
    one = yard(seed)
    ours = fixed(one)
    at, covariance, free = solved(one, {name: (p.east, p.north) for name, p in ours.points.items()})
    for name, point in ours.points.items():
        assert (point.east, point.north) == pytest.approx(at[name], abs=1e-8)
    for n, name in enumerate(free):
        block = covariance[1 + 2 * n : 3 + 2 * n, 1 + 2 * n : 3 + 2 * n]
        point = ours.points[name]
        assert point.standard_error == pytest.approx(math.sqrt(np.trace(block)), rel=1e-4)
        assert point.ellipse is not None
        sizes = np.sqrt(np.linalg.eigvalsh(block))
        assert (point.ellipse.minor, point.ellipse.major) == pytest.approx(tuple(sizes), rel=1e-4)
    assert ours.points["B"].standard_error == pytest.approx(math.sqrt(covariance[0, 0]), rel=1e-4)
    shares = redundancy(replace(one, places=at))
    assert ours.network is not None
    for seen in ours.network.observations:
        assert seen.redundancy == pytest.approx(shares[seen.where], abs=1e-5)
    assert sum(o.redundancy for o in ours.network.observations) == pytest.approx(ours.network.redundancy)


@pytest.mark.parametrize("seed", range(40, 60))
def test_points_that_nothing_checks_are_named(seed: int) -> None:
    one = yard(seed)
    shares = redundancy(one)
    bare = {item.ends[-1] for item in one.taken if item.kind in ("tie", "along", "offset") and shares[item.path] < 0.01}
    ours = fixed(one)
    assert ours.network is not None
    assert set(unchecked(ours.network)) == bare
    for name in bare:
        assert any("Nothing checks" in note and name in note for note in ours.notes)


def test_of_three_ties_the_unchecked_one_is_told() -> None:
    """The ties of S from A and B, which lie in line with it, check each other; the one from F runs square to them."""
    points = {"A": (0, 0), "B": (12, 0), "C": (12, 9), "E": (16, 0), "F": (20, 9)}
    survey = {
        "points": [{"name": name, "east": f"{e} m", "north": f"{n} m"} for name, (e, n) in points.items()]
        + [{"name": "R", "side": "30 m, 20 m",
            "ties": [{"from": "C", "distance": "9 m"}, {"from": "E", "distance": "9 m"}]},
           {"name": "S", "side": "20 m, 12 m", "ties": [{"from": "A", "distance": "20 m"},
                         {"from": "B", "distance": "8 m"}, {"from": "F", "distance": "9 m"}]}],
    }  # fmt: skip
    ours = reduced(survey)
    told = [note for note in ours.notes if "Nothing checks" in note]
    assert told[0].startswith("Nothing checks the ties of R: a third tie")
    assert told[1].startswith("Nothing checks the tie of S from F,")
    assert len(told) == 2


def rectangle(**more: Any) -> dict[str, Any]:
    """A walked house of 12 m by 9 m, its last side a little long, and a point by two ties."""
    legs = [{"to": name, "length": f"{length} m", "turn": f"{turn} deg"} for name, length, turn in
            (("B", 12.0, -90.0), ("C", 9.0, -90.3), ("D", 12.01, -89.8), ("A", 9.05, -90.1))]  # fmt: skip
    tied = {"name": "P", "ties": [{"from": "A", "distance": "5 m"}, {"from": "B", "distance": "9.5 m"}]}
    return {"perimeter": {"start": "A", "bearing": "90 deg", "legs": legs}, "points": [tied]} | more


def reduced(document: dict[str, Any], names: str = "ABCD") -> FixedPoints:
    return fix_points(Survey.model_validate(document), tuple(Place(name=name) for name in names), {}, "SI")


def test_a_walk_alone_stays_with_the_compass_rule() -> None:
    ours = reduced(rectangle())
    assert ours.network is not None
    assert ours.network.redundancy == 3
    gap = ours.traverse
    assert gap is not None
    assert ours.points["B"].north == pytest.approx(-gap.closure_north * 12.0 / gap.perimeter, abs=1e-12)
    assert ours.points["P"].residual == pytest.approx(0.0, abs=1e-12)  # and the ties from there fit exactly
    assert not any("together" in note for note in ours.notes)


def test_errors_of_a_compass_rule_walk_by_drawing_measurements() -> None:
    """Monte Carlo: 400 walks with the stated errors scatter as the ellipses say; P's ties lean on the corners."""
    rng = np.random.default_rng(4)
    ours = reduced(rectangle())
    drawn = []
    for _ in range(400):
        document = rectangle()
        for leg in document["perimeter"]["legs"]:
            leg["length"] = f"{float(leg['length'].split()[0]) + rng.normal(0, 0.01)!r} m"
            leg["turn"] = f"{float(leg['turn'].split()[0]) + rng.normal(0, 1.0)!r} deg"
        for tie in document["points"][0]["ties"]:
            tie["distance"] = f"{float(tie['distance'].split()[0]) + rng.normal(0, 0.01)!r} m"
        points = reduced(document).points
        drawn.append([[points[name].east, points[name].north] for name in "BCDP"])
    spread = np.array(drawn)
    for n, name in enumerate("BCDP"):
        block, point = np.cov(spread[:, n].T), ours.points[name]
        assert point.standard_error == pytest.approx(math.sqrt(np.trace(block)), rel=0.12)
        assert point.ellipse is not None
        assert point.ellipse.major == pytest.approx(ellipse_of(block).major, rel=0.12)


def test_a_diagonal_makes_it_one_network_and_adjust_false_holds_the_corners() -> None:
    tapes = [{"from": "A", "to": "C", "distance": "15.1 m"}, {"from": "B", "to": "D", "distance": "14.95 m"}]
    raw, joined = reduced(rectangle()), reduced(rectangle(tapes=tapes))
    assert any("adjusted together" in note for note in joined.notes)
    assert joined.network is not None
    assert joined.network.redundancy == 5
    assert joined.points["C"].east != pytest.approx(raw.points["C"].east, abs=1e-3)
    assert joined.points["B"].north == pytest.approx(0.0, abs=1e-12)  # the datum: the first side's bearing
    walk = rectangle()["perimeter"] | {"adjust": False}
    held, bare = reduced(rectangle(perimeter=walk, tapes=tapes)), reduced(rectangle(perimeter=walk))
    for name in "ABCDP":
        assert (held.points[name].east, held.points[name].north) == (bare.points[name].east, bare.points[name].north)
    assert held.network is not None
    assert held.network.redundancy == 5


def test_one_diagonal_is_enough_without_the_last_turn() -> None:
    walk = rectangle()["perimeter"]
    legs = [*walk["legs"][:-1], {key: value for key, value in walk["legs"][-1].items() if key != "turn"}]
    open_walk = walk | {"legs": legs}
    alone = reduced(rectangle(perimeter=open_walk))
    assert alone.network is not None
    assert alone.network.redundancy == 2
    assert not any("adjusted together" in note for note in alone.notes)
    joined = reduced(rectangle(perimeter=open_walk, tapes=[{"from": "A", "to": "C", "distance": "15.1 m"}]))
    assert joined.network is not None
    assert joined.network.redundancy == 3
    assert any("adjusted together" in note for note in joined.notes)


def test_without_anything_to_spare_nothing_moves() -> None:
    base = [{"name": "A", "east": "0 m", "north": "0 m"}, {"name": "B", "east": "10 m", "north": "0 m"},
            {"name": "C", "east": "10 m", "north": "8 m"}]  # fmt: skip
    tied = {
        "name": "P",
        "ties": [{"from": "A", "distance": "6 m"}, {"from": "B", "distance": "8 m"}],
        "side": "5 m, -9 m",
    }
    hung = {"name": "Q", "along": ["P", "B"], "distance": "3 m", "offset": "1 m"}
    ours = reduced({"points": [*base, tied, hung]}, "ABC")
    assert ours.network is not None
    assert ours.network.redundancy == 0
    assert ours.network.variance_factor is None
    assert (ours.points["P"].east, ours.points["P"].north) == pytest.approx((3.6, -4.8), abs=1e-12)
    assert ours.points["P"].standard_error == pytest.approx(0.01 * math.sqrt(2.0))  # they cross squarely
    assert ours.points["A"].standard_error is None  # by coordinates
    # Q leans on P: by hand, dQ = dP (1 - 3/8) along the line and (1 - 3/8), -1/8 across it, beside its own two
    q = ours.points["Q"].standard_error
    assert q is not None
    assert q > 0.0141 * 1.1


def test_a_third_tie_moves_what_it_leans_on() -> None:
    far = {"A": 5.0, "B": 9.5, "D": 13.0}
    third = {"name": "P", "ties": [{"from": name, "distance": f"{away} m"} for name, away in far.items()]}
    two, three = reduced(rectangle()), reduced(rectangle(points=[third]))
    assert three.network is not None
    assert three.network.redundancy == 4
    assert three.points["D"].north != pytest.approx(two.points["D"].north, abs=1e-4)


def test_ties_that_just_miss_have_no_error_across() -> None:
    base = [{"name": "A", "east": "0 m", "north": "0 m"}, {"name": "B", "east": "10 m", "north": "0 m"}]
    tied = {"name": "P", "ties": [{"from": "A", "distance": "4 m"}, {"from": "B", "distance": "5.99 m"}]}
    ours = reduced({"points": [*base, tied, {"name": "C", "east": "5 m", "north": "9 m"}]}, "ABC")
    assert ours.points["P"].standard_error is None
    assert ours.points["P"].east == pytest.approx(4.005)


def test_a_walk_may_start_at_a_tied_point() -> None:
    base = [{"name": "M", "east": "0 m", "north": "-8 m"}, {"name": "N", "east": "6 m", "north": "-8 m"}]
    start = {
        "name": "A",
        "ties": [{"from": "M", "distance": "8 m"}, {"from": "N", "distance": "10 m"}],
        "side": "0 m, 3 m",
    }
    walk = rectangle()["perimeter"] | {"at": "A"}
    ours = reduced({"perimeter": walk, "points": [*base, start],
                    "tapes": [{"from": "A", "to": "C", "distance": "15.0 m"}]})  # fmt: skip
    assert (ours.points["A"].east, ours.points["A"].north) == pytest.approx((0.0, 0.0), abs=1e-9)
    error, further = ours.points["A"].standard_error, ours.points["C"].standard_error
    assert error is not None
    assert further is not None
    assert 0.01 < error < further


def test_tapes_of_unknown_points_are_told() -> None:
    with pytest.raises(JobError, match=r"tapes\[0\]\.to"):
        reduced(rectangle(tapes=[{"from": "A", "to": "Z", "distance": "3 m"}]))


def test_ellipse_of_a_known_matrix() -> None:
    """Axes 3 and 1, the long one bearing 30°."""
    b = math.radians(30.0)
    turn = np.array([[math.sin(b), math.cos(b)], [math.cos(b), -math.sin(b)]])
    ellipse = ellipse_of(turn @ np.diag([9.0, 1.0]) @ turn.T)
    assert (ellipse.major, ellipse.minor, ellipse.bearing) == pytest.approx((3.0, 1.0, b))
