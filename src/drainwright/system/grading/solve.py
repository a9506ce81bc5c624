"""Pipes and inverts of a tree of gravity lines at least cost, with the proof that none is cheaper.

The program (``grading_rows``) is mixed-integer and linear, solved to its optimum by HiGHS. Where all conditions
cannot be kept together none is dropped in silence: each gets a slack whose price says in which order they give way
(``RELAXATION``), and what gave way is handed back with its amount. What the job fixes never gives way, except where
its own figures contradict each other. ``grading_clash`` tells which conditions stand in each other's way. The room to
a dangerous buried line is no matter of price: it is kept wherever a grade keeps it.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from drainwright.errors import InputError
from drainwright.system.grading.costs import BASIN_DEPTH, DRAIN_WORTH, EXCAVATION, gap_to, grading_cost, pipe_cost
from drainwright.system.grading.heads import needed_grade
from drainwright.system.grading.model import (
    RELAXATION,
    GradedLine,
    Grading,
    GravityLine,
    Meeting,
    Near,
    Relaxable,
    Relaxed,
)
from drainwright.system.grading.program import Optimum
from drainwright.system.grading.rows import Grades, Placed, grades_program

TOLERANCE = 2e-5  # slack below this is rounding [m]
NOTHING = 1e-7  # slack below this has not given way at all [m]
SAME = 1e-6  # sums of prices that differ by less are the same [-]


@dataclass(slots=True)
class Laid:
    """The program of some lines, ready to be solved in several ways."""

    lines: Sequence[GravityLine]
    program: Grades
    placed: list[Placed]
    datum: float

    @property
    def shut(self) -> list[float]:
        """Upper bounds with every priced slack shut."""
        slacks = {index for index, _, _ in self.program.slacks}
        return [0.0 if index in slacks else high for index, high in enumerate(self.program.high)]


def laid(lines: Sequence[GravityLine], meetings: Sequence[Meeting]) -> Laid:
    """The program of lines that meet at places.

    Raises
    ------
    InputError
        If a line has no length or no pipe to choose from.
    """
    for line in lines:
        if line.length <= 0.0 or not line.pipes:
            raise InputError(f"line {line.name!r}: expected a length above zero and a pipe to choose from")
    datum = min(min(line.grounds) for line in lines)
    program, placed = grades_program(lines, {item.name: item for item in meetings}, datum)
    return Laid(lines, program, placed, datum)


def grade_lines(lines: Sequence[GravityLine], meetings: Sequence[Meeting] = ()) -> Grading:
    """Pipes and inverts of least cost for a tree of gravity lines.

    Parameters
    ----------
    lines : sequence of GravityLine
        The lines; they meet where the lower node of one is the upper node of another.
    meetings : sequence of Meeting, optional
        What is asked where they meet or end; a place that is not told is a plain junction without a rim.

    Returns
    -------
    Grading
        A pipe and the inverts of each line, the conditions that could not be kept, with amounts, and the proof:
        no grading costs less than ``bound``.

    Raises
    ------
    InputError
        If a line has no length or no pipe to choose from.

    Notes
    -----
    First all slacks are held at zero. Only if that has no solution are they let go: first the least sum of their
    prices is found, whatever the rest costs, then with what must give way held, the least cost. The room to dangerous
    lines is held with all other conditions, or with as little given way as without it; where that has no solution, to
    as many of them as can be: first the room that their uncertain depth asks for, then all of it.
    """
    if not lines:
        return Grading(lines={}, relaxed=(), cost=0.0)
    plan = laid(lines, meetings)
    program, low = plan.program, plan.program.low
    kept = [*program.known, *program.asked]
    high = _closed(plan.shut, kept)
    best = program.solve(low, high)
    if best is None and kept:
        kept = _can_be_kept(plan)
        high = _closed(plan.shut, kept)
        best = program.solve(low, high)
    if best is None:
        high = _let_go(plan, kept)
        best = program.solve(low, high)
    if best is None:
        raise RuntimeError("grading: no solution even with every condition relaxed")
    values = _exactly(plan, best, high)
    graded = {item.line.name: _graded(item, values, plan.datum) for item in plan.placed}
    amounts: dict[tuple[Relaxable, str], float] = {}
    for index, kind, name in program.slacks:
        if values[index] > TOLERANCE:
            amounts[kind, name] = amounts.get((kind, name), 0.0) + float(values[index])
    return Grading(
        lines=graded,
        relaxed=tuple(Relaxed(kind=kind, line=name, amount=amount) for (kind, name), amount in amounts.items()),
        cost=grading_cost(lines, graded, {item.name: item for item in meetings}),
        price=float(sum(program.cost[index] * values[index] for index, _, _ in program.slacks)),
        bound=best.bound + program.constant,
        gap=best.gap,
        near=tuple(_reasoned(plan, item, high) for line in lines for item in _near(line, graded[line.name])),
    )


def _reasoned(plan: Laid, near: Near, high: Sequence[float]) -> Near:
    """Whether a grade keeps the room that is asked, with all the rest as it is kept here, whatever that costs."""
    program = plan.program
    if near.held:
        return near
    shut = _closed(high, program.lacking[near.line, near.other])
    return replace(near, dear=program.solve(program.low, shut, [0.0] * len(program.cost)) is not None)


def _near(line: GravityLine, found: GradedLine) -> list[Near]:
    """The buried lines to which less room is left than asked; where not even the least is, a condition gave way."""
    gaps = [(item, gap_to(item, found)) for item in line.obstacles]
    return [
        Near(line=line.name, other=item.name, gap=gap, wanted=item.gaps[2], held=item.held)
        for item, gap in gaps
        if item.gaps[0] - TOLERANCE < gap < item.gaps[2] - TOLERANCE
    ]


def _closed(high: Sequence[float], kept: Iterable[int]) -> list[float]:
    """Upper bounds with what these gaps lack shut."""
    shut = set(kept)
    return [0.0 if index in shut else bound for index, bound in enumerate(high)]


def _can_be_kept(plan: Laid) -> list[int]:
    """Of the rooms to dangerous lines those that can be kept together, with nothing else given up for them.

    None more can be kept with them. Found by halving, the rooms that uncertain depths ask for first.
    """
    program, prices = plan.program, _prices(plan)
    free = program.solve(program.low, plan.shut, [0.0] * len(program.cost)) is not None
    least = None if free else program.solve(program.low, program.high, prices)
    most = 0.0 if least is None else least.objective * (1.0 + SAME) + min(RELAXATION.values()) * TOLERANCE

    def fits(kept: Sequence[int]) -> bool:
        if free:
            return program.solve(program.low, _closed(plan.shut, kept), [0.0] * len(program.cost)) is not None
        answer = program.solve(program.low, _closed(program.high, kept), prices)
        return answer is not None and answer.objective <= most

    def more(kept: list[int], rest: Sequence[int]) -> list[int]:
        if not rest or fits([*kept, *rest]):
            return [*kept, *rest]
        if len(rest) == 1:
            return kept
        half = len(rest) // 2
        return more(more(kept, rest[:half]), rest[half:])

    return more(more([], program.known), program.asked)


def _prices(plan: Laid) -> list[float]:
    """The prices of what gives way, and nothing else."""
    prices = [0.0] * len(plan.program.cost)
    for index, kind, _ in plan.program.slacks:
        prices[index] = RELAXATION[kind]
    return prices


def _let_go(plan: Laid, kept: Sequence[int]) -> list[float]:
    """Upper bounds with the slacks opened as far as they must be: the least sum of prices, whatever the rest costs."""
    program, prices = plan.program, _prices(plan)
    high = _closed(program.high, kept)
    least = program.solve(program.low, high, prices)
    if least is None:
        raise RuntimeError("grading: no solution even with every condition relaxed")
    held = _exactly(plan, least, high, prices)
    for index, _, _ in program.slacks:
        high[index] = float(held[index]) + TOLERANCE / 4.0 if held[index] > NOTHING else 0.0
    return high


def _exactly(plan: Laid, best: Optimum, high: Sequence[float], cost: Sequence[float] | None = None) -> np.ndarray:
    """The answer with its choices held: inverts to the last digit of a plain linear program."""
    program = plan.program
    low, high = list(program.low), list(high)
    for index, whole in enumerate(program.whole):
        if whole:
            low[index] = high[index] = float(round(best.values[index]))
    answer = program.solve(low, high, cost)
    if answer is None:  # a choice that the solver took as whole was off by its tolerance: so much is rounding
        for index, _, _ in program.slacks:
            high[index] += TOLERANCE
        answer = program.solve(low, high, cost)
    if answer is None:
        raise RuntimeError("grading: the chosen pipes have no inverts")
    return answer.values


def _graded(item: Placed, values: np.ndarray, datum: float) -> GradedLine:
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
    "BASIN_DEPTH", "DRAIN_WORTH", "EXCAVATION", "RELAXATION", "GradedLine", "Grading", "GravityLine", "Laid",
    "Meeting", "Relaxable", "Relaxed", "grade_lines", "laid", "needed_grade", "pipe_cost",
]  # fmt: skip
