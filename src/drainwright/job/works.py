"""The works: runs, inlets, the lift station and where the water leaves, as chosen or left to be designed."""

from __future__ import annotations

import math
from itertools import combinations
from typing import Annotated, Literal

from pydantic import Discriminator, Field, StringConstraints, Tag, field_validator, model_validator

from drainwright.job.site import DigGuard
from drainwright.job.values import (
    Amount,
    Angle,
    Area,
    Basis,
    Charge,
    Conductivity,
    Count,
    Current,
    Duration,
    Fact,
    Flow,
    Fraction,
    Grade,
    Length,
    Level,
    Mass,
    Name,
    Number,
    Period,
    Place,
    PortSize,
    PositiveLength,
    PositiveSize,
    Power,
    Rate,
    Record,
    ShortText,
    Size,
    Speed,
    Starts,
    StormDuration,
    si,
)

MOST_FALL = 1 / 3  # of shaped ground: steeper is neither mown nor stable unturfed; common practice, no source [-]

FillKey = Annotated[str, StringConstraints(pattern=r"^fill\.[a-z0-9-]{1,30}$")]
Duty = Literal["footing drain", "yard drain", "leader", "discharge line", "overflow"]
InletKind = Literal["catch basin", "area grate", "channel grate", "cleanout"]
OutletKind = Literal[
    "daylight",
    "street",
    "storm line",
    "dry well",
    "infiltration trench",
    "pop-up emitter",
    "sanitary sewer",
    "neighbour",
]


AT_THE_GROUND: tuple[OutletKind, ...] = ("daylight", "street", "pop-up emitter", "neighbour")


class Inlet(Record):
    """Where surface water enters. A downspout connection is made by a run that starts at the downspout."""

    name: Name
    at: Place
    kind: InletKind = "catch basin"
    rim: Level | None = Field(default=None, description="top of the grate; left out: at the ground")
    size: PositiveSize = Field(default=si(0.3048), description="side or diameter of the body")
    grate_area: Area | None = Field(default=None, description="clear opening; left out: 40 % of the body's plan")
    grate_perimeter: PositiveSize | None = None
    sump_depth: Size = Field(default=si(0.1524), description="below the outlet invert")
    channel_length: PositiveLength | None = None


class Run(Record):
    """A pipe from an upper end to a lower end, straight between its places or beside walls."""

    name: Name
    duty: Duty
    from_: Name = Field(alias="from", description="upper end: a downspout, inlet, point, basin or junction")
    to: Name = Field(description="lower end: an inlet, point, basin, junction or discharge point")
    via: tuple[Place, ...] = ()
    beside: tuple[Name, ...] = Field(default=(), description="wall lines that a footing drain follows, in order")
    beside_offset: Size = Field(default=si(0.3048), description="pipe centre out from the wall's outer face")
    pipe: ShortText | None = Field(default=None, description="catalogue key; left out: designed")
    invert_from: Level | None = None
    invert_to: Level | None = None
    grade: Grade | None = None
    fabric: bool = True
    stone_width: PositiveSize | None = None
    stone_over: Size | None = Field(default=None, description="stone above the crown; left out: by duty")
    cleanout: bool = False


class PumpPoint(Record):
    """One point of a pump's data sheet."""

    flow: Flow
    head: Size


class Pump(Record):
    """A pump by its data sheet."""

    name: ShortText
    curve: tuple[PumpPoint, ...] = Field(min_length=2)
    label_power: Power | None = None
    float_kind: Literal["integral", "wide angle", "adjustable"] = "integral"
    float_band: PositiveSize | None = Field(default=None, description="on minus off, where the float fixes it")
    minimum_depth: Size = Field(default=si(0.0762), description="water left above the basin's floor at off")
    discharge_size: PortSize = "1-1/2 in"
    starts_limit: Rate | None = None
    switch_starts: Starts | None = Field(default=None, ge=1000)
    current: Current | None = None
    solids: Size | None = None
    weight: Mass = si(9.0)
    input_power: Power | None = Field(default=None, description="drawn from the mains while it runs")
    price: Amount | None = Field(default=None, description="in the job's currency; to rank it, and for the price")
    direct_current: bool = Field(default=False, description="a battery unit's pump")


class Battery(Record):
    """A backup supply."""

    capacity: Charge
    volts: Number = Field(default=12.0, gt=0, le=400)
    usable: Fraction = 0.5
    current: Current = Field(gt=0.0, description="drawn at the battery while the pump runs")
    pump: Pump | None = Field(default=None, description="the battery unit's own pump; left out: the first pump")


