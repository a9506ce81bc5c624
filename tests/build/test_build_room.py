"""What lies round a dig, by hand: loads, room for spoil, what must be spared; roots by share; depths as ranges."""

from __future__ import annotations

import math
from dataclasses import replace
from decimal import Decimal

import pytest

from drainwright.build.book import book_for
from drainwright.build.crossings import crossings
from drainwright.build.extras import unit_prices
from drainwright.build.gaps import gap_range
from drainwright.build.room import POST, loads_beside, spared, stands_beside
from drainwright.build.roots import root_losses
from drainwright.build.spoil import with_heaps
from drainwright.build.trench import cuts, trench
from drainwright.build.units import FOOT, INCH
from drainwright.field.model import SiteUtility
from drainwright.system.model import System

from .sample import GROUND, feet, make_node, make_run, make_site, make_tree, make_utility


def one_run(depth: float = 3.0 * FOOT, **changes: object):  # type: ignore[no-untyped-def]
    invert = GROUND - depth + 2.075 * INCH
    drain = make_run("R", (feet(0, -20), feet(60, -20)), invert, invert, ends=("a", "b"), duty="yard drain")
    nodes = {name: make_node(name, "junction", feet(0, -20), invert) for name in ("a", "b")}
    site = make_site(walls=(), **changes)
    return site, cuts(site, System(nodes=nodes, runs=(drain,), gravity=(), joined=None, discharge="OUT"))


def test_a_gap_has_its_least_where_the_line_passes_the_pipe() -> None:
    """A line of 0.1 m, its top 0.5 m +- 0.3 m over a pipe from 0.0 to 0.2 m: 0.2 above it, or into it, or 0.5 above."""
    assert gap_range(0.5, 0.3, 0.1, 0.2, 0.0) == pytest.approx((-0.1, 0.5))
    assert gap_range(0.5, 0.0, 0.1, 0.2, 0.0) == pytest.approx((0.2, 0.2))
    # it may lie right above or right below: worst is the middle between, two radii into each other
    assert gap_range(0.1, 1.0, 0.1, 0.2, 0.0) == pytest.approx((-0.15, 0.9))


def fence(*route: str) -> dict[str, object]:
    return {"property": {"protected": [{"name": "side fence", "kind": "fence", "at": list(route)}]}}


@pytest.mark.parametrize("north", [-21.0, -24.0, -30.0])
def test_a_fence_along_a_dig_stands_beside_it(north: float) -> None:
    """A trench of 3 ft, its edge at -20.5 ft: what stands 3 ft or less off it; it goes through nothing."""
    line = (f"-10 ft, {north} ft", f"70 ft, {north} ft", f"70 ft, {north + 80} ft")  # three places, and no area
    site, digs = one_run(**fence(*line))
    near = -20.0 - digs[0].width / 2 / FOOT - 3.0 - POST / FOOT
    assert stands_beside(digs[0], site) == ((("side fence", "fence"),) if north > near else ())
    assert spared(digs, site) == ()
    assert loads_beside(digs[0], site, 2 * FOOT) == ()
    (shallow,) = one_run(1.0 * FOOT, **fence(*line))[1]
    assert stands_beside(shallow, site) == ()


def test_a_fence_at_the_very_edge_is_beside_and_across_is_through() -> None:
    site, digs = one_run()
    edge = -20.0 - digs[0].width / 2 / FOOT
    site, digs = one_run(**fence(f"0 ft, {edge} ft", f"60 ft, {edge} ft"))
    assert stands_beside(digs[0], site) == (("side fence", "fence"),)
    assert spared(digs, site) == ()
    site, digs = one_run(**fence("30 ft, -40 ft", "30 ft, 0 ft"))
    assert spared(digs, site) == (("R", "side fence", "fence"),)
    assert stands_beside(digs[0], site) == ()


@pytest.mark.parametrize(
    ("posts", "depth", "stands"), [("2 ft", 1.5, True), ("2 ft", 0.9, False), ("4 ft", 1.5, False)]
)
def test_a_fence_s_posts_say_how_much_ground_they_may_lose(posts: str, depth: float, stands: bool) -> None:
    """At the dig's very edge the ground that may give way is as deep as the dig: half the posts' depth is too much."""
    edge = -20.0 - (one_run(depth * FOOT)[1][0].width / 2 + POST) / FOOT
    told = {
        "name": "side fence",
        "kind": "fence",
        "at": [f"0 ft, {edge} ft", f"60 ft, {edge} ft"],
        "posts": f"{posts}, measured",
    }
    site, digs = one_run(depth * FOOT, property={"protected": [told]})
    assert (stands_beside(digs[0], site) == (("side fence", "fence"),)) is stands


def test_bracing_a_fence_has_its_unit_price() -> None:
    site, _ = one_run(**fence("0 ft, 0 ft", "60 ft, 0 ft"))
    book = book_for(site.job.price_book)
    by_what = {one.extra.what: one for one in unit_prices(site, book)}
    one = by_what["fence"]
    assert one.extra.unit == "ft"
    assert one.extra.hours == pytest.approx(0.35)
    assert one.labour == Decimal("11.34")  # 0.35 h at 24.00 and 35 %
    assert one.items == Decimal("0.85")  # a bag of 6.80 every eight feet
    bare, _ = one_run()
    assert "fence" not in {one.extra.what for one in unit_prices(bare, book)}


