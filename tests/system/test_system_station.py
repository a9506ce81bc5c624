"""The lift station: operating point by other means, levels, starts, drain-back, uplift, and the choice by cost."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import fluids
import numpy as np
import pytest
from system_stations import GALLON, line_of, setting, station_of

from drainwright.system.catalogue import INCH, PIPES, PRESSURE_PIPES, nominal_size
from drainwright.system.lift.choice import DIAMETERS, ON_BELOW, Setting, choose, needed_band
from drainwright.system.lift.pressure_line import PUMP_OUTLET, behind, pressure_inverts
from drainwright.system.lift.station import drain_back, lift_station

FOOT = 0.3048

PUMP = {
    "name": "from its sheet",
    "curve": [
        {"flow": "0 gpm", "head": "26 ft"}, {"flow": "15 gpm", "head": "22 ft"}, {"flow": "30 gpm", "head": "16 ft"},
        {"flow": "45 gpm", "head": "7 ft"}, {"flow": "52 gpm", "head": "1 ft"},
    ],
    "float_kind": "adjustable",
}  # fmt: skip


@pytest.mark.parametrize("depth", [0.9, 1.0, 1.1, 1.3])
def test_in_a_basin_too_shallow_for_its_float_the_pump_starts_5_cm_over_its_stop(depth: float) -> None:
    """The room under the inlet goes first, then the band, but never all of it."""
    item = setting(basin={"pump": PUMP, "depth": f"{depth} m", "diameter": "0.6 m"})
    station, _ = station_of(item)
    under = item.rim - depth + max(station.pump.minimum_depth, 0.0)
    assert station.off == pytest.approx(under)
    highest = item.lowest_inlet - ON_BELOW
    wanted = needed_band(item, station.pump, 0.6, station.operating_flow)
    assert station.on == pytest.approx(min(under + wanted, max(highest, under + 0.05)), abs=0.01)
    assert station.on >= under + 0.05 - 1e-9


def test_the_job_s_pump_is_told_by_its_own_sheet_though_the_firm_has_one_of_that_name() -> None:
    other = PUMP | {"curve": [{"flow": "10 gpm", "head": "24 ft"}, {"flow": "50 gpm", "head": "12 ft"}]}
    firms = setting(basin={"pump": other}).basin.pump
    assert firms is not None
    item = setting(basin={"pump": PUMP}, pumps=(firms,))
    _, _, notes = lift_station(item, choose(item))
    assert notes == lift_station(setting(basin={"pump": PUMP}), choose(setting(basin={"pump": PUMP})))[2]
    assert not any("sheet" in note for note in notes)


@pytest.mark.parametrize("length", [5.0, 30.0, 120.0])
@pytest.mark.parametrize("key", ["sch40 1-1/2 in", "sch40 2 in"])
def test_operating_point_lies_where_a_dense_grid_finds_it(length: float, key: str) -> None:
    """Both curves written here once more, on a grid; the friction held to another library's Colebrook factor."""
    from scipy.interpolate import PchipInterpolator

    pipe = PIPES[key]
    item = setting(basin={"pump": PUMP}, line_pipe=pipe, line=lambda pipe: line_of(pipe, length))
    station, line = station_of(item)
    flows = np.array([0.0, 15.0, 30.0, 45.0, 52.0]) * GALLON
    heads = np.array([26.0, 22.0, 16.0, 7.0, 1.0]) * FOOT
    grid = np.linspace(1e-9, flows[-1], 200_001)
    developed = math.hypot(length, 0.5) + (line.inverts[0] - station.floor - PUMP_OUTLET)
    speed = grid / (math.pi / 4 * pipe.inside**2)
    friction = 10.67 * developed * (grid / 140.0) ** 1.852 / pipe.inside**4.8704
    middle = (station.on + station.off) / 2
    asked = 29.5 + pipe.inside - middle + friction + station.fittings_k * speed**2 / (2 * 9.80665)
    best = grid[np.argmin(np.abs(asked - PchipInterpolator(flows, heads)(grid)))]
    assert station.operating_flow == pytest.approx(best, abs=2 * grid[1])
    colebrook = fluids.friction.friction_factor(
        Re=station.velocity * pipe.inside / 1.307e-6, eD=1.5e-6 / pipe.inside
    ) * developed / pipe.inside * station.velocity**2 / (2 * 9.80665)  # fmt: skip
    ours = 10.67 * developed * (station.operating_flow / 140.0) ** 1.852 / pipe.inside**4.8704
    assert ours == pytest.approx(colebrook, rel=0.15)  # C 140 is a little rougher than smooth plastic


