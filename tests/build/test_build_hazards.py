"""Planted hazards are found; the same site without them has none."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from drainwright.build import build_side
from drainwright.build.model import Build
from drainwright.build.units import FOOT, INCH
from drainwright.system.model import System

from .sample import GROUND, feet, make_node, make_run, make_site, make_tree, make_utility


def site_and_system(*, bottom: float = 3.0 * FOOT, **changes: Any) -> Build:
    drain = make_run(
        "R",
        (feet(0, -20), feet(60, -20)),
        GROUND - bottom + 2 * INCH + 0.075 * INCH,
        GROUND - bottom + 2 * INCH + 0.075 * INCH,
        ends=("a", "b"),
        duty="yard drain",
    )
    nodes = {name: make_node(name, "junction", feet(0, -20), GROUND - bottom) for name in ("a", "b")}
    system = System(nodes=nodes, runs=(drain,), gravity=(), joined=None, discharge="OUT")
    changes.setdefault("ground", {"texture": "sand, measured", "osha_type": "C, measured"})
    return build_side(make_site(walls=(), **changes), system)


def test_the_clean_twin_has_no_hazard() -> None:
    build = site_and_system(utilities=(), trees=())
    assert build.dig.crossings == ()
    assert build.dig.roots == ()
    assert build.dig.wedges == ()
    assert build.dig.unlocated == ()
    (trench,) = build.dig.trenches
    assert (trench.protection, trench.ladder) == ("none", False)
    assert build.dig.load_mass <= 3175.0 + 1e-6


def test_a_water_line_7_in_down_that_crosses_twice() -> None:
    route = (feet(10, -40), feet(10, 0), feet(40, 0), feet(40, -40))
    build = site_and_system(utilities=(make_utility("service", "water", route, 7 * INCH),))
    found = build.dig.crossings
    assert [item.crossing for item in found] == [True, True]
    assert [round(item.station / FOOT) for item in found] == [10, 40]
    assert all(item.utility_top == pytest.approx(GROUND - 7 * INCH) for item in found)
    assert all(item.hand_dig == pytest.approx(49 * INCH) for item in found)
    assert all(item.shutoff == "curb box" for item in found)


def test_a_trench_5_ft_2_in_deep_in_sand() -> None:
    (trench,) = site_and_system(bottom=62 * INCH).dig.trenches
    assert trench.depth_greatest == pytest.approx(62 * INCH)
    assert trench.protection == "slope or shield"
    assert trench.slope_run == 1.5
    assert trench.ladder
    (twin,) = site_and_system(bottom=58 * INCH).dig.trenches
    assert twin.protection == "competent person decides"


def test_gas_alongside_within_the_tolerance_zone() -> None:
    near, far = (feet(10, -18), feet(50, -18)), (feet(10, -12), feet(50, -12))
    (found,) = site_and_system(utilities=(make_utility("gas", "gas", near, 2 * FOOT),)).dig.crossings
    assert (found.kind, found.crossing) == ("gas", False)
    assert found.hand_dig > 40 * FOOT
    assert site_and_system(utilities=(make_utility("gas", "gas", far, 2 * FOOT),)).dig.crossings == ()


def test_moist_soil_overloads_a_trailer_that_is_filled() -> None:
    moist = {"texture": "clay, measured", "unit_weight": "125 pcf, measured"}
    full = {"trailer_full": True, "trailer_volume": "8 yd3"}
    heavy = site_and_system(ground=moist, equipment=full, bottom=4.5 * FOOT)
    assert heavy.dig.load_mass > 3175.0
    assert heavy.dig.trailer_loads == heavy.dig.trailer_loads_by_mass > heavy.dig.trailer_loads_by_volume
    careful = site_and_system(ground=moist, equipment={"trailer_volume": "8 yd3"}, bottom=4.5 * FOOT)
    assert careful.dig.load_mass <= 3175.0 + 1e-9
    dry = site_and_system(ground={**moist, "unit_weight": "40 pcf, measured"}, equipment=full)
    assert dry.dig.load_mass <= 3175.0


def test_an_oak_s_roots_in_the_trench() -> None:
    build = site_and_system(trees=(make_tree("oak", feet(30, -10), 20 * INCH),))
    (cut,) = build.dig.roots
    assert (cut.item, cut.tree) == ("R", "oak")
    assert cut.distance == pytest.approx(10 * FOOT)
    assert cut.root_radius == pytest.approx(30 * FOOT)


def test_a_tree_that_goes_has_no_roots_to_spare() -> None:
    stays = make_tree("oak", feet(30, -10), 20 * INCH)
    goes = replace(stays, tree=stays.tree.model_copy(update={"keep": False}))
    assert site_and_system(trees=(goes,)).dig.roots == ()


def test_lines_nobody_located_are_named_and_a_private_locate_is_priced() -> None:
    build = site_and_system(utilities_absent=["gas", "septic"])
    assert "irrigation control" in build.dig.unlocated
    assert any(line.key == "locate.private" for line in build.takeoff.lines)


def test_an_uncertain_depth_is_said() -> None:
    route = (feet(10, -40), feet(10, 0))
    told = make_utility("wire", "electric", route, 0.5, located_by="owner says", depth_uncertainty="6 in")
    notes = site_and_system(utilities=(told,)).dig.notes
    assert any("wire" in note and "owner says" in note and "6 in" in note for note in notes)
