"""Sides of trenches that make one hole, and whether there is room to slope them back."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
import pytest

from drainwright.build import build_side
from drainwright.build.model import Trench
from drainwright.build.protection import guard
from drainwright.build.sides import lines_along, lines_close, sloped_into
from drainwright.build.trench import Cut, cuts
from drainwright.build.units import FOOT
from drainwright.field.model import Site, SiteTree, SiteWall
from drainwright.job.site import Tree
from drainwright.job.values import Basis
from drainwright.system.model import System

from .sample import GROUND, feet, make_node, make_run, make_site, make_system, make_utility, make_wall

SAND = {"texture": "sand, measured", "osha_type": "C, measured"}


def trenches(walls: tuple[SiteWall, ...], system: System, **changes: Any) -> dict[str, Trench]:
    site = make_site(walls=walls, ground=SAND, **changes)
    return {trench.name: trench for trench in build_side(site, system).dig.trenches}


def drained(depth: float, *, beyond: float = 0.0) -> System:
    """A drain along the front wall whose trench is so deep, the part beyond the wall deeper."""
    low = GROUND - depth + 2 / 12 * FOOT + 0.002
    run = make_run(
        "FD", (feet(0, -1), feet(20, -1), feet(60, -1)), low, low - beyond, ends=("a", "b"), walls=("front",)
    )
    nodes = {name: make_node(name, "junction", feet(0, -1), low) for name in ("a", "b")}
    return System(nodes=nodes, runs=(run,), gravity=(), joined=None, discharge="OUT")


def front(depth: float, basis: str = "measured") -> SiteWall:
    level = GROUND - depth
    footing = {"value": f"{level} m", "basis": basis}
    return make_wall("front", feet(0, 0), feet(20, 0), footing=level, footing_bottom=footing)


def test_a_wall_takes_the_protection_of_the_drain_beside_it() -> None:
    found = trenches((front(4.8 * FOOT),), drained(4.6 * FOOT, beyond=1.5 * FOOT))
    assert found["FD"].depth_greatest > 5 * FOOT > found["front"].depth_greatest
    assert found["FD"].protection in ("house-foundation letters", "slope or shield")
    assert found["front"].protection == found["FD"].protection
    assert found["front"].spoil_setback == found["FD"].spoil_setback


def test_a_run_is_as_deep_as_its_own_dig_not_as_the_walls_that_holds_its_other_part() -> None:
    """14.51 m of trench 1.55 m deep were printed as 1.97 m, the depth inside the wall's dig, with its judged depth,
    its slopes and five lifts too many."""
    found = trenches((front(8 * FOOT),), drained(7 * FOOT, beyond=-3 * FOOT))
    held = next(item for item in found.values() if item.name == "FD")
    assert held.length < 45 * FOOT
    assert 4.4 * FOOT < held.depth_greatest < 6.9 * FOOT
    assert found["front"].depth_greatest == pytest.approx(7 * FOOT, abs=1.1 * FOOT)
    assert held.judged == pytest.approx(held.depth_greatest)


def test_walls_that_meet_at_a_corner_take_the_stricter_protection() -> None:
    deep = make_wall("east", feet(20, 0), feet(20, 20), footing=GROUND - 9 * FOOT)
    nothing = System(nodes={}, runs=(), gravity=(), joined=None, discharge="OUT")
    found = trenches((front(3 * FOOT), deep), nothing)
    assert found["front"].protection == found["east"].protection == "slope or shield"
    alone = trenches((front(3 * FOOT),), nothing)
    assert alone["front"].protection == "none"
    apart = make_wall("east", feet(40, 20), feet(40, 40), footing=GROUND - 9 * FOOT)
    assert trenches((front(3 * FOOT), apart), nothing)["front"].protection == "none"


@pytest.mark.parametrize(
    ("basis", "protection"),
    [
        ("measured", "house-foundation letters"),
        ("mapped", "house-foundation letters"),
        ("assumed", "slope or shield"),
        ("stated", "slope or shield"),
    ],
)
def test_the_letters_want_a_measured_depth(basis: str, protection: str) -> None:
    found = guard(
        depth=6 * FOOT, bottom_width=2 * FOOT, soil_type="C", by_house=True, letters=True, water=False,
        basis=Basis(basis),
    )  # fmt: skip
    assert found.protection == protection


@pytest.mark.parametrize(("feet_deep", "protection"), [(3.4, "none"), (3.6, "competent person decides"),
                                                       (4.6, "slope or shield"), (19.6, "engineer")])  # fmt: skip
def test_a_depth_that_is_assumed_counts_half_a_foot_more(feet_deep: float, protection: str) -> None:
    given: dict[str, Any] = {
        "depth": feet_deep * FOOT, "bottom_width": 2 * FOOT, "soil_type": "C", "by_house": False, "letters": False,
        "water": False,
    }  # fmt: skip
    assert guard(**given, basis=Basis.ASSUMED).protection == protection
    assert guard(**given).protection != protection or feet_deep == 3.4


def test_a_wall_s_footing_that_is_assumed_marks_its_trench() -> None:
    system = drained(4.0 * FOOT)
    found = trenches((front(4.8 * FOOT, "assumed"),), system)
    assert found["front"].basis is found["FD"].basis is Basis.ASSUMED
    assert trenches((front(4.8 * FOOT),), system)["front"].basis is Basis.MEASURED


def basin(**changes: Any) -> Trench:
    site = make_site(ground=SAND, **changes)
    return next(trench for trench in build_side(site, make_system()).dig.trenches if trench.kind == "basin")


def test_a_basin_by_the_house_has_no_room_for_sloped_sides() -> None:
    """The basin's centre lies 8 ft from the house's corner; 5 ft 3 in deep, its crest lies 7 ft 10 in off its edge."""
    found = basin()
    assert found.protection == "slope or shield"
    assert (found.slope_fits, found.slope_meets) == (False, ("the house",))


def test_a_basin_in_open_ground_has_room() -> None:
    away = ["-40 ft, 0 ft", "-20 ft, 0 ft", "-20 ft, 20 ft"]
    house = {"outline": away, "floor_kind": "slab", "floor": "30 m"}
    site = replace(make_site(ground=SAND, house=house), outline=(feet(-40, 0), feet(-20, 0), feet(-20, 20)))

    def hole(**changes: Any) -> Trench:
        build = build_side(replace(site, **changes), make_system())
        return next(trench for trench in build.dig.trenches if trench.kind == "basin")

    assert hole().slope_fits
    square = tuple(feet(*at) for at in ((-60, -60), (33, -60), (33, 60), (-60, 60)))
    assert hole(boundary=square).slope_meets == ("the boundary",)
    wide = tuple(feet(*at) for at in ((-60, -60), (60, -60), (60, 60), (-60, 60)))
    assert hole(boundary=wide).slope_fits
    shallow = make_utility("cable", "electric", (feet(34, -60), feet(34, 60)), 2 * FOOT)
    assert hole(utilities=(shallow,)).slope_meets == ("the cable",)
    deep = make_utility("sewer", "sewer", (feet(34, -60), feet(34, 60)), 5 * FOOT)
    assert hole(utilities=(deep,)).slope_fits


AWAY = (feet(-40, 0), feet(-20, 0), feet(-20, 20))  # an outline of the house that no slope reaches


def dig_of(kind: str, **changes: Any) -> tuple[Cut, Site]:
    site = replace(make_site(ground=SAND, **changes), outline=AWAY)
    return next(item for item in cuts(site, make_system()) if item.kind == kind), site


def test_a_line_along_inside_a_dig_leaves_no_room_to_slope_and_one_across_does() -> None:
    """A gas line 12 in out from a wall lies in its dig for the wall's 20 ft; sides were once sloped over it."""
    dig, site = dig_of("wall", walls=(front(6 * FOOT),))

    def judged(*route: tuple[float, float], depth: float = 2 * FOOT) -> tuple[tuple[tuple[str, float], ...], object]:
        gas = make_utility("gas service", "gas", tuple(feet(*at) for at in route), depth)
        here = replace(site, utilities=(gas,))
        return lines_along(dig, here), sloped_into(dig, here, 1.5)

    assert judged((10, -60), (10, 0)) == ((), ())
    ((name, length),), meets = judged((-30, -1), (50, -1))
    assert (name, meets) == ("gas service", ("the gas service",))
    assert length == pytest.approx(20 * FOOT, rel=0.2)
    assert judged((-30, -1), (50, -1), depth=7 * FOOT) == ((), ())


