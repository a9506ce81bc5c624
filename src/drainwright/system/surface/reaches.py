"""Graded lines as the water surface needs them: with their turns, what enters along them, and their stone."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

from drainwright.field.model import Plan, Site
from drainwright.system.flows import Gathered
from drainwright.system.grading.graded import Graded
from drainwright.system.grains import stone_grains
from drainwright.system.network import Line, Network
from drainwright.system.sized import reach_of, stone_round
from drainwright.system.surface.drain_trench import StoneBed
from drainwright.system.surface.surface_line import Reach
from drainwright.system.ways import bends, distance
from drainwright.worksheet import quiet


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


def in_stone(site: Site, lines: Mapping[str, Line], reaches: Sequence[Reach]) -> list[Reach]:
    """The reaches with the stone round their pipes, where they are perforated and lie in it."""
    with quiet():
        fine, coarse = stone_grains(site.job.works.stone).d50
    found = []
    for reach in reaches:
        middle = 0.5 * (reach.invert_upper + reach.invert_lower)
        width, _, over = stone_round(site, lines[reach.name], reach.pipe, middle)
        bed = StoneBed(width=width, over=over, size=math.sqrt(fine * coarse)) if width > 0.0 else None
        found.append(replace(reach, stone=bed))
    return found


__all__ = ["heading", "in_stone", "reaches_of", "turns_along"]
