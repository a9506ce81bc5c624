"""What is asked of a fabric round a drain.

- AASHTO M 288 as UFGS 02373 quotes it: SEEN https://ufgscriteriadocreport.tpub.com/02373/023730007.htm. The third row
  is printed "greater than 15 percent", which must read 50: the row before it ends there.
- FHWA NHI-07-092, ch. 2 (Christopher and Holtz): from memory.
- UFC 3-270-04, p. 83 (published check J2): SEEN https://buildingcriteria1.tpub.com/ufc_3_270_04/ufc_3_270_040090.htm.
- Openings to 0.6 and 0.3 mm by half of fines, a public wiki on low-impact drains: SEEN; coarser than both others.
"""

from __future__ import annotations

import pytest

from drainwright.hydraulics.geotextile import (
    NO_100,
    NO_FABRIC_FINES,
    fabric_class,
    fabric_flow,
    fabric_opening_most,
)

MM = 0.001


@pytest.mark.parametrize(
    ("fines", "opening", "permittivity"),
    [(0.05, 0.43, 0.5), (0.149, 0.43, 0.5), (0.15, 0.25, 0.2), (0.50, 0.25, 0.2), (0.51, 0.22, 0.1), (0.9, 0.22, 0.1)],
)
def test_m288_classes(fines: float, opening: float, permittivity: float) -> None:
    assert fabric_class(fines) == pytest.approx((opening * MM, permittivity))
    assert fabric_class(fines)[0] <= (0.6 if fines <= 0.5 else 0.3) * MM


@pytest.mark.parametrize(
    ("uniformity", "factor"), [(1.5, 1.0), (2.0, 1.0), (3.0, 1.5), (4.0, 2.0), (5.0, 1.6), (8.0, 1.0), (20.0, 1.0)]
)
def test_fhwa_factor_for_sands(uniformity: float, factor: float) -> None:
    """B = 1, half of Cu, 8 over Cu, 1."""
    assert fabric_opening_most(0.3 * MM, 0.2, uniformity) == pytest.approx(factor * 0.3 * MM)


def test_fhwa_factor_for_silts_and_clays() -> None:
    """B = 1 woven, 1.8 non-woven, and 0.3 mm at most."""
    assert fabric_opening_most(0.1 * MM, 0.6, 5.0, woven=True) == pytest.approx(0.1 * MM)
    assert fabric_opening_most(0.1 * MM, 0.6, 5.0) == pytest.approx(0.18 * MM)
    assert fabric_opening_most(0.4 * MM, 0.6, 5.0) == pytest.approx(0.3 * MM)


def test_no_fabric_against_nearly_pure_fines_and_none_finer_than_the_no_100_sieve() -> None:
    """J2."""
    assert NO_FABRIC_FINES == 0.85
    assert pytest.approx(0.15 * MM) == NO_100


def test_permittivity_is_flow_for_each_head_and_area() -> None:
    """Its definition: 1/s is m/s for each metre of head."""
    assert fabric_flow(0.5, 1.0, 1.0) == pytest.approx(0.5)
    assert fabric_flow(0.5, 0.1, 0.1) == pytest.approx(0.005)
