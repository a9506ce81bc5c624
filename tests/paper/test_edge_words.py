"""Sides that do not stand upright, edges of deep pits, and lines that may lie below a footing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from drainwright.build.exposure import exposures
from drainwright.build.protection import LADDER_FROM, laddered
from drainwright.build.units import FOOT
from drainwright.design import Design
from drainwright.job.values import Basis
from drainwright.paper.documents.crew_checks import checkpoints
from drainwright.paper.documents.edge_words import deep_pits, loose_sides
from drainwright.paper.documents.say import Say
from drainwright.water.moisture_words import HOW

from ..conftest import designed
from .papers import text_of


def dug(design: Design, name: str, depth: float) -> Design:
    trenches = tuple(
        replace(one, depth_greatest=depth) if one.name == name else one for one in design.build.dig.trenches
    )
    return replace(design, build=replace(design.build, dig=replace(design.build.dig, trenches=trenches)))


def test_a_trench_in_sand_is_not_planned_between_upright_sides() -> None:
    (told,) = loose_sides(designed("soak-lot/job"))
    assert told.startswith("SOAK: sand, soft or wet ground does not stand upright so deep.")
    assert any(
        "upright sides so deep are themselves a sign of a cave-in" in one.message and one.where.endswith("SOAK")
        for one in designed("soak-lot/job").findings
    )


def test_firm_ground_has_no_such_word() -> None:
    assert not any("SUMP" in told for told in loose_sides(designed("block-wall-house/job")))


def test_the_edge_of_a_deep_pit_is_guarded_at_work_too() -> None:
    design = designed("block-wall-house/job")
    say = Say(design.job.units)
    assert deep_pits(dug(design, "SUMP", 5.9 * FOOT), say) == ()
    (told,) = deep_pits(dug(design, "SUMP", 6.0 * FOOT), say)
    assert told.startswith("SUMP, 6 ft deep or more: a rail, fence or cover round the edge while people work there too")


def test_what_the_papers_tell_as_four_feet_has_its_ladder() -> None:
    """The sheet told "dug to 4 ft", and no ladder: 3.97 ft."""

    assert laddered(3.97 * FOOT, Basis.MEASURED)
    assert not laddered(LADDER_FROM - 0.001, Basis.MEASURED)
    assert laddered(3.5 * FOOT, Basis.STATED)  # half a foot for what nobody measured


@pytest.mark.parametrize(("path", "marks"), [("long-house/job", {"X2", "X4"}), ("metric-basement/job", {"X2"})])
def test_no_hole_is_dug_far_below_a_dig_to_bare_a_line(path: str, marks: set[str]) -> None:
    """A main nearly 5 ft down was to be bared beside a trench of 1 ft 1 in: no ladder, no protection, no hours."""
    design = designed(path)
    found = exposures(design.site, design.build.dig)
    covered = {one.meeting.mark: one for one in found if one.covered}
    assert marks <= covered.keys()
    for one in found:
        item, line = one.meeting, one.line.utility
        if item.utility_top is None:
            assert not one.covered
            continue
        below = item.bottom - (item.utility_top + line.doubt)
        asked = design.job.rules.tolerance_zone.value if line.dangerous else design.job.criteria.utility_clearance
        assert one.covered is (below >= asked and item.clearance_least >= asked)
    told = text_of(design, "crew-packet")
    assert "LEAVE IT COVERED: it lies below the dig" in told
    runs = {run.name for run in design.system.runs}
    for item in (one.meeting for one in covered.values() if one.meeting.crossing and one.meeting.run in runs):
        row = next(check for check in checkpoints(design) if check[0] == f"Run {item.run} at {item.utility}")
        assert "both bare" not in row[1]


def test_no_hole_is_dug_below_a_footing_to_find_a_line() -> None:
    """The sewer's top may lie 3 ft 6 in down beside a footing 2 ft 6 in down: the crew was told to bare it there."""
    design = designed("block-wall-house/job")
    stopped = {one.meeting.mark: one for one in exposures(design.site, design.build.dig) if one.footing is not None}
    assert list(stopped) == ["X8"]
    footing = stopped["X8"].footing
    assert footing is not None
    assert footing.wall == "south"
    ground = design.site.surface.level(*stopped["X8"].at)
    south = next(wall for wall in design.site.walls if wall.name == "south")
    assert ground - footing.down <= south.footing_bottom + 0.11  # the wedge allows what the spade stands off it
    assert ground - footing.down >= south.footing_bottom - 0.31
    told = text_of(design, "crew-packet")
    assert "NO DEEPER than 2 ft 6 1/8 in: the south footing" in told
    assert "its depth measured away from the footing" in told


def test_nobody_is_sent_into_a_deep_test_pit() -> None:
    """The customer's paper had a hole dug by hand to a footing 2.17 m down; the crew's hold said nothing of it."""
    assert "bored from above with a hand auger" in HOW["test pit"]
    assert "by spade only where that is less than waist-deep" in HOW["test pit"]
    told = text_of(designed("block-wall-house/job"), "crew-packet")
    assert "From its edge: nobody in it where it is more than waist-deep, but shored" in told
