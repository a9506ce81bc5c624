"""Shaping that a job leaves out: strips and about their price, why there is none, and the option designed anew."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from functools import cache
from pathlib import Path

import pytest
from shapely import Point, Polygon

from drainwright.design import Design, design
from drainwright.field.model import SiteTree
from drainwright.findings.model import Severity
from drainwright.job import read_job
from drainwright.job.changes import changed_job
from drainwright.job.site import KeepClear, Tree
from drainwright.job.writing import to_json
from drainwright.offer import difference, options
from drainwright.offer.shaping import shaping_left, shaping_option, shaping_words
from drainwright.paper.documents.against_causes import against
from drainwright.paper.documents.cause_words import ground_left_out, ground_price
from drainwright.paper.documents.offer_blocks import more_words
from drainwright.water.moisture_model import Moisture

EXAMPLES = Path(__file__).parents[2] / "examples"
FOOT = 0.3048


@cache
def made(name: str) -> Design:
    return design(read_job(EXAMPLES / f"{name}.yaml"))


@cache
def in_part() -> Design:
    """The mended lot with ten feet of its south wall shaped, and its west and north walls."""
    base = made("wrong-choices/mended")
    strips = [{"wall": "west"}, {"wall": "north"}, {"wall": "south", "from": "0 ft", "to": "10 ft"}]
    return design(changed_job(to_json(base.job), {"works.shaping": strips}))


def on_lot(base: Design, margin: float) -> Design:
    """The same lot with its lines so far outside the house's corners. [m]"""
    east, north = zip(*base.site.outline, strict=True)
    west, right, south, back = min(east) - margin, max(east) + margin, min(north) - margin, max(north) + margin
    ring = ((west, south), (right, south), (right, back), (west, back))
    return replace(base, site=replace(base.site, boundary=ring))


def test_about_is_what_the_design_comes_to() -> None:
    base = made("wrong-choices/mended")
    left = shaping_left(base)
    assert (left.walls, left.refused) == (("south", "east"), ())
    option = shaping_option(base, left)
    assert option is not None
    anew = design(changed_job(to_json(base.job), option.changes))
    assert left.more is not None
    assert float(left.more) == pytest.approx(float(anew.build.price.total - base.build.price.total), rel=0.02)
    assert all(item.severity is Severity.OK for item in anew.findings if item.id == "FTG-10")
    assert shaping_left(anew).strips == ()
    assert ground_left_out(anew) == ""


def test_the_program_offers_it_where_the_job_names_no_options() -> None:
    base = made("soak-lot/job")
    found = options(base)
    shaped = next(one for one in found.add_ons if one.key == "shaped-ground")
    assert len(shaped.design.site.shaped) == 4
    assert shaped.total == shaped.design.build.price.total > base.build.price.total
    assert shaped.words.endswith("How high earth may stand there was not measured: read it before fill is ordered.")


def beside(base: Design, tree: tuple[float, float], trunk: float = 0.6, keep: bool = True) -> Design:
    """The same lot with an oak, its roots 18 trunks wide about it. [m]"""
    oak = Tree.model_validate(
        {"name": "oak", "at": f"{tree[0]!r} m, {tree[1]!r} m", "trunk_diameter": f"{trunk} m", "keep": keep}
    )
    return replace(base, site=replace(base.site, trees=(SiteTree(tree=oak, at=tree, root_radius=9 * trunk),)))


def test_strips_keep_off_the_roots_of_a_tree_that_stays() -> None:
    """Fill over roots kills a tree: what the program offers leaves the wall before them as it is, and says so."""
    base = made("soak-lot/job")
    whole = shaping_left(base)
    wall = whole.strips[0].wall
    near = (wall.start[0] + 2.0 * wall.outward[0], wall.start[1] + 2.0 * wall.outward[1])
    left = shaping_left(beside(base, near))
    zone = Point(near).buffer(5.4 - 0.01)
    assert left.strips
    assert all(not Polygon(strip.outline).intersects(zone) for strip in left.strips)
    (first, tree, stretch), *_ = left.rooted
    assert (first, tree) == (wall.name, "oak")
    assert stretch == pytest.approx(5.4, abs=0.4)  # the roots reach 5.4 m from 2 m before the corner
    assert [strip.sections[0].station for strip in left.strips if strip.wall.name == first] == [pytest.approx(stretch)]
    assert left.more is not None
    assert whole.more is not None
    assert left.more < whole.more
    words = shaping_words(left, "$1")
    assert "it would add about $1 with tax." in shaping_words(replace(left, more=Decimal(1)), "$1")
    cheaper = shaping_words(replace(left, more=Decimal("-320.60")), "$321")
    assert "it would make it about $321 cheaper, with tax." in cheaper
    assert "-" not in cheaper.partition("cheaper")[0]
    assert "Left off over roots of oak, which die under fill: 17 ft" in words
    assert f"of the {first} wall" in words
    assert shaping_left(beside(base, near, keep=False)) == whole


