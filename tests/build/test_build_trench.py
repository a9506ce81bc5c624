"""The digging in place: exact volumes by hand, and no soil counted twice."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from drainwright.build.side import dig_plan
from drainwright.build.stone import basin_bed, bed, beds
from drainwright.build.trench import Cut, cuts, trench
from drainwright.build.units import FOOT, INCH
from drainwright.field.model import Plan, Site, SiteWall
from drainwright.system.lift.uplift import BASIN_WALL
from drainwright.system.model import SizedRun, System
from drainwright.system.yard.basin_hole import HOLE_BED, HOLE_ROOM, hole_of
from drainwright.worksheet import worksheet

from .sample import GROUND, feet, make_node, make_pipe, make_run, make_site, make_station, make_system, make_wall

DEEP = GROUND - 1.0


def network(*runs: SizedRun, **changes: object) -> System:
    ends = {name for run in runs for name in (run.upper, run.lower)}
    nodes = {name: make_node(name, "junction", (0.0, 0.0), DEEP) for name in ends}
    return System(nodes=nodes, runs=runs, gravity=(), joined=None, discharge="OUT", **changes)  # type: ignore[arg-type]


def volumes(site: Site, system: System) -> dict[str, float]:
    return {cut.name: trench(cut, site).bank_volume for cut in cuts(site, system)}


def straight(
    name: str, first: Plan, last: Plan, *, upper: float = DEEP, lower: float = DEEP, **changes: object
) -> SizedRun:
    return make_run(name, (first, last), upper, lower, ends=(f"{name}a", f"{name}b"), stone=0.0, **changes)  # type: ignore[arg-type]


def test_a_straight_trench_is_length_by_width_by_mean_depth() -> None:
    run = straight("R", (0.0, 0.0), (10.0, 0.0), upper=GROUND - 0.8, lower=GROUND - 1.2)
    site = make_site(walls=())
    (cut,) = cuts(site, network(run))
    found = trench(cut, site)
    assert found.bank_volume == pytest.approx(10.0 * 0.6096 * (1.0 + run.pipe.wall))
    assert found.depth_greatest == pytest.approx(1.2 + run.pipe.wall)
    assert found.length == pytest.approx(10.0)


def test_a_shallow_pipe_is_laid_from_above_in_a_slot() -> None:
    run = straight("R", (0.0, 0.0), (10.0, 0.0), upper=GROUND - 0.4, lower=GROUND - 0.5)
    (cut,) = cuts(make_site(walls=()), network(run))
    assert cut.width == pytest.approx(max(10 * INCH, run.pipe.outside + 6 * INCH))


def test_wide_stone_widens_the_trench() -> None:
    run = make_run("R", ((0.0, 0.0), (10.0, 0.0)), DEEP, DEEP, ends=("a", "b"), stone=0.9)
    (cut,) = cuts(make_site(walls=()), network(run))
    assert cut.width == pytest.approx(0.9)


def wall_site(**changes: object) -> Site:
    wall = make_wall("front", (0.0, 0.0), (10.0, 0.0), footing=GROUND - 1.0, **changes)
    return make_site(walls=(wall,))


TOP = 1.0 - 8 * INCH  # depth of the footing's top: 0.7968 m
WIDE = 28 * INCH  # two feet clear beside a 4 in projection: 0.7112 m
CLEAR = 24 * INCH


def test_an_opened_wall_by_hand() -> None:
    """To the top of the footing, where the coat ends: 10 x 0.7112 x 0.7968 = 5.667 m³."""
    volume = volumes(wall_site(), network())["front"]
    assert volume == pytest.approx(10.0 * WIDE * TOP)
    assert volume == pytest.approx(5.667, abs=1e-3)


def test_a_drain_in_the_opened_wall_s_trench_is_not_dug_again() -> None:
    """The wall's dig goes with the drain, beside the footing: 24 in wide, from 0.7968 to 0.9019 m below the ground."""
    site = wall_site()
    drain = straight("FD", (0.0, -0.4), (10.0, -0.4), upper=GROUND - 0.9, lower=GROUND - 0.9, walls=("front",))
    both = volumes(site, network(drain))
    assert both["FD"] == 0.0
    assert both["front"] == pytest.approx(10.0 * (WIDE * TOP + CLEAR * (0.9 + drain.pipe.wall - TOP)))


def test_only_what_leaves_the_wall_is_dug_for_the_drain() -> None:
    site = wall_site()
    drain = straight("FD", (0.0, -0.4), (13.0, -0.4), upper=GROUND - 0.9, lower=GROUND - 0.9, walls=("front",))
    assert volumes(site, network(drain))["FD"] == pytest.approx(3.0 * 0.6096 * (0.9 + drain.pipe.wall))


