"""Levelling networks adjusted by least squares, and a book with intermediate sights, against print.

- C. D. Ghilani and P. R. Wolf, Adjustment Computations, chapter 12 (level nets): all from memory.
- G. Strang and K. Borre, Linear Algebra, Geodesy and GPS: five lines between three fixed points; data, and the sum of
  squared standardised residuals of an adjustment of them, SEEN as quoted in a surveyors' discussion,
  https://rplstoday.com/community/surveying-geomatics/how-would-you-adjust-this-leveling-data/
- A sample of four legs levelled both ways, with its printed adjustment. SEEN on a public page, the printout of an open
  program for adjusting geodetic networks.
- A level book from one bench mark to another through four change points, Universiti Sains Malaysia, lecture pages on
  levelling. SEEN https://civil.eng.usm.my/wamin/lecture1/FYPGeomatik/JS/Ukur%20Aras/JSSUAE1.htm
- The real network of ``test_levelling_network.py``, whole.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Mapping, Sequence
from pathlib import Path

import pytest

from drainwright.field.level_network import LevelFit, RodReading, adjust_levels
from drainwright.field.levels import ReducedBook, reduce_book
from drainwright.job.survey import LevelRow

DATA = Path(__file__).parents[2].parent / "shared" / "data" / "survey"

Line = tuple[str, str, float, float]  # from, to, rise, its standard error


def adjusted(lines: Sequence[Line], fixed: Mapping[str, float]) -> LevelFit:
    """Each line as one set-up whose two readings share its variance."""
    readings = []
    for n, (start, end, rise, error) in enumerate(lines):
        half = error / math.sqrt(2.0)
        readings.append(RodReading(row=n, column="backsight", set_up=n, point=start, value=1.0 + rise, error=half))
        readings.append(RodReading(row=n, column="foresight", set_up=n, point=end, value=1.0, error=half))
    return adjust_levels(readings, fixed)


def test_ghilani_unweighted() -> None:
    """Seven lines, two bench marks: A 105.141, B 104.483, C 106.188 ft; reference standard deviation 0.05 ft."""
    lines = [("X", "A", 5.10), ("A", "Y", 2.34), ("Y", "C", -1.25), ("C", "X", -6.13), ("A", "B", -0.68),
             ("B", "Y", 3.00), ("C", "B", -1.70)]  # fmt: skip
    fit = adjusted([(*line, 1.0) for line in lines], {"X": 100.0, "Y": 107.50})
    assert [round(fit.levels[name], 3) for name in "ABC"] == [105.141, 104.483, 106.188]
    assert fit.redundancy == 4
    assert fit.variance_factor is not None
    assert math.sqrt(fit.variance_factor) == pytest.approx(0.05, abs=0.0005)


def test_ghilani_weighted_by_length() -> None:
    """The same lines 4, 3, 2, 3, 2, 2, 2 miles long: A 105.150, B 104.489, C 106.197 ft."""
    lines = [("X", "A", 5.10, 4), ("A", "Y", 2.34, 3), ("Y", "C", -1.25, 2), ("C", "X", -6.13, 3), ("A", "B", -0.68, 2),
             ("B", "Y", 3.00, 2), ("C", "B", -1.70, 2)]  # fmt: skip
    fit = adjusted([(a, b, rise, math.sqrt(miles)) for a, b, rise, miles in lines], {"X": 100.0, "Y": 107.50})
    assert [round(fit.levels[name], 3) for name in "ABC"] == [105.150, 104.489, 106.197]


def test_ghilani_weighted_by_standard_deviations() -> None:
    """Six lines with standard deviations of 3 to 12 mm: B 448.1087, C 453.4685, D 444.9436 m."""
    lines = [("A", "B", 10.509, 0.006), ("B", "C", 5.360, 0.004), ("C", "D", -8.523, 0.005), ("D", "A", -7.348, 0.003),
             ("B", "D", -3.167, 0.004), ("A", "C", 15.881, 0.012)]  # fmt: skip
    fit = adjusted(lines, {"A": 437.596})
    assert [round(fit.levels[name], 4) for name in "BCD"] == [448.1087, 453.4685, 444.9436]
    assert fit.redundancy == 3


def test_strang_and_borre() -> None:
    """Printed: sum of squared standardised residuals 4.636 and factor 1.243, of 3 redundant lines at 6 mm to the km."""
    lines = [("A", "E", 0.732, 970), ("A", "F", 1.978, 1002), ("B", "E", 0.420, 1070), ("C", "F", 0.988, 1110),
             ("E", "F", 1.258, 890)]  # fmt: skip
    fit = adjusted(
        [(a, b, rise, 0.006 * math.sqrt(metres / 1000.0)) for a, b, rise, metres in lines],
        {"A": 10.021, "B": 10.321, "C": 11.002},
    )
    assert fit.redundancy == 3
    assert fit.misfit == pytest.approx(4.636, abs=0.002)
    assert math.sqrt(fit.misfit / 3) == pytest.approx(1.243, abs=0.0005)


def test_four_legs_levelled_both_ways() -> None:
    """Printed heights 998.77513, 997.93325, 999.27487 m with 3.1, 3.5, 3.1 mm; 5.00 mm before, 5.42 mm after."""
    rises = [("1", "4", -1.225), ("4", "3", -0.848), ("3", "2", 1.342), ("2", "1", 0.720), ("1", "2", -0.724),
             ("2", "3", -1.335), ("3", "4", 0.842), ("4", "1", 1.231)]  # fmt: skip
    fit = adjusted([(*line, 0.005) for line in rises], {"1": 1000.0})
    for name, height in (("4", 998.77513), ("3", 997.93325), ("2", 999.27487)):
        assert fit.levels[name] == pytest.approx(height, abs=6e-6)
    assert [round(1000.0 * fit.errors[name], 1) for name in "432"] == [3.1, 3.5, 3.1]
    assert fit.redundancy == 5
    assert 25.0 * fit.misfit == pytest.approx(146.625, abs=0.001)
    assert 5.0 * math.sqrt(fit.misfit / 5) == pytest.approx(5.42, abs=0.005)


BOOK = (  # point, backsight, intermediate, foresight [m]; printed level before adjustment, printed correction [mm]
    ("OBM1", 1.717, None, None, 29.23, 0), ("A", None, 1.432, None, 29.515, -2), ("B", 2.918, None, 1.716, 29.231, -2),
    ("C", None, 2.272, None, 29.877, -4), ("D", 0.816, None, 0.953, 31.196, -4), ("E", 1.436, None, 3.005, 29.007, -6),
    ("CP", 1.246, None, 1.391, 29.052, -8), ("F", None, 1.353, None, 28.945, -10),
    ("G", None, 1.462, None, 28.836, -10), ("OBM2", None, None, 0.628, 29.670, -10),
)  # fmt: skip


def book() -> ReducedBook:
    rows = [
        LevelRow.model_validate({"point": point} | {
            key: f"{value} m" for key, value in (("backsight", b), ("intermediate", i), ("foresight", f)) if value
        })
        for point, b, i, f, _, _ in BOOK
    ]  # fmt: skip
    return reduce_book(rows, {"OBM1": 29.23, "OBM2": 29.66}, {}, "SI")


def test_a_book_with_change_points_and_intermediate_sights() -> None:
    """Printed heights of the line of sight 30.947, 32.149, 32.012, 30.443, 30.298; misclosure 10 mm, 2 mm a set-up."""
    reduced = book()
    lines = {line.point: line for line in reduced.book.lines}
    sights = [lines[name].instrument_height for name in ("OBM1", "B", "D", "E", "CP")]
    assert [round(height, 3) for height in sights] == [30.947, 32.149, 32.012, 30.443, 30.298]
    assert reduced.book.misclosure == pytest.approx(0.010, abs=1e-9)
    for point, _, between, _, level, correction in BOOK:
        assert lines[point].level == pytest.approx(level, abs=1e-9)
        if between is None:
            assert lines[point].adjusted - level == pytest.approx(correction / 1000.0, abs=1e-9)
            assert reduced.fit.levels[point] - level == pytest.approx(correction / 1000.0, abs=1e-9)


def test_a_finding_on_intermediate_sights() -> None:
    """Finding: the page gives an intermediate sight the correction of its set-up's end, our book that of its beginning.

    They lie a set-up's share, 2 mm, apart; least squares puts the sight midway between the two.
    """
    reduced = book()
    for point, _, between, _, level, correction in BOOK:
        if between is not None:
            assert reduced.levels[point] - level == pytest.approx((correction + 2) / 1000.0, abs=1e-9)
            assert reduced.fit.levels[point] - level == pytest.approx((correction + 1) / 1000.0, abs=1e-9)


@pytest.mark.skipif(not DATA.exists(), reason="the survey data are not beside this checkout")
def test_the_real_network_whole() -> None:
    """Nine lines, weight one over length, B held: the notes' heights to 0.01 mm, the printed ones to 0.25 mm."""
    with (DATA / "levelling_network.csv").open() as file:
        lines = [
            (line["from"], line["to"], float(line["height_diff_m"]), 1e-5 * math.sqrt(float(line["distance_m"])))
            for line in csv.DictReader(file)
        ]
    fit = adjusted(lines, {"B": 100.0})
    assert fit.redundancy == 4
    for name, height in {"H": 100.44984, "I": 100.37607, "J": 100.44011, "N": 100.27128, "K": 100.26893}.items():
        assert fit.levels[name] == pytest.approx(height, abs=6e-6)
    with (DATA / "levelling_network_adjusted.csv").open() as file:
        for line in csv.DictReader(file):
            assert fit.levels[line["point"]] == pytest.approx(float(line["adjusted_m"]), abs=2.5e-4)
