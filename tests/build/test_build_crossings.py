"""Buried lines against the digging, in three dimensions."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis.strategies import floats, lists, tuples
from shapely import LineString, box

from drainwright.build.bodies import inlet_bodies
from drainwright.build.crossings import crossings, hand_dig_length, hand_dug, unlocated, vertical_gap
from drainwright.build.model import Crossing
from drainwright.build.trench import cuts
from drainwright.build.units import FOOT, INCH
from drainwright.field.model import Plan, SiteUtility
from drainwright.job.model import Job
from drainwright.job.values import Basis
from drainwright.system.model import SizedRun, System

from .sample import GROUND, job_data, make_node, make_run, make_site, make_station, make_utility, make_wall

ZONE = 24 * INCH


def network(*runs: SizedRun) -> System:
    ends = {name for run in runs for name in (run.upper, run.lower)}
    nodes = {name: make_node(name, "junction", (0.0, 0.0), GROUND - 1.0) for name in ends}
    return System(nodes=nodes, runs=runs, gravity=(), joined=None, discharge="OUT")


def straight(first: Plan = (0.0, 0.0), last: Plan = (20.0, 0.0), upper: float = -1.0, lower: float = -1.0) -> SizedRun:
    return make_run("R", (first, last), GROUND + upper, GROUND + lower, ends=("a", "b"), stone=0.0)


def against(run: SizedRun, utility: SiteUtility) -> tuple[Crossing, ...]:
    site = make_site(walls=(), utilities=(utility,))
    return crossings(cuts(site, network(run)), site)


def test_a_square_crossing_above_the_pipe() -> None:
    run = straight(upper=-1.0, lower=-1.4)
    (found,) = against(run, make_utility("water", "water", ((5.0, -9.0), (5.0, 9.0)), 0.3))
    invert = GROUND - 1.0 - 0.4 * 5.0 / 20.0
    crown = invert - run.pipe.wall + run.pipe.outside
    assert found.crossing
    assert found.station == pytest.approx(5.0)
    assert found.at == pytest.approx((5.0, 0.0))
    assert found.pipe_crown == pytest.approx(crown)
    assert found.pipe_invert == pytest.approx(invert - run.pipe.wall)
    assert found.clearance == pytest.approx(GROUND - 0.3 - 1 * INCH - crown)
    assert found.hand_dig == pytest.approx(2 * (ZONE + 0.5 * INCH))


def test_a_line_of_unknown_depth_may_lie_anywhere_down_to_below_the_dig() -> None:
    """Invented: no figure is told, it counts as met wherever it crosses, and all its crossing is dug by hand."""
    run = straight()
    known = make_utility("gas", "gas", ((5.0, -9.0), (5.0, 9.0)), 0.3)
    line = make_utility("gas", "gas", ((5.0, -9.0), (5.0, 9.0)), 0.0, depth="unknown")  # its top: the ground's
    (found,) = against(run, line)
    (other,) = against(run, known)
    assert (found.utility_top, found.clearance, found.basis) == (None, None, Basis.ASSUMED)
    assert found.could_meet
    assert found.clearance_least == pytest.approx(-(run.pipe.outside + 1 * INCH) / 2)  # middle in middle
    assert found.clearance_most == pytest.approx(GROUND - 1 * INCH - found.pipe_crown)  # at the surface
    assert found.hand_dig == pytest.approx(other.hand_dig)
    beside = make_utility("gas", "gas", ((0.0, 0.5), (20.0, 0.5)), 0.0, depth="unknown")
    (found,) = against(run, beside)
    assert not found.crossing
    assert found.clearance is None
    assert found.clearance_least == pytest.approx(0.5 - 0.5 * INCH - run.pipe.outside / 2)  # level with the pipe


def test_a_line_below_the_pipe() -> None:
    run = straight()
    (found,) = against(run, make_utility("sewer", "sewer", ((5.0, -9.0), (5.0, 9.0)), 1.5, "4 in"))
    assert found.clearance == pytest.approx(-1.0 - run.pipe.wall + 1.5)


def test_lines_that_meet_have_a_negative_clearance() -> None:
    run = straight()
    (found,) = against(run, make_utility("gas", "gas", ((5.0, -9.0), (5.0, 9.0)), 0.98))
    assert found.clearance < 0


@given(floats(math.radians(20.0), math.radians(90.0)))
def test_the_hand_dig_grows_with_a_flat_angle(angle: float) -> None:
    reach = 40.0
    away = (math.cos(angle) * reach, math.sin(angle) * reach)
    utility = make_utility("water", "water", ((10.0 - away[0], -away[1]), (10.0 + away[0], away[1])), 0.3)
    (found,) = against(straight(), utility)
    edges = 2 * FOOT / math.tan(angle)  # one edge of a trench 2 ft wide enters the zone before the other
    assert found.hand_dig == pytest.approx(2 * (ZONE + 0.5 * INCH) / math.sin(angle) + edges, rel=1e-6)
    assert found.hand_dig == pytest.approx(hand_dig_length(ZONE, 1 * INCH, angle, 2 * FOOT), rel=1e-6)
    assert found.bared == pytest.approx(2 * FOOT / math.sin(angle), rel=1e-6)


def test_all_of_the_trench_within_the_zone_at_20_degrees_is_dug_by_hand() -> None:
    """No corner of the zone lies outside the stretch, and the stretch is no longer than that asks."""
    angle, run = math.radians(20.0), straight()
    away = (math.cos(angle) * 40.0, math.sin(angle) * 40.0)
    utility = make_utility("water", "water", ((10.0 - away[0], -away[1]), (10.0 + away[0], away[1])), 0.3)
    (found,) = against(run, utility)
    first, last = found.stretch or (0.0, 0.0)
    zone = LineString(utility.route).buffer(ZONE + 0.5 * INCH, quad_segs=64)
    dug = box(0.0, -1 * FOOT, 20.0, 1 * FOOT).intersection(zone).bounds
    assert (first, last) == pytest.approx((dug[0], dug[2]), abs=1e-3)
    assert last - first > 2 * (ZONE + 0.5 * INCH) / math.sin(angle) + 1.5


def test_a_slanting_line_that_dives_is_judged_over_all_of_the_trench() -> None:
    """At 20 degrees, a line 6 in over the pipe where their axes cross comes down to it before it leaves the trench."""
    angle, run = math.radians(20.0), straight()
    away = (math.cos(angle) * 2.0, math.sin(angle) * 2.0)
    base = make_utility("cable", "electric", ((10.0 - away[0], -away[1]), (10.0 + away[0], away[1])), 0.3)
    crown = GROUND - 1.0 - run.pipe.wall + run.pipe.outside
    middle = crown + 6 * INCH + 1 * INCH
    flat = SiteUtility(utility=base.utility, route=base.route, top=(middle, middle))
    (found,) = against(run, flat)
    assert found.clearance == pytest.approx(6 * INCH)
    dives = SiteUtility(utility=base.utility, route=base.route, top=(middle + 2.4, middle - 2.4))
    (found,) = against(run, dives)
    assert found.utility_top == pytest.approx(middle)
    assert found.clearance < 0.5 * INCH
    assert found.could_meet
    across = SiteUtility(
        utility=make_utility("cable", "electric", ((10.0, -2.0), (10.0, 2.0)), 0.3).utility,
        route=((10.0, -2.0), (10.0, 2.0)), top=(middle + 0.1, middle - 0.1),
    )  # fmt: skip
    assert against(run, across)[0].clearance == pytest.approx(6 * INCH, abs=0.2 * INCH)


def test_a_line_that_dives_under_a_wall_s_dig_is_judged_where_it_passes_its_bottom() -> None:
    wall = make_wall("front", (0.0, 0.0), (20.0, 0.0), footing=GROUND - 1.0)
    base = make_utility("water", "water", ((5.0, -9.0), (5.0, 0.0)), 0.3)
    bottom = wall.footing_top
    dives = SiteUtility(utility=base.utility, route=((5.0, -3.0), (5.0, 0.0)), top=(bottom + 2.4, bottom - 0.3))
    site = make_site(walls=(wall,), utilities=(dives,))
    (found,) = crossings(cuts(site, network()), site)
    assert found.clearance < 0


def test_the_hand_dig_stops_where_the_trench_does() -> None:
    utility = make_utility("water", "water", ((0.2, -9.0), (0.2, 9.0)), 0.3)
    (found,) = against(straight(), utility)
    assert found.hand_dig == pytest.approx(0.2 + ZONE + 0.5 * INCH, abs=1e-4)


def test_a_line_that_crosses_twice_is_met_twice() -> None:
    utility = make_utility("water", "water", ((5.0, -3.0), (5.0, 3.0), (15.0, 3.0), (15.0, -3.0)), 7 * INCH)
    found = against(straight(), utility)
    assert [round(item.station, 6) for item in found] == [5.0, 15.0]
    assert all(item.crossing for item in found)


def test_the_top_is_read_along_the_line() -> None:
    base = make_utility("water", "water", ((5.0, -10.0), (5.0, 10.0)), 0.3)
    sloping = SiteUtility(utility=base.utility, route=base.route, top=(GROUND - 0.2, GROUND - 0.6))
    (found,) = against(straight(), sloping)
    assert found.utility_top == pytest.approx(GROUND - 0.4)


def test_a_line_alongside_in_the_zone_is_told_with_its_gap() -> None:
    run = straight()
    utility = make_utility("gas", "gas", ((4.0, 0.5), (12.0, 0.5)), 0.6)
    (found,) = against(run, utility)
    assert not found.crossing
    crown = GROUND - 1.0 - run.pipe.wall + run.pipe.outside
    gap = math.hypot(0.5 - 0.5 * INCH - run.pipe.outside / 2, GROUND - 0.6 - 1 * INCH - crown)
    assert found.clearance == pytest.approx(gap)
    assert 8.0 < found.hand_dig < 8.0 + 2 * (ZONE + 0.5)


def test_a_line_alongside_beyond_the_zone_is_left_out() -> None:
    far = 0.6096 / 2 + ZONE + 0.5 * INCH + 0.01
    assert against(straight(), make_utility("gas", "gas", ((4.0, far), (12.0, far)), 0.6)) == ()
    assert len(against(straight(), make_utility("gas", "gas", ((4.0, far - 0.02), (12.0, far - 0.02)), 0.6))) == 1


@pytest.mark.parametrize("bend", [0.0, 0.05])
def test_a_line_in_the_run_s_own_place_is_one_stretch_as_long_as_they_share(bend: float) -> None:
    utility = make_utility("wires", "irrigation control", ((5.0, 0.0), (10.0, bend), (16.0, 0.0)), 0.2)
    (found,) = against(straight(), utility)
    assert not found.crossing
    assert found.hand_dig == pytest.approx(11.0 + 2 * math.sqrt((ZONE + 0.5 * INCH + 0.3048) ** 2), abs=0.01)
    assert found.clearance == pytest.approx(GROUND - 0.2 - 1 * INCH - found.pipe_crown)


def test_a_line_in_the_run_s_own_place_and_depth_meets_it() -> None:
    (found,) = against(straight(), make_utility("wires", "electric", ((-5.0, 0.0), (30.0, 0.0)), 0.98))
    assert found.clearance < 0
    assert found.hand_dig == pytest.approx(20.0)


def test_a_line_that_crosses_and_goes_on_alongside_is_told_twice() -> None:
    utility = make_utility("gas", "gas", ((5.0, -9.0), (5.0, 0.5), (15.0, 0.5)), 0.3)
    crossed, beside = against(straight(), utility)
    assert (crossed.crossing, beside.crossing) == (True, False)
    assert crossed.stretch is not None
    assert beside.stretch is not None
    assert crossed.stretch[1] == pytest.approx(beside.stretch[0])
    assert beside.hand_dig > 9.0
    assert hand_dug((crossed, beside)) == pytest.approx(crossed.hand_dig + beside.hand_dig)


@given(lists(tuples(floats(-3.0, 23.0), floats(-1.5, 1.5)), min_size=2, max_size=8, unique=True))
def test_no_line_asks_for_more_hand_digging_than_the_run_is_long(route: list[Plan]) -> None:
    found = against(straight(), make_utility("wires", "irrigation control", tuple(route), 0.2))
    assert hand_dug(found) <= 20.0 + 1e-6
    assert all(item.hand_dig <= 20.0 + 1e-6 for item in found)
    assert hand_dug(found * 2) == pytest.approx(hand_dug(found))


def test_a_line_through_an_inlet_s_body() -> None:
    inlets = [{"name": "CB", "at": "5 m, 0 m", "size": "12 in", "sump_depth": "6 in"}]
    works = {**job_data()["works"], "inlets": inlets}
    system = System(
        nodes={"CB": make_node("CB", "inlet", (5.0, 0.0), GROUND - 0.5)}, runs=(), gravity=(),
        joined=None, discharge="OUT",
    )  # fmt: skip

    def met(east: float, down: float) -> tuple[Crossing, ...]:
        utility = make_utility("gas", "gas", ((east, -9.0), (east, 9.0)), down)
        site = make_site(walls=(), utilities=(utility,), works=works)
        return crossings((), site, inlet_bodies(site, system))

    (through,) = met(5.1, 0.3)
    assert (through.run, through.crossing, through.stretch) == ("CB", True, None)
    assert through.clearance < 0
    (under,) = met(5.1, 0.9)
    assert under.clearance == pytest.approx(0.9 - 0.5 - 6 * INCH)
    (near,) = met(5.0 + 6 * INCH + ZONE, 0.3)
    assert not near.crossing
    assert near.clearance == pytest.approx(ZONE - 0.5 * INCH)
    assert 0 < near.hand_dig <= 12 * INCH + 1e-9
    assert met(5.0 + 6 * INCH + ZONE + 1 * INCH, 0.3) == ()


def test_a_line_through_the_basin_s_hole() -> None:
    system = network()
    station = make_station((5.0, 0.0), lowest=GROUND - 0.8)
    site = make_site(walls=(), utilities=(make_utility("wires", "communication", ((5.2, -9.0), (5.2, 9.0)), 0.3),))
    with_basin = System(nodes={}, runs=(), gravity=(), stations=(station,), joined=None, discharge=system.discharge)
    (found,) = crossings(cuts(site, with_basin), site)
    assert (found.run, found.crossing) == ("SUMP", True)
    assert found.clearance < 0
    away = make_site(walls=(), utilities=(make_utility("wires", "communication", ((9.0, -9.0), (9.0, 9.0)), 0.3),))
    assert crossings(cuts(away, with_basin), away) == ()


def test_a_line_into_an_opened_wall_is_told_once() -> None:
    wall = make_wall("front", (0.0, 0.0), (20.0, 0.0), footing=GROUND - 1.0)
    service = make_utility("water", "water", ((5.0, -9.0), (5.0, 0.0)), 0.3)
    site = make_site(walls=(wall,), utilities=(service,))
    bare = crossings(cuts(site, network()), site)
    assert [(item.run, item.crossing) for item in bare] == [("front", True)]
    drain = make_run("FD", ((0.0, -0.4), (20.0, -0.4)), GROUND - 0.9, GROUND - 0.9, ends=("a", "b"), stone=0.0)
    drained = crossings(cuts(site, network(drain)), site)
    assert [(item.run, item.crossing) for item in drained] == [("FD", True)]


def test_the_depth_s_mark_travels() -> None:
    guess = make_utility(
        "wires", "electric", ((5.0, -9.0), (5.0, 9.0)), 0.5, depth={"value": "0.5 m", "basis": "assumed"}
    )
    (found,) = against(straight(), guess)
    assert found.basis.value == "assumed"


@given(floats(-3, 3), floats(0.01, 0.3), floats(-3, 3), floats(0.01, 0.3))
def test_the_gap_is_the_same_from_either_side(top: float, diameter: float, crown: float, outside: float) -> None:
    first = vertical_gap(top, diameter, crown, crown - outside)
    second = vertical_gap(crown, outside, top, top - diameter)
    assert first == pytest.approx(second, abs=1e-12)


def test_what_nobody_asked_about() -> None:
    nothing = Job.model_validate(job_data(utilities_absent=[]))
    assert unlocated(nothing) == (
        "water", "electric", "gas", "communication", "sewer", "irrigation", "irrigation control",
        "low voltage lighting",
    )  # fmt: skip
    assert unlocated(Job.model_validate(job_data())) == ()
    assert "septic" in unlocated(Job.model_validate(job_data(utilities_absent=["sewer"])))
    paved = [{"name": "drive", "area": "20 m2", "surface": "concrete", "to": "away"}]
    assert "irrigation" not in unlocated(Job.model_validate(job_data(utilities_absent=[], yards=paved)))
