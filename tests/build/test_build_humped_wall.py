"""A wall whose ground turns between its corners: dig, coat and protection follow it."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import pytest

from drainwright.build import build_side
from drainwright.build.coating import coated_walls
from drainwright.build.model import Build, Trench
from drainwright.build.units import FOOT
from drainwright.field.model import Site
from drainwright.paper.documents.cut_sheets import wall_bottoms

from ..conftest import designed

WALL = "south"


@cache
def humped(rise: float) -> Site:
    """The block-wall house with the ground at the south wall's middle so much over the straight line. [m]"""
    site = designed("block-wall-house/job").site
    wall = next(item for item in site.walls if item.name == WALL)
    middle = (wall.ground_start + wall.ground_end) / 2 + rise
    high = replace(
        wall, bends=((wall.length / 2, middle),), ground_highest=max(wall.ground_highest, middle),
        ground_lowest=min(wall.ground_lowest, middle),
    )  # fmt: skip
    return replace(site, walls=tuple(high if item.name == WALL else item for item in site.walls))


@cache
def built(rise: float) -> Build:
    return build_side(humped(rise), designed("block-wall-house/job").system)


def dig(rise: float) -> Trench:
    return next(item for item in built(rise).dig.trenches if item.name == WALL)


@pytest.mark.parametrize("rise", [0.2, -0.2])
def test_the_soil_of_the_hump_is_dug(rise: float) -> None:
    """A triangle over the wall's length, as high as the hump, as wide as the dig."""
    length = next(item.length for item in humped(0.0).walls if item.name == WALL)
    more = dig(rise).bank_volume - dig(0.0).bank_volume
    assert more == pytest.approx(length * rise / 2 * dig(0.0).width, rel=0.12)  # its ends are the other walls' digs
    area = [next(item.area for item in coated_walls(humped(one)) if item.wall.name == WALL) for one in (0.0, rise)]
    assert area[1] - area[0] == pytest.approx(length * rise / 2)


def test_it_is_as_deep_as_it_is_and_guarded_there() -> None:
    flat, high = dig(0.0), dig(3 * FOOT)
    assert high.depth_greatest - flat.depth_greatest > 2 * FOOT
    assert flat.protection == "none"
    assert high.protection != "none"
    shields = built(3 * FOOT).shields
    assert shields is not None
    places = [item for item in shields.places if item.trench == WALL]
    # 5 ft deep (5.5 where the depth is not sure) from where the straight slopes of the hump pass it
    wall = next(item for item in humped(3 * FOOT).walls if item.name == WALL)
    assert 0.0 < math.fsum(item.length for item in places) < wall.length
    assert all(item.days for item in places)


def test_a_straight_wall_is_as_it_was() -> None:
    assert built(0.0).price.total == designed("block-wall-house/job").build.price.total


def test_the_cut_sheet_has_a_row_where_the_ground_turns() -> None:
    design = replace(designed("block-wall-house/job"), site=humped(0.3))
    wall = next(item for item in humped(0.3).walls if item.name == WALL)
    levels = [ground for _, ground, _ in wall_bottoms(design)[WALL]]
    assert max(levels) == pytest.approx(wall.bends[0][1])
    assert math.isfinite(sum(levels))
