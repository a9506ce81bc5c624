"""The program's own tightening and waiting rows against the plain solver, and what it settles by hand."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from drainwright.system.grading.program import Program
from drainwright.system.grading.reach import reached


def random_program(seed: int) -> tuple[Program, list[tuple[dict[int, float], float, float]]]:
    """Levels that fall along a chain, yes-or-nos that let rows go by a large number, prices for what lies deep."""
    rng = np.random.default_rng(seed)
    program = Program()
    rows: list[tuple[dict[int, float], float, float]] = []
    levels = [program.variable(-float(rng.uniform(0.5, 2.0)), -20.0) for _ in range(6)]

    def add(terms: dict[int, float], least: float = -math.inf, most: float = math.inf) -> None:
        rows.append((terms, least, most))
        program.row(terms, least, most)

    add({levels[0]: 1.0}, most=float(rng.uniform(-1.0, 1.0)))
    for above, below in itertools.pairwise(levels):
        pipes = [program.variable(float(rng.uniform(1.0, 6.0)), 0.0, 1.0, whole=True) for _ in range(3)]
        add(dict.fromkeys(pipes, 1.0), 1.0, 1.0)
        falls = {pipe: -float(rng.uniform(0.1, 1.0)) for pipe in pipes}
        add({above: 1.0, below: -1.0, **falls}, 0.0)
    for level in levels[1:]:
        over = program.variable(0.0, 0.0, 1.0, whole=True)
        at = float(rng.uniform(-4.0, 0.0))
        add({level: 1.0, over: -30.0}, at - 30.0)
        add({level: -1.0, over: 30.0}, 0.4 - at)
        if rng.random() < 0.5:
            add({level: 1.0}, at - 0.3)  # so that some have no answer
        deep = program.variable(float(rng.uniform(0.5, 2.0)), 0.0)
        rows.append(({deep: 1.0, level: 1.0}, -2.0, math.inf))
        program.row({deep: 1.0, level: 1.0}, -2.0, payer=deep)
    return program, rows


def plainly(program: Program, rows: list[tuple[dict[int, float], float, float]]) -> float:
    matrix = np.zeros((len(rows), len(program.cost)))
    for r, (terms, _, _) in enumerate(rows):
        for column, value in terms.items():
            matrix[r, column] = value
    answer = milp(
        program.cost, integrality=program.whole, bounds=Bounds(program.low, program.high),
        constraints=LinearConstraint(matrix, [row[1] for row in rows], [row[2] for row in rows]),
        options={"mip_rel_gap": 0.0},
    )  # fmt: skip
    assert answer.status in (0, 2)
    return float(answer.fun) if answer.status == 0 else math.inf


def test_the_optimum_is_that_of_the_plain_solver() -> None:
    without = woken = slept = 0
    for seed in range(60):
        program, rows = random_program(seed)
        least = plainly(program, rows)
        waiting = len(program.asleep)
        found = program.solve(program.low, program.high)
        if found is None:
            assert math.isinf(least), seed
            without += 1
            continue
        assert found.objective == pytest.approx(least, abs=1e-6), seed
        assert found.bound == pytest.approx(least, abs=1e-6), seed
        for terms, at_least, most in rows:
            total = sum(value * found.values[column] for column, value in terms.items())
            assert at_least - 2e-6 <= total <= most + 2e-6
        woken += waiting - len(program.asleep)
        slept += len(program.asleep)
    assert 5 <= without <= 40
    assert woken > 10
    assert slept > 10


def settled(low: float, high: float) -> tuple[float, float, csr_array, float] | None:
    """Above 2 or below 1, by the number 10, of a level within bounds: what is left of the choice and the row."""
    matrix = csr_array(np.array([[1.0, -10.0], [-1.0, 10.0]]))
    found = reached(
        matrix, np.array([-8.0, -1.0]), np.array([np.inf, np.inf]), np.array([low, 0.0]), np.array([high, 1.0]),
        np.array([False, True]),
    )  # fmt: skip
    return None if found is None else (found.low[1], found.high[1], found.matrix, found.least[0])


def test_only_one_way_past_is_settled_and_none_has_no_answer() -> None:
    both = settled(0.0, 3.0)
    assert both is not None
    assert both[:2] == (0.0, 1.0)
    below = settled(0.0, 1.9)
    assert below is not None
    assert below[:2] == (0.0, 0.0)
    above = settled(1.1, 3.0)
    assert above is not None
    assert above[:2] == (1.0, 1.0)
    assert settled(1.1, 1.9) is None


def test_a_row_lets_go_by_no_more_than_is_in_reach() -> None:
    both = settled(0.0, 3.0)
    assert both is not None
    rows = both[2].toarray()
    assert rows[0, 1] == pytest.approx(-2.0, abs=1e-5)  # level - 2 over >= 0
    assert both[3] == pytest.approx(0.0, abs=1e-5)
    assert rows[1, 1] == pytest.approx(2.0, abs=1e-5)  # 2 over - level >= -1


def test_a_row_whose_payer_costs_nothing_never_wakes() -> None:
    program, _ = next(item for item in map(random_program, range(60)) if not math.isinf(plainly(*item)))
    before = dict(program.asleep)
    assert program.solve(program.low, program.high, [0.0] * len(program.cost)) is not None
    assert program.asleep == before
