"""The water under the house with the drains where their grade puts them, not as low as the lowest footing."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import pytest
from scipy.optimize import brentq
from test_water_ground_lines import EXAMPLES, FOOT, WET, line, site

from drainwright.design import Design, design, flow_nets
from drainwright.job.reading import read_job
from drainwright.system.drain_levels import drain_levels
from drainwright.water import inflows
from drainwright.water.ground import PIPE_BED, ground_of
from drainwright.water.ground_lines import ground_lines, with_graded_drains
from drainwright.water.model import GroundLine

BARRIER, FAR = 90 * FOOT, 97 * FOOT
LOW = 94.5 * FOOT + PIPE_BED


@cache
def designed(example: str) -> Design:
    return design(read_job(EXAMPLES / example / "job.yaml"))


def at(sides: tuple[str, ...], **held: float) -> GroundLine:
    given = site(sides)
    found = with_graded_drains(given, inflows(given), held)
    return next(item for item in found.ground_lines if item.run == "FD-south")


def beside(drain: float, ways: float) -> float:
    """Head over the barrier beside a drain, by Brent: the drain's own and what gathering to it takes."""
    held, far = drain - BARRIER, FAR - BARRIER
    loss = math.log(held / WET) / math.pi
    return float(brentq(lambda head: held + loss * (far**2 - head**2) * ways - head, held, far))


def reach() -> float:
    return inflows(site()).seepage[0].influence


def test_a_drain_at_its_footing_all_along_changes_nothing() -> None:
    assert at(("south",), south=LOW).level_with == pytest.approx(line(site()).level_with, abs=1e-12)
    given = site()
    assert with_graded_drains(given, inflows(given), {}) == inflows(given)
    assert ground_lines(given, ground_of(given), inflows(given).seepage, {}) == ground_lines(
        given, ground_of(given), inflows(given).seepage
    )


def test_a_drain_that_climbs_holds_the_water_higher() -> None:
    level, span = LOW + 0.4, 31 * FOOT
    head = beside(level, 0.5 / reach() + 0.5 / span)
    far = FAR - BARRIER
    expected = BARRIER + math.sqrt(head**2 + (far**2 - head**2) * 16 / 31)
    found = at(("south",), south=level)
    assert found.level_with == pytest.approx(expected, abs=1e-9)
    assert found.level_with > line(site()).level_with + 0.1
    assert found.with_drain[found.distance.index(0.0)] == pytest.approx(level)


def test_a_drain_no_lower_than_the_water_lowers_nothing_and_leaves_all_to_the_other() -> None:
    """The south drain lies above the water table: the section is that of the north drain alone."""
    found = at(("south", "north"), south=FAR + 0.05, north=LOW)
    head = beside(LOW, 0.5 / reach() + 0.5 / (32 * FOOT))
    far = FAR - BARRIER
    assert found.level_with == pytest.approx(BARRIER + math.sqrt(0.5 * (far**2 + head**2)), abs=1e-9)
    assert found.with_drain[found.distance.index(0.0)] == pytest.approx(FAR)
    assert "lowers nothing" in found.method
    both = at(("south", "north"), south=LOW, north=LOW)
    assert found.level_with > both.level_with
    assert found.time_to_fall is not None


def test_no_drain_low_enough_and_nothing_falls() -> None:
    found = at(("south", "north"), south=FAR, north=FAR + 1.0)
    assert found.level_with == pytest.approx(FAR)
    assert found.time_to_fall is None


@pytest.mark.parametrize("job", ["block-wall-house", "metric-basement", "sloping-lot", "wrong-choices"])
def test_the_design_reckons_with_the_inverts_that_are_built(job: str) -> None:
    made = designed(job)
    held = drain_levels(made.site, made.system)
    before = {(item.run, item.wall): item for item in inflows(made.site).ground_lines}
    inverts = {run.name: (run.invert_lower, run.invert_upper) for run in made.system.runs}
    assert made.inflows.ground_lines
    for item in made.inflows.ground_lines:
        low, high = inverts[item.run]
        assert low <= held[item.wall] <= high
        assert item.level_with >= before[item.run, item.wall].level_with
        assert item.level_with > min(held[item.wall], item.level_without) - 0.001 or "both walls" in item.method
        assert item.band is not None
        assert item.band.low < item.level_with < item.band.high
    assert made.inflows.contributions == inflows(made.site).contributions


def test_a_drain_above_the_water_in_the_metric_example() -> None:
    """Its north wall stands at the drain's upper end, where 1 % of grade has taken it past the water table."""
    made = designed("metric-basement")
    held = drain_levels(made.site, made.system)
    found = {item.wall: item for item in made.inflows.ground_lines}
    assert held["north"] > found["north"].level_without
    assert "lowers nothing" in found["north"].method
    assert found["north"].level_with == pytest.approx(found["south"].level_with, abs=1e-9)
    assert found["north"].level_with == pytest.approx(49.137, abs=0.001)  # as found; 49.023 with the drain level


def test_the_flow_net_says_that_the_drain_lies_higher() -> None:
    made = designed("metric-basement")
    (net,) = flow_nets(made)
    assert net.drain_level == pytest.approx(48.9408)
    graded = drain_levels(made.site, made.system)[net.wall]
    assert graded > net.drain_level + 0.05
    assert any(f"at {graded:.3f} m on the mean, not at 48.941 m" in note for note in net.notes)
    low = replace(made.inflows, ground_lines=inflows(made.site).ground_lines)
    (net,) = flow_nets(replace(made, inflows=low))
    assert not any("By its grade" in note for note in net.notes)
