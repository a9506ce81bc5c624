"""Two closed traverses, in feet.

Four courses: J. Mahun, open-access Traverse Computations, ch. I. SEEN
https://jerrymahun.com/index.php/home/open-access/17-trav-comps/49-travcomps-chap-i?start=3
Five courses: a study page's summary table. SEEN
https://askfilo.com/user-question-answers-smart-solutions/anna-nov17-25-traverse-computation-summary-table-compass-3432343632363437
"""

from __future__ import annotations

import math

import pytest

from drainwright.field.points import fix_points
from drainwright.field.traverse import close_walk, departure, latitude, reduce_walk, sign_suspects
from drainwright.job.survey import Perimeter, Survey

FOOT = 0.3048


def angle(degrees: int, minutes: int, seconds: int = 0) -> float:
    return math.radians(degrees + minutes / 60 + seconds / 3600)


AZIMUTHS = (math.pi + angle(68, 5, 35), 2 * math.pi - angle(19, 46), angle(45, 55, 20), math.pi - angle(54, 59, 15))
LENGTHS = (472.68, 216.13, 276.52, 382.24)


def test_latitudes_and_departures_of_four_courses() -> None:
    """Published latitudes and departures, to .001 ft."""
    courses = list(zip(LENGTHS, AZIMUTHS, strict=True))
    assert [latitude(*one) for one in courses] == pytest.approx([-176.357, 203.395, 192.357, -219.312], abs=1e-3)
    assert [departure(*one) for one in courses] == pytest.approx([-438.548, -73.093, 198.651, 313.065], abs=1e-3)


@pytest.mark.parametrize("adjust", [True, False])
def test_closure_of_four_courses(adjust: bool) -> None:
    """Published perimeter 1,347.57; closure +.083 north, +.075 east."""
    ends, east, north = close_walk((0.0, 0.0), AZIMUTHS, LENGTHS, adjust)
    assert sum(LENGTHS) == pytest.approx(1347.57)
    assert (north, east) == pytest.approx((0.083, 0.075), abs=1e-3)
    assert math.hypot(north, east) == pytest.approx(0.111, abs=2e-3)
    assert ends[-1] == pytest.approx((0.0, 0.0) if adjust else (east, north), abs=1e-9)


def test_four_courses_as_a_perimeter_walk() -> None:
    """The same courses as legs and turns: the compass rule moves each corner by its share."""
    turns = [AZIMUTHS[(n + 1) % 4] - AZIMUTHS[n] for n in range(4)]
    turns = [(turn + math.pi) % (2 * math.pi) - math.pi for turn in turns]
    legs = [
        {"to": name, "length": f"{length} ft", "turn": f"{turn!r} rad"}
        for name, length, turn in zip("BCDA", LENGTHS, turns, strict=True)
    ]
    walk = Perimeter.model_validate({"start": "A", "bearing": f"{AZIMUTHS[0]!r} rad", "legs": legs})
    corners, traverse, _ = reduce_walk(walk, (0.0, 0.0))
    assert traverse.misclosure / FOOT == pytest.approx(0.111, abs=2e-3)
    assert traverse.angular_misclosure == pytest.approx(0.0, abs=1e-9)
    shift = 0.083 * LENGTHS[0] / 1347.57
    assert corners["B"][1] / FOOT == pytest.approx(-176.357 - shift, abs=2e-3)


def test_four_courses_keep_the_compass_rule_in_the_plan() -> None:
    """Nothing but its own closure checks the walk: the plan's corners are those of the compass rule, with errors."""
    turns = [(AZIMUTHS[(n + 1) % 4] - AZIMUTHS[n] + math.pi) % (2 * math.pi) - math.pi for n in range(4)]
    legs = [
        {"to": name, "length": f"{length} ft", "turn": f"{turn!r} rad"}
        for name, length, turn in zip("BCDA", LENGTHS, turns, strict=True)
    ]
    walk = {"start": "A", "bearing": f"{AZIMUTHS[0]!r} rad", "legs": legs}
    corners, _, _ = reduce_walk(Perimeter.model_validate(walk), (0.0, 0.0))
    plan = fix_points(Survey.model_validate({"perimeter": walk}), (), {})
    for name, at in corners.items():
        assert (plan.points[name].east, plan.points[name].north) == at
    assert plan.slips == ()
    assert plan.network is not None
    assert plan.network.redundancy == 3
    assert all((plan.points[name].standard_error or 0.0) > 0.01 for name in "BCD")


FIVE = ((306, 31, 371.006), (227, 10, 110.222), (196, 59, 139.872), (102, 58, 103.119), (88, 1, 319.860))


def test_closure_of_five_courses() -> None:
    """Published sums: latitudes -.03, departures .32, perimeter 1,044.079.

    Recomputed from the printed azimuths they are -.01 and .30: these are printed to the minute, and half a
    minute moves the end of the longest course by .054 ft.
    """
    lengths = [length for *_, length in FIVE]
    _, east, north = close_walk((0.0, 0.0), [angle(d, m) for d, m, _ in FIVE], lengths, False)
    assert sum(lengths) == pytest.approx(1044.079)
    assert (north, east) == pytest.approx((-0.03, 0.32), abs=0.03)


def test_the_wrong_sign_in_the_five_course_table_is_found() -> None:
    """The table prints the third departure as +40.86; its own sum of .32 needs -40.86, as azimuth 197 does."""
    departures = [departure(length, angle(d, m)) for d, m, length in FIVE]
    assert departures[2] == pytest.approx(-40.86, abs=0.01)
    printed = [*departures[:2], 40.86, *departures[3:]]
    assert sum(printed) == pytest.approx(0.32 + 2 * 40.86, abs=0.03)
    assert sign_suspects(printed, 0.0, 1044.079 / 1000.0) == (2,)
    assert sign_suspects(departures, 0.0, 1044.079 / 1000.0) == ()