def test_a_drain_below_the_footing_digs_its_own_trench_in_the_wall_s() -> None:
    """The wall's dig stops at the footing's bottom, 1 m down; what is below is as wide as a drain's trench."""
    site = wall_site()
    drain = straight("FD", (0.0, -0.4), (10.0, -0.4), upper=GROUND - 1.2, lower=GROUND - 1.2, walls=("front",))
    found = {cut.name: trench(cut, site) for cut in cuts(site, network(drain))}
    assert found["front"].depth_greatest == pytest.approx(1.0)
    assert found["front"].bank_volume == pytest.approx(10.0 * (WIDE * TOP + CLEAR * 8 * INCH))
    assert found["FD"].bank_volume == pytest.approx(10.0 * 0.6096 * (0.2 + drain.pipe.wall))
    assert found["FD"].depth_greatest == pytest.approx(1.2 + drain.pipe.wall)


def falling(walls: tuple[str, ...] = ("front",), first: float = 0.0) -> SizedRun:
    """A drain in 12 in of stone whose trench is 0.70 m deep at one end of the wall and 0.95 m at the other."""
    bed = make_pipe().wall + 2 * INCH
    route = ((first, -0.4), (10.0, -0.4))
    upper = GROUND - 0.70 - 0.025 * first + bed
    return make_run("FD", route, upper, GROUND - 0.95 + bed, ends=("a", "b"), walls=walls)


PASS = (TOP - 0.70) / 0.025  # where that trench passes the footing's top: 3.872 m along


def test_the_bottom_is_the_lower_of_footing_top_and_drain_at_every_station() -> None:
    cut = next(cut for cut in cuts(wall_site(), network(falling())) if cut.kind == "wall")
    assert len(cut.distances) > 20
    for distance, bottom in zip(cut.distances, cut.bottom, strict=True):
        assert bottom == pytest.approx(min(GROUND - TOP, GROUND - 0.70 - 0.025 * distance), abs=1e-9)


def test_a_falling_drain_deepens_the_wall_s_dig_by_a_wedge() -> None:
    """10 x 0.7112 x 0.7968 and a wedge 6.128 m long, 0.1532 m deep at its end, 0.6096 m wide: 5.667 + 0.286 m³."""
    found = volumes(wall_site(), network(falling()))
    assert found["front"] == pytest.approx(10.0 * WIDE * TOP + CLEAR * (10.0 - PASS) * (0.95 - TOP) / 2)
    assert found["front"] == pytest.approx(5.953, abs=1e-3)
    assert found["FD"] == pytest.approx(0.0, abs=1e-6)


def test_beyond_the_drain_s_end_the_dig_stays_at_the_footing_s_top() -> None:
    cut = next(cut for cut in cuts(wall_site(), network(falling(first=6.0))) if cut.kind == "wall")
    assert float(np.interp(2.0, cut.distances, cut.bottom)) == pytest.approx(GROUND - TOP)
    assert float(np.interp(8.0, cut.distances, cut.bottom)) == pytest.approx(GROUND - 0.90)


def test_a_gap_under_a_drain_is_filled_with_its_stone() -> None:
    """A wedge 3.872 m long, 0.0968 m high at its end and 12 in wide: 0.0571 m³, under the bed's own stone."""
    site, run = wall_site(), falling()
    digs = cuts(site, network(run))
    with worksheet() as steps:
        (placed,) = beds(site, network(run), digs)
    alone = bed(run)
    by_hand = PASS * (TOP - 0.70) / 2 * 12 * INCH
    assert by_hand == pytest.approx(0.0571, abs=1e-4)
    assert placed.fill == pytest.approx(by_hand)
    assert placed.stone == pytest.approx(alone.stone + by_hand)
    assert placed.displaced == pytest.approx(alone.displaced + by_hand)
    assert placed.fabric == alone.fabric
    assert (placed.fill_length, placed.fill_height) == pytest.approx((PASS, TOP - 0.70))
    step = next(step for step in steps if step.formula == "build.earth.volume_by_stations")
    assert step.place == "runs.FD"
    assert step.result == pytest.approx(by_hand)
    (note,) = [note for note in dig_plan(site, digs, (placed,)).notes if note.startswith("FD: over 12 ft 8")]
    assert "same clean stone" in note


def test_only_a_wall_s_own_drain_has_its_gap_filled() -> None:
    run = falling(walls=())
    (placed,) = beds(wall_site(), network(run), cuts(wall_site(), network(run)))
    assert placed == bed(run)
    shut = falling()
    (placed,) = beds(wall_site(), network(shut), cuts(wall_site(open_and_coat=False), network(shut)))
    assert placed == bed(shut)


