"""What is dug, one by one, and what it meets: trenches, buried lines, footings, roots."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from drainwright.field.model import Plan
from drainwright.job.site import UtilityKind
from drainwright.job.values import Basis

DigKind = Literal["run", "wall", "basin", "inlet", "soakaway"]
Protection = Literal["none", "competent person decides", "house-foundation letters", "slope or shield", "engineer"]

UNSEEN = 0.0016  # half of 1/8 in, to which gaps are told [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Trench:
    """One stretch of digging: a run's trench, a wall opened to its footing, a basin's hole or pit."""

    name: str
    kind: DigKind
    length: float  # diameter or side for a basin; of a pit, its area in no other dig over its width [m]
    width: float  # [m]
    depth_mean: float  # [m]
    depth_greatest: float  # of a run, where it has a dig of its own [m]
    bank_volume: float  # [m³]
    protection: Protection
    slope_run: float  # horizontal over vertical if sloped back, by soil type [-]
    spoil_setback: float  # the larger rule in force [m]
    ladder: bool
    source: str
    basis: Basis = Basis.MEASURED  # of the depth: that of the footing it is dug to
    round: bool = False  # a basin's hole without panels
    panels: float = 0.0  # of its width, what the panels of shields take, as assumed [m]
    water: float = 0.0  # of the ground, over the bottom, up to the ground at most, where its level is known [m]
    water_slopes: bool = False  # that level lies above the ground along it: the water falls with the slope
    loads: tuple[str, ...] = ()  # what weighs on the ground beside it, nearer than it is deep
    stands: tuple[tuple[str, str], ...] = ()  # what stands on that ground, with its kind: a fence, a wall, a footing
    machines: tuple[str, ...] = ()  # whose own weight bears on its edge, where it is as deep as asks for a ladder
    under: tuple[str, ...] = ()  # overhead lines that a machine, a long pipe or a rod may reach from it
    spoil_room: float | None = None  # at its narrowest place, to the boundary or the house; none: not known [m]
    no_room: float = 0.0  # part of its length beside which its spoil may not lie [-]
    heap_way: float = 0.0  # to where that spoil lies instead [m]
    judged: float = 0.0  # depth by which its protection is judged, with what it may be more [m]
    slope_back: float = 0.0  # how far each side goes back, if sloped, at that depth [m]
    ladders: int = 0
    ladder_way: float = 0.0  # farthest way to one; 0 without [m]
    along: tuple[tuple[str, float], ...] = ()  # buried lines that lie along inside it, each with its length there [m]
    close: tuple[tuple[str, float, float], ...] = ()  # live ones along outside it, each with its gap and length [m]
    over: tuple[str, ...] = ()  # digs of walls, guarded more strictly, that a run crosses high over their bottom
    slope_meets: tuple[str, ...] = ()  # what sides sloped back would reach: the house, the boundary, buried lines
    bars: tuple[str, ...] = ()  # of what lies along inside it, live gas, electric and propane: no slope or shield fits
    work: str = "trench"  # key of the work that digs it
    planned: str = ""  # how people are kept safe there, as the job says: what, by whom, when

    @property
    def held(self) -> bool:
        """Whether nobody enters it: too deep without protection, none fits, and none is planned."""
        return self.protection == "slope or shield" and bool(self.bars) and not self.planned

    @property
    def slope_fits(self) -> bool:
        """Whether there is room to slope the sides back."""
        return not self.slope_meets


@dataclass(frozen=True, slots=True, kw_only=True)
class Crossing:
    """Where a trench meets a buried line."""

    run: str  # run, wall, basin or inlet
    utility: str
    kind: UtilityKind
    crossing: bool  # False: runs alongside, inside the tolerance zone
    station: float  # distance from the run's upper end [m]
    at: Plan
    utility_top: float | None  # level; None: nobody knows its depth [m]
    pipe_crown: float  # outside, level [m]
    pipe_invert: float  # outside bottom, level [m]
    bottom: float  # of the dig there, level [m]
    clearance: float | None  # gap of the outsides, least inside the dig; negative: they meet; None: depth unknown [m]
    clearance_least: float  # where the line lies as badly as its depth may be wrong [m]
    clearance_most: float  # where it lies as well as that [m]
    hand_dig: float  # length dug by hand along the run [m]
    shutoff: str
    basis: Basis
    stretch: tuple[float, float] | None = None  # of the run, dug by hand; none for a basin or an inlet [m]
    mark: str = ""  # "X1": the same on plan, profiles, sheets and in findings, in the order of exposing
    bared: float = 0.0  # length in plan of a crossing line inside the dig; zero where it lies alongside [m]

    def slants(self, width: float) -> bool:
        """Whether more of the line is bared than a dig so wide bares of one that crosses square, by a quarter [m]."""
        return self.bared > 1.25 * width

    @property
    def could_meet(self) -> bool:
        """Whether they meet where the line lies as badly as its depth may be wrong, by more than is ever written."""
        return self.clearance_least < -UNSEEN


@dataclass(frozen=True, slots=True, kw_only=True)
class LineAtShields:
    """A buried line in the way of the shields of a guarded length."""

    line: str
    across: bool  # False: past an end that opens into a dig without shields
    gap: float = 0.0  # from that end to the line's outside [m]
    span: tuple[float, float] = (0.0, 0.0)  # of the length, from its start, where no set stands over it [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class FootingWedge:
    """A run or basin against the bearing wedge of a footing."""

    item: str
    wall: str
    offset: float  # from the footing's outer edge [m]
    below_footing: float  # trench bottom below the footing's bottom; zero or less is safe [m]
    allowed_below: float  # by the wedge at this offset [m]

    @property
    def inside(self) -> bool:
        """Whether the digging enters the wedge, by more than levels can be set out."""
        return self.below_footing > self.allowed_below + 0.003


@dataclass(frozen=True, slots=True, kw_only=True)
class RootCut:
    """A trench through a tree's critical root zone."""

    item: str
    tree: str
    distance: float  # nearest, trunk centre to trench centre [m]
    root_radius: float  # [m]
    trunk_diameter: float  # [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class RootLoss:
    """What all digging together cuts off of one tree's root zone."""

    tree: str
    share: float  # of the root zone, dug or cut off from the trunk [-]
    sides: tuple[str, ...]  # compass sides of the trunk on which roots are cut
    nearest: float  # from the trunk's centre to the edge of the digging [m]
    trunk_diameter: float  # [m]

    @property
    def diameters(self) -> float:
        """The nearest edge in trunk diameters. [-]"""
        return self.nearest / self.trunk_diameter


@dataclass(frozen=True, slots=True, kw_only=True)
class Filling:
    """What fills the digs again, in place, tamped: tamped fill is taken to fill the room that it had in the bank."""

    displaced: float  # by stone, pipes and basins [m³]
    topsoil: float  # stripped, kept apart and laid back on top [m³]
    native: float  # other soil of the digs that goes back [m³]
    cap: float  # tight soil bought for the cap at walls [m³]
    made_up: float  # topsoil bought, where too little of the dug soil is fit to go back [m³]
    cap_loose: float  # as it is delivered [m³]
    made_up_loose: float  # the same [m³]

    @property
    def back(self) -> float:
        """Soil of the digs that goes back. [m³]"""
        return self.topsoil + self.native

    @property
    def brought(self) -> float:
        """Soil that is bought, loose. [m³]"""
        return self.cap_loose + self.made_up_loose


__all__ = [
    "UNSEEN", "Crossing", "DigKind", "Filling", "FootingWedge", "LineAtShields", "Protection", "RootCut", "RootLoss",
    "Trench",
]  # fmt: skip
