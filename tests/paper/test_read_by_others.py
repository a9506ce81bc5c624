"""What readers of the papers found to contradict itself, or to be asked of somebody who cannot do it."""

from __future__ import annotations

from dataclasses import replace
from itertools import accumulate

from typer.testing import CliRunner

from drainwright.cli import app
from drainwright.design import Design
from drainwright.findings.model import Severity
from drainwright.offer.bill import bill_of, stage_taxes
from drainwright.offer.record import failing_words
from drainwright.paper.documents.cost_sheet import cost_sheet
from drainwright.paper.documents.handover import handover
from drainwright.paper.documents.priced import seen_elsewhere
from drainwright.paper.documents.proposal_first import _way_out
from drainwright.paper.documents.proposal_terms import exclusions
from drainwright.paper.documents.say import money
from drainwright.paper.documents.storm_words import risk_blocks
from drainwright.paper.documents.told import view_of
from drainwright.paper.documents.told_crew import discharge
from drainwright.paper.documents.upkeep import upkeep
from drainwright.paper.offer_designs import shaping_left_of
from drainwright.terminal import _basin_chosen

from ..conftest import EXAMPLES, designed


def words(blocks: object) -> str:
    return " ".join(repr(blocks).split())


def test_two_stations_are_told_apart_where_one_keeps_the_floor_dry_and_one_does_not() -> None:
    """'If the pump dies' was said to wet the floor, and in the same cell to leave it dry."""
    told = words(risk_blocks(designed("two-basins/job")))
    assert "the pump dies (at SUMP)" in told
    assert "the pump dies (at DRIVE)" in told
    assert "If the pump dies:" not in told


def test_each_of_two_basins_has_its_alarm() -> None:
    assert ", each with an alarm." in _way_out(designed("two-basins/job"))


def test_the_alarm_without_power_is_told_where_the_customer_looks(pumped: Design, gravity: Design) -> None:
    sentence = "With the power out the alarm sounds only on a battery of its own"
    assert sentence in words(handover(pumped, {}).blocks)
    assert sentence not in words(handover(gravity, {}).blocks)


def test_nobody_looks_at_an_end_that_lies_in_a_line_or_in_stone(pumped: Design) -> None:
    (joined,) = (one.joins for one in pumped.job.works.discharge if one.joins is not None)
    care = " ".join(one.what for one in upkeep(pumped))
    assert f"Look where the line that OUT joins ({joined.name}) lets its water go" in care
    assert "Look at the end OUT" not in care
    crew = " ".join(discharge(view_of(pumped)).do)
    assert "Joint at OUT" in crew
    assert "End at OUT" not in crew
    soaked = " ".join(discharge(view_of(designed("soak-lot/job"))).do)
    assert "SOAK closed all round" in soaked
    assert "End at SOAK" not in soaked


def test_a_job_that_opens_no_wall_names_none_as_named_above() -> None:
    told = " ".join(exclusions(designed("soak-lot/job")))
    assert "Walls: none is opened, cleaned or coated." in told
    assert "not named above" not in told


def test_the_price_of_shaping_is_told_wall_by_wall(pumped: Design) -> None:
    left = shaping_left_of(pumped)
    walls = [*left.walls, *dict(left.refused)]
    assert walls
    finding = next(item for item in pumped.findings if item.id == "FTG-10")
    for wall in walls:
        at = replace(finding, where=f"house.walls.{wall}")
        told = seen_elsewhere("Shape it. Ask us for its price.", at, pumped)
        what, _, where = told.removeprefix("Shape it. ").partition(" at the ")
        assert what == ("Its price" if wall in left.walls else "Why it cannot be priced yet")
        assert wall in where.partition(" wall")[0].replace(" and ", ", ").split(", ")


def test_the_tax_in_a_stage_is_that_of_its_invoice(pumped: Design) -> None:
    """A cent lay between them: one was rounded, one cut off."""
    told = words(cost_sheet(pumped, {}).blocks)
    for tax in accumulate(stage_taxes(bill_of(pumped))):
        assert repr(money(tax, "USD")) in told


def test_an_offer_that_is_refused_names_the_checks_that_fail(wrong: Design) -> None:
    job = str(EXAMPLES / "wrong-choices" / "job.yaml")
    said = CliRunner().invoke(app, ["accept", job, "--by", "M. Tamarind", "--on", "2026-03-20"])
    assert said.exit_code == 2
    failing = {item.id for item in wrong.findings if item.severity is Severity.FAILS}
    assert failing
    assert all(id_ in said.output for id_ in failing)
    assert failing_words(wrong) in said.output


def test_of_a_basin_only_what_the_design_chose_is_said_to_be_chosen_by_it(metric: Design) -> None:
    station = replace(metric.system.stations[0], chosen_by="design")
    works, (basin, *_) = metric.job.works, metric.job.works.basins
    for name, other in (("diameter", "depth"), ("depth", "diameter")):
        sizes = {"diameter": None, "depth": None, name: 0.914}
        job = metric.job.model_copy(
            update={"works": works.model_copy(update={"basin": basin.model_copy(update=sizes)})}
        )
        told = _basin_chosen(replace(metric, job=job), station)
        assert told == f"{name} named in the job, {other} chosen by the design"
    assert _basin_chosen(metric, replace(metric.system.stations[0], chosen_by="job")) == "chosen by the job"
