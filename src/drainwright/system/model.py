"""The system: nodes, sized and graded runs, the lift station, the way out."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from itertools import pairwise
from typing import TYPE_CHECKING, Literal

from drainwright.field.model import Plan
from drainwright.job.values import Basis
from drainwright.job.works import Duty, OutletKind
from drainwright.system.bends import Bend, pipe_lengths
from drainwright.system.outlets.end_model import PipeEnd
from drainwright.system.outlets.outfall_model import Outfall
from drainwright.system.outlets.soak_model import Soakaway
from drainwright.water.model import Cause

if TYPE_CHECKING:
    from drainwright.hydraulics.force_main import MainLine
    from drainwright.hydraulics.pump import PumpCurve
    from drainwright.system.drain_section import DrainSection
    from drainwright.system.fittings import Cleanout, Fitting, Riser
    from drainwright.system.grading.model import Clash, Grading
    from drainwright.system.lift.line_details import LineDetails
    from drainwright.system.lift.pump_model import DutyPoint, PumpStudy, RankedPump
    from drainwright.system.surface.overflow import Overflow
    from drainwright.system.surface.water_model import NodeWater, PartedRun

SAME_GRADE = 1e-4  # grades nearer than this to each other are one [-]
NodeKind = Literal["downspout", "inlet", "junction", "basin", "discharge"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pipe:
    """A pipe of the catalogue: standard dimensions, not the nominal ones."""

    key: str  # "sch40 1-1/2 in"
    nominal: str  # "4 in"
    family: Literal[
        "Schedule 40", "D2729", "D3034 SDR 35", "corrugated single wall", "corrugated smooth inside",
        "wrapped aggregate",
    ]  # fmt: skip
    outside: float  # outside diameter [m]
    inside: float  # inside diameter used for flow [m]
    wall: float  # [m]
    manning: float  # roughness n [s/m^(1/3)]
    hazen_williams: float | None  # C, for pipes that may run under pressure [-]
    perforated: bool
    perforation_area: float  # open area per length [m²/m]
    envelope: float  # outside diameter of an aggregate sleeve; 0 where there is none [m]
    sticks: tuple[float, ...]  # lengths sold [m]
    hole: float  # hole through a basin wall [m]
    source: str  # key in drainwright.sources
    opening: float = 0.0  # diameter of a drilled hole, width of a slot; 0 where it is not perforated [m]
    opening_shape: Literal["hole", "slot"] = "hole"
    rating: float | None = None  # pressure that it bears for good at 23 °C; None: no pressure pipe [Pa]


@dataclass(frozen=True, slots=True, kw_only=True)
class Node:
    """A place of the network."""

    name: str
    kind: NodeKind
    at: Plan
    ground: float  # [m]
    rim: float  # where water would come out: grate, basin rim, ground [m]
    invert: float  # lowest pipe invert at the node [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Station:
    """A place along a run, measured from its upper end."""

    distance: float  # [m]
    at: Plan
    ground: float  # [m]
    invert: float  # [m]
    cover: float  # ground above the crown (outside) [m]
    cut: float  # ground above the trench bottom; 0 where the pipe lies above the ground [m]
    water: float  # water surface at the design flow [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A length of a run that is laid at one grade."""

    start: float  # along the run from its upper end [m]
    end: float  # [m]
    grade: float  # [-]

    @property
    def length(self) -> float:
        """From start to end [m]."""
        return self.end - self.start


