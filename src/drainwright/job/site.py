"""What stands on the lot: the house and its walls, roofs, yards, ground, utilities, trees."""

from __future__ import annotations

import math
from typing import Any, Literal

from pydantic import ConfigDict, Field, ValidationError, ValidationInfo, model_validator

from drainwright.job.ground_tests import DugHole, HandTexture, HoleTest, OpenWater, TakenOut
from drainwright.job.hand_texture import texture_by_hand
from drainwright.job.line_depth import DOUBTS, EXPOSED, Depth
from drainwright.job.moisture import Symptom
from drainwright.job.values import (
    Angle,
    Area,
    Basis,
    Conductivity,
    Count,
    Day,
    Density,
    Fact,
    Fraction,
    Grade,
    Intensity,
    Label,
    Length,
    Level,
    Name,
    Number,
    Place,
    PositiveLength,
    PositiveSize,
    Record,
    ShortText,
    Size,
    Text,
    si,
)

WallMaterial = Literal["block", "brick", "poured concrete", "stone", "wood"]
FloorKind = Literal["slab", "crawl space", "basement"]
Surface = Literal["lawn", "planting", "bare soil", "gravel", "paving", "concrete", "asphalt", "pervious paving"]
Texture = Literal[
    "sand", "loamy sand", "sandy loam", "loam", "silt loam", "silt", "sandy clay loam", "clay loam",
    "silty clay loam", "sandy clay", "silty clay", "clay",
]  # fmt: skip
UtilityKind = Literal[
    "water", "reclaimed", "irrigation", "irrigation control", "electric", "gas", "communication", "sewer",
    "septic", "storm drain", "low voltage lighting", "pool", "propane", "oil",
]  # fmt: skip


DANGEROUS: tuple[UtilityKind, ...] = ("gas", "electric", "propane")  # a live one kills whoever strikes it


class Coating(Record):
    """What is put on a wall."""

    kind: Literal["damp-proofing", "waterproofing", "none"] = "damp-proofing"
    coats: Count = Field(default=2, ge=0, le=6)
    parge: bool = False
    board: bool = Field(default=False, description="protection or drainage board before the stone")
    top_above_grade: Size = si(0.0381)


class KeepClear(Record):
    """A thing on a wall that the ground must stay below."""

    kind: Literal["wood siding", "wood framing", "foundation top", "weep screed", "vent", "window well", "door sill"]
    level: Fact[Level] = Field(description="its lowest edge; of a window well its rim")
    from_: Length = Field(default=si(0.0), alias="from", description="along the wall, from its first corner")
    to: PositiveLength | None = Field(default=None, description="along the wall; left out: to its end")

    @model_validator(mode="after")
    def _along(self) -> KeepClear:
        if self.to is not None and self.to <= self.from_:
            raise ValueError("found a thing that ends before it begins: expected 'to' beyond 'from' along the wall")
        return self


class Wall(Record):
    """A stretch of foundation wall between two corners, seen from outside."""

    name: Name
    from_: Name = Field(alias="from")
    to: Name
    footing_bottom: Fact[Level]
    footing_thickness: Fact[PositiveSize] = Field(default=Fact(value=si(0.2032), basis=Basis.ASSUMED))
    footing_projection: Fact[Size] = Field(default=Fact(value=si(0.1016), basis=Basis.ASSUMED))
    material: WallMaterial = "block"
    condition: Literal["sound", "cracked", "bowed", "unknown"] = "sound"
    wet: bool = False
    open_and_coat: bool = Field(default=False, description="dig to the footing, clean and coat this wall")
    coating: Coating = Coating()
    keep_clear: tuple[KeepClear, ...] = Field(
        default=(), max_length=40, description="siding, framing, vents, window wells: what earth must stay below"
    )


class House(Record):
    """The house outline and its lowest floor."""

    outline: tuple[Place, ...] = Field(min_length=3, max_length=200)
    floor_kind: FloorKind
    floor: Fact[Level] = Field(description="top of the lowest floor (slab, basement floor, or crawl-space soil)")
    floor_thickness: Size = si(0.1016)
    walls: tuple[Wall, ...] = ()
    deck_overhead: bool = False


