"""Bends that elbows as made do not fit where they are drawn: the route itself is moved, so that every paper follows."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from tests.conftest import designed

from drainwright.paper.documents.crew_places import fitting_blocks
from drainwright.system.bends import deflection, elbows_make, made_route, straightened, turns
from drainwright.system.fittings import BENDING
from drainwright.system.made_bends import unmade_bends

EXAMPLES = ("block-wall-house", "soak-lot", "metric-basement", "two-basins", "sloping-lot", "long-house")


def anywhere(a: tuple[float, float], b: tuple[float, float]) -> bool:
    return True


def test_a_moved_bend_turns_by_elbows_as_made() -> None:
    """FD1 of the demonstration is drawn to turn 34.6° at the wall's end; it turns 45° 2 ft 4 in past it."""
    design = designed("block-wall-house/job")
    route = straightened(design.system.run("FD1").route)
    assert turns(route)[-1] == pytest.approx(45.0, abs=1e-6)
    corner = max(x for wall in design.site.walls for x, _ in (wall.start, wall.end) if wall.name == "south")
    assert route[-2][0] - corner == pytest.approx(0.71, abs=0.01)
    assert "Bend 2 of FD1 is set 2.333 ft further on than drawn" in " ".join(design.system.notes)


@pytest.mark.parametrize("name", EXAMPLES)
def test_every_bend_of_the_examples_is_made_by_elbows(name: str) -> None:
    system = designed(f"{name}/job").system
    assert unmade_bends(system.runs) == ()
    stiff = [run for run in system.runs if not run.pressure and run.pipe.family not in BENDING]
    assert all(min(abs(turn - 22.5 * step) for step in range(9)) <= 11.25 for run in stiff for turn in turns(run.route))
    assert "which no elbow makes" not in str(fitting_blocks(designed(f"{name}/job")))


def test_the_nearest_turn_is_tried_first_and_then_the_next() -> None:
    """By hand: for 22.5°, nearer to 32.9°, the bend would stand 1.4 m sooner; 45° wants it 0.86 m further on."""
    route = [(0.0, 0.0), (9.75, 0.0), (12.19, 1.58)]
    moved = made_route(route, anywhere)
    assert moved == (route[0], (pytest.approx(10.61), 0.0), route[2])
    assert deflection(*pairwise(moved)) == pytest.approx(45.0)


def test_a_bend_is_not_sent_down_the_yard() -> None:
    route = ((0.0, 0.0), (1.0, 0.0), (21.0, 12.0))
    assert made_route(route, anywhere) == route
    assert not elbows_make(turns(route)[0])


def test_a_bend_stays_where_its_way_on_would_lie_in_the_house() -> None:
    route = ((0.0, 0.0), (4.0, 0.0), (6.0, 1.5))
    assert made_route(route, anywhere) == (route[0], (4.5, 0.0), route[2])
    assert made_route(route, lambda a, b: b != route[2]) == route


def test_a_route_that_elbows_make_is_left_as_it_lies() -> None:
    route = ((0.0, 0.0), (4.0, 0.0), (4.0, 0.2), (8.0, 4.2))
    assert made_route(route, anywhere) == route
    slight = ((0.0, 0.0), (4.0, 0.0), (8.0, 4.0 * math.tan(math.radians(49.5))))
    assert made_route(slight, anywhere) == slight
