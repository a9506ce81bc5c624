"""Where water is let out on the ground: how it leaves the pipe, and its way from there."""

from __future__ import annotations

from dataclasses import dataclass

from drainwright.field.model import Plan
from drainwright.job.site import Surface
from drainwright.job.values import Basis
from drainwright.job.works import OutletKind


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundWay:
    """The way over the ground of water that is let out, with what soaks in on it."""

    length: float  # [m]
    fall: float  # [m]
    to: str  # where it ends, as the lie of the land names it
    nearest_house: float  # the least distance of the way from the house [m]
    starts_from_house: float  # distance of its beginning from the house [m]
    leaves_after: float | None  # along the way, where it crosses the boundary; None: it does not, or none is known [m]
    leaves_at: Plan | None
    width: float  # of the water at its beginning, assumed [m]
    soaked: float  # share of the flow that soaks in on the lot [-]
    soaked_near: float  # share that soaks in nearer to the house than the place's distance for outlets [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Outfall:
    """The end of a pipe in the open."""

    name: str  # of the discharge point
    kind: OutletKind
    at: Plan
    run: str  # that ends there
    pumped: bool
    flow: float  # greatest, at the design flow or that of the pump [m³/s]
    diameter: float  # inside [m]
    velocity: float  # leaving the pipe [m/s]
    surface: Surface  # what it meets
    surface_basis: Basis
    ground_slope: float  # there [-]
    allowed: float  # velocity that this surface bears; infinite for paving [m/s]
    stone: float  # median size that stays where it is [m]
    apron: float  # length of stone that is needed; 0: none [m]
    apron_width: float  # at its far end [m]
    apron_thickness: float  # [m]
    apron_given: float | None  # length that the job plans [m]
    spread: float | None  # of the water along the kerb, by assumed slopes; None: no kerb [m]
    way: GroundWay | None  # None: it does not run on over measured ground
    basis: Basis

    @property
    def scours(self) -> bool:
        """Whether the water leaves faster than the surface bears."""
        return self.velocity > self.allowed

    @property
    def apron_built(self) -> float:
        """Length of apron to build: what the job plans, or what is needed [m]."""
        return self.apron if self.apron_given is None else self.apron_given


__all__ = ["GroundWay", "Outfall"]
