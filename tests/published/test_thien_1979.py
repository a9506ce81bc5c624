"""S. J. Thien, A flow diagram for teaching texture by feel analysis, J. Agron. Educ. 8 (1979), 54-55: every branch.

SEEN in two public quotations. The order of the questions and the answers (sand, loamy sand, then three feels by three
ribbons) from a textbook's figure, "modified from Thien"; the ribbons' lengths, below 1 inch, 1 to 2, above 2, from a
state extension's sheet that quotes USDA's. The textbook's figure prints 2 and 3 inches instead, which is a difference
between the two: USDA's lengths are held here.
"""

from __future__ import annotations

import pytest

from drainwright.job.hand_texture import LONG_RIBBON, SHORT_RIBBON, Feel, texture_by_hand

INCH = 0.0254
BRANCHES: tuple[tuple[bool, float, Feel, str], ...] = (
    (False, 0.0, "gritty", "sand"),
    (False, 0.0, "neither", "sand"),
    (True, 0.0, "gritty", "loamy sand"),
    (True, 0.0, "smooth", "loamy sand"),
    (True, 0.5, "gritty", "sandy loam"),
    (True, 0.5, "smooth", "silt loam"),
    (True, 0.5, "neither", "loam"),
    (True, 0.99, "neither", "loam"),
    (True, 1.0, "gritty", "sandy clay loam"),
    (True, 1.5, "gritty", "sandy clay loam"),
    (True, 1.5, "smooth", "silty clay loam"),
    (True, 1.5, "neither", "clay loam"),
    (True, 2.0, "neither", "clay loam"),
    (True, 2.01, "neither", "clay"),
    (True, 3.0, "gritty", "sandy clay"),
    (True, 3.0, "smooth", "silty clay"),
    (True, 3.0, "neither", "clay"),
)


@pytest.mark.parametrize(("ball", "ribbon", "feel", "texture"), BRANCHES)
def test_branch(ball: bool, ribbon: float, feel: Feel, texture: str) -> None:
    assert texture_by_hand(ball, ribbon * INCH, feel) == texture


def test_lengths_are_one_and_two_inches() -> None:
    assert pytest.approx((INCH, 2 * INCH)) == (SHORT_RIBBON, LONG_RIBBON)


def test_the_key_gives_eleven_of_the_twelve_classes() -> None:
    from typing import get_args

    from drainwright.job.site import Texture

    assert set(get_args(Texture)) - {texture for *_, texture in BRANCHES} == {"silt"}
