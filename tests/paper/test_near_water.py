"""A pipe near a water line, and the two levels at mid-house: what one sheet knew stands on the others."""

from __future__ import annotations

from drainwright.design import Design, flow_nets
from drainwright.findings.place_checks import near_water
from drainwright.paper.documents.exposure_paper import exposure_blocks
from drainwright.paper.documents.say import Say
from drainwright.paper.drawings import drawings

from .test_spanish import texts


def test_a_pipe_near_a_water_line_is_asked_of_the_place_and_has_no_joint_over_it(metric: Design) -> None:
    """The worksheet asked for it: no other paper, so nobody did."""
    near = near_water(metric.site, metric.build.dig, metric.system.runs)
    apart = metric.job.rules.water_sewer_separation.value
    by_hand = [
        item
        for item in metric.build.dig.crossings
        if item.kind == "water" and item.crossing and item.clearance is not None and 0 <= item.clearance < apart
    ]
    assert {item.mark for item in near} == {item.mark for item in by_hand if item.run in ("FD1", "YD1", "DL", "L1")}
    assert near
    told = " ".join(texts(exposure_blocks(metric, Say("SI"))))
    for item in near:
        assert f"{item.mark}: no joint of {item.run} lies over the {item.utility}" in told
        assert any(item.utility in check.demand and item.run in check.demand for check in metric.checks)


def test_the_flow_net_tells_the_level_that_the_design_reckons_with(metric: Design) -> None:
    """The sheet drew 49.035 m at mid-house and the site report reckoned with 49.137 m: neither named the other."""
    net = flow_nets(metric)[0]
    line = next(one for one in metric.inflows.ground_lines if one.wall == net.wall)
    say = Say("SI")
    assert net.level_middle is not None
    assert say.level(net.level_middle) != say.level(line.level_with)
    words = " ".join(
        mark.text for name, sheet in drawings(metric).items() if "flow-net" in name for mark in sheet.texts
    )
    assert f"it reckons with {say.level(line.level_with)}" in words
