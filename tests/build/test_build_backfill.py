"""Filling again, counted by hand."""

from __future__ import annotations

import pytest

from drainwright.build.backfill import Backfill, backfills
from drainwright.build.trench import cuts, trench
from drainwright.build.units import FOOT, INCH
from drainwright.system.yard.basin_hole import HOLE_BED

from ..conftest import designed
from .sample import make_site, make_system


def filled(texture: str) -> dict[str, Backfill]:
    site, system = make_site(ground={"texture": f"{texture}, measured"}), make_system()
    digs = tuple(trench(cut, site) for cut in cuts(site, system))
    return {item.trench: item for item in backfills(site, system, digs)}


def test_an_opened_wall_is_filled_in_thin_lifts_and_capped() -> None:
    """Stone 2 in under, 4.215 in of pipe, 6 in over: 12.215 in; the cap takes 8 in of the rest."""
    wall = filled("clay")["front"]
    assert wall.stone == pytest.approx(12.215 * INCH)
    assert wall.order == ("stone", "fabric", "native lifts", "cap", "crown")
    assert wall.by_hand
    assert wall.lift == pytest.approx(4 * INCH)
    deep = wall.stone + wall.native + wall.cap
    assert wall.cap == pytest.approx(8 * INCH)
    # lifts hold, loose, what the bank held: swell 30 to 40 % for clay
    assert wall.native * 1.2 <= wall.lifts * wall.lift <= wall.native * 1.5 + wall.lift
    assert wall.crown == pytest.approx((deep - wall.stone) / FOOT * 0.5 * INCH)


def test_sand_takes_thicker_lifts_and_a_leader_no_stone() -> None:
    found = filled("sand")
    assert found["front"].lift == pytest.approx(6 * INCH)
    assert found["front"].lifts < filled("clay")["front"].lifts
    leader = found["L1"]
    assert (leader.stone, leader.fabric, leader.cap, leader.by_hand) == (0.0, False, 0.0, False)
    assert leader.order == ("native lifts", "crown")


ROUND = "round the basin"


@pytest.mark.parametrize("path", ["block-wall-house/job", "soak-lot/job"])
def test_every_hole_has_its_row(path: str) -> None:
    """The deepest digs had none: a basin's hole, on whose fill its hold against uplift rests, and a soakaway."""
    made = designed(path)
    digs = {trench.name: trench for trench in made.build.dig.trenches}
    fills = {item.trench: item for item in backfills(made.site, made.system, made.build.dig.trenches)}
    assert fills.keys() == digs.keys()
    for soak in made.system.soaks:
        fill = fills[soak.name]
        assert fill.fabric
        assert fill.stone == pytest.approx(soak.top - soak.bottom)
        assert fill.native == pytest.approx(digs[soak.name].depth_greatest - fill.stone)
    for station in made.system.stations:
        fill = fills[station.name]
        assert fill.by_hand
        (zone,) = (one for one in made.build.takeoff.stone if one.where == station.name and one.zone == ROUND)
        assert fill.stone == pytest.approx(HOLE_BED + zone.height)
        assert fill.lifts > 0