@dataclass(frozen=True, slots=True, kw_only=True)
class SizedRun:
    """A run with its pipe, grade and design flow."""

    name: str
    duty: Duty
    upper: str
    lower: str
    pipe: Pipe
    pipe_chosen_by: Literal["job", "design"]
    grade_chosen_by: Literal["job", "design"]
    route: tuple[Plan, ...]
    length: float  # in plan, along the route [m]
    invert_upper: float  # [m]
    invert_lower: float  # [m]
    grade: float  # fall over length, positive downhill; a discharge line may rise [-]
    pressure: bool  # runs full under the pump
    flows: Mapping[Cause, float]  # design flow by cause at the lower end [m³/s]
    flow: float  # sum [m³/s]
    capacity: float  # full, by Manning; 0 for a pressure line [m³/s]
    depth: float  # normal depth at the design flow, or the diameter where it runs full [m]
    velocity: float  # at the design flow [m/s]
    surcharged: bool  # the water surface is above the crown somewhere
    stations: tuple[Station, ...]
    stone_width: float  # 0: no stone [m]
    stone_under: float  # [m]
    stone_over: float  # above the crown [m]
    fabric: bool
    walls: tuple[str, ...]  # the wall lines it lies beside
    stone_water: tuple[float, ...] = ()  # level in the stone at its stations, at the design flow [m]
    stone_flow: float = 0.0  # the most that goes through the stone, beside pipe that runs full [m³/s]
    stone_head: float = 0.0  # that drives the inflow through the pipe's holes [m]
    jumps: tuple[float, ...] = ()  # hydraulic jumps at the design flow, from the upper end [m]
    full_length: float = 0.0  # that runs full at the design flow [m]
    tail: float = -math.inf  # water level that it runs into [m]
    bends: tuple[Bend, ...] = ()  # of a pumped line, that take elbows: sideways, up and down

    @property
    def pipe_length(self) -> float:
        """Length along the pipe: where it climbs steeply it is longer than in plan [m]."""
        return pipe_lengths([one.distance for one in self.stations], [one.invert for one in self.stations])[-1]

    @property
    def fill(self) -> float:
        """Depth over inside diameter [-]."""
        return self.depth / self.pipe.inside

    @property
    def flattest(self) -> float:
        """The least grade between two of its stations: less than ``grade`` where it changes on the way [-]."""
        return min((a.invert - b.invert) / (b.distance - a.distance) for a, b in pairwise(self.stations))

    @property
    def deepest(self) -> float:
        """From the ground down to the bottom of its bed, where that is most [m]."""
        return max(station.cut for station in self.stations)

    @property
    def stretches(self) -> tuple[Stretch, ...]:
        """Its lengths of one grade from the upper end; a discharge line follows the ground and counts as one."""
        if self.pressure:
            return (Stretch(start=0.0, end=self.length, grade=self.grade),)
        found: list[Stretch] = []
        for a, b in pairwise(self.stations):
            grade = (a.invert - b.invert) / (b.distance - a.distance)
            if found and abs(found[-1].grade - grade) < SAME_GRADE:
                found[-1] = replace(found[-1], end=b.distance)
            else:
                found.append(Stretch(start=a.distance, end=b.distance, grade=grade))
        return tuple(found)


@dataclass(frozen=True, slots=True, kw_only=True)
class JoinedCapacity:
    """The gravity line that the pumped flow joins, with all it carries at once."""

    name: str
    pipe: Pipe
    grade: float  # [-]
    capacity: float  # [m³/s]
    pumped: float  # [m³/s]
    roof: float  # other downspouts at the design intensity [m³/s]
    other: float  # [m³/s]
    basis: Basis
    beside: float = 0.0  # from here too, at the job's other ways out that join the same line [m³/s]
    shared: tuple[str, ...] = ()  # those ways out

    @property
    def load(self) -> float:
        """All flows together [m³/s]."""
        return self.pumped + self.beside + self.roof + self.other


@dataclass(frozen=True, slots=True, kw_only=True)
class PumpChoice:
    """A pump by its data sheet, as fitted."""

    name: str
    curve: PumpCurve
    label_power: float | None  # [W]
    float_kind: Literal["integral", "wide angle", "adjustable"]
    float_band: float | None  # fixed by the float, None where it can be set [m]
    minimum_depth: float  # [m]
    discharge_size: str
    starts_limit: float  # [1/s]
    chosen_by: Literal["job", "firm", "design"]  # named in the job, out of the firm's list, or a generic one
    solids: float | None = None  # the largest that pass; None: the sheet does not say [m]
    input_power: float | None = None  # drawn from the mains, or from a battery; None: the sheet does not say [W]
    price: float | None = None  # in the job's currency
    switch_starts: int | None = None  # that its switch lasts; None: the sheet does not say


