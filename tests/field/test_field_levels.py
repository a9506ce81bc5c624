"""The level book: reduction, closing, adjustment, and the books it refuses."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from drainwright.errors import JobError
from drainwright.field.levels import allowable_misclosure
from drainwright.field.levels import reduce_book as reduce_whole
from drainwright.field.model import LevelBook
from drainwright.job.survey import LevelRow
from drainwright.worksheet import worksheet

readings = st.floats(1.0, 1.7)  # the last reading gathers all rises, and stays on the rod
BM = {"BM": 30.0}


def row(point: str, **sights: float) -> LevelRow:
    """A row with readings in metres; b, i, f and d stand for its columns."""
    words = {"b": "backsight", "i": "intermediate", "f": "foresight", "d": "distance"}
    return LevelRow.model_validate({"point": point} | {words[key]: f"{value!r} m" for key, value in sights.items()})


def reduce_book(*arguments: Any) -> tuple[LevelBook, dict[str, float], tuple[str, ...]]:
    reduced = reduce_whole(*arguments)
    return reduced.book, dict(reduced.levels), reduced.notes


def problems(rows: list[LevelRow], known: dict[str, float] | None = None) -> list[tuple[str, str, str]]:
    with pytest.raises(JobError) as caught:
        reduce_book(rows, BM, known or {})
    return [(problem.where, problem.found, problem.hint) for problem in caught.value.problems]


def test_one_set_up_reads_levels_below_the_line_of_sight() -> None:
    book, levels, notes = reduce_book([row("BM", b=1.5), row("A", i=2.0), row("B", i=0.5)], BM, {})
    assert levels == {"BM": 30.0, "A": 29.5, "B": 31.0}
    assert book.misclosure is None
    assert book.closes is None
    assert "nothing checks them" in notes[0]
    assert [line.instrument_height for line in book.lines] == [31.5, 31.5, 31.5]


def test_a_rod_held_upside_down_reads_a_ceiling() -> None:
    _, levels, _ = reduce_book([row("BM", b=1.5), row("JOIST", i=-1.25)], BM, {})
    assert levels["JOIST"] == 32.75


def test_the_misclosure_is_shared_by_set_ups() -> None:
    rows = [row("BM", b=1.0), row("T1", b=1.0, f=1.2), row("X", i=1.0), row("T2", b=1.4, f=0.9), row("BM", f=1.27)]
    book, levels, _ = reduce_book(rows, BM, {})
    assert book.set_ups == 3
    assert book.misclosure == pytest.approx(0.03)
    assert levels["T1"] == pytest.approx(29.8 - 0.01)
    assert levels["T2"] == pytest.approx(29.9 - 0.02)
    assert levels["X"] == pytest.approx(29.8 - 0.01)  # as the backsight of its set-up
    assert book.lines[-1].adjusted == pytest.approx(30.0)
    assert book.lines[-1].level == pytest.approx(30.03)


def test_the_misclosure_is_shared_by_distance_where_all_sights_have_one() -> None:
    rows = [row("BM", b=1.0, d=30.0), row("T1", b=1.0, f=1.2, d=30.0), row("BM", f=0.88, d=90.0)]
    book, levels, notes = reduce_book(rows, BM, {})
    assert book.distance == pytest.approx(180.0)
    assert book.misclosure == pytest.approx(-0.08)
    assert levels["T1"] == pytest.approx(29.8 + 0.08 * 60 / 180)
    assert book.allowable == pytest.approx(0.05 * 0.3048 * (180.0 / 1609.344) ** 0.5)
    assert not any("no length" in note for note in notes)
    assert any("allowable" in note for note in notes)
    assert book.closes is False


def test_missing_sight_lengths_are_assumed_and_said() -> None:
    rows = [row("BM", b=1.0, d=30.0), row("T1", b=1.0, f=1.2), row("BM", f=0.8)]
    book, _, notes = reduce_book(rows, BM, {})
    assert book.distance is None
    assert book.allowable == pytest.approx(allowable_misclosure(30.0 + 3 * 15.24))
    assert any("3 of 4 sights" in note and "assumed" in note for note in notes)


def test_a_book_may_close_on_a_second_benchmark() -> None:
    book, levels, _ = reduce_book([row("BM", b=2.0), row("END", f=1.0)], {"BM": 30.0, "END": 31.01}, {})
    assert book.misclosure == pytest.approx(-0.01)
    assert levels["END"] == 31.01


def test_a_book_may_open_on_a_point_of_stated_level() -> None:
    book, levels, _ = reduce_book([row("SILL", b=1.0), row("A", i=2.0), row("SILL", f=1.002)], BM, {"SILL": 50.0})
    assert levels["A"] == pytest.approx(49.0)
    assert levels["SILL"] == 50.0
    assert book.misclosure == pytest.approx(-0.002)


def test_sections_are_closed_one_by_one_and_the_worst_is_told() -> None:
    rows = [row("BM", b=1.0), row("A", f=2.0), row("A", b=2.0), row("BM", b=1.1, f=1.001), row("C", i=0.1),
            row("BM", f=1.11)]  # fmt: skip
    book, levels, _ = reduce_book(rows, BM, {})
    assert book.set_ups == 3
    assert levels["A"] == pytest.approx(29.0 + 0.0005)
    assert levels["C"] == pytest.approx(31.0)
    assert book.misclosure == pytest.approx(-0.01)  # 0.001 over two set-ups, then 0.010 over one
    assert book.arithmetic == pytest.approx(0.0, abs=1e-12)
    assert book.lines[3].instrument_height == pytest.approx(31.1)


def test_points_read_twice_take_the_mean_and_the_spread_is_told() -> None:
    rows = [row("BM", b=1.0), row("A", i=2.0), row("T", b=1.0, f=1.0), row("A", i=2.02), row("BM", f=1.0)]
    _, levels, notes = reduce_book(rows, BM, {})
    assert levels["A"] == pytest.approx(28.99)
    assert any(note.startswith("A was read 2 times") for note in notes)


def test_a_check_sight_on_the_benchmark_leaves_its_level_and_is_told() -> None:
    _, levels, notes = reduce_book([row("BM", b=1.0), row("A", i=2.0), row("BM", i=1.02)], BM, {}, "SI")
    assert levels["BM"] == 30.0
    assert any("check sight on BM" in note and "-0.020 m" in note for note in notes)


@pytest.mark.parametrize(
    ("rows", "where", "words"),
    [
        ([row("A", b=1.0)], 0, "first backsight on A"),
        ([row("A", i=1.0)], 0, "intermediate sight on A"),
        ([row("A", f=1.0)], 0, "foresight on A"),
        ([row("BM", b=1.0, f=1.0)], 0, "foresight on BM"),
        ([row("BM", b=1.0), row("A", f=1.0), row("B", f=1.0)], 2, "second foresight"),
        ([row("BM", b=1.0), row("A", f=1.0), row("B", b=1.0)], 2, "backsight on B"),
        ([row("BM", b=1.0), row("A", i=1.0), row("A", b=1.0)], 2, "backsight on A"),
    ],
)  # fmt: skip
def test_a_book_that_cannot_be_followed_is_refused_at_its_row(rows: list[LevelRow], where: int, words: str) -> None:
    found = problems(rows)
    assert found[0][0] == f"survey.level_book[{where}]"
    assert words in found[0][1]
    assert len(found) == 1


def test_hints_name_the_likely_slip() -> None:
    assert "BM" in problems([row("BN", b=1.0)])[0][2]
    assert "write that one as a 'foresight'" in problems([row("BM", b=1.0), row("A", i=1.0), row("A", b=1.0)])[0][2]
    assert "last foresight was on A" in problems([row("BM", b=1.0), row("A", f=1.0), row("B", b=1.0)])[0][2]


def test_all_faulty_rows_are_told_at_once() -> None:
    rows = [row("BM", b=1.0), row("A", f=1.0), row("B", b=1.0), row("C", f=1.0), row("D", f=1.0), row("E", b=2.0)]
    assert [problem[0] for problem in problems(rows)] == [f"survey.level_book[{n}]" for n in (2, 4, 5)]


@settings(deadline=None)
@given(st.lists(st.tuples(readings, readings), min_size=1, max_size=8), st.floats(-0.05, 0.05))
def test_a_planted_error_is_found_and_taken_off(pairs: list[tuple[float, float]], error: float) -> None:
    rows: list[dict[str, Any]] = [{"point": "BM", "b": pairs[0][0]}]
    level, true = 30.0, {}
    for number, (back, fore) in enumerate(pairs[:-1]):
        level += back - fore
        true[f"T{number}"] = level
        rows.append({"point": f"T{number}", "f": fore, "b": pairs[number + 1][0]})
    rows.append({"point": "BM", "f": level + pairs[-1][0] - 30.0 - error})
    book, levels, _ = reduce_book([row(**one) for one in rows], BM, {})
    assert book.misclosure == pytest.approx(error, abs=1e-9)
    assert book.arithmetic == pytest.approx(0.0, abs=1e-9)
    assert book.lines[-1].adjusted == pytest.approx(30.0, abs=1e-9)
    for number, (name, level) in enumerate(true.items()):
        assert levels[name] == pytest.approx(level - error * (number + 1) / len(pairs), abs=1e-9)


def test_the_worksheet_names_each_row() -> None:
    with worksheet() as steps:
        reduce_book([row("BM", b=1.0), row("A", i=2.0), row("BM", f=1.001)], BM, {})
    assert [(step.formula.rpartition(".")[2], step.place) for step in steps] == [
        ("height_of_instrument", "survey.level_book[0]"),
        ("sighted_level", "survey.level_book[2]"),
        ("allowable_misclosure", "survey.level_book"),
        ("level_correction", "survey.level_book[2]"),
        ("sighted_level", "survey.level_book[1]"),
    ]
