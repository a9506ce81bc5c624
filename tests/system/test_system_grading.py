"""The grading: every condition worked out again by other code, and the optimum against brute force."""

from __future__ import annotations

import itertools
import math
import random
from functools import cache

import numpy as np
import pytest
from scipy.optimize import linprog

from drainwright.errors import InputError
from drainwright.system.catalogue import PIPES, nominal_size
from drainwright.system.grading.solve import (
    BASIN_DEPTH,
    EXCAVATION,
    Grading,
    GravityLine,
    grade_lines,
    needed_grade,
    pipe_cost,
)
from drainwright.system.model import Pipe

SOLID = tuple(PIPES[f"d3034 {size} in"] for size in (4, 6, 8))
DRILLED = tuple(PIPES[f"d2729 {size} in perforated"] for size in (4, 6))


def line(name: str, upper: str, lower: str, **changes: object) -> GravityLine:
    figures: dict[str, object] = {
        "name": name,
        "upper": upper,
        "lower": lower,
        "distances": (0.0, 5.0, 10.0),
        "grounds": (10.0, 9.9, 9.8),
        "covered": (True, True, True),
        "flow": 0.002,
        "pipes": SOLID,
        "minimum_grade": 0.01,
        "least_grade": 0.005,
        "maximum_fill": 0.8,
        "cover": 0.2,
        "width": 0.6,
    }
    return GravityLine(**(figures | changes))  # type: ignore[arg-type]


def manning(depth_share: float, diameter: float, slope: float, roughness: float) -> float:
    """Part-full flow written here once more, independent of the package."""
    angle = 2.0 * math.acos(1.0 - 2.0 * depth_share)
    area = diameter**2 / 8.0 * (angle - math.sin(angle))
    return area * (area / (diameter * angle / 2.0)) ** (2.0 / 3.0) * math.sqrt(slope) / roughness


def random_tree(seed: int) -> list[GravityLine]:
    """A tree of 2 to 7 lines that ends in a basin, on ground that falls a little towards it."""
    rng = random.Random(seed)
    lines: list[GravityLine] = []
    nodes = ["SUMP"]
    heights = {"SUMP": 10.0}
    for number in range(rng.randint(2, 7)):
        lower = rng.choice(nodes)
        upper = f"N{number}"
        length = rng.uniform(3.0, 25.0)
        nodes.append(upper)
        heights[upper] = heights[lower] + rng.uniform(-0.05, 0.4)
        stations = tuple(np.linspace(0.0, length, 5).tolist())
        grounds = np.linspace(heights[upper], heights[lower], 5)
        grounds[1:-1] += [rng.uniform(-0.2, 0.2) for _ in range(3)]
        drain = rng.random() < 0.3
        lines.append(
            line(
                f"R{number}",
                upper,
                lower,
                distances=stations,
                grounds=tuple(grounds.tolist()),
                covered=(True,) * 5,
                flow=rng.uniform(0.0, 0.012),
                pipes=DRILLED if drain else SOLID,
                ceiling=heights[upper] - 0.5 if drain else None,
                bottoms=(7.0,) * 5 if drain else (),
                bed=0.05 if drain else 0.0,
                to_basin=lower == "SUMP",
            )
        )
    return lines[::-1]


@cache
def graded(seed: int) -> Grading:
    return grade_lines(random_tree(seed))


