"""Contours: closed forms, a general contouring library, and levels that meet corners exactly."""

from __future__ import annotations

import dataclasses
import itertools
import math
from collections import Counter

import contourpy
import ground_shapes as shapes
import numpy as np
import pytest
import shapely
from ground_shapes import SHIFT, on_grid
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from drainwright.errors import InputError
from drainwright.field.contours import contours, nice_interval
from drainwright.field.surface import Surface, triangulate
from drainwright.field.terrain_model import Contour

Array = NDArray[np.float64]
FOOT = 0.3048


def length(lines: tuple[tuple[tuple[float, float], ...], ...]) -> float:
    return sum(math.dist(a, b) for line in lines for a, b in itertools.pairwise(line))


def enclosed(lines: tuple[tuple[tuple[float, float], ...], ...]) -> float:
    """Signed area of the closed lines; anticlockwise counts as more."""
    total = 0.0
    for line in lines:
        if line[0] == line[-1]:
            at = np.array(line) - line[0]
            total += 0.5 * float(np.sum(at[:-1, 0] * at[1:, 1] - at[1:, 0] * at[:-1, 1]))
    return total


def near(found: tuple[Contour, ...], level: float) -> Contour:
    return min(found, key=lambda contour: abs(contour.level - level))


def squares(levels: Array) -> Surface:
    """A grid of levels a metre apart, each square parted in four by its middle, which has the mean level."""
    rows, columns = levels.shape
    east, north = (one.ravel().astype(float) for one in np.meshgrid(np.arange(columns), np.arange(rows)))
    number = np.arange(levels.size).reshape(levels.shape)
    a, b, c, d = (number[:-1, :-1], number[:-1, 1:], number[1:, 1:], number[1:, :-1])
    middle = levels.size + np.arange(a.size).reshape(a.shape)
    mean = (levels[:-1, :-1] + levels[:-1, 1:] + levels[1:, 1:] + levels[1:, :-1]) / 4.0
    triangles = np.concatenate(
        [np.stack([p, q, middle], axis=2).reshape(-1, 3) for p, q in ((a, b), (b, c), (c, d), (d, a))]
    )
    any_surface = triangulate("ABC", [(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)], [0.0, 0.0, 0.0])
    plan = np.stack([np.concatenate([east, east[number[:-1, :-1]].ravel() + 0.5]),
                     np.concatenate([north, north[number[:-1, :-1]].ravel() + 0.5])], axis=1)  # fmt: skip
    return dataclasses.replace(
        any_surface, names=("",) * len(plan), plan=plan, levels=np.concatenate([levels.ravel(), mean.ravel()]),
        triangles=triangles, house_triangles=np.empty((0, 3), dtype=np.intp),
    )  # fmt: skip


@pytest.mark.parametrize("seed", range(4))
def test_against_contourpy_on_the_same_triangles(seed: int) -> None:
    rng = np.random.default_rng(seed)
    rough = rng.normal(size=(14, 17))
    levels = rough if seed % 2 else np.cumsum(np.cumsum(rough, axis=0), axis=1) / 10.0
    other = contourpy.contour_generator(z=levels, name="serial", quad_as_tri=True)
    found = contours(squares(levels), 0.1)
    assert len(found) > 15
    for contour in found:
        lines = tuple(tuple(map(tuple, line.tolist())) for line in other.lines(contour.level))
        assert len(contour.lines) == len(lines)
        assert length(contour.lines) == pytest.approx(length(lines))
        # contourpy keeps the higher ground on the left, we the lower: the same area, turned round
        assert enclosed(contour.lines) == pytest.approx(-enclosed(lines), abs=1e-9)


def test_contours_of_a_plane_are_straight() -> None:
    """30 mm east, -40 mm north a metre: lines run along (4, 3) and stand 1 m apart for 50 mm."""
    surface = on_grid(shapes.plane, 2)
    found = contours(surface, 0.05)
    assert [contour.level for contour in found] == pytest.approx(np.arange(590, 601) * 0.05 - 0.0 + (29.5 - 590 * 0.05))
    for contour in found:
        for line in contour.lines:
            across = np.array(line) @ [0.6, -0.8]
            assert across == pytest.approx(across[0], abs=1e-6)
    (middle,) = near(found, SHIFT[2]).lines
    assert math.dist(middle[0], middle[-1]) == pytest.approx(8.0 * 1.25)
    assert length((middle,)) == pytest.approx(8.0 * 1.25)


def test_contours_of_a_cone_converge_to_circles() -> None:
    """Length and area of the circle of radius 2.5 m: the errors fall with the square of the shots' distance."""
    errors = []
    for fineness in (2, 4, 8):
        contour = near(contours(on_grid(shapes.cone, fineness), 0.05), SHIFT[2] + 0.35)
        assert contour.level == pytest.approx(SHIFT[2] + 0.35)
        (line,) = contour.lines
        assert line[0] == line[-1]
        errors.append((abs(length((line,)) / (5 * math.pi) - 1), abs(enclosed((line,)) / (6.25 * math.pi) + 1)))
    assert errors[0] < (0.02, 0.03)
    for coarse, fine in itertools.pairwise(errors):
        assert fine[0] < 0.45 * coarse[0]
        assert fine[1] < 0.45 * coarse[1]


