"""The site: what the survey says once it is reduced."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from drainwright.job.model import Job
from drainwright.job.site import Tree, Utility, Wall
from drainwright.job.values import Basis
from drainwright.job.works import JoinedLine

if TYPE_CHECKING:
    from drainwright.field.shaping import ShapedStrip
    from drainwright.field.surface import Surface
    from drainwright.field.terrain_model import Terrain

Plan = tuple[float, float]  # east, north [m]

ROD_READING = 0.003048  # a rod is read to a hundredth of a foot (common practice, no source) [m]
CLOSES_WITHIN = 500  # a perimeter walk's gap is one part in so many, at most: common practice [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ellipse:
    """Standard error ellipse of a point in plan (39 % of places lie inside; 2.45 times it holds 95 %)."""

    major: float  # half of the long axis [m]
    minor: float  # [m]
    bearing: float  # of the long axis, clockwise from north, 0 to pi [rad]


@dataclass(frozen=True, slots=True, kw_only=True)
class Slip:
    """A measurement that the others contradict, with what was probably meant."""

    where: str  # path in the job: "survey.level_book[12]", "survey.points[3].ties[1]", "survey.perimeter.legs[2]"
    kind: str  # "misread", "feet and inches", "wrong set-up", "digits exchanged", "sign", "off its neighbours"...
    size: float  # how much the measurement is off, as estimated [m, or rad for a turn]
    meant: str  # "5.42 ft instead of 4.42 ft"; empty where nothing stands out
    strength: float  # standardised: size over its standard error [-]
    message: str  # one sentence or two for a person, with the row or tape named
    rivals: tuple[str, ...] = ()  # paths of other measurements that would explain as much


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanObservation:
    """One tape or turn of the plan network, adjusted."""

    where: str  # path in the job
    kind: Literal["leg", "turn", "tie", "tape", "along", "offset"]
    ends: tuple[str, ...]  # names of the points: two of a distance, three of a turn or of an offset from a line
    measured: float  # [m or rad]
    residual: float  # adjusted less measured [m or rad]
    standardised: float  # residual over its standard error; 0 where nothing checks it [-]
    redundancy: float  # 0 (nothing checks it) to 1 [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanNetwork:
    """Walk, ties and diagonals adjusted together by least squares."""

    observations: tuple[PlanObservation, ...]
    redundancy: int  # observations less unknowns
    variance_factor: float | None  # sum of squared weighted residuals over redundancy; None without redundancy [-]


@dataclass(frozen=True, slots=True, kw_only=True)
class SitePoint:
    """A point in plan, with a level where one is known."""

    name: str
    east: float  # [m]
    north: float  # [m]
    level: float | None = None  # [m]
    way: Literal["corner", "ties", "along", "coordinates", "level only"] = "coordinates"
    residual: float | None = None  # root mean square of the tie residuals [m]
    standard_error: float | None = None  # of the position [m]
    weak: bool = False  # ties that cross at a poor angle
    ellipse: Ellipse | None = None  # None: given by coordinates, or not adjusted
    level_error: float | None = None  # standard error of the level, from the benchmark [m]
    basis: Basis = Basis.MEASURED


@dataclass(frozen=True, slots=True, kw_only=True)
class BookLine:
    """One reduced line of the level book."""

    point: str
    backsight: float | None  # [m]
    intermediate: float | None  # [m]
    foresight: float | None  # [m]
    instrument_height: float  # height of instrument in force [m]
    level: float  # before adjustment [m]
    adjusted: float  # after adjustment [m]
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelBook:
    """The reduced level book."""

    lines: tuple[BookLine, ...]
    set_ups: int
    misclosure: float | None  # None: the book does not return to a benchmark [m]
    allowable: float | None  # [m]
    distance: float | None  # sum of sight lengths [m]
    arithmetic: float  # (sum BS - sum FS) - (last - first); zero but for rounding [m]
    redundancy: int = 0  # readings less unknowns of the level network
    reading_error: float | None = None  # standard error of one reading as the closures show it; None: not checked [m]
    method: Literal["proportional", "least squares"] = "proportional"

    @property
    def closes(self) -> bool | None:
        """Whether the misclosure is allowable; None where the book was not closed."""
        if self.misclosure is None or self.allowable is None:
            return None
        return abs(self.misclosure) <= self.allowable

    @property
    def within_readings(self) -> bool:
        """Whether the misclosure is no more than the first and the last reading can be off together."""
        return self.misclosure is not None and abs(self.misclosure) <= 2 * ROD_READING


@dataclass(frozen=True, slots=True, kw_only=True)
class Traverse:
    """The perimeter walk's closure."""

    perimeter: float  # [m]
    closure_east: float  # [m]
    closure_north: float  # [m]
    angular_misclosure: float | None  # [rad]
    adjusted: bool

    @property
    def misclosure(self) -> float:
        """Length of the gap at the end of the walk [m]."""
        return float((self.closure_east**2 + self.closure_north**2) ** 0.5)

    @property
    def closes(self) -> bool:
        """Whether the gap is a small enough part of the way round."""
        return self.misclosure * CLOSES_WITHIN <= self.perimeter


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteWall:
    """A wall line in place. ``outward`` is the unit vector away from the house."""

    wall: Wall
    start: Plan
    end: Plan
    outward: Plan
    length: float  # [m]
    ground_start: float  # [m]
    ground_end: float  # [m]
    ground_lowest: float  # [m]
    ground_highest: float  # [m]
    footing_bottom: float  # [m]
    footing_top: float  # [m]
    bends: tuple[tuple[float, float], ...] = ()  # between its ends, how far along and how high the ground turns [m]

    @property
    def name(self) -> str:
        """The wall's name in the job."""
        return self.wall.name

    @property
    def foot(self) -> tuple[tuple[float, float], ...]:
        """The ground at its foot, straight between places: how far along, and the level. [m]"""
        return (0.0, self.ground_start), *self.bends, (self.length, self.ground_end)

    @property
    def footing_ring(self) -> tuple[Plan, ...]:
        """The footing in plan, from the wall's face out, closed; square past its ends by what it stands out."""
        out = self.wall.footing_projection.value
        share = out / self.length if self.length > 0 else 0.0
        east, north = (self.end[0] - self.start[0]) * share, (self.end[1] - self.start[1]) * share
        first, last = (self.start[0] - east, self.start[1] - north), (self.end[0] + east, self.end[1] + north)
        beyond = (self.outward[0] * out, self.outward[1] * out)
        edge = ((last[0] + beyond[0], last[1] + beyond[1]), (first[0] + beyond[0], first[1] + beyond[1]))
        return first, last, *edge, first

    def off_footing(self, at: Plan) -> float:
        """From the footing to a place, in plan; nought over it. [m]"""
        out = self.wall.footing_projection.value
        east, north = at[0] - self.start[0], at[1] - self.start[1]
        aside = east * self.outward[0] + north * self.outward[1]
        way = ((self.end[0] - self.start[0]) / self.length, (self.end[1] - self.start[1]) / self.length)
        along = east * way[0] + north * way[1]
        return math.hypot(max(-out - along, along - self.length - out, 0.0), max(-aside, aside - out, 0.0))

    @property
    def depth(self) -> float:
        """Greatest depth from the ground to the footing's bottom [m]."""
        return self.ground_highest - self.footing_bottom


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteUtility:
    """A buried line in place."""

    utility: Utility
    route: tuple[Plan, ...]
    top: tuple[float, ...]  # level of its top at each place of the route; of an unknown depth the ground's [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteJoined:
    """A line there already that an outlet joins, where its route was told."""

    outlet: str  # the discharge point
    at: Plan  # where that is
    line: JoinedLine
    route: tuple[Plan, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteTree:
    """A tree in place."""

    tree: Tree
    at: Plan
    root_radius: float  # critical root radius by the place's rule [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class SetLevels:
    """How the levels of a shot set agree with the levelled shots that it overlaps."""

    where: str  # path in the job
    name: str
    compared: int  # levelled shots; 0: nothing overlaps
    off: float  # median of set less own [m]
    spread: float  # of the differences, as a standard deviation that outliers do not move [m]
    odd: tuple[tuple[str, float], ...] = ()  # levelled shots that lie alone off the set, and by how much [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class LaidPicture:
    """Where the picture under the plan lies (``job.survey.backdrop.picture`` holds it)."""

    width: int  # [pixels]
    height: int  # [pixels]
    corner: Plan  # of its upper left corner
    pixel: float  # side of a pixel on the ground [m]
    turn: float  # of its upper edge, anticlockwise from east [rad]
    misfit: float  # root mean square of the known places' residuals [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """Everything the later stages need to know of the place."""

    job: Job
    points: Mapping[str, SitePoint]
    traverse: Traverse | None
    level_book: LevelBook | None
    surface: Surface  # Surface.level(east, north) -> level; Surface.supported(east, north) -> bool
    outline: tuple[Plan, ...]  # counter-clockwise, not closed
    walls: tuple[SiteWall, ...]
    floor: float  # top of the lowest floor [m]
    floor_basis: Basis
    water_table: float | None  # seasonal high water [m]
    barrier: float | None  # [m]
    utilities: tuple[SiteUtility, ...]
    trees: tuple[SiteTree, ...]
    boundary: tuple[Plan, ...]
    network: PlanNetwork | None = None  # None: nothing to adjust together
    slips: tuple[Slip, ...] = ()  # likely blunders, the strongest first
    terrain: Terrain | None = None  # filled by ``survey``
    backdrop: LaidPicture | None = None
    shaped: tuple[ShapedStrip, ...] = ()  # filled by ``survey``, in the order of the job
    set_levels: tuple[SetLevels, ...] = ()  # by shot set
    joined: tuple[SiteJoined, ...] = ()  # by discharge point, where the route is given
    notes: tuple[str, ...] = ()  # what the reduction assumed or could not do


__all__ = [
    "BookLine", "Ellipse", "LaidPicture", "LevelBook", "Plan", "PlanNetwork", "PlanObservation", "SetLevels", "Site",
    "SiteJoined", "SitePoint", "SiteTree", "SiteUtility", "SiteWall", "Slip", "Traverse",
]  # fmt: skip
