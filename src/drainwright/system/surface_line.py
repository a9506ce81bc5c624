"""The water surface through the gravity lines at the design flow, from the tailwater up."""

from __future__ import annotations

import itertools
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from drainwright.hydraulics.fittings import fitting
from drainwright.hydraulics.openflow import flowing_depth
from drainwright.hydraulics.pressure import minor_loss
from drainwright.hydraulics.profile import pipe_profile
from drainwright.system.model import NodeKind, Pipe
from drainwright.worksheet import place


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
    flow: float  # [m³/s]
    distances: tuple[float, ...]  # of the stations from the upper end [m]

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

    def invert(self, distance: float) -> float:
        """Invert at a distance from the upper end [m]."""
        return float(np.interp(distance, self.knots, self.inverts))


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterLine:
    """The water surface along a reach."""

    levels: tuple[float, ...]  # at the reach's stations [m]
    node_level: float  # of the water at the upper node, with the loss on entering [m]
    surcharged: bool  # above the crown somewhere


def entrance_coefficient(kind: NodeKind) -> float:
    """Loss on entering a pipe: from still water past a sharp edge; at a junction, the straight way of a tee [-]."""
    return fitting("tee_run" if kind == "junction" else "entrance_sharp").loss_coefficient


def water_line(reach: Reach, tailwater: float) -> WaterLine:
    """Water surface along one reach.

    Parameters
    ----------
    reach : Reach
        Pipe, inverts, flow and stations.
    tailwater : float
        Water level at the lower end; below the pipe where it falls freely. [m]

    Returns
    -------
    WaterLine
        Where the pipe is steep and not drowned its water runs at normal depth, below critical depth at its head.

    Notes
    -----
    A stretch that rises with the flow (a conflict, told elsewhere) is taken level at its lower end's height: water
    stands in it at least that high.
    """
    pipe = reach.pipe
    levels = dict.fromkeys(reach.distances, -math.inf)
    level = tailwater
    for start, end, high, low in reversed(reach.stretches):
        length = end - start
        grade = max((high - low) / length, 0.0)
        profile = pipe_profile(reach.flow, pipe.inside, length, low, grade, pipe.manning, max(level, low - 1.0))
        inside = [distance for distance in reach.distances if start <= distance <= end]
        found = np.interp(length + start - np.array(inside), profile.stations, profile.levels)
        for distance, surface in zip(inside, found, strict=True):
            invert = low + grade * (end - distance)
            drowned = surface - invert > profile.critical_depth * (1.0 + 1e-6)
            fast = profile.steep and distance > 0.0 and not drowned
            levels[distance] = max(levels[distance], invert + profile.normal_depth if fast else float(surface))
        level = profile.level_up
    speed = float(profile.velocities[-1])
    entering = minor_loss(speed, entrance_coefficient(reach.upper_kind))
    still = profile.level_up if reach.upper_kind == "junction" else profile.energy_up
    surcharged = any(surface > reach.invert(distance) + pipe.inside + 1e-9 for distance, surface in levels.items())
    return WaterLine(
        levels=tuple(levels[distance] for distance in reach.distances),
        node_level=still + float(entering),
        surcharged=surcharged,
    )


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
    """
    nodes = dict(ends)
    found: dict[str, WaterLine] = {}
    for reach in reversed(reaches):
        with place(f"runs.{reach.name}", "water surface"):
            line = water_line(reach, nodes.get(reach.lower, -math.inf))
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


__all__ = ["Reach", "WaterLine", "design_depth", "entrance_coefficient", "water_line", "water_lines"]
