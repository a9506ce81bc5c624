"""The plan laid out for a page: letters that can be read, nothing over another, printed at its size."""

from __future__ import annotations

import pytest
import shapely

from drainwright.paper.measure import READ, text_box
from drainwright.paper.plan import setting
from drainwright.paper.plan_marks import inside
from drainwright.paper.plan_page import page_plan
from drainwright.paper.sheet import Circle, Polyline, TextMark
from drainwright.paper.svg import to_svg

from .sample import designed

JOBS = ("block-wall-house", "metric-basement", "sloping-lot")


@pytest.mark.parametrize("example", JOBS)
def test_letters_can_be_read_and_stand_apart(example: str) -> None:
    """7 pt is 2.47 mm: exact, from 72 points an inch."""
    design = designed(example)
    page = page_plan(design)
    sheet = page.sheet
    assert min(mark.size for mark in sheet.texts) >= READ
    boxes = [shapely.Polygon(text_box(mark)) for mark in sheet.texts]
    for number, one in enumerate(boxes):
        for other in boxes[number + 1 :]:
            assert one.intersection(other).area < 1e-6
    edge = shapely.box(-0.01, -0.01, sheet.width + 0.01, sheet.height + 0.01)
    assert all(edge.contains(one) for one in boxes)
    texts = [mark.text for mark in sheet.texts]
    told = [*texts, *(line for label in page.unplaced for line in label.lines)]
    for name in [*design.system.nodes, *(run.name for run in design.system.runs)]:
        assert any(text.split(" ")[0] == name for text in told), name
    assert to_svg(page_plan(design).sheet) == to_svg(sheet)


@pytest.mark.parametrize("example", JOBS)
def test_the_page_is_used(example: str) -> None:
    """The works reach near the margins on one axis, and the sheet fits upright or flat on the place's paper."""
    design = designed(example)
    page = page_plan(design)
    width, height = (215.9, 279.4) if design.job.units == "US" else (210.0, 297.0)
    room = (width, height) if page.upright else (height, width)
    assert page.sheet.width <= room[0] - 18
    assert page.sheet.height <= room[1] - 40
    duties = {run.duty for run in design.system.runs}
    points = [
        p for mark in page.sheet.marks if isinstance(mark, Polyline) and mark.layer in duties for p in mark.points
    ]
    assert points
    for axis, side in ((0, page.sheet.width), (1, page.sheet.height)):
        assert 0 <= min(p[axis] for p in points) <= max(p[axis] for p in points) <= side


def test_no_hatching_lies_over_a_label() -> None:
    """Labels come after all lines, each on a mask of its own."""
    marks = page_plan(designed("block-wall-house")).sheet.marks
    last = max(number for number, mark in enumerate(marks) if mark.layer == "hand dig hatch")
    first = min(
        number for number, mark in enumerate(marks) if isinstance(mark, TextMark) and mark.text.startswith("SUMP")
    )
    assert last < first


@pytest.mark.parametrize("example", ["block-wall-house", "long-house"])
def test_every_tree_whose_roots_are_dug_stands_on_the_page_and_the_plan(example: str) -> None:
    """The crew digs in its roots: they must see which tree it is, and where."""
    design = designed(example)
    dug = {loss.tree for loss in design.build.dig.tree_roots}
    assert dug
    page, whole = page_plan(design).sheet, setting(design)
    assert len([mark for mark in page.marks if mark.layer == "tree" and isinstance(mark, Circle)]) >= len(dug)
    told = [*(mark.text for mark in page.texts), *(text for one in page_plan(design).unplaced for text in one.lines)]
    for tree in design.site.trees:
        if tree.tree.name in dug:
            assert any(text.startswith(f"{tree.tree.name}, ") for text in told), tree.tree.name
            assert inside(whole.view(tree.at), whole.window)
