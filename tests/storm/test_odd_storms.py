"""Odd jobs go through the storm test without a forced step: no link draws from an empty store."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from drainwright.design import Design, design
from drainwright.job import read_text
from drainwright.job.loading import load
from drainwright.storm.cases import prepared
from drainwright.storm.engine.plant import FORCED
from drainwright.storm.failures.running import stepped

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


def record(example: str) -> dict[str, Any]:
    found: dict[str, Any] = load((EXAMPLES / example / "job.yaml").read_text(encoding="utf-8"), "job.yaml").record
    return found


def no_footing_drain() -> dict[str, Any]:
    """The design then proposes one, whose reckoned level lies 2 mm under the place where its pipe ends."""
    job = record("metric-basement")
    job["works"]["runs"] = [run for run in job["works"]["runs"] if run["duty"] != "footing drain"]
    return job


def water_over_the_soakaway() -> dict[str, Any]:
    """Ground water stands in its stone higher than the pipe that comes in."""
    job = record("soak-lot")
    job["ground"]["water_table"] = "103 ft"
    return job


def floor_under_the_drains() -> dict[str, Any]:
    job = record("two-basins")
    job["house"]["floor"] = "90 ft, measured"
    return job


JOBS = {one.__name__: one for one in (no_footing_drain, water_over_the_soakaway, floor_under_the_drains)}


@cache
def made(name: str) -> Design:
    return design(read_text(json.dumps(JOBS[name](), default=str)).job)


@pytest.mark.parametrize("name", JOBS)
@pytest.mark.parametrize("open_house", [False, True])
def test_no_step_is_forced(name: str, open_house: bool) -> None:
    job = made(name)
    setup, whole, failures = prepared(job.site, job.inflows, job.system)
    for failure in (whole, failures[0]):
        ran = stepped(setup, failure, keep=False, open_house=open_house)
        assert ran.run.totals[FORCED] == 0.0
    plant = setup.network.plant
    bottom, ends = plant.stores.stage[:, 0], plant.pipes.lower
    assert (plant.pipes.z_upper >= bottom[plant.pipes.upper]).all()
    assert (plant.pipes.z_lower[ends >= 0] >= bottom[ends[ends >= 0]]).all()
    assert (plant.ground.floor_a >= bottom[plant.ground.a]).all()


@pytest.mark.parametrize("name", JOBS)
def test_the_figures_are_such_as_can_be(name: str) -> None:
    for case in made(name).storm.every:
        assert abs(case.balance_error) < 1e-6
        assert np.isfinite(case.volume_out)
        assert case.time_to_slab is None or case.time_to_slab >= 0.0
        assert case.entering is None or case.entering.volume >= 0.0


def test_a_drain_over_the_floor_is_called_that_and_no_storm_is_blamed() -> None:
    found = {one.id: one for one in made("floor_under_the_drains").findings}
    assert "lies over the underside of the floor" in found["STM-01"].message
    assert "below the floor" in found["STM-01"].advice
    assert "at once" in found["STM-05"].message
    assert not any("after 0 s" in one.message for one in found.values())


def test_a_grate_over_which_nothing_stands_is_told_no_figures_of_a_pond() -> None:
    job = record("soak-lot")
    del job["yards"]
    (found,) = (one for one in design(read_text(json.dumps(job, default=str)).job).findings if one.id == "STM-03")
    assert found.figure == "none stands over it"
    (usual,) = (one for one in made("water_over_the_soakaway").findings if one.id == "STM-03")
    assert "deep" in usual.figure
