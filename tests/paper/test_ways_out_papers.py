"""Soakaways, aprons and the place's list on the papers."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from drainwright.design import Design
from drainwright.paper.documents.blocks import Bullets, Checks, Notice
from drainwright.paper.documents.place_list import place_blocks, ways_out_blocks
from drainwright.paper.drawings import drawings
from drainwright.paper.frame import papers
from drainwright.paper.sheet import Circle, Polygon
from drainwright.paper.soak_marks import apron_outline
from drainwright.paper.soak_section import soak_drafts

from ..conftest import designed


@pytest.fixture(scope="module")
def lot() -> Design:
    """The lot with an infiltration trench."""
    return designed("soak-lot/job")


def said(design: Design) -> str:
    return " ".join(text.text for draft in soak_drafts(design) for text in draft.marks if hasattr(text, "text"))


def test_section_tells_every_level(lot: Design) -> None:
    (soak,) = lot.system.soaks
    text = said(lot)
    for level in (soak.ground, soak.top, soak.invert, soak.bottom):
        assert f"{level / 0.3048:.2f} ft" in text
    assert "seasonal high water" not in text  # 5 ft below: said in the notes, not drawn
    assert "90.00 ft" in text
    assert "What it cannot take goes to SWALE." in text
    bare = replace(lot, system=replace(lot.system, soaks=(replace(soak, overflow=None),)))
    assert "No overflow is named" in said(bare)


def test_section_draws_ground_water_that_is_near(lot: Design) -> None:
    (soak,) = lot.system.soaks
    near = replace(lot, system=replace(lot.system, soaks=(replace(soak, water_table=soak.bottom - 0.6),)))
    assert "seasonal high water" in said(near)
    unknown = replace(lot, system=replace(lot.system, soaks=(replace(soak, water_table=None, half_empty=math.inf),)))
    assert "not known" in said(unknown)
    assert "half empty never" in said(unknown)


def test_section_stays_on_its_sheet(lot: Design) -> None:
    (soak,) = lot.system.soaks
    deep = replace(soak, bottom=soak.invert - 3.0, depth=3.0, width=1.8, fullest=5.0, overflow="KERB")
    for item in (soak, deep):
        (draft,) = soak_drafts(replace(lot, system=replace(lot.system, soaks=(item,))))
        left, bottom, right, top = papers("US")[0].inner
        for mark in draft.marks:
            places = (
                mark.points if hasattr(mark, "points") else (mark.centre,) if isinstance(mark, Circle) else (mark.at,)
            )
            assert all(left - 1 <= x <= right + 1 and bottom - 1 <= y <= top + 1 for x, y in places), mark


def test_several_soakaways_have_a_sheet_each(lot: Design, gravity: Design) -> None:
    (soak,) = lot.system.soaks
    two = replace(lot, system=replace(lot.system, soaks=(soak, replace(soak, name="S2", kind="dry well", count=2))))
    assert [draft.name for draft in soak_drafts(two)] == ["soakaway", "soakaway-2"]
    assert soak_drafts(gravity) == []
    assert "soakaway" in drawings(lot)


def test_plan_shows_the_trench_where_it_is(lot: Design) -> None:
    rings = [mark for mark in drawings(lot)["plan"].marks if isinstance(mark, Polygon) and mark.layer == "stone"]
    ring = max(rings, key=lambda one: math.dist(one.points[0], one.points[1]))
    (x0, y0), (x1, y1) = ring.points[0], ring.points[1]
    scale = 1000 / 96  # 1 in = 8 ft
    assert math.hypot(x1 - x0, y1 - y0) == pytest.approx(lot.system.soaks[0].length * scale, rel=1e-6)
    assert y1 < y0  # it runs south


def test_apron_goes_on_as_the_pipe_comes(gravity: Design) -> None:
    (fall,) = gravity.system.outfalls
    stone = replace(fall, apron_given=2.0, apron_width=1.5)
    ring = apron_outline(gravity, stone)
    route = gravity.system.run(fall.run).route
    way = (route[-1][0] - route[-2][0], route[-1][1] - route[-2][1])
    far = ((ring[1][0] + ring[2][0]) / 2, (ring[1][1] + ring[2][1]) / 2)
    assert math.dist(far, route[-1]) == pytest.approx(2.0)
    ahead = (far[0] - route[-1][0]) * way[0] + (far[1] - route[-1][1]) * way[1]
    assert ahead == pytest.approx(2.0 * math.hypot(*way))
    assert math.dist(ring[1], ring[2]) == pytest.approx(1.5)


def test_list_has_boxes_for_what_is_open_and_warns_of_what_is_not_met(lot: Design) -> None:
    blocks = place_blocks(lot)
    boxes = [item for block in blocks if isinstance(block, Checks) for item in block.items]
    assert len(boxes) == sum(item.met is None for item in lot.checks) > 0
    assert not any(isinstance(block, Notice) for block in blocks)
    broken = replace(lot, checks=(replace(lot.checks[0], met=False),))
    assert any(isinstance(block, Notice) and block.tone == "fails" for block in place_blocks(broken))
    assert place_blocks(replace(lot, checks=())) == ()


def test_proposal_tells_the_trench_in_plain_words(lot: Design, gravity: Design) -> None:
    (bullets,) = (block for block in ways_out_blocks(lot) if isinstance(block, Bullets))
    assert "44 ft long" in bullets.items[0]
    assert "the 10-year rain stays in" in bullets.items[0]
    assert ways_out_blocks(gravity) == ()