def test_fittings_are_counted_by_hand() -> None:
    """Riser elbow and one corner 0.9 each, check valve 3.0, exit 1.0, union 0.06 (IRC Table A.2.2 and MPCA rows).

    The ball valve 0.09, from memory.
    """
    station, line = station_of(setting(basin={"pump": PUMP}))
    port = line.port_loss
    assert station.fittings_k == pytest.approx(2 * 0.9 + 3.0 + 1.0 + 0.06 + 0.09 + port)
    assert station.riser_k == pytest.approx(0.9 + 3.0 + 0.06 + 0.09 + port)


def test_the_reducer_behind_the_pump_costs_the_velocity_that_is_lost() -> None:
    """It was in the order and not in the head: 1-1/2 in to 3 in cost a foot of five at 70 gpm.

    By the momentum of the water: (v1 - v2)^2 / 2g, with the average inside diameters of ASTM D1785 (from memory).
    """
    line = behind(line_of(PIPES["sch40 3 in"]), "1-1/2 in")
    flow = 69.9 * GALLON
    fast, slow = (flow / (math.pi / 4 * (size * INCH) ** 2) for size in (1.592, 3.042))
    lost = (fast - slow) ** 2 / (2 * 9.80665)
    assert lost == pytest.approx(1.04 * FOOT, rel=0.01)
    with_it, without = (one.curve(29.0, 28.0).head(flow) for one in (line, line_of(PIPES["sch40 3 in"])))
    assert with_it - without == pytest.approx(lost, rel=1e-3)
    even = behind(line_of(PIPES["sch40 1-1/2 in"]), "1-1/2 in")
    assert even.port_loss == 0.0
    narrow = behind(line_of(PIPES["sch40 1-1/2 in"]), "2 in")
    assert 0.0 < narrow.port_loss < 0.5


def test_of_two_pumps_each_has_its_own_riser() -> None:
    """Half the flow goes through each: a quarter of the riser's loss, all of the line's."""
    line = behind(line_of(PIPES["sch40 3 in"], second_pump=True), "1-1/2 in")
    (one,), (two,) = line.curve(29.0, 28.0).pipes, line.curve(29.0, 28.0, pumps=2).pipes
    common = 1.0 + 0.9 + 1.8 + 0.42  # exit, corner, wye and the elbow into its branch
    assert one.loss_coefficient == pytest.approx(common + line.riser_loss)
    assert two.loss_coefficient == pytest.approx(common + line.riser_loss / 4)


def test_starts_follow_v_equals_t_q_over_4_and_the_cycle_formula() -> None:
    """EI 11C201: V = T q / 4. MIL-HDBK-1005/9A: t = (V/D)[1/(1 - Q/D) + 1/(Q/D)]."""
    station, _ = station_of(setting(basin={"pump": PUMP, "diameter": "24 in", "depth": "6 ft"}))
    volume, flow = station.band_volume, station.operating_flow
    assert 1.0 / station.starts == pytest.approx(4.0 * volume / flow)
    share = station.inflow / flow
    cycle = volume / flow * (1.0 / (1.0 - share) + 1.0 / share)
    assert 1.0 / station.starts_design == pytest.approx(cycle)
    assert station.run_time == pytest.approx(volume / (flow - station.inflow))


