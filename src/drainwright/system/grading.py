"""Pipes and inverts of a tree of gravity lines, as one least-cost program.

Each line has two inverts and one yes-or-no for each pipe it may take. A pipe needs a certain fall to carry its flow
at the greatest fill (Manning: fall is length times the square of flow over the flow at grade one), so with the pipe
chosen every condition is linear: a mixed-integer linear program, solved to its optimum by HiGHS.

Where all conditions cannot be kept together none is dropped in silence: each gets a slack whose price says in which
order they give way (``RELAXATION``), and what gave way is handed back with its amount. What the job fixes never
gives way, except where its own figures contradict each other.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Literal, TypeAlias

import numpy as np

from drainwright.errors import InputError
from drainwright.hydraulics.openflow import part_full_flow
from drainwright.system.catalogue import nominal_size
from drainwright.system.model import Pipe
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
    "uphill": 3e6,  # invert rising with the flow
    "junction": 1e7,  # a line that leaves a node above one that arrives there
    "outlet": 1e7,  # a line that ends below its discharge point (none ends above)
}
Relaxable: TypeAlias = Literal[
    "grade", "cover", "size", "capacity", "clearance", "bed", "flat", "footing", "uphill", "junction", "outlet"
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
    invert_upper: float  # [m]
    invert_lower: float  # [m]


@dataclass(frozen=True, slots=True, kw_only=True)
class Grading:
    """The whole tree, graded."""

    lines: Mapping[str, GradedLine]
    relaxed: tuple[Relaxed, ...]
    cost: float  # of pipes, digging and basin depth, by the proxies; without the price of slacks [-]


@dataclass(slots=True)
class _Program:
    """Variables and rows of a mixed-integer linear program while it is put together."""

    cost: list[float] = field(default_factory=list)
    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    whole: list[int] = field(default_factory=list)
    rows: list[dict[int, float]] = field(default_factory=list)
    least: list[float] = field(default_factory=list)
    most: list[float] = field(default_factory=list)
    slacks: list[tuple[int, Relaxable, str]] = field(default_factory=list)

    def variable(self, cost: float = 0.0, low: float = -np.inf, high: float = np.inf, whole: bool = False) -> int:
        self.cost.append(cost)
        self.low.append(low)
        self.high.append(high)
        self.whole.append(int(whole))
        return len(self.cost) - 1

    def slack(self, kind: Relaxable, line: str, high: float = np.inf) -> int:
        index = self.variable(RELAXATION[kind], 0.0, high)
        self.slacks.append((index, kind, line))
        return index

    def row(self, terms: Mapping[int, float], least: float = -np.inf, most: float = np.inf) -> None:
        self.rows.append(dict(terms))
        self.least.append(least)
        self.most.append(most)

    def solve(self, low: Sequence[float], high: Sequence[float]) -> np.ndarray | None:
        """The optimum within these bounds, or None where the program has none."""
        from scipy.optimize import Bounds, LinearConstraint, milp
        from scipy.sparse import coo_array

        entries = [(i, j, value) for i, row in enumerate(self.rows) for j, value in row.items()]
        i, j, value = zip(*entries, strict=True)
        matrix = coo_array((value, (i, j)), shape=(len(self.rows), len(self.cost))).tocsc()
        result = milp(
            np.array(self.cost),
            integrality=np.array(self.whole),
            bounds=Bounds(np.array(low), np.array(high)),
            constraints=LinearConstraint(matrix, np.array(self.least), np.array(self.most)),
            options={"mip_rel_gap": 0.0},
        )
        if result.status == 2:
            return None
        if result.x is None:
            raise RuntimeError(f"grading: the solver stopped without an answer: {result.message}")
        return np.asarray(result.x)


@dataclass(slots=True)
class _Placed:
    """The variables of one line in the program."""

    line: GravityLine
    upper: int
    lower: int
    picks: list[int]


def pipe_cost(pipe: Pipe) -> float:
    """Proxy cost of a pipe, laid [1/m]."""
    size = nominal_size(pipe)
    return PIPE_COST.get(size, PIPE_COST_OTHER * size)


def needed_grade(flow: float, pipe: Pipe, fill: float) -> float:
    """Grade at which a pipe carries a flow at a fill, by Manning: (flow over flow at grade one) squared [-]."""
    with quiet():
        unit = float(part_full_flow(fill * pipe.inside, pipe.inside, 1.0, pipe.manning))
    return (flow / unit) ** 2


def _place(program: _Program, line: GravityLine, datum: float) -> _Placed:
    """The variables of a line, with the cost of its digging and pipe, and all its own conditions."""
    name, length = line.name, line.length
    distances = np.array(line.distances)
    grounds = np.array(line.grounds) - datum
    volume = line.width * EXCAVATION * (1.0 - line.opened)
    mean_share = float(np.trapezoid(distances, distances)) / length  # of the lower end, times length
    dug = volume * float(np.trapezoid(grounds + line.bed, distances))
    upper = program.variable(-volume * (length - mean_share))
    lower = program.variable(-volume * mean_share)
    picks = [
        program.variable(pipe_cost(pipe) * length + volume * pipe.wall * length + dug, 0.0, 1.0, whole=True)
        for pipe in line.pipes
    ]
    program.row(dict.fromkeys(picks, 1.0), 1.0, 1.0)
    for fixed, end in ((line.invert_upper, upper), (line.invert_lower, lower)):
        if fixed is not None:
            program.low[end] = program.high[end] = fixed - datum
    fall = {upper: 1.0, lower: -1.0}
    if line.grade is not None and (line.invert_upper is None or line.invert_lower is None):
        program.row(fall, line.grade * length, line.grade * length)
    elif not line.fixed:
        gap = max(line.minimum_grade - line.least_grade, 0.0) * length
        least = min(line.least_grade, line.minimum_grade) * length
        kept = {
            program.slack("grade", name, gap): 1.0,
            program.slack("flat", name, least): 1.0,
            program.slack("uphill", name): 1.0,
        }
        program.row({**fall, **kept}, line.minimum_grade * length)
    capacity = {
        pick: -length * needed_grade(line.flow, pipe, line.maximum_fill)
        for pick, pipe in zip(picks, line.pipes, strict=True)
    }
    program.row({**fall, program.slack("capacity", name): 1.0, **capacity}, 0.0)
    cover = program.slack("cover", name)
    crown = {
        pick: -(pipe.inside + pipe.wall + max(pipe.envelope - pipe.outside, 0.0) / 2.0)
        for pick, pipe in zip(picks, line.pipes, strict=True)
    }
    for share, ground, asked in zip(distances / length, grounds, line.covered, strict=True):
        if asked or share < 1.0:  # even without cover a pipe does not leave the ground before its end
            ends = {upper: float(share) - 1.0, lower: -float(share)}
            program.row({**ends, **crown, cover: 1.0}, (line.cover if asked else 0.0) - float(ground))
    if line.ceiling is not None:
        program.row({upper: 1.0, program.slack("clearance", name): -1.0}, most=line.ceiling - datum)
    _keep_footing(program, line, datum, upper, lower, picks)
    if line.outlet is not None and line.invert_lower is None:
        program.row({lower: 1.0, program.slack("outlet", name): 1.0}, line.outlet - datum, line.outlet - datum)
    return _Placed(line, upper, lower, picks)


def _keep_footing(
    program: _Program, line: GravityLine, datum: float, upper: int, lower: int, picks: Sequence[int]
) -> None:
    """The trench bottom stays out of the footings' bearing wedge; a footing drain lies as low as that allows."""
    if all(bottom is None for bottom in line.bottoms):
        return
    slacks = {
        program.slack("bed", line.name, line.bed + max(pipe.wall for pipe in line.pipes)): 1.0,
        program.slack("footing", line.name): 1.0,
    }
    walls = {pick: -pipe.wall for pick, pipe in zip(picks, line.pipes, strict=True)}
    spacing = line.length / max(len(line.distances) - 1, 1)
    for index, bottom in enumerate(line.bottoms):
        if bottom is not None:
            share = line.distances[index] / line.length
            program.row({upper: 1.0 - share, lower: share, **walls, **slacks}, bottom - datum + line.bed)
            if line.deep and line.deep[index]:
                program.cost[upper] += DRAIN_WORTH * spacing * (1.0 - share)
                program.cost[lower] += DRAIN_WORTH * spacing * share


def _join(program: _Program, placed: Sequence[_Placed]) -> None:
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
    program = _Program()
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
    graded = {
        item.line.name: GradedLine(
            name=item.line.name,
            pipe=item.line.pipes[int(np.argmax(values[item.picks]))],
            invert_upper=_fixed_or(item.line.invert_upper, values[item.upper] + datum),
            invert_lower=_fixed_or(item.line.invert_lower, values[item.lower] + datum),
        )
        for item in placed
    }
    relaxed = tuple(
        Relaxed(kind=kind, line=line, amount=float(values[index]))
        for index, kind, line in program.slacks
        if values[index] > TOLERANCE
    )
    price = sum(program.cost[index] * values[index] for index in slack_places)
    return Grading(lines=graded, relaxed=relaxed, cost=float(np.dot(program.cost, values) - price))


def _fixed_or(fixed: float | None, found: float) -> float:
    return float(found) if fixed is None else fixed


__all__ = [
    "BASIN_DEPTH", "DRAIN_WORTH", "EXCAVATION", "PIPE_COST", "RELAXATION", "GradedLine", "Grading", "GravityLine",
    "Relaxable", "Relaxed", "grade_lines", "needed_grade", "pipe_cost",
]  # fmt: skip
