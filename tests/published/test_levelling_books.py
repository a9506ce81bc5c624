"""A levelling section with a known closing mark, and the page check.

Section: a study page's worked field notes, in feet. SEEN
https://askfilo.com/user-question-answers-smart-solutions/2-field-notes-for-a-differential-leveling-section-are-shown-3430383238313239
Page check: US Navy NAVEDTRA 14071, p. 7-5. SEEN
http://engineeringtraining.tpub.com/14071/css/Level-Computations-127.htm
"""

from __future__ import annotations

import pytest

from drainwright.field.levels import allowable_misclosure, reduce_book
from drainwright.field.model import LevelBook
from drainwright.job.survey import LevelRow

FOOT = 0.3048
ROWS = (("BMA", 3.10, None), ("T1", 6.44, 9.82), ("T2", 8.76, 6.96), ("T3", 7.12, 3.27), ("BMB", None, 10.42))


def book(rows: tuple[tuple[str, float | None, float | None], ...]) -> tuple[LevelBook, dict[str, float]]:
    read = [
        LevelRow.model_validate(
            {"point": point, "backsight": back and f"{back} ft", "foresight": fore and f"{fore} ft"}
        )
        for point, back, fore in rows
    ]
    reduced = reduce_book(read, {"BMA": 100.0 * FOOT, "BMB": 94.91 * FOOT}, {})
    return reduced.book, dict(reduced.levels)


def test_heights_of_instrument_elevations_and_misclosure() -> None:
    """Published HI 103.10, 99.72, 101.52, 105.37; elevations 93.28, 92.76, 98.25, 94.95; misclosure +.04 ft."""
    reduced, levels = book(ROWS)
    assert [round(line.instrument_height / FOOT, 2) for line in reduced.lines[:4]] == [103.10, 99.72, 101.52, 105.37]
    assert [round(line.level / FOOT, 2) for line in reduced.lines[1:]] == [93.28, 92.76, 98.25, 94.95]
    assert reduced.misclosure is not None
    assert reduced.misclosure / FOOT == pytest.approx(0.04, abs=1e-9)
    assert reduced.set_ups == 4
    # adjusted here by set-ups: a hundredth a set-up (the page leaves this step to the reader)
    assert [round(levels[name] / FOOT, 3) for name in ("T1", "T2", "T3", "BMB")] == [93.27, 92.74, 98.22, 94.91]


def test_sums_of_the_sights() -> None:
    """Published sums 25.42 and 30.47 ft: their difference is last less first, 94.95 - 100.00."""
    reduced, _ = book(ROWS)
    back = sum(line.backsight or 0.0 for line in reduced.lines) / FOOT
    fore = sum(line.foresight or 0.0 for line in reduced.lines) / FOOT
    assert (round(back, 2), round(fore, 2)) == (25.42, 30.47)
    assert reduced.arithmetic == pytest.approx(0.0, abs=1e-9)


def test_the_page_check_finds_no_wrong_reading() -> None:
    """NAVEDTRA 14071, p. 7-5: the check is of the arithmetic only; the misclosure shows the reading."""
    slip = (*ROWS[:2], ("T2", 8.76, 7.96), *ROWS[3:])
    reduced, _ = book(slip)
    assert reduced.arithmetic == pytest.approx(0.0, abs=1e-9)
    assert reduced.misclosure is not None
    assert reduced.misclosure / FOOT == pytest.approx(-0.96, abs=1e-9)
    assert reduced.closes is False


def test_allowable_misclosure() -> None:
    """0.05 ft sqrt(miles), and 12 mm sqrt(km): from memory. The two agree within one part in a hundred."""
    assert allowable_misclosure(1609.344) / FOOT == pytest.approx(0.05)
    assert allowable_misclosure(4 * 1609.344) / FOOT == pytest.approx(0.10)
    assert allowable_misclosure(1000.0) == pytest.approx(0.012, rel=0.01)
