"""The storm test of a small job: its cases, its series, its tables, its inflows."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import replace
from math import exp, pi

import numpy as np
import pytest
from storm_jobs import gravity_system, inflows, node, pipe, pumped_system, run, site, station

from drainwright.errors import InputError
from drainwright.field.model import Site
from drainwright.hydraulics.pump import PressurePipe, SystemCurve, operating_point
from drainwright.job.site import YardArea
from drainwright.job.values import Level
from drainwright.storm import storm_test
from drainwright.storm.cases import busiest_hour, slab_level
from drainwright.storm.model import StormTest
from drainwright.storm.network import build_network, conveyance_share, stage_storage
from drainwright.storm.pump_tables import pump_table
from drainwright.storm.series import (
    CELLS,
    LAG,
    PARTS,
    SHORTEST_PLANE,
    inflow_series,
    linear_reservoir,
    plane_of,
    storm_of,
)
from drainwright.water.runoff import WETNESS
from drainwright.water.soil import SOILS, green_ampt_excess

CASES = ["sound", "pump dead", "power out", "discharge blocked", "grate half clogged"]


@pytest.fixture(scope="module")
def pumped() -> StormTest:
    return storm_test(site(), inflows(), pumped_system())


@pytest.fixture(scope="module")
def gravity() -> StormTest:
    return storm_test(site(), inflows(), gravity_system())


# -- Cases ----------------------------------------------------------------------------------------------------------


def test_cases_are_those_that_the_system_can_have(pumped: StormTest, gravity: StormTest) -> None:
    assert [case.key for case in pumped.cases] == CASES
    assert [case.key for case in gravity.cases] == ["sound", "discharge blocked", "grate half clogged"]


def test_same_in_same_out(pumped: StormTest) -> None:
    again = storm_test(site(), inflows(), pumped_system())
    for one, two in zip(pumped.cases, again.cases, strict=True):
        assert one.nodes == two.nodes
        assert np.array_equal(one.basin_level, two.basin_level)
        assert np.array_equal(one.outflow, two.outflow)


@pytest.mark.parametrize("key", CASES)
def test_the_water_balance_closes(pumped: StormTest, key: str) -> None:
    """Rounding only: 1e-9 of the inflow (0.1 % is the most that would be accepted of any method)."""
    case = pumped.case(key)
    assert case is not None
    assert case.volume_in > 1.0
    assert abs(case.balance_error) < 1e-9
    assert case.volume_lost == pytest.approx(sum(node.lost for node in case.nodes.values()), rel=1e-12)


@pytest.mark.parametrize("key", CASES)
def test_the_series_tell_the_same_balance(pumped: StormTest, key: str) -> None:
    """The basin alone, from the thinned series: in - out - lost is the change of its store and of the line's.

    Flows are means between the times, so the sums are exact; the line holds between nothing and its drain-back.
    """
    case = pumped.case(key)
    assert case is not None
    spans = np.diff(case.times)
    arrived, left = np.sum(case.inflow[1:] * spans), np.sum(case.outflow[1:] * spans)
    assert left == pytest.approx(case.volume_out, rel=1e-9, abs=1e-9)
    network = build_network(site(), inflows(), pumped_system())
    basin = int(network.plant.stations.node[0])
    change = np.diff([network.volume(basin, level) for level in case.basin_level[[0, -1]]])[0]
    in_line = arrived - left - case.nodes["SUMP"].lost - change
    assert -1e-9 <= in_line <= 0.02 + 1e-9


@pytest.mark.parametrize("key", CASES)
def test_all_the_rain_is_accounted_for(pumped: StormTest, key: str) -> None:
    """What came in is the surface water of the series and at most the full groundwater; reckoned again here.

    With the water backed up above the far water table some goes back into the ground, at most as fast as it came by
    each metre that it stands higher.
    """
    case = pumped.case(key)
    assert case is not None
    test = storm_of(site(), inflows())
    surface = sum(np.sum(series) for series in inflow_series(site(), inflows(), test, float(case.times[-1])).values())
    ground = case.volume_in - surface * test.step
    drain, far = (getattr(inflows().seepage[0], name) for name in ("drain_level", "far_level"))
    above = max(0.0, case.highest_at_house - far) / (far - drain) if case.highest_at_house is not None else 0.0
    assert -2e-4 * above * case.times[-1] - 1e-9 <= ground <= 2e-4 * case.times[-1] + 1e-9


def test_the_series_are_short_and_keep_the_peak(pumped: StormTest) -> None:
    for case in pumped.cases:
        assert len(case.times) == len(case.basin_level) == len(case.inflow) == len(case.outflow) <= 2000
        assert np.all(np.diff(case.times) > 0.0)
        assert np.max(case.basin_level) <= case.nodes["SUMP"].highest  # which is also looked for between the steps
        assert np.max(case.basin_level) == pytest.approx(case.nodes["SUMP"].highest, abs=0.001)


def test_failures_are_worse_than_none(pumped: StormTest, gravity: StormTest) -> None:
    """Half a level step (2.5 mm) of arithmetic, and the phase of the floats (the band of 0.3 m), where pumps run."""
    for test in (pumped, gravity):
        sound, blocked = test.case("sound"), test.case("discharge blocked")
        assert sound is not None
        assert blocked is not None
        assert blocked.highest_at_house > sound.highest_at_house + 0.3
        assert blocked.volume_out == 0.0
        assert blocked.time_to_slab is not None
        assert sound.time_to_slab is None
        clogged = test.case("grate half clogged")
        assert clogged is not None
        assert clogged.nodes["CB1"].pond_depth > sound.nodes["CB1"].pond_depth


def test_a_dead_pump_runs_nothing_and_a_blocked_one_runs_for_nothing(pumped: StormTest) -> None:
    dead, blocked = pumped.case("pump dead"), pumped.case("discharge blocked")
    assert dead is not None
    assert blocked is not None
    assert (dead.pump_starts, dead.pump_seconds, dead.volume_out) == (0, 0.0, 0.0)
    assert blocked.pump_starts == 1
    assert blocked.pump_seconds > 3600.0
    assert dead.highest_at_house == pytest.approx(blocked.highest_at_house, abs=1e-6)


def test_the_cut_begins_where_it_raises_the_water_most(pumped: StormTest) -> None:
    """No lower than the pump that is dead for good less a millimetre: two hours at the worst moment cover the storm."""
    out, dead = pumped.case("power out"), pumped.case("pump dead")
    assert out is not None
    assert dead is not None
    assert out.failure_at is not None
    assert out.highest_at_house is not None
    assert dead.highest_at_house is not None
    assert out.highest_at_house <= dead.highest_at_house + 1e-3
    assert "at the worst moment" in out.title
    in_cut = (out.times > out.failure_at) & (out.times <= out.failure_at + 7200.0)
    assert np.all(out.outflow[in_cut][1:] == 0.0)
    assert out.time_to_slab is not None
    assert out.time_to_slab > 0.0


@pytest.mark.parametrize("key", ["power out", "pump dead"])
def test_the_time_to_the_slab_counts_from_the_failure(pumped: StormTest, key: str) -> None:
    """At that moment the trace of the basin, level with the drain by then, stands at the slab, to 10 mm."""
    case = pumped.case(key)
    assert case is not None
    assert case.failure_at is not None
    assert case.time_to_slab is not None
    level = np.interp(case.failure_at + case.time_to_slab, case.times, case.basin_level)
    assert level == pytest.approx(case.slab_level, abs=0.010)


def test_a_longer_cut_brings_the_water_no_lower() -> None:
    levels = []
    for hours in ("15 min", "30 min", "1 h", "3 h"):
        case = storm_test(site(power_cut=hours), inflows(), pumped_system()).case("power out")
        assert case is not None
        assert case.highest_at_house is not None
        levels.append(case.highest_at_house)
    assert np.all(np.diff(levels) >= -0.0025)
    assert levels[-1] > levels[0]


def test_a_second_pump_stands_in_for_a_dead_one() -> None:
    case = storm_test(site(), inflows(), pumped_system(second_on=8.9)).case("pump dead")
    assert case is not None
    assert case.pump_starts > 0
    assert case.time_to_slab is None


def test_an_overflow_by_gravity_keeps_a_dead_pump_harmless() -> None:
    """A pipe from the basin at 9.3 m to another discharge point holds the water below the slab."""
    system = pumped_system()
    nodes = {**system.nodes, "OUT2": node("OUT2", "discharge", 9.2, 9.0)}
    spare = run("OV", "overflow", "SUMP", "OUT2", 15.0, 9.3, 9.0)
    with_overflow = storm_test(site(), inflows(), replace(system, nodes=nodes, runs=(*system.runs, spare)))
    for key in ("pump dead", "discharge blocked"):
        case = with_overflow.case(key)
        assert case is not None
        assert case.time_to_slab is None
        assert case.volume_out > 1.0
        assert abs(case.balance_error) < 1e-9


def test_a_high_tailwater_holds_the_water_back() -> None:
    """With the outfall 0.4 m under water the footing drain stands at least at that level."""
    job = site().job
    point = job.works.discharge[0].model_copy(update={"tailwater": Level(offset=9.4)})
    works = job.works.model_copy(update={"discharge": (point,)})
    drowned = replace(site(), job=job.model_copy(update={"works": works}))
    case = storm_test(drowned, inflows(), gravity_system()).cases[0]
    free = storm_test(site(), inflows(), gravity_system()).cases[0]
    assert case.highest_at_house is not None
    assert free.highest_at_house is not None
    assert case.highest_at_house > 9.4 > free.highest_at_house
    assert abs(case.balance_error) < 1e-9


def test_a_downspout_without_a_run_goes_its_own_way() -> None:
    """Neither its node nor its water is in the test."""
    system = pumped_system()
    nodes = {**system.nodes, "DS2": node("DS2", "downspout", 10.1, 10.0)}
    water = inflows()
    more = replace(water, contributions=(*water.contributions, replace(water.contributions[0], entry="DS2")))
    apart = storm_test(site(), more, replace(system, nodes=nodes)).cases[0]
    alone = storm_test(site(), water, system).cases[0]
    assert "DS2" not in apart.nodes
    assert apart.volume_in == alone.volume_in


def test_groundwater_stops_as_the_drain_backs_up(pumped: StormTest) -> None:
    dead, sound = pumped.case("pump dead"), pumped.case("sound")
    assert dead is not None
    assert sound is not None
    assert dead.volume_in < sound.volume_in - 0.1


def test_more_rain_is_never_better_by_gravity() -> None:
    """To half a level step (2.5 mm)."""
    peaks = [
        [node.highest for node in storm_test(site(), inflows(scale), gravity_system()).cases[0].nodes.values()]
        for scale in (0.25, 0.5, 1.0, 2.0)
    ]
    assert np.all(np.diff(np.array(peaks), axis=0) >= -0.0025)


def test_a_job_without_any_surface_water_still_runs() -> None:
    test = storm_test(site(), replace(inflows(), contributions=()), pumped_system())
    assert abs(test.cases[0].balance_error) < 1e-9
    assert test.cases[0].volume_in == pytest.approx(2e-4 * test.cases[0].times[-1], rel=1e-9)


def test_floats_out_of_order_are_refused() -> None:
    with pytest.raises(InputError, match=r"off = 8\.9"):
        storm_test(site(), inflows(), pumped_system(off=8.9))


def test_crawl_spaces_are_wet_at_their_soil() -> None:
    job = site().job
    assert slab_level(site()) == pytest.approx(9.8 - 0.1016)
    crawl = job.model_copy(update={"house": job.house.model_copy(update={"floor_kind": "crawl space"})})
    assert slab_level(replace(site(), job=crawl)) == 9.8


def test_no_drain_at_the_house_means_no_level_at_the_house() -> None:
    system = gravity_system()
    yard_only = replace(system, runs=tuple(r for r in system.runs if r.duty != "footing drain"))
    case = storm_test(site(), replace(inflows(), seepage=()), yard_only).cases[0]
    assert case.highest_at_house is None
    assert case.time_to_slab is None


def test_starts_in_the_busiest_hour() -> None:
    assert busiest_hour(np.array([])) == 0
    assert busiest_hour(np.array([0.0, 1000.0, 3599.0, 3600.0, 7000.0])) == 3
    assert busiest_hour(np.arange(0.0, 7200.0, 600.0)) == 6


# -- Inflow in time -------------------------------------------------------------------------------------------------


def test_a_linear_reservoir_answers_even_rain_as_its_formula() -> None:
    """By a time t, i (t - k (1 - exp(-t/k))) has left: the solution of dq/dt = (i - q)/k, exact at every step."""
    rain, step, constant = np.full(90, 2e-5), 60.0, 300.0
    left = np.cumsum(linear_reservoir(rain, step, constant)) * step
    times = step * np.arange(1, 91)
    assert left == pytest.approx([2e-5 * (t - constant * (1.0 - exp(-t / constant))) for t in times], rel=1e-12)


def test_a_linear_reservoir_keeps_water_and_the_lag() -> None:
    """The centroid of the outflow stands later than the rain's by the constant (exact over an infinite time)."""
    rain = np.zeros(4000)
    rain[5:12] = [1.0, 3.0, 2.0, 5.0, 1.0, 0.0, 1.0]
    out = linear_reservoir(rain, 60.0, 480.0)
    middle = 60.0 * (np.arange(4000) + 0.5)
    assert np.sum(out) == pytest.approx(np.sum(rain), rel=1e-12)
    assert np.average(middle, weights=out) - np.average(middle, weights=rain) == pytest.approx(480.0, rel=2e-3)
    assert np.array_equal(linear_reservoir(rain, 60.0, 0.0), rain)