def _either_texture(schema: dict[str, Any]) -> None:
    """In the published schema: 'texture' or 'hand_texture'."""
    schema["required"] = [name for name in schema.get("required", ()) if name != "texture"]
    schema["anyOf"] = [{"required": ["texture"]}, {"required": ["hand_texture"]}]


class Grading(Record):
    """Grain sizes of a soil: so much by mass is finer."""

    d15: Fact[PositiveSize] | None = None
    d50: Fact[PositiveSize] | None = None
    d85: Fact[PositiveSize]
    fines: Fact[Fraction] = Field(description="finer than the No. 200 sieve, of what passes the No. 4")
    plastic: bool | None = Field(default=None, description="the fines roll to a thread; left out: by the texture")
    dispersive: bool = False


class FouledSoil(Record):
    """Soil or water in it that smells, or looks, of what does not belong there."""

    kind: Literal["fuel smell", "septic effluent", "other smell or colour"]
    where: ShortText = ""
    seen: Day | None = None
    cleared: ShortText = Field(
        default="", description="who tested it, when, and how it is dug and taken away; left out: nobody digs there"
    )


class Ground(Record):
    """The soil and the water in it."""

    model_config = ConfigDict(json_schema_extra=_either_texture)

    @model_validator(mode="before")
    @classmethod
    def _by_hand(cls, data: object, info: ValidationInfo) -> object:
        """Fill the texture from the feel of the soil, where only that was found."""
        if not isinstance(data, dict) or data.get("texture") is not None or data.get("hand_texture") is None:
            return data
        try:
            hand = HandTexture.model_validate(data["hand_texture"], context=info.context)
        except ValidationError:
            return {**data, "texture": "loam"}  # what is wrong with the hand texture is told in its own place
        found = texture_by_hand(hand.ball, hand.ribbon, hand.feel)
        return {**data, "texture": {"value": found, "basis": "measured", "source": "by feel", "date": hand.date}}

    texture: Fact[Texture] = Field(description="left out: by 'hand_texture'")
    hand_texture: HandTexture | None = None
    hole_tests: tuple[HoleTest, ...] = Field(default=(), max_length=20)
    dug_holes: tuple[DugHole, ...] = Field(default=(), max_length=20)
    conductivity: Fact[Conductivity] | None = Field(
        default=None, description="left out: reduced from 'hole_tests', or taken from the texture, assumed"
    )
    drainable_porosity: Fact[Fraction] | None = Field(default=None, description="left out: by the texture, assumed")
    open_water: OpenWater | None = None
    taken_out: TakenOut | None = None
    water_table: Fact[Level] | None = Field(default=None, description="seasonal high water; left out: not known")
    barrier: Fact[Level] | None = Field(default=None, description="level below which water hardly moves")
    recharge: Fact[Intensity] | None = None
    grading: Grading | None = Field(
        default=None, description="of the soil beside the drain, from a laboratory's sieves"
    )
    osha_type: Fact[Literal["stable rock", "A", "B", "C"]] = Field(default=Fact(value="C", basis=Basis.ASSUMED))
    unit_weight: Fact[Density] | None = None
    expansive: bool = False
    fouled: FouledSoil | None = Field(default=None, description="fuel, septic effluent, odd colour; left out: none")
    roots: Literal["none", "few", "many", "heavy"] = "none"
    note: Text = ""


class RoofArea(Record):
    """A roof plane, or several, that sheds to one downspout."""

    name: Label
    area: Fact[Area] = Field(description="area in plan, not along the slope")
    to: Name = Field(description="the downspout")
    slope: Fact[Grade] | None = Field(default=None, description="rise over run, for rain that the wind drives on to it")
    wall_above: Fact[Area] | None = Field(
        default=None, description="wall that rises above this roof and sheds on to it"
    )


