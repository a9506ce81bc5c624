"""The existing line that the discharge joins: what else it carries stands in the way of what we bring, and the reverse.

Of such a line only its pipe, its grade and what else comes are known. It runs on at that grade and ends free: at any
flow it stands as deep as even flow does. Full, it stands higher, backs up what falls to it, and comes up at the joint
where the ground is lower than its water.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from drainwright.field.model import Site
from drainwright.hydraulics.openflow import full_flow
from drainwright.job.works import Discharge
from drainwright.system.catalogue import find_pipe
from drainwright.system.model import Pipe, System
from drainwright.worksheet import quiet

REACH = 10.0  # of the line that is reckoned with: even flow does not depend on it [m]
SHAFT = 0.1524  # inside diameter of the riser or wye at the joint, assumed [m]
LEAST_GRADE = 0.001  # of a line that is said to lie level [m/m]


@dataclass(frozen=True, slots=True, kw_only=True)
class JointLine:
    """A joined line as a place of the plant with the pipe that leads on from it."""

    name: str  # of the discharge point
    pipe: Pipe
    invert: float  # at the joint [m]
    rim: float  # the ground at the joint [m]
    grade: float  # [m/m]
    conveyance: float  # K of Q = K sqrt(S), full [m³/s]
    roofs: tuple[str, ...]  # downspouts whose water it carries besides
    other: float  # flow from elsewhere, steady [m³/s]

    @property
    def area(self) -> float:
        """Of the shaft at the joint [m²]."""
        return math.pi / 4.0 * SHAFT**2

    @property
    def width(self) -> float:
        """Over which water comes out of it [m]."""
        return math.pi * SHAFT


def joint_lines(site: Site, system: System) -> tuple[JointLine, ...]:
    """The lines that discharge points of the system join, but for those joined through an air gap.

    Through an air gap nothing backs up: what cannot be carried runs over the ground there.
    """
    found = []
    ends = {run.lower for run in system.runs}
    for point in site.job.works.discharge:
        if point.joins is None or point.air_gap or point.name not in ends or point.name not in system.nodes:
            continue
        found.append(_joint_line(point, system))
    return tuple(found)


def _joint_line(point: Discharge, system: System) -> JointLine:
    joins, node = point.joins, system.nodes[point.name]
    assert joins is not None
    pipe = find_pipe(joins.pipe)
    rough = pipe.manning if joins.roughness is None else joins.roughness
    with quiet():
        conveyance = float(full_flow(pipe.inside, 1.0, rough))
    return JointLine(
        name=point.name,
        pipe=pipe,
        invert=node.invert,
        rim=max(node.ground, node.invert + pipe.inside),
        grade=max(joins.grade.value, LEAST_GRADE),
        conveyance=conveyance,
        roofs=joins.other_roof,
        other=0.0 if joins.other_flow is None else joins.other_flow.value,
    )


__all__ = ["REACH", "JointLine", "joint_lines"]