def test_roofs_shed_all_and_lawns_what_the_soil_leaves() -> None:
    test = storm_of(site(), inflows())
    series = inflow_series(site(), inflows(), test, 20 * 3600.0)
    volume = {entry: np.sum(flow) * test.step for entry, flow in series.items()}
    assert volume["DS1"] == pytest.approx(test.depth * 40.0, rel=1e-9)
    assert 0.0 < volume["CB1"] < 0.9 * test.depth * 80.0
    job = site().job
    paved = job.model_copy(update={"yards": (job.yards[0].model_copy(update={"surface": "concrete"}),)})
    sealed = inflow_series(replace(site(), job=paved), inflows(), test, 20 * 3600.0)
    stays = test.depth * 80.0 - np.sum(sealed["CB1"]) * test.step
    assert 0.0 < stays < 1e-6 * test.depth * 80.0  # a film: it thins as t^(-3/2) and never ends


def test_yards_let_in_more_than_their_own_rain_while_water_runs_over_them() -> None:
    """What the soil does not take minute by minute is more than what leaves: run-on sinks on its way."""
    test = storm_of(site(), inflows())
    soil = SOILS["sandy loam"]
    rain = test.intensity * test.step
    store = soil.deficit(WETNESS)
    excess = green_ampt_excess(rain, test.step, soil.infiltration_conductivity, soil.suction, store)
    shed = np.sum(inflow_series(site(), inflows(), test, 20 * 3600.0)["CB1"]) * test.step
    assert 0.85 * np.sum(excess) * 80.0 < shed < np.sum(excess) * 80.0