@pytest.mark.parametrize("seed", range(50))
def test_every_condition_is_kept_on_random_trees(seed: int) -> None:
    lines = random_tree(seed)
    grading = graded(seed)
    slack = 1e-5
    told = {(item.kind, item.line) for item in grading.relaxed}
    for item in lines:
        found = grading.lines[item.name]
        fall = found.invert_upper - found.invert_lower
        if not told & {(kind, item.name) for kind in ("grade", "flat", "uphill")}:
            assert fall >= item.minimum_grade * item.length - slack
        if ("capacity", item.name) not in told:
            carried = manning(item.maximum_fill, found.pipe.inside, fall / item.length, found.pipe.manning)
            assert carried >= item.flow * (1.0 - 1e-4)
        for distance, ground in zip(item.distances, item.grounds, strict=True):
            invert = found.invert_upper - fall * distance / item.length
            if ("cover", item.name) not in told:
                crown = invert + (found.pipe.inside + found.pipe.outside) / 2.0
                assert ground - crown >= item.cover - slack
            if item.bottoms and not told & {("bed", item.name), ("footing", item.name)}:
                assert invert - (found.pipe.outside - found.pipe.inside) / 2.0 - item.bed >= 7.0 - slack
        if item.ceiling is not None and ("clearance", item.name) not in told:
            assert found.invert_upper <= item.ceiling + slack
        for below in lines:
            if below.upper == item.lower:
                onward = grading.lines[below.name]
                if ("junction", below.name) not in told:
                    assert onward.invert_upper <= found.invert_lower + slack
                if ("size", below.name) not in told:
                    assert nominal_size(onward.pipe) >= nominal_size(found.pipe)


def test_the_random_trees_are_mostly_free_of_conflict_and_not_all_one_pipe() -> None:
    """Guards the test above: it must not pass because everything was relaxed."""
    gradings = [graded(seed) for seed in range(50)]
    assert sum(not grading.relaxed for grading in gradings) >= 40
    assert len({found.pipe.key for grading in gradings for found in grading.lines.values()}) >= 4


def brute(lines: list[GravityLine]) -> float:
    """Least cost over every choice of pipes, inverts by a linear program written here by hand."""
    best = math.inf
    for pipes in itertools.product(*(item.pipes for item in lines)):
        count = len(lines)
        cost = np.zeros(2 * count + 1)
        rows, limits = [], []
        fixed = 0.0
        for i, (item, pipe) in enumerate(zip(lines, pipes, strict=True)):
            length, volume = item.length, item.width * EXCAVATION
            cost[2 * i] -= volume * length / 2.0
            cost[2 * i + 1] -= volume * length / 2.0
            fixed += pipe_cost(pipe) * length + volume * (
                pipe.wall * length + np.trapezoid(item.grounds, item.distances)
            )
            grade = max(item.minimum_grade, needed_grade(item.flow, pipe, item.maximum_fill))
            rows.append({2 * i: -1.0, 2 * i + 1: 1.0})
            limits.append(-grade * length)
            for distance, ground in zip(item.distances, item.grounds, strict=True):
                share = distance / length
                rows.append({2 * i: 1.0 - share, 2 * i + 1: share})
                limits.append(ground - item.cover - pipe.inside - pipe.wall)
            for j, below in enumerate(lines):
                if below.upper == item.lower:
                    if nominal_size(pipes[j]) < nominal_size(pipe):
                        limits.append(-1.0)
                        rows.append({})  # 0 <= -1: this choice is not allowed
                    rows.append({2 * j: 1.0, 2 * i + 1: -1.0})
                    limits.append(min(0.0, pipe.inside - pipes[j].inside))  # tops of larger pipes no higher
            if item.to_basin:
                rows.append({2 * count: 1.0, 2 * i + 1: -1.0})
                limits.append(0.0)
        if any(item.to_basin for item in lines):
            cost[2 * count] = -BASIN_DEPTH
        matrix = np.zeros((len(rows), 2 * count + 1))
        for r, row in enumerate(rows):
            for column, value in row.items():
                matrix[r, column] = value
        answer = linprog(cost, A_ub=matrix, b_ub=limits, bounds=[(None, None)] * (2 * count + 1), method="highs-ds")
        if answer.status == 0:
            best = min(best, answer.fun + fixed)
    return best


def datum_cost(lines: list[GravityLine]) -> float:
    """The grading counts levels from the lowest ground; this is what that takes off the basin's depth."""
    return BASIN_DEPTH * min(min(item.grounds) for item in lines)


