"""Ends of pipes in the open: speed, stone, and what becomes of the water on its way."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise
from typing import Any

import pytest

from drainwright.design import Design
from drainwright.field.terrain_model import WayOn
from drainwright.hydraulics.energy import critical_depth
from drainwright.hydraulics.geometry import segment_area, top_width
from drainwright.job.site import YardArea
from drainwright.job.values import Basis, Fact, si
from drainwright.system.lift.pump_model import PumpPair
from drainwright.system.outlets.outfalls import leaving, most_out, outfalls

FOOT = 0.3048


def with_way(
    result: Design, path: tuple[tuple[float, float], ...], fall: float, kind: str = "beyond the shots"
) -> Design:
    """The design with the water's way laid anew."""
    terrain = result.site.terrain
    assert terrain is not None
    length = sum(math.dist(a, b) for a, b in pairwise(path))
    values: dict[str, Any] = {"kind": kind, "path": path, "length": length, "fall": fall}
    way = WayOn(name="OUT", to="south side", walls=(), comes_back=False, **values)
    return replace(result, site=replace(result.site, terrain=replace(terrain, ways_on=(way,))))


def test_free_fall_leaves_at_critical_depth_or_faster(gravity: Design) -> None:
    run = gravity.system.run("MD")
    assert leaving(gravity.system, run)[2] >= run.velocity
    # Froude number of one by its own formula: q² B = g A³ at the critical depth, so v² = g A / B
    level = tuple(replace(station, invert=0.0) for station in run.stations)
    depth_speed = leaving(gravity.system, replace(run, velocity=0.1, stations=level))[2]
    depth = critical_depth(run.flow, run.pipe.inside)
    area, width = segment_area(depth, run.pipe.inside), top_width(depth, run.pipe.inside)
    assert depth_speed == pytest.approx(math.sqrt(9.80665 * area / width), rel=1e-3)


def test_a_steep_last_stretch_counts_with_its_own_speed(gravity: Design) -> None:
    run = gravity.system.run("MD")
    *upper, end = run.stations
    steep = replace(run, stations=(*upper, replace(end, invert=upper[-1].invert - 0.08)))
    grade = 0.08 / (end.distance - upper[-1].distance)
    _, depth, speed = leaving(gravity.system, steep)
    area = segment_area(depth, run.pipe.inside)
    wetted = 2.0 * math.acos(1.0 - 2.0 * depth / run.pipe.inside) * run.pipe.inside / 2.0
    assert speed == pytest.approx(run.flow / area)
    assert speed == pytest.approx((area / wetted) ** (2 / 3) * math.sqrt(grade) / run.pipe.manning, rel=1e-4)
    assert speed > 1.5 * run.velocity


def test_a_pumped_line_lets_out_what_the_pump_delivers(mended: Design) -> None:
    station, (fall,) = mended.system.station, mended.system.outfalls
    assert station is not None
    run = mended.system.run(station.discharge_run)
    assert station.operating_flow > 1.4 * run.flow  # the pump has its margin: more leaves than comes
    assert fall.flow == max(point.flow for point in station.points if point.place in ("off", "middle", "on"))
    assert fall.velocity == pytest.approx(fall.flow / (math.pi / 4 * run.pipe.inside**2))
    assert fall.velocity >= station.velocity
    assert fall.apron == pytest.approx(6.2 * run.pipe.inside * fall.velocity / fall.allowed)


def test_two_pumps_together_let_out_more_than_one(mended: Design) -> None:
    station = mended.system.station
    assert station is not None
    assert station.study is not None
    pair = PumpPair(
        second=station.pump, alike=True, second_flow=station.operating_flow, both_flow=2.0 * station.operating_flow,
        both_head=3.0, flows=(station.operating_flow, station.operating_flow), gain=1.0, starts_each=0.0,
        starts_each_design=0.0,
    )  # fmt: skip
    both = replace(station, study=replace(station.study, pair=pair))
    system = replace(mended.system, stations=(both,))
    assert most_out(system, system.run(station.discharge_run)) == pair.both_flow


def test_a_line_that_falls_to_its_end_runs_out_part_full_and_fast(metric: Design) -> None:
    station = metric.system.station
    assert station is not None
    assert station.line is not None
    assert station.line.beyond is not None
    run = metric.system.run(station.discharge_run)
    *upper, end = run.stations
    steep = replace(run, stations=(*upper, replace(end, invert=upper[-1].invert - 0.5)))
    flow, depth, speed = leaving(metric.system, steep)
    assert depth < 0.7 * run.pipe.inside
    assert speed > 1.4 * flow / (math.pi / 4 * run.pipe.inside**2)
    drowned = replace(station, line=replace(station.line, beyond=replace(station.line.beyond, drowned=True)))
    assert leaving(replace(metric.system, stations=(drowned,)), steep)[1] == run.pipe.inside


