"""Three conventions of the safety against flotation, one example worked by engineers.

SEEN http://www.eng-tips.com/viewthread.cfm?qid=340390: concrete 340 ft³ at 150 pcf, soil on the ledge 384 ft³ at
110 pcf, gross buoyant volume 980 ft³, void 256 ft³.
"""

from __future__ import annotations

import pytest

from drainwright.hydraulics.buoyancy import (
    flotation_safety_gross,
    flotation_safety_net,
    flotation_safety_structure,
)

CASE = (340.0 * 150.0, 384.0 * 110.0, 340.0, 256.0, 384.0, 62.4)  # pounds and cubic feet: only ratios matter


def test_total_weights_over_gross_volume() -> None:
    """1.52."""
    assert flotation_safety_gross(*CASE) == pytest.approx(1.52, abs=0.005)


def test_buoyant_weights_over_the_void() -> None:
    """3.0."""
    assert flotation_safety_net(*CASE) == pytest.approx(3.0, abs=0.05)


def test_concrete_and_buoyant_soil_over_the_structure() -> None:
    """1.86, the form of the concrete pipe trade."""
    assert flotation_safety_structure(*CASE) == pytest.approx(1.86, abs=0.005)


def test_gross_volume_is_the_sum() -> None:
    """980 ft³ is concrete, void and soil together."""
    assert CASE[2] + CASE[3] + CASE[4] == 980.0
