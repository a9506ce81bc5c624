"""Trees of pipes over a yard: joints, drawn lines, falling ground, names, and what they cost against a star."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from drawn_yards import drawn_yard, places
from shapely import LineString, Polygon

from drainwright.errors import InputError
from drainwright.system.ways import route_length
from drainwright.system.yard.least_tree import FALL, WYE, LeastTree, Terminal, least_tree
from drainwright.system.yard.yard_map import YardMap

SQUARE = ((100.0, 100.0), (101.0, 100.0), (101.0, 101.0), (100.0, 101.0))  # a house out of the way
EXTENT = (-2.0, -2.0, 22.0, 22.0)


def lawn(ground: object = None, grade: float = 0.0) -> YardMap:
    return YardMap(SQUARE, (), EXTENT, ground, grade=grade)  # type: ignore[arg-type]


def terminal(name: str, x: float, y: float) -> Terminal:
    return Terminal(name=name, at=(x, y), ground=10.0, invert=9.5)


def sound(tree: LeastTree, names: list[str], root: str) -> None:
    """One edge leaves each place but the root, upstream first, and all leads there."""
    uppers = [edge.upper for edge in tree.edges]
    assert sorted(uppers) == sorted(set(tree.nodes) - {root})
    assert set(names) <= set(uppers)
    below = {edge.upper: edge.lower for edge in tree.edges}
    for name in uppers:
        here, steps = name, 0
        while here != root:
            here, steps = below[here], steps + 1
            assert steps <= len(uppers)
    for number, edge in enumerate(tree.edges):
        assert edge.route[0] == tree.nodes[edge.upper]
        assert edge.route[-1] == tree.nodes[edge.lower]
        assert edge.length == pytest.approx(route_length(edge.route))
        assert edge.lower not in uppers[:number]


def test_four_corners_meet_as_steiner_says() -> None:
    """Corners of a square, led to one of them: 1 + sqrt 3 times the side (textbook geometry)."""
    side = 20.0
    sources = [terminal("A", side, 0.0), terminal("B", side, side), terminal("C", 0.0, side)]
    tree = least_tree(lawn(), sources, (0.0, 0.0), root_name="OUT", fall=0.0)
    sound(tree, ["A", "B", "C"], "OUT")
    assert sum(edge.length for edge in tree.edges) == pytest.approx((1.0 + math.sqrt(3.0)) * side, rel=0.01)
    assert {name for name in tree.nodes if name.startswith("J")} == {"J1", "J2"}


def test_three_places_meet_at_120_degrees() -> None:
    at = [(10.0 + 8.0 * math.cos(turn), 10.0 + 8.0 * math.sin(turn)) for turn in np.radians([90.0, 210.0, 330.0])]
    tree = least_tree(lawn(), [terminal("A", *at[0]), terminal("B", *at[1])], at[2], fall=0.0)
    assert tree.nodes["J1"] == pytest.approx((10.0, 10.0), abs=0.2)
    assert sum(edge.length for edge in tree.edges) == pytest.approx(24.0, rel=0.005)


def test_many_sources_are_no_dearer_than_each_alone_and_than_a_spanning_tree() -> None:
    for seed in range(3):
        yard, rng = drawn_yard(300 + seed, 6_000)
        at = places(yard, rng, 9, off=0.5)
        sources = [Terminal(name=f"T{i}", at=place, ground=10.0, invert=9.5) for i, place in enumerate(at[1:])]
        tree = least_tree(yard, sources, at[0], fall=0.0)
        sound(tree, [source.name for source in sources], "OUT")
        cost = {(i, j): yard.cost(yard.way(at[i], at[j])) for i, j in itertools.combinations(range(len(at)), 2)}
        joined, spanning = {0}, 0.0
        while len(joined) < len(at):  # Prim's
            best = min((cost[min(i, j), max(i, j)], j) for i in joined for j in range(len(at)) if j not in joined)
            spanning += best[0]
            joined.add(best[1])
        assert tree.cost <= 1.02 * spanning
        assert tree.cost <= sum(cost[0, j] for j in range(1, len(at)))
        house = Polygon(yard._made_of[0])
        assert all(not LineString(edge.route).intersects(house) for edge in tree.edges)
        joints = {edge.lower for edge in tree.edges if sum(o.lower == edge.lower for o in tree.edges) > 1} - {"OUT"}
        assert tree.cost == pytest.approx(sum(edge.cost for edge in tree.edges) + WYE * len(joints))


def test_a_drawn_line_is_kept_and_joined_at_no_cost() -> None:
    drawn = ((2.0, 18.0), (2.0, 10.0), (2.0, 0.0))
    tree = least_tree(lawn(), [terminal("A", 11.0, 10.0)], (2.0, 0.0), [drawn], "OUT", fall=0.0)
    sound(tree, ["A"], "OUT")
    new = [edge for edge in tree.edges if edge.cost > 0.0]
    assert [edge.upper for edge in new] == ["A"]
    assert new[0].length == pytest.approx(9.0, abs=0.05)
    assert tree.nodes[new[0].lower] == (2.0, 10.0)
    kept = [edge for edge in tree.edges if edge.cost == 0.0]
    assert sum(edge.length for edge in kept) == pytest.approx(18.0)


def test_a_drawn_line_that_ends_short_is_carried_on() -> None:
    drawn = ((2.0, 18.0), (2.0, 10.0))
    tree = least_tree(lawn(), [terminal("A", 8.0, 18.0)], (2.0, 0.0), [drawn], "OUT", fall=0.0)
    sound(tree, ["A"], "OUT")
    assert any(edge.lower == "OUT" and edge.length == pytest.approx(10.0, abs=0.1) for edge in tree.edges)
    assert any(edge.cost == 0.0 and edge.length == pytest.approx(8.0) for edge in tree.edges)


def test_two_drawn_lines_one_into_the_other() -> None:
    main = ((18.0, 18.0), (10.0, 10.0), (0.0, 0.0))
    branch = ((0.0, 18.0), (10.0, 10.0))
    tree = least_tree(lawn(), [terminal("A", 0.0, 20.0)], (0.0, 0.0), [main, branch], "OUT", fall=0.0)
    sound(tree, ["A"], "OUT")
    new = [edge for edge in tree.edges if edge.cost > 0.0]
    assert sum(edge.length for edge in new) == pytest.approx(2.0, abs=0.1)


def test_drawn_lines_in_a_loop_are_refused() -> None:
    ring = [((0.0, 0.0), (10.0, 0.0)), ((10.0, 0.0), (10.0, 10.0)), ((10.0, 10.0), (0.0, 0.0))]
    with pytest.raises(InputError, match="fixed"):
        least_tree(lawn(), [terminal("A", 5.0, 5.0)], (20.0, 20.0), ring)


def test_names_of_their_own() -> None:
    with pytest.raises(InputError, match="names"):
        least_tree(lawn(), [terminal("OUT", 5.0, 5.0)], (0.0, 0.0), root_name="OUT")
    sources = [terminal("J1", 20.0, 0.0), terminal("B", 20.0, 20.0), terminal("C", 0.0, 20.0)]
    tree = least_tree(lawn(), sources, (0.0, 0.0), fall=0.0)
    sound(tree, ["J1", "B", "C"], "OUT")
    assert tree.nodes["J1"] == (20.0, 0.0)


def test_pipes_go_round_a_hill_and_not_over_it() -> None:
    """A ridge between source and root: over it the pipe would lie a metre deeper."""

    def ridge(x: np.ndarray, y: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
        return np.where(y < 14.0, np.clip(3.0 - np.abs(x - 10.0), 0.0, 3.0), 0.0), np.ones_like(x)

    yard = lawn(ridge, 0.01)
    over = least_tree(yard, [terminal("A", 2.0, 5.0)], (18.0, 5.0), fall=0.0)
    round_it = least_tree(yard, [terminal("A", 2.0, 5.0)], (18.0, 5.0), fall=FALL)
    assert max(y for _, y in over.edges[0].route) < 6.0
    assert max(y for _, y in round_it.edges[0].route) > 13.5
    assert yard.lost(round_it.edges[0].route) < 0.5 < yard.lost(over.edges[0].route)
    route = round_it.edges[0].route
    assert round_it.edges[0].cost == pytest.approx(yard.cost(route) + FALL * yard.lost(route))


def test_water_passes_through_a_source_on_its_way() -> None:
    sources = [terminal("A", 20.0, 10.0), terminal("B", 10.0, 10.0)]
    tree = least_tree(lawn(), sources, (0.0, 10.0), fall=0.0)
    assert {(edge.upper, edge.lower) for edge in tree.edges} == {("A", "B"), ("B", "OUT")}


def test_two_sources_in_one_place_and_one_at_the_root() -> None:
    sources = [terminal("A", 10.0, 10.0), terminal("B", 10.02, 10.0), terminal("C", 0.05, 0.0)]
    tree = least_tree(lawn(), sources, (0.0, 0.0), fall=0.0)
    sound(tree, ["A", "B", "C"], "OUT")


def test_no_sources_no_tree() -> None:
    tree = least_tree(lawn(), [], (0.0, 0.0))
    assert tree.edges == ()
    assert tree.cost == 0.0


def test_a_lot_s_tree_is_the_same_each_time() -> None:
    yard, rng = drawn_yard(5, 20_000)
    at = places(yard, rng, 13, off=0.5)
    sources = [Terminal(name=f"T{i}", at=place, ground=10.0, invert=9.5) for i, place in enumerate(at[1:])]
    tree = least_tree(yard, sources, at[0])
    assert tree == least_tree(drawn_yard(5, 20_000)[0], sources, at[0])
    assert tree.words[0].startswith("12 places are led to OUT")


def test_water_in_a_drawn_line_goes_on_to_its_end() -> None:
    """It may not leave at the bend, though the way out is nearer from there."""
    drawn = ((2.0, 18.0), (2.0, 10.0), (20.0, 10.0))
    tree = least_tree(lawn(), [terminal("A", 8.0, 18.0)], (2.0, 0.0), [drawn], "OUT", fall=0.0)
    sound(tree, ["A"], "OUT")
    last = next(edge for edge in tree.edges if edge.lower == "OUT")
    assert last.route[0] == (20.0, 10.0)
