"""What two pumps draw: each by its own power, for as long as it ran, against hand arithmetic and the basin's level."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from storm_jobs import inflows, pumped_system, site
from test_storm_pumps import STRONG, study
from test_years_run import rain_of

from drainwright.storm import storm_test
from drainwright.storm.engine.packing import packed
from drainwright.storm.engine.ready import forcing_of, state_of
from drainwright.storm.engine.stepper import step
from drainwright.storm.network import build_network
from drainwright.storm.years.telling import run_years
from drainwright.system.model import LiftStation, System

FIRST_POWER, SECOND_POWER = 500.0, 300.0  # W
BURST = (20 * 86400.0, np.full(6, 0.012))


def two_pumps(second: float | None = SECOND_POWER) -> System:
    """Alike but for what they draw."""
    system = pumped_system(study=study(second=STRONG), second_on=8.9)
    (own,) = system.stations
    assert own.study is not None
    assert own.study.pair is not None
    pair = replace(own.study.pair, second=replace(own.study.pair.second, input_power=second))
    station = replace(own, pump=replace(own.pump, input_power=FIRST_POWER), study=replace(own.study, pair=pair))
    return replace(system, stations=(station,))


def of_station(system: System) -> LiftStation:
    return system.stations[0]


def test_the_second_pump_runs_from_its_float_until_the_basin_is_pumped_down() -> None:
    """Four litres a second for 20 min, then none: its time is read off the level in the basin."""
    system = two_pumps()
    network = build_network(site(), inflows(ground=0.0), system)
    node = network.names.index("SUMP")
    forcing = forcing_of(np.array([0.0, 1200.0, 3600.0]), np.array([node]), np.array([[0.004], [0.0]]))
    run = step(packed(network.plant), forcing, state_of(network.plant, network.start), 5e-4, True, False)
    time, level = run.trace[:, 0], run.trace[:, 1 + node]
    own, both, ran = of_station(system), False, 0.0
    for before, after, above in zip(time, time[1:], level, strict=False):
        both = (both and above > own.off + 1e-4) or above >= 8.9 - 1e-4
        ran += (after - before) * both
    assert ran > 600.0
    assert run.second_seconds[0] == pytest.approx(ran, rel=0.01)
    assert run.pump_seconds[0] > run.second_seconds[0] * 2.0


def test_each_pump_draws_its_own_power() -> None:
    run = run_years(site(), inflows(), two_pumps(), rain_of([BURST]))
    (told,) = run.stations
    assert told.second_seconds > 60.0
    by_hand = FIRST_POWER * (told.seconds - told.second_seconds) + SECOND_POWER * told.second_seconds
    assert told.energy == pytest.approx(by_hand, rel=1e-12)
    assert told.energy < FIRST_POWER * told.seconds - 199.0 * 60.0
    assert run.years[0].energy == pytest.approx(by_hand, rel=1e-12)
    assert any("two makes" in note for note in run.notes)


def test_in_dry_weather_the_first_alone_draws() -> None:
    (told,) = run_years(site(), inflows(), two_pumps(), rain_of([])).stations
    assert told.second_seconds == 0.0
    assert told.energy == pytest.approx(FIRST_POWER * told.seconds)


def test_a_second_pump_that_ran_and_tells_no_power_leaves_the_energy_untold() -> None:
    system = two_pumps(None)
    run = run_years(site(), inflows(), system, rain_of([BURST]))
    assert run.stations[0].energy is None
    assert any("does not say what it draws" in note for note in run.notes)
    assert run_years(site(), inflows(), system, rain_of([])).stations[0].energy is not None


def test_in_the_storm_test_too_and_a_dead_first_pump_draws_nothing() -> None:
    system = two_pumps()
    cases = {case.key: case for case in storm_test(site(), inflows(), system).cases}
    dead = cases["pump dead"]
    assert dead.energy == pytest.approx(SECOND_POWER * dead.pump_seconds)
    sound = cases["sound"]
    assert sound.energy is not None
    assert sound.energy <= FIRST_POWER * sound.pump_seconds
