"""The storm with pumps of two makes, and with a battery unit that has a pump of its own."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
import pytest
from stepper import shafts, step
from storm_jobs import inflows, pumped_system, site, station

from drainwright.hydraulics.pump import PressurePipe, PumpCurve, SystemCurve, operating_point_parallel
from drainwright.storm import storm_test
from drainwright.storm.engine.plant import Floats
from drainwright.storm.network import build_network
from drainwright.storm.pump_tables import BATTERY, BOTH, FIRST, SECOND, curve_of, pump_table
from drainwright.system.lift.pair import together
from drainwright.system.lift.pump_model import BatteryUnit, PumpPair, PumpStudy, WetSeason
from drainwright.system.model import LiftStation, PumpChoice, System

STRONG = PumpCurve(flows=(0.0, 0.002, 0.004), heads=(9.0, 6.5, 2.0))
WEAK = PumpCurve(flows=(0.0, 0.0006, 0.0012), heads=(4.0, 2.8, 0.5))


def study(second: PumpCurve | None = None, battery: PumpCurve | None = None) -> PumpStudy:
    def choice(curve: PumpCurve) -> PumpChoice:
        from dataclasses import replace

        return replace(station().pump, curve=curve)

    pair = None if second is None else PumpPair(
        second=choice(second), alike=second == STRONG, second_flow=0.0, both_flow=0.0, both_head=0.0, flows=(0.0, 0.0),
        gain=0.0, starts_each=0.0, starts_each_design=0.0,
    )  # fmt: skip
    unit = None if battery is None else BatteryUnit(
        pump=choice(battery), own_pump=True, flow=0.0, head=0.0, reaches=True, open_flow=0.0, capacity=75.0, volts=12.0,
        usable=0.5, current=10.0, hours=(),
    )  # fmt: skip
    season = WetSeason(
        inflow=0.0, likely=0.0, share=0.0, run_time=0.0, starts=0.0, power=None, power_assumed=False, energy=None,
        days=120.0, cycles=100_000, cycles_years=math.inf, likely_starts=0.0,
    )  # fmt: skip
    return PumpStudy(
        wear=0.15, worn_flow=0.0, worn_shutoff=0.0, pair=pair, unit=unit, offered=None, season=season, storms=()
    )


def made(**values: Any) -> LiftStation:
    return station(study=study(**values), second_on=8.9)


def test_two_makes_side_by_side_lie_where_the_root_finder_puts_them() -> None:
    for head in np.linspace(2.1, 8.9, 30):
        both = together(STRONG, WEAK)
        assert both.flow(float(head)) == pytest.approx(STRONG.flow(float(head)) + WEAK.flow(float(head)), rel=2e-3)
    line = pumped_system().run("DL")
    levels, flows = pump_table(made(second=WEAK), line, 1, curve_of(made(second=WEAK), BOTH))
    losses = PressurePipe(length=25.0 + 9.8 - 8.2 - 0.15, diameter=0.0409, roughness=140.0, loss_coefficient=6.0)
    for level in (8.3, 8.9, 9.8):
        point = operating_point_parallel((STRONG, WEAK), SystemCurve(static_head=1.6 - (level - 8.5), pipes=(losses,)))
        assert np.interp(level, levels, flows) == pytest.approx(point.flow, rel=3e-3)


def flows_of(system: System) -> dict[int, Floats]:
    network = build_network(site(), inflows(), system)
    rows = network.plant.stations.flow[0, 0]
    return {FIRST: rows[0], BOTH: rows[1], BATTERY: rows[2], SECOND: network.second[0, 0]}


def test_each_row_of_the_table_is_what_runs() -> None:
    flows = flows_of(pumped_system(study=study(second=WEAK, battery=WEAK), second_on=8.9))
    assert np.all(flows[BOTH] >= flows[FIRST] * (1 - 1e-3))  # under the weak one's reach the same
    assert np.all(flows[FIRST] > flows[SECOND])
    assert flows[SECOND] == pytest.approx(flows[BATTERY])
    alike = flows_of(pumped_system(second_on=8.9))
    assert alike[SECOND] == pytest.approx(alike[FIRST])
    assert alike[BATTERY] == pytest.approx(alike[FIRST])


def test_a_weak_standby_is_left_alone_when_the_first_pump_dies() -> None:
    def highest(second: PumpCurve) -> float:
        case = storm_test(site(), inflows(), pumped_system(study=study(second=second), second_on=8.9)).case("pump dead")
        assert case is not None
        return case.nodes["SUMP"].highest

    assert highest(WEAK) > highest(STRONG) + 0.01


def test_in_the_cut_the_battery_units_own_pump_lifts() -> None:
    """1.5 L/s come, the mains lift 2.5 L/s and the unit 1 L/s: 0.5 L/s gather through the cut."""
    stage, stored = shafts([0.25], [0.0])
    values: dict[str, Any] = {
        "stage": stage, "stored": stored, "start": [0.02], "edges": [0.0, 600.0, 1800.0, 3600.0],
        "inflow": [[0.0015]] * 3, "basin": 0, "off": 0.02, "on": 0.1, "pump_levels": [0.0, 5.0],
        "cut_from": 600.0, "cut_to": 1800.0, "battery": 1e6,
    }  # fmt: skip
    mains, own = [0.0025, 0.0025], [0.001, 0.001]
    same = step(**values, pump_flows=[mains, mains, mains])
    weak = step(**values, pump_flows=[mains, mains, own])
    in_cut = (weak.rows[:, 0] > 600.0) & (weak.rows[:, 0] <= 1800.0)
    assert weak.highest[0] > same.highest[0] + 0.5
    assert np.max(weak.rows[in_cut, 3]) > 0.0
    started = weak.starts[weak.starts < 1800.0].max()
    begun = max(600.0, started)
    assert weak.highest[0] == pytest.approx((0.1 + 0.0005 * (1800.0 - begun)) / 0.25, rel=0.15)
