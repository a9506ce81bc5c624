"""Pipes and inverts of a tree of gravity lines, as one least-cost program.

Each line has two inverts and one yes-or-no for each pipe it may take. A pipe needs a certain fall to carry its flow
at the greatest fill (Manning: fall is length times the square of flow over the flow at grade one), so with the pipe
chosen every condition is linear: a mixed-integer linear program, solved to its optimum by HiGHS.

Where all conditions cannot be kept together none is dropped in silence: each gets a slack whose price says in which
order they give way (``RELAXATION``), and what gave way is handed back with its amount. What the job fixes never
gives way, except where its own figures contradict each other.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

import numpy as np

from drainwright.errors import InputError
from drainwright.hydraulics.openflow import part_full_flow
from drainwright.system.catalogue import nominal_size
from drainwright.system.model import Pipe
from drainwright.system.program import Program
from drainwright.worksheet import quiet

EXCAVATION = 90.0  # proxy cost of digging, carrying off and filling again [1/m³]
DRAIN_WORTH = 150.0  # proxy worth of a footing drain that lies lower, down to its footing [1/m²]
BASIN_DEPTH = 350.0  # proxy cost of a deeper basin and its hole [1/m]
PIPE_COST: Mapping[float, float] = {3.0: 6.0, 4.0: 8.0, 6.0: 17.0, 8.0: 30.0}  # by nominal inches [1/m]
PIPE_COST_OTHER = 4.0  # of any other pipe, for each nominal inch [1/m]

#: What gives way, the first first, with its price for each metre (an inch of pipe size for ``size``).
RELAXATION: Mapping[str, float] = {
    "grade": 1e3,  # below the minimum grade, down to the least grade
    "cover": 3e3,  # less ground above the pipe
    "size": 5e3,  # a smaller pipe below a larger one
    "capacity": 1e4,  # fuller than the greatest fill at the design flow
    "clearance": 3e4,  # a drain less far below the floor
    "bed": 1e5,  # less stone under a drain, down to the pipe on the footing's bottom level
    "flat": 3e5,  # below the least grade, down to level
    "footing": 1e6,  # pipe below the footing's bottom
    "junction": 1e7,  # a line that leaves a node above one that arrives there
    "outlet": 1e7,  # a line that ends below its discharge point (none ends above)
    "uphill": 3e7,  # invert rising with the flow
    "bare": 1e8,  # a pipe that comes out of the ground before its end
}
Relaxable: TypeAlias = Literal[
    "grade",
    "cover",
    "size",
    "capacity",
    "clearance",
    "bed",
    "flat",
    "footing",
    "uphill",
    "junction",
    "outlet",
    "bare",
]
TOLERANCE = 1e-6  # slack below this is rounding [m]


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
    bed: float = 0.0  # stone under the pipe [m]
    invert_upper: float | None = None  # fixed by the job [m]
    invert_lower: float | None = None  # fixed by the job [m]
    grade: float | None = None  # fixed by the job [-]
    ceiling: float | None = None  # highest invert that still drains below the floor [m]
    bottoms: tuple[float | None, ...] = ()  # lowest level of the trench bottom at the stations, by the footings [m]
    breaks: tuple[float, ...] = ()  # distances at which the grade may change: where the footing steps [m]
    deep: tuple[bool, ...] = ()  # stations of a footing drain beside its footing: the lower the better
    opened: float = 0.0  # share of the length where the wall beside it is dug out anyway [-]
    outlet: float | None = None  # invert of the discharge point it ends at [m]
    to_basin: bool = False

    @property
    def length(self) -> float:
        """Length in plan [m]."""
        return self.distances[-1]

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
    cost: float  # of pipes, digging and basin depth, by the proxies; without the price of slacks [-]


@dataclass(slots=True)
class _Grades(Program):
    """The program of the grades, with its slacks by kind and line."""

    slacks: list[tuple[int, Relaxable, str]] = field(default_factory=list)

    def slack(self, kind: Relaxable, line: str, high: float = np.inf) -> int:
        """Add a slack at the price of its kind."""
        index = self.variable(RELAXATION[kind], 0.0, high)
        self.slacks.append((index, kind, line))
        return index


@dataclass(slots=True)
class _Placed:
    """The variables of one line in the program."""

    line: GravityLine
    knots: list[int]  # inverts
    picks: list[int]  # pipes

    @property
    def upper(self) -> int:
        return self.knots[0]

    @property
    def lower(self) -> int:
        return self.knots[-1]

    def invert(self, distance: float) -> dict[int, float]:
        """The invert at a distance, as terms of a row."""
        stretches = list(itertools.pairwise(self.line.knots))
        index = next((i for i, (_, end) in enumerate(stretches) if distance <= end), len(stretches) - 1)
        start, end = stretches[index]
        share = (distance - start) / (end - start)
        return {self.knots[index]: 1.0 - share, self.knots[index + 1]: share}

    def less(self, part: Callable[[Pipe], float]) -> dict[int, float]:
        """Terms that take a length of the chosen pipe away."""
        return {pick: -part(pipe) for pick, pipe in zip(self.picks, self.line.pipes, strict=True)}


def pipe_cost(pipe: Pipe) -> float:
    """Proxy cost of a pipe, laid [1/m]."""
    size = nominal_size(pipe)
    return PIPE_COST.get(size, PIPE_COST_OTHER * size)


def needed_grade(flow: float, pipe: Pipe, fill: float) -> float:
    """Grade at which a pipe carries a flow at a fill, by Manning: (flow over flow at grade one) squared [-]."""
    with quiet():
        unit = float(part_full_flow(fill * pipe.inside, pipe.inside, 1.0, pipe.manning))
    return (flow / unit) ** 2


def _crown(pipe: Pipe) -> float:
    """From the invert to the top of the pipe, or of its sleeve [m]."""
    return pipe.inside + pipe.wall + max(pipe.envelope - pipe.outside, 0.0) / 2.0


def _place(program: _Grades, line: GravityLine, datum: float) -> _Placed:
    """The variables of a line, with the cost of its digging and pipe, and all its own conditions."""
    name, length = line.name, line.length
    volume = line.width * EXCAVATION * (1.0 - line.opened)
    levels = np.array(line.grounds) - datum + line.bed
    dug = volume * float(np.trapezoid(levels, line.distances))
    spans = [b - a for a, b in itertools.pairwise(line.knots)]
    reach = [(a + b) / 2.0 for a, b in itertools.pairwise([0.0, *spans, 0.0])]  # length that each knot stands for
    knots = [program.variable(-volume * part) for part in reach]
    picks = [
        program.variable(pipe_cost(pipe) * length + volume * pipe.wall * length + dug, 0.0, 1.0, whole=True)
        for pipe in line.pipes
    ]
    placed = _Placed(line, knots, picks)
    program.row(dict.fromkeys(picks, 1.0), 1.0, 1.0)
    for fixed, end in ((line.invert_upper, placed.upper), (line.invert_lower, placed.lower)):
        if fixed is not None:
            program.low[end] = program.high[end] = fixed - datum
    _keep_fall(program, placed)
    bare = program.slack("bare", name)
    covering = {program.slack("cover", name, line.cover): 1.0, bare: 1.0}
    for distance, ground, asked in zip(line.distances, line.grounds, line.covered, strict=True):
        down = {knot: -share for knot, share in placed.invert(distance).items()}
        if asked:
            program.row({**down, **placed.less(_crown), **covering}, line.cover - (ground - datum))
        elif distance < length:  # even where a pipe comes out bare it lies on the ground
            program.row({**down, bare: 1.0}, datum - ground)
    if line.ceiling is not None:
        program.row({placed.upper: 1.0, program.slack("clearance", name): -1.0}, most=line.ceiling - datum)
    _keep_footing(program, placed, datum)
    if line.outlet is not None and line.invert_lower is None:
        slack = program.slack("outlet", name)
        program.row({placed.lower: 1.0, slack: 1.0}, line.outlet - datum, line.outlet - datum)
    return placed


def _keep_fall(program: _Grades, placed: _Placed) -> None:
    """Each stretch between knots falls by the grade asked for, and by what its flow needs."""
    line = placed.line
    for index, (start, end) in enumerate(itertools.pairwise(line.knots)):
        length = end - start
        fall = {placed.knots[index]: 1.0, placed.knots[index + 1]: -1.0}
        if line.grade is not None and (line.invert_upper is None or line.invert_lower is None):
            program.row(fall, line.grade * length, line.grade * length)
        elif not line.fixed:
            gap = max(line.minimum_grade - line.least_grade, 0.0) * length
            least = min(line.least_grade, line.minimum_grade) * length
            slacks = {
                program.slack("grade", line.name, gap): 1.0,
                program.slack("flat", line.name, least): 1.0,
                program.slack("uphill", line.name): 1.0,
            }
            program.row({**fall, **slacks}, line.minimum_grade * length)
        else:
            program.row({**fall, program.slack("uphill", line.name): 1.0}, 0.0)
        needed = {
            pick: -length * needed_grade(line.flow, pipe, line.maximum_fill)
            for pick, pipe in zip(placed.picks, line.pipes, strict=True)
        }
        program.row({**fall, **needed, program.slack("capacity", line.name): 1.0}, 0.0)


def _keep_footing(program: _Grades, placed: _Placed, datum: float) -> None:
    """The trench bottom stays out of the footings' bearing wedge; a footing drain lies as low as that allows."""
    line = placed.line
    if all(bottom is None for bottom in line.bottoms):
        return
    slacks = {
        program.slack("bed", line.name, line.bed + max(pipe.wall for pipe in line.pipes)): 1.0,
        program.slack("footing", line.name): 1.0,
    }
    spacing = line.length / max(len(line.distances) - 1, 1)
    for index, bottom in enumerate(line.bottoms):
        if bottom is not None:
            invert = placed.invert(line.distances[index])
            program.row({**invert, **placed.less(lambda pipe: pipe.wall), **slacks}, bottom - datum + line.bed)
            if line.deep and line.deep[index]:
                for knot, share in invert.items():
                    program.cost[knot] += DRAIN_WORTH * spacing * share


