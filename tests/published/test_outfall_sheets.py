"""Ends of pipes in the open against public texts.

- FHWA HEC-14, 3rd ed. 2006, eq. 10.4 (Fletcher and Grace 1972) and Appendix D: the form SEEN in public quotations;
  Table 10.1 from memory.
- SCS TP-61, Handbook of Channel Design, 1954: permissible velocities in grass, SEEN as Table 7 of a county's code.
- A state stormwater manual's table of bare soils, SEEN; Fortier and Scobey 1926, Table of permissible canal velocities,
  from memory.
- FHWA HEC-22, Example 4-1: 0.05 m³/s in a gutter of 1 % fall and 2 % across, n = 0.016, spreads 2.7 m; a spread of
  2.5 m carries 0.04 m³/s. From memory.
"""

from __future__ import annotations

import math

import pytest

from drainwright.hydraulics.outfall import apron_length, apron_stone, gutter_spread, jet_reach, least_air_gap
from drainwright.system.outlets.outfalls import BARE, BARE_BETWEEN, ERODES, allowed_velocity

FOOT = 0.3048
# ft/s, clear water over aged beds; from memory.
FORTIER_SCOBEY = {
    "fine sand": 1.50,
    "sandy loam": 1.75,
    "silt loam": 2.00,
    "ordinary firm loam": 2.50,
    "stiff clay": 3.75,
}


@pytest.mark.parametrize(
    ("slope", "texture", "printed"),
    [(0.02, "clay", 5.0), (0.02, "sandy loam", 4.0), (0.07, "clay", 4.0), (0.07, "silt", 3.0)],
)
def test_grass_mixtures(slope: float, texture: str, printed: float) -> None:
    assert allowed_velocity("lawn", texture, slope) == pytest.approx(printed * FOOT)


def test_grass_mixtures_are_not_for_slopes_over_one_in_ten() -> None:
    """Note 2 of the table: then the soil counts as bare."""
    assert allowed_velocity("lawn", "clay", 0.12) == BARE["clay"]


@pytest.mark.parametrize(
    ("texture", "printed"), [("sand", 1.5), ("sandy loam", 1.5), ("silt loam", 1.5), ("sandy clay", 2.0), ("clay", 2.5)]
)
def test_bare_soil(texture: str, printed: float) -> None:
    assert allowed_velocity("bare soil", texture, 0.02) == pytest.approx(printed * FOOT)


def test_bare_soil_stays_below_fortier_and_scobey() -> None:
    """The state's table is the stricter: for clay by a third. What is used here is never above the older table."""
    assert BARE["sand"] <= FORTIER_SCOBEY["fine sand"] * FOOT + 1e-9
    assert all(BARE[texture] <= FORTIER_SCOBEY["sandy loam"] * FOOT for texture in ERODES)
    assert FORTIER_SCOBEY["ordinary firm loam"] * FOOT >= BARE_BETWEEN
    assert BARE["clay"] <= FORTIER_SCOBEY["stiff clay"] * FOOT


def test_paving_is_not_scoured() -> None:
    assert allowed_velocity("concrete", "sand", 0.02) == math.inf


def test_gutter_of_example_4_1() -> None:
    assert gutter_spread(0.05, 0.016, 0.02, 0.01) == pytest.approx(2.7, abs=0.05)
    assert gutter_spread(0.04, 0.016, 0.02, 0.01) == pytest.approx(2.5, abs=0.05)


def test_apron_stone_is_the_same_in_feet() -> None:
    """The formula has no unit of its own: 82.3 ft³/s from a 59 in pipe gives the same stone in feet as in metres."""
    in_feet = 0.2 * (1.5 / FOOT) * (2.33 / FOOT**3 / (math.sqrt(32.174) * (1.5 / FOOT) ** 2.5)) ** (4 / 3) / 0.4
    assert float(apron_stone(2.33, 1.5, 0.6)) / FOOT == pytest.approx(in_feet, rel=1e-4)


@pytest.mark.parametrize(
    ("stone", "lengths", "thick"),
    [(0.1, 4, 3.5), (0.14, 4, 3.3), (0.2, 5, 2.4), (0.3, 6, 2.2), (0.5, 7, 2.0), (0.6, 8, 2.0)],
)
def test_aprons_of_table_10_1(stone: float, lengths: float, thick: float) -> None:
    assert apron_length(stone, 1.0) == (lengths, thick * stone)


def test_jet_keeps_its_speed_for_six_diameters() -> None:
    assert jet_reach(0.04, 2.0, 2.0) == pytest.approx(6.2 * 0.04)


def test_air_gap_of_indirect_waste() -> None:
    """International Plumbing Code 802.3.1 as a city adopted it in 2021 (18-29-802.3.1 of its code, seen).

    "not less than twice the effective opening of the indirect waste pipe and not less than 1 inch (25 mm)".
    """
    assert [least_air_gap(inches * 0.0254) / 0.0254 for inches in (0.25, 0.5, 1.5, 2.0)] == pytest.approx(
        [1.0, 1.0, 3.0, 4.0]
    )
