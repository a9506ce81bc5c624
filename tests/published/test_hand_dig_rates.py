"""Hand excavation and barrow rates of an international compendium, against the demonstration book's.

SEEN planningplanet.com/wiki/422684/excavate-reduce-levels: m³ per man-hour; the book holds yd³ (x 1.308).
"""

from __future__ import annotations

import pytest

from drainwright.build.book import demonstration_book
from drainwright.build.units import CUBIC_YARD


@pytest.mark.parametrize(
    ("key", "metres"),
    [
        ("dig.loose", 0.66), ("dig.firm", 0.57), ("dig.clay", 0.46),
        ("dig-deep.loose", 0.45), ("dig-deep.firm", 0.38), ("dig-deep.clay", 0.31),
        ("dig-pit.loose", 0.50), ("dig-pit.firm", 0.43), ("dig-pit.clay", 0.35),
        ("barrow.10m", 6.25), ("barrow.20m", 3.23), ("barrow.50m", 2.13),
    ],
)  # fmt: skip
def test_the_book_holds_the_printed_rates(key: str, metres: float) -> None:
    rate = demonstration_book().rates[key]
    assert rate.source == "hand_dig_rates"
    assert rate.value * CUBIC_YARD == pytest.approx(metres, abs=0.01 * max(1.0, metres))


def test_the_whole_chain_lies_in_the_range_told_by_the_trade() -> None:
    """0.2 to 0.53 yd³ per man-hour all in (two jobs told on a contractors' forum), digging to the dump.

    Sandy loam, 20 to 50 m of barrow way, through roots and two to three feet deep: dig, wheel and load.
    """
    book = demonstration_book()
    chain = book.rate("roots.many") / book.rate("dig.firm") + 1.25 / book.rate("barrow.50m") + 1.25 / book.rate("load")
    assert 0.2 <= 1 / chain <= 0.53