def test_a_gas_line_close_beside_a_dig_is_told_also_where_it_turns_into_it() -> None:
    """Gas 6 in off a dig along a wall: its stub to the meter, square across, hid the stretch along the dig."""
    dig, site = dig_of("wall", walls=(front(6 * FOOT),))
    zone, half = site.job.rules.tolerance_zone.value, 0.5 * 0.0254

    def judged(*route: tuple[float, float], kind: str = "gas", depth: float = 2 * FOOT) -> tuple[object, object]:
        gas = make_utility("gas service", kind, tuple(feet(*at) for at in route), depth)
        here = replace(site, utilities=(gas,))
        return lines_close(dig, here), sloped_into(dig, here, 1.5)

    side = float(dig.area.bounds[1]) / FOOT  # the dig's far side, ft
    along = ((-30, side - 0.5), (10, side - 0.5))
    for route in (along, (*along, (10, 0))):  # past the wall, or up to it
        ((name, gap, length),), meets = judged(*route)
        assert (name, meets) == ("gas service", ("the gas service",))
        assert gap == pytest.approx(0.5 * FOOT - judged_radius(site, "gas"), abs=1e-6)
        assert length > 10 * FOOT
    assert judged((10, -60), (10, 0)) == ((), ())  # straight across it is a crossing
    assert judged(*along, kind="water")[0] == ()
    assert judged(*along, depth=7 * FOOT)[0] == ()
    off = side - (zone + half) / FOOT - 0.2
    assert judged((-30, off), (50, off))[0] == ()


