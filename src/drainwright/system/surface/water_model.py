"""Water at the places of the network at the design flow: level, freeboard, losses, grates, leaders, parted runs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

CarriedTo = Literal["inlet", "house", "off the lot", "low spot", "not known"]


@dataclass(frozen=True, slots=True, kw_only=True)
class GrateWater:
    """Water at a grate at the design flow."""

    flow: float  # that runs over the ground to it [m³/s]
    received: float  # of that, what other grates let pass [m³/s]
    head: float  # depth over the grate that the ground holds before it runs on [m]
    head_known: bool  # False: the ground does not say, and a usual depth is taken
    wanted: float  # depth at which it would take all; infinite where it is drowned from below [m]
    takes: float  # at that head [m³/s]
    carried: float  # that runs on [m³/s]
    to: CarriedTo | None  # None: nothing runs on
    name: str  # of the inlet, low spot or side that it runs to; walls that it comes by; empty where not known
    counted: float = 0.0  # of what it received, that for which the pipes below it were sized [m³/s]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeaderWater:
    """A downspout's leader under the head that stands in it."""

    foot: float  # level of the ground, where an open joint would let water out [m]
    standing: float  # height over the crown of its pipe at which water stands in it; 0: it runs part full [m]
    to_foot: float  # most that it carries, full, with water standing up to the foot [m³/s]
    to_gutter: float  # the same with sealed joints and water standing to the gutter, taken a storey up [m³/s]
    flow: float  # design flow [m³/s]


@dataclass(frozen=True, slots=True, kw_only=True)
class NodeWater:
    """Water at a place."""

    level: float  # [m]
    rim: float  # where it would come out [m]
    losses: Mapping[str, float] = field(default_factory=dict)  # there, by kind [m]
    surcharged: bool = False  # over the crown of the pipe that leaves
    grate: GrateWater | None = None
    leader: LeaderWater | None = None

    @property
    def freeboard(self) -> float:
        """Rim above the water; negative where it comes out [m]."""
        return self.rim - self.level


@dataclass(frozen=True, slots=True, kw_only=True)
class PartedRun:
    """A run that may let water out at its upper end too."""

    over: str  # the run that leaves its upper end besides
    distance: float  # of the divide from the upper end [m]
    level: float  # of the water at the divide [m]
    back: float  # flow that turns back to the upper end and over [m³/s]
    on: float  # flow that goes on to the lower end [m³/s]
    sill: float  # level at which it runs over [m]


__all__ = ["CarriedTo", "GrateWater", "LeaderWater", "NodeWater", "PartedRun"]
