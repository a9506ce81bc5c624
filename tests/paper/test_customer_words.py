"""Words for the customer: only what these works have, in one unit, and nothing that is meant for the office."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from drainwright.design import Design
from drainwright.findings.model import Severity
from drainwright.findings.places import leads_to
from drainwright.findings.pump_words import dry_filling
from drainwright.findings.rules import Case
from drainwright.paper.documents.assumed_blocks import assumed_blocks
from drainwright.paper.documents.handover import handover
from drainwright.paper.documents.permit_set import permit_set
from drainwright.paper.documents.proposal import proposal
from drainwright.paper.documents.shell import _named
from drainwright.paper.documents.upkeep import upkeep
from drainwright.water.check import usual_groundwater
from drainwright.water.model import Cause

from ..conftest import designed
from .papers import first_page_of
from .test_readers import text

EXAMPLES = pytest.mark.parametrize("name", ["pumped", "metric", "gravity", "mended"])


@EXAMPLES
def test_a_pump_is_spoken_of_only_where_there_is_one(name: str, request: pytest.FixtureRequest) -> None:
    design: Design = request.getfixturevalue(name)
    pumped = bool(design.system.stations)
    told = text((*proposal(design, {}).blocks, *handover(design, {}).blocks, *permit_set(design, {}).blocks))
    for words in ("larger pump or", "electrical work to", "Alarm, pump,", "breaker trips", "pumped line by friction"):
        assert pumped or words not in told, words
    joins = any(point.joins is not None for point in design.job.works.discharge)
    assert ("Outlet and joint to another line" in told) is joins


@EXAMPLES
def test_no_word_for_the_office_is_printed_for_the_customer(name: str, request: pytest.FixtureRequest) -> None:
    design: Design = request.getfixturevalue(name)
    told = text((*proposal(design, {}).blocks, *handover(design, {}).blocks))
    for words in ("before anyone is shown", "The firm has not written its warranty", "not priced by area yet"):
        assert words not in told, words


@EXAMPLES
def test_each_circuit_has_a_breaker_to_write_down(name: str, request: pytest.FixtureRequest) -> None:
    design: Design = request.getfixturevalue(name)
    pumps = sum(1 if one.second_on is None else 2 for one in design.system.stations)
    assert text(handover(design, {}).blocks).count("breaker no. ____") == pumps


@EXAMPLES
def test_the_pump_is_tried_by_a_hose_not_through_its_lid(name: str, request: pytest.FixtureRequest) -> None:
    design: Design = request.getfixturevalue(name)
    told = " ".join(item.what for item in upkeep(design))
    assert "buckets" not in told
    assert "lift the pump's float" not in told
    for station in design.system.by_house:
        (where,) = re.findall(rf"{station.name}: run a hose into the grate of (.+?) until", told)
        for name in re.findall(r"[A-Z]+[0-9]+", where):
            assert leads_to(design.system, name, station.name)


def test_a_pump_that_no_grate_leads_to_is_tried_by_a_cleanout(pumped: Design) -> None:
    """Water that is let into a grate of another line never starts it, and the owner calls about a sound pump."""
    system = pumped.system
    station = system.by_house[0]
    drain = next(run.name for run in system.runs if run.duty == "footing drain" and run.lower == station.name)
    runs = tuple(run for run in system.runs if run.duty == "footing drain" or run.pressure)
    fitted = tuple(replace(place, run=drain, fitted=True) for place in system.cleanouts[:1])
    alone = replace(pumped, system=replace(system, runs=runs, cleanouts=fitted))
    told = " ".join(item.what for item in upkeep(alone))
    assert f"{station.name}: run a hose into a cleanout of {drain} until" in told


@EXAMPLES
def test_two_rules_for_ground_water_are_set_in_one_unit(name: str, request: pytest.FixtureRequest) -> None:
    design: Design = request.getfixturevalue(name)
    flow = sum(item.flow for item in design.inflows.contributions if item.cause is Cause.GROUND)
    told = text(assumed_blocks(design))
    if usual_groundwater(design.site) <= flow or "rule of thumb" not in told:
        return
    row = next(line for line in told.split("\n") if "rule of thumb" in line)
    units = set(re.findall(r"\d (gpm|L/min|L/s)", row))
    assert len(units) == 1, row
    assert re.search(r"If that were right, .*: (enough|too little)\.", row)


def test_filling_without_rain_has_both_volumes(pumped: Design) -> None:
    """From the stop to the start in the wet season's inflow; what lies above is told by itself."""
    station = pumped.system.station
    assert station is not None
    case = Case(
        site=pumped.site, inflows=pumped.inflows, system=pumped.system, storm=pumped.storm, build=pumped.build,
        moisture=pumped.moisture,
    )  # fmt: skip
    told = dry_filling(case, station)
    start = station.band_volume / station.inflow_ground
    assert 3600 < start < 2 * 3600
    assert case.hours(start) in told
    assert case.hours(station.reserve / station.inflow_ground) in told


def test_a_check_that_fails_is_named_by_a_sentence() -> None:
    """A first page said ``FD1 (NET-12)``, the clause before a colon."""
    finding = next(item for item in designed("wrong-choices/job").findings if item.severity is Severity.FAILS)
    for message, said in (
        ("FD1: lies 0.45 ft higher than asked. More.", "FD1: lies 0.45 ft higher than asked"),
        ("The trench is deep: nobody enters it.", "The trench is deep"),
        ("Forbidden", "Forbidden"),
    ):
        assert _named((replace(finding, message=message),)) == f"{said} ({finding.id})"


@pytest.mark.parametrize("job", ["block-wall-house/job", "metric-basement/job", "soak-lot/job", "long-house/job"])
def test_what_the_customer_decides_ends_on_the_first_page(job: str) -> None:
    """Two lines of it ran over to a page of their own, before the picture on the next."""
    assert "you may cancel in writing within" in first_page_of(designed(job), "proposal")
