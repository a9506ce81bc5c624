"""The footing's bearing wedge."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace
from typing import cast

import pytest
from shapely import Point, Polygon

from drainwright.build.trench import cuts
from drainwright.build.units import FOOT, INCH
from drainwright.build.wedge import allowed_below, wedges
from drainwright.field.model import Site
from drainwright.field.surface import Surface
from drainwright.system.model import System
from drainwright.system.sized import lowest_trench

from .sample import GROUND, make_node, make_run, make_site, make_station, make_wall

FOOTING = GROUND - 3 * FOOT


def one_wall(slope: float = 1.0) -> Site:
    wall = make_wall("front", (0.0, 0.0), (6.0, 0.0), footing=FOOTING, open_and_coat=False)
    return make_site(walls=(wall,), criteria={"bearing_slope": slope})


def drain(away: float, below: float) -> System:
    """A drain parallel to the wall; its trench bottom ``below`` the footing's."""
    invert = FOOTING - below + 2 * INCH + 0.075 * INCH
    run = make_run("FD", ((0.0, -away), (6.0, -away)), invert, invert, ends=("a", "b"))
    nodes = {name: make_node(name, "junction", (0.0, 0.0), invert) for name in ("a", "b")}
    return System(nodes=nodes, runs=(run,), gravity=(), joined=None, discharge="OUT")


def test_offset_is_from_the_footing_s_edge_to_the_bed_s_edge() -> None:
    site = one_wall()
    (found,) = wedges(cuts(site, drain(2.0, 0.5)), site)
    assert found.offset == pytest.approx(2.0 - 4 * INCH - 6 * INCH)
    assert found.below_footing == pytest.approx(0.5)
    assert found.allowed_below == pytest.approx(found.offset)
    assert not found.inside


@pytest.mark.parametrize(("slope", "inside"), [(1.0, False), (2.0, True)])
def test_a_flatter_wedge_for_soft_soil_keeps_farther_away(slope: float, inside: bool) -> None:
    site = one_wall(slope)
    (found,) = wedges(cuts(site, drain(1.2, 0.6)), site)
    assert found.inside is inside


def test_a_drain_above_the_footing_s_bottom_is_safe_at_any_distance() -> None:
    site = one_wall()
    (found,) = wedges(cuts(site, drain(0.3, -0.05)), site)
    assert found.below_footing == pytest.approx(-0.05)
    assert not found.inside


def test_a_deep_basin_close_to_the_wall() -> None:
    site = one_wall()
    system = drain(2.0, 0.0)
    near = replace(system, stations=(make_station((3.0, -0.8), lowest=FOOTING),))
    far = replace(system, stations=(make_station((3.0, -2.5), lowest=FOOTING),))
    inside = {item.item: item.inside for item in wedges(cuts(site, near), site)}
    assert inside["SUMP"]
    assert not {item.item: item.inside for item in wedges(cuts(site, far), site)}["SUMP"]


def test_a_trench_far_from_every_wall_is_not_listed() -> None:
    site = one_wall()
    assert wedges(cuts(site, drain(8.0, 0.2)), site) == ()


def test_the_wedge_by_hand() -> None:
    assert allowed_below(0.9, 1.0) == 0.9
    assert allowed_below(0.9, 2.0) == pytest.approx(0.45)
    assert allowed_below(-0.1, 1.0) == 0.0


def test_a_footing_ends_square_past_the_wall_s_corner() -> None:
    """A hole off an outside corner, by hand: from the footing's corner, not from a rounded one."""
    site = one_wall()
    [wall] = site.walls
    out = wall.wall.footing_projection.value
    for east, north in ((-1.0, -1.5), (7.2, -0.9), (3.0, -2.0), (-0.5, -0.05), (6.4, 0.5)):
        corner = max(-out - east, east - 6.0 - out, 0.0), max(-north - out, north, 0.0)
        assert wall.off_footing((east, north)) == pytest.approx(math.hypot(*corner), abs=1e-12)
        assert Polygon(wall.footing_ring).distance(Point(east, north)) == pytest.approx(math.hypot(*corner), abs=1e-9)
    system = replace(drain(2.0, 0.0), stations=(make_station((-1.4, -1.4), lowest=FOOTING),))
    digs = cuts(site, system)
    [hole] = [cut for cut in digs if cut.kind == "basin"]
    [found] = [item for item in wedges(digs, site) if item.item == "SUMP"]
    assert found.offset == pytest.approx(hole.area.distance(Point(-out, -out)), abs=1e-9)
    rounded = hole.area.distance(Point(0.0, 0.0)) - out
    assert found.offset < rounded - 0.3 * out


def test_a_shield_s_outside_counts_against_the_footing_s_ground() -> None:
    """A run 6 ft deep, 3 ft 6 in off the wall: a box 30 in wide outside, its side 15 in from the middle."""
    wall = make_wall("front", (0.0, 0.0), (6.0, 0.0), footing=GROUND - 4 * FOOT, open_and_coat=False)
    site = make_site(walls=(wall,))
    invert = GROUND - 6 * FOOT + 2 * INCH + 0.075 * INCH
    run = make_run("YD", ((0.0, -42 * INCH), (6.0, -42 * INCH)), invert, invert, ends=("a", "b"), duty="yard drain")
    nodes = {name: make_node(name, "junction", (0.0, 0.0), invert) for name in ("a", "b")}
    system = System(nodes=nodes, runs=(run,), gravity=(), joined=None, discharge="OUT")
    (found,) = wedges(cuts(site, system), site)
    assert found.offset == pytest.approx((42 - 4 - 15) * INCH)
    assert found.inside  # 24 in below at 23 in away; with the room inside alone, 26 in away, it would have passed
    flat = cast("Surface", SimpleNamespace(level=lambda east, north: GROUND))
    ground = replace(site, surface=flat)
    assert lowest_trench(ground, (3.0, -42 * INCH), 24 * INCH) == pytest.approx(GROUND - 4 * FOOT - 23 * INCH)
    shallow = replace(ground, walls=(make_wall("front", (0.0, 0.0), (6.0, 0.0), footing=GROUND - 3 * FOOT),))
    assert lowest_trench(shallow, (3.0, -41 * INCH), 24 * INCH) == pytest.approx(GROUND - 5 * FOOT)  # no shield yet
