"""Inflows: every cause kept apart at every place where water enters."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from drainwright.job.values import Basis

if TYPE_CHECKING:
    from drainwright.water.rain import RainTable


class Cause(StrEnum):
    """Where water comes from."""

    ROOF = "roof"
    YARD = "yard"
    GROUND = "ground"


@dataclass(frozen=True, slots=True, kw_only=True)
class Contribution:
    """Design flow of one cause from one source to one entry (downspout, inlet, or footing-drain run)."""

    entry: str
    cause: Cause
    source: str  # the roof area, yard area or run
    flow: float  # at the design return period [m³/s]
    area: float  # 0 for groundwater [m²]
    coefficient: float  # runoff coefficient; 1 for roofs, 0 for groundwater [-]
    time: float  # time of concentration; 0 for groundwater [s]
    intensity: float  # 0 for groundwater [m/s]
    return_period: float  # 0 for groundwater [s]
    basis: Basis  # the weakest mark among what the figure rests on


@dataclass(frozen=True, slots=True, kw_only=True)
class Seepage:
    """Groundwater into one footing drain, per metre of drain."""

    run: str
    per_length: float  # [m²/s]
    length: float  # [m]
    conductivity: float  # [m/s]
    drain_level: float  # level that the drain holds beside itself [m]
    far_level: float  # water table beyond the influence [m]
    influence: float  # distance at which the water table is untouched [m]
    basis: Basis

    @property
    def flow(self) -> float:
        """Total into the run [m³/s]."""
        return self.per_length * self.length


@dataclass(frozen=True, slots=True, kw_only=True)
class Inflows:
    """All water that comes to the system."""

    rain: RainTable
    contributions: tuple[Contribution, ...]
    seepage: tuple[Seepage, ...]
    conductivity: float  # saturated, of the soil [m/s]
    conductivity_basis: Basis
    notes: tuple[str, ...] = ()

    def at(self, entry: str, cause: Cause | None = None) -> float:
        """Design flow at an entry, of one cause or of all [m³/s]."""
        return sum(c.flow for c in self.contributions if c.entry == entry and (cause is None or c.cause is cause))

    def by_cause(self) -> Mapping[Cause, float]:
        """Design flow of each cause, all entries together [m³/s]."""
        return {cause: sum(c.flow for c in self.contributions if c.cause is cause) for cause in Cause}


__all__ = ["Cause", "Contribution", "Inflows", "Seepage"]