def test_designed_station_keeps_every_criterion() -> None:
    for gallons in (8, 20, 35):
        item = setting(gallons * GALLON)
        chosen = choose(item)
        station, _ = station_of(item)
        criteria = item.criteria
        assert chosen.shortfall == 0.0
        assert station.operating_flow >= criteria.pump_margin * station.inflow * (1 - 1e-3)
        assert criteria.minimum_velocity * (1 - 1e-3) <= station.velocity <= criteria.maximum_velocity * (1 + 1e-3)
        assert station.starts <= criteria.maximum_starts * (1 + 1e-3)
        assert station.on < station.lowest_inlet
        assert station.inside_diameter in DIAMETERS


@pytest.mark.parametrize("second", [False, True])
@pytest.mark.parametrize(("kind", "room"), [("adjustable", 2 * INCH), ("wide angle", 4 * INCH)])
def test_a_basin_left_to_the_design_has_room_for_every_float(second: bool, kind: str, room: float) -> None:
    """Upright switches 2 in apart, tethered ones 4 in; the basin is deepened for it, the band stays."""
    for lowest in (28.8, 28.9, 29.0, 29.1, 29.2):
        own = PUMP | {"float_kind": kind, "discharge_size": "1-1/2 in"}
        item = setting(basin={"pump": own, "second_pump": second}, lowest_inlet=lowest)
        station, _ = station_of(item)
        starts = [level for level in (station.on, station.second_on, station.alarm) if level is not None]
        assert min(b - a for a, b in itertools.pairwise(starts)) >= room - 1e-9
        assert station.alarm <= lowest - INCH + 1e-9
        assert station.starts <= item.criteria.maximum_starts * (1 + 1e-6)


def test_a_basin_of_a_given_depth_keeps_its_band_before_the_room_of_its_floats() -> None:
    """Just so deep that the start level lies 3 in below the lowest pipe: what the starts ask for comes first."""
    basin = {"pump": PUMP, "second_pump": True, "diameter": "24 in"}
    free, _ = station_of(setting(basin=basin))
    band = free.on - free.off
    depth = 30.05 - 29.0 + 3 * INCH + band + (free.off - free.floor)
    tight, _ = station_of(setting(basin=basin | {"depth": f"{depth} m"}))
    assert tight.on - tight.off == pytest.approx(band, rel=0.02)
    assert tight.on == pytest.approx(29.0 - 3 * INCH, abs=0.01)


def test_no_cheaper_combination_keeps_everything() -> None:
    """Every pump and pipe of the catalogue alone, held to the criteria: none that keeps them costs less."""
    from drainwright.system.lift.choice import _exact, _judge, _options, _settle

    item = setting(20 * GALLON)
    chosen = choose(item)
    _, cost = _judge(item, chosen.option, chosen.levels, chosen.flow)
    for option in _options(item):
        levels, flow = _settle(item, option, _exact(option))
        short, other = _judge(item, option, levels, flow)
        assert max(short.values()) > 1e-3 or other >= cost - 1e-6


def short_note(item: Setting) -> str:
    _, _, notes = lift_station(item, choose(item))
    return next((note for note in notes if "from the catalogue" in note), "")