def judged_radius(site: Site, kind: str) -> float:
    return make_utility("it", kind, (feet(0, 0), feet(1, 0)), 1.0).utility.diameter / 2


def test_a_tree_near_the_sloped_side_leaves_no_room() -> None:
    hole, site = dig_of("basin")
    crest = hole.area.bounds[2] + hole.depth * 1.5

    def meets(east: float, *, keep: bool = True) -> tuple[str, ...]:
        tree = Tree.model_validate({"name": "oak", "at": "0 ft, 0 ft", "trunk_diameter": "26 in", "keep": keep})
        oak = SiteTree(tree=tree, at=(east, hole.area.centroid.y), root_radius=5.0)
        return sloped_into(hole, replace(site, trees=(oak,)), 1.5)

    stands = 3 * 26 * FOOT / 12
    assert meets(crest + stands - 0.05) == ("the oak",)
    assert meets(crest + stands + 0.05) == ()
    assert meets(crest, keep=False) == ()


def deepening(**changes: Any) -> tuple[Cut, Site]:
    """A run to the east, 3 ft deep at its upper end and 8 ft after 60 ft."""
    run = make_run("MD", (feet(0, -40), feet(60, -40)), GROUND - 3 * FOOT, GROUND - 8 * FOOT, ends=("a", "b"))
    nodes = {name: make_node(name, "junction", feet(0, -40), GROUND) for name in ("a", "b")}
    system = System(nodes=nodes, runs=(run,), gravity=(), joined=None, discharge="OUT")
    site = replace(make_site(ground=SAND), outline=AWAY, **changes)
    return next(item for item in cuts(site, system) if item.name == "MD"), site


