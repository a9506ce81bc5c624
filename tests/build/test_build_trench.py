"""The digging in place: exact volumes by hand, and no soil counted twice."""

from __future__ import annotations

import math

import pytest

from drainwright.build.trench import BASIN_BED, BASIN_ROOM, BASIN_WALL, Cut, cuts, trench
from drainwright.build.units import FOOT, INCH
from drainwright.field.model import Plan, Site, SiteWall
from drainwright.system.model import SizedRun, System

from .sample import GROUND, feet, make_node, make_pipe, make_run, make_site, make_station, make_system, make_wall

DEEP = GROUND - 1.0


def network(*runs: SizedRun, **changes: object) -> System:
    ends = {name for run in runs for name in (run.upper, run.lower)}
    nodes = {name: make_node(name, "junction", (0.0, 0.0), DEEP) for name in ends}
    return System(nodes=nodes, runs=runs, gravity=(), station=None, joined=None, discharge="OUT", **changes)  # type: ignore[arg-type]


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


def test_an_opened_wall_by_hand() -> None:
    """Two feet clear beside a 4 in projection; the projection itself is concrete, not soil."""
    site = wall_site()
    volume = volumes(site, network())["front"]
    width = 24 * INCH + 4 * INCH
    assert volume == pytest.approx(10.0 * (width * 1.0 - 4 * INCH * 8 * INCH))


def test_a_drain_in_the_opened_wall_s_trench_is_not_dug_again() -> None:
    site = wall_site()
    drain = straight("FD", (0.0, -0.4), (10.0, -0.4), upper=GROUND - 0.9, lower=GROUND - 0.9, walls=("front",))
    alone, both = volumes(site, network()), volumes(site, network(drain))
    assert both["FD"] == 0.0
    assert both["front"] == pytest.approx(alone["front"])


def test_only_what_leaves_the_wall_is_dug_for_the_drain() -> None:
    site = wall_site()
    drain = straight("FD", (0.0, -0.4), (13.0, -0.4), upper=GROUND - 0.9, lower=GROUND - 0.9, walls=("front",))
    assert volumes(site, network(drain))["FD"] == pytest.approx(3.0 * 0.6096 * (0.9 + drain.pipe.wall))


def test_a_drain_below_the_footing_deepens_the_wall_s_trench() -> None:
    site = wall_site()
    drain = straight("FD", (0.0, -0.4), (10.0, -0.4), upper=GROUND - 1.2, lower=GROUND - 1.2, walls=("front",))
    found = {cut.name: trench(cut, site) for cut in cuts(site, network(drain))}
    assert found["front"].depth_greatest == pytest.approx(1.2 + drain.pipe.wall)
    assert found["FD"].bank_volume == pytest.approx(0.0)


def test_an_outside_corner_is_dug_once() -> None:
    depth = 1.0
    walls = (
        make_wall("front", (0.0, 0.0), (10.0, 0.0), footing=GROUND - depth, footing_projection="0 in"),
        make_wall("side", (10.0, 0.0), (10.0, 6.0), footing=GROUND - depth, footing_projection="0 in"),
    )
    width = 24 * INCH
    assert sum(volumes(make_site(walls=walls), network()).values()) == pytest.approx((16.0 * width + width**2) * depth)


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
    assert sum(volumes(make_site(walls=walls), network()).values()) == pytest.approx((16.0 * width - width**2) * depth)


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


def test_a_basin_s_hole_is_round_and_takes_its_runs_ends() -> None:
    system = make_system()
    site = make_site()
    found = {cut.name: trench(cut, site) for cut in cuts(site, system)}
    station = make_station(feet(28, -1), lowest=GROUND - 2.5 * FOOT - 0.09)
    across = 24 * INCH + 2 * BASIN_WALL + 2 * BASIN_ROOM
    depth = GROUND - station.floor + BASIN_WALL + BASIN_BED
    assert found["SUMP"].bank_volume == pytest.approx(math.pi / 4 * across**2 * depth)
    assert found["FD"].length == pytest.approx(8 * FOOT - across / 2, abs=0.01)


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