def test_what_falls_short_is_named_with_its_figures() -> None:
    # 6 in of band in the widest common basin, 36 in, hold 26.4 gal: 15 Q / V starts an hour at the worst inflow
    own = PUMP | {"float_kind": "integral", "float_band": "6 in"}
    item = setting(basin={"pump": own, "depth": "5 ft"})
    station, _ = station_of(item)
    starts = 15.0 * station.operating_flow / GALLON / 26.44
    assert f"the pump starts {starts:.1f} times an hour at the worst inflow where 10 are wanted." in short_note(item)
    assert "no choice of basin and discharge pipe" in short_note(item)
    assert "delivers" not in short_note(item)
    deep = short_note(setting(lowest_inlet=28.0))
    assert deep.endswith("the basin is 8 ft deep where common ones are 6 ft at most.")
    weak = short_note(setting(400 * GALLON))  # 1.2 times as much is wanted
    assert "gpm where 480.0 gpm is wanted" in weak
    unreached = short_note(setting(line=lambda pipe: line_of(pipe, start=60.0, end=60.0)))
    assert "delivers 0.0 gpm where 24.0 gpm is wanted" in unreached
    assert "mm deep where" in short_note(setting(lowest_inlet=28.0, units="SI"))


def test_nothing_is_said_of_the_catalogue_where_all_is_kept_or_the_job_chose() -> None:
    assert short_note(setting()) == ""
    own = PUMP | {"float_kind": "integral", "float_band": "6 in"}
    chosen = setting(basin={"pump": own, "diameter": "18 in"})
    assert choose(chosen).short
    assert short_note(chosen) == ""


def test_integral_float_in_an_18_in_basin_starts_as_often_as_the_table_says() -> None:
    """18 in basin with 6 in of band holds 6.6 gal: 68 starts an hour at 30 gpm, 91 at 40. Derived in trade notes
    from 15 Qp / V (worst inflow half the pump's); the same by the station's own figures."""
    item = setting(basin={"pump": PUMP | {"float_kind": "integral", "float_band": "6 in"}, "diameter": "18 in"})
    station, _ = station_of(item)
    gallons = station.band_volume / 0.003785411784
    assert gallons == pytest.approx(6.6, abs=0.05)
    assert station.starts * 3600 == pytest.approx(15.0 * station.operating_flow / GALLON / gallons, rel=1e-6)


def test_a_given_basin_keeps_its_figures() -> None:
    basin = {"diameter": "24 in", "depth": "5 ft", "pump": PUMP, "on": "14 in", "off": "5 in", "alarm": "18 in"}
    station, _ = station_of(setting(basin=basin))
    assert station.chosen_by == "job"
    assert station.inside_diameter == pytest.approx(24 * INCH)
    assert station.floor == pytest.approx(30.05 - 5 * FOOT)
    heights = (station.off - station.floor, station.on - station.floor, station.alarm - station.floor)
    assert heights == pytest.approx((5 * INCH, 14 * INCH, 18 * INCH))


def test_a_pump_that_does_not_reach_is_no_error() -> None:
    item = setting(basin={"pump": PUMP}, line=lambda pipe: line_of(pipe, start=40.0, end=40.0))
    station, _ = station_of(item)
    assert not station.reaches
    assert station.operating_flow == 0.0
    assert station.run_time == math.inf


def test_drain_back_by_valve_and_relief_hole() -> None:
    pipe = PIPES["sch40 2 in"]
    line = line_of(pipe)
    area = math.pi / 4 * pipe.inside**2
    basin = setting().basin
    floor = 28.0
    assert drain_back(basin, line, floor) == pytest.approx(area * 0.6096)
    without = basin.model_copy(update={"check_valve": False})
    assert drain_back(without, line, floor) == pytest.approx(area * (29.5 - floor - PUMP_OUTLET))
    rising = line_of(pipe, start=29.0, end=29.5)
    assert drain_back(without, rising, floor) == pytest.approx(
        area * (29.0 - floor - PUMP_OUTLET + math.hypot(30.0, 0.5))
    )
    assert drain_back(basin.model_copy(update={"relief_hole": None}), line, floor) == 0.0
    outside = basin.model_copy(update={"relief_hole_place": "outside the basin"})
    assert drain_back(outside, line, floor) == 0.0


