"""The plant as it may truly be: each input changes what it should, and the chance of real jobs holds together."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest

from drainwright.design import Design, design
from drainwright.errors import InputError
from drainwright.job.reading import read_document
from drainwright.storm.chances.inputs import middles, uncertain_inputs
from drainwright.storm.chances.sampling import unit_sample, values_of
from drainwright.storm.chances.study import AS_DRAWN, chance, options_of
from drainwright.storm.chances.truth import Base, Truth, true_inputs, true_network
from drainwright.storm.network import build_network

EXAMPLES = Path(__file__).resolve().parents[2] / "examples"


@cache
def made(name: str) -> Design:
    return design(read_document(EXAMPLES / name / "job.yaml").job)


@cache
def base(name: str) -> Base:
    found = made(name)
    return Base.of(found.site, found.inflows, found.system)


@pytest.mark.parametrize("name", ["block-wall-house", "metric-basement", "two-basins", "soak-lot"])
def test_the_quick_network_is_that_built_anew(name: str) -> None:
    given = base(name)
    uncertain = uncertain_inputs(given.site, given.inflows, given.system)
    for numbers in unit_sample(3, len(uncertain), 5):
        drawn = {
            item.key: float(values_of(item, np.array([number]))[0])
            for item, number in zip(uncertain, numbers, strict=True)
        }
        site, inflows, system = true_inputs(given, drawn | {"float": 0.0})  # floats are rows of the storage tables too
        anew, quick = build_network(site, inflows, system), true_network(given.network, site, inflows, system)
        for one, other in zip(anew.plant, quick.plant, strict=True):
            for own, theirs in zip(one, other, strict=True):
                np.testing.assert_allclose(own, theirs, rtol=1e-9, atol=1e-12)
        np.testing.assert_allclose(anew.start, quick.start)


def test_a_plant_as_designed_does_as_in_the_storm_test() -> None:
    found = made("metric-basement")
    truth = Truth(base("metric-basement"), {"porosity": 0.5})  # the storm test counts on half of an assumed one
    case = found.storm.case("pump dead")
    assert case is not None
    period = found.job.criteria.storm_return_period / 31557600.0
    told = truth.run(period, None, True)
    assert case.time_to_slab is not None
    assert told.slab_at == pytest.approx(case.time_to_slab, rel=0.02)
    sound = found.storm.case("sound")
    assert sound is not None
    assert sound.highest_at_house is not None
    assert truth.run(period).over == pytest.approx(sound.highest_at_house - sound.slab_level, abs=0.004)


def test_worse_truths_come_no_later_to_the_slab() -> None:
    given = base("metric-basement")
    usual = middles(uncertain_inputs(given.site, given.inflows, given.system))
    before = Truth(given, usual).run(25.0, None, True).slab_at
    assert math.isfinite(before)
    for key, value in (("rain", 1.3), ("roof areas", 1.2), ("yard areas", 1.3), ("yard soil", 0.3)):
        assert Truth(given, usual | {key: value}).run(25.0, None, True).slab_at < before, key


def test_a_worn_pump_lifts_less_and_ground_gives_by_its_conductivity() -> None:
    given = base("metric-basement")
    new, old = Truth(given, {}).setup.network.plant, Truth(given, {"wear": 0.3}).setup.network.plant
    assert (old.stations.flow <= new.stations.flow).all()
    assert old.stations.flow.max() < new.stations.flow.max()
    two = base("two-basins")
    usual, faster = (Truth(two, {"conductivity": factor}).setup.inflows.seepage[0].flow for factor in (1.0, 2.0))
    assert usual == pytest.approx(two.inflows.seepage[0].flow)
    assert usual < faster <= 2.0 * usual


def test_chance_of_a_job_is_whole_and_the_same_again() -> None:
    found = made("metric-basement")
    given = (found.site, found.inflows, found.system)
    told = chance(*given, samples=12, seed=4, with_drivers=False)
    assert told == chance(*given, samples=12, seed=4, with_drivers=False)
    assert 0.0 < told.per_year < 0.1
    assert told.per_year <= sum(told.by_cause.values())
    assert told.per_year == pytest.approx(sum(told.by_cause.values()), rel=0.05)
    assert told.per_year < told.over_30_years <= 1.0 - (1.0 - told.per_year) ** 30 + 1e-12
    assert told.sampling.low <= told.per_year <= told.sampling.high
    assert told.losses is None
    assert all(worth.perfect is None for worth in told.worth)
    with pytest.raises(InputError):
        chance(*given, samples=4)
    with pytest.raises(InputError):
        chance(*given, samples=8, wet_floor_cost=-1.0)


def test_a_battery_lowers_the_chance_and_pays_where_a_wet_floor_is_dear() -> None:
    found = made("metric-basement")
    given = (found.site, found.inflows, found.system)
    keys = [option.key for option in options_of(*given)]
    assert keys[0] == AS_DRAWN
    assert "battery" in keys
    seen: list[tuple[int, int]] = []
    told = chance(
        *given, samples=8, seed=4, with_drivers=False, wet_floor_cost=1e7, prices={"battery": 900.0},
        progress=lambda done, of: seen.append((done, of)),
    )  # fmt: skip
    assert seen == [(done, 8 * len(keys)) for done in range(1, 8 * len(keys) + 1)]
    choices = {choice.key: choice for choice in told.choices}
    assert list(choices) == keys[1:]
    assert choices["battery"].price == 900.0
    assert choices["bigger pump"].price is None
    assert choices["battery"].title.startswith("a battery unit of ")
    assert choices["battery"].per_year < told.per_year
    assert told.losses is not None
    assert set(told.losses) == {AS_DRAWN, "battery"}
    assert told.losses[AS_DRAWN] == pytest.approx(30 * 1e7 * told.per_year)
    assert told.best == "battery"
    cheap = chance(*given, samples=8, seed=4, with_drivers=False, wet_floor_cost=1.0, prices={"battery": 900.0})
    assert cheap.best == AS_DRAWN
    for cause, band in told.cause_bands.items():
        assert band.low <= band.middle <= band.high <= 1.0
        assert band.middle == pytest.approx(told.by_cause[cause], rel=0.05)


def test_a_way_out_by_gravity_has_no_power_cuts() -> None:
    found = made("sloping-lot")
    told = chance(found.site, found.inflows, found.system, samples=8, with_drivers=False)
    assert not {"cuts", "wear"} & {item.key for item in told.uncertain}
    assert sum(told.by_cause.values()) == told.by_cause["storm"]
