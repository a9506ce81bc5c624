"""A soakaway as designed: stone in the ground that takes water in and lets it soak away."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from drainwright.field.model import Plan
from drainwright.job.values import Basis

Ring = tuple[Plan, ...]
TRENCH_PIPE = "d2729 4 in perforated"  # along an infiltration trench


@dataclass(frozen=True, slots=True, kw_only=True)
class SoakStorm:
    """An even rain of one duration, routed through a soakaway."""

    duration: float  # [s]
    depth: float  # of rain [m]
    came: float  # water [m³]
    fullest: float  # depth of water, were the sides high enough [m]
    spilled: float  # [m³]


@dataclass(frozen=True, slots=True, kw_only=True)
class Soakaway:
    """A dry well, several in a row, or an infiltration trench."""

    name: str  # of the discharge point
    kind: Literal["dry well", "infiltration trench"]
    at: Plan  # where the pipe enters
    outlines: tuple[Ring, ...]  # in plan, one of each well
    count: int  # of wells; 1 for a trench
    length: float  # of a trench along its bearing; of a well its diameter [m]
    width: float  # of a trench; of a well its diameter [m]
    depth: float  # of the stone, from the pipe's invert down [m]
    invert: float  # [m]
    bottom: float  # [m]
    top: float  # of the stone [m]
    ground: float  # lowest over it [m]
    ground_slope: float  # greatest, over it and a little around [-]
    ground_basis: Basis
    voids: float  # [-]
    soil_rate: float  # infiltration as measured or taken from the ground [m/s]
    safety: float  # by which it is divided [-]
    rate: float  # used [m/s]
    rate_from: Literal["measured where it goes", "told for its place, not measured", "half the ground's conductivity"]
    storage: float  # water that it holds when full [m³]
    stone: float  # volume of the fill, pipe included [m³]
    fabric: float  # round it, laps not counted [m²]
    effective_area: float  # of roofs and yards times their runoff coefficients [m²]
    base_flow: float  # ground water that comes all the time [m³/s]
    return_period: float  # [s]
    storms: tuple[SoakStorm, ...]
    critical: float  # duration of the rain that fills it most [s]
    fullest: float  # depth of water in that rain, were its sides high enough [m]
    spilled: float  # in that rain [m³]
    half_empty: float  # time from its fullest to half of that; infinite: never [s]
    half_empty_limit: float  # [s]
    silted: float  # fullest if its bottom takes nothing in any more [m]
    nested: float | None  # fullest in the nested storm of a day; None: the table does not reach so far [m]
    side_storage: float  # that the simpler rule asks for: sides to half depth, no bottom [m³]
    mound: float  # rise of the ground water under its middle [m]
    mound_at_house: float  # at the nearest corner or wall of the house [m]
    house_distance: float  # from its edge [m]
    water_table: float | None  # seasonal high water [m]
    overflow: str | None  # discharge point that takes what it cannot
    chosen_by: Literal["job", "design"]
    fits: bool  # a size was found that keeps the storm in and empties in time, or the job's own does
    basis: Basis
    notes: tuple[str, ...] = ()

    @property
    def spare(self) -> float:
        """Height left at its fullest; negative where it spills [m]."""
        return self.depth - self.fullest

    @property
    def holds(self) -> bool:
        """Whether it keeps every storm of its return period in."""
        return self.fullest <= self.depth + 1e-6

    @property
    def empties(self) -> bool:
        """Whether it is half empty in time for the next storm."""
        return self.half_empty <= self.half_empty_limit * (1.0 + 1e-6)


__all__ = ["TRENCH_PIPE", "Ring", "SoakStorm", "Soakaway"]