class Basin(Record):
    """The sump basin; what is left out is designed."""

    name: Name = "SUMP"
    at: Place
    diameter: PositiveSize | None = Field(default=None, description="inside")
    depth: PositiveSize | None = Field(default=None, description="rim to inside floor")
    rim: Level | None = Field(default=None, description="left out: 2 in above the ground")
    empty_weight: Mass = si(25.0)
    flange_width: Size = si(0.0)
    concrete_collar: Mass | None = Field(default=None, description="cast round its foot; left out: designed")
    pump: Pump | None = Field(default=None, description="left out: chosen from the generic catalogue")
    second_pump: bool = False
    second: Pump | None = Field(default=None, description="the second pump, where it is another than the first")
    on: Size | None = Field(default=None, description="float levels above the basin's floor")
    off: Size | None = None
    alarm: Size | None = None
    check_valve: bool = True
    relief_hole: Size | None = si(0.0047625)
    relief_hole_place: Literal["below the check valve", "above the check valve", "outside the basin"] = (
        "below the check valve"
    )
    battery: Battery | None = None
    circuit: Literal["dedicated GFCI", "shared", "unknown"] = "unknown"
    circuits_there: Fact[Count] | None = Field(
        default=None,
        description="protected circuits of the pumps' own that stand already; 'source' says who checked them, and when",
    )
    screened: bool = True

    @model_validator(mode="after")
    def _circuits_seen(self) -> Basin:
        there = self.circuits_there
        if there is not None and there.value and (not there.source.strip() or self.circuit == "shared"):
            raise ValueError("expected with 'circuits_there' a 'source' (who checked them, when), no shared one")
        return self


class JoinedLine(Record):
    """A gravity line that the pumped flow joins, with what else it takes."""

    name: ShortText = "existing line"
    pipe: ShortText
    grade: Fact[Grade]
    other_roof: tuple[Name, ...] = Field(default=(), description="downspouts that also discharge into it")
    other_flow: Fact[Flow] | None = None
    roughness: Number | None = Field(default=None, gt=0.005, lt=0.1, description="Manning n; left out: the pipe's own")
    route: tuple[Place, ...] = Field(default=(), description="two places or more; left out: not drawn")
    route_basis: Basis = Field(default=Basis.ASSUMED, description="how the route is known")

    @field_validator("route")
    @classmethod
    def _a_line(cls, route: tuple[Place, ...]) -> tuple[Place, ...]:
        if len(route) == 1:
            raise ValueError("found one place: expected two or more, or no route")
        return route


class Soak(Record):
    """Stone or a chamber in the ground that takes water in and lets it soak away; what is left out is designed."""

    length: PositiveLength | None = Field(default=None, description="of a trench, along 'bearing'")
    width: PositiveSize | None = Field(default=None, description="of a trench; of a dry well its diameter")
    depth: PositiveSize | None = Field(default=None, description="of the stone, below the pipe's invert")
    bearing: Angle | None = Field(default=None, description="of trench or row, clockwise from up; else turned clear")
    voids: Fraction = Field(default=0.4, gt=0.0, description="of the fill; 0.95 for a chamber")
    rate: Fact[Conductivity] | None = Field(
        default=None, description="infiltration measured where it goes; left out: the ground's conductivity"
    )
    safety: Number = Field(default=2.0, ge=1.0, le=10.0, description="the rate is divided by it")
    overflow: Name | None = Field(default=None, description="discharge point that takes what it cannot")


class EndSizes(Record):
    """Sizes of a pipe's end, to build and to inspect; what is left out is assumed by common practice."""

    opening: PositiveSize | None = Field(
        default=None, description="clear height of a hole in the kerb, or an emitter's bore; left out: by the pipe"
    )
    height: Size | None = Field(
        default=None, description="of the invert above the gutter, or of an emitter's lid above the lawn"
    )
    kerb: PositiveSize | None = Field(default=None, description="height of the kerb above the gutter; left out: 6 in")
    gap: PositiveSize | None = Field(default=None, description="clear height of an air gap; left out: the least")
    receiver: PositiveSize | None = Field(default=None, description="mouth of the pipe that takes the water below it")
    guard: bool = Field(default=True, description="an animal guard on an open end")