def test_a_hill_has_its_lower_ground_outside() -> None:
    """Closed lines run clockwise round high ground, anticlockwise round low ground."""
    hill = contours(on_grid(shapes.cone, 2), 0.05)
    bowl = contours(shapes.on_rings(shapes.paraboloid, 2), 0.05)
    assert enclosed(near(hill, SHIFT[2] + 0.4).lines) < 0.0
    lines = near(bowl, SHIFT[2] + 0.4).lines
    assert sorted(np.sign(enclosed((line,))) for line in lines) == [-1.0, 1.0]


def test_saddle_at_its_very_level() -> None:
    """z = e² - n² is level along both diagonals: lines meet in the middle and none is drawn twice."""
    surface = on_grid(shapes.saddle, 2)
    contour = near(contours(surface, 0.25), 29.75)
    assert contour.level == SHIFT[2]
    assert length(contour.lines) == pytest.approx(4.0 * math.hypot(4.0, 4.0), rel=1e-9)
    pieces = Counter(
        frozenset(((round(a[0], 6), round(a[1], 6)), (round(b[0], 6), round(b[1], 6))))
        for line in contour.lines
        for a, b in itertools.pairwise(line)
    )
    assert set(pieces.values()) == {1}


@pytest.mark.parametrize("seed", range(6))
def test_six_lines_that_meet_at_one_place_do_not_cross(seed: int) -> None:
    """Three low sectors of 60 degrees round one place, each bounded by one line with the low ground on its left."""
    turns = np.arange(6) * math.tau / 6
    places = [(0.0, 0.0), *zip((3 * np.cos(turns)).tolist(), (3 * np.sin(turns)).tolist(), strict=True)]
    levels = [30.0, *([29.5, 30.5] * 3)]
    order = np.random.default_rng(seed).permutation(7).tolist()
    surface = triangulate([f"M{n}" for n in order], [places[n] for n in order], [levels[n] for n in order])
    (contour,) = contours(surface, 30.0)
    assert len(contour.lines) == 3
    for line in contour.lines:
        (e0, n0), here, (e1, n1) = line
        assert here == pytest.approx((0.0, 0.0))
        assert math.dist((e0, n0), (e1, n1)) == pytest.approx(1.5 * math.sqrt(3.0))
        assert surface.level((e0 + e1) / 2, (n0 + n1) / 2) < 30.0


def test_levels_that_meet_a_ridge_a_valley_and_flat_ground() -> None:
    """The line of a level parts lower ground from the rest: none along a ridge or a valley floor at that level, one
    round flat ground where ground falls from it."""
    ridge = contours(on_grid(lambda e, n: -0.08 * np.abs(e), 1), 0.25)
    assert [contour.level for contour in ridge] == [29.5]
    valley = contours(on_grid(lambda e, n: 0.08 * np.abs(e), 1), 0.25)
    assert [contour.level for contour in valley] == [30.0]
    flat_top = contours(on_grid(lambda e, n: -0.1 * np.maximum(np.maximum(np.abs(e), np.abs(n)) - 2.0, 0.0), 1), 0.25)
    (contour,) = flat_top
    assert contour.level == 29.75
    (line,) = contour.lines
    assert shapely.Polygon(line).symmetric_difference(
        shapely.box(SHIFT[0] - 2, SHIFT[1] - 2, SHIFT[0] + 2, SHIFT[1] + 2)
    ).area == pytest.approx(0.0, abs=1e-9)  # fmt: skip


@settings(max_examples=40)
@given(st.integers(0, 10_000), st.integers(1, 3))
def test_no_gap_no_spike_no_double_on_ground_that_meets_its_levels(seed: int, steps: int) -> None:
    """Levels are whole intervals, so that every corner lies on a contour or as far from one as can be.

    Lines close or end at the rim, no piece stands twice, and a line parts what its name says: the area below each
    level, by the lines and by the triangles' own parts.
    """
    rng = np.random.default_rng(seed)
    levels = rng.integers(0, steps + 1, (6, 7)).astype(float)
    surface = squares(levels)
    middles = rng.integers(0, steps + 1, 30).astype(float)
    surface = dataclasses.replace(surface, levels=np.concatenate([levels.ravel(), middles]))
    pieces: Counter[object] = Counter()
    for contour in contours(surface, 1.0):
        for line in contour.lines:
            assert len(set(line)) >= len(line) - 1  # a place comes twice only where the line closes
            if line[0] != line[-1]:
                for e, n in (line[0], line[-1]):
                    assert e in (0.0, 6.0) or n in (0.0, 5.0)
            for a, b in itertools.pairwise(line):
                assert math.dist(a, b) > 1e-9
                pieces[contour.level, frozenset((a, b))] += 1
    assert set(pieces.values()) <= {1}
    for contour in contours(surface, 1.0):
        lines = [shapely.LineString(line) for line in contour.lines]
        parts = shapely.get_parts(shapely.polygonize([shapely.unary_union([*lines, shapely.box(0, 0, 6, 5).exterior])]))
        below = sum(part.area for part in parts if is_lower(surface, part, contour.level))
        assert below == pytest.approx(area_below(surface, contour.level), abs=1e-6)


