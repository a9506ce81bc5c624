"""What keeps a basin down, its hole guarded and its coats dry between the day it is set and the day of the fill."""

from __future__ import annotations

import pytest

from drainwright.build.crew_model import CrewPlan
from drainwright.paper.documents.spanish import Translator

from ..conftest import designed

LENGTHY = ("block-wall-house/job", "two-basins/job", "metric-basement/job")


def plan_of(name: str) -> CrewPlan:
    return designed(name).build.plan


def test_an_empty_basin_is_held_by_water_until_the_soil_is_on() -> None:
    """The collar's concrete weighs less under water than the basin's uplift: only the soil over it makes it safe."""
    design = designed("block-wall-house/job")
    station = design.system.stations[0]
    under_water = station.collar * (1.0 - 1000.0 / 2400.0) * 9.81
    assert under_water < station.uplift < station.resisting
    (task,) = (one for one in design.build.plan.tasks if one.key == "basin")
    assert "water in it up to its lowest hole" in task.hold
    (laid,) = (one for one in design.build.plan.tasks if one.key == "round")
    assert laid.hold == "laid by hand on the fresh concrete, nothing tamped over it until it has set"


@pytest.mark.parametrize("name", LENGTHY)
def test_nothing_in_a_guarded_hole_may_wait_past_its_shields(name: str) -> None:
    design = designed(name)
    shields, plan = design.build.shields, design.build.plan
    if shields is None or "shields" in design.job.equipment.owned:
        pytest.skip("no shields are hired in this example")
    days = [max(one.days) for one in shields.places if one.kind == "basin"]
    assert days
    for task in plan.tasks:
        if task.key in ("basin", "collar", "round"):
            assert task.end + task.slack <= min(days) * plan.day_length + 1e-6, task.key


def test_the_pump_runs_on_by_night_where_something_sets_below_the_water() -> None:
    (pump,) = (one for one in plan_of("block-wall-house/job").tasks if one.key == "dewater")
    assert "through nights and days off" in pump.hold
    assert "flotador noches y días libres" in Translator(frozenset()).say(pump.hold)
