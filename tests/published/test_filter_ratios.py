"""Filter ratios of Terzaghi's kind, as three public works print them.

- A filter for a sand under rock, Anderson and others 1968, as a Corps of Engineers page works it (pp. 6.62-6.63): SEEN
  https://coastalhydraulicslaboratoryfact.tpub.com/4_010491/4_0104910432.htm and ...0433.htm. Its summary line prints
  "D50 < 2 mm" where its own working gives 20 mm: a misprint.
- UFC 3-270-04 (15 March 2001), p. 80: SEEN https://buildingcriteria1.tpub.com/ufc_3_270_04/ufc_3_270_040087.htm.
- Horonjeff and others, Planning and Design of Airports, p. 379: SEEN in a public copy of the page.
"""

from __future__ import annotations

import pytest

from drainwright.hydraulics.filters import filter_d15_least, opening_ratio_least, terzaghi_band

MM = 0.001
SAND = (0.17 * MM, 0.5 * MM, 1.5 * MM)


def test_band_against_the_sand() -> None:
    band = terzaghi_band(*SAND, uniform=40.0, like=40.0)
    assert band.d15_least == pytest.approx(0.85 * MM)
    assert band.d15_most == pytest.approx(6.8 * MM)  # 40 d15 rules; 5 d85 gives 7.5 mm
    assert band.d50_most == pytest.approx(20.0 * MM)
    loose = terzaghi_band(*SAND, uniform=40.0, like=1000.0)
    assert loose.d15_most == pytest.approx(7.5 * MM)


def test_rock_needs_a_filter_on_the_sand() -> None:
    """Rock over base: D15/d15 is 600 against 40, D15/d85 is 67 against 5."""
    assert not terzaghi_band(*SAND, uniform=40.0, like=40.0).holds(100.0 * MM, 200.0 * MM)
    assert not terzaghi_band(*SAND, uniform=1e6, like=600.0).holds(100.0 * MM, 200.0 * MM)  # by d85 alone


@pytest.mark.parametrize(
    ("d15", "d50", "fits"), [(2.6, 5.1, True), (2.4, 5.1, False), (2.6, 4.9, False), (19, 19, True), (21, 21, False)]
)
def test_band_against_the_rock(d15: float, d50: float, fits: bool) -> None:
    """Published: D50 > 5 mm and 2.5 < D15 < 20 mm for the rock to lie on the filter."""
    band = terzaghi_band(d15 * MM, d50 * MM, 30.0 * MM, uniform=40.0, like=40.0)
    assert band.holds(100.0 * MM, 200.0 * MM) is fits


def test_drains_ask_25_for_d50_and_5_for_d15() -> None:
    """Airport handbook, p. 379."""
    band = terzaghi_band(*SAND)
    assert band.d50_most == pytest.approx(25 * 0.5 * MM)
    assert band.d15_least == pytest.approx(5 * 0.17 * MM) == filter_d15_least(0.17 * MM)
    assert terzaghi_band(*SAND, like=1000.0).d15_most == pytest.approx(5 * 1.5 * MM)


def test_openings_against_the_stone() -> None:
    """UFC 3-270-04, p. 80: D85 over a slot's width 1.2, over a hole's diameter 1.0; the airport handbook: above 1."""
    assert opening_ratio_least("slot") == 1.2
    assert opening_ratio_least("hole") == 1.0
