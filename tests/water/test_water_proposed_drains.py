"""Drains that the job leaves out draw the same ground water, at every stage, as the same drains named in the job."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from drainwright.design import Design, design, flow_nets
from drainwright.job import read_job
from drainwright.storm import storm_test
from drainwright.system import lay_out
from drainwright.system.drain_levels import drain_levels
from drainwright.system.flows import drain_runs
from drainwright.water import inflows
from drainwright.water.flow_net import flow_nets as nets_of
from drainwright.water.footing_drains import with_drains, with_runs
from drainwright.water.ground_lines import with_graded_drains
from drainwright.water.model import Cause, Inflows

EXAMPLES = Path(__file__).parents[2] / "examples"
DRAINED = ("block-wall-house", "metric-basement", "sloping-lot")
CLOSE = {"rel": 1e-9, "abs": 1e-15}


@cache
def stripped(example: str) -> Design:
    """An example without its footing drains."""
    job = read_job(EXAMPLES / example / "job.yaml")
    runs = tuple(run for run in job.works.runs if run.duty != "footing drain")
    return design(job.model_copy(update={"works": job.works.model_copy(update={"runs": runs})}))


def named(found: Design) -> Inflows:
    """The water of the same job with the proposed drains named."""
    site = with_runs(found.site, drain_runs(found.system.runs))
    return with_graded_drains(site, inflows(site), drain_levels(site, found.system))


@pytest.mark.parametrize("example", DRAINED)
def test_the_flows_seepage_lines_and_bands_are_those_of_named_drains(example: str) -> None:
    found = stripped(example)
    water, other = found.inflows, named(found)
    assert not any(run.duty == "footing drain" for run in found.job.works.runs)
    assert [item.run for item in water.seepage] == [item.name for item in drain_runs(found.system.runs)] != []
    assert [item.flow for item in water.seepage] == pytest.approx([item.flow for item in other.seepage], **CLOSE)
    assert water.by_cause() == pytest.approx(other.by_cause(), **CLOSE)
    for own, twin in zip(water.ground_lines, other.ground_lines, strict=True):
        assert own.with_drain == pytest.approx(twin.with_drain, **CLOSE)
    for cause, band in other.bands.items():
        assert water.bands[cause].high == pytest.approx(band.high, **CLOSE)
    assert set(water.notes) == set(other.notes)


@pytest.mark.parametrize("example", DRAINED)
def test_the_storm_test_and_the_flow_nets_know_the_proposed_drains(example: str) -> None:
    found = stripped(example)
    other, site = named(found), with_runs(found.site, drain_runs(found.system.runs))
    for own, twin in zip(found.storm.cases, storm_test(found.site, other, found.system).cases, strict=True):
        assert own.volume_in == pytest.approx(twin.volume_in, **CLOSE)
        assert (own.highest_at_house is None) == (twin.highest_at_house is None)  # none: the drains stay dry
        if own.highest_at_house is not None:
            assert own.highest_at_house == pytest.approx(twin.highest_at_house, **CLOSE)
    assert [net.flow for net in flow_nets(found)] == pytest.approx([net.flow for net in nets_of(site, other)], **CLOSE)
    assert any(item.flow > 0.0 for item in found.inflows.seepage) == bool(flow_nets(found))


@pytest.mark.parametrize("example", ["block-wall-house", "metric-basement"])
def test_the_station_and_its_wet_season_rest_on_the_band_of_the_proposed_drains(example: str) -> None:
    found = stripped(example)
    site = with_runs(found.site, drain_runs(found.system.runs))
    station, other = found.system.station, lay_out(found.site, inflows(site)).station
    assert station is not None
    assert other is not None
    assert station.inflow_ground == pytest.approx(inflows(site).by_cause()[Cause.GROUND], **CLOSE)
    assert station.study is not None
    assert other.study is not None
    assert station.study.season.inflow > station.inflow_ground
    assert station.study.season == other.study.season


def test_drains_that_are_known_are_not_counted_again() -> None:
    found = stripped("metric-basement")
    assert with_drains(found.site, found.inflows, drain_runs(found.system.runs)) is found.inflows


def test_the_ground_water_of_proposed_drains_is_on_the_worksheet() -> None:
    found = stripped("metric-basement")
    drain = found.inflows.seepage[0].run
    assert any(step.card.symbol == "Q" and f"runs.{drain}" in step.place for step in found.steps)
