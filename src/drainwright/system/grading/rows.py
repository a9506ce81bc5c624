"""The mixed-integer linear program of a tree of gravity lines: variables, costs, conditions with their slacks.

Each line has an invert at each knot and one yes-or-no for each pipe it may take. A pipe needs a certain fall to carry
its flow at the greatest fill (Manning: fall is length times the square of flow over the flow at grade one), so with
the pipe chosen every condition is linear; whether a line passes above or below a buried one is a yes-or-no as well.

Every row of a condition bears two kinds of slack: those at the prices of ``RELAXATION``, by which the design that is
drawn gives way, and one of the condition's own (``reliefs``), shut here, by which conflicts are found.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np

from drainwright.system.catalogue import nominal_size
from drainwright.system.grading.costs import (
    BASIN_BELOW,
    BASIN_DEPTH,
    BASIN_SHORING,
    CLEARANCE_WORTH,
    DEPTHS,
    KNOWN_WORTH,
    cost_stations,
    crown,
    dig_steps,
    pipe_cost,
    stone_cost,
    under,
    worth_weights,
)
from drainwright.system.grading.heads import entry_height, needed_grade
from drainwright.system.grading.model import (
    RELAXATION,
    Condition,
    Demand,
    GravityLine,
    Meeting,
    Obstacle,
    Relaxable,
)
from drainwright.system.grading.program import Program
from drainwright.system.model import Pipe

DEEPEST = 6.0  # no pipe that passes a buried line lies deeper below the ground [m]
AT_PLACES: frozenset[Demand] = frozenset({"junction", "drop", "crown", "size", "freeboard"})
HIGHEST = 1.0  # none lies higher above it, even where it comes out bare [m]


@dataclass(slots=True)
class Grades(Program):
    """The program of the grades, with its slacks by kind and line, and each condition's own."""

    slacks: list[tuple[int, Relaxable, str]] = field(default_factory=list)
    reliefs: dict[Condition, tuple[int, ...]] = field(default_factory=dict)
    limits: dict[Condition, float] = field(default_factory=dict)  # as far as a relief makes sense
    constant: float = 0.0  # of the cost
    known: list[int] = field(default_factory=list)  # what dangerous lines' gaps lack of their uncertain depth
    lacking: dict[tuple[str, str], tuple[int, int]] = field(default_factory=dict)  # both, by line and buried line
    asked: list[int] = field(default_factory=list)  # and of the room asked for beyond that

    def slack(self, kind: Relaxable, line: str, high: float = np.inf) -> int:
        """Add a slack at the price of its kind."""
        index = self.variable(RELAXATION[kind], 0.0, high)
        self.slacks.append((index, kind, line))
        return index

    def relief(self, kind: Demand, name: str, limit: float = np.inf, other: str = "") -> int:
        """Add the own slack of a condition, shut."""
        condition = Condition(kind=kind, name=name, other=other)
        if kind in AT_PLACES and condition in self.reliefs:  # several lines meet there, and it gives way once
            return self.reliefs[condition][0]
        index = self.variable(0.0, 0.0, 0.0)
        self.reliefs[condition] = (*self.reliefs.get(condition, ()), index)
        self.limits[condition] = limit
        return index


@dataclass(slots=True)
class Placed:
    """The variables of one line in the program."""

    line: GravityLine
    knots: list[int]  # inverts
    picks: list[int]  # pipes

    @property
    def upper(self) -> int:
        """The invert at the upper end."""
        return self.knots[0]

    @property
    def lower(self) -> int:
        """The invert at the lower end."""
        return self.knots[-1]

    def invert(self, distance: float, sign: float = 1.0) -> dict[int, float]:
        """The invert at a distance, as terms of a row."""
        stretches = list(itertools.pairwise(self.line.knots))
        index = next((i for i, (_, end) in enumerate(stretches) if distance <= end), len(stretches) - 1)
        start, end = stretches[index]
        share = (distance - start) / (end - start)
        return {self.knots[index]: sign * (1.0 - share), self.knots[index + 1]: sign * share}

    def pick(self, part: Callable[[Pipe], float], sign: float = 1.0) -> dict[int, float]:
        """Terms of a length of the chosen pipe."""
        return {pick: sign * part(pipe) for pick, pipe in zip(self.picks, self.line.pipes, strict=True)}


