"""The water surface through the gravity lines at the design flow, from the tailwater up."""

from __future__ import annotations

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
    invert_upper: float  # [m]
    invert_lower: float  # [m]
    flow: float  # [m³/s]
    distances: tuple[float, ...]  # of the stations from the upper end [m]

    @property
    def length(self) -> float:
        """Length in plan [m]."""
        return self.distances[-1]

    @property
    def grade(self) -> float:
        """Fall over length [-]."""
        return (self.invert_upper - self.invert_lower) / self.length

    def invert(self, distance: float) -> float:
        """Invert at a distance from the upper end [m]."""
        return self.invert_upper - self.grade * distance


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
    A pipe that rises with the flow (a conflict, told elsewhere) is taken level at its lower end's height: water
    stands in it at least that high.
    """
    pipe, length = reach.pipe, reach.length
    rising = reach.grade < 0.0
    grade = 0.0 if rising else reach.grade
    base = reach.invert_lower
    profile = pipe_profile(reach.flow, pipe.inside, length, base, grade, pipe.manning, max(tailwater, base - 1.0))
    found = np.interp(length - np.array(reach.distances), profile.stations, profile.levels)
    levels = [float(level) for level in found]
    if profile.steep and not rising:
        for index, distance in enumerate(reach.distances):
            invert = reach.invert(distance)
            drowned = levels[index] - invert > profile.critical_depth * (1.0 + 1e-6)
            if distance > 0.0 and not drowned:
                levels[index] = invert + profile.normal_depth
    speed = float(profile.velocities[-1])
    entering = minor_loss(speed, entrance_coefficient(reach.upper_kind))
    still = profile.level_up if reach.upper_kind == "junction" else profile.energy_up
    surcharged = any(
        level > reach.invert(distance) + pipe.inside + 1e-9
        for level, distance in zip(levels, reach.distances, strict=True)
    )
    return WaterLine(levels=tuple(levels), node_level=still + float(entering), surcharged=surcharged)


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
