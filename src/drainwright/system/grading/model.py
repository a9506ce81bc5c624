"""What the grading is asked, and what it answers: lines, places, buried lines in the way, conditions, conflicts."""

from __future__ import annotations

import itertools
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, TypeAlias

from drainwright.system.model import Pipe

Relaxable: TypeAlias = Literal[
    "drop",
    "crown",
    "grade",
    "overflow",
    "cover",
    "size",
    "capacity",
    "freeboard",
    "clearance",
    "basin",
    "bed",
    "flat",
    "steep",
    "footing",
    "utility",
    "junction",
    "outlet",
    "uphill",
    "bare",
]

#: What gives way, the first first, with its price for each metre (an inch of pipe size for ``size``).
RELAXATION: Mapping[Relaxable, float] = {
    "drop": 8e2,  # less fall through a catch basin's body, down to none
    "grade": 1e3,  # below the minimum grade, down to the least grade
    "crown": 2e3,  # the top of a larger pipe above that of a smaller one that drains into it
    "overflow": 2.5e3,  # an overflow that leaves its place below the top of the line that leaves it first
    "cover": 3e3,  # less ground above the pipe
    "size": 5e3,  # a smaller pipe below a larger one
    "capacity": 1e4,  # fuller than the greatest fill at the design flow
    "freeboard": 2e4,  # water nearer to a grate than asked
    "clearance": 3e4,  # a drain less far below the floor
    "steep": 5e4,  # steeper than the greatest grade
    "basin": 8e4,  # a pipe lower than a basin of the given height takes
    "bed": 1e5,  # less stone under a drain, down to the pipe on the footing's bottom level
    "utility": 2e5,  # into a buried line, or nearer to it than may be
    "flat": 3e5,  # below the least grade, down to level
    "footing": 1e6,  # pipe below the footing's bottom
    "junction": 1e7,  # a line that leaves a node above one that arrives there
    "outlet": 1e7,  # a line that ends below its discharge point (none ends above)
    "uphill": 3e7,  # invert rising with the flow
    "bare": 1e8,  # a pipe that comes out of the ground before its end
}

Demand: TypeAlias = Literal[
    "drop",
    "grade",
    "crown",
    "overflow",
    "cover",
    "size",
    "capacity",
    "freeboard",
    "clearance",
    "steep",
    "basin",
    "footing",
    "utility",
    "junction",
    "outlet",
    "uphill",
    "bare",
    "fixed upper",
    "fixed lower",
    "fixed grade",
]  # what a condition asks; ``bed`` and ``footing`` are one, ``flat`` is below ``grade``
FIXED_PRICE = 5e6  # of an invert or grade that the job fixes, to rank it among reliefs; it never gives way unasked


@dataclass(frozen=True, slots=True, kw_only=True)
class Obstacle:
    """A buried line that crosses a gravity line, or runs beside it, above or below which it has to pass."""

    name: str
    diameter: float  # [m]
    places: tuple[tuple[float, float], ...]  # distance along the line, level of the buried line's top there [m]
    least: float  # gap that must be, outside to outside, up or down [m]
    known: float = 0.0  # gap that its uncertain depth asks for; a smaller one has its price [m]
    wanted: float = 0.0  # gap that is asked for; a smaller one has a small price [m]
    held: bool = False  # a dangerous line: no price buys a smaller gap, wherever a grade keeps the one asked for

    @property
    def gaps(self) -> tuple[float, float, float]:
        """The least, the known and the wanted gap, each no smaller than the one before [m]."""
        known = max(self.known, self.least)
        return self.least, known, max(self.wanted, known)


@dataclass(frozen=True, slots=True, kw_only=True)
class Meeting:
    """A place where lines meet, as the grading needs it; a place that is not told is a plain junction."""

    name: str
    body: bool = False  # a catch basin: pipes fall by ``drop`` through it; else crowns are matched
    drop: float = 0.0  # [m]
    brim: float | None = None  # the water at the design flow stays below this: rim less freeboard [m]
    freeboard: float = 0.0  # that was taken off the rim [m]
    basin: bool = False  # the lines that arrive end here, and the pump lifts
    rim: float | None = None  # of a basin, from which its depth is counted [m]
    lowest: float | None = None  # lowest invert that a basin of a given height takes [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class GravityLine:
    """A gravity line to be sized and graded."""

    name: str
    upper: str  # node
    lower: str  # node
    distances: tuple[float, ...]  # of the stations from the upper end, the first 0, the last the length [m]
    grounds: tuple[float, ...]  # at the stations [m]
    covered: tuple[bool, ...]  # stations at which cover is asked for
    flow: float  # design flow [m³/s]
    pipes: tuple[Pipe, ...]  # to choose from
    minimum_grade: float  # [-]
    least_grade: float  # [-]
    maximum_fill: float  # depth over diameter at the design flow [-]
    cover: float  # [m]
    width: float  # of the trench [m]
    covers: tuple[float, ...] = ()  # cover at each station, where it differs; ``cover`` is then the greatest [m]
    bed: float = 0.0  # stone under the pipe [m]
    maximum_grade: float | None = None  # [-]
    invert_upper: float | None = None  # fixed by the job [m]
    invert_lower: float | None = None  # fixed by the job [m]
    grade: float | None = None  # fixed by the job [-]
    ceiling: float | None = None  # highest invert that still drains below the floor [m]
    above: float | None = None  # of an overflow, lowest invert at which it leaves its place [m]
    bottoms: tuple[float | None, ...] = ()  # lowest level of the trench bottom at the stations, by the footings [m]
    breaks: tuple[float, ...] = ()  # distances at which the grade may change: where the footing steps [m]
    deep: tuple[bool, ...] = ()  # stations of a footing drain beside its footing: the lower the better
    opened: float = 0.0  # share of the length where the wall beside it is dug out anyway [-]
    outlet: float | None = None  # invert of the discharge point it ends at [m]
    to_basin: bool = False
    soil: Literal["loose", "firm", "clay"] = "firm"
    care: tuple[float, ...] = ()  # digging times this between stations: tolerance zones, roots; empty: 1 [-]
    hand: float = 0.0  # length dug by hand in tolerance and root zones [m]
    stone_over: float = 0.0  # stone above the crown; with ``bed`` it is stone all round [m]
    obstacles: tuple[Obstacle, ...] = ()
    entry: float = 0.0  # loss on entering it, and velocity head where its water starts still [velocity heads]

    @property
    def length(self) -> float:
        """Length in plan [m]."""
        return self.distances[-1]

    def cover_at(self, index: int) -> float:
        """Cover asked for at a station; a relief takes off all along [m]."""
        return self.cover if not self.covers else min(self.covers[index], self.cover)

    @property
    def fixed(self) -> bool:
        """Whether the job fixes the fall."""
        return self.grade is not None or (self.invert_upper is not None and self.invert_lower is not None)

    @property
    def knots(self) -> tuple[float, ...]:
        """Distances of the ends and of the places where the grade may change [m]."""
        return (0.0, *(() if self.fixed else self.breaks), self.length)


