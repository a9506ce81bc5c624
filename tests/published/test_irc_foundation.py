"""International Residential Code, R401.3, R405.1 and R406.1: ground, drain and coat at a foundation.

SEEN quoted: R401.3 (2006 text) https://forum.nachi.org/t/positive-drainage/38972; R405.1
https://www.thebuildingcodeforum.com/forum/threads/foundation-drainage.14064/; R406.1
https://up.codes/s/foundation-waterproofing-and-dampproofing. The values are exact: the tolerance is
that of floating point.
"""

from __future__ import annotations

import pytest

from drainwright.build.coating import coated_walls
from drainwright.build.takeoff.bulk import PARGE_THICKNESS
from drainwright.design import Design
from drainwright.field.wall_slopes import FALL_AWAY, REACH
from drainwright.findings.drain_pipe import BED_UNDER
from drainwright.findings.footing import BEYOND, OVER, UNDER
from drainwright.job.works import Shaping
from drainwright.system.network import STONE_UNDER
from drainwright.system.sized import STONE_OVER
from drainwright.water.ground import PIPE_BED

FOOT, INCH = 0.3048, 0.0254


def test_ground_falls_six_inches_in_ten_feet() -> None:
    """R401.3: a minimum of 6 in within the first 10 ft; 5 % where a lot line or a wall is nearer."""
    assert pytest.approx(10 * FOOT) == REACH
    assert pytest.approx(6 * INCH) == FALL_AWAY * REACH
    assert pytest.approx(0.05) == FALL_AWAY
    strip = Shaping(wall="south")
    assert (strip.width, strip.fall) == (pytest.approx(10 * FOOT), pytest.approx(6 * INCH))


def test_stone_lies_under_over_and_beyond_as_the_code_has_it() -> None:
    """R405.1: pipe on 2 in of stone and under 6 in of it; stone 1 ft beyond the footing and 6 in over its top."""
    assert pytest.approx([2 * INCH] * 4) == [UNDER, BED_UNDER, STONE_UNDER, PIPE_BED]
    assert pytest.approx([6 * INCH] * 2) == [OVER, STONE_OVER]
    assert pytest.approx(FOOT) == BEYOND


def test_the_designed_drains_have_that_stone(pumped: Design) -> None:
    """R405.1 by the drawn design: no footing drain has less over its pipe."""
    drains = [run for run in pumped.system.runs if run.duty == "footing drain"]
    assert drains
    for run in drains:
        assert run.stone_over >= 6 * INCH - 1e-9


def test_the_coat_reaches_from_the_footing_and_parging_is_thick_enough(pumped: Design) -> None:
    """R406.1: parging of 3/8 in at least; the coat from finished grade down to the footing's top or beyond."""
    assert PARGE_THICKNESS >= 0.375 * INCH
    assert coated_walls(pumped.site)
    for coat in coated_walls(pumped.site):
        wall = coat.wall
        length = ((wall.end[0] - wall.start[0]) ** 2 + (wall.end[1] - wall.start[1]) ** 2) ** 0.5
        assert coat.area >= length * (wall.ground_lowest - wall.footing_top) - 1e-9
