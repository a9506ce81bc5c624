"""A soakaway that the job does not turn lies on the lot, off house and lines; what the job says is kept."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from shapely import LinearRing, Polygon
from system_jobs import designed, document

from drainwright.field.model import Site
from drainwright.job.works import Soak
from drainwright.system.outlets.soak_sizing import SoakSize
from drainwright.system.outlets.soak_turn import EAST, bearing_of, outlines_of

WELLS = SoakSize(kind="dry well", length=1.2, width=1.2, depth=1.5, count=4)  # a row of 7 m and more
TRENCH = SoakSize(kind="infiltration trench", length=8.0, width=0.6, depth=1.0)


def site(boundary: tuple[tuple[float, float], ...], outline: tuple[tuple[float, float], ...]) -> Site:
    found, _, _ = designed(document())
    return replace(found, boundary=boundary, outline=outline, utilities=())


FAR_HOUSE = ((-60.0, 0.0), (-50.0, 0.0), (-50.0, 10.0), (-60.0, 10.0))
LOT = ((-100.0, -100.0), (6.0, -100.0), (6.0, 100.0), (-100.0, 100.0))  # its east side runs due north at 6 m


@pytest.mark.parametrize("size", [WELLS, TRENCH])
def test_where_all_is_clear_it_lies_due_east(size: SoakSize) -> None:
    open_lot = site(((-100.0, -100.0), (100.0, -100.0), (100.0, 100.0), (-100.0, 100.0)), FAR_HOUSE)
    assert bearing_of(open_lot, Soak(), size, (0.0, 0.0)) == EAST


@pytest.mark.parametrize("size", [WELLS, TRENCH])
def test_it_turns_so_far_as_the_boundary_asks_and_no_farther(size: SoakSize) -> None:
    """Due east it would lie over the edge; of ways 15 degrees apart the first that keeps the distance is taken."""
    lot = site(LOT, FAR_HOUSE)
    asked = lot.job.rules.soak_boundary_setback.value
    edge = LinearRing(LOT)

    def keeps(turn: int) -> bool:
        rings = outlines_of(size, (0.0, 0.0), EAST + turn * math.radians(15.0))
        return all(Polygon(LOT).contains(Polygon(ring)) and edge.distance(Polygon(ring)) >= asked for ring in rings)

    found = bearing_of(lot, Soak(), size, (0.0, 0.0))
    turn = round((found - EAST) / math.radians(15.0))
    assert turn != 0
    assert keeps(turn)
    assert not any(keeps(less) for less in range(-abs(turn) + 1, abs(turn)))


def test_of_lots_too_small_the_one_over_the_boundary_least() -> None:
    """A lot 3 m wide and 40 m long, the pipe's end in its middle: along it, never over it."""
    narrow = ((-20.0, -1.5), (20.0, -1.5), (20.0, 1.5), (-20.0, 1.5))
    found = bearing_of(site(narrow, FAR_HOUSE), Soak(), TRENCH, (0.0, 0.0))
    assert math.sin(found) ** 2 == pytest.approx(1.0)


def test_the_house_counts_as_the_boundary_does() -> None:
    house = ((4.0, -5.0), (14.0, -5.0), (14.0, 5.0), (4.0, 5.0))
    lot = site(((-100.0, -100.0), (100.0, -100.0), (100.0, 100.0), (-100.0, 100.0)), house)
    at = (0.0, 0.0)
    rings = outlines_of(TRENCH, at, bearing_of(lot, Soak(), TRENCH, at))
    assert all(Polygon(house).distance(Polygon(ring)) >= lot.job.rules.soak_house_setback.value for ring in rings)


def test_what_the_job_says_is_kept() -> None:
    assert bearing_of(site(LOT, FAR_HOUSE), Soak.model_validate({"bearing": "90 deg"}), WELLS, (0.0, 0.0)) == EAST
