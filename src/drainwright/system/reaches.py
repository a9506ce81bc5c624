"""Graded lines as the water surface needs them: with their turns, what enters along them, and their stone."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace

from drainwright.field.model import Plan
from drainwright.system.drain_trench import StoneBed
from drainwright.system.flows import Gathered
from drainwright.system.graded import Graded
from drainwright.system.network import Line, Network
from drainwright.system.sized import reach_of
from drainwright.system.surface_line import Reach
from drainwright.system.ways import bends, distance


def heading(start: Plan, end: Plan) -> float:
    """Heading of a leg, anticlockwise from east. [rad]"""
    return math.atan2(end[1] - start[1], end[0] - start[0])


def turns_along(route: Sequence[Plan]) -> tuple[tuple[float, float], ...]:
    """Distance from the upper end and turn of each inner vertex of a route. [m, rad]"""
    legs = itertools.accumulate(distance(a, b) for a, b in itertools.pairwise(route))
    return tuple(zip(legs, bends(route), strict=False))


def reaches_of(network: Network, graded: Graded, flows: Gathered, lines: Sequence[Line]) -> list[Reach]:
    """Graded lines as the water surface needs them, without their stone."""
    return [_reach(network, graded, flows, line) for line in lines]


def _reach(network: Network, graded: Graded, flows: Gathered, line: Line) -> Reach:
    flow = sum(flows.lines[line.name].values())
    upper = network.spots[line.upper]
    return replace(
        reach_of(line, upper.kind, graded.found[line.name], flow),
        gain=max(flow - sum(flows.spots[line.upper].values()), 0.0),
        turns=turns_along(line.route),
        heading_upper=heading(*line.route[:2]),
        heading_lower=heading(*line.route[-2:]),
        rim_upper=upper.rim,
        overflow=line.duty == "overflow",
    )


def with_stone(reach: Reach, width: float, over: float, grain: float) -> Reach:
    """The reach with the stone round its pipe; as it is where it lies in soil. [m]"""
    if width <= 0.0 or not reach.pipe.perforated or reach.pipe.envelope > 0.0:
        return reach
    return replace(reach, stone=StoneBed(width=width, over=over, size=grain))


__all__ = ["heading", "reaches_of", "turns_along", "with_stone"]
