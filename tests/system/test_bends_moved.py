"""Bends that elbows as made do not fit where they are drawn."""

from __future__ import annotations

import math

import pytest
from tests.conftest import designed

from drainwright.paper.documents.crew_places import fitting_blocks
from drainwright.system.bends import deflection, moved_bends, straightened, turns


def test_a_moved_bend_turns_by_elbows_as_made() -> None:
    """FD1 of the demonstration turns 34.6°; an elbow of 45° misses the basin unless it is set past the wall's end."""
    run = designed("block-wall-house/job").system.run("FD1")
    route = straightened(run.route)
    corner, last = moved_bends(route)
    assert corner == 0.0
    assert turns(route)[-1] == pytest.approx(34.6, abs=0.1)
    leg = math.dist(route[-3], route[-2])
    ahead = [(b - a) / leg for a, b in zip(route[-3], route[-2], strict=True)]
    set_at = (route[-2][0] + last * ahead[0], route[-2][1] + last * ahead[1])
    assert deflection((route[-3], set_at), (set_at, route[-1])) == pytest.approx(45.0)
    assert last == pytest.approx(0.71, abs=0.01)


def test_a_bend_is_not_sent_down_the_yard() -> None:
    (far,) = moved_bends([(0.0, 0.0), (1.0, 0.0), (21.0, 12.0)])
    assert math.isnan(far)


def test_the_crew_is_told_where_the_elbow_belongs() -> None:
    told = str(fitting_blocks(designed("block-wall-house/job")))
    assert "Bend 2 of FD1 turns 35°: set it 2 ft 4 in past its mark, so that its elbow points at SUMP." in told
