"""Room for spoil beside a dig, by hand; where there is none it is wheeled to a heap and back, in hours and price."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from drainwright.build import build_side
from drainwright.build.book import demonstration_book
from drainwright.build.earth_chain import aside_hours
from drainwright.build.handling import Kit, Rates
from drainwright.build.model import Build, Trench
from drainwright.build.parts import dig_key
from drainwright.build.spoil import WALL_HEAP, aside_way, heap_beside, heap_width, wheeled_aside, with_heaps
from drainwright.build.trench import Cut, cuts, trench
from drainwright.build.units import CUBIC_YARD, FOOT
from drainwright.field.model import Plan, Site

from .sample import feet, make_site, make_system
from .test_build_room import one_run

RATES = Rates(demonstration_book(), "US")
LOAD, WAY_50 = 1.75, 2.8  # loose cubic yards an hour: shovelled into barrows; wheeled 50 m. The demonstration book's
AROUND = (feet(-5, -25), feet(65, -23), feet(65, 40), feet(-5, 40))


def one_trench(digs: Any, site: Site) -> Trench:
    [found] = with_heaps([trench(cut, site) for cut in digs], digs, site)
    return found


def wall_dig(site: Site) -> tuple[Cut, Trench]:
    digs = cuts(site, make_system())
    made = [trench(cut, site) for cut in digs]
    found = with_heaps(made, digs, site)
    place = next(index for index, cut in enumerate(digs) if cut.kind == "wall")
    return digs[place], found[place]


def fenced(south: float, north: float = 60.0, **access: Any) -> Site:
    """A lot round the sample's wall, which looks south from 0 to 20 ft, the fence so far before it at both ends."""
    ring: tuple[Plan, ...] = (feet(-40, -south), feet(80, -south), feet(80, north), feet(-40, north))
    lot = make_site(property={"access": {"barrow_distance": "50 m", **access}})
    return replace(lot, boundary=ring)


def test_the_roomier_side_counts_at_the_narrowest_place() -> None:
    site, digs = one_run()
    site = replace(site, boundary=AROUND)
    # north of the run the house's wall stands 20 ft away from 0 to 20 ft along; beyond, the boundary is far
    assert one_trench(digs, site).spoil_room == pytest.approx(20 * FOOT - digs[0].width / 2, abs=0.02)
    bare = one_trench(digs, replace(site, boundary=()))
    assert (bare.spoil_room, bare.no_room, bare.heap_way) == (None, 0.0, 0.0)


def test_a_heap_holds_its_section() -> None:
    """At 1.5 across to 1 up a heap 1.2 m wide is 0.4 m high and holds 0.24 m2."""
    assert heap_width(1.2 * 0.4 / 2) == pytest.approx(1.2)


def test_beside_a_wall_the_fence_says_how_much_has_room() -> None:
    wide = wall_dig(fenced(40.0))[1]
    assert (wide.no_room, wide.heap_way) == (0.0, 0.0)
    cut, near = wall_dig(fenced(6.0))
    assert near.spoil_room == pytest.approx(6 * FOOT - cut.width, abs=1e-9)
    assert near.spoil_room < near.spoil_setback + WALL_HEAP
    assert near.no_room == 1.0
    cut, over = wall_dig(fenced(2.0))  # the dig itself reaches over the fence
    assert cut.width > 2 * FOOT
    assert (over.spoil_room, over.no_room) == (0.0, 1.0)
    # a fence that runs away from the wall: 6 ft before its one end, 16 ft before the other, room from halfway on
    half = near.width + near.spoil_setback + WALL_HEAP
    slant = replace(
        fenced(6.0),
        boundary=((-20 * FOOT, -half + 10 * FOOT), (40 * FOOT, -half - 10 * FOOT), feet(40, 60), feet(-20, 60)),
    )
    cut, part = wall_dig(slant)
    assert part.no_room == pytest.approx(0.5, abs=0.05)


def test_a_run_between_house_and_fence_is_short_of_room_for_a_part() -> None:
    """60 ft of run, 20 ft of them past the house; the fence on the other side is near all along."""
    site, digs = one_run()
    close = replace(
        site, boundary=(feet(-5, -21), feet(65, -21), feet(65, -16), feet(20, -16), feet(20, 40), feet(-5, 40))
    )
    found = one_trench(digs, close)
    assert found.no_room == pytest.approx(40 / 60, abs=0.02)  # beside the house 20 ft of lawn lie to the north
    assert found.spoil_room == pytest.approx(4 * FOOT - digs[0].width / 2, abs=0.02)
    assert heap_beside(found, 0.25) == pytest.approx(heap_width(found.depth_mean * found.width * 1.25))


def test_the_way_goes_to_the_stockpile_or_as_far_as_the_barrows() -> None:
    cut, far = wall_dig(fenced(6.0))
    assert far.heap_way == pytest.approx(50.0)
    middle = cut.area.centroid
    pile = f"{middle.x / FOOT + 70} ft, {middle.y / FOOT} ft"
    assert wall_dig(fenced(6.0, stockpile=pile))[1].heap_way == pytest.approx(70 * FOOT)
    near = f"{middle.x / FOOT + 3} ft, {middle.y / FOOT} ft"
    assert wall_dig(fenced(6.0, stockpile=near))[1].heap_way == pytest.approx(10.0)  # no way is shorter


def test_hours_and_price_have_the_way_there_and_back() -> None:
    """By hand: what goes back of the wall's soil, once out and once back, each time loaded and wheeled 50 m."""

    def hours(build: Build, *keys: str) -> float:
        return sum(task.hours for task in build.plan.tasks if dig_key(task.key) in keys)

    roomy, short = (build_side(fenced(south), make_system()) for south in (90.0, 6.0))
    [wall] = [item for item in short.dig.trenches if item.kind == "wall"]
    assert [item.name for item in short.dig.trenches if item.no_room > 0] == [wall.name]
    kept = short.dig.backfill_volume * wall.bank_volume / short.dig.bank_volume / CUBIC_YARD
    assert wheeled_aside(short.dig) / CUBIC_YARD == pytest.approx(kept)
    assert aside_way(short.dig) == pytest.approx(50.0)
    once = kept * (1 / LOAD + 1 / WAY_50)
    assert aside_hours(short.dig, RATES, Kit()) == pytest.approx(once)
    assert hours(short, "open") - hours(roomy, "open") == pytest.approx(once, abs=0.02)
    back = ("backfill", "backfill-yard")
    assert hours(short, *back) - hours(roomy, *back) == pytest.approx(once, abs=0.03)
    assert hours(short, "haul") == pytest.approx(hours(roomy, "haul"), abs=0.01)
    assert short.price.labour > roomy.price.labour
    told = {dig_key(task.key): task.quantity for task in short.plan.tasks}
    assert f"{kept:.1f} yd³ wheeled to its heap as it is dug" in told["open"]
    assert f"{kept:.1f} yd³ wheeled back from its heap" in told["backfill"]
    assert short.plan.earth is not None
    links = {link.name: link.hours for link in short.plan.earth.back}
    assert links["to a heap and back"] == pytest.approx(2 * once)
