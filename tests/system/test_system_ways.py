"""Routes beside walls and round the house."""

from __future__ import annotations

import math
from types import SimpleNamespace

import numpy as np
import pytest

from drainwright.system.ways import RoundHouse, bends, beside_walls, route_length, stations_along, tidy_route

SQUARE = ((0.0, 0.0), (10.0, 0.0), (10.0, 8.0), (0.0, 8.0))
NOTCHED = ((0.0, 0.0), (10.0, 0.0), (10.0, 4.0), (6.0, 4.0), (6.0, 8.0), (0.0, 8.0))


def wall(start: tuple[float, float], end: tuple[float, float]) -> SimpleNamespace:
    """A wall of an outline that runs counter-clockwise: the outside is to the right."""
    length = math.dist(start, end)
    return SimpleNamespace(start=start, end=end, outward=((end[1] - start[1]) / length, -(end[0] - start[0]) / length))


def test_mitre_at_an_outer_corner_goes_past_it() -> None:
    route = beside_walls([wall((0, 0), (10, 0)), wall((10, 0), (10, 8))], 0.3)  # type: ignore[list-item]
    assert np.array(route) == pytest.approx(np.array([(0.0, -0.3), (10.3, -0.3), (10.3, 8.0)]))


def test_mitre_at_an_inner_corner_stops_short_of_it() -> None:
    route = beside_walls([wall((10, 4), (6, 4)), wall((6, 4), (6, 8))], 0.3)  # type: ignore[list-item]
    assert np.array(route) == pytest.approx(np.array([(10.0, 4.3), (6.3, 4.3), (6.3, 8.0)]))


def test_walls_may_be_listed_against_the_outline() -> None:
    forward = beside_walls([wall((0, 0), (10, 0)), wall((10, 0), (10, 8))], 0.3)  # type: ignore[list-item]
    backward = beside_walls([wall((10, 0), (10, 8)), wall((0, 0), (10, 0))], 0.3)  # type: ignore[list-item]
    assert np.array(backward) == pytest.approx(np.array(forward[::-1]))


def test_walls_in_one_line_give_one_straight() -> None:
    route = beside_walls([wall((0, 0), (5, 0)), wall((5, 0), (10, 0))], 0.3)  # type: ignore[list-item]
    assert np.array(route) == pytest.approx(np.array([(0.0, -0.3), (10.0, -0.3)]))


def test_shortest_way_goes_round_the_nearer_corner() -> None:
    way = RoundHouse(SQUARE).way((-3.0, 1.0), (13.0, 1.0))
    assert all(y < 1.0 for _, y in way[1:-1])
    by_hand = math.hypot(3 - 0.3048, 1.3048) * 2 + 10 + 2 * 0.3048
    assert route_length(way) == pytest.approx(by_hand)


def test_no_way_passes_under_the_house() -> None:
    from shapely import LineString, Polygon

    house = Polygon(NOTCHED).buffer(-0.02)
    finder = RoundHouse(NOTCHED)
    ends = [(-2.0, 4.0), (12.0, 2.0), (8.0, 6.0), (5.0, -1.0), (6.0, 6.0), (0.0, 3.0), (3.0, 9.0)]
    for start in ends:
        for end in ends:
            if start != end:
                way = finder.way(start, end)
                assert not LineString(way).intersects(house)
                assert way[0] == start
                assert way[-1] == end
                assert route_length(way) == pytest.approx(route_length(finder.way(end, start)))


def test_stations_stand_at_vertices_and_at_most_a_metre_apart() -> None:
    route = ((0.0, 0.0), (2.5, 0.0), (2.5, 0.4))
    stations = stations_along(route)
    assert [distance for distance, _ in stations] == pytest.approx([0.0, 2.5 / 3, 5.0 / 3, 2.5, 2.9])
    assert stations[-1][1] == route[-1]


def test_bends_and_tidying() -> None:
    assert bends(((0, 0), (1, 0), (1, 1), (2, 2))) == pytest.approx((math.pi / 2, math.pi / 4))
    assert tidy_route(((0, 0), (1, 0), (1, 0), (2, 0), (2, 1))) == ((0, 0), (2, 0), (2, 1))