def test_a_wall_that_stands_in_roots_is_refused_a_strip() -> None:
    base = made("soak-lot/job")
    wall = shaping_left(base).strips[0].wall
    middle = ((wall.start[0] + wall.end[0]) / 2 + wall.outward[0], (wall.start[1] + wall.end[1]) / 2 + wall.outward[1])
    left = shaping_left(beside(base, middle, trunk=wall.length / 9))
    assert (wall.name, "fill kills the roots of oak") in left.refused
    assert wall.name not in left.walls


def test_a_lot_line_too_near_leaves_no_room() -> None:
    near = on_lot(made("soak-lot/job"), 1.5 * FOOT)
    left = shaping_left(near)
    assert (left.strips, left.more) == ((), None)
    assert [wall for wall, _ in left.refused] == ["south", "east", "north", "west"]
    assert all(why.startswith("only 1 ft 6 in are free") for _, why in left.refused)
    assert shaping_option(near, left) is None
    assert "At the south, east, north and west walls it cannot be priced: only 1 ft 6 in" in shaping_words(left, "")
    assert options(near).refused[0].title == "Ground shaped at the south wall"


def test_what_stays_clear_of_earth_may_leave_no_way_out() -> None:
    """A vent two feet below the ground: the edge lies lower still, and the lot line leaves its bank one foot."""
    base = on_lot(made("soak-lot/job"), 11 * FOOT)
    wall = base.site.walls[0]
    ground = base.site.surface.level(*wall.start)
    vent = KeepClear.model_validate({"kind": "vent", "level": f"{float(ground) - 2 * FOOT!r} m, measured"})
    told = replace(wall, wall=wall.wall.model_copy(update={"keep_clear": (vent,)}))
    low = replace(base, site=replace(base.site, walls=(told, *base.site.walls[1:])))
    left = shaping_left(low)
    assert [name for name, _ in left.refused] == [wall.name]
    assert left.refused[0][1].startswith("earth must stay clear of the vent")
    assert wall.name not in left.walls


def test_ground_that_nobody_measured_has_no_price() -> None:
    base = made("soak-lot/job")
    terrain = base.site.terrain
    assert terrain is not None
    first, *rest = terrain.wall_slopes
    unknown = replace(first, run=tuple(0.0 for _ in first.run))
    blind = replace(base, site=replace(base.site, terrain=replace(terrain, wall_slopes=(unknown, *rest))))
    left = shaping_left(blind)
    assert left.refused == ((first.wall, "nobody measured how the ground falls there"),)


def test_a_wall_shaped_in_part_is_named_with_what_is_left() -> None:
    base = in_part()
    left = shaping_left(base)
    assert left.walls == ("south", "east")
    assert left.strips[0].sections[0].station == pytest.approx(10 * FOOT)
    assert left.strips[0].strip.to is None
    words = ground_left_out(base)
    assert words == (
        "The ground is shaped at the west, north and south (in part) walls; at the south and east walls it still does "
        "not lead water away: shaping it there is not in this price."
    )
    assert words in against(base, Moisture.SURFACE_WATER).left
    assert ground_price(base).startswith("At the south and east walls it would add about $")


def test_a_choice_that_costs_less_says_so() -> None:
    assert more_words(Decimal("561.20"), "USD") == "$561.20"
    assert more_words(Decimal("-561.20"), "USD") == "$561.20 less"


def test_shaping_that_is_whole_or_not_wanted_is_not_priced() -> None:
    base = made("wrong-choices/mended")
    fine = tuple(replace(item, severity=Severity.OK) if item.id == "FTG-10" else item for item in base.findings)
    assert ground_price(replace(base, findings=fine)) == ""


def test_the_manual_tells_what_the_strips_of_the_example_cost() -> None:
    """The difference by hand: 18 % overhead, 8 % contingency, 20 % of the price for profit, 7 % tax on materials."""
    shaped = made("wrong-choices/mended")
    bare = design(changed_job(to_json(shaped.job), {"works.shaping": []}))
    manual = (EXAMPLES.parent / "docs" / "using.md").read_text(encoding="utf-8")
    for one in (shaped, bare):
        assert f"${one.build.price.total:,}" in manual
    changed = {part.name: float(part.change) for part in difference(bare, shaped).parts}
    cost = (changed["Labour"] + changed["Materials"]) * 1.18 * 1.08
    more = float(shaped.build.price.total - bare.build.price.total)
    assert more == pytest.approx(cost / 0.8 + 0.07 * changed["Materials"], abs=0.03)
