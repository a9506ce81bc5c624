"""The level book as one network: against general solvers, against sharing by hand, and the standard errors."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from field_yard import document
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import least_squares

from drainwright.errors import InputError
from drainwright.field import survey
from drainwright.field.level_network import ASSUMED_SIGHT, SHORTEST, RodReading, adjust_levels, sight_error
from drainwright.field.levels import DECENT, ROD_ACCURACY, reduce_book
from drainwright.job.model import Job
from drainwright.job.survey import LevelRow

BM = {"BM": 30.0}


def row(point: str, **sights: float) -> LevelRow:
    words = {"b": "backsight", "i": "intermediate", "f": "foresight", "d": "distance"}
    return LevelRow.model_validate({"point": point} | {words[key]: f"{value!r} m" for key, value in sights.items()})


def strewn(seed: int) -> tuple[list[RodReading], dict[str, float]]:
    """A tangle of set-ups, points read from several of them, two benchmarks, readings of unlike weight."""
    dice = np.random.default_rng(seed)
    levels = {f"P{n}": float(level) for n, level in enumerate(dice.uniform(98.0, 102.0, 12))}
    heights = dice.uniform(101.0, 104.0, int(dice.integers(2, 7)))
    readings = []
    for stand, height in enumerate(heights):
        seen = {"P0", *(f"P{n}" for n in dice.choice(np.arange(1, 12), int(dice.integers(2, 8)), replace=False))}
        for name in sorted(seen):
            error = float(dice.uniform(0.001, 0.004))
            value = float(height) - levels[name] + error * float(dice.normal())
            readings.append(RodReading(row=len(readings), column="intermediate", set_up=stand, point=name,
                                       value=value, error=error))  # fmt: skip
    return readings, {"P0": levels["P0"], "P1": levels["P1"] + 0.002}


def full(readings: list[RodReading], fixed: dict[str, float]) -> tuple[list[str], np.ndarray, np.ndarray]:
    """The whole weighted problem, every point an unknown: names, matrix, right side."""
    names = sorted({one.point for one in readings} - set(fixed))
    stands = 1 + max(one.set_up for one in readings)
    matrix, right = np.zeros((len(readings), stands + len(names))), np.zeros(len(readings))
    for n, one in enumerate(readings):
        matrix[n, one.set_up] = 1.0 / one.error
        if one.point in fixed:
            right[n] = (one.value + fixed[one.point]) / one.error
        else:
            matrix[n, stands + names.index(one.point)] = -1.0 / one.error
            right[n] = one.value / one.error
    return names, matrix, right


@pytest.mark.parametrize("seed", range(12))
def test_the_network_agrees_with_general_solvers(seed: int) -> None:
    readings, fixed = strewn(seed)
    fit = adjust_levels(readings, fixed)
    names, matrix, right = full(readings, fixed)
    stands = matrix.shape[1] - len(names)
    plain = np.linalg.lstsq(matrix, right, rcond=None)[0]
    solved = least_squares(lambda x: matrix @ x - right, np.full(matrix.shape[1], 100.0), jac=lambda _: matrix,
                           xtol=1e-15, ftol=1e-15, gtol=1e-15).x  # fmt: skip
    spread = np.sqrt(np.diag(np.linalg.inv(matrix.T @ matrix)))
    for n, name in enumerate(names):
        assert fit.levels[name] == pytest.approx(plain[stands + n], abs=1e-9)
        assert fit.levels[name] == pytest.approx(solved[stands + n], abs=1e-9)
        assert fit.errors[name] == pytest.approx(spread[stands + n], rel=1e-8)
    assert fit.instruments == pytest.approx(plain[:stands], abs=1e-9)
    left = matrix @ plain - right
    assert fit.misfit == pytest.approx(float(left @ left), rel=1e-6, abs=1e-9)
    assert [r / one.error for r, one in zip(fit.residuals, readings, strict=True)] == pytest.approx(left, abs=1e-6)
    hat = matrix @ np.linalg.inv(matrix.T @ matrix) @ matrix.T
    assert fit.shares == pytest.approx(1.0 - np.diag(hat), abs=1e-8)
    assert fit.redundancy == len(readings) - matrix.shape[1] == pytest.approx(sum(fit.shares), abs=1e-8)


sights = st.lists(st.tuples(st.floats(1.0, 1.7), st.floats(1.0, 1.7), st.floats(5.0, 60.0)), min_size=1, max_size=7)


@settings(deadline=None, max_examples=40)
@given(sights, st.floats(-0.03, 0.03), st.booleans())
def test_one_closed_line_is_shared_in_proportion(
    pairs: list[tuple[float, float, float]], miss: float, far: bool
) -> None:
    rows, rise = [], 0.0
    for n, (back, fore, length) in enumerate(pairs):
        length = length if far else 30.0
        last = n == len(pairs) - 1
        rows.append(row("BM" if n == 0 else f"T{n}", b=back, d=length))
        rise += back - fore
        rows.append(row("END" if last else f"T{n + 1}", f=fore, d=length))
    reduced = reduce_book(rows, BM | {"END": 30.0 + rise - miss}, {})
    assert reduced.book.method == "proportional"
    assert reduced.book.redundancy == 1
    total, done, level = sum(2.0 * one[2] if far else 60.0 for one in pairs), 0.0, 30.0
    for n, (back, fore, length) in enumerate(pairs[:-1]):
        done += 2.0 * length if far else 60.0
        level += back - fore
        for levels in (reduced.levels, reduced.fit.levels):
            assert levels[f"T{n + 1}"] == pytest.approx(level - miss * done / total, abs=1e-9)
        error = ROD_ACCURACY * math.sqrt(done / ASSUMED_SIGHT * (1.0 - done / total))
        assert reduced.errors[f"T{n + 1}"] == pytest.approx(error, rel=1e-9)  # greatest midway, nothing at the ends
    assert reduced.errors["BM"] == reduced.errors["END"] == 0.0


def test_a_shot_read_once_has_its_instruments_error_and_its_own() -> None:
    reduced = reduce_book([row("BM", b=1.0), row("A", i=2.0)], BM, {}, "US", 0.002)
    assert reduced.errors["A"] == pytest.approx(0.002 * math.sqrt(2.0))
    assert reduced.book.redundancy == 0
    assert reduced.book.reading_error is None


def test_points_read_from_two_set_ups_bind_them() -> None:
    """Two sections that close nowhere: the points both read are levelled together, and what hangs from them follows."""
    rows = [row("BM", b=1.0), row("A", i=2.0), row("B", i=1.5), row("END", b=1.2), row("A", i=1.21), row("B", i=0.70)]
    reduced = reduce_book(rows, {"BM": 30.0, "END": 29.0}, {})
    assert reduced.book.method == "least squares"
    assert reduced.book.redundancy == 2
    assert reduced.levels["A"] == pytest.approx((29.0 + 28.99) / 2.0)
    assert reduced.levels["B"] == pytest.approx((29.5 + 29.5) / 2.0)
    assert {line.point: line.adjusted for line in reduced.book.lines} == pytest.approx(dict(reduced.levels))
    assert not any("nothing checks" in note for note in reduced.notes)
    assert any(note.startswith("A was read 2 times") for note in reduced.notes)


def test_a_check_sight_on_the_benchmark_takes_part() -> None:
    reduced = reduce_book([row("BM", b=1.0), row("A", i=2.0), row("BM", i=1.002)], BM, {})
    assert reduced.book.redundancy == 1
    assert reduced.levels["A"] == pytest.approx(29.0 + 0.001)
    assert reduced.errors["A"] == pytest.approx(ROD_ACCURACY * math.sqrt(1.5))


def test_with_decent_redundancy_the_readings_tell_their_own_error() -> None:
    dice = np.random.default_rng(7)
    rows = []
    for stand in range(30):  # thirty rounds on the benchmark, read three times worse than said
        back, fore = (1.0 + 0.003 * dice.normal(), 1.0 + 0.003 * dice.normal())
        rows += [row("BM", b=float(back)), row(f"A{stand}", i=1.5), row("BM", f=float(fore))]
    poor = reduce_book(rows, BM, {}, "US", 0.001)
    assert poor.book.redundancy == 30 >= DECENT
    assert poor.book.reading_error == pytest.approx(0.003, rel=0.3)
    assert poor.errors["A0"] == pytest.approx(math.sqrt(1.5) * (poor.book.reading_error or 0.0))
    few = reduce_book(rows[: 3 * (DECENT - 1)], BM, {}, "US", 0.001)
    assert few.book.reading_error is None
    assert few.errors["A0"] == pytest.approx(0.001 * math.sqrt(1.5))


def test_the_error_of_a_sight_grows_with_the_root_of_its_length() -> None:
    assert sight_error(0.0015, None) == 0.0015
    assert sight_error(0.0015, ASSUMED_SIGHT) == pytest.approx(0.0015)
    assert sight_error(0.0015, 4.0 * ASSUMED_SIGHT) == pytest.approx(0.003)
    assert sight_error(0.0015, 0.0) == sight_error(0.0015, SHORTEST) > 0.0


def test_a_network_that_is_not_held_is_refused() -> None:
    loose = RodReading(row=0, column="backsight", set_up=0, point="A", value=1.0, error=0.001)
    with pytest.raises(InputError, match="set-up = 0"):
        adjust_levels([loose], {"BM": 30.0})
    for value, error in ((math.nan, 0.001), (1.0, 0.0)):
        bad = RodReading(row=0, column="backsight", set_up=0, point="BM", value=value, error=error)
        with pytest.raises(InputError, match="reading on BM"):
            adjust_levels([bad], BM)


def test_the_order_of_the_readings_does_not_matter() -> None:
    readings, fixed = strewn(3)
    fits = [
        adjust_levels(list(order), fixed) for order in itertools.islice(itertools.permutations(readings), 0, 500, 99)
    ]
    for fit in fits[1:]:
        assert dict(fit.levels) == pytest.approx(dict(fits[0].levels), abs=1e-11)


def test_the_site_knows_the_error_of_each_level() -> None:
    site = survey(Job.model_validate(document()))
    assert site.level_book is not None
    assert site.level_book.method == "proportional"
    errors = {name: point.level_error for name, point in site.points.items()}
    assert errors["BM"] == 0.0
    # two set-ups and one closing: the turning point has half the variance of a whole round
    assert errors["TP1"] == pytest.approx(site.job.survey.rod_accuracy)
    assert errors["P1"] == pytest.approx(errors["A"]) == pytest.approx(site.job.survey.rod_accuracy * math.sqrt(1.75))