@dataclass(frozen=True, slots=True, kw_only=True)
class LiftStation:
    """The basin, its pump and its levels. Heights are levels in the job's datum."""

    name: str
    at: Plan
    inside_diameter: float  # [m]
    depth: float  # rim to inside floor [m]
    rim: float  # [m]
    ground: float  # [m]
    floor: float  # inside [m]
    lowest_inlet: float  # invert [m]
    off: float  # [m]
    on: float  # [m]
    alarm: float  # [m]
    second_on: float | None  # [m]
    pump: PumpChoice
    static_head: float  # from the off level to the discharge line's highest free end [m]
    operating_flow: float  # one pump, at mid level [m³/s]
    operating_head: float  # [m]
    reaches: bool  # the pump lifts any water at all
    velocity: float  # in the discharge line [m/s]
    discharge_run: str  # name of the discharge line
    fittings_k: float  # sum of loss coefficients [-]
    band_volume: float  # off to on [m³]
    starts: float  # at the worst inflow [1/s]
    starts_design: float  # at the design inflow [1/s]
    run_time: float  # one run at the design inflow; inf where the inflow exceeds the pump [s]
    inflow: float  # design inflow, all causes [m³/s]
    inflow_ground: float  # dry-weather part [m³/s]
    drain_back: float  # water that returns when the pump stops [m³]
    reserve: float  # volume from on to the lowest inlet (or rim of the floor) [m³]
    collar: float  # concrete cast round its foot against uplift; 0 where none is needed [kg]
    collar_width: float  # out from the basin's outside; 0 without a collar, or where the job gives its mass [m]
    collar_height: float  # up from the basin's underside; 0 likewise [m]
    uplift: float  # weight of the water that the empty basin displaces [N]
    resisting: float  # [N]
    uplift_convention: str
    water_table: float  # taken for uplift [m]
    chosen_by: Literal["job", "design"]
    points: tuple[DutyPoint, ...] = ()  # of the pump as the level moves, from off up to the rim
    ranking: tuple[RankedPump, ...] = ()  # the pump taken, and those next to it
    study: PumpStudy | None = None  # worn, second pump, battery, wet season, downspouts
    line: LineDetails | None = None  # the discharge line's high and low places, surge, floats to the tape
    riser_k: float = 0.0  # of ``fittings_k``, what each pump's riser has of its own [-]
    flow_alone: float | None = None  # where others pump into its line: what it delivers while they rest [m³/s]

    @property
    def most_flow(self) -> float:
        """What one pump delivers at mid level with no other in its way [m³/s]."""
        return self.operating_flow if self.flow_alone is None else self.flow_alone

    @property
    def duty_lift(self) -> float:
        """Lift at the duty point, which is taken with the water midway between the stop and the start level [m]."""
        return self.static_head - (self.on - self.off) / 2

    @property
    def float_levels(self) -> dict[str, float]:
        """Levels at which its floats are set: on the marks of a tape, or as reckoned where none were found [m]."""
        if self.line is not None:
            return {mark.name: mark.level for mark in self.line.floats.marks}
        second = {} if self.second_on is None else {"second on": self.second_on}
        return {"off": self.off, "on": self.on, **second, "alarm": self.alarm}

    @property
    def uplift_safety(self) -> float:
        """Resisting over uplift; infinite where no water stands round the basin."""
        return float("inf") if self.uplift <= 0 else self.resisting / self.uplift


@dataclass(frozen=True, slots=True, kw_only=True)
class MainFlow:
    """Discharge lines of several basins that meet: what each pump delivers with the others and without them."""

    basins: tuple[str, ...]  # in the order of the water
    lines: tuple[str, ...]  # upstream first
    end: str  # the place where the common line ends
    together: Mapping[str, float]  # flow of each basin's pump with all running, at mid level [m³/s]
    alone: Mapping[str, float]  # with only it running [m³/s]
    heads: Mapping[str, float]  # level of the grade line at the junctions with all running [m]
    parts: tuple[MainLine, ...]  # the lines as the flows were reckoned
    end_level: float  # water level at the end; minus infinity in air [m]

    def share_kept(self, basin: str) -> float:
        """Flow with the others over flow alone; 0 where it delivers nothing alone [-]."""
        return self.together[basin] / self.alone[basin] if self.alone[basin] > 0.0 else 0.0


#: What a way out that gravity does not reach lacks: level; level, for water stands in it; ground over the pipe's end;
#: fall or room along the runs as they are laid.
Lack = Literal["", "level", "free water", "ground", "way"]