def test_uplift_is_the_weight_of_water_displaced() -> None:
    """Archimedes; 25 kg of basin and no collar hold almost nothing. Without a known water table, up to the ground."""
    bare = {"diameter": "24 in", "depth": "5 ft", "concrete_collar": "0 lb"}
    station, _ = station_of(setting(basin=bare))
    bottom = 30.05 - 5 * FOOT - 0.0064
    area = math.pi / 4 * (24 * INCH + 2 * 0.0064) ** 2
    assert station.uplift == pytest.approx(9806.65 * area * (29.5 - bottom), rel=1e-6)
    assert station.resisting == pytest.approx(25.0 * 9.80665)
    blind, _ = station_of(setting(basin=bare, water_table=None))
    assert blind.water_table == 30.0
    assert blind.uplift > station.uplift
    dry, _ = station_of(setting(basin=bare, water_table=20.0))
    assert dry.uplift == 0.0
    assert dry.uplift_safety == math.inf


def test_a_flange_and_a_collar_hold_the_basin_down() -> None:
    bare = {"diameter": "24 in", "depth": "5 ft", "concrete_collar": "0 lb"}
    plain, _ = station_of(setting(basin=bare))
    held, _ = station_of(setting(basin=bare | {"flange_width": "6 in", "concrete_collar": "400 lb"}))
    assert held.resisting > plain.resisting + 0.5 * 400 * 0.45359237 * 9.80665
    assert held.uplift == plain.uplift


@pytest.mark.parametrize("more", [1.0, 1.5, 2.5])
def test_more_inflow_never_gives_less_pump_or_line(more: float) -> None:
    small, thin = station_of(setting(12 * GALLON))
    large, thick = station_of(setting(12 * GALLON * more))
    assert large.operating_flow >= small.operating_flow - 1e-9
    assert nominal_size(thick.pipe) >= nominal_size(thin.pipe)


def test_the_line_sags_under_low_ground_to_keep_its_cover() -> None:
    pipe = PRESSURE_PIPES[2]
    inverts = pressure_inverts((0.0, 10.0, 20.0), (30.0, 29.0, 30.0), 29.6, 29.5, 0.3, pipe)
    assert inverts[0] == 29.6
    assert inverts[-1] == 29.5
    assert inverts[1] == pytest.approx(29.0 - 0.3 - pipe.inside - pipe.wall)


@pytest.mark.parametrize("end", [29.91, 29.78])
def test_a_falling_line_keeps_one_grade_to_an_end_that_is_shallow_itself(end: float) -> None:
    """No dip before an end with less cover than asked, unless the line would be shallower than that end."""
    pipe = PRESSURE_PIPES[2]
    deep = 0.2 + pipe.inside + pipe.wall
    grounds = (30.0, end, 29.7)
    found = pressure_inverts((0.0, 10.0, 20.0), grounds, 30.0 - deep, 29.7 - deep + 0.02, 0.2, pipe)
    straight = (found[0] + found[-1]) / 2.0
    assert found[1] == pytest.approx(min(straight, end - deep + 0.02))
    assert (found[1] == pytest.approx(straight)) == (end > 29.9)


def test_under_wheels_or_to_an_end_in_the_open_the_cover_goes_first() -> None:
    pipe = PRESSURE_PIPES[2]
    deep = 0.2 + pipe.inside + pipe.wall
    for raised, wheels in ((0.02, 0.2), (deep, 0.0)):
        found = pressure_inverts(
            (0.0, 19.0, 20.0), (30.0, 29.7, 29.7), 30.0 - deep, 29.7 - deep + raised, 0.2, pipe, wheels
        )
        assert found[1] == pytest.approx(29.7 - deep)


def test_a_tailwater_above_the_line_adds_to_the_lift() -> None:
    free, _ = station_of(setting(basin={"pump": PUMP}))
    drowned, _ = station_of(setting(basin={"pump": PUMP}, line=lambda pipe: replace(line_of(pipe), tailwater=31.0)))
    assert drowned.static_head > free.static_head
    assert drowned.operating_flow < free.operating_flow
