"""NEH 633 ch. 26, Gradation Design of Sand and Gravel Filters (August 2017), Tables 26-1 to 26-3.

Categories 1 and 4, the permeability rule and the floor of 0.1 mm SEEN second-hand in a public summary; categories 2 and
3 from memory.
"""

from __future__ import annotations

import pytest

from drainwright.hydraulics.filters import base_category, filter_d15_least, filter_d15_most, regraded_size

MM = 0.001


@pytest.mark.parametrize(
    ("fines", "category"),
    [(1.0, 1), (0.86, 1), (0.85, 2), (0.40, 2), (0.39, 3), (0.15, 3), (0.149, 4), (0.0, 4)],
)
def test_categories_by_the_fines(fines: float, category: int) -> None:
    assert base_category(fines) == category


def test_category_one_is_nine_times_d85_and_not_less_than_a_fifth_of_a_millimetre() -> None:
    assert filter_d15_most(0.05 * MM, 0.95) == pytest.approx(0.45 * MM)
    assert filter_d15_most(0.05 * MM, 0.95, dispersive=True) == pytest.approx(0.325 * MM)
    assert filter_d15_most(0.01 * MM, 0.95) == pytest.approx(0.2 * MM)


def test_category_two_is_seven_tenths_of_a_millimetre() -> None:
    """From memory; 0.5 mm where dispersive too."""
    assert filter_d15_most(0.2 * MM, 0.6) == pytest.approx(0.7 * MM)
    assert filter_d15_most(0.2 * MM, 0.6, dispersive=True) == pytest.approx(0.5 * MM)


def test_category_three_runs_from_category_two_to_category_four() -> None:
    """(40 - A)/(40 - 15) (4 d85 - 0.7 mm) + 0.7 mm, from memory: its ends must meet its neighbours'."""
    d85 = 1.0 * MM
    assert filter_d15_most(d85, 0.15) == pytest.approx(4.0 * d85)
    assert filter_d15_most(d85, 0.275) == pytest.approx(0.5 * 3.3 * MM + 0.7 * MM)
    assert filter_d15_most(d85, 0.3999) == pytest.approx(0.7 * MM, rel=0.01)
    assert filter_d15_most(0.1 * MM, 0.2) == pytest.approx(0.7 * MM)  # 4 d85 below 0.7: 0.7


def test_category_four_is_four_times_d85() -> None:
    assert filter_d15_most(1.5 * MM, 0.05) == pytest.approx(6.0 * MM)


def test_permeability_asks_four_to_five_d15_and_a_tenth_of_a_millimetre() -> None:
    assert filter_d15_least(0.2 * MM, 4.0) == pytest.approx(0.8 * MM)
    assert filter_d15_least(0.2 * MM) == pytest.approx(1.0 * MM)
    assert filter_d15_least(0.001 * MM) == pytest.approx(0.1 * MM)


def test_gravel_is_left_out_before_d85_is_read() -> None:
    """Regrading on the No. 4 sieve: half of this soil is gravel, so its d85 is the whole soil's d42.5."""
    sizes, shares = (0.075 * MM, 4.75 * MM, 75.0 * MM), (0.10, 0.50, 1.00)
    whole = 0.075 * MM * (4.75 / 0.075) ** ((0.425 - 0.10) / 0.40)
    assert regraded_size(0.85, sizes, shares) == pytest.approx(whole)
    assert regraded_size(0.85, sizes, shares) < 4.75 * MM
    sand = (0.075 * MM, 2.0 * MM)
    assert regraded_size(0.85, sand, (0.05, 1.0)) == pytest.approx(0.075 * MM * (2.0 / 0.075) ** (0.80 / 0.95))
