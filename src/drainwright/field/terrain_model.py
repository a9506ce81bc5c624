"""What the ground does: contours, low spots, who drains where, slopes at the walls, and where a shot is missing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from drainwright.job.values import Basis

Plan = tuple[float, float]  # east, north [m]
Ring = tuple[Plan, ...]  # a closed line: the last place is not the first again
Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Contour:
    """Lines of one level."""

    level: float  # [m]
    index: bool  # one of those drawn strong and labelled
    lines: tuple[tuple[Plan, ...], ...]  # a closed line begins and ends at one place


@dataclass(frozen=True, slots=True, kw_only=True)
class StageCurve:
    """Area and volume of standing water by its level. Tuples of one length, rising."""

    level: tuple[float, ...]  # [m]
    area: tuple[float, ...]  # [m²]
    volume: tuple[float, ...]  # [m³]


@dataclass(frozen=True, slots=True, kw_only=True)
class LowSpot:
    """Ground from which water cannot run away by itself."""

    name: str  # of the shot at its bottom, or "low spot 1"
    at: Plan  # its lowest place
    bottom: float  # [m]
    spill_level: float  # level at which it overflows [m]
    spill_at: Plan
    area: float  # of the water when it is full [m²]
    volume: float  # [m³]
    rings: tuple[Ring, ...]  # edge of the water when it is full; holes are rings too
    curve: StageCurve
    walls: tuple[str, ...] = ()  # wall lines that the full water touches, or at which it spills
    inlet: str | None = None  # an inlet that stands in it
    sure: bool = True  # False: no shot near enough tells it from a slip or a gap between shots
    why_unsure: str = ""

    @property
    def depth(self) -> float:
        """Greatest depth of the water when it is full [m]."""
        return self.spill_level - self.bottom


Whither = Literal["inlet", "low spot", "boundary", "beyond the shots", "wall"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DrainedArea:
    """The ground whose water ends at one place, when every low spot is full and spills (or, dry, before it does)."""

    to: str  # inlet, low spot, boundary side ("north side"), wall, or "beyond the shots"
    kind: Whither
    area: float  # of the lot, without the house [m²]
    beyond: float  # of the surveyed ground beyond the boundary [m²]
    slope: float  # mean, weighted by area; 0 where there is no ground [-]
    longest: float  # length of the longest way of the water on the lot [m]
    fall: float  # along that way [m]
    path: tuple[Plan, ...]  # that way, downwards
    rings: tuple[Ring, ...]  # its outline on the lot, of cells
    cut_off: bool = False  # it ends where the shots end, not where the ground falls away: at least so much drains here


@dataclass(frozen=True, slots=True, kw_only=True)
class RunOn:
    """Water that enters the lot over a stretch of its boundary."""

    side: str  # "north side", or "north side 2" where several look the same way
    start: Plan
    end: Plan
    length: float  # of boundary that water crosses inwards [m]
    area: float  # of surveyed ground beyond that drains in: at least so much [m²]
    goes_to: Mapping[str, float]  # where it ends, each with its area [m²]
    spilled: float = 0.0  # of that area: what comes only when a low spot beyond the boundary spills [m²]

    @property
    def only_spills(self) -> bool:
        """Whether all that matters of it comes of a low spot beyond the boundary."""
        return self.area >= 1.0 and self.area - self.spilled < 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class RunOff:
    """Water that leaves the lot over a stretch of its boundary."""

    side: str  # as in RunOn
    start: Plan
    end: Plan
    length: float  # of boundary that water crosses outwards [m]
    area: float  # of ground whose water leaves there for good, every low spot full [m²]


@dataclass(frozen=True, slots=True, kw_only=True)
class WayOn:
    """The way over the ground of water that is let out at a discharge point, before low spots spill."""

    name: str  # of the discharge point
    kind: Whither
    to: str  # where it ends, as in DrainedArea
    path: tuple[Plan, ...]
    length: float  # [m]
    fall: float  # negative where it would have to rise to run over [m]
    walls: tuple[str, ...]  # wall lines that it comes to (not those it begins at), or that the low spot touches
    comes_back: bool  # it ends at an inlet, or comes to a wall


@dataclass(frozen=True, slots=True, kw_only=True)
class WallSlope:
    """How the ground falls away from a wall line, at places along it."""

    wall: str
    station: tuple[float, ...]  # along the wall [m]
    run: tuple[float, ...]  # outwards as far as ground is known, at most the reach asked for [m]
    fall: tuple[float, ...]  # over that run; negative: towards the wall [m]
    reach: float  # asked for: 10 ft (IRC R401.3) [m]
    basis: Basis  # assumed where shots do not surround it, or none tells of the wall's foot

    @property
    def least(self) -> float:
        """Least slope away from the wall, negative towards it; 0 where no ground is known [-]."""
        return min((fall / run for fall, run in zip(self.fall, self.run, strict=True) if run > 0.0), default=0.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class NextShot:
    """A place where one more shot would tell most."""

    at: Plan
    why: str  # in words, for the one who stands in the yard
    bears_on: str  # path in the job: "works.runs.YD1", "house.walls.west", "survey" for a low spot
    doubt: float  # standard error of the ground's level there now [m]
    after: float  # with that shot [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class FlowArrow:
    """Which way the ground falls at a place, for the drawing."""

    at: Plan
    towards: Plan  # unit vector
    slope: float  # [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Terrain:
    """The lie of the land."""

    cell: float  # side of the cells by which areas are told apart [m]
    lot_area: float  # inside the boundary, or (without one) inside the shots; with the house [m²]
    house_area: float  # of the house within the lot [m²]
    bounded: bool  # whether the job gives a boundary
    bare: float = 0.0  # ground of the lot that lies beyond the shots [m²]
    interval: float  # between contours [m]
    contours: tuple[Contour, ...]
    low_spots: tuple[LowSpot, ...]  # deepest first
    drained: tuple[DrainedArea, ...]  # every low spot full; the lot parts add up to lot less house
    drained_dry: tuple[DrainedArea, ...]  # low spots keep what comes to them
    run_on: tuple[RunOn, ...]
    wall_slopes: tuple[WallSlope, ...]
    next_shots: tuple[NextShot, ...]  # the most telling first
    arrows: tuple[FlowArrow, ...]
    roughness: float  # standard deviation of the ground's level about the surface, per square root of a metre [m^0.5]
    run_off: tuple[RunOff, ...] = ()
    ways_on: tuple[WayOn, ...] = ()  # from discharge points at the ground
    shaped_ways: tuple[WayOn, ...] = ()  # from the edges of shaped strips on, over today's ground; by the strip's name
    notes: tuple[str, ...] = field(default=())

    def area_to(self, inlet: str) -> DrainedArea | None:
        """The ground that drains to an inlet, every low spot full; None where none does."""
        return next((area for area in self.drained if area.kind == "inlet" and area.to == inlet), None)


__all__ = [
    "Contour", "DrainedArea", "FlowArrow", "LowSpot", "NextShot", "Plan", "Ring", "RunOff", "RunOn", "StageCurve",
    "Terrain", "WallSlope", "WayOn", "Whither",
]  # fmt: skip