@dataclass(frozen=True, slots=True, kw_only=True)
class GravityVerdict:
    """Whether gravity alone can reach a lawful discharge point."""

    discharge: str
    kind: OutletKind
    lawful: Literal["allowed", "permit needed", "permit granted", "forbidden", "unknown"]
    lawful_basis: Basis
    needed: float  # highest invert at which gravity water could arrive there [m]
    available: float  # invert of the discharge point [m]
    reaches: bool
    length: float  # of the shortest way used in the figure [m]
    lacks: Lack = ""  # why it does not reach
    above_ground: float = 0.0  # how far a way out lies above its ground, where that is why; else 0 [m]
    drains: tuple[str, ...] = ()  # footing drains led elsewhere that its level would take by gravity
    drains_at: float = 0.0  # lowest level at which their water arrives by the shortest way; 0 without any [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class System:
    """The whole system as designed."""

    nodes: Mapping[str, Node]
    runs: tuple[SizedRun, ...]  # upstream first
    gravity: tuple[GravityVerdict, ...]  # one for each discharge point
    joined: JoinedCapacity | None
    discharge: str  # the discharge point used
    joints: Mapping[str, JoinedCapacity] = field(default_factory=dict)  # lines that other ways out join, by their names
    stations: tuple[LiftStation, ...] = ()  # in the order of the water
    mains: tuple[MainFlow, ...] = ()  # discharge lines that several basins share
    fittings: tuple[Fitting, ...] | None = None  # None: not named yet
    risers: tuple[Riser, ...] = ()
    overflows: tuple[Overflow, ...] = ()  # second ways out by gravity
    cleanouts: tuple[Cleanout, ...] = ()  # fitted and proposed
    water: Mapping[str, NodeWater] = field(default_factory=dict)  # at its places, at the design flow
    parted: Mapping[str, PartedRun] = field(default_factory=dict)  # drains that may let water out at both ends
    sections: Mapping[str, DrainSection] = field(default_factory=dict)  # of the perforated runs, by their names
    soaks: tuple[Soakaway, ...] = ()  # dry wells and infiltration trenches
    outfalls: tuple[Outfall, ...] = ()  # ends of pipes in the open
    ends: tuple[PipeEnd, ...] = ()  # the same and those before an air gap, with their sizes
    conflicts: tuple[str, ...] = ()  # constraints that could not be kept together, in words
    gradings: tuple[Grading, ...] = ()  # lines graded together, each with the proof of its least cost
    clashes: tuple[Clash, ...] = ()  # which of them stand in each other's way, and what would help
    notes: tuple[str, ...] = ()

    def joined_at(self, outlet: str) -> JoinedCapacity | None:
        """The line that a way out joins; None where it joins none."""
        return self.joined if outlet == self.discharge else self.joints.get(outlet)

    def lifts_to(self, outlet: str) -> bool:
        """Whether water under pressure leaves at a discharge point."""
        return any(run.pressure and run.lower == outlet for run in self.runs)

    def falls_to(self, outlet: str) -> bool:
        """Whether water leaves by its own weight at a discharge point, overflows apart."""
        return any(not run.pressure and run.lower == outlet and run.duty != "overflow" for run in self.runs)

    def run(self, name: str) -> SizedRun:
        """The run of that name."""
        return next(run for run in self.runs if run.name == name)

    def pumped_flow(self, run: SizedRun) -> float:
        """What goes through a discharge line while its pump works; its design flow where none feeds it [m³/s]."""
        station = self.station_of_run(run.name)
        return run.flow if station is None else station.operating_flow

    @property
    def ways_out(self) -> tuple[str, ...]:
        """Every discharge point at which water leaves, by name; those of overflows alone are left out."""
        goes_on = {run.upper for run in self.runs}
        ends = {run.lower for run in self.runs if run.duty != "overflow" and run.lower not in goes_on}
        return tuple(sorted({self.discharge, *ends}))

    @property
    def second_pump_more(self) -> float:
        """What the second pump of the station at the line that is joined brings beside the first [m³/s]."""
        ends = {run.name for run in self.runs if run.lower == self.discharge}
        at_work = [(item.study.pair, item) for item in self.stations if item.discharge_run in ends and item.study]
        return max([0.0, *(pair.both_flow - item.operating_flow for pair, item in at_work if pair is not None)])

    @property
    def station(self) -> LiftStation | None:
        """The lift station at the house: the one that a footing drain reaches by gravity, else the first."""
        below = {run.upper: run.lower for run in self.runs if not run.pressure and run.duty != "overflow"}
        named = {station.name: station for station in self.stations}
        for run in self.runs:
            if run.duty == "footing drain":
                here: str | None = run.lower
                for _ in self.runs:
                    if here is None or here in named:
                        break
                    here = below.get(here)
                if here in named:
                    return named[here]
        return self.stations[0] if self.stations else None

    @property
    def by_house(self) -> tuple[LiftStation, ...]:
        """The lift stations, the one at the house first."""
        first = self.station
        return () if first is None else (first, *(one for one in self.stations if one is not first))

    def station_named(self, name: str) -> LiftStation | None:
        """The lift station of that name; None where no basin bears it."""
        return next((station for station in self.stations if station.name == name), None)

    def station_of_run(self, name: str) -> LiftStation | None:
        """The lift station whose discharge line bears that name; None where none does."""
        return next((station for station in self.stations if station.discharge_run == name), None)


__all__ = [
    "GravityVerdict", "JoinedCapacity", "LiftStation", "MainFlow", "Node", "Pipe", "PumpChoice", "SizedRun", "Station",
    "Stretch", "System",
]  # fmt: skip
