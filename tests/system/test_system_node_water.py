"""Water at the places of whole systems: losses, freeboard, grates and what runs on, leaders, stone, parted runs."""

from __future__ import annotations

import itertools
import math
import time
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from system_jobs import designed, document

from drainwright.hydraulics.access_hole import Inflow, access_hole
from drainwright.hydraulics.inlets import grate_capacity
from drainwright.system.catalogue import PIPES
from drainwright.system.network import Line, Network, Spot
from drainwright.system.surface.drain_trench import StoneBed, stone_velocity
from drainwright.system.surface.grates import grate_of, holds, takes
from drainwright.system.surface.node_water import leader_water, parted_runs
from drainwright.system.surface.reaches import reaches_of
from drainwright.system.surface.surface_line import Reach, water_line, water_lines
from drainwright.system.surface.surface_nodes import Arriving, head_at, turn_between
from drainwright.water.model import Cause

SOLID, DRAIN = PIPES["d3034 4 in"], PIPES["d2729 4 in perforated"]
G = 9.80665


def reach(name: str = "R", upper: str = "N", lower: str = "OUT", length: float = 20.0, **changes: Any) -> Reach:
    high, low = changes.pop("inverts", (10.2, 10.0))
    figures: dict[str, Any] = {
        "name": name, "upper": upper, "lower": lower, "upper_kind": "junction", "pipe": SOLID, "knots": (0.0, length),
        "inverts": (high, low), "flow": 0.004, "distances": tuple(np.linspace(0.0, length, round(length) + 1).tolist()),
    }  # fmt: skip
    return Reach(**(figures | changes))


def test_catch_basin_is_the_access_hole_of_its_pipes() -> None:
    """Two pipes and a grate into a drowned basin: the level is that of the formula with their turns and heights."""
    lower = reach("B", "CB", "OUT", upper_kind="inlet", flow=0.006, heading_upper=0.0, rim_upper=11.0)
    side = reach("A", "X", "CB", inverts=(10.6, 10.3), flow=0.002, heading_lower=math.pi / 2)
    main = reach("C", "Y", "CB", inverts=(10.6, 10.3), flow=0.003)
    lines = water_lines([side, main, lower], {"OUT": 10.5})
    speed = 0.006 / (math.pi * SOLID.inside**2 / 4)
    friction = (0.006 * SOLID.manning / (0.3117 * SOLID.inside ** (8 / 3))) ** 2
    energy = 10.5 + 20.0 * friction + speed**2 / (2 * G) - 10.2
    hole = access_hole(
        0.006, SOLID.inside, energy, speed,
        [Inflow(flow=0.002, turn=math.pi / 2, height=0.1), Inflow(flow=0.003, height=0.1),
         Inflow(flow=0.001, height=0.8, grate=True)],
    )  # fmt: skip
    assert lines["B"].node_level == pytest.approx(10.2 + hole.energy, abs=2e-4)
    assert set(lines["B"].losses) == {"entrance", "turn", "plunging water"}
    arrives = lines["A"].levels[-1]
    side_head = (0.002 / (math.pi * SOLID.inside**2 / 4)) ** 2 / (2 * G)
    assert arrives == pytest.approx(lines["B"].node_level - 0.6 * side_head, abs=1e-6)


def test_wye_raises_the_water_by_momentum_and_a_straight_joint_by_nothing() -> None:
    lower = reach("B", "J", "OUT", flow=0.006)
    main = reach("A", "X", "J", inverts=(10.4, 10.2), flow=0.003)
    side = reach("C", "Y", "J", inverts=(10.4, 10.2), flow=0.003, heading_lower=math.pi / 2)
    both = water_lines([main, side, lower], {"OUT": 10.5})["B"]
    assert both.losses["junction"] > 0.0
    straight = water_lines([replace(main, flow=0.006), lower], {"OUT": 10.5})["B"]
    assert straight.losses == {}
    bent = water_lines([replace(main, flow=0.006, heading_lower=math.pi / 4), lower], {"OUT": 10.5})["B"]
    head = (0.006 / (math.pi * SOLID.inside**2 / 4)) ** 2 / (2 * G)
    assert bent.node_level - straight.node_level == pytest.approx(0.0033 * 45 * head, rel=1e-6)


def test_pipes_that_run_past_a_downspout_s_foot_take_its_leader_in_from_the_side() -> None:
    """By hand: full pipes of one size, the leader's momentum has no part along the pipe."""
    lower = reach("B", "DS", "OUT", upper_kind="downspout", flow=0.006)
    main = reach("A", "X", "DS", inverts=(10.4, 10.2), flow=0.004)
    line = water_lines([main, lower], {"OUT": 10.5})["B"]
    area = math.pi * SOLID.inside**2 / 4
    assert line.losses == {"junction": pytest.approx((0.006**2 - 0.004**2) / area**2 / G)}
    alone = water_lines([lower], {"OUT": 10.5})["B"]
    assert set(alone.losses) == {"elbow"}


