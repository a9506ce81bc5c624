"""Failures change what they should and nothing else; the worst moment is the worst; remedies are proven by reruns."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from storm_jobs import gravity_system, inflows, pumped_system, site, station

from drainwright.build.book import demonstration_book
from drainwright.build.remedies import cost_of
from drainwright.storm import storm_test
from drainwright.storm.cases import prepared
from drainwright.storm.engine.plant import NEVER
from drainwright.storm.failures.failure import Failure, failed, joined, opened, parted
from drainwright.storm.failures.listing import ROOTED, first_stop, further
from drainwright.storm.failures.moment import EQUAL, worst_moment
from drainwright.storm.failures.more_water import STRIP, wetter_ground
from drainwright.storm.failures.prevention import harms, prevented
from drainwright.storm.failures.remedy import Remedy
from drainwright.storm.failures.running import TOLERANCE, Setup, stepped
from drainwright.storm.model import StormTest
from drainwright.storm.network import slab_level
from drainwright.system.model import System

KEYS = {
    "float stuck off", "float stuck on", "check valve leaks", "relief hole plugged", "grate shut", "roots",
    "leader added", "soil twice as open", "neighbour's water",
}  # fmt: skip


@cache
def setup() -> tuple[Setup, Failure, tuple[Failure, ...]]:
    made, whole, failures = prepared(site(), inflows(), pumped_system())
    return made, whole, tuple(failures)


@cache
def the_test() -> StormTest:
    return storm_test(site(), inflows(), pumped_system())


def named(key: str) -> list[Failure]:
    made, whole, first = setup()
    groups = further(made, stepped(made, whole))
    return [one for one in (*first, *(item for group in groups for item in group)) if one.key == key]


def test_a_pumped_job_has_all_failures_and_a_gravity_job_those_it_can_have() -> None:
    assert {case.key for case in the_test().further} == KEYS
    water = inflows()
    lot = storm_test(site(), water, gravity_system())
    assert {case.key for case in lot.further} == {
        "grate shut", "roots", "leader added", "soil twice as open", "neighbour's water",
    }  # fmt: skip


def test_every_failure_keeps_the_water() -> None:
    assert max(abs(case.balance_error) for case in the_test().every) < 1e-9


def changed_parts(failure: Failure) -> set[str]:
    """Which arrays of plant and forcing differ from those of the sound case."""
    made, whole, _ = setup()
    forcing = made.forcing(made.horizon)
    given = (made.network.plant, forcing, made.network, made.system)
    (plant, forced), (sound, usual) = failed(*given, failure), failed(*given, whole)
    found = set()
    for part in sound._fields:
        for name in getattr(sound, part)._fields:
            a, b = getattr(getattr(sound, part), name), getattr(getattr(plant, part), name)
            if not np.array_equal(a, b):
                found.add(f"{part}.{name}")
    found |= {name for name in usual._fields if not np.array_equal(getattr(usual, name), getattr(forced, name))}
    return found


@pytest.mark.parametrize(
    ("key", "parts"),
    [
        ("pump dead", {"stations.on", "stations.flow"}),
        ("power out", {"cuts"}),
        ("check valve leaks", {"stations.line"}),
        ("relief hole plugged", {"stations.flow"}),
        ("grate shut", {"grates.weir", "grates.orifice"}),
        ("grate half clogged", {"grates.weir", "grates.orifice"}),
        ("roots", {"pipes.conveyance"}),
        ("leader added", {"entry", "inflow"}),
        ("soil twice as open", {"ground.conductance"}),
        ("neighbour's water", {"entry", "inflow"}),
    ],
)
def test_a_failure_changes_what_it_should_and_nothing_else(key: str, parts: set[str]) -> None:
    for failure in named(key):
        assert changed_parts(failure) <= parts
        assert changed_parts(failure)


def test_what_was_given_stays_as_it_was() -> None:
    made, _, _ = setup()
    plant = made.network.plant
    before = [np.array(array) for part in plant for array in part]
    forcing = made.forcing(made.horizon)
    for key in ("pump dead", "roots", "grate shut", "leader added", "check valve leaks"):
        failed(plant, forcing, made.network, made.system, named(key)[0])
    after = [array for part in plant for array in part]
    assert all(np.array_equal(a, b) for a, b in zip(before, after, strict=True))


def test_figures_of_the_changes() -> None:
    """By hand: the whole line of 25 m and 40.9 mm holds 32.8 L; roots leave a fifth; a quarter of 80 m² is 20 m²."""
    made, _, _ = setup()
    forcing = made.forcing(made.horizon)
    (valve,) = named("check valve leaks")
    plant, _ = failed(made.network.plant, forcing, made.network, made.system, valve)
    assert plant.stations.line[0] == pytest.approx(np.pi / 4.0 * 0.0409**2 * 25.0)
    for root in named("roots"):
        plant, _ = failed(made.network.plant, forcing, made.network, made.system, root)
        ratio = plant.pipes.conveyance / made.network.plant.pipes.conveyance
        assert sorted(ratio)[0] == pytest.approx(ROOTED)
        assert np.sum(ratio < 1.0) == 1
    (beyond,) = named("neighbour's water")
    assert np.allclose(beyond.added[0][1], STRIP * made.entering["CB1"])
    (leader,) = named("leader added")  # all are led in: the one roof a second time
    assert np.sum(leader.added[0][1]) * made.storm.step == pytest.approx(40.0 * made.storm.depth, rel=1e-3)


def test_more_water_and_less_way_out_never_come_out_better() -> None:
    """Where nothing but water is added or a way out is taken, the house's water stands as high at least."""
    test, sound = the_test(), the_test().cases[0].highest_at_house
    assert sound is not None
    for key in ("pump dead", "power out", "discharge blocked", "relief hole plugged", "leader added",
                "neighbour's water", "soil twice as open"):  # fmt: skip
        case = test.case(key)
        assert case is not None
        assert case.highest_at_house is not None
        assert case.highest_at_house >= sound - 0.005, key