def test_an_outside_corner_is_dug_once() -> None:
    depth = 1.0
    walls = (
        make_wall("front", (0.0, 0.0), (10.0, 0.0), footing=GROUND - depth, footing_projection="0 in"),
        make_wall("side", (10.0, 0.0), (10.0, 6.0), footing=GROUND - depth, footing_projection="0 in"),
    )
    width = 24 * INCH
    assert sum(volumes(make_site(walls=walls), network()).values()) == pytest.approx((16.0 * width + width**2) * TOP)


def test_an_inside_corner_is_dug_once() -> None:
    depth = 1.0
    walls = (
        make_wall("wing", (10.0, 6.0), (10.0, 0.0), footing=GROUND - depth, footing_projection="0 in"),
        make_wall("back", (10.0, 0.0), (0.0, 0.0), footing=GROUND - depth, footing_projection="0 in"),
    )
    # outward of wing is west, of back is north: the two trenches overlap in the inside corner
    assert walls[0].outward == pytest.approx((-1.0, 0.0))
    assert walls[1].outward == pytest.approx((0.0, 1.0))
    width = 24 * INCH
    assert sum(volumes(make_site(walls=walls), network()).values()) == pytest.approx((16.0 * width - width**2) * TOP)


def test_walls_in_line_meet_without_a_gap_or_an_overlap() -> None:
    def wall(name: str, first: float, last: float) -> SiteWall:
        return make_wall(name, (first, 0.0), (last, 0.0), footing=GROUND - 1.0)

    parts = volumes(make_site(walls=(wall("one", 0.0, 4.0), wall("two", 4.0, 10.0))), network())
    assert sum(parts.values()) == pytest.approx(volumes(make_site(walls=(wall("all", 0.0, 10.0),)), network())["all"])


def test_where_two_trenches_cross_the_soil_is_dug_once() -> None:
    deep = straight("deep", (0.0, 0.0), (10.0, 0.0), upper=GROUND - 1.2, lower=GROUND - 1.2)
    across = straight("across", (5.0, -5.0), (5.0, 5.0), upper=GROUND - 1.0, lower=GROUND - 1.0)
    site = make_site(walls=())
    both = volumes(site, network(deep, across))
    assert both["deep"] == pytest.approx(volumes(site, network(deep))["deep"])
    assert both["across"] == pytest.approx((10.0 - 0.6096) * 0.6096 * (1.0 + deep.pipe.wall))


def test_a_deep_basin_s_hole_is_square_and_takes_its_runs_ends() -> None:
    system = make_system()
    site = make_site()
    found = {cut.name: trench(cut, site) for cut in cuts(site, system)}
    station = make_station(feet(28, -1), lowest=GROUND - 2.5 * FOOT - 0.09)
    across = 24 * INCH + 2 * BASIN_WALL + 2 * HOLE_ROOM + 6 * INCH  # of shields
    depth = GROUND - station.floor + BASIN_WALL + HOLE_BED
    assert found["SUMP"].bank_volume == pytest.approx(across**2 * depth)
    assert found["FD"].length == pytest.approx(8 * FOOT - across / 2, abs=0.01)


@pytest.mark.parametrize("deep", [4.9, 5.0, 7.0])
def test_a_basin_s_hole_is_square_from_the_depth_that_wants_panels(deep: float) -> None:
    """29 CFR 1926.652(a)(1): protected from 5 ft; panels and shores are straight, and stand along the wall."""
    site = make_site(walls=(make_wall("slant", feet(0, 0), feet(8, 6), footing=GROUND - 3 * FOOT),))
    floor = GROUND - deep * FOOT + BASIN_WALL + HOLE_BED
    station = replace(make_station(feet(28, -9), lowest=floor + 0.6), floor=floor)
    dug = next(cut for cut in cuts(site, replace(make_system(), stations=(station,))) if cut.kind == "basin")
    square = deep >= 5.0
    across = 24 * INCH + 2 * BASIN_WALL + 2 * HOLE_ROOM + (6 * INCH if square else 0.0)  # of shields
    plan = across**2 if square else math.pi / 4 * across**2
    found = trench(dug, site)
    assert found.bank_volume == pytest.approx(plan * deep * FOOT)
    assert dug.area.area == pytest.approx(plan, rel=1e-3)
    assert found.round is not square
    assert (found.protection == "slope or shield") is square
    if square:  # its sides go 8 to 6, as the wall does
        (a, b), (c, d), *_ = dug.area.exterior.coords
        assert (c - a) * 6.0 == pytest.approx((d - b) * 8.0)
    assert basin_bed(site, station).zones[0].volume == pytest.approx(plan * HOLE_BED)


