"""The ground surface: exact on a plane, cut by the house, honest about its rim."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drainwright.errors import InputError
from drainwright.field.surface import Surface, prism_volume, stations, triangulate

slopes = st.floats(-0.2, 0.2)
HOUSE = ((0.0, 0.0), (12.0, 0.0), (12.0, 9.0), (0.0, 9.0))
YARD = ((-8.0, -6.0), (20.0, -7.0), (21.0, 15.0), (-9.0, 16.0), (6.0, -5.0), (5.5, 14.0))
PLACES = (*HOUSE, *YARD)


def plane(se: float = 0.02, sn: float = -0.03, level: float = 30.0, far: float = 0.0) -> Surface:
    places = [(east + far, north + far) for east, north in PLACES]
    levels = [level + se * east + sn * north for east, north in PLACES]
    return triangulate([f"P{n}" for n in range(len(places))], places, levels, [(e + far, n + far) for e, n in HOUSE])


@settings(deadline=None, max_examples=25)
@given(slopes, slopes, st.floats(-100.0, 100.0), st.lists(st.tuples(st.floats(0, 1), st.floats(0, 1)), min_size=1))
def test_exact_on_a_plane(se: float, sn: float, level: float, spots: list[tuple[float, float]]) -> None:
    surface = plane(se, sn, level)
    corners = np.array(YARD[:4])
    east = np.array([(1 - s) * (1 - t) * corners[0, 0] + s * (1 - t) * corners[1, 0] + s * t * corners[2, 0]
                     + (1 - s) * t * corners[3, 0] for s, t in spots])  # fmt: skip
    north = np.array([(1 - s) * (1 - t) * corners[0, 1] + s * (1 - t) * corners[1, 1] + s * t * corners[2, 1]
                      + (1 - s) * t * corners[3, 1] for s, t in spots])  # fmt: skip
    assert surface.level(east, north) == pytest.approx(level + se * east + sn * north, abs=1e-6)


def test_one_place_and_many_agree_and_shots_keep_their_levels() -> None:
    surface = plane()
    assert isinstance(surface.level(1.0, 2.0), float)
    assert isinstance(surface.supported(1.0, 2.0), bool)
    levels = surface.level(surface.plan[:, 0], surface.plan[:, 1])
    assert levels == pytest.approx(surface.levels, abs=1e-12)
    grid = surface.level(np.zeros((2, 3)), np.ones((2, 3)))
    assert grid.shape == (2, 3)
    assert surface.level(0.0, 1.0) == grid[1, 2]


def test_far_from_the_origin_nothing_is_lost() -> None:
    near, far = plane(), plane(far=576000.0)
    assert far.level(576003.0, 575998.0) == pytest.approx(near.level(3.0, -2.0), abs=1e-8)


def test_the_house_is_a_hole_and_its_walls_are_ground() -> None:
    surface = plane()
    assert len(surface.house_triangles) == 2
    assert not surface.supported(6.0, 4.5)
    assert surface.supported(6.0, 0.0)
    assert surface.supported(0.001, 4.0)
    assert surface.supported(-1.0, 4.0)
    a, b, c = (surface.plan[surface.triangles[:, n]] for n in range(3))
    area = 0.5 * np.sum(np.abs((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]))
    ring = np.array(YARD[:4])
    hull = 0.5 * abs(np.sum(ring[:, 0] * np.roll(ring[:, 1], -1) - np.roll(ring[:, 0], -1) * ring[:, 1]))
    assert area == pytest.approx(hull - 12.0 * 9.0)


def test_no_triangle_crosses_a_wall_that_has_levels() -> None:
    """A shot close to the middle of a long wall would draw triangles through it."""
    places = [*HOUSE, *YARD, (6.0, -0.7)]  # farther from the wall than what speaks for its foot
    levels = [30.0, 30.0, 29.0, 29.0, *([28.0] * len(YARD)), 25.0]
    surface = triangulate([str(n) for n in range(len(places))], places, levels, HOUSE)
    along = surface.profile(((0.0, 0.0), (12.0, 0.0)), 0.25)
    assert along.level == pytest.approx(30.0, abs=1e-9)
    assert along.supported.all()
    assert surface.names.count("") == len(surface.plan) - len(places) > 0


def test_a_wall_at_the_rim_is_ground() -> None:
    surface = triangulate("ABCDF", [*HOUSE, (20.0, 4.0)], [30.0, 30.0, 29.0, 29.0, 28.0], HOUSE)
    west = surface.profile(((0.0, 9.0), (0.0, 0.0)), 1.0)  # no shot lies west of this wall
    assert west.supported.all()
    assert west.level == pytest.approx(29.0 + west.station / 9.0)
    assert not surface.supported(0.5, 4.0)


@settings(deadline=None, max_examples=60)
@given(
    st.floats(0.25, 0.75),
    st.floats(0.25, 0.75),
    st.lists(st.tuples(st.floats(-15.0, 30.0), st.floats(-15.0, 30.0), st.floats(28.0, 31.0)), max_size=12),
    st.lists(st.floats(29.0, 31.0), min_size=6, max_size=6),
)
def test_an_angled_house_stays_whole(
    wide: float, deep: float, yard: list[tuple[float, float, float]], corners: list[float]
) -> None:
    """Whatever shots lie about, its walls are straight ground between the corners, and its plan is the hole."""
    outline = [
        (0.0, 0.0),
        (14.0, 0.0),
        (14.0, 10.0 * deep),
        (14.0 * wide, 10.0 * deep),
        (14.0 * wide, 10.0),
        (0.0, 10.0),
    ]
    yard = [(e, n, z) for e, n, z in yard if not (-0.7 < e < 14.7 and -0.7 < n < 10.7)]  # none tells of a wall's foot
    places = [*outline, *((e, n) for e, n, _ in yard)]
    surface = triangulate([str(n) for n in range(len(places))], places, [*corners, *(z for *_, z in yard)], outline)
    for n in range(6):
        wall = surface.profile((outline[n], outline[(n + 1) % 6]), 0.3)
        straight = corners[n] + (corners[(n + 1) % 6] - corners[n]) * wall.station / wall.station[-1]
        assert wall.level == pytest.approx(straight, abs=1e-6)
        assert wall.supported.all()
    a, b, c = (surface.plan[surface.house_triangles[:, k]] for k in range(3))
    hole = 0.5 * np.sum(np.abs((b - a)[:, 0] * (c - a)[:, 1] - (b - a)[:, 1] * (c - a)[:, 0]))
    assert hole == pytest.approx(140.0 * (deep + wide - wide * deep), abs=0.01)


def test_a_shot_at_the_wall_bends_the_ground_there() -> None:
    places = [*HOUSE, *YARD, (6.0, -0.02)]
    levels = [30.0, 30.0, 29.0, 29.0, *([28.0] * len(YARD)), 29.5]
    surface = triangulate([str(n) for n in range(len(places))], places, levels, HOUSE)
    assert surface.level(3.0, -0.01) == pytest.approx(29.75, abs=0.02)


def test_shots_inside_the_house_are_left_out_and_doubles_are_one() -> None:
    surface = triangulate(
        ["IN", *"ABCD", "D2", "F"], [(6.0, 4.0), *HOUSE, (0.0, 9.0), (20.0, 5.0)],
        [10.0, 30.0, 30.0, 30.0, 30.0, 31.0, 30.0], HOUSE,
    )  # fmt: skip
    assert "IN" not in surface.names
    assert surface.level(0.0, 9.0) == pytest.approx(30.5)


def test_beyond_the_rim_the_nearest_place_is_taken_and_not_supported() -> None:
    surface = triangulate("ABC", [(0.0, 0.0), (10.0, 0.0), (0.0, 10.0)], [1.0, 2.0, 3.0])
    assert surface.level(4.0, -7.0) == pytest.approx(1.4)
    assert surface.level(-3.0, -3.0) == pytest.approx(1.0)
    assert surface.level(10.0, 10.0) == pytest.approx(2.5)
    assert not surface.supported(4.0, -7.0)
    assert surface.supported(4.0, 0.0)
    assert surface.supported(np.array([1.0, -1.0]), np.array([1.0, 1.0])).tolist() == [True, False]


@pytest.mark.parametrize(
    "places", [[(0.0, 0.0), (1.0, 0.0)], [(0.0, 0.0), (1.0, 1.0), (2.0, 2.0)], [(0.0, 0.0), (0.0, 0.0), (1.0, 0.0)]]
)
def test_too_few_shots_or_all_in_line(places: list[tuple[float, float]]) -> None:
    with pytest.raises(InputError, match="shots"):
        triangulate([""] * len(places), places, [1.0] * len(places))


def test_not_a_place() -> None:
    with pytest.raises(InputError, match="finite"):
        plane().level(math.nan, 0.0)


def test_a_profile_has_each_corner_of_its_route() -> None:
    profile = plane(0.1, 0.0).profile([(-5.0, -4.0), (0.0, -4.0), (0.0, -1.0)], 2.0)
    assert profile.station == pytest.approx([0.0, 5 / 3, 10 / 3, 5.0, 6.5, 8.0])
    assert profile.level == pytest.approx(30.0 + 0.1 * profile.east)
    with pytest.raises(InputError):
        stations([(0.0, 0.0), (1.0, 0.0)], 0.0)
    with pytest.raises(InputError):
        stations([(0.0, 0.0)], 1.0)


@settings(deadline=None)
@given(st.lists(st.floats(-3.0, 3.0), min_size=3, max_size=3), st.floats(-2.0, 2.0))
def test_volume_of_a_triangle_against_fine_slices(heights: list[float], level: float) -> None:
    """Cut less fill is the prism; each against a sum over 20,000 small triangles' middles."""
    corner = np.array([[0.0, 0.0], [4.0, 0.0], [1.0, 3.0]])
    work = prism_volume(corner, np.array(heights), np.array([[0, 1, 2]]), level)
    assert work.cut - work.fill == pytest.approx(6.0 * (np.mean(heights) - level), abs=1e-9)
    n = 100
    i, j = (grid.ravel() for grid in np.meshgrid(np.arange(n), np.arange(n)))
    up, down = i + j < n, i + j < n - 1
    s = np.concatenate([(i[up] + 1 / 3) / n, (i[down] + 2 / 3) / n])
    t = np.concatenate([(j[up] + 1 / 3) / n, (j[down] + 2 / 3) / n])
    z = heights[0] + s * (heights[1] - heights[0]) + t * (heights[2] - heights[0]) - level
    assert work.cut == pytest.approx(6.0 * np.mean(np.maximum(z, 0.0)), abs=2e-3)
    assert work.fill == pytest.approx(6.0 * np.mean(np.maximum(-z, 0.0)), abs=2e-3)


def test_volume_without_the_house() -> None:
    surface = plane(0.0, 0.0, 30.0)
    work = surface.volume_between(29.0)
    assert work.fill == 0.0
    ring = np.array(YARD[:4])
    hull = 0.5 * abs(np.sum(ring[:, 0] * np.roll(ring[:, 1], -1) - np.roll(ring[:, 0], -1) * ring[:, 1]))
    assert work.cut == pytest.approx(hull - 108.0)
