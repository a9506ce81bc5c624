"""How it is built: the dig, what to buy, the days and the price."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from drainwright.build.crew_model import CrewPlan, DaysDoubt, EarthChain, RockDays, Task, Visit, WayToDig
from drainwright.build.dig_model import (
    UNSEEN,
    Crossing,
    DigKind,
    Filling,
    FootingWedge,
    LineAtShields,
    Protection,
    RootCut,
    RootLoss,
    Trench,
)
from drainwright.build.paving import Paved
from drainwright.job.offer import Milestone, Unforeseen
from drainwright.job.site import UtilityKind
from drainwright.job.values import Basis

Source = Literal["buy", "hire", "own"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShapedEarth:
    """The earth of all shaped strips. Volumes in place, tamped: the room that the soil had in the bank."""

    fill: float  # up to the finished levels [m³]
    settles: float  # more, for what settles [m³]
    cut: float  # taken down [m³]
    reused: float  # of the fill, out of the digging [m³]
    area: float  # [m²]
    over_digs: float  # of it, over what is opened anyway [m²]

    @property
    def bought(self) -> float:
        """Fill that must be brought in. [m³]"""
        return self.fill + self.settles - self.reused


@dataclass(frozen=True, slots=True, kw_only=True)
class DigPlan:
    """All digging, and what is in its way."""

    trenches: tuple[Trench, ...]
    crossings: tuple[Crossing, ...]
    wedges: tuple[FootingWedge, ...]
    roots: tuple[RootCut, ...]
    unlocated: tuple[UtilityKind, ...]  # lines such a lot usually has, neither entered nor ruled out
    bank_volume: float  # [m³]
    loose_volume: float  # [m³]
    backfill_volume: float  # native soil put back, loose [m³]
    haul_volume: float  # loose, off the site [m³]
    haul_mass: float  # [kg]
    swell: float  # [-]
    barrow_rounds: int
    trailer_loads: int
    trailer_loads_by_volume: int
    trailer_loads_by_mass: int
    load_mass: float  # of the load as it would be filled [kg]
    wall_panel: float  # length of wall bared at once, odd and even lengths in turn; zero: whole [m]
    tree_roots: tuple[RootLoss, ...] = ()
    spared: tuple[tuple[str, str, str], ...] = ()  # digging through what must be spared: dig, its name, its kind
    paved: tuple[Paved, ...] = ()
    notes: tuple[str, ...] = ()
    shaped: ShapedEarth | None = None
    spouts: tuple[str, ...] = ()  # downspouts that would pour into a dig while it is open
    filling: Filling | None = None  # what fills the digs again
    soil_rounds: int = 0  # of the barrow's rounds, those with bought soil
    laid_in: tuple[tuple[str, str], ...] = ()  # runs without a trench of their own, and whose digging they lie in


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeoffLine:
    """One thing to buy or hire."""

    key: str  # price-book key
    category: Literal[
        "pipe",
        "fittings",
        "basins",
        "pump",
        "stone",
        "earth",
        "fabric",
        "coating",
        "haul",
        "hire",
        "sundries",
        "permits",
    ]
    description: str
    net: float  # counted from the design, in ``unit``
    quantity: float  # to buy, with waste and whole packs, in ``unit``
    unit: str  # "each", "stick 10 ft", "yd³", "ft²", "gal", "roll", "load", "ton"
    where: str  # runs and places
    waste: float  # fraction added [-]
    basis: Basis = Basis.MEASURED
    note: str = ""
    own_price: float | None = None  # per unit, of the job's own; left out: the price book's
    source: Source = "buy"
    task: str = ""  # the first work that uses it, where neither key nor category tells


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """A hole through the basin's or a catch basin's wall."""

    node: str
    run: str
    diameter: float  # [m]
    height: float  # centre above the inside floor [m]
    clock: float  # direction, clock hours seen from above, north (plan up) at 12 [h]
    pipe: str
    outside: float = 0.0  # the pipe's true outside diameter [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPiece:
    """One piece of pipe."""

    length: float  # to which it is cut: what fittings hold at its ends is off [m]
    where: str  # run or place
    upright: bool  # a riser
    openings: tuple[int, ...] = ()  # of a wall, by number, that it is laid in; where two, the longer part's first


@dataclass(frozen=True, slots=True, kw_only=True)
class CutStick:
    """One stick of pipe and what is cut from it."""

    pipe: str  # key of the pipe catalogue
    number: int  # from 1, for each pipe
    length: float  # as sold [m]
    pieces: tuple[CutPiece, ...]  # in the order of the cuts
    rest: float  # what is left, the kerfs taken off [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class StoneZone:
    """Stone of one run or basin in one part of its section."""

    where: str
    zone: str  # "under the pipe", "round the pipe", ...
    volume: float  # in place [m³]
    height: float  # of the zone, its greatest [m]
    lifts: int  # layers in which it is placed
    bought: float  # loose, with waste [m³]
    mass: float  # of what is bought [kg]


@dataclass(frozen=True, slots=True, kw_only=True)
class Roll:
    """Rolls of fabric of one size, and the strips that are rolled out of them."""

    width: float  # [m]
    length: float  # [m]
    count: int
    strips: tuple[tuple[str, float, float], ...]  # run, width wanted, length with laps [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tool:
    """A tool that the work needs, and whose it is."""

    key: str
    name: str
    count: int
    source: Source
    why: str
    size: float | None = None  # of a hole saw or drill bit [m]
    basis: Basis = Basis.ASSUMED  # of its count


@dataclass(frozen=True, slots=True, kw_only=True)
class Takeoff:
    """Everything to get."""

    lines: tuple[TakeoffLine, ...]
    holes: tuple[Hole, ...]
    notes: tuple[str, ...] = ()
    cuts: tuple[CutStick, ...] = ()
    stone: tuple[StoneZone, ...] = ()
    rolls: tuple[Roll, ...] = ()
    tools: tuple[Tool, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceLine:
    """One line of the cost."""

    key: str
    description: str
    quantity: float
    unit: str
    unit_price: Decimal
    amount: Decimal
    category: Literal["labour", "material", "haul", "hire", "permits"]
    taxable: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Price:
    """From cost to price. Margin is of the price, mark-up is of the cost."""

    lines: tuple[PriceLine, ...]
    labour: Decimal
    materials: Decimal
    other: Decimal  # haul, hire, permits
    direct_cost: Decimal
    overhead: Decimal
    contingency: Decimal
    cost: Decimal  # direct + overhead + contingency
    profit: Decimal
    allowances: Decimal  # unforeseen work that the price has in it, before tax
    minimum: Decimal | None  # the firm's least price before tax, where it raised this one
    margin: Decimal  # profit over price before tax
    markup: Decimal  # profit over cost
    before_tax: Decimal
    tax: Decimal
    total: Decimal
    deposit: Decimal
    deposit_rule: str
    low: Decimal  # total at the low end of the contingency band
    high: Decimal
    currency: str  # code of ISO 4217: "USD"
    book: str  # name and date of the price book
    invented: bool  # the demonstration book


@dataclass(frozen=True, slots=True, kw_only=True)
class Extra:
    """One unit of unforeseen work."""

    what: Unforeseen
    title: str
    unit: str  # as the job's papers count it: "yd³" or "m³"
    hours: float  # person-hours a unit
    items: tuple[tuple[str, float], ...]  # price-book keys with their amounts a unit
    counts: str  # what is counted, and what is not in it


@dataclass(frozen=True, slots=True, kw_only=True)
class UnitPrice:
    """The price of one unit of unforeseen work, with its parts."""

    extra: Extra
    labour: Decimal
    items: Decimal
    overhead: Decimal
    profit: Decimal
    tax: Decimal
    total: Decimal  # a unit, tax included
    included: float  # units that the price has as an allowance

    @property
    def before_tax(self) -> Decimal:
        """A unit without tax."""
        return self.total - self.tax


@dataclass(frozen=True, slots=True, kw_only=True)
class Payment:
    """One payment, and how it stands to the work."""

    when: Milestone
    amount: Decimal
    paid: Decimal  # with this one and all before it
    share: Decimal  # paid over the price with tax [-]
    done: Decimal  # of the direct cost: what is surely spent when this stage is reached [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class ShieldPlace:
    """One length of digging that is guarded by shields, and when."""

    where: str  # "SUMP", "north, length 3"
    trench: str
    kind: DigKind
    work: str  # key of the work that digs it
    length: float  # deeper than the protection depth [m]
    sets: int
    days: tuple[int, ...]  # working days, from 1, on which people may be in it deeper than that
    stands: tuple[int, int] = (0, 0)  # working days from and to which its sets stay in it
    lines: tuple[LineAtShields, ...] = ()  # buried lines in the way of its sets
    sheeted: float = 0.0  # of the length, by hand: where no whole set fits beside a line across [m]
    bays: int = 0  # of sheeting along that


@dataclass(frozen=True, slots=True, kw_only=True)
class ShieldHire:
    """Sets of trench shields: where they stand on which day, and for how many days each is there."""

    set_length: float  # that one set guards [m]
    least: float  # days for which a set is hired at least
    places: tuple[ShieldPlace, ...]
    needed: tuple[int, ...]  # most sets at once on each working day
    days: tuple[float, ...]  # charged for each set, from the first to the last day on which so many are needed
    hours: float = 0.0  # for which people may be in the places, each from its first to its last, by its sets [h]
    bays: tuple[float, ...] = ()  # days charged for each bay of sheeting, in the same way

    @property
    def bay_days(self) -> float:
        """Days of all bays of sheeting together."""
        return sum(self.bays)

    @property
    def set_days(self) -> float:
        """Days of all sets together."""
        return sum(self.days)


@dataclass(frozen=True, slots=True, kw_only=True)
class Build:
    """The whole of the building side."""

    dig: DigPlan
    takeoff: Takeoff
    plan: CrewPlan
    price: Price
    unit_prices: tuple[UnitPrice, ...] = ()  # of work that nobody can see beforehand
    payments: tuple[Payment, ...] = ()
    shields: ShieldHire | None = None  # hired or the firm's own; none: no trench asks for any


__all__ = [
    "UNSEEN", "Build", "CrewPlan", "Crossing", "CutPiece", "CutStick", "DaysDoubt", "DigKind", "DigPlan", "EarthChain",
    "Extra", "FootingWedge", "Hole", "LineAtShields", "Payment", "Price", "PriceLine", "Protection", "RockDays", "Roll",
    "RootCut", "RootLoss", "ShapedEarth", "ShieldHire", "ShieldPlace", "Source", "StoneZone", "Takeoff", "TakeoffLine",
    "Task", "Tool", "Trench", "UnitPrice", "Visit", "WayToDig",
]  # fmt: skip