def test_a_yard_becomes_a_plane_of_its_own_length_slope_and_roughness() -> None:
    plane = plane_of(site(), inflows().contributions[1])
    assert (plane.length, plane.width, plane.gathered) == (20.0, pytest.approx(4.0), 0.0)
    assert plane.conveyance == pytest.approx(0.02**0.5 / 0.24)  # grass, TR-55 Table 3-1
    soil = SOILS["sandy loam"]
    assert plane.conductivity == soil.infiltration_conductivity
    assert plane.store == pytest.approx(soil.suction * soil.effective_porosity * 0.3)


def way(*reaches: dict[str, object]) -> Site:
    yard = YardArea.model_validate({"name": "lawn", "area": "80 m2", "to": "CB1", "flow_path": list(reaches)})
    return replace(site(), job=site().job.model_copy(update={"yards": (yard,)}))


def test_beyond_the_sheet_the_way_is_a_reservoir() -> None:
    """10 m of sheet, then a swale of 30 m at 0.5 m/s (R = 0.0886 m, n = 0.05): 60 s, of which the lag is 0.6."""
    sheet = {"kind": "sheet", "length": "10 m", "slope": "2 %"}
    swale = {"kind": "channel", "length": "30 m", "slope": "1.58 %", "roughness": 0.05, "depth": "0.15 m",
             "width": "0.1 m", "side_slope": 2}  # fmt: skip
    with_swale = plane_of(way(sheet, swale), inflows().contributions[1])
    area, wetted = (0.1 + 2 * 0.15) * 0.15, 0.1 + 2 * 0.15 * 5**0.5
    speed = (area / wetted) ** (2 / 3) * 0.0158**0.5 / 0.05
    assert with_swale.length == 10.0
    assert with_swale.gathered == pytest.approx(30.0 / speed)
    test = storm_of(site(), inflows())
    alone = inflow_series(way(sheet), inflows(), test, 7200.0)["CB1"]
    later = inflow_series(way(sheet, swale), inflows(), test, 7200.0)["CB1"]
    assert later == pytest.approx(linear_reservoir(alone, test.step, LAG * with_swale.gathered), rel=1e-9, abs=1e-15)
    assert later.max() < alone.max()
    bare = plane_of(way(swale), inflows().contributions[1])
    assert (bare.length, bare.width) == (SHORTEST_PLANE, pytest.approx(80.0))