def test_a_line_is_judged_where_the_dig_is_deep_and_not_only_where_it_is_near() -> None:
    """A line 4 ft off the shallow end and 6 ft off the deep one: only the deep end's slope comes out under it."""
    dig, site = deepening()
    half = dig.width / 2 / FOOT
    route = (feet(0, -40 + half + 5.5), feet(60, -40 + half + 7))
    at = (GROUND - 1.5 * FOOT,) * 2
    cable = replace(make_utility("cable", "electric", route, 1.5 * FOOT), top=at)
    assert sloped_into(dig, replace(site, utilities=(cable,)), 1.5) == ("the cable",)
    upper = replace(make_utility("cable", "electric", (route[0], feet(25, -40 + half + 6)), 1.5 * FOOT), top=at)
    assert sloped_into(dig, replace(site, utilities=(upper,)), 1.0) == ()


def test_a_line_s_own_level_counts_at_each_place_of_it() -> None:
    """Shallow only where the dig is shallow, the line lies below what the deep end's slope opens."""
    dig, site = deepening()
    north = -40 + dig.width / 2 / FOOT + 6
    line = make_utility("main", "water", (feet(0, north), feet(60, north)), 1.0 * FOOT)
    falls = replace(line, top=(GROUND - 1.0 * FOOT, GROUND - 6.0 * FOOT))
    assert sloped_into(dig, replace(site, utilities=(falls,)), 1.5) == ()
    rises = replace(line, top=falls.top[::-1])
    assert sloped_into(dig, replace(site, utilities=(rises,)), 1.5) == ("the main",)


def test_a_tree_beside_a_step_in_the_bottom_is_found_from_the_deeper_part() -> None:
    """The dig is 3 ft deep abreast of the tree, and 8 ft deep three feet farther on."""
    dig, site = deepening()
    north = (-40 + dig.width / 2 / FOOT) * FOOT
    bottom = GROUND - np.where(dig.distances < 30 * FOOT, 3.0, 8.0) * FOOT

    def met(east: float, clear: float) -> tuple[str, ...]:
        tree = Tree.model_validate({"name": "oak", "at": "0 ft, 0 ft", "trunk_diameter": "12 in"})
        oak = SiteTree(tree=tree, at=(east * FOOT, north + (clear + 3) * FOOT), root_radius=5.0)
        return sloped_into(replace(dig, bottom=bottom), replace(site, trees=(oak,)), 1.5)

    assert met(27, 6) == ("the oak",)
    assert met(10, 6) == ()


def leader(depth: float) -> System:
    """A leader that runs in the front wall's dig for 15 ft, so deep, and then away from it."""
    low = GROUND - depth + 0.002
    route = (feet(2, -1), feet(17, -1), feet(17, -30))
    run = make_run("L1", route, low, low, ends=("a", "b"), stone=0.0, duty="leader")
    nodes = {name: make_node(name, "junction", feet(2, -1), low) for name in ("a", "b")}
    return System(nodes=nodes, runs=(run,), gravity=(), joined=None, discharge="OUT")


def test_a_shallow_leader_over_a_deep_dig_is_not_told_to_slope() -> None:
    """29 CFR 1926.652(a)(1)(ii): below 5 ft none is asked where no sign of a cave-in is seen. From memory."""
    found = trenches((front(9 * FOOT),), leader(10 / 12 * FOOT))
    assert found["front"].protection == "slope or shield"
    assert (found["L1"].protection, found["L1"].slope_meets, found["L1"].over) == ("none", (), ("front",))
    deep = trenches((front(9 * FOOT),), leader(8.3 * FOOT))
    assert (deep["L1"].protection, deep["L1"].over) == ("slope or shield", ())
    assert trenches((front(3 * FOOT),), leader(10 / 12 * FOOT))["L1"].over == ()