class Discharge(Record):
    """A discharge point."""

    name: Name = "OUT"
    at: Place
    kind: OutletKind
    invert: Level
    tailwater: Level | None = None
    permission: Fact[Literal["allowed", "permit needed", "permit granted", "forbidden", "not asked"]] = Field(
        default=Fact(value="not asked", basis=Basis.ASSUMED)
    )
    joins: JoinedLine | None = None
    air_gap: bool = Field(default=False, description="the pressure line ends in air before a larger gravity pipe")
    winter_relief: bool = False
    overflow_only: bool = Field(default=False, description="lawful only for what another way out cannot take")
    soak: Soak | None = Field(default=None, description="of a dry well or infiltration trench; left out: designed")
    apron: PositiveLength | None = Field(default=None, description="length of a stone apron where it comes out")
    end: EndSizes = EndSizes()

    @model_validator(mode="after")
    def _end_of_its_kind(self) -> Discharge:
        lid, kerb, open_end = (
            self.kind == "pop-up emitter",
            self.kind == "street",
            self.kind in ("daylight", "neighbour"),
        )
        if self.air_gap and (self.kind in AT_THE_GROUND):
            raise ValueError(f"found an air gap at a {self.kind}: expected one only before a buried line")
        wrong = [
            name
            for name, fits in (
                ("opening", lid or kerb), ("height", lid or kerb), ("kerb", kerb), ("gap", self.air_gap),
                ("receiver", self.air_gap), ("guard", open_end),
            )
            if not fits and getattr(self.end, name) not in (None, True)
        ]  # fmt: skip
        if wrong:
            told = " and ".join(map(repr, wrong))
            raise ValueError(f"found 'end' with {told}: expected no such size of a {self.kind}")
        return self


class Criteria(Record):
    """What the design must keep; each may be set by the firm or the place."""

    roof_return_period: Period = si(10 * 31557600.0)
    yard_return_period: Period = si(10 * 31557600.0)
    storm_return_period: Period = si(25 * 31557600.0)
    storm_duration: StormDuration = si(6 * 3600.0)
    roof_time: Duration = si(5 * 60.0)
    minimum_time: Duration = si(5 * 60.0)
    roof_rule: Literal["plan", "half wall", "wind"] = Field(
        default="plan",
        description="what of a roof catches rain: its plan; with half of a wall above it; or with wind-driven rain",
    )
    minimum_grade: Grade = si(0.125 / 12)
    least_grade: Grade = Field(default=si(0.005), description="last resort, laser only")
    minimum_cover: Size = si(0.2032)
    traffic_cover: Size = si(0.3048)
    minimum_velocity: Speed = Field(default=si(0.6096), description="in the discharge line")
    maximum_velocity: Speed = Field(default=si(2.4384), description="in the discharge line")
    maximum_starts: Rate = si(10 / 3600.0)
    minimum_run: Duration = si(60.0)
    pump_margin: Number = Field(default=1.2, ge=1.0, le=3.0, description="pump flow over peak inflow")
    uplift_safety: Number = Field(default=1.2, ge=1.0, le=3.0)
    grate_clogging: Fraction = 0.5
    maximum_fill: Fraction = Field(
        default=0.8, gt=0.0, description="depth over diameter of a gravity pipe at design flow"
    )
    drain_below_floor: Size = Field(default=si(0.1016), description="drain invert below the floor's underside")
    power_cut: Duration = si(4 * 3600.0)
    bearing_slope: Number = Field(default=1.0, gt=0, le=3, description="footing wedge, run over fall (1 is 45 degrees)")
    trench_width: Size = si(0.6096)
    shield_panels: Size = Field(default=si(0.1524), description="added to a dig's width by its shields, both sides")
    maximum_grade: Grade | None = Field(default=None, description="of a gravity pipe; left out: none of its own")
    inlet_drop: Size = Field(default=si(0.0254), description="fall through a catch basin, from pipe in to pipe out")
    grate_freeboard: Size = Field(default=si(0.0508), description="water below a grate or junction at the design flow")
    utility_clearance: Size = Field(default=si(0.3048), description="between the outsides of a pipe and a buried line")
    pump_wear: Fraction = Field(default=0.15, description="share of its head that a worn pump has lost")
    soak_return_period: Period = si(10 * 31557600.0)
    soak_empty: StormDuration = Field(default=si(48 * 3600.0), description="until a soakaway is half empty, at most")
    roof_water: Literal["separate", "to basin", "to footing drain"] = "separate"


