"""29 CFR 1926.651 and .652, Subpart P Appendix B, and two letters of 1995.

SEEN https://indianaconstructors.org/excavation-by-the-numbers/ (limits), https://stepo.ai/osha/1926/1926SubpartPAppB
(Table B-1), osha.gov/laws-regs/standardinterpretations/1995-06-30 and 1995-04-18 (house foundations).
"""

from __future__ import annotations

import math

import pytest

from drainwright.build.protection import (
    SLOPES,
    Guard,
    doubt_of,
    guard,
    judged_depth,
    ladder_way,
    ladders_for,
    slope_back,
)
from drainwright.build.units import FOOT
from drainwright.job.values import Basis


def at(feet: float, *, by_house: bool = False, letters: bool = True, width: float = 2.0, soil: str = "B") -> Guard:
    return guard(
        depth=feet * FOOT, bottom_width=width * FOOT, soil_type=soil, by_house=by_house, letters=letters, water=False
    )


def test_protection_from_5_ft() -> None:
    """.652(a)(1): less than 5 ft, where a competent person finds no sign of a cave-in, needs none."""
    assert at(4.99).protection == "competent person decides"
    assert at(5.0).protection == "slope or shield"


def test_egress_from_4_ft() -> None:
    """.651(c)(2): a ladder in trenches 4 ft or more in depth."""
    assert not at(3.99).ladder
    assert at(4.0).ladder


def test_spoil_2_ft_from_the_edge() -> None:
    """.651(j)(2)."""
    assert at(4.0).spoil_setback / FOOT == pytest.approx(2.0)
    assert at(9.0).spoil_setback / FOOT == pytest.approx(2.0)


def test_an_engineer_over_20_ft() -> None:
    """.652(b) and (c)."""
    assert at(20.0).protection == "slope or shield"
    assert at(20.01).protection == "engineer"


@pytest.mark.parametrize(
    ("soil", "run", "degrees"), [("stable rock", 0.0, 90), ("A", 0.75, 53), ("B", 1.0, 45), ("C", 1.5, 34)]
)
def test_steepest_slopes(soil: str, run: float, degrees: int) -> None:
    """Table B-1, excavations under 20 ft; 1-1/2:1 is 33.69°, printed as 34."""
    assert SLOPES[soil] == run
    assert round(math.degrees(math.atan2(1.0, run))) == degrees


def test_submerged_soil_is_type_c() -> None:
    """Subpart P Appendix A; from memory."""
    wet = guard(depth=6 * FOOT, bottom_width=1.0, soil_type="A", by_house=False, letters=True, water=True)
    assert wet.slope_run == 1.5


def test_the_letters_on_house_foundations() -> None:
    """30 June 1995: under 7-1/2 ft, bottom 2 ft wide or more, spoil no closer than the depth."""
    under = at(7.4, by_house=True)
    assert under.protection == "house-foundation letters"
    assert under.spoil_setback == pytest.approx(7.4 * FOOT)
    assert at(7.5, by_house=True).protection == "slope or shield"
    assert at(7.0, by_house=True, width=1.9).protection == "slope or shield"
    assert at(7.0, by_house=True, letters=False).protection == "slope or shield"


@pytest.mark.parametrize(("feet", "needed"), [(1.0, 1), (50.0, 1), (50.1, 2), (100.0, 2), (120.0, 3)])
def test_nobody_is_more_than_25_ft_from_a_ladder(feet: float, needed: int) -> None:
    """.651(c)(2): "so as to require no more than 25 feet of lateral travel"."""
    assert ladders_for(feet * FOOT) == needed
    assert ladder_way(feet * FOOT, needed) / FOOT <= 25.0 + 1e-9
    assert needed == 1 or ladder_way(feet * FOOT, needed - 1) / FOOT > 25.0


def test_how_far_sides_go_back() -> None:
    """Table B-1: a trench of 10 ft in type B goes back 10 ft on each side, in type C 15 ft."""
    assert slope_back(10 * FOOT, SLOPES["B"]) / FOOT == pytest.approx(10.0)
    assert slope_back(10 * FOOT, SLOPES["C"]) / FOOT == pytest.approx(15.0)
    assert judged_depth(5 * FOOT, doubt_of(Basis.ASSUMED)) / FOOT == pytest.approx(5.5)
    assert judged_depth(5 * FOOT, doubt_of(Basis.MEASURED)) / FOOT == pytest.approx(5.0)