def test_a_turn_is_measured_the_short_way_round() -> None:
    assert turn_between(0.1, 2 * math.pi - 0.1) == pytest.approx(0.2)
    assert turn_between(0.0, math.pi) == pytest.approx(math.pi)


def test_places_without_flow_have_no_losses() -> None:
    head = head_at(
        kind="inlet", pipe=SOLID, invert=10.0, flow=0.0, heading=0.0, rim=11.0, depth=0.2, speed=0.0,
        arriving=[Arriving(flow=0.0, pipe=SOLID, invert=10.1, heading=0.0)],
    )  # fmt: skip
    assert head.level == 10.2
    assert head.losses == {}


def test_an_overflow_does_not_lift_the_water_of_the_place_it_leaves() -> None:
    lower = reach("B", "J", "OUT", flow=0.004)
    over = reach("O", "J", "OUT", inverts=(10.8, 10.7), flow=0.004, overflow=True)
    with_it = water_lines([lower, over], {"OUT": -math.inf})
    assert with_it["B"].node_level == water_lines([lower], {"OUT": -math.inf})["B"].node_level
    assert with_it["O"].node_level > 10.8


def drain(tail: float, flow: float = 0.006, stone: bool = True) -> tuple[Reach, Any]:
    item = reach(
        "FD", "H", "SUMP", pipe=DRAIN, inverts=(10.1, 10.0), flow=flow, gain=flow,
        stone=StoneBed(width=0.6, over=0.2, size=0.017) if stone else None,
    )  # fmt: skip
    return item, water_line(item, tail)


def test_stone_takes_its_share_beside_a_full_pipe_at_the_gradient_of_the_water() -> None:
    """The share on re-computation: the lesser law's velocity at the slope of the level, times the drowned stone."""
    item, line = drain(10.5)
    _, alone = drain(10.5, stone=False)
    assert line.stone.carried > 0.05 * item.flow
    assert line.levels[0] < alone.levels[0]
    levels = np.array(line.stone.levels)
    slope = float(-np.gradient(levels, item.distances)[-2])
    drowned = 0.6 * (DRAIN.inside + 0.2) - math.pi * DRAIN.outside**2 / 4
    assert stone_velocity(slope, 0.017) * drowned == pytest.approx(line.stone.carried, rel=0.05)
    assert line.stone.over_stone
    assert all(a >= b - 1e-9 for a, b in itertools.pairwise(line.stone.levels))


def test_stone_beside_a_part_full_pipe_carries_nothing_and_stands_by_the_holes() -> None:
    item, line = drain(-math.inf, flow=0.0008)
    assert line.stone.carried == 0.0
    assert not line.surcharged
    head = (item.gain / item.length / (0.5 * 0.61 * DRAIN.perforation_area)) ** 2 / (2 * G)
    assert line.stone.hole_head == pytest.approx(head)
    assert line.stone.levels[0] >= item.invert_upper + 0.25 * DRAIN.inside


def test_leader_s_capacity_under_head_is_that_of_the_full_pipe_walked_up() -> None:
    """At the flow that it carries to the foot, the water surface stands at the foot: within 2 % of the head."""
    spot: Any = type("Spot", (), {"ground": 10.9})()
    item = reach(upper_kind="downspout", flow=0.003, turns=((10.0, math.pi / 4),))
    line = water_line(item, 10.3)
    found = leader_water(item, line, spot)
    full = water_line(replace(item, flow=found.to_foot), 10.3)
    assert full.node_level == pytest.approx(10.9, abs=0.012)
    assert found.to_gutter > found.to_foot > item.flow
    low = leader_water(item, line, type("Spot", (), {"ground": 10.2})())
    assert low.to_foot == 0.0


def test_drain_with_an_overflow_at_its_head_parts_where_the_water_reaches_it() -> None:
    level = reach("FD", "H", "SUMP", pipe=DRAIN, inverts=(10.0, 10.0), flow=0.002, gain=0.002)
    over = reach("OV", "H", "OUT", inverts=(10.02, 9.9), flow=0.002, overflow=True)
    runs = parted_runs([level, over], water_lines([level, over], {"SUMP": -math.inf, "OUT": -math.inf}))
    assert runs["FD"].back + runs["FD"].on == pytest.approx(0.002)
    assert runs["FD"].back > 0.0
    drowned = parted_runs([level, over], water_lines([level, over], {"SUMP": 10.5}))
    assert drowned["FD"].on == 0.0
    high = replace(over, knots=(0.0, 20.0), inverts=(10.3, 9.9))
    assert parted_runs([level, high], water_lines([level, high], {"SUMP": -math.inf}))["FD"].back == 0.0
    assert parted_runs([level], water_lines([level], {})) == {}