def _place(program: Grades, line: GravityLine, datum: float) -> Placed:
    """The variables of a line, with its cost and all its own conditions."""
    knots = [program.variable() for _ in line.knots]
    picks = [
        program.variable((pipe_cost(pipe) + stone_cost(line, pipe)) * line.length, 0.0, 1.0, whole=True)
        for pipe in line.pipes
    ]
    placed = Placed(line, knots, picks)
    program.row(dict.fromkeys(picks, 1.0), 1.0, 1.0)
    _dig(program, placed, datum)
    _keep_fixed(program, placed, datum)
    _keep_fall(program, placed)
    _keep_cover(program, placed, datum)
    if line.ceiling is not None:
        slack = program.slack("clearance", line.name)
        own = program.relief("clearance", line.name)
        program.row({placed.upper: 1.0, slack: -1.0, own: -1.0}, most=line.ceiling - datum)
    if line.above is not None:
        slack, own = program.slack("overflow", line.name), program.relief("overflow", line.name)
        program.row({placed.upper: 1.0, slack: 1.0, own: 1.0}, line.above - datum)
    _keep_footing(program, placed, datum)
    if line.outlet is not None and line.invert_lower is None:
        slack = program.slack("outlet", line.name)
        down, up = program.relief("outlet", line.name), program.relief("outlet", line.name)
        level = line.outlet - datum
        program.row({placed.lower: 1.0, slack: 1.0, down: 1.0, up: -1.0}, level, level)
    for obstacle in line.obstacles:
        _keep_clear(program, placed, obstacle, datum)
    return placed


def _dig(program: Grades, placed: Placed, datum: float) -> None:
    """Digging by depth: the first layer's price all the way down, and what each deeper layer costs more.

    A station in the ground has a depth above zero. Only an end that may come out bare has a variable for it, for air
    costs nothing.
    """
    line = placed.line
    steps = dig_steps(line)
    for index, weight in cost_stations(line):
        sunk, level = placed.pick(under, -1.0), placed.invert(line.distances[index])
        ground = line.grounds[index] - datum + line.bed
        first = weight * steps[0][1]
        if line.covered[index] or line.distances[index] < line.length:
            for part, share in (sunk | level).items():
                program.cost[part] -= first * share
            program.constant += first * ground
        else:
            program.row({program.variable(first, 0.0): 1.0, **sunk, **level}, ground)
        top = 0.0
        for (thick, price), (_, next_price) in itertools.pairwise(steps):
            top += thick
            more = program.variable(weight * (next_price - price), 0.0)
            program.row({more: 1.0, **sunk, **level}, ground - top, payer=more)


def _keep_fixed(program: Grades, placed: Placed, datum: float) -> None:
    """What the job fixes, to the digit."""
    line = placed.line
    ends: tuple[tuple[Demand, float | None, int], ...] = (
        ("fixed upper", line.invert_upper, placed.upper),
        ("fixed lower", line.invert_lower, placed.lower),
    )
    for kind, fixed, end in ends:
        if fixed is not None:
            down, up = program.relief(kind, line.name), program.relief(kind, line.name)
            program.row({end: 1.0, down: 1.0, up: -1.0}, fixed - datum, fixed - datum)


def _keep_fall(program: Grades, placed: Placed) -> None:
    """Each stretch between knots falls by the grade asked for, and by what its flow needs."""
    line, name = placed.line, placed.line.name
    asked = {} if line.fixed else {"own": program.relief("grade", name, line.minimum_grade - line.least_grade)}
    steep = None if line.maximum_grade is None else program.relief("steep", name)
    needs = {pipe.key: needed_grade(line.flow, pipe, line.maximum_fill) for pipe in line.pipes}
    physics = program.relief("uphill", name, 0.0)
    full = program.relief("capacity", name, min(needs.values()) * line.length)  # no pipe needs less than none
    for index, (start, end) in enumerate(itertools.pairwise(line.knots)):
        length = end - start
        fall = {placed.knots[index]: 1.0, placed.knots[index + 1]: -1.0}
        rising = program.slack("uphill", name)
        if line.grade is not None and (line.invert_upper is None or line.invert_lower is None):
            flatter, steeper = program.relief("fixed grade", name), program.relief("fixed grade", name)
            program.row({**fall, flatter: length, steeper: -length}, line.grade * length, line.grade * length)
        elif asked:
            gap = max(line.minimum_grade - line.least_grade, 0.0) * length
            least = min(line.least_grade, line.minimum_grade) * length
            slacks = {
                program.slack("grade", name, gap): 1.0,
                program.slack("flat", name, least): 1.0,
                rising: 1.0,
                asked["own"]: length,
            }
            program.row({**fall, **slacks}, line.minimum_grade * length)
        program.row({**fall, rising: 1.0, physics: 1.0}, 0.0)
        if steep is not None and line.maximum_grade is not None:
            most = line.maximum_grade * length
            program.row({**fall, program.slack("steep", name): -1.0, steep: -length}, most=most)
        needed = placed.pick(lambda pipe, length=length: -length * needs[pipe.key])  # type: ignore[misc]
        program.row({**fall, **needed, program.slack("capacity", name): 1.0, full: 1.0}, 0.0)


