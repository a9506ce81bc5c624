"""The discharge line in detail: profile, relief hole, surge, what runs back."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad, solve_ivp
from scipy.optimize import brentq
from system_stations import line_of, setting, station_of

from drainwright.hydraulics.geometry import segment_area
from drainwright.hydraulics.openflow import part_full_flow
from drainwright.hydraulics.surge import joukowsky, reverse_velocity, wave_speed
from drainwright.job.values import Place
from drainwright.job.works import Basin
from drainwright.sources import SOURCES
from drainwright.system.catalogue import find_pipe
from drainwright.system.lift.line_details import counted, line_details, relief_leak, surge_of
from drainwright.system.lift.line_profile import beyond_highest, standing_water, turnings

PIPE = find_pipe("sch40 2 in")
DOWN = -math.inf


def basin(**values: object) -> Basin:
    return Basin(at=Place(east=0.0, north=0.0)).model_copy(update=values)


def test_turnings_name_high_and_low_places_between_the_ends() -> None:
    highs, lows = turnings((0, 10, 20, 30, 40), (29.0, 29.5, 29.2, 29.8, 29.4))
    assert [(item.distance, round(item.by, 6)) for item in highs] == [(10, 0.3), (30, 0.4)]
    assert [(item.distance, round(item.by, 6)) for item in lows] == [(20, 0.3)]


@pytest.mark.parametrize("inverts", [(29.0, 29.5, 30.0), (30.0, 29.5, 29.0), (29.0, 29.0, 29.0), (29.0, 29.004, 29.0)])
def test_one_grade_has_no_turning(inverts: tuple[float, ...]) -> None:
    assert turnings((0, 10, 20), inverts) == ((), ())


@given(st.lists(st.floats(0.0, 2.0), min_size=3, max_size=12))
def test_high_and_low_places_take_turns(levels: list[float]) -> None:
    highs, lows = turnings(tuple(float(i) for i in range(len(levels))), tuple(levels))
    order = sorted([*((item.distance, "high") for item in highs), *((item.distance, "low") for item in lows)])
    assert all(a[1] != b[1] for a, b in itertools.pairwise(order))
    assert all(item.by >= 0.01 - 1e-12 for item in (*highs, *lows))


def test_a_sag_holds_the_water_of_its_wedge() -> None:
    """Down 0.3 m over 10 m and up again: the wedges hold what direct integration of the circular segments gives."""
    sag = standing_water(
        (0.0, 10.0, 20.0), (30.0, 29.7, 30.0), (31.0, 31.0, 31.0), PIPE, runs_back=True, tailwater=DOWN, frost=0.0
    )

    def area(distance: float) -> float:
        depth = min(max(30.0 - np.interp(distance, (0.0, 10.0, 20.0), (30.0, 29.7, 30.0)), 0.0), PIPE.inside)
        return float(segment_area(float(depth), PIPE.inside))

    whole = 2.0 * quad(area, 0.0, 10.0, points=[10.0 - 10.0 * (0.3 - PIPE.inside) / 0.3], limit=200)[0]
    assert sag.volume == pytest.approx(whole, rel=0.002)
    assert sag.length == pytest.approx(20.0, abs=0.4)
    assert sag.cover == pytest.approx(1.0 - PIPE.inside, abs=0.01)


def test_a_check_valve_holds_the_rising_line_full_and_without_it_the_line_runs_back() -> None:
    profile = ((0.0, 20.0), (29.0, 30.0), (30.2, 31.0), PIPE)
    held = standing_water(*profile, runs_back=False, tailwater=DOWN, frost=0.5)
    loose = standing_water(*profile, runs_back=True, tailwater=DOWN, frost=0.5)
    assert held.volume == pytest.approx(math.pi / 4 * PIPE.inside**2 * 20.0, rel=0.03)
    assert loose.volume == 0.0
    assert loose.cover == math.inf


def test_frost_takes_only_what_holds_water_and_lies_above_it() -> None:
    """Cover falls from 1.15 to 0.95 m along a full line: half of it lies above a frost of 1.05 m."""
    profile = ((0.0, 20.0), (29.0, 30.0), (30.15 + PIPE.inside, 30.95 + PIPE.inside), PIPE)
    frozen = [
        standing_water(*profile, runs_back=False, tailwater=DOWN, frost=depth).frozen for depth in (0.0, 0.9, 1.05, 1.2)
    ]
    assert frozen[0] == frozen[1] == 0.0
    assert frozen[2] == pytest.approx(10.0, abs=0.4)
    assert frozen[3] == pytest.approx(20.0, abs=0.9)


def test_beyond_its_highest_place_a_line_runs_part_full_by_manning() -> None:
    found = beyond_highest((0.0, 5.0, 25.0), (29.0, 30.0, 29.5), PIPE, 0.0008, 0.3, DOWN)
    assert found is not None
    assert found.part_full
    assert (found.distance, found.length) == (5.0, 20.0)
    assert found.fall == pytest.approx(0.5)
    assert part_full_flow(found.depth, PIPE.inside, 0.025, PIPE.manning) == pytest.approx(0.0008, rel=1e-6)
    assert found.velocity == pytest.approx(0.0008 / segment_area(found.depth, PIPE.inside))
    assert found.suction == 0.0


def test_a_drowned_end_makes_a_siphon_with_its_suction() -> None:
    """The water hangs on the highest crown by the fall to the tailwater, less what the way there loses."""
    found = beyond_highest((0.0, 5.0, 25.0), (29.0, 32.0, 29.0), PIPE, 0.001, 0.5, 29.5)
    assert found is not None
    assert found.drowned
    assert not found.part_full
    assert found.suction == pytest.approx(32.0 + PIPE.inside - 29.5 - 0.5 * 20.0 / 25.0)
    assert beyond_highest((0.0, 5.0), (29.0, 30.0), PIPE, 0.001, 0.5, DOWN) is None


def test_the_relief_hole_takes_what_pump_line_and_orifice_agree_on() -> None:
    station, line = station_of(setting())
    hole = basin(relief_hole=0.0047625)
    leak = relief_leak(station, line, hole)
    assert leak is not None
    level, area = (station.on + station.off) / 2, math.pi / 4 * 0.0047625**2
    system, curve = line.curve(level, station.floor), station.pump.curve
    bore = math.pi / 4 * line.pipe.inside**2
    above = max(station.floor + 0.15 - level, 0.0)

    def off_balance(flow: float) -> float:
        head = curve.head(flow) - above - (flow / bore) ** 2 / (2 * 9.80665)
        return float(curve.head(flow) - system.head(flow - 0.61 * area * math.sqrt(2 * 9.80665 * head)))

    root = brentq(off_balance, 0.8 * station.operating_flow, curve.runout, xtol=1e-12)
    assert leak.pump_flow == pytest.approx(root, rel=1e-6)
    assert leak.net_flow + leak.leak == pytest.approx(leak.pump_flow)
    assert leak.pump_flow > station.operating_flow > leak.net_flow
    assert leak.power == pytest.approx(999.7 * 9.80665 * leak.leak * curve.head(leak.pump_flow))
    assert relief_leak(station, line, basin(relief_hole=None)) is None
    wide = relief_leak(station, line, basin(relief_hole=0.012))
    assert wide is not None
    assert wide.share > 4.0 * leak.share


def test_surge_is_joukowsky_over_the_duty_and_the_dead_head_is_the_shutoff() -> None:
    station, line = station_of(setting())
    found = surge_of(station, line)
    speed = wave_speed(line.pipe.inside, line.pipe.wall)
    assert found.sudden == pytest.approx(joukowsky(speed, station.velocity))
    assert found.critical_time == pytest.approx(2 * (line.length + line.riser(station.floor)) / speed)
    assert found.dead_head == pytest.approx(999.7 * 9.80665 * station.pump.curve.shutoff)
    assert found.highest == pytest.approx(found.working + found.sudden)
    assert 0.0 < found.reverse_velocity <= station.velocity
    loose = surge_of(station, replace(line, check_valve=False))
    assert (loose.reverse_velocity, loose.slam) == (0.0, 0.0)


def test_surge_counts_with_all_that_the_pumps_may_deliver_at_once() -> None:
    """A power cut stops both pumps of a pair; on a shared line the pump alone moves the water fastest."""
    station, line = station_of(setting(basin={"second_pump": True}))
    assert station.study is not None
    pair = station.study.pair
    assert pair is not None
    bore = math.pi / 4 * line.pipe.inside**2
    found, one = surge_of(station, line), surge_of(replace(station, study=None), line)
    assert found.stopped == pytest.approx(pair.both_flow / bore)
    assert found.sudden / one.sudden == pytest.approx(pair.both_flow / station.operating_flow)
    assert found.working == pytest.approx(999.7 * 9.80665 * pair.both_head)
    assert found.highest > one.highest
    shared = surge_of(replace(station, study=None, flow_alone=1.3 * station.operating_flow), line)
    assert shared.stopped == pytest.approx(1.3 * one.stopped)
    assert shared.working == pytest.approx(one.working)  # less head alone, yet that of them all counts


def test_what_runs_back_starts_the_pump_again() -> None:
    """V out of the band, V_b back: the starts of a steady inflow grow by V over V - V_b."""
    station, line = station_of(setting())
    back = replace(station, drain_back=station.band_volume / 5.0)
    details = line_details(back, line, basin(), (30.5, 30.4, 30.3), 0.0, "US")
    assert details.drains.starts_factor == pytest.approx(1.25)
    never = line_details(replace(station, drain_back=station.band_volume), line, basin(), (30.5, 30.4, 30.3), 0.0, "US")
    assert never.drains.starts_factor == math.inf
    assert (details.drains.out, details.drains.back) == (line.length, 0.0)
    rising = line_of(line.pipe, start=29.0, end=29.5)
    upward = line_details(station, rising, basin(), (30.5, 30.4, 30.3), 0.0, "US")
    assert (upward.drains.out, upward.drains.back) == (0.0, line.length)


def test_every_fitting_is_counted_once() -> None:
    _, line = station_of(setting())
    items = counted(line)
    assert {item.kind: item.count for item in items} == dict(line.fittings())
    (part,) = line.curve(29.0, 28.0).pipes
    assert sum(item.coefficient for item in items) == pytest.approx(part.loss_coefficient)
    assert all(item.source in SOURCES for item in items)


def test_a_drowned_end_makes_the_whole_line_turn_back() -> None:
    """Longer column, slower turn: beyond the highest place of a line that ends in air the water is gone."""
    station, line = station_of(setting())
    drowned = surge_of(station, replace(line, tailwater=line.highest))
    level, riser = (station.on + station.off) / 2, line.riser(station.floor)
    lift = line.highest - level
    assert drowned.reverse_velocity == pytest.approx(9.80665 * lift / (riser + line.length) * 0.1)
    assert drowned.column == pytest.approx(riser + line.length)
    column = max(riser + line.to_highest, lift)
    free = surge_of(station, line)
    assert free.column == pytest.approx(column)
    assert free.reverse_velocity == pytest.approx(min(9.80665 * lift / column * 0.1, station.velocity))
    low = surge_of(replace(station, off=station.floor, on=station.floor + 0.02), line)
    assert low.reverse_velocity <= 9.80665 * 0.1 + 1e-12, "no column turns faster than it would fall"


def test_a_riser_of_4_ft_alone_reaches_all_but_the_speed_of_free_fall() -> None:
    """Stepped in time with its losses: a short column is not a slow one, it turns at once.

    The riser of 1.281 m and lift of 1.2625 m are those of a line that falls away from its basin. Losses of check valve,
    elbow, union and pump: 5 velocity heads; the column shortens as it falls. The formula leaves them out.
    """
    riser, lift, delay = 1.281, 1.2625, 0.1

    def push(_: float, now: Sequence[float]) -> list[float]:
        fallen, speed = now
        return [speed, 9.80665 * (lift - fallen - 5.0 * speed**2 / (2 * 9.80665)) / (riser - fallen)]

    stepped = solve_ivp(push, (0.0, delay), [0.0, 0.0], rtol=1e-9, atol=1e-12).y[1][-1]
    bound = reverse_velocity(lift, riser, delay, 10.0)
    assert 0.9 * bound < stepped < bound
    assert bound == pytest.approx(0.966, abs=0.001)


def test_wye_of_a_second_pump_and_tee_of_a_relief_are_counted() -> None:
    plain, both = line_of(PIPE), line_of(PIPE, second_pump=True, relief_tee=True)
    assert dict(both.fittings()) == {**plain.fittings(), "ell45": 1, "wye": 1, "tee_run": 1}
    (part,), (bare,) = both.curve(29.0, 28.0).pipes, plain.curve(29.0, 28.0).pipes
    assert part.loss_coefficient - bare.loss_coefficient == pytest.approx(0.42 + 1.8 + 0.6)
