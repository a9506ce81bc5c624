"""The water surface through the gravity lines at the design flow, from the tailwater up."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from drainwright.hydraulics.access_hole import arriving_level
from drainwright.hydraulics.conduit import RoundPipe
from drainwright.hydraulics.fittings import fitting
from drainwright.hydraulics.line_surface import line_surface
from drainwright.hydraulics.openflow import flowing_depth
from drainwright.hydraulics.water_surface import WaterSurface
from drainwright.system.model import NodeKind, Pipe
from drainwright.system.surface.drain_trench import StoneBed, StoneWater, stone_water
from drainwright.system.surface.surface_nodes import Arriving, NodeHead, head_at
from drainwright.worksheet import place

JUMP_TOLD = 0.01  # near critical depth the water only ripples [m]
NEAR_JUMP = 0.5  # [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """A gravity line with its pipe and inverts, as the water surface needs it."""

    name: str
    upper: str
    lower: str
    upper_kind: NodeKind
    pipe: Pipe
    knots: tuple[float, ...]  # distances of the ends and of the breaks of grade, from the upper end [m]
    inverts: tuple[float, ...]  # there [m]
    flow: float  # at the lower end [m³/s]
    distances: tuple[float, ...]  # of the stations from the upper end [m]
    gain: float = 0.0  # of that flow, what enters evenly along a drain [m³/s]
    turns: tuple[tuple[float, float], ...] = ()  # bends: distance from the upper end, and turn [m, rad]
    heading_upper: float = 0.0  # of its first leg, anticlockwise from east [rad]
    heading_lower: float = 0.0  # of its last leg [rad]
    rim_upper: float = math.inf  # at its upper end [m]
    overflow: bool = False  # it takes water only when the line that leaves the same place does not
    stone: StoneBed | None = None  # round a perforated pipe

    @property
    def length(self) -> float:
        """Length in plan [m]."""
        return self.distances[-1]

    @property
    def invert_upper(self) -> float:
        """Invert at the upper end [m]."""
        return self.inverts[0]

    @property
    def invert_lower(self) -> float:
        """Invert at the lower end [m]."""
        return self.inverts[-1]

    @property
    def grade(self) -> float:
        """Fall over length, of the whole [-]."""
        return (self.inverts[0] - self.inverts[-1]) / self.length

    @property
    def stretches(self) -> tuple[tuple[float, float, float, float], ...]:
        """Start, end, and the inverts there, of each stretch of even grade, the upper first [m]."""
        ends = zip(itertools.pairwise(self.knots), itertools.pairwise(self.inverts), strict=True)
        return tuple((start, end, high, low) for (start, end), (high, low) in ends)

    @property
    def flattest(self) -> float:
        """The least grade of its stretches [-]."""
        return min((high - low) / (end - start) for start, end, high, low in self.stretches)

    @property
    def section(self) -> RoundPipe:
        """Its cross section."""
        return RoundPipe(diameter=self.pipe.inside)

    def invert(self, distance: float) -> float:
        """Invert at a distance from the upper end [m]."""
        return float(np.interp(distance, self.knots, self.inverts))


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterLine:
    """The water surface along a reach."""

    levels: tuple[float, ...]  # at the reach's stations [m]
    node_level: float  # of the water at the upper node, with its losses [m]
    surcharged: bool  # above the crown somewhere
    losses: Mapping[str, float] = field(default_factory=dict)  # at the upper node, by kind [m]
    tail: float = -math.inf  # level that it runs into [m]
    jumps: tuple[float, ...] = ()  # hydraulic jumps, from the upper end [m]
    full_length: float = 0.0  # that runs full [m]
    stone: StoneWater | None = None  # water in the stone round it


def entrance_coefficient(kind: NodeKind) -> float:
    """Loss on entering a pipe while its neighbours are not known yet: sharp edge; at a junction, a straight tee [-]."""
    return fitting("tee_run" if kind == "junction" else "entrance_sharp").loss_coefficient


def surface_along(reach: Reach, tailwater: float, carried: Sequence[float] = ()) -> WaterSurface:
    """The water surface along one reach, with its bends and what enters along it.

    Parameters
    ----------
    reach : Reach
        Pipe, inverts, flow and stations.
    tailwater : float
        Grade line at the lower end; below the pipe where it falls freely. [m]
    carried : sequence of float
        At the reach's stations: flow that goes in the stone beside the pipe. [m³/s]

    Returns
    -------
    WaterSurface
        At more places than the stations, these among them.
    """
    return line_surface(
        reach.pipe.inside, reach.knots, reach.inverts, reach.flow - reach.gain, reach.flow, reach.pipe.manning,
        tailwater, reach.distances, reach.turns, carried,
    )  # fmt: skip


def water_line(reach: Reach, tailwater: float, arriving: Sequence[Arriving] = (), downstream: float = 0.0) -> WaterLine:
    """Water surface along one reach, and at the place that it leaves.

    Parameters
    ----------
    reach : Reach
        Pipe, inverts, flow and stations.
    tailwater : float
        Water level at the lower end; below the pipe where it falls freely. [m]
    arriving : sequence of Arriving
        The pipes that run into its upper end.
    downstream : float
        Share of the speed that its water keeps where it arrives: 1 less HEC-22's exit loss at a catch basin. [-]

    Returns
    -------
    WaterLine
        Levels at the stations, and the level and losses at the upper node.
    """
    tail = tailwater
    if downstream > 0.0 and math.isfinite(tailwater):
        tail = arriving_level(tailwater, reach.invert_lower, reach.flow, reach.section)
    surface = surface_along(reach, tail)
    stone = None
    if reach.stone is not None and reach.pipe.perforated and not reach.pipe.envelope:
        surface, stone = stone_water(reach, reach.stone, surface, lambda carried: surface_along(reach, tail, carried))
    head: NodeHead = head_at(
        kind=reach.upper_kind, pipe=reach.pipe, invert=reach.invert_upper, flow=reach.flow - reach.gain,
        heading=reach.heading_upper, rim=reach.rim_upper, depth=float(surface.depths[0]),
        speed=float(surface.velocities[0]), arriving=arriving,
    )  # fmt: skip
    levels = np.interp(reach.distances, surface.distances, surface.levels)
    crown = np.interp(surface.distances, reach.knots, reach.inverts) + reach.pipe.inside
    return WaterLine(
        levels=tuple(float(level) for level in levels),
        node_level=head.level,
        surcharged=bool(np.any(surface.levels > crown + 1e-9)),
        losses=head.losses,
        tail=tail,
        jumps=_told(surface),
        full_length=surface.full_length,
        stone=stone,
    )


def _told(surface: WaterSurface) -> tuple[float, ...]:
    """The jumps that a person would see: those that rise by ``JUMP_TOLD`` or more within a few diameters. [m]"""
    rises = {
        jump: np.interp(jump + NEAR_JUMP, surface.distances, surface.depths)
        - np.interp(jump - NEAR_JUMP, surface.distances, surface.depths)
        for jump in surface.jumps
    }
    return tuple(jump for jump, rise in rises.items() if rise >= JUMP_TOLD)


def water_lines(reaches: Sequence[Reach], ends: Mapping[str, float]) -> Mapping[str, WaterLine]:
    """Water surface along all reaches, the lowest first.

    Parameters
    ----------
    reaches : sequence of Reach
        Upstream first.
    ends : mapping
        Water level at the places where they end: tailwater, or the on level of a basin. [m]

    Returns
    -------
    mapping
        The water line of each reach by its name.

    Notes
    -----
    An overflow takes no part in the level of the place that it leaves: that is the level while the main line works.
    """
    nodes = dict(ends)
    kinds = {reach.upper: reach.upper_kind for reach in reaches}
    found: dict[str, WaterLine] = {}
    # overflows last: what leaves a place beside them has its level by then
    ordered = [*(reach for reach in reaches if reach.overflow), *(reach for reach in reaches if not reach.overflow)]
    for reach in reversed(ordered):
        arriving = [
            Arriving(
                flow=other.flow, pipe=other.pipe, invert=other.invert_lower, heading=other.heading_lower
            )
            for other in reaches
            if other.lower == reach.upper and not other.overflow
        ]  # fmt: skip
        tail = nodes.get(reach.lower, -math.inf)
        keeps = 1.0 if kinds.get(reach.lower) == "inlet" else 0.0
        with place(f"runs.{reach.name}", "water surface"):
            line = water_line(reach, tail, arriving, keeps)
        found[reach.name] = line
        nodes[reach.upper] = max(line.node_level, nodes.get(reach.upper, -math.inf))
    return found


def design_depth(flow: float, pipe: Pipe, grade: float) -> float:
    """Normal depth at the design flow, or the diameter where the pipe runs full [m]."""
    if flow <= 0.0:
        return 0.0
    if grade <= 0.0:
        return pipe.inside
    return float(flowing_depth(flow, pipe.inside, grade, pipe.manning))


__all__ = [
    "Reach", "WaterLine", "design_depth", "entrance_coefficient", "surface_along", "water_line", "water_lines",
]  # fmt: skip
