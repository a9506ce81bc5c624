"""What counts as water at the house: dry drains have none, in the storm test and in the long run alike."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from storm_jobs import gravity_system, inflows, pumped_system, site
from test_years import record

from drainwright.storm import storm_test
from drainwright.storm.network import slab_level
from drainwright.storm.parts.at_house import WET, holds_water
from drainwright.storm.series import storm_of
from drainwright.storm.years.spells import spells_of_record
from drainwright.storm.years.telling import run_years
from drainwright.water.model import Inflows


def dry_ground() -> Inflows:
    """Rain on the yard and the roof alone: no ground water comes to the drain."""
    return replace(inflows(0.3), seepage=())


def test_a_place_counts_from_its_bed_up_or_over_the_floor() -> None:
    bed, floor = np.array([9.0, 9.0, 9.9]), np.full(3, 9.7)
    assert holds_water(np.array([9.0, 9.0 + 2.0 * WET, 9.9]), bed, floor).tolist() == [False, True, True]
    assert holds_water(np.array([9.0 + 0.5 * WET, 9.8, 9.95]), bed, floor).tolist() == [False, True, True]


def test_a_dry_drain_over_the_basin_is_not_the_highest_water() -> None:
    sound = storm_test(site(), dry_ground(), pumped_system()).cases[0]
    assert float(sound.levels("F").max()) == pytest.approx(9.25)  # its bed: dry all along
    assert sound.highest_at_house == pytest.approx(sound.nodes["SUMP"].highest)
    assert sound.highest_at_house < 9.25 - 0.1
    assert not sound.house_dry


def test_a_dry_drain_does_not_hide_the_worst_moment_of_a_power_cut() -> None:
    """Water that rises in the basin alone, under the drain's bed, is what the moment is sought by."""
    test = storm_test(site(), replace(inflows(0.15), seepage=()), pumped_system())
    cut, sound = test.case("power out"), test.case("sound")
    assert cut is not None
    assert sound is not None
    assert cut.highest_at_house is not None
    assert sound.highest_at_house is not None
    assert sound.highest_at_house + 0.05 < cut.highest_at_house


def test_the_storm_and_the_same_rain_as_a_record_tell_the_same_place() -> None:
    """Twice the floats' band (0.3 m) apart at most: the drain's dry bed lies farther over the basin's water."""
    test = storm_of(site(), dry_ground())
    steps = int(300.0 / test.step)
    depth = (test.intensity * test.step).reshape(-1, steps).sum(axis=1)
    days = [10.0 + 300.0 * i / 86400.0 for i in range(depth.size)]
    found = run_years(site(), dry_ground(), pumped_system(), spells_of_record(record(days, depth.tolist())))
    sound = storm_test(site(), dry_ground(), pumped_system()).cases[0]
    assert found.highest == pytest.approx(sound.highest_at_house, abs=0.06)
    assert not found.house_dry


def test_drains_that_stay_dry_have_no_level() -> None:
    system = gravity_system()
    runs = tuple(replace(run, lower="OUT") if run.name == "FD1" else run for run in system.runs)
    nodes = dict(system.nodes)
    apart = replace(system, runs=tuple(run for run in runs if run.name == "FD1"), nodes=nodes)
    case = storm_test(site(), dry_ground(), apart).cases[0]
    assert case.highest_at_house is None
    assert case.house_dry
    assert case.dry
    found = run_years(site(), dry_ground(), apart, spells_of_record(record([10.0, 10.01], [0.01, 0.02])))
    assert found.highest is None
    assert found.house_dry
    slab = found.outcome("slab")
    assert slab is not None
    assert slab.reached == 0
    assert max(slab.maxima) < slab_level(site())
