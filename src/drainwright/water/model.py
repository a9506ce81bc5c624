"""Inflows: every cause kept apart at every place where water enters."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
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
    low: float | None = (
        None  # between low and high the flow probably lies (nine cases of ten); None: not reckoned [m³/s]
    )
    high: float | None = None  # [m³/s]

    @property
    def named(self) -> str:
        """``yard west lawn``; ``east roof``, for what says its cause itself."""
        says = self.cause.value in self.source.lower().split()
        return self.source if says else f"{self.cause.value} {self.source}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """A figure with the range in which it probably lies (5 to 95 of a hundred)."""

    low: float
    middle: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class InputRange:
    """The range of one input, and how much of the flows' spread it makes."""

    name: str  # "soil conductivity", "rain depth", "water table", "runoff coefficient of LAWN" ...
    low: float  # SI of its kind
    middle: float
    high: float
    kind: str  # of quantity, for writing it: "speed", "length", "fraction", "area"
    basis: Basis
    why: str  # where the range comes from
    share: float  # of the variance of all flows together [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundLine:
    """The water table across the house, at a right angle to a drained wall. Tuples of one length."""

    run: str  # the footing drain; empty: no drain
    wall: str
    distance: tuple[float, ...]  # from the drain; positive under the house, negative outwards [m]
    without_drain: tuple[float, ...]  # [m]
    with_drain: tuple[float, ...]  # [m]
    drain_level: float  # that the drain holds beside this wall [m]
    middle: float  # distance of mid-house [m]
    level_without: float  # at mid-house [m]
    level_with: float  # at mid-house [m]
    floor_underside: float  # [m]
    capillary_rise: float  # of the soil, above the water table [m]
    time_to_fall: float | None  # until the water at mid-house is half-way down to its new level; None: no fall [s]
    method: str  # in words: what holds the water at either end, and what is left out
    basis: Basis
    band: Band | None = None  # of level_with [m]


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
    bound: str = ""  # what holds the far level: "" (the water table), "canal", "tide", "pond", "stream"

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
    ground_lines: tuple[GroundLine, ...] = ()
    ranges: tuple[InputRange, ...] = ()  # of the inputs, those that matter most first
    bands: Mapping[Cause, Band] = field(default_factory=dict)  # design flow of each cause, all entries together [m³/s]
    total: Band | None = None  # of all causes together [m³/s]

    def at(self, entry: str, cause: Cause | None = None) -> float:
        """Design flow at an entry, of one cause or of all [m³/s]."""
        return sum(c.flow for c in self.contributions if c.entry == entry and (cause is None or c.cause is cause))

    def by_cause(self) -> Mapping[Cause, float]:
        """Design flow of each cause, all entries together [m³/s]."""
        return {cause: sum(c.flow for c in self.contributions if c.cause is cause) for cause in Cause}


__all__ = ["Band", "Cause", "Contribution", "GroundLine", "Inflows", "InputRange", "Seepage"]