def _keep_cover(program: Grades, placed: Placed, datum: float) -> None:
    """Ground over the pipe; even where it comes out bare at its end it lies on the ground."""
    line, name = placed.line, placed.line.name
    bare = program.slack("bare", name)
    slack = program.slack("cover", name, line.cover)
    own, ground_own = program.relief("cover", name, line.cover), program.relief("bare", name, 0.0)
    rows = [(i, line.grounds[i] - (line.cover_at(i) if asked else 0.0), asked) for i, asked in enumerate(line.covered)]
    for asked in (True, False):
        limits = [(line.distances[i], level) for i, level, kind in rows if kind is asked]
        if not asked:
            limits = [item for item in limits if item[0] < line.length]
        for distance, level in _lowest(limits, line.knots):
            down = placed.invert(distance, -1.0)
            if asked:
                program.row({**down, **placed.pick(crown, -1.0), slack: 1.0, bare: 1.0, own: 1.0}, datum - level)
            else:
                program.row({**down, bare: 1.0, ground_own: 1.0}, datum - level)


def _lowest(limits: Sequence[tuple[float, float]], knots: Sequence[float]) -> list[tuple[float, float]]:
    """Of upper limits on a line that is straight between knots, those that can bind: the lower hull, exactly."""
    found: list[tuple[float, float]] = []
    for start, end in itertools.pairwise(knots):
        hull: list[tuple[float, float]] = []
        for x, y in (item for item in limits if start - 1e-9 <= item[0] <= end + 1e-9):
            while len(hull) > 1 and (hull[-1][1] - hull[-2][1]) * (x - hull[-2][0]) >= (y - hull[-2][1]) * (
                hull[-1][0] - hull[-2][0]
            ):
                hull.pop()
            hull.append((x, y))
        found += [item for item in hull if item not in found]
    return found


def _keep_footing(program: Grades, placed: Placed, datum: float) -> None:
    """The trench bottom stays out of the footings' bearing wedge; a footing drain lies as low as that allows."""
    line, name = placed.line, placed.line.name
    limits = [(line.distances[i], -level) for i, level in enumerate(line.bottoms) if level is not None]
    if not limits:
        return
    most = line.bed + max(pipe.wall for pipe in line.pipes)
    slacks = {program.slack("bed", name, most): 1.0, program.slack("footing", name): 1.0}
    slacks[program.relief("footing", name, line.bed)] = 1.0
    for distance, level in _lowest(limits, line.knots):
        least = -level - datum + line.bed
        program.row({**placed.invert(distance), **placed.pick(under, -1.0), **slacks}, least)
    for index, worth in enumerate(worth_weights(line)):
        bottom = line.bottoms[index]
        if worth > 0.0 and bottom is not None:
            for knot, share in placed.invert(line.distances[index]).items():
                program.cost[knot] += worth * share
            program.constant += worth * (datum - bottom)


def _keep_clear(program: Grades, placed: Placed, item: Obstacle, datum: float) -> None:
    """Above a buried line or below it: one yes-or-no; gaps smaller than asked have their price."""
    least, known, wanted = item.gaps
    above = program.variable(0.0, 0.0, 1.0, whole=True)
    lacks = program.variable(CLEARANCE_WORTH * (wanted - known), 0.0, 1.0)
    unsure = program.variable(KNOWN_WORTH * (known - least), 0.0, 1.0)
    if item.held:
        program.asked += [lacks] if wanted > known else []
        program.known += [unsure] if known > least else []
    program.lacking[placed.line.name, item.name] = (lacks, unsure)
    paid = {
        lacks: wanted - known,
        unsure: known - least,
        program.slack("utility", placed.line.name): 1.0,
        program.relief("utility", placed.line.name, least, other=item.name): 1.0,
    }
    line = placed.line
    for distance, level in item.places:
        top, ground = level - datum, float(np.interp(distance, line.distances, line.grounds)) - datum
        free = max(top + wanted - ground + DEEPEST, 0.0)
        high = {**placed.invert(distance), **placed.pick(under, -1.0), **paid, above: -free}
        program.row(high, top + wanted - free)
        free = max(ground + HIGHEST - (top - item.diameter - wanted), 0.0)
        low = {**placed.invert(distance, -1.0), **placed.pick(crown, -1.0), **paid, above: free}
        program.row(low, item.diameter + wanted - top)


