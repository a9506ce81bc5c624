"""A job without walls to open, footing drain or cleanouts is told nothing of them."""

from __future__ import annotations

from dataclasses import replace

from drainwright.design import Design
from drainwright.findings.model import Finding
from drainwright.job.values import Basis
from drainwright.paper.band_chart import band_draft
from drainwright.paper.documents.backfill_paper import backfill_blocks
from drainwright.paper.documents.blocks import Cell, Table
from drainwright.paper.documents.crew_checks import checkpoints
from drainwright.paper.documents.crew_places import soak_blocks
from drainwright.paper.documents.edge_words import loose_digs
from drainwright.paper.documents.hazards import risk_rows
from drainwright.paper.documents.permit_set import _inspections
from drainwright.paper.documents.priced import seen
from drainwright.paper.documents.proposal_works import measured_blocks
from drainwright.paper.documents.say import Say
from drainwright.paper.documents.site_water import next_test_blocks
from drainwright.paper.documents.storm_words import risk_blocks, storm_short
from drainwright.paper.documents.told import crew_answers, customer_answers
from drainwright.paper.documents.upkeep import upkeep
from drainwright.paper.plan_panel import _setting_out
from drainwright.paper.sheet import TextMark

from ..conftest import designed
from .test_readers import text

SOAK, PUMPED = "soak-lot/job", "block-wall-house/job"


def slopes(design: Design) -> list[Finding]:
    return [one for one in design.findings if one.id == "FTG-10" and one.advice]


def test_filling_is_told_of_the_walls_that_are_opened() -> None:
    """A packet without an opened wall spoke of its coat and its board."""
    soak, pumped = text(backfill_blocks(designed(SOAK))), text(backfill_blocks(designed(PUMPED)))
    for word in (" coat ", " board ", "its floor does not brace yet"):
        assert word in pumped
        assert word not in soak
    assert "of a wall only hand tampers." in soak
    assert "Tall places have the lifts shown" in soak


def test_nobody_is_sent_between_loose_sides_to_loosen_the_bottom() -> None:
    """The safe-dig sheet wanted nobody in it, and the soakaway's sheet had its bottom loosened going backwards."""
    design = designed(SOAK)
    (soak,) = design.system.soaks
    assert soak.name in loose_digs(design)
    told = text(soak_blocks(design))
    assert "going backwards" not in told
    assert "from the edge with long tools. Nobody goes in unless its sides are sloped back or shielded" in told


def test_the_hose_test_is_seen_where_its_water_goes() -> None:
    """Its water was to be seen at an outlet that is stone, closed all round."""
    assert checkpoints(designed(SOAK))[-1][2].startswith("goes away into SOAK, none stands under a grate")
    assert checkpoints(designed(PUMPED))[-1][2].startswith("seen running at the outlet")


def test_an_overflow_that_is_there_is_not_asked_for() -> None:
    asked = "Look at the end after each big storm. Ask us for an overflow."
    assert seen(asked, designed(SOAK)).endswith("storm. What SOAK cannot take comes out at SWALE.")
    assert "comes out at SWALE" in customer_answers(designed(SOAK))[11].do
    assert "cannot take" not in seen(asked, designed(PUMPED))


def test_cleanouts_are_inspected_where_there_are_any() -> None:
    assert "falls, joints, water test" in text(_inspections(designed(SOAK)))
    assert "falls, joints, cleanouts, water test" in text(_inspections(designed(PUMPED)))


def test_the_storm_in_short_has_the_outcome_of_what_breaks() -> None:
    """The paragraph ended with "Then we ran it once more for each thing that can break." and no result."""
    metric = designed("metric-basement/job")
    soak, pumped = text(storm_short(designed(SOAK))), text(storm_short(metric))
    assert "each thing that can break: no water reached the " in soak
    wet = [one for one in metric.storm.cases[1:] if one.time_to_slab is not None or one.undecided]
    assert wet
    assert f"can break: in {len(wet)} of these {len(metric.storm.cases) - 1} runs water reaches the " in pumped


def test_a_film_over_a_grate_is_no_dry_ground() -> None:
    """The drawing of the storm showed 1/4 in over CB1."""
    design = designed(SOAK)
    assert max(node.pond_depth for node in design.storm.cases[0].nodes.values()) > 0.005
    assert "No water stands above the ground" not in text(storm_short(design))
    assert "No water stands 1/2 in deep or more above the ground" in text(storm_short(design))


def test_no_wall_is_called_drained_where_none_is() -> None:
    assert "through the floor itself: no wall is drained here." in text(risk_blocks(designed(SOAK)))
    assert "away from the drained walls" in text(risk_blocks(designed(PUMPED)))


def test_a_fall_that_nobody_measured_is_marked() -> None:
    """Under "What we measured" stood falls that the water analysis lists as assumed."""
    design = designed(SOAK)
    found = slopes(design)
    assert {one.basis for one in found} == {Basis.ASSUMED, Basis.MEASURED}
    told = text(measured_blocks(design))
    for one in found:
        assert f"{one.figure} ({'ASSUMED' if one.basis is Basis.ASSUMED else 'measured'})" in told