def test_a_pump_that_lifts_nothing_counts_with_what_comes(wrong: Design) -> None:
    station = wrong.system.station
    assert station is not None
    dead = replace(station, operating_flow=0.0, points=(), study=None)
    run = wrong.system.run(station.discharge_run)
    assert leaving(replace(wrong.system, stations=(dead,)), run)[0] == run.flow
    assert leaving(replace(wrong.system, stations=(dead,)), replace(run, flow=0.0)) == (0.0, 0.0, 0.0)


def test_fast_water_asks_for_stone_and_slow_water_for_none(gravity: Design) -> None:
    (calm,) = gravity.system.outfalls
    assert not calm.scours
    assert (calm.apron, calm.stone, calm.apron_built) == (0.0, 0.0, 0.0)
    runs = tuple(replace(run, velocity=2.5) if run.name == "MD" else run for run in gravity.system.runs)
    (fast,) = outfalls(gravity.site, gravity.inflows, replace(gravity.system, runs=runs))
    assert fast.scours
    assert fast.apron >= 4 * fast.diameter
    assert fast.stone >= 0.05
    assert fast.apron_width > 3 * fast.diameter


def test_way_that_crosses_the_boundary_is_told_where(gravity: Design) -> None:
    start = gravity.system.nodes["OUT"].at
    south = min(north for _, north in gravity.site.boundary)
    told = with_way(gravity, (start, (start[0], start[1] - 20.0)), 1.0)
    way = outfalls(told.site, told.inflows, told.system)[0].way
    assert way is not None
    assert way.leaves_after == pytest.approx(start[1] - south)
    assert way.leaves_at == pytest.approx((start[0], south))
    inside = with_way(gravity, (start, (start[0], start[1] - 1.0)), 0.1, "boundary")
    way = outfalls(inside.site, inside.inflows, inside.system)[0].way
    assert way is not None
    assert way.leaves_after == pytest.approx(1.0)  # its last cell lies just inside


def test_soil_takes_in_more_the_faster_it_is_and_never_more_than_comes(gravity: Design) -> None:
    start = gravity.system.nodes["OUT"].at
    told = with_way(gravity, (start, (start[0] - 12.0, start[1])), 0.5)
    shares = []
    for rate in (1e-7, 1e-5, 1e-3):
        way = outfalls(told.site, replace(told.inflows, conductivity=rate), told.system)[0].way
        assert way is not None
        shares.append(way.soaked)
        assert way.soaked_near == 0.0  # 40 ft from the house
    assert 0.0 < shares[0] < shares[1] < shares[2] == 1.0
    # so little that the width hardly changes: rate, width and length make the share
    way = outfalls(told.site, replace(told.inflows, conductivity=1e-7), told.system)[0].way
    assert way is not None
    flow = told.system.outfalls[0].flow
    assert way.soaked == pytest.approx(1e-7 * way.width * 12.0 / flow, rel=0.01)


def test_what_soaks_in_beside_the_house_is_counted_apart(gravity: Design) -> None:
    wall = min(north for _, north in gravity.site.outline)
    told = with_way(gravity, ((2.0, wall - 1.0), (8.0, wall - 1.0), (8.0, wall - 9.0)), 0.4)
    way = outfalls(told.site, replace(told.inflows, conductivity=1e-5), told.system)[0].way
    assert way is not None
    assert way.nearest_house == pytest.approx(1.0)
    assert 0.0 < way.soaked_near < way.soaked


def test_kerb_is_told_how_wide_the_water_stands(gravity: Design) -> None:
    job = gravity.job
    point = job.works.discharge[0].model_copy(update={"kind": "street", "apron": si(1.0)})
    site = replace(
        gravity.site, job=job.model_copy(update={"works": job.works.model_copy(update={"discharge": (point,)})})
    )
    (fall,) = outfalls(site, gravity.inflows, gravity.system)
    assert fall.spread is not None
    assert 0.5 < fall.spread < 2.0
    assert fall.allowed == math.inf
    assert fall.apron_built == 1.0


def test_surface_is_that_of_the_yard_it_lies_in(gravity: Design) -> None:
    yard = YardArea.model_validate(
        {"name": "bed", "surface": "bare soil", "to": "away",
         "outline": ["50 ft, -44 ft", "54 ft, -44 ft", "54 ft, -40 ft", "50 ft, -40 ft"]}
    )  # fmt: skip
    site = replace(gravity.site, job=gravity.job.model_copy(update={"yards": (*gravity.job.yards, yard)}))
    (fall,) = outfalls(site, gravity.inflows, gravity.system)
    assert (fall.surface, fall.surface_basis) == ("bare soil", Basis.STATED)
    assert fall.scours  # loam, bare: 2 ft/s
    assert isinstance(site.job.rules.house_setback, Fact)