def test_reaches_carry_their_turns_headings_and_what_enters_along_them() -> None:
    """Ten metres east, ten north: headings, the bend's place and turn; inflow is what the spot above does not bring."""
    line = Line(name="FD", duty="footing drain", upper="H", lower="S", route=((0.0, 0.0), (10.0, 0.0), (10.0, 10.0)))
    spots = {
        "H": Spot(name="H", kind="inlet", at=(0.0, 0.0), ground=11.0, rim=10.9),
        "S": Spot(name="S", kind="basin", at=(10.0, 10.0), ground=11.0, rim=11.0),
    }
    graded: Any = SimpleNamespace(found={"FD": SimpleNamespace(pipe=DRAIN, knots=(0.0, 20.0), inverts=(10.2, 10.0))})
    flows: Any = SimpleNamespace(
        lines={"FD": {Cause.YARD: 0.001, Cause.GROUND: 0.002}}, spots={"H": {Cause.YARD: 0.001}}
    )
    (found,) = reaches_of(Network(spots=spots, lines=(line,)), graded, flows, (line,))
    assert (found.heading_upper, found.heading_lower) == pytest.approx((0.0, math.pi / 2))
    assert found.turns == ((10.0, pytest.approx(math.pi / 2)),)
    assert found.gain == pytest.approx(0.002)
    assert found.rim_upper == 10.9
    assert not found.overflow


def test_forty_runs_are_fast() -> None:
    runs = [reach(f"R{n}", f"N{n}", f"N{n + 1}", upper_kind="inlet", flow=1e-4 * (n + 1), rim_upper=12.0,
                  inverts=(14.2 - 0.2 * n, 14.0 - 0.2 * n)) for n in range(40)]  # fmt: skip
    begun = time.process_time()
    water_lines(runs, {"N40": 6.0})
    assert time.process_time() - begun < 0.4  # 0.1 s; twice the allowance, for a busy machine


def test_grates_take_what_the_formula_says_and_nothing_when_drowned_from_below() -> None:
    grate = grate_of(None)
    assert grate is not None
    assert (grate.perimeter, grate.clear) == pytest.approx((4 * 0.3048, 0.4 * 0.3048**2))
    assert takes(grate, 10.0, 0.05, 9.5, 0.5) == pytest.approx(float(grate_capacity(1.2192, grate.clear, 0.05, 0.5)))
    assert takes(grate, 10.0, 0.05, 10.03, 0.5) == pytest.approx(float(grate_capacity(1.2192, grate.clear, 0.02, 0.5)))
    assert takes(grate, 10.0, 0.05, 10.06, 0.5) == 0.0


def yards(*inlets: tuple[str, str], size: str = "4 in", area: str = "20000 ft2") -> dict[str, Any]:
    """The invented lot, which falls to the south, with inlets of a size and one large yard to the first."""
    data = document(0.02, inlets=[{"name": name, "at": at, "size": size} for name, at in inlets])
    data["yards"][0]["area"] = f"{area}, measured"
    return data


def test_what_a_small_grate_lets_pass_runs_to_the_next_one_down_the_slope() -> None:
    """CB1 lies straight up the fall from CB2: what it lets pass comes to CB2, and all of it is counted there."""
    site, _, system = designed(yards(("CB1", "-12 ft, -6 ft"), ("CB2", "-12 ft, -40 ft")))
    first, second = system.water["CB1"].grate, system.water["CB2"].grate
    assert first is not None
    assert second is not None
    assert first.carried > 0.0
    assert (first.to, first.name) == ("inlet", "CB2")
    assert second.received == pytest.approx(first.carried)
    assert second.flow == pytest.approx(second.received)
    assert first.takes + first.carried == pytest.approx(first.flow)
    assert second.to in ("off the lot", "not known")
    assert holds(site, "CB1", system.water["CB1"].rim)[0] <= 0.1524


def test_what_a_grate_above_the_house_lets_pass_comes_to_the_house() -> None:
    """North of the house the ground falls towards its north wall."""
    site, _, system = designed(yards(("CB1", "20 ft, 40 ft")))
    grate = system.water["CB1"].grate
    assert grate is not None
    assert grate.carried > 0.0
    assert grate.to == "house"
    assert "north" in grate.name
    assert any(wall.name == "north" for wall in site.walls)


def test_a_large_grate_lets_nothing_pass() -> None:
    _, _, system = designed(yards(("CB1", "-12 ft, -6 ft"), size="24 in", area="500 ft2"))
    grate = system.water["CB1"].grate
    assert grate is not None
    assert grate.carried == 0.0
    assert grate.to is None
    assert grate.wanted < grate.head


def test_whole_job_has_water_at_its_places_and_in_its_stone() -> None:
    _, _, system = designed(document())
    assert {"CB1", "DS1", "DS2"} <= set(system.water)
    for name, water in system.water.items():
        assert math.isfinite(water.level), name
        assert water.freeboard == pytest.approx(water.rim - water.level)
        assert all(loss >= 0.0 for loss in water.losses.values())
    for run in system.runs:
        if run.duty == "footing drain" and not run.pressure and run.stone_width > 0:
            assert len(run.stone_water) == len(run.stations)
            assert all(
                level >= station.water - 1e-9 for level, station in zip(run.stone_water, run.stations, strict=True)
            )
    for water in system.water.values():
        if water.leader is not None:
            assert water.leader.to_gutter >= water.leader.to_foot