def test_no_heap_lies_beyond_a_fence() -> None:
    """Up to a fence 5 ft off the middle there are 5 ft less half the trench and its posts; else 10 m are looked for."""
    corners = [feet(-40, -80), feet(100, -80), feet(100, 60), feet(-40, 60)]
    for things, room in (({}, 10.0), (fence("-40 ft, -25 ft", "100 ft, -25 ft"), None)):
        site, digs = one_run(**things)
        site = replace(site, boundary=tuple(corners), outline=(feet(-40, -19), feet(100, -19), feet(100, -18)))
        item = room_of(site, digs)
        half = digs[0].width / 2
        assert item == pytest.approx(room if room is not None else 5.0 * FOOT - half - POST, abs=1e-6)


def room_of(site, digs) -> float | None:  # type: ignore[no-untyped-def]
    """Room that the one run of ``digs`` has for its spoil."""
    (item,) = with_heaps([trench(digs[0], site)], digs, site)
    return item.spoil_room


def test_how_far_a_depth_may_be_off_goes_by_how_it_is_known() -> None:
    """Where nobody told: common practice, no source; what is told counts whoever located the line."""
    route, by = (feet(10, -40), feet(10, 0)), "exposed by hand"

    def wire(basis: str = "measured", **changes: str) -> SiteUtility:
        return make_utility("wire", "electric", route, 0.3, depth={"value": "0.3 m", "basis": basis}, **changes)

    for utility, doubt in (
        (wire(), 6), (wire("mapped"), 12), (wire("stated"), 12), (wire("assumed"), 18), (wire(located_by=by), 1),
        (wire(depth_uncertainty="3 in"), 3), (wire(depth_uncertainty="2 in", located_by=by), 2),
    ):  # fmt: skip
        doubt *= INCH
        site, digs = one_run(utilities=(utility,))
        (item,) = crossings(digs, site)
        assert item.clearance - item.clearance_least == pytest.approx(doubt)
        assert item.clearance_most - item.clearance == pytest.approx(doubt)


def test_a_straight_trench_cuts_off_a_segment_of_the_root_zone() -> None:
    """Circular segment beyond the near edge at distance d of radius r: r^2 acos(d/r) - d sqrt(r^2 - d^2)."""
    site, digs = one_run(trees=(make_tree("oak", feet(30, -10), 20 * INCH, 9.0),))
    (loss,) = root_losses(digs, site)
    radius, near = 9.0 * 20 * INCH, 10 * FOOT - digs[0].width / 2
    segment = radius**2 * math.acos(near / radius) - near * math.sqrt(radius**2 - near**2)
    assert loss.nearest == pytest.approx(near, abs=1e-6)
    assert loss.share == pytest.approx(segment / (math.pi * radius**2), rel=0.01)
    assert loss.sides == ("south",)
    assert loss.diameters == pytest.approx(near / (20 * INCH))


def test_no_roots_are_counted_under_the_house_or_behind_it() -> None:
    """A trench behind a house costs a tree before it nothing; one beside the house what it parts of the open ground.

    All ground behind two opened walls counted as lost, the cellar's too: 50 % of a zone for 3 m more of a wall.
    """
    radius = 9.0 * 20 * INCH
    site, digs = one_run(trees=(make_tree("oak", feet(30, -10), 20 * INCH, 9.0),))
    north = float(digs[0].points[:, 1].max())
    corners = [(-30.0, north + 0.5), (60.0, north + 0.5), (60.0, north + 1.5), (-30.0, north + 1.5)]
    between = replace(site, outline=tuple(corners))  # the house stands between the oak and the trench
    assert root_losses(digs, between) == ()
    half = [(80.0, -40.0), (80.0, 40.0), (30 * FOOT + 1.0, 40.0), (30 * FOOT + 1.0, -40.0)]
    aside = replace(site, outline=tuple(half))  # east of the trunk by a metre
    (loss,) = root_losses(digs, aside)
    (whole,) = root_losses(digs, site)
    near = 10 * FOOT - digs[0].width / 2
    segment = radius**2 * math.acos(near / radius) - near * math.sqrt(radius**2 - near**2)
    by_hand = [(radius**2 * math.acos(gap / radius) - gap * math.sqrt(radius**2 - gap**2)) for gap in (1.0, near)]
    assert whole.share == pytest.approx(segment / (math.pi * radius**2), rel=0.01)
    corner = _both(radius, 1.0, near)
    assert loss.share == pytest.approx((by_hand[1] - corner) / (math.pi * radius**2 - by_hand[0]), rel=0.01)


def _both(radius: float, east: float, south: float) -> float:
    """Of a circle what lies beyond both of two lines square to each other, by strips. [m²]"""
    count = 20000
    step = (radius - east) / count
    tall = (math.sqrt(max(radius**2 - (east + (n + 0.5) * step) ** 2, 0.0)) - south for n in range(count))
    return step * math.fsum(max(part, 0.0) for part in tall)


def test_a_tree_out_of_reach_loses_nothing() -> None:
    site, digs = one_run(trees=(make_tree("oak", feet(30, -10), 20 * INCH, 5.0),))
    assert root_losses(digs, site) == ()
