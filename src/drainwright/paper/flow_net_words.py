"""Figures of the flow net in words, and the level that the design itself reckons with."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.paper.wording import Wording
from drainwright.quantities import Kind, write
from drainwright.water.flow_net import FlowNet


def designed_middle(design: Design, net: FlowNet, word: Wording) -> str:
    """The level at mid-house that the design reckons with, where it is not the drawn one."""
    line = next((line for line in design.inflows.ground_lines if line.wall == net.wall), None)
    if line is None or net.level_middle is None or word.level(line.level_with) == word.level(net.level_middle):
        return ""
    return f": at mid-house, behind the {line.wall} wall, it reckons with {word.level(line.level_with)}"


def small_flow(flow: float, word: Wording) -> str:
    """A small flow: ``21.9 gph``, ``1.38 L/min``."""
    return write(flow, Kind.FLOW, "US", "gph", 1) if word.us else write(flow, Kind.FLOW, "SI", "L/min", 2)


def speed(net: FlowNet, design: Design) -> str:
    """The soil's conductivity."""
    units = design.job.units
    return write(net.conductivity, "speed", units, "ft/day" if units == "US" else "m/day")


__all__ = ["designed_middle", "small_flow", "speed"]
