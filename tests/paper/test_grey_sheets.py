"""Whole sheets in grey: plan, ground and profiles as a printer without colour gives them, with all that lies on them.

What stands for different things there stays told apart by dash, width, greyness or ruling, measured in the dots of the
page; and the measure finds it where one of these is taken away.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import cache
from itertools import combinations, groupby, pairwise
from typing import Any, NamedTuple

import numpy as np
import numpy.typing as npt
import pypdfium2
import pytest
import shapely

from drainwright.design import Design
from drainwright.job.works import Duty
from drainwright.paper.documents.drawing_set import drawing_set
from drainwright.paper.documents.typeset import to_pdf
from drainwright.paper.frame import Draft, finish
from drainwright.paper.looks import DUTY_LOOKS, LOOKS
from drainwright.paper.plan import plan_sheet
from drainwright.paper.profile import profile_drafts
from drainwright.paper.sheet import Point, Polygon, Polyline, Sheet
from drainwright.paper.svg import to_svg
from drainwright.paper.terrain_sheet import terrain_sheet

from .sample import designed
from .test_grey import seen

Dots = npt.NDArray[np.float64]
DOTS = 10  # a millimetre
EXAMPLES = ("block-wall-house", "soak-lot", "metric-basement", "long-house")
LEGEND = 11.0  # samples of the legend are shorter: only what lies in the drawing is measured [mm]
INK = 170.0  # of 255: darker is ink


class Line(NamedTuple):
    """How a line looks on the page."""

    thick: float  # [mm]
    gaps: float  # a centimetre
    dash: float  # the longer of its dashes [mm]
    grey: float  # of its ink, 0 to 255


def as_sheet(design: Design, draft: Draft) -> Sheet:
    return finish(draft, design.job, 1, 1)


@cache
def design_of(example: str) -> Design:
    return designed(example)


def plan_of(example: str) -> Sheet:
    return as_sheet(design_of(example), plan_sheet(design_of(example)).drawn()[0])


def ground_of(example: str) -> Sheet:
    ground = terrain_sheet(design_of(example))
    assert ground is not None
    return as_sheet(design_of(example), ground.drawn()[0])


def printed(example: str, sheet: Sheet) -> Dots:
    """The page in grey, its first row at the foot."""
    pdf = to_pdf(drawing_set(design_of(example), {"sheet": (sheet, to_svg(sheet))}), None)
    page = pypdfium2.PdfDocument(pdf)[0].render(scale=DOTS * 25.4 / 72, rev_byteorder=True).to_numpy()[:, :, :3]
    codes = page.astype(np.uint32) @ np.array([1 << 16, 1 << 8, 1], dtype=np.uint32)
    known = np.flatnonzero(np.bincount(codes.ravel(), minlength=1 << 24))  # a page has few colours
    grey = np.zeros(1 << 24, dtype=np.float32)
    grey[known] = seen(np.stack([known >> 16, known >> 8 & 255, known & 255], axis=1).astype(float), "grey")[:, 0]
    return np.asarray(grey[codes][::-1], dtype=float)


def legs(path: tuple[Point, ...], least: float) -> Iterator[tuple[Point, Point]]:
    for a, b in pairwise(path):
        if math.dist(a, b) >= least:
            yield a, b


def look_of(page: Dots, paths: list[tuple[Point, ...]], least: float, reach: float = 1.0) -> Line | None:
    """Dash, width and ink of lines by their dots; None where no leg is long enough to tell."""
    gaps, length = 0, 0.0
    dashes: list[float] = []
    thick: list[float] = []
    inks: list[float] = []
    for path in paths:
        for a, b in legs(path, least):
            long = math.dist(a, b)
            along = np.arange(1.5, long - 1.5, 1.0 / DOTS)
            across = np.arange(-reach, reach + 1e-9, 0.5 / DOTS)
            east, north = (b[0] - a[0]) / long, (b[1] - a[1]) / long
            x = a[0] + along[:, None] * east - across[None, :] * north
            y = a[1] + along[:, None] * north + across[None, :] * east
            rows, columns = np.floor(y * DOTS).astype(int), np.floor(x * DOTS).astype(int)
            dots = page[rows.clip(0, page.shape[0] - 1), columns.clip(0, page.shape[1] - 1)]
            middle = dots.shape[1] // 2
            inked = dots[:, middle - 1 : middle + 2].min(axis=1) < INK
            length += long - 3.0
            for ink, part in groupby(inked):
                run = len(list(part)) / DOTS
                if ink:
                    dashes.append(run)
                elif 0.5 <= run <= 1.7:  # a longer one is a name's mask over the line
                    gaps += 1
            for number in np.flatnonzero(inked):
                dark = dots[number] < INK
                low = middle - int(np.argmin(dark[middle::-1])) if dark[middle] else middle
                high = middle + int(np.argmin(dark[middle:])) if dark[middle] else middle
                thick.append((high - low) * 0.5 / DOTS)
                inks.append(float(dots[number, middle - 1 : middle + 2].min()))
    if length < 10.0 or not dashes:
        return None
    return Line(float(np.median(thick)), 10.0 * gaps / length, float(np.percentile(dashes, 80)), float(np.median(inks)))


def apart(one: Line, other: Line) -> bool:
    """Whether they differ by more than colour."""
    wide = max(one.thick, other.thick) / max(min(one.thick, other.thick), 0.05)
    dashed = min(one.gaps, other.gaps) >= 0.8
    dash = max(one.dash, other.dash) / max(min(one.dash, other.dash), 0.1)
    return (
        wide >= 1.25 or abs(one.gaps - other.gaps) >= 0.8 or (dashed and dash >= 1.3)
        or abs(one.grey - other.grey) >= 35.0
    )  # fmt: skip


def duties_on(example: str, sheet: Sheet) -> Mapping[str, Line]:
    page = printed(example, sheet)
    found = {}
    for duty in DUTY_LOOKS:
        paths = [
            mark.points for mark in sheet.marks
            if isinstance(mark, Polyline) and mark.layer == duty and any(legs(mark.points, LEGEND))
        ]  # fmt: skip
        look = look_of(page, paths, LEGEND)
        if look is not None:
            found[duty] = look
    return found


def alike(looks: Mapping[str, Line]) -> list[tuple[str, str]]:
    return [(a, b) for a, b in combinations(looks, 2) if not apart(looks[a], looks[b])]


@pytest.mark.parametrize("example", EXAMPLES)
def test_runs_of_different_duties_are_told_apart_on_the_grey_plan(example: str) -> None:
    design = design_of(example)
    looks = duties_on(example, plan_of(example))
    assert set(looks) <= {run.duty for run in design.system.runs}
    assert len(looks) >= 3, "most duties have a leg that is long enough"
    assert alike(looks) == [], looks


@pytest.mark.parametrize(
    ("example", "duty", "like"),
    [
        ("block-wall-house", "yard drain", "footing drain"), ("block-wall-house", "discharge line", "footing drain"),
        ("soak-lot", "leader", "overflow"), ("soak-lot", "overflow", "yard drain"),
    ],
)  # fmt: skip
def test_two_duties_that_differ_by_colour_alone_are_found(
    example: str, duty: Duty, like: Duty, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Dash and width of one are the other's, its own colour stays."""
    colour = LOOKS[duty].ink
    monkeypatch.setitem(LOOKS, duty, replace(LOOKS[like], ink=colour))  # type: ignore[arg-type]
    assert (like, duty) in alike(duties_on(example, plan_of(example))) or (duty, like) in alike(
        duties_on(example, plan_of(example))
    )


