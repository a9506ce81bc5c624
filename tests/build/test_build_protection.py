"""Protection by depth and soil: the order of the rules. The limits themselves are in tests/published."""

from __future__ import annotations

import pytest

from drainwright.build.protection import guard
from drainwright.build.units import FOOT, INCH
from drainwright.errors import InputError


def need(feet: float, **changes: object):  # type: ignore[no-untyped-def]
    given: dict[str, object] = {
        "depth": feet * FOOT,
        "bottom_width": 2 * FOOT,
        "soil_type": "C",
        "by_house": True,
        "letters": True,
        "water": False,
    }
    return guard(**{**given, **changes})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("feet", "protection"),
    [
        (3.9, "none"),
        (4.0, "competent person decides"),
        (4.99, "competent person decides"),
        (5.0, "house-foundation letters"),
        (7.4, "house-foundation letters"),
        (7.5, "slope or shield"),
        (20.0, "slope or shield"),
        (20.5, "engineer"),
    ],
)
def test_by_depth_beside_a_house(feet: float, protection: str) -> None:
    assert need(feet).protection == protection


@pytest.mark.parametrize(
    "change",
    [{"letters": False}, {"by_house": False}, {"water": True}, {"bottom_width": 23 * INCH}],
)
def test_the_letters_hold_only_where_all_their_conditions_do(change: dict[str, object]) -> None:
    found = need(6.0, **change)
    assert found.protection == "slope or shield"
    assert found.spoil_setback == pytest.approx(2 * FOOT)


def test_spoil_keeps_its_depth_under_the_letters() -> None:
    assert need(6.0).spoil_setback == pytest.approx(6 * FOOT)
    assert need(4.5).spoil_setback == pytest.approx(2 * FOOT)


def test_water_makes_it_type_c() -> None:
    assert need(6.0, soil_type="A", water=True).slope_run == 1.5
    assert need(6.0, soil_type="A").slope_run == 0.75


def test_stable_rock_stands() -> None:
    assert need(9.0, soil_type="stable rock").protection == "none"


def test_an_unknown_soil_is_refused() -> None:
    with pytest.raises(InputError, match="soil_type = 'mud'"):
        need(6.0, soil_type="mud")