class Downspout(Record):
    """A downspout and how it meets the ground."""

    name: Name
    at: Place
    size: ShortText = "2x3 in"
    ends: Literal["leader", "splash"] | None = Field(
        default=None,
        description="into a pipe, or onto the ground; left out: a pipe is planned, and nobody told how it ends today",
    )
    to: Label | None = Field(default=None, description="for a splash end: the yard area it wets")


class FlowReach(Record):
    """One part of the way that water takes over a yard, from the farthest place downwards."""

    kind: Literal["sheet", "shallow", "channel"]
    length: PositiveLength
    slope: Fact[Grade]
    surface: Surface | None = Field(default=None, description="left out: the yard's")
    roughness: Fraction | None = Field(default=None, gt=0.0, description="Manning's n; left out: by the surface")
    depth: PositiveSize | None = Field(default=None, description="channel: depth of flow")
    width: PositiveSize | None = Field(default=None, description="channel: width at its bottom")
    side_slope: Number = Field(default=0.0, description="channel: run over rise of its sides")

    @model_validator(mode="after")
    def _channel(self) -> FlowReach:
        if self.kind == "channel" and (self.depth is None or self.width is None or self.roughness is None):
            raise ValueError("expected 'depth', 'width' and 'roughness' for a channel")
        return self


class YardArea(Record):
    """Ground that sheds to one inlet (or away from the job)."""

    name: Label
    outline: tuple[Place, ...] = Field(default=(), max_length=200)
    area: Fact[Area] | None = None
    surface: Surface = "lawn"
    thickness: Fact[PositiveSize] | None = None
    slope: Fact[Grade] = Field(default=Fact(value=si(0.02), basis=Basis.ASSUMED))
    flow_length: Fact[PositiveLength] | None = None
    flow_path: tuple[FlowReach, ...] = Field(
        default=(), max_length=10, description="the longest way of the water, part by part; instead of 'flow_length'"
    )
    to: Name = Field(description="the inlet, or 'away'")
    runoff_coefficient: Fact[Fraction] | None = None
    from_ground: bool = Field(
        default=False, description="area, slope and length are those of the ground that the shots show to drain there"
    )
    beyond: bool = Field(default=False, description="ground beyond the boundary that sheds on to the lot")

    @model_validator(mode="after")
    def _sized(self) -> YardArea:
        if self.from_ground and (self.outline or self.area is not None):
            raise ValueError("found 'from_ground' and an area of its own: expected one of them")
        if self.flow_path and self.flow_length is not None:
            raise ValueError("found both 'flow_path' and 'flow_length': expected one of them")
        if not self.outline and self.area is None and not self.from_ground:
            raise ValueError("expected an 'outline' of three places or more, or an 'area', or 'from_ground'")
        if self.outline and len(self.outline) < 3:
            raise ValueError("expected three places or more in 'outline'")
        return self


class Agreed(Record):
    """What the owner of a buried line agreed to in writing."""

    by: ShortText = Field(min_length=1, description="who: the line's owner, and the person that signed")
    on: Day = Field(description="date of the writing")
    text: Text = Field(min_length=1, description="what was agreed: how the line is held, who watches, how near")


class DigGuard(Record):
    """How people are kept safe in a dig that neither slope nor shield fits: an answer to the cave-in of its sides."""

    at: Label = Field(description="the dig: a wall, a run, a basin, an inlet or a discharge point by its name")
    kind: Literal["engineer's design", "timber shoring", "hydraulic shoring", "tabulated data"] = Field(
        description="29 CFR 1926.652(c): by a registered engineer, by OSHA's tables, or by its maker's or other tables"
    )
    by: ShortText = Field(min_length=1, description="who answers for it: the engineer, or who chose it from the tables")
    on: Day = Field(description="date of the design or the choice")
    text: Text = Field(min_length=1, description="what stands in the dig, how it is set, and past what line")