def test_the_grid_of_the_storm_is_fine_enough() -> None:
    """Peaks of the yards come out at most 4 % low against a grid ten times finer, as said beside CELLS and PARTS."""
    from drainwright.storm.surface.sheets import surface_runoff

    rain = np.concatenate([storm_of(site(), inflows()).intensity, np.zeros(30)])
    plane = plane_of(site(), inflows().contributions[1])
    for length in (5.0, 20.0):
        one = [np.array([x]) for x in (length, plane.conveyance, plane.conductivity, plane.store)]
        used = surface_runoff(rain, 60.0, *one, CELLS, PARTS)[0].max()
        fine = surface_runoff(rain, 60.0, *one, 10 * CELLS, 10 * PARTS)[0].max()
        assert 0.96 * fine < used < fine


def test_the_lag_is_that_of_the_natural_resources_conservation_service() -> None:
    """L = 0.6 Tc, NEH 630 ch. 15 (from memory)."""
    assert LAG == 0.6


# -- Tables ---------------------------------------------------------------------------------------------------------


def test_the_tables_hold_the_volumes_of_what_is_built() -> None:
    """A basin 1.9 m deep and a pipe run: full volumes, to 0.1 % (eight slices of the half pipe); the pond to 2 %."""
    network = build_network(site(), replace(inflows(), seepage=()), pumped_system())
    place = dict(zip(network.names, range(9), strict=False))
    basin = pi / 4 * 0.6**2 * (10.0 - 8.2)
    half_yard, half_drain = 7.5 * pi / 4 * 0.1**2, 10.0 * pi / 4 * 0.1**2
    stone = 10.0 * 0.4 * (0.3 * (0.1 + 0.2) - pi / 4 * 0.11**2)
    assert network.volume(place["SUMP"], 10.0) == pytest.approx(basin + half_yard + half_drain + stone, rel=1e-3)
    riser = pi / 4 * 0.1524**2 * (10.0 - 9.25)
    assert network.volume(place["F"], 10.0) == pytest.approx(riser + half_drain + stone, rel=1e-3)
    for stage, stored in zip(*network.plant.stores, strict=True):
        assert np.all(np.diff(stage) > 0.0)
        assert np.all(np.diff(stored) > 0.0)
    pond = place["CB1 pond"]  # a cone of 2 %: 5 cm deep it is pi 0.05³ / (3 * 0.02²) large, and the body's shaft on it
    assert network.volume(pond, 10.0) == pytest.approx(pi * 0.05**3 / (3 * 0.02**2) + 0.09 * 0.05, rel=0.02)


