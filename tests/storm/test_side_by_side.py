from __future__ import annotations

import pytest

from drainwright.hydraulics.openflow import manning_velocity
from drainwright.storm.failures.side_by_side import side_by_side
from drainwright.worksheet import worksheet


def test_in_the_order_of_the_items_and_off_the_worksheet() -> None:
    grades = [0.01 * n for n in range(1, 9)]
    with worksheet() as steps:
        found = side_by_side(lambda grade: manning_velocity(0.02, grade, 0.009), grades)
    assert found == [manning_velocity(0.02, grade, 0.009) for grade in grades]
    assert found == sorted(found)
    assert not steps


def test_what_one_raises_is_raised() -> None:
    with pytest.raises(ZeroDivisionError):
        side_by_side(lambda number: 1 / number, [2, 1, 0, 3])