class Shaping(Record):
    """Ground along a wall, shaped so that it falls away from the house; what is left out is designed."""

    wall: Name
    from_: Length = Field(default=si(0.0), alias="from", description="along the wall, from its first corner")
    to: PositiveLength | None = Field(default=None, description="along the wall; left out: to its end")
    width: PositiveLength = Field(default=si(3.048), description="out from the wall")
    fall: PositiveSize = Field(default=si(0.1524), description="away from the wall, at least, within the width")
    start_level: Level | None = Field(
        default=None, description="finished ground at the wall; left out: designed, below what must stay clear of earth"
    )
    fill: FillKey = Field(default="fill.clayey", description="key of the price book")
    finish: Literal["sod back", "seed", "mulch", "stone"] = "seed"

    @model_validator(mode="after")
    def _along(self) -> Shaping:
        if self.to is not None and self.to <= self.from_:
            raise ValueError("found a strip that ends before it begins: expected 'to' beyond 'from' along the wall")
        if self.fall > MOST_FALL * self.width:
            raise ValueError(
                "found a fall steeper than 1 in 3: expected a wider strip or less fall, for grass slips on it"
            )
        return self


def _basin_form(value: object) -> str:
    return "basin" if isinstance(value, dict | Basin) else "word"


class Stone(Record):
    """Drain stone by its grading; left out: the common clean stone, 1/2 to 1 in."""

    name: ShortText = "clean stone No. 57"
    d15: Fact[PositiveSize] | None = Field(default=None, description="15 % by mass is finer")
    d50: Fact[PositiveSize] | None = None
    d85: Fact[PositiveSize] | None = None


class Cloth(Record):
    """A filter fabric by its sheet."""

    name: ShortText = "filter fabric"
    opening: Fact[PositiveSize] = Field(description="apparent opening size, O95")
    permittivity: Fact[Rate] | None = None
    woven: bool = False


class Works(Record):
    """All that is to be built."""

    inlets: tuple[Inlet, ...] = ()
    runs: tuple[Run, ...] = ()
    basin: Annotated[
        Annotated[Basin, Tag("basin")] | Annotated[Literal["if needed", "none"], Tag("word")],
        Discriminator(_basin_form),
    ] = "if needed"
    more_basins: tuple[Basin, ...] = Field(default=(), max_length=5, description="besides 'basin'")
    stone: Stone = Stone()
    cloth: Cloth | None = Field(default=None, description="filter fabric by its sheet; left out: chosen")
    cap: Literal["own soil", "bought"] | None = Field(
        default=None,
        description="below the topsoil at opened walls; left out: the dig's where that is measured clay, else bought",
    )
    basin_place: Place | None = Field(default=None, description="where a basin would go, if one is needed")
    discharge: tuple[Discharge, ...] = Field(min_length=1)
    shaping: tuple[Shaping, ...] = Field(default=(), max_length=40, description="ground to shape along the walls")
    protection: tuple[DigGuard, ...] = Field(default=(), max_length=40, description="where no slope or shield fits")
    out_of_stock: tuple[ShortText, ...] = Field(
        default=(), max_length=40, description="keys of pipe sticks that cannot be had: pipe.d3034-4in.20ft"
    )

    @model_validator(mode="after")
    def _one_place(self) -> Works:
        if isinstance(self.basin, Basin) and self.basin_place is not None:
            raise ValueError("expected 'basin_place' only where 'basin' is left to be designed")
        if self.more_basins and not isinstance(self.basin, Basin):
            raise ValueError("expected 'more_basins' only beside a 'basin' of the job's own")
        return self

    @model_validator(mode="after")
    def _strips_apart(self) -> Works:
        for one, other in combinations(self.shaping, 2):
            ends = (math.inf if strip.to is None else strip.to for strip in (one, other))
            if one.wall == other.wall and max(one.from_, other.from_) < min(ends):
                raise ValueError(
                    f"found two strips over each other along the wall '{one.wall}': expected each stretch shaped once"
                )
        return self

    @property
    def basins(self) -> tuple[Basin, ...]:
        """The basins that the job gives: ``basin``, then ``more_basins``."""
        return (self.basin, *self.more_basins) if isinstance(self.basin, Basin) else ()

    def basin_named(self, name: str) -> Basin | None:
        """The job's basin of that name; None where the design chose it."""
        return next((basin for basin in self.basins if basin.name == name), None)


__all__ = [
    "MOST_FALL",
    "Basin", "Battery", "Cloth", "Criteria", "Discharge", "Duty", "EndSizes", "Inlet", "InletKind", "JoinedLine",
    "OutletKind", "Pump", "PumpPoint", "Run", "Shaping", "Soak", "Stone", "Works",
]  # fmt: skip
