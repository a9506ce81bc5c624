"""The flow-net sheet: what it shows, and that nothing lies on another or off the paper."""

from __future__ import annotations

from dataclasses import replace

import pytest
import shapely

from drainwright.design import Design, flow_nets
from drainwright.job.values import Basis, Fact
from drainwright.paper.flow_net_chart import _cut, flow_net_drafts
from drainwright.paper.frame import finish
from drainwright.paper.measure import text_box
from drainwright.paper.sheet import Polyline, Sheet
from drainwright.water import inflows
from tests.paper.sample import designed
from tests.paper.test_drawings import corners, overlaps

EXAMPLES = ["block-wall-house", "sloping-lot", "wrong-choices", "metric-basement"]


def sheets(design: Design) -> list[Sheet]:
    drafts = flow_net_drafts(design)
    return [finish(draft, design.job, number, len(drafts)) for number, draft in enumerate(drafts, start=1)]


@pytest.mark.parametrize("example", EXAMPLES)
@pytest.mark.parametrize("units", ["US", "SI"])
def test_texts_are_apart_and_on_the_paper(example: str, units: str) -> None:
    design = designed(example)
    job = design.job.model_copy(update={"units": units})
    for sheet in sheets(replace(design, job=job, site=replace(design.site, job=job))):
        assert overlaps(sheet) == []
        paper = shapely.box(0, 0, sheet.width, sheet.height)
        assert all(paper.covers(shapely.Polygon(text_box(mark))) for mark in sheet.texts)
        assert all(0 <= x <= sheet.width and 0 <= y <= sheet.height for mark in sheet.marks for x, y in corners(mark))


@pytest.mark.parametrize("example", [*EXAMPLES, "long-house"])
def test_no_label_lies_over_the_line_of_the_ground(example: str) -> None:
    """A name that hides a stretch of it makes a step of the ground."""
    for sheet in sheets(designed(example)):
        ground = shapely.unary_union(
            [
                shapely.LineString(one.points)
                for one in sheet.marks
                if isinstance(one, Polyline) and one.layer == "ground"
            ]
        )
        assert not ground.is_empty
        over = [mark.text for mark in sheet.texts if shapely.Polygon(text_box(mark)).intersection(ground).length > 0.1]
        assert over == []


@pytest.mark.parametrize("example", EXAMPLES)
def test_the_section_says_levels_flow_and_names(example: str) -> None:
    design = designed(example)
    nets = flow_nets(design)
    (sheet,) = sheets(design)  # drains with the same section share a sheet
    text = " ".join(mark.text for mark in sheet.texts)
    for word in ("undisturbed water", "mid-house", "tight layer", "floor" if example != "sloping-lot" else "crawl"):
        assert word in text
    assert all(net.run in text for net in nets)
    assert f"{nets[0].ratio:.2f}" in text
    assert ("gph" if design.job.units == "US" else "L/min") in text
    ways = [mark for mark in sheet.marks if isinstance(mark, Polyline) and mark.layer == "water"]
    assert len(ways) >= len([line for line in nets[0].streamlines if line[0][0] > 0.0])
    assert any(mark.layer == "water table" for mark in sheet.marks)  # before
    assert any(mark.layer == "curve strong" for mark in sheet.marks)  # after


def test_drains_with_other_sections_get_sheets_of_their_own() -> None:
    design = designed("block-wall-house")
    first, second = design.inflows.seepage
    lower = replace(second, drain_level=second.drain_level - 0.02)
    assert len(sheets(replace(design, inflows=replace(design.inflows, seepage=(first, lower))))) == 2


def test_no_groundwater_no_sheet() -> None:
    design = designed("sloping-lot")
    site = replace(design.site, water_table=29.0)
    assert sheets(replace(design, site=site, inflows=inflows(site))) == []


def test_a_wide_lowering_in_sand_still_fits() -> None:
    design = designed("metric-basement")
    ground = design.job.ground.model_copy(update={"conductivity": Fact(value=5e-4, basis=Basis.MEASURED)})
    job = design.job.model_copy(update={"ground": ground})
    site = replace(design.site, job=job)
    for sheet in sheets(replace(design, job=job, site=site, inflows=inflows(site))):
        assert overlaps(sheet) == []


def test_a_line_is_cut_where_the_drawing_begins() -> None:
    line = ((-2.0, 0.0), (0.0, 2.0), (1.0, 2.0), (-1.0, 0.0), (-2.0, 0.0))
    assert _cut(line, -1.0) == [((-1.0, 1.0), (0.0, 2.0), (1.0, 2.0), (-1.0, 0.0))]
    assert _cut(line, 5.0) == []
    assert _cut(line, -9.0) == [line]