def test_a_leaking_valve_starts_the_pump_oftener_and_draws_more() -> None:
    sound, valve = the_test().cases[0], the_test().case("check valve leaks")
    assert valve is not None
    assert valve.pump_starts > sound.pump_starts
    assert valve.pump_seconds > sound.pump_seconds


def test_stuck_floats_end_as_the_dead_pump_does() -> None:
    dead = the_test().case("pump dead")
    for key in ("float stuck off", "float stuck on"):
        case = the_test().case(key)
        assert case is not None
        assert dead is not None
        assert case.time_to_slab == dead.time_to_slab
        assert case.highest_at_house == dead.highest_at_house
    stuck = the_test().case("float stuck on")
    assert stuck is not None
    assert "no source" in stuck.note


def test_an_air_locked_pump_lifts_until_its_first_stop_and_nothing_after() -> None:
    made, whole, _ = setup()
    sound = stepped(made, whole)
    stop = first_stop(1, 0, len(made.network.names), sound.run.trace)
    case = the_test().case("relief hole plugged")
    assert case is not None
    assert case.failure_at == stop
    assert stop is not None
    lifted = case.stations[0].lifted
    assert np.all(lifted[case.times > stop + 1.0] == 0.0)
    assert np.any(lifted[case.times <= stop] > 0.0)
    assert case.pump_seconds > 0.0


def test_a_run_in_two_parts_is_the_run_in_one() -> None:
    from drainwright.storm.engine.ready import state_of
    from drainwright.storm.engine.stepper import step

    made, whole, _ = setup()
    plant, forcing = failed(made.network.plant, made.forcing(made.horizon), made.network, made.system, whole)
    start = state_of(plant, made.network.start)
    one = step(plant, forcing, start, TOLERANCE, True, False)
    before, after = parted(forcing, float(forcing.edges[37]))
    assert np.array_equal(np.concatenate([before.edges, after.edges[1:]]), forcing.edges)
    first = step(plant, before, start, TOLERANCE, True, False)
    two = joined(first, step(plant, after, first.state, TOLERANCE, True, False))
    assert np.array_equal(one.highest, two.highest)
    assert np.array_equal(one.trace, two.trace)
    assert two.totals == pytest.approx(one.totals)
    between = parted(forcing, float(forcing.edges[37]) + 10.0)
    assert np.sum(np.diff(between[0].edges) @ between[0].inflow) + np.sum(
        np.diff(between[1].edges) @ between[1].inflow
    ) == pytest.approx(np.sum(np.diff(forcing.edges) @ forcing.inflow))