def _join(program: _Grades, placed: Sequence[_Placed]) -> None:
    """Lines that meet: the lower one starts no higher than the upper one ends, and with no smaller pipe."""
    for above in placed:
        for below in placed:
            if above.line.lower != below.line.upper:
                continue
            program.row({above.lower: 1.0, below.upper: -1.0, program.slack("junction", below.line.name): 1.0}, 0.0)
            sizes = {pick: nominal_size(pipe) for pick, pipe in zip(below.picks, below.line.pipes, strict=True)}
            for pick, pipe in zip(above.picks, above.line.pipes, strict=True):
                sizes[pick] = -nominal_size(pipe)
            program.row({**sizes, program.slack("size", below.line.name): 1.0}, 0.0)
    arriving = [item for item in placed if item.line.to_basin]
    if arriving:
        lowest = program.variable(-BASIN_DEPTH)
        for item in arriving:
            program.row({item.lower: 1.0, lowest: -1.0}, 0.0)


def grade_lines(lines: Sequence[GravityLine]) -> Grading:
    """Pipes and inverts of least cost for a tree of gravity lines.

    Parameters
    ----------
    lines : sequence of GravityLine
        The lines; they meet where the lower node of one is the upper node of another.

    Returns
    -------
    Grading
        A pipe and two inverts for each line, and the conditions that could not be kept, with amounts.

    Raises
    ------
    InputError
        If a line has no length or no pipe to choose from.

    Notes
    -----
    First all slacks are held at zero; only if that has no solution are they let go, at their prices.
    """
    for line in lines:
        if line.length <= 0.0 or not line.pipes:
            raise InputError(f"line {line.name!r}: expected a length above zero and a pipe to choose from")
    if not lines:
        return Grading(lines={}, relaxed=(), cost=0.0)
    program = _Grades()
    datum = min(min(line.grounds) for line in lines)
    placed = [_place(program, line, datum) for line in lines]
    _join(program, placed)
    slack_places = {index for index, _, _ in program.slacks}
    shut = [0.0 if index in slack_places else high for index, high in enumerate(program.high)]
    values = program.solve(program.low, shut)
    high = shut
    if values is None:
        high = program.high
        values = program.solve(program.low, high)
    if values is None:
        raise RuntimeError("grading: no solution even with every condition relaxed")
    low, high = list(program.low), list(high)
    for item in placed:  # hold the pipes and solve once more: inverts to the last digit of a plain linear program
        for pick in item.picks:
            low[pick] = high[pick] = float(round(values[pick]))
    values = program.solve(low, high) if any(len(item.picks) > 1 for item in placed) else values
    if values is None:
        raise RuntimeError("grading: the chosen pipes have no inverts")
    graded = {item.line.name: _graded(item, values, datum) for item in placed}
    amounts: dict[tuple[Relaxable, str], float] = {}
    for index, kind, name in program.slacks:
        if values[index] > TOLERANCE:
            amounts[kind, name] = amounts.get((kind, name), 0.0) + float(values[index])
    relaxed = tuple(Relaxed(kind=kind, line=name, amount=amount) for (kind, name), amount in amounts.items())
    price = sum(program.cost[index] * values[index] for index in slack_places)
    return Grading(lines=graded, relaxed=relaxed, cost=float(np.dot(program.cost, values) - price))


def _graded(item: _Placed, values: np.ndarray, datum: float) -> GradedLine:
    """A line's answer; ends that the job fixes keep the job's own figure."""
    line = item.line
    inverts = [float(values[knot]) + datum for knot in item.knots]
    if line.invert_upper is not None:
        inverts[0] = line.invert_upper
    if line.invert_lower is not None:
        inverts[-1] = line.invert_lower
    pipe = line.pipes[int(np.argmax(values[item.picks]))]
    return GradedLine(name=line.name, pipe=pipe, knots=line.knots, inverts=tuple(inverts))


__all__ = [
    "BASIN_DEPTH", "DRAIN_WORTH", "EXCAVATION", "PIPE_COST", "RELAXATION", "GradedLine", "Grading", "GravityLine",
    "Relaxable", "Relaxed", "grade_lines", "needed_grade", "pipe_cost",
]  # fmt: skip