@pytest.mark.parametrize("flows", [(0.001, 0.001, 0.002), (0.008, 0.001, 0.012), (0.001, 0.015, 0.02)])
def test_the_optimum_is_that_of_brute_force(flows: tuple[float, float, float]) -> None:
    lines = [
        line("A", "N1", "J", flow=flows[0], grounds=(10.3, 10.1, 10.0)),
        line("B", "N2", "J", flow=flows[1], grounds=(10.1, 10.2, 10.0), distances=(0.0, 9.0, 18.0)),
        line("C", "J", "SUMP", flow=flows[2], grounds=(10.0, 10.1, 9.9), to_basin=True),
    ]
    grading = grade_lines(lines)
    assert not grading.relaxed
    assert grading.cost == pytest.approx(brute(lines) + datum_cost(lines), rel=1e-7)


def test_what_the_job_fixes_stays_to_the_digit() -> None:
    fixed = line("A", "N1", "SUMP", invert_upper=9.5, invert_lower=9.45, pipes=(SOLID[1],))
    found = grade_lines([fixed]).lines["A"]
    assert (found.invert_upper, found.invert_lower, found.pipe) == (9.5, 9.45, SOLID[1])


def test_a_fixed_grade_is_kept() -> None:
    found = grade_lines([line("A", "N1", "SUMP", grade=0.03)]).lines["A"]
    assert found.grades == pytest.approx((0.03,))


def test_relaxes_the_grade_before_cover_and_cover_before_the_footing() -> None:
    """Fall for 0.8 % only between ceiling and footing: the grade gives way, nothing else."""
    pipe = DRILLED[0]
    drain = line(
        "FD", "N1", "SUMP", pipes=(pipe,), flow=0.0, bed=0.05, ceiling=8.0 + 0.05 + pipe.wall + 0.08,
        bottoms=(8.0, 8.0, 8.0), deep=(True, True, True),
    )  # fmt: skip
    grading = grade_lines([drain])
    assert {item.kind for item in grading.relaxed} == {"grade"}
    assert grading.lines["FD"].grades == pytest.approx((0.008,), abs=1e-6)  # what gave way may give 5e-6 m more
    assert grading.relaxed[0].amount == pytest.approx(0.02, abs=1e-5)


def test_an_outlet_above_the_water_is_a_conflict_and_no_error() -> None:
    grading = grade_lines([line("A", "N1", "OUT", outlet=11.0, pipes=(SOLID[0],))])
    assert {item.kind for item in grading.relaxed} & {"outlet", "cover", "uphill"}


def test_a_drain_lies_as_low_as_its_footing_allows_and_breaks_where_that_steps() -> None:
    pipe = DRILLED[0]
    drain = line(
        "FD", "N1", "J", pipes=(pipe,), flow=0.0, bed=0.05, grounds=(12.0, 12.0, 12.0), breaks=(5.0,),
        bottoms=(9.0, 9.0, 8.0), deep=(True, True, True),
    )  # fmt: skip
    found = grade_lines([drain]).lines["FD"]
    assert found.knots == (0.0, 5.0, 10.0)
    assert found.inverts[1] == pytest.approx(9.05 + pipe.wall)
    assert found.inverts[2] == pytest.approx(8.05 + pipe.wall)


@pytest.mark.parametrize("share", [1.0, 1.7, 2.5, 4.0])
def test_more_flow_never_takes_a_smaller_pipe(share: float) -> None:
    small = grade_lines([line("A", "N1", "SUMP", flow=0.004)]).lines["A"].pipe
    assert nominal_size(grade_lines([line("A", "N1", "SUMP", flow=0.004 * share)]).lines["A"].pipe) >= nominal_size(
        small
    )


def test_refuses_a_line_without_length() -> None:
    with pytest.raises(InputError, match="length above zero"):
        grade_lines([line("A", "N1", "SUMP", distances=(0.0,), grounds=(1.0,), covered=(True,))])


def test_the_same_job_gives_the_same_digits() -> None:
    assert grade_lines(random_tree(7)) == grade_lines(random_tree(7))


@pytest.mark.parametrize("pipe", SOLID + DRILLED, ids=lambda pipe: pipe.key)
def test_needed_grade_carries_the_flow_exactly(pipe: Pipe) -> None:
    """At the grade found, Manning's part-full flow written here gives the flow back."""
    grade = needed_grade(0.004, pipe, 0.8)
    assert manning(0.8, pipe.inside, grade, pipe.manning) == pytest.approx(0.004, rel=1e-9)
