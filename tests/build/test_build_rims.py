"""A catch basin's rim: how high it stands over its sump's floor, and what is cut off the riser so that it does."""

from __future__ import annotations

import re

import pytest

from drainwright.build.takeoff.bodies import BODY, RISER, rims
from drainwright.build.units import INCH

from ..conftest import designed


def test_the_riser_is_cut_to_the_rim() -> None:
    """A body of 14 in and a riser of 6 stand 20 in high: what is more than rim less floor is cut off."""
    design = designed("block-wall-house/job")
    found = {name: (rim, height, cut) for name, rim, height, cut in rims(design.site, design.system)}
    for name in ("CB1", "CB2"):
        node = design.system.nodes[name]
        rim, height, cut = found[name]
        assert rim == pytest.approx(max(node.rim, node.ground))
        assert 0.0 < cut < RISER * INCH
        assert height + cut == pytest.approx((BODY[12.0] + RISER) * INCH)


def test_crew_and_buyer_are_told() -> None:
    design = designed("block-wall-house/job")
    (task,) = (one for one in design.build.plan.tasks if one.key == "inlets")
    for name in ("CB1", "CB2"):
        assert re.search(rf"{name}: rim by rod \S+ ft before its pit is filled, .* cut off its top riser", task.hold)
    (line,) = (one for one in design.build.takeoff.lines if one.key == "catch-basin-riser.12in")
    assert "riser cut: CB1 by 1 7/8 in" in line.note