def _join(program: Grades, placed: Sequence[Placed], meetings: Mapping[str, Meeting]) -> None:
    """Lines that meet: the lower one starts no higher than the upper one ends, and with no smaller pipe."""
    arriving: dict[str, list[Placed]] = {}
    for item in placed:
        arriving.setdefault(item.line.lower, []).append(item)
    for below in placed:
        for above in arriving.get(below.line.upper, ()):
            _meet(program, above, below, meetings.get(below.line.upper))


def _meet(program: Grades, above: Placed, below: Placed, meeting: Meeting | None) -> None:
    name, place = below.line.name, below.line.upper
    step = {above.lower: 1.0, below.upper: -1.0}
    apart = program.slack("junction", name)
    program.row({**step, apart: 1.0, program.relief("junction", place, 0.0): 1.0}, 0.0)
    if meeting is not None and meeting.body:
        if meeting.drop > 0.0:
            slack = program.slack("drop", name, meeting.drop)
            own = program.relief("drop", place, meeting.drop)
            program.row({**step, apart: 1.0, slack: 1.0, own: 1.0}, meeting.drop)
    else:
        tops = {**above.pick(lambda pipe: pipe.inside), **below.pick(lambda pipe: pipe.inside, -1.0)}
        own = program.relief("crown", place)
        program.row({**step, **tops, apart: 1.0, program.slack("crown", name): 1.0, own: 1.0}, 0.0)
    _grow(program, above, below)


def _grow(program: Grades, above: Placed, below: Placed) -> None:
    """No smaller pipe below a larger one: told for each size apart, which is the tighter program."""
    sizes = sorted({nominal_size(pipe) for item in (above, below) for pipe in item.line.pipes})
    own = program.relief("size", below.line.upper, 0.0)
    for smaller, size in itertools.pairwise(sizes):
        terms = {
            pick: sign
            for item, sign in ((below, 1.0), (above, -1.0))
            for pick, pipe in zip(item.picks, item.line.pipes, strict=True)
            if nominal_size(pipe) >= size
        }
        slack = program.slack("size", below.line.name, size - smaller)
        program.row({**terms, slack: 1.0 / (size - smaller), own: 1.0}, 0.0)


def _keep_water(program: Grades, item: Placed, meeting: Meeting | None, datum: float) -> None:
    """The water where it goes into a line stays below the grate."""
    if meeting is not None and meeting.brim is not None:
        slack = program.slack("freeboard", item.line.name)
        own = program.relief("freeboard", meeting.name, meeting.freeboard)
        height = item.pick(lambda pipe: entry_height(item.line, pipe))
        program.row({item.upper: 1.0, **height, slack: -1.0, own: -1.0}, most=meeting.brim - datum)


def _lift(program: Grades, placed: Sequence[Placed], meetings: Mapping[str, Meeting], datum: float) -> None:
    """A basin costs by the depth of its lowest pipe; one of a given height takes none below a level."""
    for name in sorted({item.line.lower for item in placed if item.line.to_basin}):
        meeting = meetings.get(name)
        lowest = program.variable(-BASIN_DEPTH)
        rim = datum if meeting is None or meeting.rim is None else meeting.rim
        program.constant += BASIN_DEPTH * (rim - datum)
        if meeting is not None and meeting.rim is not None:
            over = program.variable(BASIN_SHORING, 0.0)
            program.row({over: 1.0, lowest: 1.0}, rim - datum + BASIN_BELOW - DEPTHS[0])
        own = program.relief("basin", name)
        for item in placed:
            if item.line.lower != name or not item.line.to_basin:
                continue
            program.row({item.lower: 1.0, lowest: -1.0}, 0.0)
            if meeting is not None and meeting.lowest is not None:
                slack = program.slack("basin", item.line.name)
                program.row({item.lower: 1.0, slack: 1.0, own: 1.0}, meeting.lowest - datum)


def grades_program(
    lines: Sequence[GravityLine], meetings: Mapping[str, Meeting], datum: float
) -> tuple[Grades, list[Placed]]:
    """The whole program, levels counted from a datum."""
    program = Grades()
    placed = [_place(program, line, datum) for line in lines]
    _join(program, placed, meetings)
    for item in placed:
        _keep_water(program, item, meetings.get(item.line.upper), datum)
    _lift(program, placed, meetings, datum)
    return program, placed


__all__ = ["Grades", "Placed", "grades_program"]