@dataclass(frozen=True, slots=True, kw_only=True)
class Relaxed:
    """A condition that could not be kept with the others."""

    kind: Relaxable
    line: str
    amount: float  # missing [m]; for ``size`` [in]


@dataclass(frozen=True, slots=True, kw_only=True)
class Near:
    """A buried line to which less room was left than asked: more would cost more than it is worth, or there is none.

    Where it is not ``dear``, no grade keeps what is asked beside all the other conditions: that was proven.
    """

    line: str
    other: str
    gap: float  # outside to outside, up or down [m]
    wanted: float  # likewise [m]
    held: bool = False
    dear: bool = False  # a grade keeps it, and costs more than the room is held worth


@dataclass(frozen=True, slots=True, kw_only=True)
class GradedLine:
    """The pipe and inverts found for a line."""

    name: str
    pipe: Pipe
    knots: tuple[float, ...]  # distances of the ends and of the breaks of grade [m]
    inverts: tuple[float, ...]  # there [m]

    @property
    def invert_upper(self) -> float:
        """Invert at the upper end [m]."""
        return self.inverts[0]

    @property
    def invert_lower(self) -> float:
        """Invert at the lower end [m]."""
        return self.inverts[-1]

    @property
    def grades(self) -> tuple[float, ...]:
        """Fall over length of each stretch between knots [-]."""
        falls = (high - low for high, low in itertools.pairwise(self.inverts))
        return tuple(fall / (b - a) for fall, (a, b) in zip(falls, itertools.pairwise(self.knots), strict=True))


@dataclass(frozen=True, slots=True, kw_only=True)
class Grading:
    """The whole tree, graded."""

    lines: Mapping[str, GradedLine]
    relaxed: tuple[Relaxed, ...]
    cost: float  # of pipes, stone, digging, basin depth and worths, by the proxies; without the price of slacks [-]
    price: float = 0.0  # of what gave way [-]
    bound: float = 0.0  # no grading of these lines is cheaper than this, cost and price together: proven [-]
    gap: float = 0.0  # of the solver between answer and bound, relative [-]
    near: tuple[Near, ...] = ()  # buried lines to which room was given up, for its price or because no grade keeps it


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Condition:
    """What is asked at one line or place."""

    kind: Demand
    name: str  # of the line, or of the place where lines meet
    other: str = ""  # the buried line


@dataclass(frozen=True, slots=True, kw_only=True)
class Relief:
    """The least by which one condition alone would have to give way for all the others to be kept."""

    condition: Condition
    amount: float | None  # [m]; of a grade [-]; of a capacity, fall [m]; None where it cannot help alone
    price: float  # by which reliefs are ranked; infinite where it cannot help [-]
    lower: bool = False  # of a fixed level, outlet or grade: it goes down, or flatter


@dataclass(frozen=True, slots=True, kw_only=True)
class Clash:
    """Conditions that cannot be kept together; without any one of them the others can."""

    members: tuple[Condition, ...]
    reliefs: tuple[Relief, ...]  # the cheapest first; those that cannot help alone last
    others: tuple[Relief, ...] = ()  # what the drawn design gives up for other conflicts: the reliefs count on it
    counted: tuple[Relief, ...] = ()  # members that count only as far as the drawn design keeps them
    words: str = ""  # what clashes
    remedies: tuple[str, ...] = ()  # in words, one for each relief


__all__ = [
    "FIXED_PRICE", "RELAXATION", "Clash", "Condition", "Demand", "GradedLine", "Grading", "GravityLine", "Meeting",
    "Near", "Obstacle", "Relaxable", "Relaxed", "Relief",
]  # fmt: skip
