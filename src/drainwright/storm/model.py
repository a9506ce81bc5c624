"""What a storm test tells."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Series = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Storm:
    """A design storm: rain intensity in steps."""

    name: str
    times: Series  # start of each step [s]
    intensity: Series  # [m/s]
    step: float  # [s]
    depth: float  # [m]
    return_period: float  # [s]
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NodeStorm:
    """One node through one case."""

    node: str
    highest: float  # highest water level [m]
    highest_at: float  # [s]
    rim: float  # [m]
    pond_depth: float  # above the rim [m]
    pond_volume: float  # largest volume standing above the rim [m³]
    lost: float  # volume that ran off overland or over the rim [m³]
    surveyed: bool | None = None  # whether the pond over its grate is as surveyed, not a cone; None: no pond


@dataclass(frozen=True, slots=True, kw_only=True)
class Spilled:
    """Water that left a place over the ground."""

    place: str  # a node, the inlet below a pond, a soakaway, a joint
    to: str  # "inlet": the pond over it; "place": in over its rim; "house", "off the lot", "not known"
    name: str  # of the inlet, place, walls or side; empty: not known
    volume: float  # [m³]


@dataclass(frozen=True, slots=True, kw_only=True)
class StationStorm:
    """One lift station through one case; its series stand at the case's times."""

    name: str
    highest: float  # in its basin [m]
    pump_starts: int
    pump_seconds: float  # [s]
    starts_busiest_hour: int
    pumped: float  # [m³]
    level: Series  # [m]
    inflow: Series  # all that comes in, also from another station [m³/s]
    lifted: Series  # [m³/s]


@dataclass(frozen=True, slots=True, kw_only=True)
class Entering:
    """The most water that could come into the house: all that reaches the slab runs in as fast as it comes."""

    volume: float  # [m³]
    depth: float | None  # spread over the floor; None: its area is not known [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class StormCase:
    """One run of the storm: sound, or with one failure."""

    key: str  # "sound", "pump dead", "power out", "discharge blocked", "grate half clogged"; "pump dead: YARD" too
    title: str
    nodes: Mapping[str, NodeStorm]
    slab_level: float  # underside or top of the lowest floor that counts as wet [m]
    highest_at_house: float | None  # in footing drains and basin; None: no water in them, or neither is there [m]
    house_dry: bool = False  # a footing drain or basin is there, and no water stood in it
    time_to_slab: float | None  # from the start of the storm, or from the failure; None: never [s]
    failure_at: float | None  # [s]
    pump_starts: int  # of the station at the house
    pump_seconds: float  # [s]
    starts_busiest_hour: int
    volume_in: float  # [m³]
    volume_out: float  # through the discharge [m³]
    volume_lost: float  # overland, over rims [m³]
    volume_stored: float  # change in storage [m³]
    times: Series  # [s]
    basin_level: Series  # empty for a gravity job [m]
    inflow: Series  # to the basin or the discharge point [m³/s]
    outflow: Series  # through the discharge [m³/s]
    stations: tuple[StationStorm, ...] = ()  # in the order of the water
    carried: Mapping[str, float] = field(default_factory=dict)  # through each gravity run, downhill [m³]
    failed: str | None = None  # the basin whose pump has failed, where there are several
    rising: float = 0.0  # of the water at the house where the record ends, if it may yet reach the slab [m/s]
    over_ground: Mapping[str, float] = field(default_factory=dict)  # by where it ran: "house", "pond CB2" ... [m³]
    spilled: tuple[Spilled, ...] = ()  # the same by where it came from, the most first
    group: str = ""  # "pump", "power", "way out", "leaves and roots", "more water"; empty: nothing has failed
    above: float = 0.0  # time that water at a place of the house stands at or above the slab, none coming in [s]
    entering: Entering | None = None  # None: the slab is not reached
    alarm_to_slab: float | None = None  # from the alarm's float, after the failure, to the slab; None: not both [s]
    energy: float | None = None  # drawn by the pump of the station at the house; None: not known [J]
    note: str = ""  # what is assumed in the failure, or is to be told besides
    _levels: Mapping[str, Series] = field(default_factory=dict)  # of each node and pond at the times [m]

    @property
    def ended(self) -> float:
        """End of the record, from the start of the storm [s]."""
        return float(self.times[-1]) if len(self.times) else 0.0

    @property
    def undecided(self) -> bool:
        """Whether the record ends before the water at the house has come to rest or reached the slab."""
        return self.time_to_slab is None and self.rising > 0.0

    @property
    def dry(self) -> bool:
        """Whether the floor stays dry: not reached, and nothing left that could yet reach it."""
        return self.time_to_slab is None and not self.undecided

    def levels(self, node: str) -> Series:
        """Levels at a node, or at the pond over its grate ("NAME pond"), at the case's times; empty: not known. [m]"""
        return self._levels.get(node, np.empty(0))

    def station(self, name: str) -> StationStorm | None:
        """What a lift station did in this case."""
        return next((station for station in self.stations if station.name == name), None)

    @property
    def balance_error(self) -> float:
        """(in - out - lost - stored) over in [-]."""
        if self.volume_in <= 0:
            return 0.0
        return (self.volume_in - self.volume_out - self.volume_lost - self.volume_stored) / self.volume_in


@dataclass(frozen=True, slots=True, kw_only=True)
class StormTest:
    """The storm and all its cases, the sound one first."""

    storm: Storm
    cases: tuple[StormCase, ...]  # sound, and the failures that are drawn and set beside those of other schemes
    further: tuple[StormCase, ...] = ()  # the other failures

    @property
    def every(self) -> tuple[StormCase, ...]:
        """All cases."""
        return (*self.cases, *self.further)

    def case(self, key: str) -> StormCase | None:
        """The case of that key, if it was run."""
        return next((case for case in self.every if case.key == key), None)

    @property
    def dead_pumps(self) -> tuple[StormCase, ...]:
        """The cases in which a pump is dead from the start: one, or of several pumps each in turn."""
        return tuple(case for case in self.cases if case.key.partition(":")[0] == "pump dead")


__all__ = ["Entering", "NodeStorm", "Series", "Spilled", "StationStorm", "Storm", "StormCase", "StormTest"]
