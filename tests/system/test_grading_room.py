"""Room to buried lines, kept for its worth or given up; overflows that leave above the line that runs first."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from system_jobs import designed, document

from drainwright.system.catalogue import PIPES
from drainwright.system.grading.clash import clashes
from drainwright.system.grading.costs import CLEARANCE_WORTH, crown
from drainwright.system.grading.model import Obstacle
from drainwright.system.grading.solve import GravityLine, Meeting, grade_lines
from drainwright.system.grading.words import passed_under

PIPE = PIPES["d3034 4 in"]
FOOT, INCH = 0.3048, 0.0254
SUMP = Meeting(name="SUMP", basin=True, rim=10.0)


def crossed(length: float, gap: float, water: bool = False) -> GravityLine:
    """A line under level ground whose crown lies ``gap`` below a cable at its upper end, at the least cover."""
    cable = Obstacle(
        name="cable", diameter=INCH, places=((0.0, 10.0 - 0.6 + gap + INCH),), least=INCH,
        wanted=18.0 * INCH if water else 12.0 * INCH,
    )  # fmt: skip
    return GravityLine(
        name="A", upper="N", lower="SUMP", distances=(0.0, length), grounds=(10.0, 10.0), covered=(True, True),
        flow=0.001, pipes=(PIPE,), minimum_grade=0.01, least_grade=0.005, maximum_fill=0.8, cover=0.6, width=0.6,
        to_basin=True, obstacles=(cable,),
    )  # fmt: skip


def test_three_inches_deeper_are_dug_to_keep_a_foot_from_a_buried_line() -> None:
    line = crossed(8.0, 9.0 * INCH)
    grading = grade_lines([line], [SUMP])
    assert grading.near == ()
    assert grading.relaxed == ()
    found = grading.lines["A"]
    assert 10.0 - found.invert_upper - crown(PIPE) == pytest.approx(0.6 + 3.0 * INCH)
    plain = grade_lines([crossed(8.0, 20.0 * INCH)], [SUMP])
    for one in (grading, plain):  # proven, the basin's share of the cost in it
        assert one.cost == pytest.approx(one.bound, rel=1e-6)
    assert grading.cost - plain.cost < 3.0 * INCH * CLEARANCE_WORTH  # what keeping it costs is less than its worth


def test_room_gives_way_where_keeping_it_costs_more_than_its_worth_and_that_is_told() -> None:
    line = crossed(40.0, 9.0 * INCH)
    grading = grade_lines([line], [SUMP])
    assert grading.relaxed == ()
    (near,) = grading.near
    assert (near.line, near.other) == ("A", "cable")
    assert near.gap == pytest.approx(9.0 * INCH)
    assert near.wanted == pytest.approx(12.0 * INCH)
    assert near.dear
    assert 10.0 - grading.lines["A"].invert_upper - crown(PIPE) == pytest.approx(0.6)
    assert grading.cost == pytest.approx(grade_lines([crossed(40.0, 20.0 * INCH)], [SUMP]).cost
                                         + 3.0 * INCH * CLEARANCE_WORTH)  # fmt: skip


def test_a_water_line_s_eighteen_inches_are_worth_as_much_for_each_inch() -> None:
    kept = grade_lines([crossed(8.0, 12.0 * INCH, water=True)], [SUMP])
    assert kept.near == ()
    given = grade_lines([crossed(40.0, 12.0 * INCH, water=True)], [SUMP])
    assert given.near[0].gap == pytest.approx(12.0 * INCH)


def test_room_that_no_grade_keeps_is_told_apart_from_room_that_is_held_too_dear() -> None:
    """The line must end at a given level, 3 in too high to pass a foot under the cable."""
    line = crossed(40.0, 9.0 * INCH)
    low = 10.0 - 0.6 - crown(PIPE) - 40.0 * line.minimum_grade
    pinned = replace(line, invert_lower=low)
    (near,) = grade_lines([pinned], []).near
    assert (near.gap, near.dear) == (pytest.approx(9.0 * INCH), False)


@pytest.mark.parametrize(
    ("gap", "held", "told"), [(2.0, True, "10 in"), (2.0, False, ""), (9.0, True, ""), (20.0, True, "")]
)
def test_what_passing_below_a_live_line_costs_in_depth_is_told(gap: float, held: bool, told: str) -> None:
    """At the least cover the crown is 2 in below the cable, a foot is asked: 10 in deeper; 3 in are not told."""
    line = crossed(8.0, gap * INCH)
    line = replace(line, obstacles=(replace(line.obstacles[0], held=held),))
    found = grade_lines([line], [SUMP]).lines["A"]
    free = grade_lines([replace(line, obstacles=())], [SUMP]).lines["A"]
    said = passed_under(line, found, "US")
    assert len(said) == (1 if told else 0)
    if told:
        assert said[0].startswith(f"A keeps 12 in below the cable, which is live: at most {told} of its depth")
        assert free.invert_upper - found.invert_upper == pytest.approx(10.0 * INCH)  # as a second grading has it


def test_a_line_that_lies_deep_for_its_cover_or_passes_over_says_nothing() -> None:
    line = crossed(8.0, 2.0 * INCH)
    cable = replace(line.obstacles[0], held=True)
    over = replace(line, obstacles=(replace(cable, places=((0.0, 8.0),)),))
    assert passed_under(over, grade_lines([over], [SUMP]).lines["A"], "US") == ()
    deep = replace(line, obstacles=(cable,), cover=0.6 + 10.0 * INCH)
    assert passed_under(deep, grade_lines([deep], [SUMP]).lines["A"], "US") == ()


def test_a_design_tells_it_in_its_notes() -> None:
    gas = {**CABLE, "name": "gas", "kind": "gas", "depth": "14 in, measured", "shutoff": "meter"}
    run = {"name": "YD", "duty": "yard drain", "from": "CB1", "to": "OUT", "via": ["-12 ft, -30 ft", "20 ft, -30 ft"]}
    _, _, system = designed(document(runs=[run], invert="92 ft", basin="none") | {"utilities": [gas]})
    (note,) = [note for note in system.notes if "which is live" in note]
    assert note.startswith("L1 keeps 12 in below the gas")
    less = document(runs=[run], invert="92 ft", basin="none") | {"utilities": [gas]}
    _, _, nearer = designed(less | {"criteria": less.get("criteria", {}) | {"utility_clearance": "6 in"}})
    rise = nearer.run("L1").invert_upper - system.run("L1").invert_upper
    assert rise == pytest.approx(6.0 * INCH, abs=0.02)


CABLE = {
    "name": "cable", "kind": "communication", "route": ["10 ft, 0 ft", "10 ft, -90 ft"], "depth": "10 in, measured",
    "depth_uncertainty": "0 in", "diameter": "1 in", "located_by": "exposed by hand",
}  # fmt: skip


def test_a_design_says_in_its_notes_where_room_was_given_up() -> None:
    run = {"name": "YD", "duty": "yard drain", "from": "CB1", "to": "OUT", "via": ["-12 ft, -30 ft", "20 ft, -30 ft"]}
    run |= {"invert_from": "97.4 ft"}
    _, _, system = designed(document(runs=[run], invert="95.5 ft", basin="none") | {"utilities": [CABLE]})
    dear, none = [note for note in system.notes if note.startswith("Less room")]
    assert dear.endswith("More would cost more depth and pipe than it is worth.")
    assert none.endswith("No grade that keeps the other conditions leaves more, at any price.")
    near = [item for grading in system.gradings for item in grading.near]
    assert "YD" in {item.line for item in near}
    for item in near:
        assert f"{item.line} {item.gap / INCH:.1f} in of 12.0 in to the cable" in (dear if item.dear else none)
    _, _, deep = designed(
        document(runs=[run], invert="95.5 ft", basin="none") | {"utilities": [CABLE | {"depth": "6 ft, measured"}]}
    )
    assert not any(note.startswith("Less room") for note in deep.notes)
    _, _, live = designed(
        document(runs=[run], invert="95.5 ft", basin="none") | {"utilities": [CABLE | {"kind": "electric"}]}
    )
    (note,) = [note for note in live.notes if note.startswith("Less room")]
    assert note.endswith("No grade that keeps the other conditions leaves more, at any price.")


def test_a_dangerous_line_s_room_is_dug_for_at_any_price_and_is_told_where_no_grade_keeps_it() -> None:
    line = crossed(40.0, 9.0 * INCH)
    (cable,) = line.obstacles
    dangerous = replace(line, obstacles=(replace(cable, held=True),))
    grading = grade_lines([dangerous], [SUMP])
    assert grading.near == ()
    assert 10.0 - grading.lines["A"].invert_upper - crown(PIPE) == pytest.approx(0.6 + 3.0 * INCH)
    stuck = grade_lines([replace(dangerous, invert_upper=10.0 - 0.6 - crown(PIPE))], [SUMP])
    (near,) = stuck.near
    assert near.held
    assert near.gap == pytest.approx(9.0 * INCH)


def test_a_dangerous_line_that_nobody_exposed_is_passed_at_its_worst_depth_where_not_with_all_the_room() -> None:
    """No grade keeps the 12 in, one keeps the 6 in of doubt: that one is taken, however much deeper it is dug."""
    cable = Obstacle(name="cable", diameter=INCH, places=((0.0, 9.5),), least=INCH, known=6.0 * INCH,
                     wanted=12.0 * INCH, held=True)  # fmt: skip
    line = replace(crossed(40.0, 0.0), cover=0.3, obstacles=(cable,))
    basin = replace(SUMP, lowest=9.5 - 13.0 * INCH - 0.01 * 40.0)  # its depth leaves just no room for 12 in
    free = replace(line, obstacles=(replace(cable, held=False),))
    (soft,) = grade_lines([free], [basin]).near
    assert soft.gap < 6.0 * INCH - 0.01
    grading = grade_lines([line], [basin])
    assert grading.relaxed == ()
    (near,) = grading.near
    assert near.held
    assert 6.0 * INCH - 1e-6 <= near.gap < 12.0 * INCH


OVER = {"name": "OV", "duty": "overflow", "from": "CB1", "to": "LOW"}
LOW = {
    "name": "LOW",
    "at": "-12 ft, -80 ft",
    "kind": "daylight",
    "invert": "95.9 ft",
    "permission": "allowed, measured",
}


def lot(main: dict[str, Any], over: dict[str, Any], **more: Any) -> Any:
    run = {"name": "YD", "duty": "yard drain", "from": "CB1", "to": "OUT"} | main
    data = document(runs=[run, OVER | over], invert="95.5 ft", basin="none")
    data["works"]["discharge"].append(dict(LOW))
    return designed(data | more)[2]


def test_an_overflow_leaves_its_place_above_the_line_that_runs_first() -> None:
    for main in ({}, {"invert_from": "97.2 ft"}):
        system = lot(main, {})
        first, over = system.run("YD"), system.run("OV")
        assert over.invert_upper >= first.invert_upper + first.pipe.inside - 3e-5
        assert system.conflicts == ()


def test_an_overflow_that_cannot_leave_above_is_told_with_what_helps() -> None:
    system = lot({"invert_from": "97.6 ft"}, {"invert_from": "97.7 ft"})
    main = system.run("YD")
    missing = main.invert_upper + main.pipe.inside - 97.7 * FOOT
    assert missing > 0.01
    assert any(said.startswith("OV: leaves its place") for said in system.conflicts)
    clash = next(one for one in system.clashes if any(item.kind == "overflow" for item in one.members))
    amounts = {item.condition.kind: item.amount for item in clash.reliefs}
    assert amounts["overflow"] == pytest.approx(missing, abs=1e-5)
    assert amounts["fixed upper"] == pytest.approx(missing, abs=1e-5)
    assert "or the line that runs first start" in " ".join(clash.remedies)


def test_a_line_without_cover_still_lies_on_the_ground_between_its_ends() -> None:
    line = GravityLine(
        name="A", upper="N", lower="OUT", distances=(0.0, 10.0, 20.0), grounds=(10.0, 9.0, 9.4),
        covered=(True, False, False), flow=0.001, pipes=(PIPE,), minimum_grade=0.01, least_grade=0.005,
        maximum_fill=0.8, cover=0.2, width=0.6, obstacles=(),
    )  # fmt: skip
    grading = grade_lines([line])
    assert grading.relaxed == ()
    found = grading.lines["A"]
    middle = (found.invert_upper + found.invert_lower) / 2
    assert middle <= 9.0 + 2e-5
    assert middle > 8.5


def test_an_overflow_does_not_dive_under_a_buried_line_below_the_main_line() -> None:
    """A cable in the way: under it is cheaper than less room above it, but then the overflow would run first."""
    cable = Obstacle(name="cable", diameter=INCH, places=((0.5, 9.6),), least=INCH, wanted=12.0 * INCH)
    line = GravityLine(
        name="OV", upper="N", lower="LOW", distances=(0.0, 10.0), grounds=(10.0, 9.5), covered=(True, False),
        flow=0.001, pipes=(PIPE,), minimum_grade=0.01, least_grade=0.005, maximum_fill=0.8, cover=0.2, width=0.6,
        outlet=9.0, obstacles=(cable,),
    )  # fmt: skip
    free = grade_lines([line]).lines["OV"].invert_upper
    assert free < 9.3
    held = replace(line, above=9.6)
    grading = grade_lines([held])
    assert grading.relaxed == ()
    assert grading.lines["OV"].invert_upper >= 9.6 - 2e-5
    assert grading.near[0].gap < 12.0 * INCH
    high = replace(line, above=9.9, cover=0.2)
    stuck = grade_lines([high])
    assert {item.kind for item in stuck.relaxed} == {"overflow"}
    (clash,) = clashes([high], (), stuck)
    assert {item.kind for item in clash.members} == {"overflow", "cover"}