def test_no_panels_stand_in_stable_rock() -> None:
    site = make_site(walls=())
    deep = make_station(feet(28, -9), lowest=GROUND - 7 * FOOT)
    assert hole_of(site, deep).square
    rock = make_site(walls=(), ground={"texture": "sandy loam, measured", "osha_type": "stable rock"})
    assert not hole_of(rock, deep).square


@pytest.mark.parametrize(("width", "room"), [(6 * INCH, 9 * INCH), (12 * INCH, 12 * INCH)])
def test_a_basin_s_hole_has_room_for_its_collar(width: float, room: float) -> None:
    """The hole reaches as far as the collar; stone fills what basin and concrete leave of it."""
    outside, height = 24 * INCH + 2 * BASIN_WALL, 8 * INCH
    ring = math.pi / 4 * ((outside + 2 * width) ** 2 - outside**2) * height
    station = replace(
        make_station(feet(28, -1), lowest=GROUND - 1.0), collar=2400.0 * ring, collar_width=width, collar_height=height
    )
    system = replace(make_system(), stations=(station,))
    site = make_site()
    found = {cut.name: trench(cut, site) for cut in cuts(site, system)}["SUMP"]
    across = outside + 2 * room + 6 * INCH  # of shields
    assert found.width == pytest.approx(across)
    hole, body = across**2, math.pi / 4 * outside**2
    stone = hole * HOLE_BED + (hole - body) * (0.6 + BASIN_WALL) - ring
    assert basin_bed(site, station).stone == pytest.approx(stone)
    buried = GROUND - station.floor + BASIN_WALL
    assert basin_bed(site, station).displaced == pytest.approx(stone + ring + body * buried)


def test_the_widths_leave_room_for_the_letters_two_feet() -> None:
    wall_cut: Cut = next(cut for cut in cuts(wall_site(), network()) if cut.kind == "wall")
    assert wall_cut.clear >= 24 * INCH


def test_pipe_at_the_catalogue_s_sizes_fits_its_slot() -> None:
    run = straight(
        "R",
        (0.0, 0.0),
        (4.0, 0.0),
        upper=GROUND - 0.3,
        lower=GROUND - 0.3,
        pipe=make_pipe("1-1/2 in", "Schedule 40", False),
    )
    (cut,) = cuts(make_site(walls=()), network(run))
    assert cut.width == pytest.approx(10 * INCH)


def test_panels_of_shields_make_a_deep_trench_wider_outside_and_only_where_they_stand() -> None:
    """By hand: 4 ft to 8 ft deep over 20 ft, 24 in of room; from 5 ft on, three quarters of the way, 6 in more."""
    pipe = make_pipe()
    run = straight(
        "R", (0.0, 0.0), (20 * FOOT, 0.0), upper=GROUND - 4 * FOOT + pipe.wall, lower=GROUND - 8 * FOOT + pipe.wall
    )
    site = make_site(walls=())
    (cut,) = cuts(site, network(run))
    found = trench(cut, site)
    assert (cut.clear, cut.panels) == pytest.approx((24 * INCH, 6 * INCH))
    assert found.width == pytest.approx(30 * INCH)
    by_hand = 20 * FOOT * 2 * FOOT * 6 * FOOT + 15 * FOOT * 0.5 * FOOT * 6.5 * FOOT
    assert found.bank_volume == pytest.approx(by_hand, rel=0.01)  # stations stand a foot apart
    other = make_site(walls=(), criteria={"shield_panels": "0 in"})
    (without,) = cuts(other, network(run))
    assert trench(without, other).bank_volume == pytest.approx(20 * FOOT * 2 * FOOT * 6 * FOOT)


def test_panels_at_an_opened_wall_stand_on_the_soil_s_side_and_leave_the_room_to_work() -> None:
    deep = make_wall("front", (0.0, 0.0), (6.0, 0.0), footing=GROUND - 8 * FOOT)
    shallow = make_wall("front", (0.0, 0.0), (6.0, 0.0), footing=GROUND - 4 * FOOT)
    found = {}
    for name, wall in (("deep", deep), ("shallow", shallow)):
        site = make_site(walls=(wall,))
        found[name] = next(cut for cut in cuts(site, network()) if cut.kind == "wall")
    assert found["deep"].clear == pytest.approx(found["shallow"].clear)
    assert found["deep"].width == pytest.approx(found["shallow"].width + 3 * INCH)
    assert found["shallow"].panels == 0.0