def is_lower(surface: Surface, part: shapely.Polygon, level: float) -> bool:
    """Whether the ground over a part of the plan is lower, by the triangle that has most of it."""
    cuts = shapely.intersection(part, shapely.polygons(surface.plan[surface.triangles]))
    first = int(np.argmax(shapely.area(cuts)))
    corners = surface.triangles[first]
    at = cuts[first].centroid
    share = np.linalg.solve(np.vstack([surface.plan[corners].T, np.ones(3)]), [at.x, at.y, 1.0])
    return float(share @ surface.levels[corners]) < level - 1e-9


def area_below(surface: Surface, level: float) -> float:
    from drainwright.field.earthwork import plan_areas, share_above

    heights = np.sort(surface.levels[surface.triangles] - level, axis=1)
    return float((1.0 - share_above(heights)) @ plan_areas(surface.plan, surface.triangles))


def test_levels_in_feet_that_are_equal_but_for_rounding() -> None:
    """Ground in steps of a tenth of a foot: its levels and the contours' differ in the last digits, and the lines run
    through the shots all the same, without slivers beside them."""
    stairs = on_grid(lambda e, n: (98.0 + 0.1 * np.round(e + n)) * FOOT - SHIFT[2], 1)
    for contour in contours(stairs, 0.1 * FOOT):
        for line in contour.lines:
            assert all(math.dist(a, b) > 0.5 for a, b in itertools.pairwise(line))
            off = 2.0 * np.array(line) - np.rint(2.0 * np.array(line))  # at shots, or halfway on a diagonal
            assert off == pytest.approx(0.0, abs=1e-9)


def test_the_house_is_cut_out() -> None:
    house = ((-2.0, -1.5), (2.0, -1.5), (2.0, 1.5), (-2.0, 1.5))
    grid = on_grid(shapes.plane, 1)
    places = [(e - SHIFT[0], n - SHIFT[1]) for e, n in grid.plan.tolist()]
    places += house
    levels = [*grid.levels.tolist(), *(float(shapes.plane(np.array(e), np.array(n))) + SHIFT[2] for e, n in house)]
    surface = triangulate([f"H{n}" for n in range(len(places))], places, levels, house)
    found = contours(surface, 0.02)
    whole, drawn = shapely.Polygon(house), 0.0
    for contour in found:
        for line in contour.lines:
            assert shapely.LineString(line).intersection(whole.buffer(-1e-6)).length < 1e-9
            drawn += shapely.LineString(line).length
    # lines 0.4 m apart all over the ground: their length is the ground's area over 0.4 m
    assert drawn == pytest.approx((64.0 - 12.0) / 0.4, rel=0.02)
    assert len(near(found, SHIFT[2] + 0.01).lines) == 2


def test_index_contours_and_order() -> None:
    found = contours(on_grid(shapes.plane, 1), 0.5 * FOOT / 5)
    assert [contour.level for contour in found] == sorted(contour.level for contour in found)
    for contour in found:
        assert contour.index == (abs(contour.level / (0.5 * FOOT) - round(contour.level / (0.5 * FOOT))) < 1e-6)
    assert sum(contour.index for contour in found) in (3, 4)
    assert all(contour.index for contour in contours(on_grid(shapes.plane, 1), 0.1, index_every=1))
    assert contours(on_grid(shapes.cone, 2), 0.05) == contours(on_grid(shapes.cone, 2), 0.05)


def test_what_contours_refuse() -> None:
    surface = on_grid(shapes.plane, 1)
    for bad in (0.0, -1.0, math.nan, math.inf):
        with pytest.raises(InputError, match="interval"):
            contours(surface, bad)
    with pytest.raises(InputError, match="levels"):
        contours(surface, 1e-5)
    with pytest.raises(InputError, match="index_every"):
        contours(surface, 0.1, index_every=0)


@pytest.mark.parametrize(
    ("relief", "units", "step"),
    [
        (0.0, "US", 0.1), (1.4, "US", 0.1), (1.41, "US", 0.2), (3.0, "US", 0.25), (3.6, "US", 0.5), (10.0, "US", 1.0),
        (20.0, "US", 2.0), (1000.0, "US", 10.0), (0.35, "SI", 0.025), (0.36, "SI", 0.05), (1.0, "SI", 0.1),
        (3.0, "SI", 0.25), (5.0, "SI", 0.5),
    ],
)  # fmt: skip
def test_nice_interval(relief: float, units: str, step: float) -> None:
    unit = FOOT if units == "US" else 1.0
    found = nice_interval(relief * unit, units)  # type: ignore[arg-type]
    assert found == pytest.approx(step * unit)
    assert relief * unit / found <= 14.0 or step == 10.0


def test_nice_interval_refuses() -> None:
    for bad in (-1.0, math.nan, math.inf):
        with pytest.raises(InputError, match="relief"):
            nice_interval(bad, "US")