# What lies in one profile; crossings have their letters. Ribbons' edges are thin and grey all.
IN_PROFILE = ("ground", "water surface", "water table", "footing")


def lines_of(example: str, sheet: Sheet) -> Mapping[str, Line]:
    page = printed(example, sheet)
    found = {}
    for layer in IN_PROFILE:
        paths = [
            mark.points for part in sheet.scaled for mark in sheet.marks[part.first : part.end]
            if isinstance(mark, Polyline) and mark.layer == layer
        ]  # fmt: skip
        whole = [tuple(shapely.LineString(path).simplify(0.05).coords) for path in paths]  # stations that show no bend
        look = look_of(page, whole, 6.0, reach=0.4)
        if look is not None:
            found[layer] = look
    return found


@pytest.mark.parametrize("example", ["block-wall-house", "metric-basement", "long-house"])
def test_ground_water_and_footing_are_told_apart_on_a_grey_profile(example: str) -> None:
    design = design_of(example)
    sheet = as_sheet(design, profile_drafts(design)[0])
    looks = lines_of(example, sheet)
    assert {"ground", "water surface", "footing"} <= set(looks)
    assert alike(looks) == [], looks


def test_a_footing_drawn_as_the_ground_is_found_on_a_profile(monkeypatch: pytest.MonkeyPatch) -> None:
    design = design_of("block-wall-house")
    colour = LOOKS["footing"].ink
    monkeypatch.setitem(LOOKS, "footing", replace(LOOKS["ground"], ink=colour))  # type: ignore[arg-type]
    looks = lines_of("block-wall-house", as_sheet(design, profile_drafts(design)[0]))
    assert ("ground", "footing") in alike(looks)


TILE = 3.6  # two rulings wide [mm]


def rulings(page: Dots, shape: Any) -> tuple[float, float] | None:
    """How strongly an area is ruled across and up, by its dots; None where it is too small to tell."""
    left, low, right, high = shape.bounds
    found = []
    for x in np.arange(left, right - TILE, TILE):
        for y in np.arange(low, high - TILE, TILE):
            if not shape.contains(shapely.box(x, y, x + TILE, y + TILE)):
                continue
            rows, columns = (slice(round(at * DOTS), round((at + TILE) * DOTS)) for at in (y, x))
            tile = page[rows, columns]
            found.append((float(np.median(tile, axis=1).std()), float(np.median(tile, axis=0).std())))
    return (
        (float(np.median([a for a, _ in found])), float(np.median([b for _, b in found]))) if len(found) > 2 else None
    )


def areas_alike(example: str, sheet: Sheet) -> list[tuple[int, int]]:
    """Areas that touch, drain to different inlets and are ruled alike."""
    page = printed(example, sheet)
    rings = [mark for mark in sheet.marks if isinstance(mark, Polygon) and mark.layer.startswith("drains ")]
    large = [(mark, shapely.Polygon(mark.points).buffer(0)) for mark in rings if len(mark.points) > 4]
    told = [(mark.layer, shape, ruled) for mark, shape in large if (ruled := rulings(page, shape.buffer(-0.5)))]
    assert len(told) >= 2
    touching = [
        (a, b) for a, b in combinations(range(len(told)), 2)
        if told[a][1].distance(told[b][1]) < 1.0 and told[a][0] != told[b][0]
    ]  # fmt: skip
    assert touching
    return [
        (a, b) for a, b in touching
        if all(abs(one - other) < 5.0 for one, other in zip(told[a][2], told[b][2], strict=True))
    ]  # fmt: skip


def test_ground_of_neighbouring_inlets_is_told_apart_on_the_grey_ground() -> None:
    assert areas_alike("long-house", ground_of("long-house")) == []


def test_tints_without_their_ruling_are_found() -> None:
    sheet = ground_of("long-house")
    bare = replace(sheet, marks=tuple(mark for mark in sheet.marks if mark.layer != "drains hatch"))
    assert areas_alike("long-house", bare)