class Utility(Record):
    """A buried line. Its depth is to the top of the line, at each place or all along; unknown: anywhere."""

    name: Label
    kind: UtilityKind
    route: tuple[Place, ...] = Field(min_length=2)
    depth: Depth
    depth_uncertainty: Size | None = None
    diameter: Size = si(0.0254)
    material: ShortText = Field(default="", description="of the pipe, to have the right couplings at hand")
    shutoff_at: Place | None = Field(default=None, description="where its shutoff is")
    located_by: Literal["locate ticket", "private locate", "exposed by hand", "owner says", "nobody"] = "nobody"
    shutoff: ShortText = ""
    live: bool = True
    agreed: Agreed | None = Field(
        default=None, description="the line's owner in writing, on digging and laying pipe so near to it"
    )
    note: ShortText = ""

    @model_validator(mode="after")
    def _known(self) -> Utility:
        if self.depth is None and self.located_by == "exposed by hand":
            raise ValueError(
                "found a line exposed by hand at an unknown depth: expected the depth at which it was seen"
            )
        if self.depth is None and self.depth_uncertainty is not None:
            raise ValueError("found 'depth_uncertainty' of an unknown depth: expected a depth, or no uncertainty")
        return self

    @property
    def doubt(self) -> float:
        """How far the depth may be off, as told or by how it is known; no figure holds for an unknown one. [m]"""
        if self.depth is None:
            return math.inf
        if self.depth_uncertainty is not None:
            return self.depth_uncertainty
        return EXPOSED if self.located_by == "exposed by hand" else DOUBTS[self.depth.basis]

    @property
    def depth_basis(self) -> Basis:
        """How the depth is known; an unknown one leans on nothing."""
        return Basis.ASSUMED if self.depth is None else self.depth.basis

    @property
    def dangerous(self) -> bool:
        """Whether it kills whoever strikes it: a live gas, propane or electric line."""
        return self.live and self.kind in DANGEROUS


class Tree(Record):
    """A tree to keep or to remove."""

    name: Label
    at: Place
    trunk_diameter: PositiveSize
    keep: bool = True
    note: ShortText = ""


class Access(Record):
    """How people, barrows and stone get to the work."""

    gate_width: PositiveSize | None = None
    barrow_distance: Length = si(30.48)
    machine: bool = False
    by_hand: tuple[Name, ...] = Field(
        default=(), max_length=60,
        description="walls, runs, inlets, basins and soakaways that the excavator does not reach: they are dug by hand",
    )  # fmt: skip
    stockpile: Place | None = None
    street_distance: Length = si(15.24)


class Protected(Record):
    """A thing on or near the lot from which the place, or good sense, asks a distance."""

    name: Label
    kind: Literal[
        "well", "septic field", "septic tank", "steep bank", "wetland", "pool", "footing", "retaining wall",
        "overhead line", "fence",
    ] = Field(
        description="'footing': of a porch, a post or another building; 'overhead line': of power, over the lot; "
        "'fence': the line of its posts"
    )  # fmt: skip
    at: tuple[Place, ...] = Field(min_length=1, max_length=100, description="its place, its line or its outline")
    setback: Fact[Length] | None = Field(default=None, description="asked here; left out: the usual one, assumed")
    posts: Fact[PositiveSize] | None = Field(
        default=None, description="'fence': how deep its posts reach; left out: any dig as deep as it is near counts"
    )
    note: ShortText = ""


class Property(Record):
    """The lot."""

    address: ShortText = ""
    town: ShortText = ""
    year_built: Count | None = Field(default=None, ge=1600, le=2100)
    boundary: tuple[Place, ...] = Field(default=(), max_length=200)
    access: Access = Access()
    protected: tuple[Protected, ...] = Field(
        default=(), max_length=50, description="what water let out, or digging, must keep away from"
    )
    north: Angle = Field(default=si(0.0), description="true north, clockwise from the drawing's up")


__all__ = [
    "DANGEROUS", "Access", "Agreed", "Coating", "DigGuard", "Downspout", "FloorKind", "FlowReach", "FouledSoil",
    "Grading", "Ground", "House", "KeepClear", "Property", "Protected", "RoofArea", "Surface", "Symptom", "Texture",
    "Tree", "Utility", "UtilityKind", "Wall", "WallMaterial", "YardArea",
]  # fmt: skip
