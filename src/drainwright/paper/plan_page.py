"""The plan laid out anew for a page of the place's letter paper, without its tables, in letters that print readable."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

from drainwright.design import Design
from drainwright.paper.frame import Scale, View, papers, words
from drainwright.paper.label import Frame, Label
from drainwright.paper.measure import READ, rectangle
from drainwright.paper.once import once
from drainwright.paper.plan import centred, extents, kept_marks, named, obstacles, plan_marks, scale_of_plan
from drainwright.paper.plan_marks import Drawn
from drainwright.paper.sheet import Point, Sheet
from drainwright.paper.symbols import box, north_arrow

SIDES = 18.0  # margins of the page at both sides [mm]
ENDS = 45.0  # margins above and below, with the page's heading, note and footer [mm]
ROOM = 11.0  # for labels round the works [mm]
KEY = (62.0, 17.0)  # the north arrow's and the bar's room [mm]


@dataclass(frozen=True, slots=True, kw_only=True)
class PagePlan:
    """A plan for a page, to be printed at its true size."""

    sheet: Sheet
    upright: bool
    unplaced: tuple[Label, ...]  # names that found no room and must be told beside it


@once
def page_plan(design: Design) -> PagePlan:
    """Lay the plan out for a page.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    PagePlan
        Upright or flat, whichever shows the works larger.
    """
    return _page(design, "plan-page", partial(plan_marks, for_crew=False), "and the works")


@once
def kept_plan(design: Design) -> PagePlan:
    """The plan for the house's own papers: what lies in the ground for good, each cleanout by its number.

    Parameters
    ----------
    design : Design
        The designed job.

    Returns
    -------
    PagePlan
        Upright or flat, whichever shows the works larger.
    """
    return _page(design, "plan-kept", kept_marks, "and what was built, its cleanouts numbered")


def _page(design: Design, name: str, marked: Callable[[Design, View, Frame], Drawn], shows: str) -> PagePlan:
    must, may = extents(design)
    paper = papers(design.job.units)[0]
    choices = []
    for upright in (False, True):
        wide, high = (paper.height, paper.width) if upright else (paper.width, paper.height)
        room = (wide - SIDES, high - ENDS)
        spans = (must[2] - must[0], must[3] - must[1])
        ratio = max(1000.0 * span / (side - 2 * ROOM) for span, side in zip(spans, room, strict=True))
        choices.append((max(ratio, 10.0), upright, room))
    ratio, upright, room = min(choices)
    scale = Scale(ratio, "fitted to the page")
    window: Frame = (0.0, 0.0, *room)
    metres = (room[0] * ratio / 1000, room[1] * ratio / 1000)
    inner = (metres[0] - ROOM * ratio / 1000, metres[1] - ROOM * ratio / 1000)
    view = View(across=scale, up=scale, origin=centred(must, may, inner), at=(room[0] / 2, room[1] / 2))
    drawn = marked(design, view, window)
    corner = _free_corner(drawn, window)
    key = [
        box("mask", corner[0], corner[1], corner[0] + KEY[0], corner[1] + KEY[1]),
        *north_arrow((corner[0] + 8.0, corner[1] + 7.0), 10.0, design.job.property.north),
        *scale_of_plan(design, scale, (corner[0] + 18.0, corner[1] + 5.0), KEY[0] - 30.0),
        words("text soft", (corner[0] + 18.0, corner[1] + 10.5), "Trust the written figures, not a ruler.", READ),
    ]
    placement = named(drawn, window, [rectangle(corner, 0.0, KEY[0], 0.0, KEY[1])])
    marks = (*drawn.marks, *key, *placement.marks(), box("rule open", *window))
    sheet = Sheet(
        name=name, title="Plan", scale=scale.words, width=room[0], height=room[1], marks=marks,
        description=f"Plan of the lot with the house, buried lines and trees, {shows}.",
    )  # fmt: skip
    return PagePlan(sheet=sheet, upright=upright, unplaced=placement.unplaced)


def _free_corner(drawn: Drawn, window: Frame) -> Point:
    """Lower left of the corner of the window that covers the fewest lines. [mm]"""
    import shapely

    lines: Any = [shapely.LineString(item.points) for item in obstacles(drawn.marks)]
    spots = [shapely.Point(mark.centre).buffer(8.0) for mark in drawn.symbols]

    def covered(at: Point) -> float:
        area = shapely.box(at[0], at[1], at[0] + KEY[0], at[1] + KEY[1])
        length = float(sum(line.intersection(area).length for line in lines))
        return length + 1000.0 * sum(spot.intersects(area) for spot in spots)

    left, bottom, right, top = window
    corners = [
        (x, y) for y in (top - KEY[1] - 1.0, bottom + 1.0) for x in (right - KEY[0] - 1.0, left + 1.0)
    ]  # fmt: skip
    return min(corners, key=covered)


__all__ = ["ENDS", "SIDES", "PagePlan", "kept_plan", "page_plan"]