def test_a_table_keeps_its_marks() -> None:
    levels, volumes = stage_storage(8.0, 9.0, [lambda level: 2.0 * (level - 8.0)], [8.123456])
    assert 8.123456 in levels
    assert volumes == pytest.approx(2.0 * (levels - 8.0))


def test_the_conveyance_never_falls_with_the_depth() -> None:
    """Half full carries half (geometry, constant n); from 0.82 of the diameter on it is taken as full."""
    share = conveyance_share()
    assert share[128] == pytest.approx(0.5, abs=1e-6)
    assert np.all(np.diff(share) >= 0.0)
    assert share[-1] == share[round(0.83 * 256)] == 1.0


@pytest.mark.parametrize("level", [8.3, 8.8, 9.6])
def test_the_pumps_table_is_the_operating_point(level: float) -> None:
    """Against the root-finder of ``operating_point``: 0.01 %, the cost of two thousand straight lines."""
    made, line = station(), pumped_system().run("DL")
    levels, flows = pump_table(made, line, 1)
    losses = PressurePipe(length=25.0 + 9.8 - 8.2 - 0.15, diameter=0.0409, roughness=140.0, loss_coefficient=6.0)
    point = operating_point(made.pump.curve, SystemCurve(static_head=1.6 - (level - 8.5), pipes=(losses,)))
    assert np.interp(level, levels, flows) == pytest.approx(point.flow, rel=1e-4)
    _, both = pump_table(made, line, 2)
    assert np.all((flows < both) & (both < 2.0 * flows))


def test_a_pump_too_weak_lifts_nothing() -> None:
    weak = replace(station(), static_head=20.0)
    assert np.all(pump_table(weak, pumped_system().run("DL"), 1)[1] == 0.0)


def test_a_discharge_line_without_a_published_c_is_reckoned_as_smooth() -> None:
    """Darcy-Weisbach on a smooth wall agrees with C = 150 within 5 % of the flow ."""
    plain = run("DL", "discharge line", "SUMP", "OUT", 25.0, 9.8, 9.9, pipe=pipe(0.0409, williams=None), pressure=True)
    smooth = run(
        "DL", "discharge line", "SUMP", "OUT", 25.0, 9.8, 9.9, pipe=pipe(0.0409, williams=150.0), pressure=True
    )
    assert pump_table(station(), plain, 1)[1] == pytest.approx(pump_table(station(), smooth, 1)[1], rel=0.05)


def test_numba_is_not_imported_before_a_storm_is_run() -> None:
    code = "import sys, drainwright.storm, drainwright.storm.cases; sys.exit('numba' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", code], check=False).returncode == 0