def test_the_worst_moment_is_not_beaten_by_two_hundred_others() -> None:
    """A short cut, so that its moment matters: half an hour."""
    made, _, first = prepared(site(power_cut="30 min"), inflows(), pumped_system())
    cut = next(one for one in first if one.key == "power out")

    def highest(start: float) -> float:
        failure = replace(cut, at=start, cut=(start, start + 1800.0))
        return stepped(made, failure, keep=False).at_house(made.network)

    found = highest(cut.cut[0])
    others = [highest(start) for start in np.linspace(0.0, 2 * 3600.0, 200)]
    assert found >= max(others) - 0.005  # a millimetre by its rule, the rest by where the scan's steps fall
    assert found > min(others) + 0.05  # the moment matters here


def test_the_search_finds_a_smooth_peak_and_is_the_same_each_time() -> None:
    def highest(start: float) -> float:
        return -(((start - 2345.0) / 3600.0) ** 2)

    start, level = worst_moment(highest, 0.0, 7200.0, 900.0, np.inf)
    assert abs(level) < EQUAL
    assert (start, level) == worst_moment(highest, 0.0, 7200.0, 900.0, np.inf)


def test_of_equal_moments_the_latest_is_told() -> None:
    start, _ = worst_moment(lambda at: 1.0 if at <= 4000.0 else 0.0, 0.0, 7200.0, 900.0, 1.0)
    assert 3600.0 < start <= 4000.0


def still(volume_of: float) -> tuple[Setup, Failure]:
    """No rain, a steady inflow to the basin of a small job [m³/s], its pump dead."""
    water = replace(inflows(), contributions=(), seepage=())
    made, _, first = prepared(site(storm_duration="6 h"), water, pumped_system())
    node = made.network.entries["SUMP"]
    steps = np.full(int(made.horizon / made.storm.step) + 2, volume_of)
    return made, replace(first[0], added=((node, steps),))


def test_time_to_the_slab_is_the_stored_volume_over_the_inflow() -> None:
    """By hand: a steady inflow fills all that lies below the slab; shut pipes keep it in the basin's own store."""
    made, dead = still(2e-4)
    plant = made.network.plant
    alone = plant._replace(pipes=plant.pipes._replace(conveyance=np.zeros_like(plant.pipes.conveyance)))
    made = replace(made, network=replace(made.network, plant=alone))
    node = made.network.entries["SUMP"]
    volume = made.network.volume(node, slab_level(site())) - float(made.network.start[node])
    ran = stepped(made, dead)
    assert ran.slab_at == pytest.approx(volume / 2e-4, rel=1e-4)
    alarm = made.network.volume(node, station().alarm) - float(made.network.start[node])
    assert ran.alarm_at == pytest.approx(alarm / 2e-4, rel=1e-4)
    open_house = stepped(made, dead, keep=False, open_house=True)
    came = float(np.sum(open_house.run.over[-len(made.network.house) :]))
    end = made.storm.step * np.ceil(made.horizon / made.storm.step - 1e-9)
    assert came == pytest.approx(2e-4 * (end - volume / 2e-4), rel=0.02)
    assert ran.above == pytest.approx(end - volume / 2e-4, rel=1e-3)


def test_water_comes_in_only_where_it_reaches_the_slab() -> None:
    for case in the_test().every:
        assert (case.entering is None) == (case.time_to_slab is None)
        if case.entering is not None:
            assert case.entering.volume > 0.0
            assert case.above > 0.0
            assert case.entering.volume <= case.volume_in
    made, whole, _ = setup()
    wide = opened(made.network.plant, made.network.house, 9.0)
    assert wide.overland.crest[-1] == 9.0
    assert whole.key == "sound"