def test_a_test_that_changes_no_work_says_so() -> None:
    design = designed(SOAK)
    test = design.moisture.next_test
    assert test is not None
    assert all(test.remedies)
    assert "Either way these works stay the same" in text(next_test_blocks(design.moisture))
    other = designed("metric-basement/job").moisture
    assert other.next_test is not None
    assert all(other.next_test.remedies) == ("Either way these works stay the same" in text(next_test_blocks(other)))


def test_cover_is_told_once_where_the_pipe_comes_out() -> None:
    (found,) = [one for one in designed(SOAK).findings if one.id == "NET-02" and one.where.endswith("OF1")]
    assert " over it before its end; its crown stands out of the ground along its last " in found.message
    assert "at its shallowest" not in found.message


def test_bars_leave_out_only_what_the_job_has() -> None:
    for job, drained in ((SOAK, False), (PUMPED, True)):
        draft = band_draft(designed(job))
        assert draft is not None
        words = " ".join(mark.text for mark in draft.marks if isinstance(mark, TextMark))
        assert ("both sides" in words) is drained
        assert "all that falls" in words


def test_a_tape_past_a_corner_names_it() -> None:
    """ "79 ft past" under "from first corner" could be read as 79 ft past the second one."""
    drawn = [mark for block in _setting_out(designed(SOAK)) for mark in block(0.0, 100.0, 120.0)[0]]
    assert "79 ft (past B)" in [mark.text for mark in drawn if isinstance(mark, TextMark)]


def test_the_care_of_a_soakaway_begins_with_what_to_do() -> None:
    """Cut at its colon, the answer told the owner that it is closed."""
    (care,) = [one for one in upkeep(designed(SOAK)) if "half empty" in one.what]
    assert care.what.startswith("Look under the grate of CB1")


def risk(design: Design, name: str) -> str:
    (row,) = [f"{here} {do}" for title, here, do in risk_rows(design) if title == name]
    return row


def test_red_lengths_are_spoken_of_where_a_line_is_met() -> None:
    assert not designed(SOAK).build.dig.crossings
    assert "red lengths" not in risk(designed(SOAK), "Buried lines")
    assert "A line turns up: stop, call the office." in risk(designed(SOAK), "Buried lines")
    assert "By hand in the red lengths" in risk(designed(PUMPED), "Buried lines")


def test_a_ticket_that_the_work_outlives_is_renewed() -> None:
    """Work of 19 days was told to dig within the 15 of its ticket, no more."""
    design = designed(SOAK)
    assert "renew it" not in risk(design, "Buried lines")
    longer = replace(design, build=replace(design.build, plan=replace(design.build.plan, days=19)))
    assert "within its 15 working days; the work takes 19: renew it before they are over." in risk(
        longer, "Buried lines"
    )


def test_soil_held_to_the_slopes_of_a_worse_type_is_called_so() -> None:
    """The worksheet counted type B as C for its water; the crew read B alone."""
    assert "Soil type C (measured)." in risk(designed(SOAK), "Trench falls in")
    design = designed("sloping-lot/job")
    assert design.job.ground.osha_type.value == "B"
    assert "Soil type B (measured)" in risk(design, "Trench falls in")
    dig = replace(design.build.dig, trenches=tuple(replace(one, slope_run=1.5) for one in design.build.dig.trenches))
    wet = replace(design, build=replace(design.build, dig=dig))
    assert "counted as C where water stands" in risk(wet, "Trench falls in")


def test_a_limit_below_a_footing_is_not_rounded_up() -> None:
    """6 ft 4 3/4 in of room were told as 6 ft 5 in."""
    design = designed(SOAK)
    tight = min(
        (one for one in design.build.dig.wedges if one.below_footing > 0.02),
        key=lambda one: one.allowed_below - one.below_footing,
    )
    assert f"{Say(design.job.units).small(tight.allowed_below)} allowed" in repr(crew_answers(design)[4])


def test_a_machine_that_gets_in_is_no_reason_of_a_lower_price_by_its_gate() -> None:
    told = customer_answers(designed(SOAK))[6].text
    assert "a machine digs, for this price is for digging by hand" in told
    assert "a machine fits the gate" not in told


def test_no_plate_is_offered_beside_a_wall() -> None:
    """A footing drain's own trench had "plate or hand", though it lies along a wall."""
    design = designed("metric-basement/job")
    drains = {run.name for run in design.system.runs if run.duty == "footing drain"}
    (table,) = [block for block in backfill_blocks(design) if isinstance(block, Table)]
    tampers = {cell.text: row[-1] for row in table.rows if isinstance(cell := row[0], Cell)}
    assert drains
    for name in drains & set(tampers):
        assert tampers[name] in ("plate, hand at walls", "hand only")
    assert tampers["DL"] == "plate or hand"