def test_twice_the_conductivity_brings_between_the_root_and_the_double() -> None:
    """The slot's inflow goes as K over the reach, and Sichardt's reach as the root of K, but at least 3 m."""
    ratio = wetter_ground(site(), inflows())
    assert ratio is not None
    assert np.sqrt(2.0) - 1e-9 <= ratio <= 2.0 + 1e-9


@cache
def prevention() -> dict[str, dict[str, bool]]:
    found = prevented(site(), inflows(), pumped_system(), the_test())
    return {one.key: {tried.remedy.kind: tried.prevents for tried in one.tried} for one in found}


def test_remedies_are_tried_for_each_harm_and_for_no_other() -> None:
    assert set(prevention()) == {case.key for case in the_test().every[1:] if harms(the_test(), case)}
    assert "pump dead" in prevention()


def test_a_second_pump_helps_a_dead_one_and_no_power_cut() -> None:
    assert prevention()["pump dead"]["second pump"]
    assert "second pump" not in prevention()["power out"]
    assert prevention()["pump dead"]["alarm"] is False


def with_battery(power: float) -> System:
    """The small job, its pump's power known to the study of its station. [W]"""
    from drainwright.system.lift.pump_model import PumpStudy, WetSeason

    season = WetSeason(
        inflow=0.0, likely=0.0, share=0.0, run_time=0.0, starts=0.0, power=power, power_assumed=True, energy=0.0,
        days=60.0, cycles=100_000, cycles_years=np.inf, likely_starts=0.0,
    )  # fmt: skip
    study = PumpStudy(
        wear=0.1, worn_flow=0.002, worn_shutoff=8.0, pair=None, unit=None, offered=None, season=season, storms=()
    )
    return pumped_system(study=study)


def test_the_battery_that_is_found_carries_the_cut_and_a_smaller_one_does_not() -> None:
    system = with_battery(510.0)  # 50 A at 12 V through the inverter
    test = storm_test(site(), inflows(), system)
    (cut,) = prevented(site(), inflows(), system, test, "power out")
    (tried,) = (one for one in cut.tried if one.remedy.kind == "battery")
    assert tried.prevents
    made, _, first = prepared(site(), inflows(), system)
    failure = next(one for one in first if one.key == "power out")
    from drainwright.storm.failures.changes import with_battery as fitted

    seconds = tried.remedy.size * 0.5 / 50.0 * 3600.0
    smaller = stepped(fitted(made, system.stations[0], seconds - 0.5 / 50.0 * 36000.0), failure, keep=False)
    assert smaller.slab_at is not None or tried.remedy.size == 10.0


def test_a_remedy_costs_its_materials_and_hours_with_the_shares_of_the_price() -> None:
    """By hand, a yearly visit of 2 h at 24.00 with 35 % burden: 64.80, 18 % overhead, 8 % contingency, 20 % margin."""
    book = demonstration_book()
    visit = cost_of(Remedy(kind="service", title="", visits=1), site(), pumped_system(), book)
    assert float(visit.total) == pytest.approx(64.80 * 1.18 * 1.08 / 0.8, abs=0.02)
    assert visit.yearly
    assert visit.invented
    battery = cost_of(Remedy(kind="battery", title="", size=100.0), site(), pumped_system(), book)
    goods, hours = 640.0 + 310.0, 1.5 * 32.40
    wanted = (goods + hours) * 1.18 * 1.08 / 0.8 + 0.07 * goods
    assert float(battery.total) == pytest.approx(wanted, abs=0.03)
    alarm = cost_of(Remedy(kind="alarm", title=""), site(), pumped_system(), book)
    assert alarm.included
    assert float(alarm.total) == 0.0


def test_never_is_never() -> None:
    assert Failure(key="", title="").cut == (NEVER, NEVER)
